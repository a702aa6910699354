//! Breakers in a row and in hot air, at, below and above their limits.

use cordwright::finding::{Finding, Verdict};

use crate::site::judged;

/// A strip of one bank on a circuit: both breakers, what is said of the bank, and the fault current of the supply.
fn site(practice: &str, ahead: &str, own: &str, bank: &str, fault: &str) -> String {
    let (system, edge) = match practice {
        "nec" => ("3/N ~ 208/120 V 60 Hz", "NEMA L5-30"),
        _ => ("3/N/PE ~ 400/230 V 50 Hz", "IEC 60309 63 A 2P+E 6h"),
    };
    format!(
        "site: {{practice: {practice}, ambient: 25 °C, continuous-load: 100 %}}
supplies: {{s: {{feed: A, system: {system:?}, capacity: 40 kVA, earthing: TN-S, {fault}}}}}
circuits: {{A-1: {{from: s, poles: [L1, N], breaker: {{{ahead}}}, wiring: {{conductor: 50 mm², length: 0.2 m, insulation: pvc-70}}, receptacle: {edge}}}}}
pdu-models: {{strip: {{plug: {edge}, rating: 30 A, cord: {{cordage: H07RN-F, conductor: 16 mm², length: 0.2 m}}, banks: {{B1: {{between: L1-N, breaker: {{{own}}}, {bank}outlets: {{1-4: C19}}}}}}}}}}
racks: {{r1: {{height: 42 U}}}}
pdus: {{pdu-a: {{model: strip, rack: r1, from: A-1}}}}
"
    )
}

fn by(rule: &str, text: String) -> Vec<Finding> {
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let found = judgement.findings.into_iter();
    found.filter(|found| found.rule == rule).collect()
}

fn selective(text: String) -> Vec<(Verdict, &'static str)> {
    let found = by("breakers-not-selective", text);
    found
        .iter()
        .map(|found| (found.verdict, found.kind))
        .collect()
}

const CLAIM: &str = "selective: yes, ";
/// The supply gives so little that every band reaches.
const SMALL: &str = "fault-current: 90 A";
const LARGE: &str = "fault-current: 6 kA";

#[test]
fn two_breakers_are_selective_as_far_as_their_bands_show() {
    let said = |ahead: &str, own: &str, fault: &str| {
        let breaker = |text: &str| {
            let (curve, rating) = text.split_at(1);
            format!("rating: {rating} A, curve: {curve}")
        };
        selective(site("iec", &breaker(ahead), &breaker(own), CLAIM, fault))
    };
    // B32 ahead of C16: holds up to 96 A, and C16 is sure to open only from 160 A.
    assert_eq!(said("B32", "C16", LARGE), [(Verdict::Broken, "bands")]);
    assert_eq!(said("B32", "C16", SMALL), [(Verdict::Broken, "bands")]);
    // C32 ahead of B16: up to 160 A.
    assert_eq!(said("C32", "B16", "fault-current: 155 A"), []);
    assert_eq!(
        said("C32", "B16", "fault-current: 170 A"),
        [(Verdict::Open, "table")]
    );
    // C63 ahead of C16: up to 315 A.
    assert_eq!(said("C63", "C16", "fault-current: 300 A"), []);
    assert_eq!(said("C63", "C16", LARGE), [(Verdict::Open, "table")]);
    // D32 ahead of C16: up to 320 A.
    assert_eq!(said("D32", "C16", "fault-current: 310 A"), []);
    assert_eq!(
        said("D32", "C16", "fault-current: 340 A"),
        [(Verdict::Open, "table")]
    );
    // Equal ones never, nor one that is hardly larger: 1.45 × 16 A is above 1.13 × 20 A.
    assert_eq!(said("C16", "C16", SMALL), [(Verdict::Broken, "rating")]);
    assert_eq!(said("D20", "B16", SMALL), [(Verdict::Broken, "rating")]);
    assert_eq!(said("D25", "B16", SMALL), []);
    assert_eq!(said("C10", "C16", SMALL), [(Verdict::Broken, "rating")]);
}

#[test]
fn a_table_reaches_as_far_as_it_says_and_never_makes_equal_ones_selective() {
    let c = |rating: u32| format!("rating: {rating} A, curve: C");
    let with = |ahead: u32, bank: &str| {
        selective(site("iec", &c(ahead), &c(16), bank, "fault-current: 1 kA"))
    };
    assert_eq!(with(63, "selective-up-to: 1.2 kA, "), []);
    assert_eq!(
        with(63, "selective-up-to: 900 A, "),
        [(Verdict::Broken, "limit")]
    );
    assert_eq!(
        with(16, "selective-up-to: 10 kA, "),
        [(Verdict::Broken, "rating")]
    );
    // Nobody claims anything.
    assert_eq!(with(16, ""), []);
    assert_eq!(with(16, "selective: no, "), []);
    assert_eq!(with(16, "selective: no, selective-up-to: 10 kA, "), []);
}

#[test]
fn what_is_missing_or_cannot_be_read_is_asked_for() {
    let c16 = "rating: 16 A, curve: C";
    let c63 = "rating: 63 A, curve: C";
    let open = |ahead: &str, own: &str, bank: &str, fault: &str| {
        let found = by(
            "breakers-not-selective",
            site("iec", ahead, own, bank, fault),
        );
        assert!(!found.is_empty(), "silent: {ahead} {own} {bank} {fault}");
        assert!(found.iter().all(|found| found.verdict == Verdict::Open));
        let wants = found.iter().flat_map(|found| &found.wants);
        wants.map(|fact| fact.full_key()).collect::<Vec<_>>()
    };
    assert_eq!(open(c63, c16, CLAIM, "public: yes"), ["fault-current"]);
    assert_eq!(
        open(c63, c16, "selective-up-to: 1 kA, ", "fault-current: much"),
        ["fault-current"]
    );
    assert_eq!(
        open("rating: 63 A", c16, CLAIM, LARGE),
        ["banks.B1.selective-up-to"]
    );
    assert_eq!(
        open(c63, "rating: some", CLAIM, LARGE),
        ["banks.B1.breaker.rating"]
    );
    assert_eq!(open("rating: some", c16, CLAIM, LARGE), ["breaker.rating"]);
    assert_eq!(
        open(c63, c16, "selective: perhaps, ", LARGE),
        ["banks.B1.selective"]
    );
    assert_eq!(
        open(c63, c16, "selective-up-to: much, ", LARGE),
        ["banks.B1.selective-up-to"]
    );
    assert_eq!(
        open(c63, c16, "selective-up-to: 0 A, ", LARGE),
        ["banks.B1.selective-up-to"]
    );
}

#[test]
fn critical_operations_ask_it_of_every_bank_and_a_table_answers() {
    let with = |critical: &str, bank: &str| {
        let ul = |rating: u32| format!("rating: {rating} A, curve: inverse-time");
        let text = site("nec", &ul(30), &ul(15), bank, "fault-current: 5 kA");
        let site = format!("site: {{critical-operations: {critical}, ");
        selective(text.replace("site: {", &site))
    };
    assert_eq!(with("no", ""), []);
    assert_eq!(with("yes", ""), [(Verdict::Open, "table")]);
    assert_eq!(with("yes", "selective: no, "), [(Verdict::Open, "table")]);
    assert_eq!(with("yes", "selective-up-to: 10 kA, "), []);
    assert_eq!(
        with("yes", "selective-up-to: 200 A, "),
        [(Verdict::Broken, "limit")]
    );
    assert_eq!(with("surely", ""), [(Verdict::Open, "illegible")]);
}

/// A strip of one bank of 10 A in air, with a load of 8 A on it.
fn in_air(air: &str, own: &str, ahead: &str) -> Vec<(Verdict, f64)> {
    let text = site(
        "iec",
        &format!("rating: 16 A, curve: C{ahead}"),
        own,
        "",
        LARGE,
    )
    .replace(
        "ambient: 25 °C",
        &format!("ambient: {air}, supply-tolerance: 0 %"),
    );
    let load = "device-models: {box: {height: 1 U, class: I, voltage: 220–240 V, rating: 1840 VA, power-factor: 1, inlets: {psu1: C20}, inlets-needed: 1}}
devices: {box-1: {model: box, rack: r1, at: U3, draw: 1840 VA}}
cord-types: {c19: {plug: C20, connector: C19, conductor: 1.5 mm², cordage: H05VV-F, length: 1 m, rating: 16 A}}
cords: {W-1: {type: c19, from: pdu-a/1, to: box-1/psu1}}
";
    let found = by("breaker-in-hot-air", text + load);
    let limit = |found: &Finding| {
        let measure = found.measure.as_ref();
        measure.map_or(0.0, |measure| {
            (measure.limit.number() * 100.0).round() / 100.0
        })
    };
    found
        .iter()
        .map(|found| (found.verdict, limit(found)))
        .collect()
}

#[test]
fn hot_air_costs_a_breaker_1_3_per_cent_for_each_kelvin() {
    let c10 = "rating: 10 A, curve: C";
    assert_eq!(in_air("30 °C", c10, ""), []);
    assert_eq!(in_air("44 °C", c10, ""), []);
    assert_eq!(in_air("46 °C", c10, ""), [(Verdict::Broken, 7.92)]);
    assert_eq!(in_air("120 °C", c10, ""), [(Verdict::Broken, 0.0)]);
    let ul = "rating: 10 A, curve: inverse-time";
    assert_eq!(in_air("54 °C", ul, ""), []);
    assert_eq!(in_air("56 °C", ul, ""), [(Verdict::Broken, 7.92)]);
    // Its own air, its own mark, its own kind.
    assert_eq!(
        in_air("30 °C", "rating: 10 A, curve: C, ambient: 46 °C", ""),
        [(Verdict::Broken, 7.92)]
    );
    assert_eq!(
        in_air("46 °C", "rating: 10 A, curve: C, calibrated-at: 40 °C", ""),
        []
    );
    assert_eq!(
        in_air(
            "46 °C",
            "rating: 10 A, curve: C, trip: hydraulic-magnetic",
            ""
        ),
        []
    );
    assert_eq!(
        in_air("46 °C", "rating: 10 A, curve: C, trip: thermal", ""),
        [(Verdict::Broken, 7.92)]
    );
    // What carries more than its rating is told as that.
    assert_eq!(in_air("46 °C", "rating: 6 A, curve: C", ""), []);
    // A panel's air must be on record.
    assert_eq!(
        in_air("30 °C", c10, ", ambient: 70 °C"),
        [(Verdict::Broken, 7.68)]
    );
}

#[test]
fn what_cannot_be_read_of_a_breaker_in_its_air_is_open() {
    for key in ["trip: coil", "calibrated-at: warm", "ambient: hot"] {
        let own = format!("rating: 10 A, curve: C, {key}");
        assert_eq!(in_air("46 °C", &own, ""), [(Verdict::Open, 0.0)], "{key}");
    }
}
