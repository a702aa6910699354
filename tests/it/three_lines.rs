//! Equipment on three lines: what it draws is in no sum, which is said, and nothing of it passes.

use cordwright::finding::{Finding, Verdict};

use crate::site::{judged, read, today};

const CHASSIS: &str = "\
site: {name: Quay, practice: iec, country: DE, ambient: 25 °C, continuous-load: 100 %, supply-tolerance: 10 %}
zones: {hall: {ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}}
racks: {r1: {zone: hall, height: 42 U}}
supplies:
  a: {system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 60 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}
circuits:
  A-1: {from: a, poles: [L1, L2, L3, N], breaker: {rating: 32 A, curve: C, breaking-capacity: 10 kA}, wiring: {conductor: 6 mm², length: 10 m, insulation: pvc-70}, receptacle: IEC 60309 32 A 3P+N+E 6h}
device-models:
  chassis: {power-factor: 0.98, third-harmonic: 5 %, inlets: {in1: IEC 60309 32 A 3P+N+E 6h}, inlets-needed: 1}
devices:
  ch-1: {model: chassis, rack: r1, draw: 9 kW}
cord-types:
  c: {plug: IEC 60309 32 A 3P+N+E 6h, connector: IEC 60309 32 A 3P+N+E 6h, length: 3 m, conductor: 6 mm², cordage: H07RN-F}
cords:
  W-1: {type: c, from: A-1, to: ch-1/in1}
";

fn found(text: &str) -> Vec<Finding> {
    judged(&vec![("cordwright.yaml".to_owned(), text.to_owned())]).findings
}

#[test]
fn what_stands_above_it_is_open_and_nobody_is_sent_to_correct_its_poles() {
    let findings = found(CHASSIS);
    for rule in [
        "circuit-overloaded",
        "supply-overloaded",
        "conductor-underrated",
    ] {
        let mut own = findings.iter().filter(|finding| finding.rule == rule);
        let own = own.next().unwrap_or_else(|| panic!("{rule} is silent"));
        assert_eq!(own.verdict, Verdict::Open, "{rule}");
        let advice = &own.remedy.advice;
        assert!(advice.contains("on three lines"), "{rule}: {advice}");
    }
}

#[test]
fn a_cord_to_the_wrong_circuit_is_still_sent_to_its_poles() {
    let text = CHASSIS.replace("poles: [L1, L2, L3, N]", "poles: [L1, L2, L3]");
    let advice = found(&text).into_iter();
    let advice: String = advice.map(|finding| finding.remedy.advice).collect();
    assert!(!advice.contains("on three lines"), "{advice}");
}

#[test]
fn its_cord_is_warmed_by_all_lines() {
    let site = read(&vec![("cordwright.yaml".to_owned(), CHASSIS.to_owned())]);
    let analysis = site.analysis(today());
    let cord = analysis.model.cords.find("W-1").unwrap();
    let cord = analysis.graph.cord(cord).unwrap();
    // Three lines; the neutral carries no third harmonic to speak of.
    assert_eq!(analysis.loaded_conductors(cord), 3);
}
