//! Inlets that take the same between the same poles, taken together.

use num_complex::Complex64;
use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::flow::network::Sequence;
use crate::graph::{ElementId, Loss};
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::value::Id;

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
}

/// What taps of one group have in common, bit by bit; their voltages as well, but for rounding.
type Common = (Pole, [u64; 4], bool);

fn common(analysis: &Analysis<'_>, tap: &Tap, other: Pole) -> Common {
    let (own, whole) = (tap.power, whole_load(analysis, tap.device));
    let bits = [own.re, own.im, whole.re, whole.im].map(f64::to_bits);
    (other, bits, stated_in_watts(analysis, tap.device))
}

pub(super) fn groups(
    analysis: &Analysis<'_>,
    id: ElementId,
    sequence: Sequence,
    pole: Pole,
    lost: Option<Loss>,
) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let mut by_common: FxHashMap<Common, Vec<usize>> = FxHashMap::default();
    for tap in taps(analysis, id, lost) {
        let Some(other) = tap.other(pole) else {
            continue;
        };
        let current = phasor::current(analysis, id, sequence, &tap, (pole, other));
        let same = by_common.entry(common(analysis, &tap, other)).or_default();
        let is_of = |at: &&usize| is_same(groups[**at].first.volts, tap.volts);
        match same.iter().find(is_of) {
            Some(&at) => {
                let group = &mut groups[at];
                group.devices.push(tap.device);
                group.count += 1;
                group.current += current;
            }
            None => {
                same.push(groups.len());
                groups.push(Group {
                    first: tap,
                    other,
                    devices: vec![tap.device],
                    count: 1,
                    current,
                });
            }
        }
    }
    groups
}

/// Whether two voltages are the same but for rounding.
pub(super) fn is_same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6 * a
}
