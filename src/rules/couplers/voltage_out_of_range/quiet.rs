//! Cords of which nothing is said: alike, and at the same voltages as one of which nothing was said.

use crate::graph::{ElementId, ElementKind};
use crate::rules::couplers::halves::pairs;
use crate::rules::couplers::stress::Stress;
use crate::survey::{ByKind, Survey};

use super::{cordage, device};

/// What was found out so far.
#[derive(Default)]
pub(super) struct Quiet<'a> {
    /// The bank or cord before, with its stress: all that hang on one bank are at its voltages.
    last: Option<(ElementId, Option<Stress>)>,
    /// By stress, of which kinds nothing is to be said.
    known: Vec<(Stress, ByKind<'a, bool>)>,
}

impl<'a> Quiet<'a> {
    /// [`Stress::at`], once for all cords of a bank.
    pub(super) fn stress(&mut self, survey: &Survey<'a>, id: ElementId) -> Option<Stress> {
        let element = survey.graph.element(id);
        let feeder = element.feeder.filter(|&feeder| {
            let is_of_bank = matches!(survey.graph.kind(feeder), ElementKind::Bank(..));
            is_of_bank && survey.graph.conductors_of(id).len() == 2
        });
        let at = feeder.unwrap_or(id);
        match self.last {
            Some((last, stress)) if last == at => stress,
            _ => {
                let stress = Stress::at(survey, at);
                self.last = Some((at, stress));
                stress
            }
        }
    }

    /// Whether nothing is to be said of an element.
    pub(super) fn is_quiet(&mut self, survey: &Survey<'a>, id: ElementId, stress: Stress) -> bool {
        let ElementKind::Cord(cord) = survey.graph.kind(id) else {
            return false;
        };
        let at = self.known.iter().position(|(known, _)| *known == stress);
        let at = at.unwrap_or_else(|| {
            self.known.push((stress, survey.by_kind()));
            self.known.len() - 1
        });
        let (_, kinds) = &mut self.known[at];
        kinds.of(cord, || {
            !device::is_odd(survey, id, stress)
                && !cordage::is_odd(survey, id, stress)
                && !pairs(survey, id)
                    .flat_map(|pair| pair.halves())
                    .any(|half| stress.misfit(half.coupler.value).is_some())
        })
    }
}
