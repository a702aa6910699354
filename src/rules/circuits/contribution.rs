//! How the current of an element comes about: what each device below takes, and how that adds up.

mod group;
mod phasor;
mod tap;
mod words;

use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::flow::network::Sequence;
use crate::graph::{ElementId, Loss};
use crate::model::circuits::Pole;

use group::groups;
use words::{line, part_words, voltages};

pub(super) use tap::lowest;
pub use tap::{Tap, a_few, count, count_devices, distinct, stated_in_watts, taps};
pub use words::drop;

/// Groups that are shown one by one; the others make one line.
const SHOWN: usize = 3;

/// The lines that show how the current on a pole of an element comes about, and what they add up to
/// before the cords take their part of the voltage. Of two possible sequences of the lines, the one
/// that adds up to more.
pub fn lines(
    analysis: &Analysis<'_>,
    id: ElementId,
    pole: Pole,
    lost: Option<Loss>,
) -> (Vec<String>, f64) {
    let forward = lines_in(analysis, id, Sequence::Forward, pole, lost);
    if is_sequence_known(analysis, id) {
        return forward;
    }
    let mut reverse = lines_in(analysis, id, Sequence::Reverse, pole, lost);
    if reverse.1 <= forward.1 * 1.000_001 {
        return forward;
    }
    let words = "with the lines in the sequence L1-L3-L2, which nobody has ruled out";
    reverse.0.push(words.to_owned());
    reverse
}

/// What every load on a pole of an element takes there, in amperes, each against the same voltage; with the
/// lines in the sequence L1-L2-L3.
pub fn phasors(
    analysis: &Analysis<'_>,
    id: ElementId,
    pole: Pole,
    lost: Option<Loss>,
) -> Vec<(Tap, Complex64)> {
    let taps = taps(analysis, id, lost).into_iter();
    let on_pole = taps.filter_map(|tap| {
        let ends = (pole, tap.other(pole)?);
        let current = phasor::current(analysis, id, Sequence::Forward, &tap, ends);
        Some((tap, current))
    });
    on_pole.collect()
}

fn is_sequence_known(analysis: &Analysis<'_>, id: ElementId) -> bool {
    let supply = analysis.graph.supply_of(id);
    let proved = supply.and_then(|supply| analysis.model.supplies[supply].sequence_proved.known());
    proved.is_some_and(|proved| proved.0)
}

fn lines_in(
    analysis: &Analysis<'_>,
    id: ElementId,
    sequence: Sequence,
    pole: Pole,
    lost: Option<Loss>,
) -> (Vec<String>, f64) {
    let mut groups = groups(analysis, id, sequence, pole, lost);
    // A stable sort: equal ones stay in electrical order.
    groups.sort_by(|a, b| b.current.norm().total_cmp(&a.current.norm()));
    let has_pairs = analysis.graph.conductors_of(id).len() > 2;
    let mut lines = voltages(analysis, &groups, has_pairs);
    let (shown, others) = groups.split_at(groups.len().min(SHOWN));
    let mut terms: Vec<Complex64> = shown.iter().map(|group| group.current).collect();
    let rest = others.iter().map(|group| group.current);
    terms.extend(rest.reduce(|sum, current| sum + current));
    let is_in_parts = phasor::needs_parts(&terms);
    if is_in_parts {
        let turns = shown.iter().map(|group| {
            let lead = phasor::lead(analysis, id, sequence, pole, group.other);
            (group.pair(pole), lead.to_degrees())
        });
        lines.push(phasor::how_parts(turns.collect()));
    }
    let written = shown
        .iter()
        .map(|group| line(analysis, group, pole, has_pairs, is_in_parts));
    lines.extend(written);
    if let (false, Some(rest)) = (others.is_empty(), terms.last()) {
        let mut devices: Vec<_> = others.iter().flat_map(|group| &group.devices).collect();
        devices.sort_unstable();
        devices.dedup();
        let rest = part_words(*rest, pole, is_in_parts);
        lines.push(format!(
            "and {}: {rest}",
            count(devices.len(), "more device")
        ));
    }
    let (words, sum) = phasor::sum(&terms, pole);
    lines.extend(words);
    (lines, sum)
}
