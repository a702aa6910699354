//! Mistakes of the records.

use super::super::sound::tree::{Node, map, words};
use super::bench::Bench;
use super::{Mutator, Planted, Spot, key, start, value, word};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "unreadable-file",
        what: "a tag that means nothing",
        also: &[],
        plant: tag,
    },
    Mutator {
        rule: "unreadable-file",
        what: "a bracket that is never closed",
        also: &[],
        plant: bracket,
    },
    Mutator {
        rule: "unknown-key",
        what: "a key nobody knows",
        also: &[],
        plant: unknown_key,
    },
    Mutator {
        rule: "unknown-key",
        what: "a section whose name is misspelt",
        also: &[],
        plant: misspelt_section,
    },
    Mutator {
        rule: "unknown-key",
        what: "things in no section",
        also: &[],
        plant: astray,
    },
    Mutator {
        rule: "missing-key",
        what: "a strip without a feed",
        also: &[],
        plant: unfed_strip,
    },
    Mutator {
        rule: "missing-key",
        what: "a departure without a place",
        also: &[],
        plant: placeless,
    },
    Mutator {
        rule: "bad-quantity",
        what: "a day that the calendar does not have",
        also: &[("load-basis", "how old the measurement is stays open")],
        plant: no_such_day,
    },
    Mutator {
        rule: "bad-quantity",
        what: "degrees without a unit",
        also: &[
            (
                "pdu-too-hot",
                "whether its strips bear their air stays open",
            ),
            (
                "coupler-in-hot-air",
                "nobody answers for its outlets any more",
            ),
        ],
        plant: bare_number,
    },
    Mutator {
        rule: "bad-quantity",
        what: "a name that others misread",
        also: &[],
        plant: trap,
    },
    Mutator {
        rule: "duplicate-name",
        what: "a definition twice",
        also: &[],
        plant: twice,
    },
    Mutator {
        rule: "duplicate-name",
        what: "a key twice",
        also: &[],
        plant: key_twice,
    },
    Mutator {
        rule: "unknown-name",
        what: "a rack in a zone that is nowhere",
        also: &[(
            "idle-definition",
            "nothing stands in the rack that is added",
        )],
        plant: no_such_zone,
    },
    Mutator {
        rule: "unknown-name",
        what: "a departure from no rule",
        also: &[],
        plant: no_such_rule,
    },
    Mutator {
        rule: "double-booked",
        what: "two plugs in one outlet",
        also: &[],
        plant: double_booked,
    },
    Mutator {
        rule: "unfed-inlet",
        what: "an inlet more than cords",
        also: &[],
        plant: unfed_inlet,
    },
    Mutator {
        rule: "power-loop",
        what: "two strips on each other",
        also: &[],
        plant: ring,
    },
    Mutator {
        rule: "idle-definition",
        what: "a definition that nothing uses",
        also: &[],
        plant: idle,
    },
    Mutator {
        rule: "load-basis",
        what: "a device that nobody has measured",
        also: &[],
        plant: unmeasured,
    },
    Mutator {
        rule: "load-basis",
        what: "a measurement of last year",
        also: &[],
        plant: old,
    },
    Mutator {
        rule: "pattern-idle",
        what: "a pattern that takes in nothing",
        also: &[],
        plant: takes_in_nothing,
    },
    Mutator {
        rule: "pattern-idle",
        what: "a pattern that leaves nothing out",
        also: &[],
        plant: leaves_nothing_out,
    },
    Mutator {
        rule: "catalogue-unread",
        what: "a catalogue that is not there",
        also: &[],
        plant: no_catalogue,
    },
    Mutator {
        rule: "catalogue-unread",
        what: "a rack in a catalogue",
        also: &[],
        plant: rack_in_catalogue,
    },
    Mutator {
        rule: "departure-lapsed",
        what: "a departure of yesterday",
        also: &[("load-basis", "what the departure let through stands again")],
        plant: lapsed,
    },
    Mutator {
        rule: "departure-lapsed",
        what: "a rule switched off without a reason",
        also: &[],
        plant: off,
    },
    Mutator {
        rule: "departure-idle",
        what: "a departure that matches nothing",
        also: &[],
        plant: idle_departure,
    },
    Mutator {
        rule: "snag-idle",
        what: "a snag that has been put right",
        also: &[],
        plant: snag,
    },
];

fn tag(bench: &mut Bench) -> Option<Planted> {
    let zone = bench.pick(&bench.names("zones"))?;
    // Under IEC practice this fact decides nothing.
    let path = ["zones", &zone, "article-645"];
    bench.set(&path, Node::Raw("!ask no".into()));
    (!bench.is_nec()).then(|| start(&path, "!ask".len()).error())
}

fn bracket(bench: &mut Bench) -> Option<Planted> {
    let texts = ["racks: {spare\n", "cords: [W-1, W-2\n"];
    let text = bench.pick(&texts)?;
    let at = "racks: ".len();
    Some(Planted {
        file: Some(("torn.yaml", text)),
        ..Spot::Bytes("torn.yaml", at, at + 1).error()
    })
}

fn unknown_key(bench: &mut Bench) -> Option<Planted> {
    let section = bench.pick(&[
        "racks",
        "pdus",
        "devices",
        "cord-types",
        "cords",
        "circuits",
        "device-models",
    ])?;
    let name = bench.pick(&bench.names(section))?;
    bench.set(&[section, &name, "shelf"], "B7");
    Some(key(&[section, &name, "shelf"]).error())
}

/// A file of its own, so that nothing else of the site goes unread.
fn misspelt_section(bench: &mut Bench) -> Option<Planted> {
    let texts = [
        ("Racks: {spare: {}}\n", "Racks"),
        ("r\u{430}cks: {spare: {}}\n", "r\u{430}cks"),
        ("cord_types:\n  spare: {plug: C14}\n", "cord_types"),
        ("device:\n- {model: spare, draw: 4 W}\n", "device"),
        ("pdu: {spare: {rack: spare}}\n", "pdu"),
        ("note: 1\ncoords: {W: {to: a/b}}\n", "coords"),
    ];
    let (text, key) = bench.pick(&texts)?;
    Some(in_a_file_of_its_own(text, key))
}

fn astray(bench: &mut Bench) -> Option<Planted> {
    let texts = [
        ("leads: {W: {type: t, from: p/1, to: d/psu1}}\n", "leads"),
        ("W-9: {type: t, from: p/1, to: d/psu1}\n", "W-9"),
        (
            "all:\n  machines:\n    d: {model: m, rack: r}\n",
            "machines",
        ),
        ("hut: {halls: {a: {air: room, wet: yes}}}\n", "halls"),
    ];
    let (text, key) = bench.pick(&texts)?;
    Some(in_a_file_of_its_own(text, key))
}

/// A file is added whose fault is at a key.
fn in_a_file_of_its_own(text: &'static str, key: &str) -> Planted {
    let at = text.find(key).unwrap();
    Planted {
        file: Some(("spare.yaml", text)),
        ..Spot::Bytes("spare.yaml", at, at + key.len()).error()
    }
}

fn takes_in_nothing(bench: &mut Bench) -> Option<Planted> {
    let idle = bench.pick(&["row/**", "*.txt", "rooms/*/*.yaml"])?;
    bench.set(&["site", "files", "take-in"], words(["**/*.y*ml", idle]));
    Some(value(&["site", "files", "take-in", "1"]).error())
}

fn leaves_nothing_out(bench: &mut Bench) -> Option<Planted> {
    let idle = bench.pick(&["drafts", "spare/**", "*.txt"])?;
    bench.set(&["site", "files", "leave-out"], words([idle]));
    Some(value(&["site", "files", "leave-out", "0"]).note())
}

fn no_catalogue(bench: &mut Bench) -> Option<Planted> {
    let named = bench.pick(&["../types", "/types", "../../../types"])?;
    bench.set(&["site", "files", "catalogues"], words([named]));
    Some(value(&["site", "files", "catalogues", "0"]).error())
}

fn rack_in_catalogue(bench: &mut Bench) -> Option<Planted> {
    bench.set(&["site", "files", "catalogues"], words(["../types"]));
    let text = "racks:\n  spare: {}\n";
    Some(Planted {
        file: Some(("../types/spare.yaml", text)),
        ..Spot::Bytes("../types/spare.yaml", 0, "racks".len()).error()
    })
}

fn unfed_strip(bench: &mut Bench) -> Option<Planted> {
    let strip = bench.pick(&bench.names("pdus"))?;
    let mut spare = bench.site.at(&["pdus", &strip])?.clone();
    spare.remove("from");
    bench.set(&["pdus", "spare"], spare);
    Some(key(&["pdus", "spare"]).error())
}

fn departure(rule: &str, at: &str) -> Node {
    map([
        ("rule", rule.into()),
        ("at", at.into()),
        ("reason", "part on order".into()),
        ("agreed-by", "shift lead".into()),
        ("until", "2027-01-31".into()),
    ])
}

/// Adds a departure; says its place in the list.
fn depart(bench: &mut Bench, departure: Node) -> String {
    if !bench.has(&["departures"]) {
        bench.set(&["departures"], Node::List(Vec::new()));
    }
    let Some(Node::List(all)) = bench.site.at_mut(&["departures"]) else {
        panic!("departures are a list");
    };
    all.push(departure);
    (all.len() - 1).to_string()
}

fn placeless(bench: &mut Bench) -> Option<Planted> {
    let mut departure = departure("coupler-mismatch", "");
    departure.remove("at");
    let at = depart(bench, departure);
    Some(key(&["departures", &at, "rule"]).error())
}

fn no_such_day(bench: &mut Bench) -> Option<Planted> {
    let device = bench.pick(&bench.names("devices"))?;
    bench.set(&["devices", &device, "measured"], "2026-09-31");
    bench
        .has(&["devices", &device, "draw"])
        .then(|| value(&["devices", &device, "measured"]).error())
}

fn bare_number(bench: &mut Bench) -> Option<Planted> {
    let model = bench.pick(&bench.names("pdu-models"))?;
    bench.set(&["pdu-models", &model, "ambient-limit"], "45");
    Some(word(&["pdu-models", &model, "ambient-limit"]).error())
}

fn trap(bench: &mut Bench) -> Option<Planted> {
    let kind = bench.pick(&bench.names("cord-types"))?;
    let Some(Node::List(marks)) = bench.site.at_mut(&["cord-types", &kind, "approvals"]) else {
        return None;
    };
    marks.push(Node::Raw("off".into()));
    let at = (marks.len() - 1).to_string();
    Some(value(&["cord-types", &kind, "approvals", &at]).warning())
}

fn twice(bench: &mut Bench) -> Option<Planted> {
    let section = bench.pick(&[
        "zones",
        "racks",
        "supplies",
        "pdu-models",
        "device-models",
        "cord-types",
        "circuits",
        "pdus",
        "devices",
        "cords",
    ])?;
    let name = bench.pick(&bench.names(section))?;
    let thing = bench.site.at(&[section, &name])?.clone();
    bench
        .site
        .at_mut(&[section])?
        .pairs_mut()
        .push((name.clone(), thing));
    Some(key(&[section, &name]).error())
}

fn key_twice(bench: &mut Bench) -> Option<Planted> {
    let section = bench.pick(&[
        "racks",
        "supplies",
        "pdu-models",
        "device-models",
        "cord-types",
        "circuits",
    ])?;
    let name = bench.pick(&bench.names(section))?;
    let thing = bench.site.at_mut(&[section, &name])?;
    let (again, node) = thing.pairs()[0].clone();
    thing.pairs_mut().push((again.clone(), node));
    Some(key(&[section, &name, &again]).error())
}

fn no_such_zone(bench: &mut Bench) -> Option<Planted> {
    let rack = bench.pick(&bench.names("racks"))?;
    let copy = bench
        .site
        .at(&["racks", &rack])?
        .clone()
        .with("zone", "cellar");
    bench.set(&["racks", "spare"], copy);
    Some(word(&["racks", "spare", "zone"]).error())
}

fn no_such_rule(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|_, _| true)?;
    let at = depart(bench, departure("coupler-mismach", &cord.label));
    Some(value(&["departures", &at, "rule"]).error())
}

fn double_booked(bench: &mut Bench) -> Option<Planted> {
    let all = bench.cords();
    let cord = bench.cord(|bench, cord| {
        (bench.metres(cord) - 2.0).abs() > 0.05
            && bench.metres(cord) < 4.0
            && !bench.says(&["site", "routing", "surplus"], "600 mm")
            && cord.is_plain()
            && cord.is_from_strip()
            && all.iter().any(|other| is_beside(bench, cord, other))
    })?;
    let other = all.iter().find(|other| is_beside(bench, &cord, other))?;
    let outlet = format!("{}/{}", other.from.0, other.from.1.as_ref()?);
    bench.set(&["cords", &cord.label, "from"], outlet);
    // The outlet beside its own may be a little farther away.
    let metres = bench.metres(&cord) + 0.1;
    bench.set(&["cords", &cord.label, "length"], format!("{metres:.1} m"));
    Some(Planted::any([
        value(&["cords", &cord.label, "from"]),
        value(&["cords", &other.label, "from"]),
    ]))
}

/// Whether another cord is plugged in beside a cord, in the same bank, for another device.
fn is_beside(bench: &Bench, cord: &super::bench::Cord, other: &super::bench::Cord) -> bool {
    let (Some(outlet), Some(beside)) = (&cord.from.1, &other.from.1) else {
        return false;
    };
    let (own, its): (i32, i32) = (outlet.parse().unwrap(), beside.parse().unwrap());
    cord.from.0 == other.from.0
        && cord.device() != other.device()
        && (own - its).abs() == 1
        && bench.bank(&cord.from.0, outlet) == bench.bank(&cord.from.0, beside)
}

fn unfed_inlet(bench: &mut Bench) -> Option<Planted> {
    let device = bench.pick(&bench.names("devices"))?;
    let model = bench.own_model(&device);
    let inlets = bench.site.at(&["device-models", &model, "inlets"])?;
    let mut inlet = inlets.pairs()[0].1.clone();
    if matches!(inlet, Node::Map(_)) {
        inlet.remove("feed");
    }
    let has_shares = inlet.get("share").is_some();
    bench.set(&["device-models", &model, "inlets", "psu9"], inlet);
    (!has_shares).then(|| key(&["devices", &device]).warning())
}

fn ring(bench: &mut Bench) -> Option<Planted> {
    let strip = bench.pick(&bench.names("pdus"))?;
    let model = bench.text(&["pdus", &strip, "model"]);
    let outlet = bench.free(&strip).first()?.0.clone();
    let copy = bench.site.at(&["pdus", &strip])?.clone();
    for (name, other) in [("ring-1", "ring-2"), ("ring-2", "ring-1")] {
        let copy = copy
            .clone()
            .with("model", model.as_str())
            .with("from", format!("{other}/{outlet}"));
        bench.set(&["pdus", name], copy);
    }
    Some(Planted::any([
        value(&["pdus", "ring-1", "from"]),
        value(&["pdus", "ring-2", "from"]),
    ]))
}

fn idle(bench: &mut Bench) -> Option<Planted> {
    let section = bench.pick(&[
        "zones",
        "racks",
        "pdu-models",
        "device-models",
        "cord-types",
    ])?;
    let name = bench.pick(&bench.names(section))?;
    let copy = bench.site.at(&[section, &name])?.clone();
    bench.set(&[section, "left-over"], copy);
    Some(key(&[section, "left-over"]).note())
}

fn unmeasured(bench: &mut Bench) -> Option<Planted> {
    let device = bench.pick(&bench.names("devices"))?;
    let draw = bench.site.at_mut(&["devices", &device])?.remove("draw")?;
    bench.site.at_mut(&["devices", &device])?.remove("measured");
    // The nameplate counts now, and must not be more than the draw was.
    let model = bench.own_model(&device);
    bench.set(&["device-models", &model, "rating"], draw);
    Some(key(&["devices", &device]).note())
}

fn old(bench: &mut Bench) -> Option<Planted> {
    let device = bench.pick(&bench.names("devices"))?;
    bench.set(&["devices", &device, "measured"], "2025-11-24");
    bench
        .has(&["devices", &device, "draw"])
        .then(|| value(&["devices", &device, "measured"]).note())
}

fn lapsed(bench: &mut Bench) -> Option<Planted> {
    if !bench.has(&["departures"]) {
        return None;
    }
    bench.set(&["departures", "0", "until"], "2026-11-24");
    Some(value(&["departures", "0", "until"]).error())
}

fn off(bench: &mut Bench) -> Option<Planted> {
    let rule = bench.pick(&["cord-too-short", "load-basis", "inrush"])?;
    bench.set(&["site", "levels", rule], "off");
    Some(value(&["site", "levels", rule]).error())
}

fn idle_departure(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|_, _| true)?;
    let at = depart(bench, departure("coupler-mismatch", &cord.label));
    Some(value(&["departures", &at, "at"]).warning())
}

fn snag(_: &mut Bench) -> Option<Planted> {
    let line = "0123456789abcdef error   coupler-mismatch W-1\n";
    Some(Planted {
        file: Some(("cordwright-snags.txt", line)),
        ..Spot::Bytes("cordwright-snags.txt", 0, line.trim_end().len()).warning()
    })
}
