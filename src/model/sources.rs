//! What a supply drives into a fault: one figure, or its two ends, in each of the modes that it can run in.

use serde_json::Value;

use crate::quantity::{Current, Time};
use crate::source::Span;
use crate::yaml::NodeId;

use super::circuits::{Earthing, Supply};
use super::decode::{Reader, Slot, record, words};
use super::optional::Optional;
use super::schema;
use super::text::unknown_word;
use super::value::{Field, Named, Section};

record! {
    /// What a source drives into a fault at its own terminals. Where one figure answers for both ends it may stand
    /// alone: `fault-current: 6 kA`.
    FaultCurrent: "fault current", short for "prospective";
    /// One figure for both ends, worked out or measured for this network.
    "prospective" (above_zero) => prospective: Field<Current>,
    /// The largest current, which breakers must break: a declared maximum, or the upper end of a study. Alone it says
    /// nothing of the smallest.
    "largest" (above_zero) => largest: Field<Current>,
    /// The smallest current, which must open a breaker: the lower end of a study, or what an inverter or a generator
    /// drives at the least.
    "smallest" (above_zero) => smallest: Field<Current>,
    /// The largest current of a fault from line to earth (ground), where it may be larger than that between all lines:
    /// of a solidly earthed (grounded) generator.
    "earth" (above_zero) => earth: Field<Current>,
    /// How long the source drives it, such as `300 ms`; an inverter is off after that. Left out: as long as it flows,
    /// but of an inverter it is then not known.
    "lasts" (above_zero) => lasts: Optional<Time>,
    /// Where the figures are from: `declared`, `computed` or `measured`. A figure computed at nominal voltage, or
    /// measured on one day, may be exceeded by a tenth. Left out: nothing is added.
    "of" => of: Optional<Origin>,
}

words! {
    /// Where a fault current is from.
    Origin: "where a fault current is from";
    /// A maximum that the utility or the maker declares: it is not exceeded, and says nothing of the smallest.
    Declared = "declared",
    /// Computed for this network at nominal voltage.
    Computed = "computed",
    /// Measured on site.
    Measured = "measured",
}

/// The two currents of a source that faults are judged by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// What breakers must break.
    Largest,
    /// What must open a breaker.
    Smallest,
}

impl FaultCurrent {
    /// The figure that answers for an end. What is declared is a maximum.
    pub fn figure(&self, end: End) -> &Field<Current> {
        match end {
            End::Largest => self.largest.or_further(&self.prospective),
            End::Smallest if self.may_be_declared() => &self.smallest,
            End::Smallest => self.smallest.or_further(&self.prospective),
        }
    }

    /// Whether one figure may be a maximum alone; so it may where it cannot be read what it is.
    fn may_be_declared(&self) -> bool {
        !matches!(
            self.of.written().map(|of| of.map(|of| of.value)),
            Ok(None | Some(Origin::Computed | Origin::Measured))
        )
    }
}

record! {
    /// A mode that a supply can run in, as a fault sees it. It takes no figure from another mode.
    ModeFigures: "mode";
    /// Prospective fault current in this mode.
    "fault-current" => fault_current: Field<FaultCurrent>,
    /// How the supply is earthed (grounded) in this mode: `TN-S`, `TN-C-S`, `TT` or `IT`. Left out: on the mains and on
    /// bypass as the supply's own `earthing` says; on the inverter and on the generator, which may have lost the bond
    /// of the mains, it is not known.
    "earthing" => earthing: Field<Earthing>,
}

words! {
    /// A mode that a supply can run in.
    Mode: "a mode";
    /// Fed by the utility or a transformer.
    Mains = "mains",
    /// A UPS that passes its input on.
    Bypass = "bypass",
    /// A UPS whose inverter feeds, on its battery or not.
    Inverter = "inverter",
    /// Fed by a generating set.
    Generator = "generator",
}

impl Mode {
    const ALL: [Self; 4] = [Self::Mains, Self::Bypass, Self::Inverter, Self::Generator];

    fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mode| mode.word() == name)
    }

    /// In this mode: `on bypass`.
    pub fn phrase(self) -> &'static str {
        match self {
            Self::Mains => "on the mains",
            Self::Bypass => "on bypass",
            Self::Inverter => "on the inverter",
            Self::Generator => "on the generator",
        }
    }
}

/// The modes that a supply can run in, by name.
#[derive(Clone, Debug, Default)]
pub struct Modes {
    modes: Section<ModeFigures>,
    at: Option<Span>,
    /// What a mode that cannot be read drives.
    unread: Field<FaultCurrent>,
}

impl Modes {
    /// Where they are written, readable or not.
    pub fn span(&self) -> Option<Span> {
        self.at
    }

    /// Where something stands that is no mode, or nothing is named: there may be more modes than are known.
    pub fn unreadable(&self) -> Option<Span> {
        self.unread.span()
    }

    /// Those that can be read, to be changed.
    pub(super) fn known_mut(&mut self) -> impl Iterator<Item = (Mode, &mut Named<ModeFigures>)> {
        let modes = self.modes.items_mut();
        modes.filter_map(|own| Some((Mode::named(&own.name.value)?, own)))
    }

    fn known(&self) -> impl Iterator<Item = (Mode, &Named<ModeFigures>)> {
        let modes = self.modes.items().iter();
        modes.filter_map(|own| Some((Mode::named(&own.name.value)?, own)))
    }
}

impl Slot for Modes {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let (tree, at) = (reader.tree, reader.tree.span(node));
        self.at = Some(at);
        self.modes.fill(reader, node);
        let known = Mode::ALL.map(Mode::word);
        let is_half_typed = tree.is_cut_short(node);
        let mut strange = self.modes.unreadable();
        for (key, _) in tree.pairs(node) {
            let key = tree.resolve(key).unwrap_or(key);
            if Mode::named(tree.text(key)).is_some() {
                continue;
            }
            strange = Some(tree.span(key));
            if !is_half_typed && !tree.text(key).is_empty() {
                reader.under(key, |reader| {
                    unknown_word(reader, key, "a mode of a supply", &known);
                });
            }
        }
        if strange.is_none() && self.modes.is_empty() {
            strange = Some(at);
            let advice = format!("Name the modes that it runs in: {}.", known.join(", "));
            if !is_half_typed {
                reader.bad(at, "no mode is named here".into(), advice);
            }
        }
        if let Some(at) = strange {
            self.unread = Field::Unreadable(at);
        }
    }

    fn spoil(&mut self, at: Span) {
        (self.at, self.unread) = (Some(at), Field::Unreadable(at));
    }

    fn schema() -> Value {
        let mut schema = schema::named(schema::record::<ModeFigures>());
        schema["propertyNames"] = serde_json::json!({"enum": Mode::ALL.map(Mode::word)});
        schema["type"] = "object".into();
        schema["minProperties"] = 1.into();
        schema
    }
}

/// A supply as a fault sees it in one of its modes.
#[derive(Clone, Copy, Debug)]
pub struct State<'m> {
    /// The mode; `None` where the supply has no modes, or one that cannot be read.
    pub mode: Option<Mode>,
    /// What it drives into a fault.
    pub fault_current: &'m Field<FaultCurrent>,
    /// How it is earthed.
    pub earthing: &'m Field<Earthing>,
}

impl<'m> State<'m> {
    /// What it drives at an end, if that is known.
    pub fn current(&self, end: End) -> Option<Current> {
        self.fault_current.known()?.figure(end).known().copied()
    }

    /// Whether its largest and its smallest current are told apart.
    pub fn has_two_ends(&self) -> bool {
        let figures = self.fault_current.known();
        figures.is_some_and(|figures| figures.prospective.is_absent())
    }

    /// How it is earthed, if that is known.
    pub fn earthed(&self) -> Option<Earthing> {
        self.earthing.known().copied()
    }

    /// How long it drives a fault; `None` where it is not said, or cannot be read.
    pub fn lasts(&self) -> Option<Time> {
        let lasts = self.fault_current.known()?.lasts.written().ok()??;
        Some(lasts.value)
    }

    /// Whether it is unknown for how long it drives a fault.
    pub fn may_give_up(&self) -> bool {
        let lasts = self.fault_current.known().map(|figures| &figures.lasts);
        match lasts.map(Optional::written) {
            Some(Ok(Some(_))) => false,
            Some(Err(_)) => true,
            Some(Ok(None)) | None => self.is_inverter(),
        }
    }

    /// Whether electronics feed the fault: they hold the current at their limit.
    pub fn is_inverter(&self) -> bool {
        self.mode == Some(Mode::Inverter)
    }

    /// Whether the network is behind it, and not a machine of the site's own.
    pub fn is_network(&self) -> bool {
        !matches!(self.mode, Some(Mode::Inverter | Mode::Generator))
    }

    /// In which mode, as the end of a sentence: ` on bypass`; nothing where there are no modes.
    pub fn phrase(&self) -> String {
        let phrase = self.mode.map(Mode::phrase);
        phrase.map_or_else(String::new, |phrase| format!(" {phrase}"))
    }

    /// The origin of its figures, if it is said.
    ///
    /// # Errors
    /// Where it stands, if it cannot be read.
    pub fn origin(&self) -> Result<Option<Origin>, Span> {
        let Some(figures) = self.fault_current.known() else {
            return Ok(None);
        };
        Ok(figures.of.written()?.map(|of| of.value))
    }
}

impl Supply {
    /// The states in which a fault may find it: each mode, or the one state of a supply without modes.
    pub fn states(&self) -> impl Iterator<Item = State<'_>> {
        let alone = State {
            mode: None,
            fault_current: &self.fault_current,
            earthing: &self.earthing,
        };
        let unread = State {
            fault_current: &self.modes.unread,
            ..alone
        };
        let alone = (!self.has_modes()).then_some(alone);
        let unread = self.modes.unreadable().map(|_| unread);
        let modes = self.modes.known().map(|(mode, own)| State {
            mode: Some(mode),
            fault_current: &own.fault_current,
            earthing: match mode {
                Mode::Mains | Mode::Bypass => own.earthing.or_further(&self.earthing),
                Mode::Inverter | Mode::Generator => &own.earthing,
            },
        });
        alone.into_iter().chain(modes).chain(unread)
    }

    /// Whether its modes are written, readable or not.
    pub fn has_modes(&self) -> bool {
        self.modes.span().is_some()
    }
}
