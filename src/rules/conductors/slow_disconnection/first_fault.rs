//! The first earth fault where nothing is earthed (IT): it opens nothing, so somebody must be told of it
//! before a second one comes.

use crate::analysis::{Analysis, field_or_name};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding};
use crate::graph::ElementId;
use crate::model::circuits::{Earthing, Supply};
use crate::model::sources::State;
use crate::model::text::YesNo;
use crate::model::value::{Id, Named};
use crate::rules::Draft;
use crate::rules::conductors::gaps::{Gap, Gaps};
use crate::rules::told_once::ToldOnce;
use crate::tables::words::Words;

use super::RULE;

/// Whether an insulation monitor tells of a first fault.
pub(super) fn is_watched(supply: &Supply) -> bool {
    supply.insulation_monitor.known() == Some(&YesNo(true))
}

/// The insulated supplies of which nobody is told.
#[derive(Default)]
pub(super) struct FirstFaults(ToldOnce<Id<Supply>>);

impl FirstFaults {
    /// Looks at a state of the supply of an end that people touch.
    pub fn meet(
        &mut self,
        analysis: &Analysis<'_>,
        (end, id): (ElementId, Id<Supply>),
        state: &State<'_>,
        gaps: &mut Gaps,
    ) {
        let supply = &analysis.model.supplies[id];
        if state.earthed() != Some(Earthing::It) || is_watched(supply) {
            return;
        }
        let words = analysis.words();
        match supply.insulation_monitor.known() {
            None => {
                let about = supply.name.value.clone();
                gaps.miss(about, "insulation-monitor", |_| not_known(supply, words));
            }
            Some(_) => {
                let told = self.0.tell(id, || unwatched(supply, words));
                told.suffered_by([analysis.full_name(end)]);
            }
        }
    }

    /// The findings.
    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.0.findings()
    }
}

fn basis() -> Citation {
    Citation::new(
        "IEC 60364-4-41",
        "411.6 (IT systems)",
        "2005+A1:2017",
        Confidence::FromMemory,
    )
}

fn unwatched(supply: &Named<Supply>, words: &Words) -> Draft {
    let earth = words.earth;
    let name = &supply.name.value;
    let span = field_or_name(&supply.insulation_monitor, &supply.name);
    let headline = format!(
        "a first {earth} fault behind supply {name} stays where it is and nobody is told: it is an IT system without an insulation monitor, and with the second fault a case can kill"
    );
    Draft::new(&RULE, headline, span, "no insulation monitor", basis())
        .advice(format!("Have an insulation monitor fitted that tells people of a first {earth} fault, and write `insulation-monitor: yes`."))
        .kind("unwatched")
        .about([name.clone()])
}

fn not_known(supply: &Named<Supply>, words: &Words) -> Gap {
    let earth = words.earth;
    let name = &supply.name.value;
    let fact = Fact::of(
        supply,
        "insulation-monitor",
        Some(&supply.insulation_monitor),
    );
    let how = fact.state.words();
    Gap {
        about: name.clone(),
        kind: "insulation-monitor",
        span: field_or_name(&supply.insulation_monitor, &supply.name),
        headline: format!(
            "is anybody told of a first {earth} fault behind supply {name}, an IT system? Wanted: whether an insulation monitor watches it, which {how}"
        ),
        missing: format!("its insulation monitor {how}"),
        basis: basis(),
        advice: format!(
            "Look for the insulation monitor at the board of the supply. Where one tells people of a first {earth} fault, write `insulation-monitor: yes`; where there is none, `no`."
        ),
        wants: vec![fact],
    }
}
