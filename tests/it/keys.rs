//! Every key of the format guards somebody: there is a site in which leaving it out changes what
//! is found, scheduled or drawn. A key that nobody reads would be a remark that looks
//! like a fact.

use std::collections::{BTreeMap, BTreeSet};

use cordwright::drawing::{self, Marks};
use cordwright::schedule::{self, Kind};
use rayon::prelude::*;
use serde_json::Value;

use crate::missing::facts::{self, Fact, Loss};
use crate::missing::generated;
use crate::pages::example_sites;
use crate::site::{Files, judged, read, today};

/// Rules that look at what is written, whatever it means.
const OF_WRITING: [&str; 4] = ["missing-key", "bad-quantity", "unknown-key", "unknown-name"];

/// All that is told of a site, in one text.
fn told(files: &Files) -> String {
    let judgement = judged(files);
    let site = read(files);
    let analysis = site.analysis(today());
    let kinds = [Kind::Cords, Kind::Order(None), Kind::Labels, Kind::Loads];
    let tables =
        kinds.map(|kind| schedule::markdown(&schedule::schedule(&analysis, kind)).into_string());
    let findings = judgement.findings.iter();
    let findings: Vec<String> = findings
        .filter(|finding| !OF_WRITING.contains(&finding.rule))
        .map(|f| {
            format!(
                "{} {:?} {} {:?} {:?}",
                f.rule, f.level, f.headline, f.arithmetic, f.remedy.advice
            )
        })
        .collect();
    let departed = judgement.departed.iter();
    let departed: Vec<String> = departed
        .map(|d| {
            format!(
                "{} {} {} {}",
                d.finding.rule, d.reason, d.agreed_by, d.until
            )
        })
        .collect();
    format!(
        "{:?}\n{findings:#?}\n{departed:#?}\n{tables:#?}\n{:?}\n{}",
        judgement.name,
        judgement.open_points_block,
        drawn(files),
    )
}

fn drawn(files: &Files) -> String {
    let site = read(files);
    let analysis = site.analysis(today());
    let marks = Marks::of(&[]);
    let lines = drawing::svg(&drawing::single_line(&analysis, &marks, None));
    lines.into_string() + drawing::svg(&drawing::racks(&analysis, &marks)).as_str()
}

/// The keys of the format, without the names of things, and without the notes that every thing may have.
fn keys() -> BTreeSet<String> {
    let schema = cordwright::model::schema();
    let mut keys = BTreeSet::new();
    let sections = schema["properties"].as_object().unwrap();
    for (section, form) in sections {
        match section.as_str() {
            "site" => walk("site", form, &mut keys),
            "departures" => walk("departures", &form["items"], &mut keys),
            _ => walk(section, &form["additionalProperties"], &mut keys),
        }
    }
    keys
}

fn walk(path: &str, form: &Value, keys: &mut BTreeSet<String>) {
    for form in ["anyOf", "allOf", "oneOf"]
        .iter()
        .filter_map(|key| form[*key].as_array())
        .flatten()
        .chain([form])
    {
        if let Some(properties) = form["properties"].as_object() {
            let is_note = |key: &str, below: &Value| {
                let words = below["description"].as_str();
                key == "note" && words.is_some_and(|words| words.contains("never judged"))
            };
            for (key, below) in properties {
                if is_note(key, below) {
                    continue;
                }
                let path = format!("{path}.{key}");
                walk(&path, below, keys);
                keys.insert(path);
            }
        }
        if form["additionalProperties"].is_object() {
            walk(&format!("{path}.*"), &form["additionalProperties"], keys);
        }
    }
}

/// Keys that are in no example and no generated site, or that change nothing there: the test that holds
/// what each of them does, and a word of it in there.
const ELSEWHERE: &[(&str, &str, &str)] = &[
    (
        "circuits.breaker.calibrated-at",
        "breakers.rs",
        "calibrated-at:",
    ),
    ("circuits.breaker.trip", "breakers.rs", "trip:"),
    (
        "circuits.wiring.earth-resistance",
        "conductors.rs",
        "earth-resistance:",
    ),
    (
        "device-models.transfer.preferred",
        "transfers.rs",
        "preferred: a",
    ),
    ("devices.preferred", "transfers.rs", "preferred: b"),
    ("site.phase-imbalance", "circuits.rs", "phase-imbalance: {"),
    ("site.phase-imbalance.floor", "circuits.rs", "floor: "),
    ("site.phase-imbalance.warning", "circuits.rs", "warning: "),
    ("circuits.rcd.delay", "residual_devices.rs", "delay: S"),
    (
        "site.critical-operations",
        "breakers.rs",
        "critical-operations:",
    ),
    ("circuits.at-receptacle", "landlord.rs", "at-receptacle:"),
    (
        "circuits.at-receptacle.contracted",
        "landlord.rs",
        "contracted: 12 A",
    ),
    (
        "circuits.at-receptacle.earth-loop",
        "landlord.rs",
        "earth-loop: 0.32 ohm",
    ),
    (
        "circuits.at-receptacle.fault-current",
        "landlord.rs",
        "fault-current: 1.4 kA",
    ),
    (
        "circuits.at-receptacle.source",
        "landlord.rs",
        "source: test report",
    ),
    (
        "circuits.at-receptacle.voltage",
        "landlord.rs",
        "voltage: 228 V",
    ),
    (
        "circuits.high-integrity-earth",
        "inputs.rs",
        "high-integrity-earth",
    ),
    ("circuits.receptacle.hot-air", "receptacles.rs", "hot-air:"),
    (
        "circuits.receptacle.hot-air.amperes",
        "receptacles.rs",
        "amperes:",
    ),
    (
        "circuits.receptacle.hot-air.at",
        "receptacles.rs",
        "{at: 49 °C",
    ),
    ("circuits.receptacle.ip", "receptacles.rs", "ip: IP54"),
    ("circuits.wiring.grouped", "inherited.rs", "grouped: 9"),
    ("circuits.wiring.resistance", "faults.rs", "resistance"),
    ("cord-types.legs.*.cordage", "silences.rs", "cordage"),
    (
        "cord-types.legs.*.rating.iec",
        "dual_marks.rs",
        "{iec: 10 A",
    ),
    (
        "cord-types.legs.*.rating.nec",
        "dual_marks.rs",
        "nec: 13 A}",
    ),
    ("cord-types.rating.iec", "dual_marks.rs", "{iec: 10 A"),
    ("cord-types.rating.nec", "dual_marks.rs", "nec: 13 A}"),
    (
        "cord-types.resistance",
        "conductors.rs",
        "resistance: 1 ohm",
    ),
    (
        "coupler-types.ambient",
        "own_parts/couplers.rs",
        "ambient: 50 °C",
    ),
    (
        "coupler-types.holds",
        "own_parts/couplers.rs",
        "holds: twist-lock",
    ),
    (
        "coupler-types.like",
        "own_parts/couplers.rs",
        "like: CEE 7/7",
    ),
    (
        "coupler-types.mates",
        "own_parts/couplers.rs",
        "mates: [own-round-16]",
    ),
    (
        "coupler-types.one-way",
        "own_parts/couplers.rs",
        "one-way: yes",
    ),
    (
        "coupler-types.temperature",
        "own_parts/couplers.rs",
        "temperature: 70 °C",
    ),
    (
        "cordage-types.duty",
        "own_parts/cordages.rs",
        "duty: ordinary",
    ),
    (
        "cordage-types.earth-voltage",
        "own_parts/cordages.rs",
        "earth-voltage: 600 V",
    ),
    (
        "cordage-types.halogen-free",
        "own_parts/cordages.rs",
        "halogen-free: yes",
    ),
    (
        "cordage-types.insulation",
        "own_parts/cordages.rs",
        "insulation: pvc-70",
    ),
    (
        "cordage-types.like",
        "own_parts/cordages.rs",
        "like: H05VV-F",
    ),
    (
        "cordage-types.made-by",
        "own_parts/cordages.rs",
        "made-by: harmonised",
    ),
    ("cordage-types.oil", "own_parts/cordages.rs", "oil: yes"),
    (
        "cordage-types.sizes",
        "own_parts/cordages.rs",
        "sizes: [0.75 mm²",
    ),
    (
        "cordage-types.source",
        "own_parts/cordages.rs",
        "source: data sheet 7",
    ),
    (
        "cordage-types.temperature",
        "own_parts/cordages.rs",
        "\"90 °C\"",
    ),
    ("cordage-types.voltage", "own_parts/cordages.rs", "200 V"),
    ("cordage-types.wet", "own_parts/cordages.rs", "wet: yes"),
    (
        "latch-systems.like",
        "own_parts/latches.rs",
        "like: outlet-latch",
    ),
    (
        "latch-systems.mates",
        "own_parts/latches.rs",
        "mates: [own-catch]",
    ),
    (
        "latch-systems.source",
        "own_parts/latches.rs",
        "source: sheet 1",
    ),
    ("circuits.wiring.ring", "rings.rs", "ring: yes"),
    (
        "circuits.wiring.terminals",
        "conductors.rs",
        "terminals: 75 °C",
    ),
    ("cords.fitted", "stages.rs", "fitted: 2026-11-20"),
    ("cords.state", "stages.rs", "state: to-fit"),
    ("departures.signed-at", "change/signed.rs", "signed-at"),
    ("departures.signed-at.limit", "change/signed.rs", "limit:"),
    ("departures.signed-at.value", "change/signed.rs", "value:"),
    ("pdu-models.banks.*.outlets.*.ip", "silences.rs", "ip: IP"),
    ("pdu-models.cord.service", "jackets.rs", "service"),
    (
        "pdu-models.cord.service.halogen-free",
        "splitters.rs",
        "halogen-free",
    ),
    ("pdu-models.cord.service.oil", "jackets.rs", "oil"),
    ("pdu-models.cord.service.wet", "jackets.rs", "wet"),
    (
        "pdu-models.cord.temperature",
        "conductors.rs",
        "temperature: 60 °C",
    ),
    ("pdu-models.fuse", "strip_fuses.rs", "fuse: 13 A"),
    ("site.breakers", "inherited.rs", "breakers:"),
    (
        "site.breakers.breaking-capacity",
        "inherited.rs",
        "breaking-capacity",
    ),
    ("site.breakers.curve", "inherited.rs", "curve"),
    ("site.levels.*.level", "levels.rs", "level"),
    ("site.levels.*.reason", "levels.rs", "reason"),
    (
        "circuits.breaker.instantaneous",
        "instantaneous.rs",
        "instantaneous: 120 A",
    ),
    (
        "circuits.breaker.instantaneous.holds",
        "instantaneous.rs",
        "holds: 100 A",
    ),
    (
        "circuits.breaker.instantaneous.opens",
        "instantaneous.rs",
        "opens: 160 A",
    ),
    (
        "pdu-models.banks.*.breaker.instantaneous",
        "instantaneous.rs",
        "instantaneous: 120 A",
    ),
    (
        "pdu-models.banks.*.breaker.instantaneous.holds",
        "instantaneous.rs",
        "holds: 100 A",
    ),
    (
        "pdu-models.banks.*.breaker.instantaneous.opens",
        "instantaneous.rs",
        "opens: 160 A",
    ),
    (
        "device-models.outlets.*.inlet",
        "power_through.rs",
        "inlet: psu1",
    ),
    ("device-models.outlets.*.ip", "power_through.rs", "ip: IPX4"),
    (
        "device-models.outlets.*.latch",
        "power_through.rs",
        "latch: outlet-latch",
    ),
    ("supplies.fault-current.earth", "modes.rs", "earth: 6 kA"),
    ("supplies.fault-current.lasts", "modes.rs", "lasts: 300 ms"),
    (
        "supplies.fault-current.prospective",
        "modes.rs",
        "prospective: 5.9 kA",
    ),
    (
        "supplies.fault-current.smallest",
        "modes.rs",
        "smallest: 1 kA",
    ),
    (
        "supplies.modes.*.fault-current.of",
        "modes.rs",
        "of: computed",
    ),
    (
        "supplies.modes.*.fault-current.prospective",
        "modes.rs",
        "prospective",
    ),
    ("supplies.electrode", "electrodes.rs", "electrode: "),
    ("site.phase-imbalance.note", "circuits.rs", "note: 30 %"),
    ("site.sockets", "sockets.rs", "sockets: {"),
    ("site.sockets.*.behind", "sockets.rs", "behind: 16 A"),
    ("site.sockets.*.source", "sockets.rs", "source: KEC table"),
    ("site.wiring", "inherited.rs", "wiring:"),
    ("site.wiring.grouped", "inherited.rs", "grouped: 1"),
    (
        "site.wiring.insulation",
        "inherited.rs",
        "insulation: pvc-70",
    ),
    (
        "cord-types.legs.*.angle",
        "orders.rs",
        "length: 0.5 m, angle: up",
    ),
    (
        "cord-types.legs.*.retention",
        "makes.rs",
        "retention: pin-grip",
    ),
    (
        "cord-types.legs.*.stand-out",
        "makes.rs",
        "stand-out: 80 mm",
    ),
    ("cord-types.make", "makes.rs", "make: m, length"),
    ("offers.codes", "orders.rs", "codes: {blue: BL"),
    ("offers.codes.*.code", "orders.rs", "codes: {blue: BL"),
    ("offers.colours", "orders.rs", "colours: [red]"),
    ("offers.labels", "orders.rs", "labels: yes"),
    ("offers.lead", "orders.rs", "lead: 2 weeks"),
    ("offers.length-over", "orders.rs", "length-over: jacket"),
    ("offers.lengths", "orders.rs", "lengths: [1 m, 2 m]"),
    ("offers.made-to", "orders.rs", "made-to: {"),
    ("offers.made-to.from", "orders.rs", "from: 3 m"),
    ("offers.made-to.returns", "orders.rs", "returns: no"),
    ("offers.made-to.step", "orders.rs", "step: 0.2 m"),
    ("offers.made-to.to", "orders.rs", "to: 1 m"),
    ("offers.make", "orders.rs", "{make: m1"),
    ("offers.minimum", "orders.rs", "minimum: 12"),
    ("offers.multiple", "orders.rs", "multiple: 5"),
    ("offers.part", "orders.rs", "part: 'K-"),
    ("offers.price", "orders.rs", "price: {1: 2.40 EUR"),
    ("offers.supplier", "orders.rs", "supplier: east"),
    ("offers.tolerance", "orders.rs", "tolerance: -0/+50 mm"),
    ("offers.valid-until", "orders.rs", "valid-until: 2020-01-31"),
    ("orders.lines", "orders.rs", "lines: {blue"),
    ("orders.lines.*.lot", "orders.rs", "lot: 4626"),
    ("orders.lines.*.ordered", "orders.rs", "ordered: 5"),
    ("orders.lines.*.received", "orders.rs", "received: 4"),
    ("orders.placed", "orders.rs", "placed: 2026-11-20"),
    ("orders.supplier", "orders.rs", "supplier: east"),
    ("site.spares", "orders.rs", "{share: 30 %}"),
    ("site.spares.least", "orders.rs", "least: 3"),
    ("site.spares.per", "orders.rs", "per: rack"),
    ("site.spares.share", "orders.rs", "share: 30 %"),
    ("store.at", "orders.rs", "at: shelf 3"),
    ("store.count", "orders.rs", "store: {blue: 2}"),
    ("pdus.reserve", "specify/places.rs", "reserve: [1"),
    ("site.names", "specify/places.rs", "names: '"),
];

#[test]
fn what_is_held_elsewhere_is_there() {
    for (key, file, word) in ELSEWHERE {
        let path = format!("{}/tests/it/{file}", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(word), "{key}: {word} is not in {file}");
    }
}

#[test]
fn every_key_guards_somebody() {
    let mut sites = example_sites();
    sites.extend(generated().into_iter().map(|case| case.files));
    let mut by_key: BTreeMap<String, Vec<(usize, Fact)>> = BTreeMap::new();
    for (number, files) in sites.iter().enumerate() {
        for fact in facts::all(files) {
            by_key.entry(fact.key()).or_default().push((number, fact));
        }
    }
    let before: Vec<String> = sites.par_iter().map(told).collect();
    let guards = |tries: &Vec<(usize, Fact)>| {
        tries.iter().any(|(number, fact)| {
            let without = facts::without(&sites[*number], &[(fact, Loss::Deleted)]);
            without.is_some_and(|files| told(&files) != before[*number])
        })
    };
    let guarding: BTreeSet<&str> = by_key
        .par_iter()
        .filter(|(_, tries)| guards(tries))
        .map(|(key, _)| key.as_str())
        .collect();
    // What a make says its types say: `makes.rs` holds every key of the one against that of the other.
    let of_makes = |key: &str| key.starts_with("cord-makes.");
    let idle: BTreeSet<String> = keys()
        .into_iter()
        .filter(|key| !guarding.contains(key.as_str()) && !of_makes(key))
        .collect();
    let known: BTreeSet<String> = ELSEWHERE
        .iter()
        .map(|(key, ..)| (*key).to_owned())
        .collect();
    assert_eq!(idle, known);
}
