//! Mistakes of conductors and their protection.

use super::super::sound::tree::{Node, words};
use super::bench::{Bench, Cord};
use super::couplers::{is_plain_zone, may_carry_all};
use super::{Mutator, Planted, value};

const SAME: &str = "what else hangs there is told as well";

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "conductor-underrated",
        what: "conductors too thin for their load",
        also: &[
            (
                "conductor-below-minimum",
                "0.5 mm² is below what a C13 set must have",
            ),
            (
                "conductor-unprotected",
                "what cannot carry its load cannot carry its larger breaker's current",
            ),
            (
                "fault-withstand",
                "0.5 mm² also bears less of a short circuit",
            ),
        ],
        plant: thin,
    },
    Mutator {
        rule: "conductor-underrated",
        what: "a coil under load",
        also: &[],
        plant: coiled,
    },
    Mutator {
        rule: "conductor-below-minimum",
        what: "a thin set made longer",
        also: &[],
        plant: long_and_thin,
    },
    Mutator {
        rule: "conductor-below-minimum",
        what: "a thin set marked 15 A",
        also: &[],
        plant: marked_above,
    },
    Mutator {
        rule: "size-not-made",
        what: "a cordage in a size that nobody makes",
        also: &[],
        plant: not_made,
    },
    Mutator {
        rule: "conductor-unprotected",
        what: "equipment that can overload its cord",
        also: &[(
            "nameplate-above-inlets",
            "what overloads the cord may be above the inlet as well",
        )],
        plant: can_overload,
    },
    Mutator {
        rule: "conductor-unprotected",
        what: "a set that is not listed",
        also: &[("approval-missing", "no mark is what makes it unlisted")],
        plant: unlisted,
    },
    Mutator {
        rule: "fault-withstand",
        what: "a breaker that lets much through",
        also: &[("fault-withstand", SAME)],
        plant: let_through,
    },
    Mutator {
        rule: "slow-disconnection",
        what: "a protective conductor of high resistance",
        also: &[("slow-disconnection", SAME)],
        plant: poor_earth,
    },
    Mutator {
        rule: "breaking-capacity",
        what: "a circuit's breaker that breaks little",
        also: &[],
        plant: weak_breaker,
    },
    Mutator {
        rule: "breaking-capacity",
        what: "a bank's breaker that breaks little",
        also: &[],
        plant: weak_bank,
    },
    Mutator {
        rule: "voltage-drop",
        what: "a cord of high resistance",
        also: &[],
        plant: lossy,
    },
];

fn thin(bench: &mut Bench) -> Option<Planted> {
    if bench.is_nec() {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        let zone = bench.zone(cord.device());
        let is_rough = bench.says(&["zones", &zone, "duty"], "ordinary");
        let says_nothing = !is_rough && bench.celsius(&zone) <= 30.0;
        may_carry_all(bench, cord)
            && bench.says(&["cord-types", &cord.kind, "connector"], "C13")
            // More than that would also be lost along it.
            && (3.0..6.0).contains(&bench.whole(cord))
            && is_plain_zone(bench, cord)
            && says_nothing
    })?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "conductor"], "0.5 mm²");
    bench.set(&["cord-types", &kind, "cordage"], "H03VV-F");
    Some(value(&["cords", &cord.label, "type"]).error())
}

fn coiled(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        may_carry_all(bench, cord)
            && !bench.has(&["cords", &cord.label, "bundle"])
            && is_of_low_heat(bench, cord)
            && bench.whole(cord) > 0.66 * bench.bears(cord)
    })?;
    bench.set(&["cords", &cord.label, "surplus"], "coiled");
    Some(value(&["cords", &cord.label, "surplus"]).warning())
}

/// Whether the cordage of a cord is of those that warm air takes all the more from.
fn is_of_low_heat(bench: &Bench, cord: &Cord) -> bool {
    let cordage = bench.text(&["cord-types", &cord.kind, "cordage"]);
    !["H05V2V2-F", "H07ZZ-F"].contains(&cordage.as_str())
}

fn long_and_thin(bench: &mut Bench) -> Option<Planted> {
    if bench.is_nec() || bench.has(&["site", "routing", "surplus"]) {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        let size = bench.text(&["cord-types", &cord.kind, "conductor"]);
        let connector = bench
            .site
            .at(&["cord-types", &cord.kind, "connector"])
            .map_or("", Node::text)
            .to_owned();
        let is_thin = size == "0.75 mm²" || size == "1.0 mm²" && connector == "C19";
        cord.is_plain() && is_thin && bench.whole(cord) < 3.0
    })?;
    bench.set(&["cords", &cord.label, "length"], "2.5 m");
    Some(value(&["cord-types", &cord.kind, "conductor"]).into())
}

fn marked_above(bench: &mut Bench) -> Option<Planted> {
    if !bench.is_nec() {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        let size = bench.text(&["cord-types", &cord.kind, "conductor"]);
        cord.is_plain()
            && ["18 AWG", "16 AWG"].contains(&size.as_str())
            && bench.says(&["cord-types", &cord.kind, "connector"], "C13")
    })?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "rating"], "15 A");
    Some(value(&["cord-types", &kind, "conductor"]).error())
}

fn not_made(bench: &mut Bench) -> Option<Planted> {
    let (cordage, size) = match bench.is_nec() {
        true => ("SJT", "6 AWG"),
        false => ("H05VV-F", "16 mm²"),
    };
    let cord = bench.cord(|bench, cord| {
        cord.is_plain() && bench.says(&["cord-types", &cord.kind, "cordage"], cordage)
    })?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "conductor"], size);
    let at = value(&["cord-types", &kind, "conductor"]);
    // The sizes of harmonised cordages are known from memory.
    Some(if bench.is_nec() {
        at.error()
    } else {
        at.warning()
    })
}

fn can_overload(bench: &mut Bench) -> Option<Planted> {
    if bench.is_nec() {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        let is_alone = bench.cords_of(cord.device()).len() == 1;
        let is_fused = bench.has(&["cord-types", &cord.kind, "fuse"]);
        cord.is_plain()
            && is_alone
            && !is_fused
            && is_of_low_heat(bench, cord)
            && bench.bears(cord) < bench.ahead(cord)
    })?;
    let draw = bench.has(&["devices", cord.device(), "draw"]);
    let model = bench.own_model(cord.device());
    bench.set(&["device-models", &model, "rating"], "6 kW");
    draw.then(|| value(&["cords", &cord.label, "type"]).error())
}

fn unlisted(bench: &mut Bench) -> Option<Planted> {
    if !bench.is_nec() {
        return None;
    }
    let cord =
        bench.cord(|bench, cord| cord.is_plain() && bench.bears(cord) < bench.ahead(cord))?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "approvals"], words(["PSE"]));
    Some(value(&["cords", &cord.label, "type"]).error())
}

fn let_through(bench: &mut Bench) -> Option<Planted> {
    // What the NEC takes for protected within its listing is not asked.
    if bench.is_nec() {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        let Some(outlet) = &cord.from.1 else {
            return false;
        };
        let (bank, _) = bench.bank(&cord.from.0, outlet);
        let model = bench.text(&["pdus", &cord.from.0, "model"]);
        let circuit = bench.circuit(cord);
        bench.has(&["pdu-models", &model, "banks", &bank, "breaker"])
            && !bench.has(&["circuits", &circuit, "breaker", "let-through"])
    })?;
    bench.set_bank_breaker(&cord, "let-through", "400 kA²s")?;
    let kinds: Vec<String> = bench
        .cords()
        .into_iter()
        .filter(|other| other.from.0 == cord.from.0)
        .map(|other| other.kind)
        .collect();
    Some(Planted::any(kinds.iter().flat_map(|kind| {
        [
            value(&["cord-types", kind, "conductor"]),
            value(&["cord-types", kind, "legs", "a", "conductor"]),
        ]
    })))
}

fn poor_earth(bench: &mut Bench) -> Option<Planted> {
    let circuits: Vec<String> = bench
        .names("circuits")
        .into_iter()
        .filter(|circuit| {
            let supply = bench.text(&["circuits", circuit, "from"]);
            !bench.has(&["circuits", circuit, "rcd"])
                && !bench.says(&["supplies", &supply, "earthing"], "TT")
        })
        .collect();
    let circuit = bench.pick(&circuits)?;
    bench.set(
        &["circuits", &circuit, "wiring", "earth-resistance"],
        "20 ohm",
    );
    let mut spots = vec![value(&["circuits", &circuit, "breaker", "rating"])];
    for strip in bench.names("pdus") {
        let model = bench.text(&["pdus", &strip, "model"]);
        let banks = bench.site.at(&["pdu-models", &model, "banks"])?.pairs();
        spots.extend(
            banks.iter().map(|(bank, _)| {
                value(&["pdu-models", &model, "banks", bank, "breaker", "rating"])
            }),
        );
    }
    Some(Planted::any(spots))
}

fn weak_breaker(bench: &mut Bench) -> Option<Planted> {
    let circuit = bench.pick(&bench.names("circuits"))?;
    bench.set(
        &["circuits", &circuit, "breaker", "breaking-capacity"],
        "1 kA",
    );
    Some(value(&["circuits", &circuit, "breaker", "breaking-capacity"]).error())
}

fn weak_bank(bench: &mut Bench) -> Option<Planted> {
    let strip = bench.pick(&bench.names("pdus"))?;
    let model = bench.own_strip(&strip);
    let banks = bench.site.at(&["pdu-models", &model, "banks"])?.pairs();
    let banks: Vec<String> = banks
        .iter()
        .filter(|(_, bank)| bank.get("breaker").is_some())
        .map(|(name, _)| name.clone())
        .collect();
    let bank = bench.pick(&banks)?;
    let capacity = [
        "pdu-models",
        &model,
        "banks",
        &bank,
        "breaker",
        "breaking-capacity",
    ];
    bench.set(&capacity, "100 A");
    Some(value(&capacity).error())
}

fn lossy(bench: &mut Bench) -> Option<Planted> {
    if !bench.has(&["site", "voltage-drop"]) {
        return None;
    }
    // A large load needs little resistance, so that a fault still trips what is ahead.
    let cord = bench.cord(|bench, cord| {
        may_carry_all(bench, cord)
            && !bench.has(&["cords", &cord.label, "length"])
            && bench.whole(cord) > 3.0
            && bench.volts(cord) > 190.0
            && bench.ahead(cord) <= 15.0
            && bench.bears(cord) >= bench.ahead(cord)
    })?;
    let ohms = 0.0125 * bench.volts(&cord) / (2.0 * bench.whole(&cord));
    let kind = bench.own_kind(&cord);
    bench.set(
        &["cord-types", &kind, "resistance"],
        format!("{ohms:.4} ohm"),
    );
    Some(value(&["cords", &cord.label, "type"]).warning())
}
