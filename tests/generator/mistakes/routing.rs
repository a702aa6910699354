//! Mistakes with the ways of cords.

use super::super::sound::tree::Node;
use super::super::sound::ways::millimetres;
use super::bench::{Bench, Cord};
use super::{Mutator, Planted, value};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "cord-too-short",
        what: "a cord shorter than its way",
        also: &[],
        plant: short,
    },
    Mutator {
        rule: "cord-too-long",
        what: "a cord far longer than its way",
        also: &[],
        plant: long,
    },
    Mutator {
        rule: "cord-over-limit",
        what: "5 m in an Article 645 room",
        also: &[],
        plant: over,
    },
    Mutator {
        rule: "cord-crosses-racks",
        what: "a device in another rack",
        also: &[("space-shared", "where another device may stand")],
        plant: crosses,
    },
    Mutator {
        rule: "angle-clash",
        what: "an end without room behind it",
        also: &[],
        plant: clash,
    },
    Mutator {
        rule: "space-shared",
        what: "a device where another stands",
        also: &[("cord-too-short", "its cords are reckoned from there")],
        plant: shared,
    },
];

fn short(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|_, cord| cord.is_from_strip() && cord.is_plain())?;
    bench.set(&["cords", &cord.label, "length"], "0.3 m");
    Some(value(&["cords", &cord.label, "length"]).into())
}

/// Whether a cord may be longer by itself: thick enough, lightly loaded.
fn may_be_longer(bench: &Bench, cord: &Cord) -> bool {
    let size = bench.text(&["cord-types", &cord.kind, "conductor"]);
    let thick =
        ["1.5 mm²", "2.5 mm²", "4 mm²", "14 AWG", "12 AWG", "10 AWG"].contains(&size.as_str());
    let light = bench.whole(cord) * 0.4 < 0.008 * bench.volts(cord);
    cord.is_from_strip() && cord.is_plain() && thick && light
}

fn long(bench: &mut Bench) -> Option<Planted> {
    if !bench.has(&["site", "routing", "surplus"]) {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        let zone = bench.zone(cord.device());
        may_be_longer(bench, cord) && !bench.says(&["zones", &zone, "article-645"], "yes")
    })?;
    let surplus = millimetres(bench.site.at(&["site", "routing", "surplus"])?) / 1000.0;
    let metres = bench.metres(&cord) + surplus + 0.1;
    bench.set(&["cords", &cord.label, "length"], format!("{metres:.2} m"));
    Some(value(&["cords", &cord.label, "length"]).note())
}

fn over(bench: &mut Bench) -> Option<Planted> {
    if bench.has(&["site", "routing", "surplus"]) || !bench.is_nec() {
        return None;
    }
    let cord = bench.cord(|bench, cord| {
        let zone = bench.zone(cord.device());
        may_be_longer(bench, cord) && bench.says(&["zones", &zone, "article-645"], "yes")
    })?;
    bench.set(&["cords", &cord.label, "length"], "4.51 m");
    Some(value(&["cords", &cord.label, "length"]).error())
}

fn crosses(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        cord.is_from_strip() && cord.is_plain() && bench.cords_of(cord.device()).len() == 1
    })?;
    let own = bench.text(&["devices", cord.device(), "rack"]);
    let zone = bench.text(&["racks", &own, "zone"]);
    let others: Vec<String> = bench
        .names("racks")
        .into_iter()
        .filter(|rack| *rack != own && bench.says(&["racks", rack, "zone"], &zone))
        .collect();
    let other = bench.pick(&others)?;
    bench.set(&["devices", cord.device(), "rack"], other);
    Some(value(&["cords", &cord.label, "from"]).warning())
}

fn clash(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|bench, cord| {
        cord.is_plain()
            && bench.has(&[
                "device-models",
                &bench.model(cord.device()),
                "rear-clearance",
            ])
    })?;
    let model = bench.model(cord.device());
    let clearance = bench
        .site
        .at(&["device-models", &model, "rear-clearance"])?
        .number();
    let kind = bench.own_kind(&cord);
    bench.set(
        &["cord-types", &kind, "stand-out", "connector"],
        format!("{} mm", clearance + 1.0),
    );
    if !bench.has(&["cord-types", &kind, "angle"]) {
        bench.set(&["cord-types", &kind, "angle", "plug"], "straight");
        bench.set(&["cord-types", &kind, "angle", "connector"], "straight");
    }
    Some(value(&["cords", &cord.label, "type"]).warning())
}

/// One device goes to where another of its rack stands that is as high or higher.
fn shared(bench: &mut Bench) -> Option<Planted> {
    if bench.has(&["site", "routing", "surplus"]) {
        return None;
    }
    let height = |bench: &Bench, device: &str| {
        let height = ["device-models", &bench.model(device), "height"];
        bench.site.at(&height).map(Node::number)
    };
    let devices: Vec<String> = bench.names("devices");
    let moved = bench.pick(&devices)?;
    let (own, rack) = (height(bench, &moved)?, ["devices", &moved, "rack"]);
    let rack = bench.site.at(&rack)?.text().to_owned();
    let others: Vec<String> = devices
        .into_iter()
        .filter(|other| *other != moved && bench.says(&["devices", other, "rack"], &rack))
        .filter(|other| height(bench, other).is_some_and(|height| height >= own))
        .collect();
    let other = others.last()?.clone();
    let place = bench.site.at(&["devices", &other, "at"])?.clone();
    bench.set(&["devices", &moved, "at"], place);
    let main = moved.max(other);
    Some(value(&["devices", &main, "at"]).note())
}
