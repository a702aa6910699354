//! Mistakes of couplers.

use cordwright::finding::Level;

use super::super::sound::tree::{Node, map};
use super::bench::{Bench, Cord};
use super::{Mutator, Planted, key, value};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "coupler-mismatch",
        what: "a connector that does not enter the inlet",
        also: &[],
        plant: mismatch,
    },
    Mutator {
        rule: "coupler-mismatch",
        what: "a plug that does not enter the outlet",
        also: &[],
        plant: wrong_outlet,
    },
    Mutator {
        rule: "coupler-overloaded",
        what: "an inlet rated below its load",
        also: &[(
            "nameplate-above-inlets",
            "what is below the load is below the nameplate",
        )],
        plant: overloaded,
    },
    Mutator {
        rule: "nameplate-above-inlets",
        what: "a nameplate of another order than its inlets",
        also: &[(
            "conductor-unprotected",
            "a device that cannot take more spares its cord from overload",
        )],
        plant: nameplate,
    },
    Mutator {
        rule: "rating-foreign",
        what: "15 A on a C13 under IEC practice",
        also: &[],
        plant: foreign,
    },
    Mutator {
        rule: "coupler-temperature",
        what: "a cord that softens on a hot inlet",
        also: &[],
        plant: soft,
    },
    Mutator {
        rule: "coupler-in-hot-air",
        what: "an inlet near its rating in hot air",
        also: &[(
            "nameplate-above-inlets",
            "a rating near the load may be below the nameplate",
        )],
        plant: hot_air,
    },
    Mutator {
        rule: "coupler-in-hot-air",
        what: "a cord in air that no coupler is rated for",
        also: &[],
        plant: unrated_air,
    },
    Mutator {
        rule: "coupler-in-hot-air",
        what: "a cord declared for less than its load",
        also: &[],
        plant: low_declaration,
    },
    Mutator {
        rule: "coupler-in-the-wet",
        what: "an ordinary connector in a wet place",
        also: &[(
            "jacket-duty",
            "the jacket of the cord may not be made for wet places",
        )],
        plant: wet_connector,
    },
    Mutator {
        rule: "coupler-in-the-wet",
        what: "a rack that lets splashes in",
        also: &[("coupler-in-the-wet", "plugs of several kinds may be in it")],
        plant: leaky_rack,
    },
    Mutator {
        rule: "earth-interrupted",
        what: "a cord of two cores",
        also: &[],
        plant: two_cores,
    },
    Mutator {
        rule: "earth-interrupted",
        what: "a supply without a protective conductor",
        also: &[],
        plant: no_earth,
    },
    Mutator {
        rule: "neutral-missing",
        what: "a circuit without a neutral",
        also: &[],
        plant: no_neutral,
    },
    Mutator {
        rule: "voltage-out-of-range",
        what: "a device made for another voltage",
        also: &[],
        plant: voltage,
    },
    Mutator {
        rule: "plug-below-connector",
        what: "a C14 plug with a C19 connector",
        also: &[(
            "idle-definition",
            "a set that were in use would not fit its outlet or its inlet",
        )],
        plant: small_plug,
    },
    Mutator {
        rule: "plug-fuse",
        what: "a fuse in a plug that has none",
        also: &[],
        plant: no_fuse,
    },
    Mutator {
        rule: "plug-fuse",
        what: "a fuse below the load",
        also: &[],
        plant: small_fuse,
    },
    Mutator {
        rule: "polarity-unassured",
        what: "a strip on a reversible plug",
        also: &[(
            "socket-without-rcd",
            "a reversible socket is a household one",
        )],
        plant: reversible,
    },
];

fn mismatch(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        cord.is_plain() && bench.says(&["cord-types", &cord.kind, "connector"], "C13")
    })?;
    let model = bench.own_model(cord.device());
    let hot = coupler(bench, &model, cord.inlet()).with("coupler", "C16");
    bench.set(&["device-models", &model, "inlets", cord.inlet()], hot);
    Some(value(&["cords", &cord.label, "type"]).error())
}

/// An inlet of a model, written out.
pub fn coupler(bench: &Bench, model: &str, inlet: &str) -> Node {
    let inlet = bench.site.at(&["device-models", model, "inlets", inlet]);
    match inlet.unwrap() {
        Node::Word(coupler) => map([("coupler", coupler.as_str().into())]),
        other => other.clone(),
    }
}

fn wrong_outlet(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| cord.is_from_strip() && bench.outlet(cord) == "C13")?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "plug"], "C20");
    Some(value(&["cords", &cord.label, "type"]).error())
}

fn rate_inlet(bench: &mut Bench, cord: &Cord, amperes: f64) -> String {
    let model = bench.own_model(cord.device());
    let inlet = coupler(bench, &model, cord.inlet()).with("rating", format!("{amperes:.3} A"));
    bench.set(&["device-models", &model, "inlets", cord.inlet()], inlet);
    model
}

/// Whether all of the device's load may come to one cord: it has that one alone, or two on two feeds.
pub fn may_carry_all(bench: &Bench, cord: &Cord) -> bool {
    cord.is_plain() && bench.cords_of(cord.device()).len() <= 2
}

/// Whether the air at the end of a cord is above 35 °C.
pub fn is_hot(bench: &Bench, cord: &Cord) -> bool {
    bench.celsius(&bench.zone(cord.device())) > 35.0
}

fn overloaded(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        may_carry_all(bench, cord) && bench.whole(cord) > 0.2 && !is_hot(bench, cord)
    })?;
    let whole = bench.whole(&cord);
    let model = rate_inlet(bench, &cord, whole * 0.9);
    Some(value(&["device-models", &model, "inlets", cord.inlet(), "coupler"]).into())
}

fn foreign(bench: &mut Bench) -> Option<Planted> {
    if bench.is_nec() {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        cord.is_plain() && bench.says(&["cord-types", &cord.kind, "connector"], "C13")
    })?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "rating"], "15 A");
    Some(value(&["cord-types", &kind, "rating"]).error())
}

fn soft(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        bench.says(&["cord-types", &cord.kind, "connector"], "C15") && is_plain_zone(bench, cord)
    })?;
    let kind = bench.own_kind(&cord);
    let cordage = if bench.is_nec() { "SJT" } else { "H05VV-F" };
    bench.set(&["cord-types", &kind, "cordage"], cordage);
    Some(value(&["cord-types", &kind, "cordage"]).warning())
}

/// Whether the zone of a cord asks nothing special of its jacket.
pub fn is_plain_zone(bench: &Bench, cord: &Cord) -> bool {
    let zone = bench.zone(cord.device());
    let plain = |key: &str, word: &str| !bench.says(&["zones", &zone, key], word);
    plain("oil", "yes")
        && plain("wet", "yes")
        && plain("duty", "heavy")
        && plain("halogen-free", "required")
}

fn hot_air(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        may_carry_all(bench, cord) && bench.whole(cord) > 0.5 && is_hot(bench, cord)
    })?;
    // No more than a twentieth is added by the voltage lost on the way.
    let whole = bench.whole(&cord);
    let model = rate_inlet(bench, &cord, whole * 1.12);
    Some(value(&["device-models", &model, "inlets", cord.inlet(), "coupler"]).warning())
}

fn unrated_air(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        !cord.is_from_strip() && !bench.has(&["cord-types", &cord.kind, "hot-air"])
    })?;
    let zone = bench.own_zone(cord.device(), "ambient", "43 °C");
    Some(value(&["zones", &zone, "ambient"]).warning())
}

fn low_declaration(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        may_carry_all(bench, cord)
            && bench.has(&["cord-types", &cord.kind, "hot-air"])
            && bench.whole(cord) > 0.2
            && cord.is_from_strip()
    })?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "hot-air", "amperes"], "0.1 A");
    let ends = ["plug", "connector"].map(|end| value(&["cord-types", &kind, end]));
    Some(Planted::any(ends))
}

fn wet_connector(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        !cord.is_from_strip() && !bench.has(&["cord-types", &cord.kind, "connector-ip"])
    })?;
    let zone = bench.own_zone(cord.device(), "wet", "yes");
    bench.set(&["circuits", &cord.from.0, "receptacle-ip"], "IP44");
    Some(value(&["zones", &zone, "wet"]).error())
}

fn leaky_rack(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        cord.is_from_strip() && bench.says(&["zones", &bench.zone(cord.device()), "wet"], "yes")
    })?;
    let zone = bench.zone(cord.device());
    let rack = bench.text(&["pdus", &cord.from.0, "rack"]);
    bench.set(&["racks", &rack, "ip"], "IP53");
    Some(value(&["zones", &zone, "wet"]).into())
}

fn two_cores(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        bench.says(
            &["device-models", &bench.model(cord.device()), "class"],
            "I",
        )
    })?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "cores"], "2");
    Some(value(&["cord-types", &kind, "cores"]).error())
}

fn no_earth(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        let model = bench.model(cord.device());
        bench.says(&["device-models", &model, "class"], "I")
    })?;
    let supply = bench.text(&["circuits", &bench.circuit(&cord), "from"]);
    let says = ["supplies", supply.as_str(), "protective-conductor"];
    bench.set(&says, "none");
    Some(value(&says).error())
}

fn nameplate(bench: &mut Bench) -> Option<Planted> {
    // Without a draw the nameplate is the load, and everything above it is overloaded.
    let cord = bench.cord(|bench, cord| bench.has(&["devices", cord.device(), "draw"]))?;
    let model = bench.own_model(cord.device());
    let rating = ["device-models", model.as_str(), "rating"];
    bench.set(&rating, "30 kW");
    Some(value(&rating).warning())
}

fn no_neutral(bench: &mut Bench) -> Option<Planted> {
    // On a strip with nothing plugged in, so that no load is left without a path.
    let strips = bench.names("pdus");
    let has_neutral = |strip: &&String| {
        let circuit = bench.text(&["pdus", strip, "from"]);
        bench.has(&["circuits", &circuit, "poles", "3"])
    };
    let strips: Vec<String> = strips.iter().filter(has_neutral).cloned().collect();
    let strip = bench.pick(&strips)?;
    let circuit = bench.text(&["pdus", &strip, "from"]);
    let copy = bench.site.at(&["circuits", &circuit])?.clone();
    bench.set(&["circuits", "new"], copy);
    let Some(Node::List(poles)) = bench.site.at_mut(&["circuits", "new", "poles"]) else {
        return None;
    };
    poles.truncate(3);
    let copy = bench.site.at(&["pdus", &strip])?.clone();
    bench.set(&["pdus", "new-strip"], copy.with("from", "new"));
    Some(value(&["circuits", "new", "poles", "2"]).error())
}

fn voltage(bench: &mut Bench) -> Option<Planted> {
    let cord =
        bench.cord(|bench, cord| cord.is_plain() && bench.cords_of(cord.device()).len() == 1)?;
    let model = bench.own_model(cord.device());
    let range = if bench.volts(&cord) > 190.0 {
        "100–127 V"
    } else {
        "200–240 V"
    };
    bench.set(&["device-models", &model, "voltage"], range);
    Some(key(&["cords", &cord.label]).error())
}

fn small_plug(bench: &mut Bench) -> Option<Planted> {
    let kind = bench.pick(&bench.names("cord-types"))?;
    let approvals = bench.site.at(&["cord-types", &kind, "approvals"])?.clone();
    let nec = bench.is_nec();
    let spare = map([
        ("plug", "C14".into()),
        ("connector", "C19".into()),
        ("conductor", if nec { "12 AWG" } else { "1.5 mm²" }.into()),
        ("cordage", if nec { "SJT" } else { "H05VV-F" }.into()),
        ("length", "2 m".into()),
        ("approvals", approvals),
    ]);
    bench.set(&["cord-types", "spare"], spare);
    let level = if nec { Level::Note } else { Level::Error };
    Some(value(&["cord-types", "spare", "plug"]).level(level))
}

fn no_fuse(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        cord.is_plain() && !bench.says(&["cord-types", &cord.kind, "plug"], "BS 1363")
    })?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "fuse"], "13 A");
    Some(value(&["cord-types", &kind, "fuse"]).error())
}

fn small_fuse(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        bench.has(&["cord-types", &cord.kind, "fuse"]) && bench.whole(cord) > 0.55
    })?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "fuse"], "0.5 A");
    Some(value(&["cord-types", &kind, "fuse"]).error())
}

fn reversible(bench: &mut Bench) -> Option<Planted> {
    let country = bench.text(&["site", "country"]);
    let is_home = ["DE", "FR", "SE", "NL", "NO"].contains(&country.as_str());
    let strips = bench.names("pdus");
    let does = |strip: &&String| {
        let model = bench.text(&["pdus", strip, "model"]);
        let banks = bench.site.at(&["pdu-models", &model, "banks"]).unwrap();
        let zone = bench.text(&["racks", &bench.text(&["pdus", strip, "rack"]), "zone"]);
        bench.says(&["pdu-models", &model, "plug"], "IEC 60309 16 A 2P+E 6h")
            && banks
                .pairs()
                .iter()
                .any(|(_, bank)| bank.get("breaker").is_some())
            && bench.says(
                &[
                    "circuits",
                    &bench.text(&["pdus", strip, "from"]),
                    "poles",
                    "1",
                ],
                "N",
            )
            && !bench.is_shaken(&zone)
    };
    let strips: Vec<String> = strips.iter().filter(does).cloned().collect();
    let strip = bench.pick(&strips).filter(|_| is_home)?;
    let circuit = bench.text(&["pdus", &strip, "from"]);
    let model = bench.own_strip(&strip);
    bench.set(&["pdu-models", &model, "plug"], "CEE 7/7");
    bench.set(&["circuits", &circuit, "receptacle"], "CEE 7/3");
    // An ordinary plug asks for more of the protective conductor.
    bench.set(&["circuits", &circuit, "high-integrity-earth"], "yes");
    Some(value(&["pdu-models", &model, "plug"]).note())
}

impl Bench {
    /// The coupler of the outlet of a cord.
    pub fn outlet(&self, cord: &Cord) -> String {
        let Some(outlet) = &cord.from.1 else {
            return self.text(&["circuits", &cord.from.0, "receptacle"]);
        };
        let (bank, range) = self.bank(&cord.from.0, outlet);
        let model = self.text(&["pdus", &cord.from.0, "model"]);
        let outlet = self
            .site
            .at(&["pdu-models", &model, "banks", &bank, "outlets", &range])
            .unwrap();
        outlet.get("coupler").unwrap_or(outlet).text().to_owned()
    }
}
