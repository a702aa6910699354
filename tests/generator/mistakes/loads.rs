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
        also: &[
            (
                "conductor-unprotected",
                "a neutral full of harmonics is a loaded conductor more, so that each may carry less",
            ),
            (
                "fault-withstand",
                "behind a device that does not protect it, a conductor must bear more",
            ),
        ],
        plant: neutral,
    },
    Mutator {
        rule: "phase-imbalance",
        what: "a site that minds every difference",
        also: &[("phase-imbalance", MORE)],
        plant: imbalance,
    },
    Mutator {
        rule: "breaker-in-hot-air",
        what: "a bank breaker in scorching air",
        also: &[],
        plant: scorched,
    },
    Mutator {
        rule: "breaker-in-hot-air",
        what: "a circuit breaker in a scorching panel",
        also: &[],
        plant: panel,
    },
    Mutator {
        rule: "breakers-not-selective",
        what: "a bank that is said to open alone up to one ampere",
        also: &[],
        plant: claimed,
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
    bench.set_bank_breaker(&cord, "continuous", "0.1 %")?;
    Some(key(&["pdus", &cord.from.0]).warning())
}

fn scorched(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| loaded(bench, cord) && banked(bench, cord))?;
    bench.set_bank_breaker(&cord, "ambient", "150 °C")?;
    let (bank, _) = bench.bank(&cord.from.0, cord.from.1.as_ref()?);
    let model = bench.text(&["pdus", &cord.from.0, "model"]);
    let rating = ["pdu-models", &model, "banks", &bank, "breaker", "rating"];
    Some(value(&rating).warning())
}

fn panel(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(loaded)?;
    let circuit = bench.circuit(&cord);
    bench.set(&["circuits", &circuit, "breaker", "ambient"], "150 °C");
    Some(value(&["circuits", &circuit, "breaker", "rating"]).warning())
}

fn claimed(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(banked)?;
    let (bank, _) = bench.bank(&cord.from.0, cord.from.1.as_ref()?);
    let model = bench.own_strip(&cord.from.0);
    let claim = ["pdu-models", &model, "banks", &bank, "selective-up-to"];
    bench.set(&claim, "1 A");
    Some(value(&claim).warning())
}

fn line(bench: &mut Bench) -> Option<Planted> {
    // With a neutral, that would be overloaded too.
    let cord = bench.cord(|bench, cord| {
        let circuit = bench.circuit(cord);
        let many = bench.has(&["circuits", &circuit, "poles", "2"]);
        let neutral = bench
            .cords()
            .iter()
            .any(|_| many && ends_in_neutral(bench, &circuit));
        cord.is_from_strip() && loaded(bench, cord) && !neutral
    })?;
    let model = bench.own_strip(&cord.from.0);
    bench.set(&["pdu-models", &model, "rating"], "0.05 A");
    Some(key(&["pdus", &cord.from.0]).error())
}

fn ends_in_neutral(bench: &Bench, circuit: &str) -> bool {
    ["2", "3"]
        .iter()
        .any(|at| bench.says(&["circuits", circuit, "poles", at], "N"))
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
    let share = bench.whole(&cord) * 0.75 / bench.ahead(&cord) * 100.0;
    bench.set_bank_breaker(&cord, "continuous", format!("{share:.2} %"))?;
    Some(key(&["pdus", &cord.from.0]).warning())
}

fn supply(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(loaded)?;
    let supply = bench.text(&["circuits", &bench.circuit(&cord), "from"]);
    bench.set(&["supplies", &supply, "capacity"], "10 VA");
    Some(value(&["supplies", &supply, "capacity"]).error())
}

fn neutral(bench: &mut Bench) -> Option<Planted> {
    let strips = bench.names("pdus");
    let mut choices = Vec::new();
    for strip in strips {
        let circuit = bench.text(&["pdus", &strip, "from"]);
        if !bench.has(&["circuits", &circuit, "poles", "3"]) {
            continue;
        }
        if let Some(rating) = between_line_and_neutral(bench, &strip) {
            choices.push((strip, rating));
        }
    }
    let (strip, rating) = bench.pick(&choices)?;
    for cord in bench
        .cords()
        .into_iter()
        .filter(|cord| cord.from.0 == strip)
    {
        for (device, _) in &cord.ends {
            let model = bench.own_model(device);
            bench.set(&["device-models", &model, "third-harmonic"], "100 %");
        }
    }
    let model = bench.own_strip(&strip);
    bench.set(&["pdu-models", &model, "rating"], format!("{rating:.3} A"));
    Some(value(&["pdu-models", &model, "rating"]).warning())
}

/// A rating that the lines of a strip keep to and a neutral full of harmonics does not.
fn between_line_and_neutral(bench: &Bench, strip: &str) -> Option<f64> {
    let mut lines = std::collections::BTreeMap::<String, f64>::new();
    for cord in bench.cords().iter().filter(|cord| cord.from.0 == strip) {
        let (bank, _) = bench.bank(strip, cord.from.1.as_ref()?);
        let model = bench.text(&["pdus", strip, "model"]);
        let between = bench.text(&["pdu-models", &model, "banks", &bank, "between"]);
        let has_more = cord
            .ends
            .iter()
            .any(|(device, _)| bench.cords_of(device).len() > 2);
        if !between.contains('N') || has_more {
            return None;
        }
        *lines.entry(between).or_default() += bench.whole(cord);
    }
    let most = lines.values().copied().fold(0.0, f64::max);
    let sum: f64 = lines.values().sum();
    let circuit = bench.text(&["pdus", strip, "from"]);
    let breaker = bench
        .site
        .at(&["circuits", &circuit, "breaker", "rating"])?;
    // The neutral of the circuit must bear it.
    let fits = sum > 1.6 * most && 1.5 * sum < breaker.number();
    fits.then_some(most * 1.45)
}

fn imbalance(bench: &mut Bench) -> Option<Planted> {
    let is_three = |supply: &String| bench.text(&["supplies", supply, "system"]).starts_with('3');
    if bench.cords().is_empty() || !bench.names("supplies").iter().any(is_three) {
        return None;
    }
    for (key, limit) in [("note", "0.1 %"), ("warning", "0.2 %"), ("floor", "0.01 A")] {
        bench.set(&["site", "phase-imbalance", key], limit);
    }
    // Which of them is unequal is left to chance.
    let sections = ["supplies", "circuits", "pdus"];
    let spots = sections.iter().flat_map(|section| {
        bench
            .names(section)
            .into_iter()
            .map(|name| key(&[section, &name]))
            .collect::<Vec<_>>()
    });
    Some(Planted::any(spots.collect::<Vec<_>>()))
}
