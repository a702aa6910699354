//! Mistakes of circuits, strips and redundancy.

use super::super::sound::tree::{Node, map};
use super::bench::{Bench, Cord};
use super::{Mutator, Planted, value};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "outlet-unprotected",
        what: "an outlet rated below the breaker",
        also: &[],
        plant: unprotected,
    },
    Mutator {
        rule: "input-chain-mismatch",
        what: "a strip rated above its plug",
        also: &[],
        plant: chain,
    },
    Mutator {
        rule: "receptacle-shared",
        what: "two plugs for one receptacle",
        also: &[],
        plant: two_plugs,
    },
    Mutator {
        rule: "pdu-in-series",
        what: "a strip plugged into a strip",
        also: &[],
        plant: series,
    },
    Mutator {
        rule: "pdu-too-hot",
        what: "a strip made for cooler air",
        also: &[(
            "coupler-in-hot-air",
            "nobody answers for its outlets any more",
        )],
        plant: hot_strip,
    },
    Mutator {
        rule: "feed-shared",
        what: "both inlets on one strip",
        also: &[],
        plant: shared,
    },
    Mutator {
        rule: "supplies-insufficient",
        what: "a power supply too small for the device",
        also: &[],
        plant: too_small,
    },
    Mutator {
        rule: "single-corded",
        what: "a critical device on one cord",
        also: &[],
        plant: single,
    },
    Mutator {
        rule: "earth-leakage",
        what: "equipment that leaks much",
        also: &[],
        plant: leaks,
    },
    Mutator {
        rule: "rcd-leakage",
        what: "a residual current device too fine",
        also: &[],
        plant: fine,
    },
    Mutator {
        rule: "rcd-type-unfit",
        what: "a residual current device that sees sine waves only",
        also: &[],
        plant: blind,
    },
    Mutator {
        rule: "socket-without-rcd",
        what: "a residual current device too coarse for a household socket of ordinary people",
        also: &[(
            "socket-without-rcd",
            "they use the sockets of strips as well",
        )],
        plant: coarse,
    },
    Mutator {
        rule: "inrush",
        what: "equipment of great inrush",
        also: &[("inrush", "bank and circuit both switch it on")],
        plant: inrush,
    },
    Mutator {
        rule: "transfer-too-slow",
        what: "a transfer switch slower than what hangs behind it rides through",
        also: &[("space-shared", "the device added stands where another does")],
        plant: slow_transfer,
    },
];

fn unprotected(bench: &mut Bench) -> Option<Planted> {
    let strip = bench.pick(&bench.names("pdus"))?;
    let (outlet, _) = bench.pick(&bench.free(&strip))?;
    // Where no breaker is on record it is asked whether there is one, unless there is none.
    let model = bench.own_strip(&strip);
    bench.set(&["pdu-models", &model, "breakers"], "none");
    let path = bench.own_outlet(&strip, &outlet, |outlet| outlet.set("rating", "2 A"));
    let path: Vec<&str> = path.iter().map(String::as_str).collect();
    let at = [path.as_slice(), &["coupler"]].concat();
    Some(value(&at).error())
}

fn chain(bench: &mut Bench) -> Option<Planted> {
    let strip = bench.pick(&bench.names("pdus"))?;
    let model = bench.own_strip(&strip);
    let rating = bench.site.at(&["pdu-models", &model, "rating"])?.number();
    bench.set(
        &["pdu-models", &model, "rating"],
        format!("{} A", rating * 1.5),
    );
    Some(value(&["pdu-models", &model, "rating"]).into())
}

fn two_plugs(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| !bench.beside(cord).is_empty())?;
    let receptacles = ["circuits", cord.from.0.as_str(), "receptacles"];
    bench.set(&receptacles, "1");
    Some(value(&receptacles).error())
}

/// What a bank that an outlet feeds hangs between.
fn between(bench: &Bench, strip: &str, outlet: &str) -> &'static str {
    let (bank, _) = bench.bank(strip, outlet);
    let model = bench.text(&["pdus", strip, "model"]);
    let between = bench.text(&["pdu-models", &model, "banks", &bank, "between"]);
    if between.contains('N') {
        "L1-N"
    } else {
        "L1-L2"
    }
}

fn series(bench: &mut Bench) -> Option<Planted> {
    let strip = bench.pick(&bench.names("pdus"))?;
    let rack = bench.text(&["pdus", &strip, "rack"]);
    let zone = bench.text(&["racks", &rack, "zone"]);
    if bench.is_shaken(&zone) || bench.says(&["zones", &zone, "halogen-free"], "required") {
        return None;
    }
    let free: Vec<(String, String)> = bench
        .free(&strip)
        .into_iter()
        .filter(|(_, coupler)| coupler == "C19")
        .collect();
    let (outlet, _) = bench.pick(&free)?;
    let nec = bench.is_nec();
    let breaker = map([
        ("rating", if nec { "15 A" } else { "10 A" }.into()),
        ("curve", if nec { "inverse-time" } else { "C" }.into()),
        ("breaking-capacity", "10 kA".into()),
    ]);
    let bank = map([
        ("between", between(bench, &strip, &outlet).into()),
        ("breaker", breaker),
        ("outlets", map([("1-4", "C13".into())])),
    ]);
    let cord = map([
        ("cordage", if nec { "STOOW" } else { "H07RN-F" }.into()),
        ("conductor", if nec { "10 AWG" } else { "4 mm²" }.into()),
        ("length", "2 m".into()),
    ]);
    let model = map([
        ("ambient-limit", "50 °C".into()),
        ("plug", "C20".into()),
        ("rating", if nec { "12 A" } else { "16 A" }.into()),
        ("cord", cord),
        ("banks", map([("B1", bank)])),
        ("outlet-pitch", "28 mm".into()),
        ("first-outlet", "60 mm".into()),
    ]);
    bench.set(&["pdu-models", "small"], model);
    let mount = bench.site.at(&["pdus", &strip, "mount"])?.clone();
    let extra = map([
        ("model", "small".into()),
        ("rack", rack.into()),
        ("from", format!("{strip}/{outlet}").into()),
        ("mount", mount),
    ]);
    bench.set(&["pdus", "extra"], extra);
    Some(value(&["pdus", "extra", "from"]).error())
}

/// Equipment of two inlets becomes a transfer switch, to which a small load comes with a cord of its own.
fn slow_transfer(bench: &mut Bench) -> Option<Planted> {
    if bench.has(&["site", "routing", "surplus"]) {
        return None;
    }
    let is_plain = |cord: &Cord| cord.is_from_strip() && cord.is_plain();
    let cord = bench.cord(|bench, cord| {
        let two = || bench.cords_of(cord.device());
        let inlets = ["device-models", &bench.model(cord.device()), "inlets"];
        let inlets = bench.site.at(&inlets).map_or(0, |all| all.pairs().len());
        is_plain(cord)
            && inlets == 2
            && !bench.has(&["devices", cord.device(), "inlets"])
            && two().len() == 2
            && two().iter().all(is_plain)
            && !bench.is_shaken(&bench.zone(cord.device()))
            && bench.says(&["cord-types", &cord.kind, "connector"], "C13")
            && bench.says(&["cord-types", &cord.kind, "plug"], "C14")
    })?;
    let device = cord.device().to_owned();
    // What has outlets behind it is not limited by a load.
    let size = if bench.is_nec() { "12 AWG" } else { "2.5 mm²" };
    for cord in bench.cords_of(&device) {
        let kind = bench.own_kind(&cord);
        bench.set(&["cord-types", &kind, "conductor"], size);
    }
    let kind = bench.text(&["cords", &cord.label, "type"]);
    let model = bench.own_model(&device);
    let mut little = bench.site.at(&["device-models", &model])?.clone();
    little.set("inrush", "0.1 A");
    little.set("earth-current", "0.01 mA");
    little.set("inlets", map([("psu1", "C14".into())]));
    little.set("inlets-needed", "1");
    little.set("ride-through", "10 ms");
    little.remove("rail-travel");
    bench.set(&["device-models", "little"], little);
    let transfer = map([("kind", "automatic".into()), ("time", "20 ms".into())]);
    bench.set(&["device-models", &model, "transfer"], transfer);
    let outlet = map([("coupler", "C13".into()), ("rating", "10 A".into())]);
    bench.set(&["device-models", &model, "outlets"], map([("1", outlet)]));
    let own = bench.site.at(&["devices", &device])?.clone();
    let own = own.with("model", "little").with("draw", "1 W");
    bench.set(&["devices", "little-1"], own);
    let plain = bench.site.at(&["cord-types", &kind])?.clone();
    let held = map([("plug", "none".into()), ("connector", "none".into())]);
    bench.set(
        &["cord-types", "to-little"],
        plain.with("retention", held).with("length", "2 m"),
    );
    let more = map([
        ("type", "to-little".into()),
        ("from", format!("{device}/1").into()),
        ("to", "little-1/psu1".into()),
    ]);
    bench.set(&["cords", "W-9998"], more);
    Some(value(&["device-models", "little", "ride-through"]).error())
}

fn hot_strip(bench: &mut Bench) -> Option<Planted> {
    let strip = bench.pick(&bench.names("pdus"))?;
    let model = bench.own_strip(&strip);
    bench.set(&["pdu-models", &model, "ambient-limit"], "20 °C");
    Some(value(&["pdus", &strip, "model"]).error())
}

fn shared(bench: &mut Bench) -> Option<Planted> {
    if bench.has(&["site", "routing", "surplus"]) {
        return None;
    }
    let plain = |bench: &Bench, cord: &Cord| {
        let model = bench.model(cord.device());
        let declared = bench.has(&["device-models", &model, "inlets", cord.inlet(), "feed"]);
        cord.is_from_strip()
            && cord.is_plain()
            && !declared
            && bench.cords_of(cord.device()).len() == 2
    };
    let cord = bench.cord(|bench, cord| {
        let model = bench.model(cord.device());
        let inlets = bench.site.at(&["device-models", &model, "inlets"]);
        let holds = inlets
            .unwrap()
            .pairs()
            .iter()
            .map(|(_, inlet)| inlet.get("retention"));
        let holds: Vec<_> = holds.collect();
        let is_thin = bench.cords_of(cord.device()).iter().any(|cord| {
            let size = bench.text(&["cord-types", &cord.kind, "conductor"]);
            let is_large = bench.says(&["cord-types", &cord.kind, "connector"], "C19");
            ["0.75 mm²", "18 AWG"].contains(&size.as_str()) || is_large
        });
        let mates = bench.cords_of(cord.device());
        let other = mates.iter().find(|other| other.label != cord.label);
        plain(bench, cord)
            && !is_thin
            && holds.windows(2).all(|two| two[0] == two[1])
            && other.is_some_and(|other| tells_what_it_lets_through(bench, other))
    })?;
    let mates = bench.cords_of(cord.device());
    let other = mates.into_iter().find(|other| other.label != cord.label)?;
    // Beside the other one, on a cord like it, with as much to spare as two inlets may be apart.
    let strip = other.from.0.clone();
    let (bank, _) = bench.bank(&strip, other.from.1.as_ref()?);
    let free: Vec<(String, String)> = bench.free(&strip);
    let free: Vec<String> = free
        .into_iter()
        .map(|(outlet, _)| outlet)
        .filter(|outlet| bench.bank(&strip, outlet).0 == bank)
        .collect();
    let outlet = bench.pick(&free)?;
    let metres = bench.metres(&other) + 0.6;
    bench.set(&["cords", &cord.label, "from"], format!("{strip}/{outlet}"));
    bench.set(&["cords", &cord.label, "type"], other.kind.as_str());
    bench.set(&["cords", &cord.label, "length"], format!("{metres:.2} m"));
    // One breaker now switches both inlets on.
    let model = bench.own_model(cord.device());
    bench.set(&["device-models", &model, "inrush"], "2 A");
    let is_used = bench.cords().iter().any(|left| left.kind == cord.kind);
    if !is_used {
        bench.site.at_mut(&["cord-types"])?.remove(&cord.kind);
    }
    Some(Planted::any([
        value(&["cords", &cord.label, "from"]),
        value(&["cords", &other.label, "from"]),
    ]))
}

/// Whether what the bank of a cord lets through is given, or the bank has no breaker.
fn tells_what_it_lets_through(bench: &Bench, cord: &Cord) -> bool {
    let (strip, outlet) = &cord.from;
    let Some(outlet) = outlet else {
        return false;
    };
    let (bank, _) = bench.bank(strip, outlet);
    let model = bench.text(&["pdus", strip, "model"]);
    let breaker = bench
        .site
        .at(&["pdu-models", &model, "banks", &bank, "breaker"]);
    breaker.is_none_or(|breaker| breaker.get("let-through").is_some())
}

fn too_small(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        let model = bench.model(cord.device());
        let capacity = ["device-models", &model, "inlets", cord.inlet(), "capacity"];
        bench.has(&capacity)
            && bench.cords_of(cord.device()).len() == 2
            && bench.has(&["devices", cord.device(), "draw"])
    })?;
    let model = bench.own_model(cord.device());
    bench.set(
        &["device-models", &model, "inlets", cord.inlet(), "capacity"],
        "5 W",
    );
    Some(value(&["devices", cord.device(), "draw"]).error())
}

fn single(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| bench.cords_of(cord.device()).len() == 1)?;
    bench.set(&["devices", cord.device(), "critical"], "yes");
    Some(value(&["devices", cord.device(), "critical"]).warning())
}

fn leaks(bench: &mut Bench) -> Option<Planted> {
    if bench.is_nec() {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        let circuit = bench.circuit(cord);
        let thick = ["10 mm²", "16 mm²", "25 mm²"].contains(
            &bench
                .text(&["circuits", &circuit, "wiring", "conductor"])
                .as_str(),
        );
        let guarded = thick
            || bench.has(&["circuits", &circuit, "high-integrity-earth"])
            || bench.has(&["circuits", &circuit, "rcd"]);
        cord.is_plain()
            && !guarded
            && bench.cords_of(cord.device()).len() == 1
            && bench.has(&[
                "device-models",
                &bench.model(cord.device()),
                "earth-current",
            ])
    })?;
    let model = bench.own_model(cord.device());
    bench.set(&["device-models", &model, "earth-current"], "12 mA");
    let circuit = bench.circuit(&cord);
    Some(super::key(&["circuits", &circuit]).warning())
}

fn coarse(bench: &mut Bench) -> Option<Planted> {
    if bench.is_nec() {
        return None;
    }
    let is_household = |bench: &Bench, circuit: &str| {
        let socket = bench.text(&["circuits", circuit, "receptacle"]);
        !socket.is_empty() && !socket.starts_with("IEC") && !socket.starts_with("NEMA")
    };
    let circuits = bench.names("circuits");
    let circuits: Vec<String> = circuits
        .into_iter()
        .filter(|circuit| is_household(bench, circuit))
        .collect();
    let circuit = bench.pick(&circuits)?;
    bench.set(&["site", "users"], "ordinary");
    bench.set(&["circuits", &circuit, "rcd"], "300 mA");
    Some(value(&["circuits", &circuit, "rcd"]).warning())
}

fn blind(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        let circuit = bench.circuit(cord);
        bench.has(&["circuits", &circuit, "rcd"])
    })?;
    let circuit = bench.circuit(&cord);
    let path = ["circuits", &circuit, "rcd"];
    let own = ["circuits", &circuit, "rcd", "rated"];
    let rated = match bench.has(&own) {
        true => bench.text(&own),
        false => bench.text(&path),
    };
    bench.set(&path, map([("rated", rated.into()), ("type", "AC".into())]));
    Some(value(&["circuits", &circuit, "rcd", "type"]).warning())
}

fn fine(bench: &mut Bench) -> Option<Planted> {
    let leaking = |bench: &Bench, circuit: &str| -> f64 {
        let cords = bench
            .cords()
            .into_iter()
            .filter(|cord| bench.circuit(cord) == circuit);
        let earth = |device: &str| {
            bench
                .site
                .at(&["device-models", &bench.model(device), "earth-current"])
                .map_or(0.0, Node::number)
        };
        cords
            .map(|cord| {
                cord.ends
                    .iter()
                    .map(|(device, _)| earth(device))
                    .sum::<f64>()
            })
            .sum()
    };
    let circuits: Vec<String> = bench
        .names("circuits")
        .into_iter()
        .filter(|circuit| leaking(bench, circuit) > 1.9)
        .collect();
    let circuit = bench.pick(&circuits)?;
    bench.set(&["circuits", &circuit, "rcd"], "6 mA");
    Some(value(&["circuits", &circuit, "rcd"]).warning())
}

fn inrush(bench: &mut Bench) -> Option<Planted> {
    let cord =
        bench.cord(|bench, cord| cord.is_plain() && bench.cords_of(cord.device()).len() == 1)?;
    let model = bench.own_model(cord.device());
    bench.set(&["device-models", &model, "inrush"], "400 A");
    let circuit = bench.circuit(&cord);
    let mut spots = vec![value(&["circuits", &circuit, "breaker", "curve"])];
    if let Some(outlet) = &cord.from.1 {
        let (bank, _) = bench.bank(&cord.from.0, outlet);
        let strip = bench.text(&["pdus", &cord.from.0, "model"]);
        spots.push(value(&[
            "pdu-models",
            &strip,
            "banks",
            &bank,
            "breaker",
            "curve",
        ]));
    }
    Some(Planted::any(spots))
}
