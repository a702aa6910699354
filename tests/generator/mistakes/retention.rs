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
    Mutator {
        rule: "cord-in-line",
        what: "an adapter before a cord",
        also: &[],
        plant: adapter,
    },
    Mutator {
        rule: "cord-in-line",
        what: "a cord in two pieces",
        also: &[],
        plant: in_two,
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

/// A cord from a strip that another piece with its own ends can be put before.
fn doubled(bench: &mut Bench) -> Option<Cord> {
    bench.cord(|bench, cord| {
        // No listing covers a cord that hangs on another.
        !bench.is_nec()
            && cord.is_plain()
            && cord.is_from_strip()
            && !bench.is_shaken(&bench.zone(cord.device()))
            && bench.says(&["cord-types", &cord.kind, "plug"], "C14")
            && bench.says(&["cord-types", &cord.kind, "connector"], "C13")
            && bench.has(&["cord-types", &cord.kind, "approvals"])
            && !bench.has(&["cords", &cord.label, "state"])
    })
}

/// A label like another that no cord has yet.
fn free_label(bench: &Bench, label: &str) -> Option<String> {
    let digits = label.rsplit(|c: char| !c.is_ascii_digit()).next()?.len();
    let (begin, number) = label.split_at(label.len() - digits);
    let number: u32 = number.parse().ok()?;
    let mut next = (1..1000).map(|step| format!("{begin}{:0digits$}", number + step));
    next.find(|label| label.len() == begin.len() + digits && !bench.has(&["cords", label]))
}

/// Puts a cord of a type between a cord and its outlet.
fn put_before(bench: &mut Bench, cord: &Cord, kind: &str) -> Option<String> {
    let outlet = format!("{}/{}", cord.from.0, cord.from.1.as_ref()?);
    let label = free_label(bench, &cord.label)?;
    bench.set(&["cords", &label, "type"], kind);
    bench.set(&["cords", &label, "from"], outlet);
    bench.set(&["cords", &cord.label, "from"], label.as_str());
    Some(label)
}

fn adapter(bench: &mut Bench) -> Option<Planted> {
    let cord = doubled(bench)?;
    let own = bench.site.at(&["cord-types", &cord.kind])?.clone();
    for key in [
        "plug",
        "connector",
        "rating",
        "colour",
        "approvals",
        "hot-air",
        "retention",
    ] {
        if let Some(said) = own.get(key) {
            bench.set(&["cord-types", "adapter", key], said.clone());
        }
    }
    bench.set(&["cord-types", "adapter", "adapter"], "yes");
    put_before(bench, &cord, "adapter")?;
    Some(value(&["cords", &cord.label, "from"]).note())
}

/// Each half has half of the length, so that the whole is as long as it was.
fn in_two(bench: &mut Bench) -> Option<Planted> {
    let cord = doubled(bench)?;
    let half = format!("{:.3} m", bench.metres(&cord) / 2.0);
    let upper = put_before(bench, &cord, &cord.kind.clone())?;
    for piece in [&upper, &cord.label] {
        bench.set(&["cords", piece, "length"], half.as_str());
    }
    Some(value(&["cords", &cord.label, "from"]).warning())
}
