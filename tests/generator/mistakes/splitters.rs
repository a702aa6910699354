//! Mistakes with splitter cords.

use super::super::sound::tree::{Node, map};
use super::bench::Bench;
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
        also: &[("feed-shared", "the two inlets share the splitter")],
        plant: both_inlets,
    },
    Mutator {
        rule: "splitter-in-series",
        what: "a splitter on a strip on a splitter",
        also: &[("pdu-in-series", "splitters can only meet through a strip")],
        plant: series,
    },
];

fn overloaded(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| !cord.is_plain() && bench.whole(cord) > 0.2)?;
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
    // Both devices of a splitter hang on a strip on a leg of a new one.
    let cord = bench.cord(|bench, cord| {
        let zone = bench.zone(cord.device());
        !cord.is_plain() && !bench.is_shaken(&zone) && bench.outlet(cord) == "C13"
    })?;
    let rack = bench.text(&["pdus", &cord.from.0, "rack"]);
    let (bank, _) = bench.bank(&cord.from.0, cord.from.1.as_ref()?);
    let strip_model = bench.text(&["pdus", &cord.from.0, "model"]);
    let between = bench.text(&["pdu-models", &strip_model, "banks", &bank, "between"]);
    let between = if between.contains('N') {
        "L1-N"
    } else {
        "L1-L2"
    };
    let kind = bench.site.at(&["cord-types", &cord.kind])?.clone();
    let box_model = map([
        ("plug", "C14".into()),
        ("rating", if bench.is_nec() { "8 A" } else { "10 A" }.into()),
        (
            "banks",
            map([(
                "B1",
                map([
                    ("between", between.into()),
                    ("outlets", map([("1-4", "C13".into())])),
                ]),
            )]),
        ),
        ("outlet-pitch", "28 mm".into()),
        ("first-outlet", "60 mm".into()),
    ]);
    bench.set(&["pdu-models", "box"], box_model);
    let strip = map([
        ("model", "box".into()),
        ("rack", rack.as_str().into()),
        ("from", "W-9998/a".into()),
        (
            "mount",
            bench.site.at(&["pdus", &cord.from.0, "mount"])?.clone(),
        ),
    ]);
    bench.set(&["pdus", "box-1"], strip);
    bench.set(&["cord-types", "trunk"], kind);
    let outlet = format!("{}/{}", cord.from.0, cord.from.1.as_ref()?);
    let (spare, _) = cord.ends[1].clone();
    let trunk = map([
        ("type", "trunk".into()),
        ("from", outlet.into()),
        (
            "to",
            map([
                ("a", "box-1".into()),
                ("b", Node::from(format!("{spare}-2/psu1"))),
            ]),
        ),
    ]);
    bench.set(&["cords", "W-9998"], trunk);
    let copy = bench
        .site
        .at(&["devices", &spare])?
        .clone()
        .with("draw", "1 W");
    bench.set(&["devices", &format!("{spare}-2")], copy);
    bench.set(&["cords", &cord.label, "from"], "box-1/1");
    Some(value(&["cords", &cord.label, "from"]).error())
}
