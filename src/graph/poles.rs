//! Which conductor of an element hangs on which conductor of its feeder.

use crate::model::circuits::Pole;
use crate::model::pdus::{Between, PduModel};
use crate::quantity::SystemMarking;

use super::Conductor;

/// The poles of a supply.
pub(super) fn of_system(system: &SystemMarking) -> Vec<Pole> {
    let lines = [Pole::L1, Pole::L2, Pole::L3];
    let neutral = system.neutral.then_some(Pole::N);
    lines
        .into_iter()
        .take(usize::from(system.lines))
        .chain(neutral)
        .collect()
}

/// The conductor among `feeder` (with their ids) that is `pole`.
pub(super) fn matching(feeder: &[(u32, Pole)], pole: Pole) -> Option<Conductor> {
    let (id, pole) = feeder.iter().find(|(_, other)| *other == pole)?;
    Some(Conductor {
        pole: *pole,
        feeder: Some(*id),
    })
}

/// A strip's terminals (as its model marks them) on the poles of what it is plugged into.
///
/// Terminal `Lk` meets the k-th line of the feeder. A strip for one line may mark it as it likes:
/// where the feeder has fewer lines than that, terminals meet lines in order.
pub(super) fn of_pdu(model: &PduModel, feeder: &[(u32, Pole)]) -> Vec<(Pole, Conductor)> {
    let mut terminals: Vec<Pole> = model
        .banks
        .items()
        .iter()
        .filter_map(|bank| bank.between.known().copied())
        .flat_map(|between| [between.0, between.1])
        .collect();
    terminals.sort_unstable();
    terminals.dedup();
    let feeder_lines: Vec<(u32, Pole)> = feeder
        .iter()
        .copied()
        .filter(|(_, pole)| *pole != Pole::N)
        .collect();
    let lines: Vec<Pole> = terminals
        .iter()
        .copied()
        .filter(|pole| *pole != Pole::N)
        .collect();
    let by_number = lines.iter().all(|line| line.index() < feeder_lines.len());
    let mut met = Vec::new();
    for (place, &line) in lines.iter().enumerate() {
        let at = if by_number { line.index() } else { place };
        if let Some(&(id, pole)) = feeder_lines.get(at) {
            met.push((
                line,
                Conductor {
                    pole,
                    feeder: Some(id),
                },
            ));
        }
    }
    if terminals.contains(&Pole::N) {
        met.extend(matching(feeder, Pole::N).map(|neutral| (Pole::N, neutral)));
    }
    met
}

/// The two terminals of a bank.
pub(super) fn of_bank(between: Between, terminals: &[(Pole, u32, Pole)]) -> Option<[Conductor; 2]> {
    let meet = |wanted: Pole| {
        let (_, id, pole) = terminals
            .iter()
            .find(|(terminal, _, _)| *terminal == wanted)?;
        Some(Conductor {
            pole: *pole,
            feeder: Some(*id),
        })
    };
    Some([meet(between.0)?, meet(between.1)?])
}
