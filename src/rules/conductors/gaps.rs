//! Facts that are missing, each said once however many cords suffer from it.

use smol_str::SmolStr;

use crate::analysis::{Analysis, Rating};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, ElementKind};
use crate::model::devices::Device;
use crate::model::optional::Stated;
use crate::model::value::{Field, Id};
use crate::rules::told_once::{Told, ToldOnce};
use crate::rules::{Draft, Rule};
use crate::source::Span;

use super::naming;

/// What is missing, where it should stand, and what is asked that hangs on it.
pub(super) struct Gap {
    /// The thing that lacks the fact.
    pub about: SmolStr,
    /// Tells apart what one thing may lack.
    pub kind: &'static str,
    /// Where the fact should stand.
    pub span: Span,
    /// `is …? Missing: …`.
    pub headline: String,
    /// What is missing, short, for the note there.
    pub missing: String,
    /// The limit that cannot be applied.
    pub basis: Citation,
    /// What to write.
    pub advice: String,
    /// The facts that are wanted; none where no key of the format would do.
    pub wants: Vec<Fact>,
}

/// The facts that a rule has already missed.
pub(super) struct Gaps {
    rule: &'static Rule,
    missed: ToldOnce<(SmolStr, &'static str)>,
}

impl Gaps {
    /// None missed yet.
    pub fn of(rule: &'static Rule) -> Self {
        Self {
            rule,
            missed: ToldOnce::default(),
        }
    }

    /// Misses a fact; the gap is built the first time only. Where many share the thing that lacks
    /// it, what comes back is to be told who suffers from that.
    pub fn miss(
        &mut self,
        about: SmolStr,
        kind: &'static str,
        gap: impl FnOnce(SmolStr) -> Gap,
    ) -> &mut Told {
        let rule = self.rule;
        self.missed.tell((about.clone(), kind), || {
            let gap = gap(about);
            let note = format!("not decided: {}", gap.missing);
            let draft = Draft::new(rule, gap.headline, gap.span, note, gap.basis);
            let draft = draft.open().wants(gap.wants).advice(gap.advice);
            let draft = draft.about([gap.about]);
            draft.kind(kind)
        })
    }

    /// How many facts were missed.
    pub fn count(&self) -> usize {
        self.missed.count()
    }

    /// What was missed.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.missed.findings()
    }

    /// The load of a device is not known, so that every sum above it is a lower bound.
    pub fn miss_load(
        &mut self,
        analysis: &Analysis<'_>,
        device: Id<Device>,
        what: &str,
        basis: Citation,
    ) {
        let name = &analysis.model.devices[device].name;
        self.miss(name.value.clone(), "load", |about| {
            let load = analysis.load_gap(device);
            let advice = match load {
                Some(_) => format!("Measure device {} or read its nameplate, and write down its draw, with the power factor of its model where the draw is in watts.", name.value),
                None if analysis.is_on_three_lines(device) => Analysis::THREE_LINES.to_owned(),
                None => format!("Correct what feeds device {}.", name.value),
            };
            let adrift = || analysis.adrift_gap(device);
            let gap = load.or_else(adrift).or_else(|| analysis.poles_gap(device));
            let why = gap.as_ref().map_or("where its load goes is not known", |gap| gap.why);
            Gap {
                headline: format!("{what} device {about}? Open: {why}"),
                about,
                kind: "load",
                span: gap.as_ref().map_or(name.span, |gap| gap.span),
                wants: gap.and_then(|gap| gap.fact).into_iter().collect(),
                missing: why.to_owned(),
                basis,
                advice,
            }
        });
    }

    /// Nobody has written down the conductors of an element that has some, so that it is not known
    /// whether they `are_safe`.
    pub fn miss_conductors(
        &mut self,
        analysis: &Analysis<'_>,
        open: (ElementId, &str),
        basis: Citation,
    ) {
        if analysis.hides_conductors(open.0) {
            let rating = Rating::missing("its conductors are not written down");
            self.miss_rating(analysis, open, &rating, basis);
        }
    }

    /// Whether the neutral of an element warms its conductors is not known, and so not whether they `are_safe`: they
    /// are if it does not.
    pub fn miss_harmonics(
        &mut self,
        analysis: &Analysis<'_>,
        (id, are_safe): (ElementId, &str),
        facts: Vec<Fact>,
        basis: Citation,
    ) {
        let name = analysis.whole(id).clone();
        self.miss(name, "neutral", |about| Gap {
            headline: format!(
                "{}: {are_safe}? Open: it may if the neutral warms it, and how much third harmonic its loads draw is missing",
                naming::run(analysis, id)
            ),
            about,
            kind: "neutral",
            span: naming::conductor_span(analysis, id),
            missing: "the third harmonic of its loads".to_owned(),
            basis,
            advice: "Read the third harmonic of the current off the data sheet of each model and write it as `third-harmonic`: up to 15 % the neutral counts for nothing.".into(),
            wants: facts,
        });
    }

    /// What the conductors of an element may carry is not known, and so not whether they `are_safe`.
    pub fn miss_rating(
        &mut self,
        analysis: &Analysis<'_>,
        (id, are_safe): (ElementId, &str),
        rating: &Rating,
        basis: Citation,
    ) {
        let Rating::Unknown { why, basis: asked } = rating else {
            return;
        };
        let (about, sufferer, span, wants) = lacking(analysis, id);
        let told = self.miss(about, "capacity", |about| Gap {
            headline: format!("{}: {are_safe}? Open: {why}", naming::run(analysis, id)),
            about,
            kind: "capacity",
            span,
            missing: why.clone(),
            basis: asked.first().cloned().unwrap_or(basis),
            advice: "Write down what is missing, or use conductors that the tables list.".into(),
            wants: wants.into_iter().collect(),
        });
        told.suffered_by(sufferer);
    }
}

/// Who lacks the fact without which a capacity cannot be worked out, who suffers from that where many
/// share it, where it should stand, and the fact itself; none where the tables have no row.
pub(super) fn lacking(
    analysis: &Analysis<'_>,
    id: ElementId,
) -> (SmolStr, Option<SmolStr>, Span, Option<Fact>) {
    let site = &analysis.model.site;
    if analysis.practice().is_none() {
        let span = site.practice.span().or(site.name.span());
        let fact = analysis.site_fact("practice", &site.practice, id);
        let span = span.unwrap_or(analysis.name(id).span);
        return ("site".into(), None, span, Some(fact));
    }
    let own = analysis.conductors_of(id);
    let sized = own.is_some_and(|own| own.size.is_some());
    if sized && analysis.ambient(id).is_none() {
        let fact = analysis.air_fact(id);
        return match fact.owner.is_empty() {
            false => {
                let sufferer = Some(analysis.whole(id).clone());
                (fact.owner.clone(), sufferer, fact.span, Some(fact))
            }
            true => (
                "site".into(),
                Some(analysis.whole(id).clone()),
                fact.span,
                Some(fact),
            ),
        };
    }
    let owner = naming::owner(analysis, id);
    let name = owner.map_or_else(|| analysis.full_name(id), |owner| owner.name.value.clone());
    let fact = match sized {
        false => Some(analysis.size_fact(id)),
        true => insulation_fact(analysis, id)
            .or_else(|| unread_wiring_fact(analysis, id))
            .or_else(|| unread_mark_fact(analysis, id)),
    };
    let span = naming::conductor_span(analysis, id);
    (name, naming::sharer(analysis, id), span, fact)
}

/// The fact that says what the conductors of an element are insulated with, if it is not given.
pub(super) fn insulation_fact(analysis: &Analysis<'_>, id: ElementId) -> Option<Fact> {
    if let ElementKind::Circuit(circuit) = analysis.graph.kind(id) {
        let wiring = analysis.model.circuits[circuit].wiring.given();
        let insulation = wiring.map(|wiring| &wiring.value.insulation);
        let is_given = insulation.is_some_and(|field| field.given().is_some());
        return (!is_given).then(|| analysis.conductor_fact(id, "insulation", insulation));
    }
    let field = analysis.flex(id).map(|flex| flex.cordage);
    let is_given = field.is_some_and(|field| field.given().is_some());
    (!is_given).then(|| analysis.conductor_fact(id, "cordage", field))
}

/// Size or length of the conductors of an element is missing; what is asked is told of their owner.
pub(super) fn conductors_gap(
    analysis: &Analysis<'_>,
    at: ElementId,
    basis: Citation,
    headline: impl FnOnce(&str) -> String,
) -> Gap {
    let owner = naming::owner(analysis, at);
    let (about, what) = owner.map_or_else(
        || (analysis.full_name(at), analysis.describe(at)),
        |owner| (owner.name.value.clone(), owner.describe()),
    );
    Gap {
        headline: headline(&what),
        about,
        kind: "conductors",
        span: naming::conductor_span(analysis, at),
        missing: "size and length of the conductors are needed".into(),
        basis,
        advice: "Write down the size and the length of the conductors.".into(),
        wants: way_facts(analysis, at),
    }
}

/// What else the capacity of wiring turns on and cannot be read.
fn unread_wiring_fact(analysis: &Analysis<'_>, id: ElementId) -> Option<Fact> {
    let ElementKind::Circuit(circuit) = analysis.graph.kind(id) else {
        return None;
    };
    let circuit = &analysis.model.circuits[circuit];
    let wiring = circuit.wiring.known()?;
    let unread = |key, field: &dyn Stated| Fact::if_unreadable(circuit, key, field);
    let terminals = unread("wiring.terminals", &wiring.terminals);
    let grouped = || unread("wiring.grouped", &wiring.grouped);
    terminals
        .or_else(grouped)
        .or_else(|| unread("wiring.ring", &wiring.ring))
}

/// The temperature marked on a cord or on the input cord of a strip, where it cannot be read.
fn unread_mark_fact(analysis: &Analysis<'_>, id: ElementId) -> Option<Fact> {
    let mark = analysis.conductors_of(id)?.jacket.mark;
    let is_unread = matches!(mark, Field::Unreadable(_));
    is_unread.then(|| match analysis.graph.kind(id) {
        // A leg without a cordage of its own is of its trunk's.
        ElementKind::Leg(cord, _) => {
            analysis.cord_type_fact(cord, |kind| Fact::of(kind, "temperature", Some(mark)))
        }
        _ => analysis.conductor_fact(id, "temperature", Some(mark)),
    })
}

/// Of size and length of the conductors of an element what is not given.
pub(super) fn way_facts(analysis: &Analysis<'_>, id: ElementId) -> Vec<Fact> {
    let size = analysis.conductors_of(id).and_then(|own| own.size);
    let size = size.is_none().then(|| analysis.size_fact(id));
    size.into_iter().chain(analysis.length_fact(id)).collect()
}
