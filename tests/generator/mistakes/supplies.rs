//! Mistakes of what supplies drive into a fault.

use super::super::sound::tree::{Node, map};
use super::bench::Bench;
use super::{Mutator, Planted, key, value};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "breaking-capacity",
        what: "a bypass with more behind it than the mains",
        also: &[("breaking-capacity", "what else hangs there is told as well")],
        plant: strong_bypass,
    },
    Mutator {
        rule: "slow-disconnection",
        what: "an inverter of which nobody says whether it keeps its bond",
        also: &[(
            "earth-interrupted",
            "a marking without PE is enough for a TT system alone",
        )],
        plant: unbonded_inverter,
    },
    Mutator {
        rule: "bad-quantity",
        what: "a smallest fault current above the largest",
        also: &[
            ("breaking-capacity", "what breakers must break stays open"),
            ("slow-disconnection", "what must open them stays open"),
            ("fault-withstand", "what heats the conductors stays open"),
        ],
        plant: ends_swapped,
    },
];

/// A supply with one fault current that feeds a strip, that current, and its circuits.
fn one_figure(bench: &mut Bench) -> Option<(String, String, Vec<String>)> {
    let circuits_of = |bench: &Bench, supply: &str| -> Vec<String> {
        let circuits = bench.names("circuits").into_iter();
        let is_fed = |circuit: &String| bench.says(&["circuits", circuit, "from"], supply);
        circuits.filter(is_fed).collect()
    };
    let feeds_strip = |bench: &Bench, supply: &str| {
        let circuits = circuits_of(bench, supply);
        let strips = bench.names("pdus");
        strips
            .iter()
            .any(|strip| circuits.contains(&bench.text(&["pdus", strip, "from"])))
    };
    let supplies = bench.names("supplies").into_iter().filter(|supply| {
        bench.has(&["supplies", supply, "fault-current"]) && feeds_strip(bench, supply)
    });
    let supplies: Vec<String> = supplies.collect();
    let supply = bench.pick(&supplies)?;
    let figure = bench.text(&["supplies", &supply, "fault-current"]);
    let circuits = circuits_of(bench, &supply);
    Some((supply, figure, circuits))
}

/// Takes the one figure of a supply for that of the mains, and adds a mode.
fn add_mode(bench: &mut Bench, supply: &str, figure: &str, mode: (&str, Node)) -> Option<()> {
    let mains = map([("fault-current", figure.into())]);
    let node = bench.site.at_mut(&["supplies", supply])?;
    node.remove("fault-current");
    node.set("modes", map([("mains", mains), mode]));
    Some(())
}

fn strong_bypass(bench: &mut Bench) -> Option<Planted> {
    let (supply, figure, circuits) = one_figure(bench)?;
    let spots = circuits
        .iter()
        .map(|circuit| ["circuits", circuit, "breaker", "breaking-capacity"]);
    let spots: Vec<_> = spots
        .filter(|path| bench.has(path))
        .map(|path| value(&path))
        .collect();
    if spots.is_empty() {
        return None;
    }
    let current = map([
        ("largest", "60 kA".into()),
        ("smallest", figure.as_str().into()),
    ]);
    let bypass = ("bypass", map([("fault-current", current)]));
    add_mode(bench, &supply, &figure, bypass)?;
    Some(Planted::any(spots))
}

fn unbonded_inverter(bench: &mut Bench) -> Option<Planted> {
    let (supply, figure, _) = one_figure(bench)?;
    let current = map([
        ("largest", figure.as_str().into()),
        ("smallest", figure.as_str().into()),
        ("lasts", "500 ms".into()),
    ]);
    let inverter = ("inverter", map([("fault-current", current)]));
    add_mode(bench, &supply, &figure, inverter)?;
    Some(key(&["supplies", &supply]).into())
}

fn ends_swapped(bench: &mut Bench) -> Option<Planted> {
    let supply = bench.pick(&bench.names("supplies"))?;
    let path = ["supplies", &supply, "fault-current"];
    let largest = bench.has(&path).then(|| bench.text(&path))?;
    let ends = map([
        ("largest", largest.as_str().into()),
        ("smallest", "20 kA".into()),
    ]);
    bench.set(&path, ends);
    Some(value(&["supplies", &supply, "fault-current", "smallest"]).error())
}
