//! Where the protective conductor ends: in a coupler, between two, in the cord itself, or at the supply.

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::{Fact, Place};
use crate::graph::{ElementId, ElementKind};
use crate::model::value::Field;
use crate::rules::couplers::halves::{Half, Pair};
use crate::source::Span;
use crate::tables::couplers::Earth;
use crate::tables::mating::{EarthMade, Mate};
use crate::tables::words::Words;

/// Where the protective conductor ends.
pub(super) struct Gap {
    pub id: ElementId,
    pub at: Span,
    /// What is to be seen there: `plug NEMA 1-15: no earth contact`.
    pub note: String,
    /// For the headline: `the plug of cord W-1 (NEMA 1-15) has no earth contact`.
    pub why: String,
    pub mate: Option<Place>,
    pub source: Citation,
    pub kind: &'static str,
    pub is_open: bool,
    /// The fact that is missing, where a key would give it.
    pub wants: Option<Fact>,
}

impl Gap {
    /// Whether all that is known of it is that a marking does not speak of it.
    pub fn is_of_marking(&self) -> bool {
        self.kind == "marking"
    }

    /// What to do about it.
    pub fn advice(&self, words: &Words) -> String {
        let Words {
            earth,
            a_protective_conductor,
            ..
        } = words;
        match (self.kind, self.is_open) {
            ("marking", _) => {
                "Is there one? Look at the supply, and write `protective-conductor: yes`, or `none`.".to_owned()
            }
            ("supply", _) => {
                format!("Take class I equipment off it until {a_protective_conductor} is run; if there is one, correct `protective-conductor`.")
            }
            ("cores", true) => {
                "Count the cores of the cordage, and write them as its `cores`.".to_owned()
            }
            (_, true) => {
                format!("Write the full name of the coupler, the one that says with or without {earth}.")
            }
            (_, false) => {
                format!("Take it out of service and fit plugs, cords and outlets that carry the {earth} all the way.")
            }
        }
    }
}

/// A pair that fits and does not make the earth; one that does not fit is another fault.
pub(super) fn gap_of_pair(analysis: &Analysis<'_>, pair: &Pair<'_>) -> Option<Gap> {
    let Words {
        earth, an_earth, ..
    } = analysis.words();
    let earthless = pair
        .halves()
        .find(|half| half.coupler.value.earth == Earth::None);
    match (pair.mate(), earthless) {
        (Some(Mate::DoesNotFit { .. } | Mate::Unknown { .. }), _) => None,
        (_, Some(half)) => Some(gap_at(
            analysis,
            pair,
            &half,
            &format!("has no {earth} contact"),
            false,
            None,
        )),
        (
            Some(Mate::Fits {
                earth: made,
                citation,
                ..
            }),
            None,
        ) => match made {
            EarthMade::Yes => None,
            EarthMade::No => {
                let why = format!("has {earth} contacts that meet nothing in its mate");
                Some(gap_at(
                    analysis,
                    pair,
                    &pair.pins?,
                    &why,
                    false,
                    Some(&citation),
                ))
            }
            EarthMade::Undecided => {
                let mut halves = pair.halves();
                let half = halves.find(|half| half.coupler.value.earth == Earth::NotNamed)?;
                let why = format!(
                    "is given by a name that does not say whether it has {an_earth} contact"
                );
                Some(gap_at(analysis, pair, &half, &why, true, Some(&citation)))
            }
        },
        (None, None) => None,
    }
}

fn gap_at(
    analysis: &Analysis<'_>,
    pair: &Pair<'_>,
    half: &Half<'_>,
    why: &str,
    is_open: bool,
    source: Option<&Citation>,
) -> Gap {
    let mate = pair.halves().find(|other| other.owner != half.owner);
    Gap {
        id: pair.id,
        at: half.coupler.span,
        note: format!("{}: {why}", half.name()),
        why: format!("{} ({}) {why}", half.what(analysis), half.name()),
        mate: mate.map(|mate| mate.place(analysis, "")),
        source: source.unwrap_or(&half.coupler.value.citation).clone(),
        kind: if half.owner.is_of_cord() {
            "half"
        } else {
            "mate"
        },
        is_open,
        wants: None,
    }
}

/// A cord whose cordage is said to have two cores. Where nothing is said, a set with earth contacts
/// at its ends has the core for them: IEC 60799 allows no other.
pub(super) fn gap_of_cores(analysis: &Analysis<'_>, id: ElementId) -> Option<Gap> {
    let ElementKind::Cord(cord) = analysis.graph.kind(id) else {
        return None;
    };
    let kind = analysis.graph.cord_type(analysis.model, cord)?;
    if let Field::Unreadable(at) = kind.cores {
        return Some(Gap {
            id,
            at,
            note: "how many cores cannot be read".to_owned(),
            why: format!(
                "the number of cores of {} cannot be read",
                analysis.describe(id)
            ),
            mate: None,
            source: Citation::marked("cores of the cordage as given"),
            kind: "cores",
            is_open: true,
            wants: Some(
                analysis.cord_type_fact(cord, |kind| Fact::of(kind, "cores", Some(&kind.cores))),
            ),
        });
    }
    let cores = kind.cores.given().filter(|cores| cores.value < 3)?;
    let (number, earth) = (cores.value, analysis.words().earth);
    Some(Gap {
        id,
        at: cores.span,
        note: format!("{number} cores: none is left for the {earth}"),
        why: format!(
            "{} has {number} cores and none for the {earth}",
            analysis.describe(id)
        ),
        mate: None,
        source: Citation::marked("cores of the cordage as given"),
        kind: "cores",
        is_open: false,
        wants: None,
    })
}
