//! `site:` — what holds everywhere unless something nearer says otherwise.

use serde_json::{Value, json};

use crate::quantity::{Current, Length, Ratio, Temperature};
use crate::tables::Practice;
use crate::tables::breakers::Curve;
use crate::tables::wiring::WiringInsulation;
use crate::tables::words::Words;
use crate::yaml::NodeId;

use super::country::CountryCode;
use super::decode::{Decode, Reader, record, words};
use super::edition::EditionRef;
use super::fault::{Fault, Noted};
use super::offers::SiteSpares;
use super::optional::Optional;
use super::places::Users;
use super::residual::ResidualType;
use super::text::{YesNo, clip, unknown_word};
use super::value::{Field, Name, Section, Spanned};

record! {
    /// The site as a whole: its name, the practice that binds, and the limits its owner has set.
    Site: "site";
    /// What people call the site.
    "name" => name: Field<Name>,
    /// Which rating tables and which rules bind: `iec` or `nec`.
    "practice" (required) => practice: Field<Practice>,
    /// The edition of the wiring rules that the installation must keep to, as its certificate names it, like `BS 7671:2018+A2:2022` or `NEC 2023`.
    "edition" => edition: Field<EditionRef>,
    /// Country, by ISO 3166-1 alpha-2 or its English name: mains voltage, wall plugs and approvals expected.
    "country" => country: Field<CountryCode>,
    /// Who uses the sockets where no zone says otherwise: `ordinary`, `instructed` or `skilled` people (IEC 60050-195).
    "users" => users: Field<Users>,
    /// Air temperature where no zone says otherwise.
    "ambient" => ambient: Field<Temperature>,
    /// Share of an overcurrent device's rating that a continuous load may take.
    "continuous-load" (limit) => continuous_load: Optional<Ratio>,
    /// How far below nominal the supply voltage may sit; loads of constant power then draw more.
    "supply-tolerance" (limit) => supply_tolerance: Optional<Ratio>,
    /// Limits of voltage drop.
    "voltage-drop" => voltage_drop: Optional<DropLimits>,
    /// The feeds of the site and how they are marked.
    "feeds" => feeds: Section<Feed>,
    /// A regular expression that every cord label must match as a whole.
    "label" (limit) => label: Optional<Name>,
    /// What new cord types are called, of `{plug}`, `{connector}`, `{rating}`, `{length}`, `{colour}`, `{conductor}` and `{cordage}`.
    "names" => names: Optional<Name>,
    /// Lengths of cord that are kept in stock.
    "stock-lengths" => stock_lengths: Vec<Spanned<Length>>,
    /// Which files below the site's folder are read, and which catalogues with them.
    "files" => files: Field<Files>,
    /// How many cords are bought beyond those that are needed.
    "spares" => spares: Field<SiteSpares>,
    /// The level of single rules at this site.
    "levels" => levels: Section<RuleLevel>,
    /// Whether open points (facts missing for a decision) fail the run: `report` or `block`.
    "open-points" => open_points: Field<OpenPoints>,
    /// Whether the site is a critical operations data system (NEC 645.27), all of whose overcurrent devices must be selective. Left out: no.
    "critical-operations" => critical_operations: Optional<YesNo>,
    /// How cord routes are measured.
    "routing" => routing: Optional<Routing>,
    /// From which unevenness of the phases a finding is made.
    "phase-imbalance" => phase_imbalance: Optional<ImbalanceLimits>,
    /// The fixed wiring of all circuits, as far as they do not say it themselves.
    "wiring" => wiring: Field<SiteWiring>,
    /// The overcurrent devices of all circuits, as far as they do not say it themselves.
    "breakers" => breakers: Field<SiteBreakers>,
    /// The residual current devices of all circuits, as far as they do not say it themselves.
    "rcds" => rcds: Field<SiteResidualDevices>,
    /// What the wiring rules of the country allow ahead of its sockets, by coupler, where the tables leave it open.
    "sockets" => sockets: Section<SocketRule>,
}

record! {
    /// What the wiring rules that bind here allow ahead of a kind of socket.
    SocketRule: "socket rule";
    /// The largest breaker that it may stand behind.
    "behind" (required, above_zero) => behind: Field<Current>,
    /// The rule that says so: code, clause, edition.
    "source" (required) => source: Field<Name>,
}

impl Site {
    /// What things are called under its practice.
    pub fn words(&self) -> &'static Words {
        Words::of(self.practice.known().copied())
    }

    /// Takes back what this says of sockets beyond what an earlier state of the site said.
    pub fn keep_sockets_of(&mut self, earlier: &Self) {
        for rule in self.sockets.items_mut() {
            let before = earlier.sockets.named(&rule.name.value);
            let before = before.and_then(|(_, before)| before.behind.known().copied());
            let own = rule.behind.given().copied();
            rule.item.behind = match (before, own) {
                (Some(before), Some(own)) if own.value <= before => continue,
                (Some(value), Some(own)) => Field::Given(Spanned {
                    value,
                    span: own.span,
                }),
                _ => Field::Absent,
            };
        }
    }
}

record! {
    /// What the fixed wiring of all circuits has in common.
    SiteWiring: "wiring of the site";
    /// Insulation: `pvc-70`, `xlpe-90`, or by its NEC type, like `thhn` or `thwn`.
    "insulation" => insulation: Field<WiringInsulation>,
    /// How many loaded circuits lie bunched together at the most.
    "grouped" (above_zero) => grouped: Field<u32>,
}

record! {
    /// What the overcurrent devices of all circuits have in common.
    SiteBreakers: "breakers of the site";
    /// Their tripping curve: `B`, `C` or `D` (IEC 60898-1), or `inverse-time` (UL 489).
    "curve" => curve: Field<Curve>,
    /// Their rated short-circuit (breaking) capacity.
    "breaking-capacity" (above_zero) => breaking_capacity: Field<Current>,
}

record! {
    /// What the residual current devices of all circuits have in common.
    SiteResidualDevices: "residual current devices of the site";
    /// Their type, by the currents to earth that they see: `AC`, `A`, `F` or `B`, as printed on them.
    "type" => kind: Field<ResidualType>,
}

record! {
    /// Limits of voltage drop, as shares of the nominal voltage.
    DropLimits: "limit of voltage drop";
    /// Along the fixed wiring of a circuit.
    "circuit" (limit) => circuit: Optional<Ratio>,
    /// Along a cord.
    "cord" (limit) => cord: Optional<Ratio>,
    /// From the supply to the device.
    "total" (limit) => total: Optional<Ratio>,
}

record! {
    /// A feed: one of the independent supplies that redundant equipment is spread over.
    Feed: "feed";
    /// Jacket colour of its cords.
    "colour" => colour: Optional<Name>,
}

record! {
    /// Which files below the site's folder are read, and which catalogues with them.
    Files: "file choice";
    /// Patterns of the files to read, instead of `**/*.yaml` and `**/*.yml`.
    "take-in" => take_in: Vec<Spanned<Name>>,
    /// Patterns of files and folders to leave out.
    "leave-out" => leave_out: Vec<Spanned<Name>>,
    /// Folders outside of the site's, in the same repository, whose models and types are read with it, named from the site's folder: many sites can share a catalogue.
    "catalogues" => catalogues: Vec<Spanned<Name>>,
}

record! {
    /// The level of one rule at this site, and why.
    RuleLevel: "rule level", short for "level";
    /// `error`, `warning`, `note`, or `off`.
    "level" (required) => level: Field<LevelWord>,
    /// Why the site departs from the rule's own level; `off` demands it.
    "reason" => reason: Field<Name>,
}

words! {
    /// The level a site gives to a rule.
    LevelWord: "a level of a rule";
    /// May hurt people or drop the load.
    Error = "error",
    /// Should be put right, or departed from with a reason.
    Warning = "warning",
    /// Worth knowing.
    Note = "note",
    /// Not judged at this site.
    Off = "off",
}

words! {
    /// What open points do to the outcome of a run.
    OpenPoints: "a treatment of open points";
    /// They are reported and counted.
    Report = "report",
    /// They fail the run like an error.
    Block = "block",
}

record! {
    /// How cord routes are measured: every constant of the route length. One that is left out takes
    /// its default, which is common practice and no standard; the arithmetic then says so.
    Routing: "routing";
    /// Slack left at each device so that it can be moved a little; 150 mm by default.
    "service-loop" (limit) => service_loop: Optional<Length>,
    /// Length that one connector and its first bend take at each end; 100 mm by default.
    "connector-bend" (limit) => connector_bend: Optional<Length>,
    /// Level run from the strip to the inlet, where the side of the inlet or the width of the rack is
    /// not given; by default half the width of the rack, or 300 mm if that is not known.
    "cross-run" (limit) => cross_run: Optional<Length>,
    /// How many times the rail travel a sliding device's cord must have in hand; 120 % by default.
    "rail-slack" (limit) => rail_slack: Optional<Ratio>,
    /// How much longer than its route a cord may be; without it, no cord is called too long.
    "surplus" (limit) => surplus: Optional<Length>,
}

record! {
    /// From which unevenness of the phases a finding is made.
    ImbalanceLimits: "imbalance limit";
    /// Largest departure of a phase from the mean that is passed over.
    "note" (limit) => note: Optional<Ratio>,
    /// Largest departure that is only a note.
    "warning" (limit) => warning: Optional<Ratio>,
    /// Mean current below which unevenness is passed over.
    "floor" (limit) => floor: Optional<Current>,
}

impl Site {
    /// A pattern of names with a place that stands for nothing is a fault, and stays unknown.
    pub fn check_names(&mut self, faults: &mut Vec<Noted>) {
        let Some(Spanned { value: text, span }) = self.names.written().ok().flatten() else {
            return;
        };
        let places = text.split('{').skip(1);
        let is_known = |place: &str| {
            let mut known = NAME_PLACES.iter();
            place
                .split_once('}')
                .is_some_and(|(name, _)| known.any(|known| *known == name))
        };
        if places.clone().all(is_known) && places.count() > 0 {
            return;
        }
        let fault = Fault::BadValue {
            span: *span,
            headline: format!(
                "`{}` is not a pattern that cord types can be called by",
                clip(text)
            ),
            advice: format!(
                "Write it of these, as in `{{plug}}-{{length}}-{{colour}}`: {}.",
                NAME_PLACES.join(", ")
            ),
            edit: None,
        };
        faults.push(Noted::new(fault, ["site".into(), "names".into()]));
        self.names = Optional::Unreadable(*span);
    }

    /// A label pattern that cannot be used is a fault, and stays unknown.
    pub fn check_label(&mut self, faults: &mut Vec<Noted>) {
        let Some(Spanned { value: text, span }) = self.label.written().ok().flatten() else {
            return;
        };
        if regex::Regex::new(text).is_ok() {
            return;
        }
        let fault = Fault::BadValue {
            span: *span,
            headline: format!("`{}` is not a pattern that labels can be compared with", clip(text)),
            advice: "Check its brackets and marks: `[0-9]{4}` stands for four digits, and `\\.` for a point.".into(),
            edit: None,
        };
        faults.push(Noted::new(fault, ["site".into(), "label".into()]));
        self.label = Optional::Unreadable(*span);
    }
}

/// What may stand in braces in the pattern of names.
const NAME_PLACES: [&str; 7] = [
    "plug",
    "connector",
    "rating",
    "length",
    "colour",
    "conductor",
    "cordage",
];

impl Decode for Practice {
    fn decode(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        match reader.scalar(node, "a practice, iec or nec")? {
            "iec" => Some(Self::Iec),
            "nec" => Some(Self::Nec),
            _ => {
                unknown_word(reader, node, "a practice", &["iec", "nec"]);
                None
            }
        }
    }

    fn schema() -> Value {
        json!({"enum": ["iec", "nec"]})
    }
}
