//! Mistakes with splitter cords.

use super::super::sound::tree::{Node, map};
use super::bench::{Bench, Cord};
use super::couplers::is_hot;
use super::{Mutator, Planted, key, value};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "splitter-overloaded",
        what: "a splitter marked below its load",
        also: &[],
        plant: overloaded,
    },
    Mutator {
        rule: "splitter-defeats-redundancy",
        what: "both inlets of a device on one splitter",
        also: &[],
        plant: both_inlets,
    },
    Mutator {
        rule: "splitter-in-series",
        what: "a splitter on a strip on a splitter",
        also: &[
            ("pdu-in-series", "splitters can only meet through a strip"),
            ("space-shared", "the device added stands where another does"),
        ],
        plant: series,
    },
];

fn overloaded(bench: &mut Bench) -> Option<Planted> {
    let cord = bench
        .cord(|bench, cord| !cord.is_plain() && bench.whole(cord) > 0.2 && !is_hot(bench, cord))?;
    let kind = bench.own_kind(&cord);
    let rating = bench.whole(&cord) * 0.9;
    bench.set(&["cord-types", &kind, "rating"], format!("{rating:.3} A"));
    Some(key(&["cords", &cord.label]).error())
}

fn both_inlets(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|_, cord| !cord.is_plain())?;
    let [(first, inlet), (second, _)] = <[_; 2]>::try_from(cord.ends.clone()).ok()?;
    let model = bench.own_model(&first);
    let copy = bench
        .site
        .at(&["device-models", &model, "inlets", &inlet])?
        .clone();
    bench.set(&["device-models", &model, "inlets", "psu2"], copy);
    bench.set(&["cords", &cord.label, "to", "b"], format!("{first}/psu2"));
    let old = bench.model(&second);
    bench.site.at_mut(&["devices"])?.remove(&second);
    let is_used = bench
        .names("devices")
        .iter()
        .any(|device| bench.model(device) == old);
    if !is_used {
        bench.site.at_mut(&["device-models"])?.remove(&old);
    }
    let departed = bench
        .site
        .at(&["departures", "0", "at"])
        .is_some_and(|at| at.text() == second || at.text() == first);
    (!departed).then(|| key(&["cords", &cord.label]).error())
}

fn series(bench: &mut Bench) -> Option<Planted> {
    if bench.has(&["site", "routing", "surplus"]) {
        return None;
    }
    // Both devices of a splitter go to a strip on a leg of a new one.
    let cord = bench.cord(|bench, cord| {
        let zone = bench.zone(cord.device());
        !cord.is_plain() && !bench.is_shaken(&zone) && bench.outlet(cord) == "C13"
    })?;
    let kind = bench.own_kind(&cord);
    lengthen(bench, &kind);
    let first = bench.site.at(&["cord-types", &kind])?.clone();
    bench.set(&["cord-types", "trunk"], first);
    bench.set(
        &["cord-types", "trunk", "retention"],
        map([("plug", "none".into()), ("connector", "none".into())]),
    );
    small_strip(bench, &cord)?;
    let extra = extra_device(bench, &cord)?;
    let trunk = map([
        ("type", "trunk".into()),
        (
            "from",
            format!("{}/{}", cord.from.0, cord.from.1.as_ref()?).into(),
        ),
        ("to", map([("a", "box-1".into()), ("b", Node::from(extra))])),
    ]);
    bench.set(&["cords", "W-9998"], trunk);
    bench.set(&["cords", &cord.label, "from"], "box-1/1");
    Some(value(&["cords", &cord.label, "from"]).error())
}

/// Makes a splitter long and thick enough for any way in a rack.
fn lengthen(bench: &mut Bench, kind: &str) {
    let size = if bench.is_nec() { "12 AWG" } else { "2.5 mm²" };
    bench.set(&["cord-types", kind, "conductor"], size);
    for leg in ["a", "b"] {
        bench.set(&["cord-types", kind, "legs", leg, "length"], "4 m");
        bench.set(&["cord-types", kind, "legs", leg, "conductor"], size);
    }
}

/// A strip with an inlet for the connector of a splitter.
fn small_strip(bench: &mut Bench, cord: &Cord) -> Option<()> {
    let (bank, _) = bench.bank(&cord.from.0, cord.from.1.as_ref()?);
    let model = bench.text(&["pdus", &cord.from.0, "model"]);
    let between = bench.text(&["pdu-models", &model, "banks", &bank, "between"]);
    let between = if between.contains('N') {
        "L1-N"
    } else {
        "L1-L2"
    };
    let bank = map([
        ("between", between.into()),
        ("outlets", map([("1-4", "C13".into())])),
    ]);
    let model = map([
        ("ambient-limit", "50 °C".into()),
        ("plug", "C14".into()),
        ("rating", if bench.is_nec() { "8 A" } else { "10 A" }.into()),
        ("banks", map([("B1", bank)])),
        ("outlet-pitch", "28 mm".into()),
        ("first-outlet", "60 mm".into()),
    ]);
    bench.set(&["pdu-models", "box"], model);
    let strip = map([
        ("model", "box".into()),
        ("rack", bench.text(&["pdus", &cord.from.0, "rack"]).into()),
        ("from", "W-9998/a".into()),
        (
            "mount",
            bench.site.at(&["pdus", &cord.from.0, "mount"])?.clone(),
        ),
    ]);
    bench.set(&["pdus", "box-1"], strip);
    Some(())
}

/// One device more, which takes next to nothing.
fn extra_device(bench: &mut Bench, cord: &Cord) -> Option<String> {
    let model = bench.model(cord.device());
    let mut little = bench.site.at(&["device-models", &model])?.clone();
    little.set("inrush", "0.1 A");
    little.set("earth-current", "0.01 mA");
    little.set("inlets", map([("psu1", "C14".into())]));
    little.remove("rail-travel");
    bench.set(&["device-models", "little"], little);
    let device = bench.site.at(&["devices", cord.device()])?.clone();
    let device = device.with("model", "little").with("draw", "1 W");
    bench.set(&["devices", "little-1"], device);
    Some("little-1/psu1".into())
}
