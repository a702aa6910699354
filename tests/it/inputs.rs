//! Inputs of PDUs and circuits: the chain of ratings, PDUs in series, and currents to earth.

use std::collections::BTreeMap;

use cordwright::finding::{Finding, Level, Verdict};

use crate::pages::bases;
use crate::site::judged;

fn found(rule: &str, base: &str, text: &str) -> Vec<Finding> {
    let mut files: BTreeMap<String, String> = bases();
    files.retain(|name, _| name == base);
    files.insert("own.yaml".into(), text.into());
    let judgement = judged(&files.into_iter().collect());
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    let findings = judgement.findings.into_iter();
    findings.filter(|finding| finding.rule == rule).collect()
}

/// A strip on a circuit of its own.
struct Input<'a> {
    base: &'a str,
    breaker: &'a str,
    receptacle: &'a str,
    plug: &'a str,
    rating: &'a str,
    /// How many such strips are on the circuit.
    strips: usize,
}

impl Input<'_> {
    /// Kinds and levels of what is said about the chain.
    fn said(&self) -> Vec<(&'static str, Level)> {
        let strips: String = (0..self.strips)
            .map(|number| format!("  pdu-x{number}: {{model: strip-x, rack: r1, from: X-1}}\n"))
            .collect();
        let text = format!(
            "circuits:\n  X-1: {{from: ups-a, poles: [L1, N], breaker: {}, receptacle: {}}}\n\
             pdu-models:\n  strip-x: {{plug: {}, rating: {}, banks: {{B1: {{between: L1-N, outlets: {{1-4: C13}}}}}}}}\n\
             pdus:\n{strips}",
            self.breaker, self.receptacle, self.plug, self.rating
        );
        let findings = found("input-chain-mismatch", self.base, &text);
        findings.iter().map(|f| (f.kind, f.level)).collect()
    }
}

/// IEC 60309 series I under IEC practice: 16 A and 32 A.
#[test]
fn a_breaker_is_not_above_the_receptacle() {
    for (breaker, receptacle, expected) in [
        ("16 A", "IEC 60309 16 A 2P+E 6h", vec![]),
        (
            "16.1 A",
            "IEC 60309 16 A 2P+E 6h",
            vec![("receptacle", Level::Error)],
        ),
        ("32 A", "IEC 60309 32 A 2P+E 6h", vec![]),
        (
            "40 A",
            "IEC 60309 32 A 2P+E 6h",
            vec![("receptacle", Level::Error)],
        ),
        // Fused plugs: 13 A sockets on a 32 A ring (BS 7671).
        ("32 A", "BS 1363", vec![]),
        ("40 A", "BS 1363", vec![("receptacle", Level::Warning)]),
    ] {
        let input = Input {
            base: "base-iec.yaml",
            breaker,
            receptacle,
            plug: receptacle,
            rating: "10 A",
            strips: 1,
        };
        assert_eq!(input.said(), expected, "{breaker} {receptacle}");
    }
}

/// NEC 210.21(B)(1) for one receptacle, Table 210.21(B)(3) for several.
#[test]
fn receptacles_of_the_nec_follow_single_or_table() {
    for (breaker, receptacle, strips, expected) in [
        ("20 A", "NEMA 5-20", 1, vec![]),
        ("20 A", "NEMA 5-15", 1, vec![("receptacle", Level::Error)]),
        ("20 A", "NEMA 5-15", 2, vec![]),
        ("15 A", "NEMA 5-15", 2, vec![]),
        ("30 A", "NEMA 5-20", 2, vec![("receptacle", Level::Error)]),
        ("25 A", "NEMA 5-20", 2, vec![("receptacle", Level::Error)]),
        ("30 A", "NEMA L5-30", 1, vec![]),
        // Series I counts with the lower figure, which is from memory: no error by itself.
        (
            "32 A",
            "IEC 60309 32 A 2P+E 6h",
            1,
            vec![("receptacle", Level::Warning)],
        ),
        ("30 A", "IEC 60309 32 A 2P+E 6h", 1, vec![]),
    ] {
        let input = Input {
            base: "base-nec.yaml",
            breaker,
            receptacle,
            plug: receptacle,
            rating: "10 A",
            strips,
        };
        assert_eq!(input.said(), expected, "{breaker} {receptacle} × {strips}");
    }
}

/// UL: a plug of at least 125 % of the rating, so 16 A on 20 A and 24 A on 30 A.
#[test]
fn a_pdu_is_rated_no_higher_than_its_plug_bears() {
    let rating = vec![("rating", Level::Error)];
    for (base, plug, pdu, expected) in [
        ("base-nec.yaml", "NEMA 5-20", "16 A", vec![]),
        ("base-nec.yaml", "NEMA 5-20", "16.1 A", rating.clone()),
        ("base-nec.yaml", "NEMA L5-30", "24 A", vec![]),
        ("base-nec.yaml", "NEMA L5-30", "24.1 A", rating.clone()),
        ("base-iec.yaml", "IEC 60309 16 A 2P+E 6h", "16 A", vec![]),
        ("base-iec.yaml", "IEC 60309 16 A 2P+E 6h", "16.1 A", rating),
    ] {
        let input = Input {
            base,
            breaker: "15 A",
            receptacle: plug,
            plug,
            rating: pdu,
            strips: 1,
        };
        assert_eq!(input.said(), expected, "{plug} {pdu}");
    }
}

#[test]
fn poles_of_circuit_and_receptacle_are_counted() {
    for (poles, receptacle, expected) in [
        ("[L1, N]", "IEC 60309 16 A 2P+E 6h", 0),
        ("[L1, L2, L3, N]", "IEC 60309 16 A 3P+N+E 6h", 0),
        ("[L1, L2, L3]", "IEC 60309 16 A 3P+E 6h", 0),
        ("[L1, N]", "IEC 60309 16 A 3P+N+E 6h", 1),
        ("[L1, L2, L3]", "IEC 60309 16 A 3P+N+E 6h", 1),
        ("[L1, L2, L3, N]", "IEC 60309 16 A 2P+E 6h", 1),
    ] {
        let text = format!(
            "circuits:\n  X-1: {{from: ups-a, poles: {poles}, breaker: 16 A, receptacle: {receptacle}}}\n"
        );
        let findings = found("input-chain-mismatch", "base-iec.yaml", &text);
        assert_eq!(findings.len(), expected, "{poles} {receptacle}");
    }
}

/// A PDU that is fed by `from`, or by the end of a cord.
fn in_series(pdu: &str, cords: &str) -> Vec<String> {
    let text = format!(
        "pdu-models:\n  strip-c20: {{plug: C20, rating: 16 A, banks: {{B1: {{between: L1-N, outlets: {{1-4: C13}}}}}}}}\n\
         cord-types:\n  plain: {{plug: C20, connector: C19, conductor: 1.5 mm², length: 1 m}}\n  \
         straight: {{plug: IEC 60309 16 A 2P+E 6h, connector: C19, conductor: 1.5 mm², length: 1 m}}\n  \
         forked: {{plug: IEC 60309 16 A 2P+E 6h, conductor: 1.5 mm², length: 1 m, legs: {{a: {{connector: C19}}, b: {{connector: C19}}}}}}\n\
         circuits:\n  X-1: {{from: ups-a, poles: [L1, N], breaker: 16 A, receptacle: IEC 60309 16 A 2P+E 6h}}\n\
         pdus:\n  pdu-c: {{model: strip-c20, rack: r1{pdu}}}\ncords: {{{cords}}}\n"
    );
    let findings = found("pdu-in-series", "base-iec.yaml", &text);
    findings
        .iter()
        .map(|finding| finding.about[0].to_string())
        .collect()
}

#[test]
fn a_pdu_hangs_on_a_circuit_however_it_is_corded() {
    assert_eq!(in_series(", from: pdu-a/9", ""), ["pdu-c"]);
    assert_eq!(
        in_series("", "W-1: {type: plain, from: pdu-a/9, to: pdu-c}"),
        ["pdu-c"]
    );
    assert_eq!(
        in_series("", "W-1: {type: forked, from: X-1, to: {a: pdu-c}}"),
        ["pdu-c"]
    );
    assert!(in_series("", "W-1: {type: straight, from: X-1, to: pdu-c}").is_empty());
    assert!(in_series(", from: X-1", "").is_empty());
}

/// Devices on a circuit of their own: how many, what each leaks, and what the circuit offers.
struct Earths<'a> {
    rule: &'a str,
    base: &'a str,
    devices: usize,
    model: &'a str,
    plug: &'a str,
    circuit: &'a str,
    breaker: &'a str,
}

impl Earths<'_> {
    fn said(&self) -> Option<(&'static str, Verdict)> {
        let devices: String = (1..=self.devices)
            .map(|number| format!("  d{number}: {{model: box, rack: r1, draw: 50 W}}\n"))
            .collect();
        let cords: String = (1..=self.devices)
            .map(|number| {
                format!("  W-{number}: {{type: plain, from: pdu-x/{number}, to: d{number}/p}}\n")
            })
            .collect();
        let text = format!(
            "circuits:\n  X-1: {{from: ups-a, poles: [L1, N], breaker: {breaker}, receptacle: {plug}{circuit}}}\n\
             pdu-models:\n  strip-x: {{plug: {plug}, rating: 10 A, banks: {{B1: {{between: L1-N, outlets: {{1-40: C13}}}}}}}}\n\
             pdus:\n  pdu-x: {{model: strip-x, rack: r1, from: X-1}}\n\
             device-models:\n  box: {{rating: 60 W, power-factor: 1.0, inlets: {{p: C14}}{model}}}\n\
             devices:\n{devices}cord-types:\n  plain: {{plug: C14, connector: C13, conductor: 1.0 mm², length: 1 m}}\ncords:\n{cords}",
            plug = self.plug,
            circuit = self.circuit,
            breaker = self.breaker,
            model = self.model,
        );
        let findings = found(self.rule, self.base, &text);
        assert!(findings.len() < 2, "{findings:#?}");
        findings
            .first()
            .map(|finding| (finding.kind, finding.verdict))
    }
}

const INDUSTRIAL: &str = "IEC 60309 16 A 2P+E 6h";

fn leakage<'a>(devices: usize, model: &'a str, plug: &'a str, circuit: &'a str) -> Earths<'a> {
    Earths {
        rule: "earth-leakage",
        base: "base-iec.yaml",
        devices,
        model,
        plug,
        circuit,
        breaker: "{rating: 10 A, curve: C}",
    }
}

/// IEC 60364-5-54 543.7: above 10 mA, whatever the plug. The step of some editions is for one item alone.
#[test]
fn earth_currents_are_added_up_for_the_circuit() {
    let half = ", class: I, earth-current: 0.5 mA";
    let circuit = Some(("circuit", Verdict::Broken));
    assert_eq!(leakage(20, half, INDUSTRIAL, "").said(), None);
    assert_eq!(leakage(21, half, INDUSTRIAL, "").said(), circuit);
    assert_eq!(leakage(20, half, "BS 1363", "").said(), None);
    assert_eq!(leakage(21, half, "BS 1363", "").said(), circuit);
    // A tenth of 1 mA times a hundred is not quite 10 mA in binary: no rounding may tell them apart.
    assert_eq!(
        leakage(100, ", class: I, earth-current: 0.1 mA", "BS 1363", "").said(),
        None
    );
}

#[test]
fn reinforced_earthing_meets_the_rule() {
    let much = ", class: I, earth-current: 3 mA";
    let said = |circuit| leakage(4, much, INDUSTRIAL, circuit).said();
    assert_eq!(said(", high-integrity-earth: yes"), None);
    assert_eq!(
        said(", high-integrity-earth: no"),
        Some(("circuit", Verdict::Broken))
    );
    assert_eq!(said(", wiring: {conductor: 10 mm²}"), None);
    assert_eq!(
        said(", wiring: {conductor: 10 mm², earth-conductor: 6 mm²}"),
        Some(("circuit", Verdict::Broken))
    );
    let nec = Earths {
        base: "base-nec.yaml",
        ..leakage(4, much, "NEMA 5-20", "")
    };
    assert_eq!(nec.said(), None);
}

/// What is not given counts as 3.5 mA at most, and never as nothing.
#[test]
fn missing_earth_currents_leave_it_open_only_where_they_matter() {
    let open = Some(("", Verdict::Open));
    assert_eq!(leakage(2, ", class: I", INDUSTRIAL, "").said(), None);
    assert_eq!(leakage(3, ", class: I", INDUSTRIAL, "").said(), open);
    assert_eq!(leakage(2, ", class: I", "BS 1363", "").said(), None);
    assert_eq!(leakage(3, ", class: I", "BS 1363", "").said(), open);
    assert_eq!(leakage(3, "", INDUSTRIAL, "").said(), open);
    assert_eq!(leakage(30, ", class: II", INDUSTRIAL, "").said(), None);
    assert_eq!(
        leakage(3, ", class: I", INDUSTRIAL, ", high-integrity-earth: yes").said(),
        None
    );
}

/// IEC 60364-5-53 531.3.2: 9 mA for 30 mA, 90 mA for 300 mA.
#[test]
fn standing_leakage_is_at_most_three_tenths_of_the_rating() {
    let said = |devices, model, circuit| {
        let earths = Earths {
            rule: "rcd-leakage",
            ..leakage(devices, model, INDUSTRIAL, circuit)
        };
        earths.said().map(|(_, verdict)| verdict)
    };
    let three = ", class: I, earth-current: 3 mA";
    assert_eq!(said(3, three, ", rcd: 30 mA"), None);
    assert_eq!(said(4, three, ", rcd: 30 mA"), Some(Verdict::Broken));
    assert_eq!(said(30, three, ", rcd: 300 mA"), None);
    assert_eq!(said(31, three, ", rcd: 300 mA"), Some(Verdict::Broken));
    assert_eq!(said(4, three, ""), None);
    assert_eq!(said(2, ", class: I", ", rcd: 30 mA"), None);
    assert_eq!(said(3, ", class: I", ", rcd: 30 mA"), Some(Verdict::Open));
}

/// IEC 60898-1: B holds 3 times its rating, C 5 times, D 10 times.
#[test]
fn inrush_is_compared_with_the_lower_edge_of_the_band() {
    let said = |devices, inrush: &str, breaker: &str| {
        let model = format!(", class: I, inrush: {inrush}");
        let earths = Earths {
            rule: "inrush",
            breaker,
            ..leakage(devices, &model, INDUSTRIAL, "")
        };
        earths.said().map(|(_, verdict)| verdict)
    };
    for (curve, times) in [("B", 3), ("C", 5), ("D", 10), ("inverse-time", 5)] {
        let breaker = format!("{{rating: 10 A, curve: {curve}}}");
        assert_eq!(said(times, "10 A", &breaker), None, "{curve}");
        assert_eq!(
            said(times + 1, "10 A", &breaker),
            Some(Verdict::Broken),
            "{curve}"
        );
    }
    // Without a curve the most sensitive one decides.
    assert_eq!(said(3, "10 A", "{rating: 10 A}"), None);
    assert_eq!(said(4, "10 A", "{rating: 10 A}"), Some(Verdict::Open));
}
