//! Mistakes with what holds couplers.

use cordwright::finding::Level;

use super::bench::{Bench, Cord};
use super::{Mutator, Planted, value};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "retention-missing",
        what: "nothing holds either end",
        also: &[],
        plant: missing,
    },
    Mutator {
        rule: "retention-unsupported",
        what: "a latch in a plain outlet",
        also: &[],
        plant: unsupported,
    },
    Mutator {
        rule: "retention-one-ended",
        what: "nothing holds the connector",
        also: &[],
        plant: one_ended,
    },
];

/// A cord from a strip in a shaken zone of which both ends are held by itself.
fn held(bench: &mut Bench, strict: Option<bool>) -> Option<Cord> {
    bench.cord(|bench, cord| {
        let zone = bench.zone(cord.device());
        let model = bench.model(cord.device());
        let is_held_there = bench.says(
            &["device-models", &model, "inlets", cord.inlet(), "retention"],
            "bail",
        );
        bench.is_shaken(&zone)
            && strict.is_none_or(|strict| bench.is_strict(&zone) == strict)
            && cord.is_plain()
            && !is_held_there
            && bench.says(
                &["cord-types", &cord.kind, "retention", "plug"],
                "outlet-latch",
            )
    })
}

fn missing(bench: &mut Bench) -> Option<Planted> {
    let cord = held(bench, None)?;
    let level = if bench.is_strict(&bench.zone(cord.device())) {
        Level::Error
    } else {
        Level::Warning
    };
    let kind = bench.own_kind(&cord);
    for end in ["plug", "connector"] {
        bench.set(&["cord-types", &kind, "retention", end], "none");
    }
    Some(value(&["cords", &cord.label, "type"]).level(level))
}

fn one_ended(bench: &mut Bench) -> Option<Planted> {
    let cord = held(bench, Some(false))?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "retention", "connector"], "none");
    Some(value(&["cords", &cord.label, "type"]).warning())
}

fn unsupported(bench: &mut Bench) -> Option<Planted> {
    let cord = bench
        .cord(|bench, cord| cord.is_from_strip() && !bench.is_shaken(&bench.zone(cord.device())))?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "retention", "plug"], "outlet-latch");
    if !bench.has(&["cord-types", &kind, "retention", "connector"]) {
        bench.set(&["cord-types", &kind, "retention", "connector"], "none");
    }
    Some(value(&["cords", &cord.label, "type"]).error())
}
