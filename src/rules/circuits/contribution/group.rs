//! Inlets that take the same between the same poles, taken together.

use num_complex::Complex64;

use crate::flow::network::Sequence;
use crate::graph::{ElementId, Loss};
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::survey::Survey;

use super::phasor;
use super::tap::{Tap, stated_in_watts, taps, whole_load};

/// Inlets that take the same between the same poles.
pub(super) struct Group {
    pub first: Tap,
    pub other: Pole,
    pub devices: Vec<Id<Device>>,
    pub count: usize,
    /// Their current into the pole, against its own voltage.
    pub current: Complex64,
}

impl Group {
    /// The poles it hangs between, the one looked at first: `L1-L2`; of a neutral `L1-N`.
    pub(super) fn pair(&self, pole: Pole) -> String {
        match pole {
            Pole::N => format!("{}-N", self.other.word()),
            _ => format!("{}-{}", pole.word(), self.other.word()),
        }
    }

    fn holds(&self, tap: &Tap, other: Pole, survey: &Survey<'_>) -> bool {
        self.other == other
            && self.first.power == tap.power
            && is_same(self.first.volts, tap.volts)
            && stated_in_watts(survey, self.first.device) == stated_in_watts(survey, tap.device)
            && whole_load(survey, self.first.device) == whole_load(survey, tap.device)
    }
}

pub(super) fn groups(
    survey: &Survey<'_>,
    id: ElementId,
    sequence: Sequence,
    pole: Pole,
    lost: Option<Loss>,
) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for tap in taps(survey, id, lost) {
        let Some(other) = tap.other(pole) else {
            continue;
        };
        let current = phasor::current(survey, id, sequence, &tap, (pole, other));
        match groups
            .iter_mut()
            .find(|group| group.holds(&tap, other, survey))
        {
            Some(group) => {
                group.devices.push(tap.device);
                group.count += 1;
                group.current += current;
            }
            None => groups.push(Group {
                first: tap,
                other,
                devices: vec![tap.device],
                count: 1,
                current,
            }),
        }
    }
    groups
}

/// Whether two voltages are the same but for rounding.
pub(super) fn is_same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6 * a
}
