//! Loads beyond what banks, circuits, strips and supplies bear.

use super::bench::{Bench, Cord};
use super::{Mutator, Planted, key, value};

const MORE: &str = "other things of the site are unequal too";

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "circuit-overloaded",
        what: "a breaker that may take little without end",
        also: &[],
        plant: circuit,
    },
    Mutator {
        rule: "bank-overloaded",
        what: "a bank that may take little without end",
        also: &[],
        plant: bank,
    },
    Mutator {
        rule: "line-overloaded",
        what: "a strip rated below its load",
        also: &[],
        plant: line,
    },
    Mutator {
        rule: "failover-overloaded",
        what: "a bank that bears half a device",
        also: &[],
        plant: failover,
    },
    Mutator {
        rule: "supply-overloaded",
        what: "a supply smaller than its load",
        also: &[],
        plant: supply,
    },
    Mutator {
        rule: "neutral-overloaded",
        what: "loads of great third harmonic",
        also: &[(
            "neutral-overloaded",
            "circuit and strip have the same neutral current",
        )],
        plant: neutral,
    },
    Mutator {
        rule: "phase-imbalance",
        what: "a site that minds every difference",
        also: &[("phase-imbalance", MORE)],
        plant: imbalance,
    },
];

/// A cord that carries something in the normal state, whatever shares its load.
fn loaded(bench: &Bench, cord: &Cord) -> bool {
    let standby = bench.says(
        &["device-models", &bench.model(cord.device()), "sharing"],
        "standby",
    );
    bench.whole(cord) > 0.3 && (!standby || bench.cords_of(cord.device()).len() == 1)
}

fn circuit(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(loaded)?;
    let circuit = bench.circuit(&cord);
    bench.set(&["circuits", &circuit, "breaker", "continuous"], "0.1 %");
    Some(value(&["circuits", &circuit, "breaker", "rating"]).warning())
}

/// A cord from a bank that has a breaker of its own.
fn banked(bench: &Bench, cord: &Cord) -> bool {
    cord.from.1.as_ref().is_some_and(|outlet| {
        let (bank, _) = bench.bank(&cord.from.0, outlet);
        let model = bench.text(&["pdus", &cord.from.0, "model"]);
        bench.has(&["pdu-models", &model, "banks", &bank, "breaker"])
    })
}

fn bank(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| loaded(bench, cord) && banked(bench, cord))?;
    let (bank, _) = bench.bank(&cord.from.0, cord.from.1.as_ref()?);
    let model = bench.own_strip(&cord.from.0);
    bench.set(
        &[
            "pdu-models",
            &model,
            "banks",
            &bank,
            "breaker",
            "continuous",
        ],
        "0.1 %",
    );
    Some(key(&["pdus", &cord.from.0]).warning())
}

fn line(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| cord.is_from_strip() && loaded(bench, cord))?;
    let model = bench.own_strip(&cord.from.0);
    bench.set(&["pdu-models", &model, "rating"], "0.05 A");
    Some(key(&["pdus", &cord.from.0]).error())
}

fn failover(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        let model = bench.model(cord.device());
        let (Some(outlet), false) = (
            &cord.from.1,
            bench.says(&["device-models", &model, "sharing"], "standby"),
        ) else {
            return false;
        };
        let (bank, _) = bench.bank(&cord.from.0, outlet);
        let mates = bench.cords().into_iter().filter(|other| {
            other.from.0 == cord.from.0
                && other
                    .from
                    .1
                    .as_ref()
                    .is_some_and(|own| bench.bank(&cord.from.0, own).0 == bank)
        });
        banked(bench, cord)
            && mates.count() == 1
            && cord.is_plain()
            && bench.cords_of(cord.device()).len() == 2
            && bench.whole(cord) > 0.5
    })?;
    let (bank, _) = bench.bank(&cord.from.0, cord.from.1.as_ref()?);
    let share = bench.whole(&cord) * 0.75 / bench.ahead(&cord) * 100.0;
    let model = bench.own_strip(&cord.from.0);
    bench.set(
        &[
            "pdu-models",
            &model,
            "banks",
            &bank,
            "breaker",
            "continuous",
        ],
        format!("{share:.2} %"),
    );
    Some(key(&["pdus", &cord.from.0]).warning())
}

fn supply(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(loaded)?;
    let supply = bench.text(&["circuits", &bench.circuit(&cord), "from"]);
    bench.set(&["supplies", &supply, "capacity"], "10 VA");
    Some(value(&["supplies", &supply, "capacity"]).error())
}

fn neutral(_bench: &mut Bench) -> Option<Planted> {
    None
}

fn imbalance(bench: &mut Bench) -> Option<Planted> {
    let three: Vec<String> = bench
        .names("supplies")
        .into_iter()
        .filter(|supply| bench.text(&["supplies", supply, "system"]).starts_with('3'))
        .collect();
    let supply = bench.pick(&three)?;
    for (key, limit) in [("note", "0.1 %"), ("warning", "0.2 %"), ("floor", "0.01 A")] {
        bench.set(&["site", "phase-imbalance", key], limit);
    }
    Some(key(&["supplies", &supply]).into())
}
