//! How soon a device must open on an earth fault, so that touching the casing does not kill.

use std::sync::LazyLock;

use serde::Deserialize;
use uom::si::electric_potential::volt;
use uom::si::time::second;

use super::lookup::Lookup;
use super::{Provenance, Table};
use crate::citation::{Citation, Cited};
use crate::quantity::{Time, Voltage};

/// Which circuits a time is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Circuits {
    /// Final circuits up to a rating, for which the times of Table 41.1 hold: [`super::editions::ShortTimes`].
    Short,
    /// All others.
    Other,
}

/// How the system is earthed (IEC 60364-1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Earthing {
    /// TN: fault current returns through a protective conductor.
    Tn,
    /// TT: fault current returns through the ground.
    Tt,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Row {
    earthing: Earthing,
    above_volts: f64,
    upto_volts: f64,
    circuits: Circuits,
    seconds: f64,
    #[serde(flatten)]
    provenance: Provenance,
}

struct Entry {
    row: Row,
    time: Cited<Time>,
}

static ENTRIES: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    let table = Table::<Row>::embedded("disconnection", include_str!("data/disconnection.yaml"));
    let cite = |row: &Row| Cited {
        value: Time::new::<second>(row.seconds),
        citation: table.cite(&row.provenance),
    };
    let times: Vec<_> = table.rows.iter().map(cite).collect();
    let rows = table.rows.into_iter().zip(times);
    rows.map(|(row, time)| Entry { row, time }).collect()
});

/// Longest disconnection time (IEC 60364-4-41 Table 41.1 and what follows it, alternating current).
///
/// `to_earth` is the nominal voltage U0. Up to 50 V to earth nothing is asked.
pub fn max_time(to_earth: Voltage, earthing: Earthing, circuits: Circuits) -> Lookup<Time> {
    let volts = to_earth.get::<volt>();
    let found = ENTRIES.iter().find(|Entry { row, .. }| {
        // A nominal voltage is a round number: a hair's breadth of rounding must not change the band.
        row.earthing == earthing
            && row.circuits == circuits
            && volts > row.above_volts + 1e-6
            && volts <= row.upto_volts + 1e-6
    });
    match found {
        Some(entry) => Lookup::known(entry.time.value, entry.time.citation.clone()),
        None => Lookup::NotInTable {
            why: "the table has no time for this voltage to earth".into(),
            citation: ENTRIES.first().map_or_else(
                || Citation::common_practice("disconnection time"),
                |entry| entry.time.citation.clone(),
            ),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(volts: f64, earthing: Earthing, circuits: Circuits) -> Option<f64> {
        let found = max_time(Voltage::new::<volt>(volts), earthing, circuits);
        found.value().map(|time| time.get::<second>())
    }

    /// IEC 60364-4-41 Table 41.1.
    #[test]
    fn times_are_those_of_table_41_1() {
        for (volts, tn, tt) in [
            (100.0, 0.8, 0.3),
            (120.0, 0.8, 0.3),
            (127.0, 0.4, 0.2),
            (230.0, 0.4, 0.2),
            (277.0, 0.2, 0.07),
            (400.0, 0.2, 0.07),
            (480.0, 0.1, 0.04),
        ] {
            assert_eq!(
                seconds(volts, Earthing::Tn, Circuits::Short),
                Some(tn),
                "{volts}"
            );
            assert_eq!(
                seconds(volts, Earthing::Tt, Circuits::Short),
                Some(tt),
                "{volts}"
            );
        }
    }

    #[test]
    fn other_circuits_have_more_time_and_low_voltage_none() {
        assert_eq!(seconds(230.0, Earthing::Tn, Circuits::Other), Some(5.0));
        assert_eq!(seconds(230.0, Earthing::Tt, Circuits::Other), Some(1.0));
        assert_eq!(seconds(48.0, Earthing::Tn, Circuits::Short), None);
        assert_eq!(seconds(f64::NAN, Earthing::Tn, Circuits::Short), None);
    }
}
