//! Mistakes with jackets, approvals and wall plugs.

use cordwright::finding::Level;

use super::super::sound::tree::words;
use super::bench::{Bench, Cord};
use super::{Mutator, Planted, value};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "jacket-too-hot",
        what: "a cord into air of 90 °C",
        also: &[
            (
                "conductor-underrated",
                "at its limit of temperature no current is left to a conductor",
            ),
            (
                "conductor-unprotected",
                "nor is any breaker small enough for it",
            ),
            (
                "coupler-in-hot-air",
                "no coupler is rated for such air either",
            ),
        ],
        plant: hot,
    },
    Mutator {
        rule: "jacket-smoke",
        what: "PVC where halogen-free is asked for",
        also: &[],
        plant: smoke,
    },
    Mutator {
        rule: "jacket-in-plenum",
        what: "a cord in a plenum",
        also: &[],
        plant: plenum,
    },
    Mutator {
        rule: "jacket-duty",
        what: "an ordinary jacket where they are trodden on",
        also: &[],
        plant: duty,
    },
    Mutator {
        rule: "approval-missing",
        what: "a cord with the maker's own word alone",
        also: &[(
            "conductor-unprotected",
            "the NEC lets only listed sets stand behind larger devices",
        )],
        plant: unmarked,
    },
    Mutator {
        rule: "plug-foreign",
        what: "a wall plug of another country",
        also: &[],
        plant: foreign,
    },
    Mutator {
        rule: "supply-foreign",
        what: "a supply of another country's frequency",
        also: &[],
        plant: frequency,
    },
];

/// A cord from a wall receptacle.
fn wall(bench: &mut Bench, does: impl Fn(&Bench, &Cord) -> bool) -> Option<Cord> {
    bench.cord(|bench, cord| !cord.is_from_strip() && does(bench, cord))
}

fn cordage(bench: &Bench, cord: &Cord) -> String {
    bench.text(&["cord-types", &cord.kind, "cordage"])
}

fn hot(bench: &mut Bench) -> Option<Planted> {
    let cord = wall(bench, |_, _| true)?;
    bench.own_zone(cord.device(), "ambient", "90 °C");
    Some(value(&["cords", &cord.label, "type"]).into())
}

fn smoke(bench: &mut Bench) -> Option<Planted> {
    let cord = wall(bench, |bench, cord| {
        ["H05VV-F", "H05V2V2-F"].contains(&cordage(bench, cord).as_str())
    })?;
    bench.own_zone(cord.device(), "halogen-free", "required");
    Some(value(&["cords", &cord.label, "type"]).error())
}

fn plenum(bench: &mut Bench) -> Option<Planted> {
    let cord = wall(bench, |_, _| true)?;
    bench.own_zone(cord.device(), "air", "plenum");
    let level = if bench.is_nec() {
        Level::Error
    } else {
        Level::Warning
    };
    Some(value(&["cords", &cord.label, "type"]).level(level))
}

fn duty(bench: &mut Bench) -> Option<Planted> {
    let cord = wall(bench, |bench, cord| {
        !["H07RN-F", "H07ZZ-F", "ST", "STOOW"].contains(&cordage(bench, cord).as_str())
    })?;
    bench.own_zone(cord.device(), "duty", "heavy");
    Some(value(&["cords", &cord.label, "type"]).warning())
}

fn unmarked(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|_, _| true)?;
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "approvals"], words(["CE"]));
    Some(value(&["cord-types", &kind, "approvals", "0"]).warning())
}

fn foreign(bench: &mut Bench) -> Option<Planted> {
    let cord = wall(bench, |bench, cord| {
        !bench.is_shaken(&bench.zone(cord.device())) && bench.beside(cord).is_empty()
    })?;
    if bench.is_nec() {
        return None;
    }
    let is_fused_home = ["GB", "IE"].contains(&bench.text(&["site", "country"]).as_str());
    let kind = bench.own_kind(&cord);
    let circuit = bench.circuit(&cord);
    if is_fused_home {
        bench.set(&["cord-types", &kind, "plug"], "CEE 7/6");
        bench.site.at_mut(&["cord-types", &kind])?.remove("fuse");
        bench.set(&["circuits", &circuit, "receptacle"], "CEE 7/5");
    } else {
        bench.set(&["cord-types", &kind, "plug"], "BS 1363");
        bench.set(&["cord-types", &kind, "fuse"], "13 A");
        bench.set(&["circuits", &circuit, "receptacle"], "BS 1363");
    }
    bench.set(&["circuits", &circuit, "rcd"], "30 mA");
    Some(value(&["cord-types", &kind, "plug"]).warning())
}

fn frequency(bench: &mut Bench) -> Option<Planted> {
    let supplies = bench.names("supplies");
    let supply = bench.pick(&supplies)?;
    let marking = bench.text(&["supplies", &supply, "system"]);
    let (from, to) = if marking.contains("50 Hz") {
        ("50 Hz", "60 Hz")
    } else {
        ("60 Hz", "50 Hz")
    };
    bench.set(&["supplies", &supply, "system"], marking.replace(from, to));
    Some(value(&["supplies", &supply, "system"]).warning())
}
