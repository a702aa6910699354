//! TT systems: a circuit needs a residual current device, and the electrode must be good enough for it.

use cordwright::finding::{Finding, Verdict};

use crate::site::judged;

fn said(supply: &str, circuit: &str) -> Vec<Finding> {
    let text = format!(
        "site: {{practice: iec, country: ES, ambient: 25 °C}}
supplies: {{s: {{feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TT, fault-current: 2 kA{supply}}}}}
circuits: {{A-1: {{from: s, poles: [L1, N], breaker: {{rating: 16 A, curve: C, breaking-capacity: 6 kA}}, wiring: {{length: 20 m, insulation: pvc-70, conductor: 4 mm²}}, receptacle: IEC 60309 16 A 2P+E 6h{circuit}}}}}
device-models: {{box: {{class: I, voltage: 220–240 V, rating: 500 W, power-factor: 0.97, inlets: {{psu: C14}}}}}}
devices: {{box-1: {{model: box, draw: 300 W}}, box-2: {{model: box, draw: 300 W}}}}
cord-types: {{lead: {{plug: IEC 60309 16 A 2P+E 6h, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A}}}}
cords: {{W-1: {{type: lead, from: A-1, to: box-1/psu}}}}
"
    );
    let judgement = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let findings = judgement.findings.into_iter();
    findings
        .filter(|found| found.rule == "slow-disconnection")
        .collect()
}

#[test]
fn a_circuit_without_a_residual_current_device_is_found() {
    let found = said("", "");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].verdict, Verdict::Broken);
    assert!(
        found[0].headline.contains("may open nothing"),
        "{}",
        found[0].headline
    );
}

/// IEC 60364-4-41 411.5.3: RA × IΔn at most 50 V.
#[test]
fn the_electrode_must_be_good_enough() {
    for (electrode, rcd, is_found) in [
        ("166 ohm", "300 mA", false),
        ("167 ohm", "300 mA", true),
        ("1600 ohm", "30 mA", false),
        ("1700 ohm", "30 mA", true),
        ("20 ohm", "3 A", true),
        ("16 ohm", "3 A", false),
    ] {
        let found = said(
            &format!(", electrode: {electrode}"),
            &format!(", rcd: {rcd}"),
        );
        assert_eq!(!found.is_empty(), is_found, "{electrode} {rcd}");
        assert!(found.iter().all(|found| found.verdict == Verdict::Broken));
    }
    assert_eq!(said("", ", rcd: 300 mA"), []);
}

#[test]
fn what_cannot_be_read_is_asked() {
    for (supply, circuit) in [
        (", electrode: good", ", rcd: 300 mA"),
        (", electrode: 20 ohm", ", rcd: some"),
    ] {
        let found = said(supply, circuit);
        assert_eq!(found.len(), 1, "{supply} {circuit}");
        assert_eq!(found[0].verdict, Verdict::Open);
    }
}
