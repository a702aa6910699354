//! What a supply lacks, or the figures of a landlord's receptacle, for want of which nobody knows what a short
//! circuit behind it draws.

mod modes;

use std::borrow::Cow;

use crate::analysis::{Analysis, field_or_name};
use crate::finding::Fact;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{AtReceptacle, Circuit, Supply};
use crate::model::sources::End;
use crate::model::value::{Name, Named};
use crate::source::Span;
use crate::tables::words::Words;

pub(super) use modes::fact as fact_of_state;

/// What is missing, where it should stand, and what to write.
pub(super) struct SourceLack {
    /// The supply or circuit that lacks it.
    pub about: Name,
    /// The same in a sentence: `supply ups-a`.
    pub owner: String,
    pub span: Span,
    /// After `Missing:`.
    pub what: Cow<'static, str>,
    /// Short, for the note there.
    pub note: Cow<'static, str>,
    pub advice: Cow<'static, str>,
    /// Whether it is all that is wanted, and not one of several figures of a supply.
    pub is_plain: bool,
    pub wants: Vec<Fact>,
}

/// What a rule asks of a source.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Asks {
    /// What breakers must break.
    Largest,
    /// What must open something, how long it flows, and by which way it comes back.
    Disconnection,
    /// Both ends of what it drives.
    BothEnds,
}

impl Asks {
    fn ends(self) -> &'static [End] {
        match self {
            Self::Largest => &[End::Largest],
            Self::Disconnection => &[End::Smallest],
            Self::BothEnds => &[End::Smallest, End::Largest],
        }
    }
}

const CURRENT: &str = "Find the prospective fault current at the supply: measured, or from the utility or the maker of the UPS. Write it as `fault-current`.";
const SYSTEM: &str = "Read lines and voltages off the supply's rating plate and write them as its `system`, like `3/N/PE ~ 400/230 V 50 Hz`.";
const BOTH: &str = "Find the prospective fault current at the supply: measured, or from the utility or the maker of the UPS. Write it as `fault-current`, and lines and voltages as `system`.";

/// What is not known of the source behind which an element stands; `None` where it stands behind none.
pub(super) fn source_lack(
    analysis: &Analysis<'_>,
    id: ElementId,
    asks: Asks,
) -> Option<SourceLack> {
    let supply = &analysis.model.supplies[analysis.graph.supply_of(id)?];
    let circuit = analysis.graph.circuit_of(id);
    let circuit = circuit.map(|circuit| &analysis.model.circuits[circuit]);
    let landlords = circuit.and_then(|circuit| Some((circuit, circuit.landlords()?)));
    Some(match landlords {
        Some((circuit, figures)) if supply.system.known().is_some() && !supply.has_modes() => {
            of_receptacle(circuit, figures, analysis.words())
        }
        _ => of_supply(supply, asks),
    })
}

/// A circuit whose wiring and breaker are a landlord's, who answers for them, with what he says of its receptacle.
pub(super) fn landlords_at<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
) -> Option<(&'a Named<Circuit>, &'a AtReceptacle)> {
    let ElementKind::Circuit(circuit) = analysis.graph.kind(id) else {
        return None;
    };
    let circuit = &analysis.model.circuits[circuit];
    Some((circuit, circuit.landlords_alone()?))
}

/// What nobody has said of a landlord's receptacle, and what is to be done.
pub(super) const NO_LOOP: &str = "the impedance of its fault loop is missing";
/// See [`NO_LOOP`].
pub(super) const ASK_LOOP: &str = "Ask the landlord for the impedance of the fault loop where you plug in, or have it measured there, and write it as `at-receptacle: {earth-loop: …}`.";

/// The earth loop of a landlord's receptacle, as a fact.
pub(super) fn loop_fact(circuit: &Named<Circuit>, figures: &AtReceptacle) -> Fact {
    let earth_loop = &figures.earth_loop;
    Fact::of(circuit, "at-receptacle.earth-loop", Some(earth_loop))
}

fn of_receptacle(circuit: &Named<Circuit>, figures: &AtReceptacle, words: &Words) -> SourceLack {
    let current = &figures.fault_current;
    SourceLack {
        about: circuit.name.value.clone(),
        owner: words.socket_of(&circuit.name.value),
        span: field_or_name(current, &circuit.name),
        what: "how much current a short circuit draws there".into(),
        note: "the fault current there is missing".into(),
        advice: "Ask the landlord for the largest prospective fault current where you plug in, or have it measured there, and write it as `at-receptacle: {fault-current: …}`.".into(),
        is_plain: true,
        wants: vec![Fact::of(
            circuit,
            "at-receptacle.fault-current",
            Some(current),
        )],
    }
}

/// Of fault current and system of a supply what is not known; what is written is never asked for.
fn of_supply(supply: &Named<Supply>, asks: Asks) -> SourceLack {
    let about = supply.name.value.clone();
    let owner = format!("supply {about}");
    let system = || Fact::of(supply, "system", Some(&supply.system));
    let lacks_system = supply.system.known().is_none();
    let lacks = modes::lacks(supply, asks);
    if lacks.is_empty() {
        return SourceLack {
            about,
            owner,
            span: field_or_name(&supply.system, &supply.name),
            what: "its system, with lines and voltages (rating plate)".into(),
            note: "its system is not known".into(),
            advice: SYSTEM.into(),
            is_plain: true,
            wants: vec![system()],
        };
    }
    let is_plain = modes::is_plain(supply);
    let (what, note, advice) = match is_plain {
        true => (
            "how much current it can drive into one".into(),
            "the prospective fault current is missing".into(),
            if lacks_system { BOTH } else { CURRENT }.into(),
        ),
        false => modes::said(&lacks, asks, supply.has_modes()),
    };
    let wants = lacks.into_iter().map(|lack| lack.fact);
    let wants: Vec<Fact> = wants.chain(lacks_system.then(system)).collect();
    SourceLack {
        about,
        owner,
        span: wants.first().map_or(supply.name.span, |fact| fact.span),
        what,
        note,
        advice,
        is_plain,
        wants,
    }
}
