//! Fault currents against two outside solvers: the faults of `tests/reference` become cords of a site,
//! with the source, the wiring and the cord that the scenario gives.

use std::fmt::Write as _;

use cordwright::flow::fault::{FaultLoops, Source};
use cordwright::input::SiteInput;
use cordwright::judgement::Site;
use cordwright::model::sources::End;
use cordwright::quantity::{InUnits, percent};
use serde_json::Value;

use crate::reference::{number, read};

/// A scenario of faults as definitions of a site: every faulted cord with a receptacle to itself.
fn definitions(scenario: &Value) -> String {
    let mut yaml = String::from("site: {practice: iec, ambient: 25 °C}\nsupplies:\n");
    for (name, supply) in scenario["supplies"].as_object().unwrap() {
        assert_eq!(supply["system"], "single");
        let (volts, fault) = (
            number(&supply["line_to_neutral_volts"]),
            number(&supply["prospective_fault_amperes"]),
        );
        writeln!(yaml, "  {name}: {{system: 1/N/PE ~ {volts} V 50 Hz, fault-current: {fault} A, earthing: TN-S}}").unwrap();
    }
    yaml += "circuits:\n";
    for (name, circuit) in scenario["circuits"].as_object().unwrap() {
        let (line, earth) = (
            number(&circuit["ohms_per_conductor"]),
            number(&circuit["pe_ohms"]),
        );
        let supply = circuit["supply"].as_str().unwrap();
        writeln!(
            yaml,
            "  {name}:\n    from: {supply}\n    poles: [L1, N]\n    breaker: 16 A"
        )
        .unwrap();
        writeln!(yaml, "    wiring: {{conductor: 4 mm², length: 10 m, insulation: pvc-70, resistance: {line} ohm, earth-resistance: {earth} ohm}}").unwrap();
        writeln!(yaml, "    receptacle: IEC 60309 16 A 2P+E 6h").unwrap();
    }
    yaml += "cord-types:\n";
    for (name, fault) in scenario["faults"].as_object().unwrap() {
        let ohms = number(&fault["ohms_per_conductor"]);
        assert_eq!(
            ohms,
            number(&fault["pe_ohms"]),
            "a cord has one size of conductor"
        );
        writeln!(yaml, "  {name}: {{plug: IEC 60309 16 A 2P+E 6h, connector: C19, conductor: 1.5 mm², length: 2 m, resistance: {ohms} ohm}}").unwrap();
    }
    yaml += "device-models:\n  m: {class: I, rating: 1 A, inlets: {i: C20}}\ndevices:\n";
    for name in scenario["faults"].as_object().unwrap().keys() {
        writeln!(yaml, "  d-{name}: {{model: m}}").unwrap();
    }
    yaml += "cords:\n";
    for (name, fault) in scenario["faults"].as_object().unwrap() {
        let circuit = fault["circuit"].as_str().unwrap();
        writeln!(
            yaml,
            "  {name}: {{type: {name}, from: {circuit}, to: d-{name}/i}}"
        )
        .unwrap();
    }
    yaml
}

#[test]
fn fault_currents_agree_with_both_solvers() {
    let (scenarios, expected) = (read("scenarios.json"), read("expected.json"));
    let (mut compared, mut largest) = (0, 0.0_f64);
    for scenario in scenarios["scenarios"].as_array().unwrap() {
        let Some(faults) = scenario["faults"]
            .as_object()
            .filter(|faults| !faults.is_empty())
        else {
            continue;
        };
        let name = scenario["name"].as_str().unwrap();
        let yaml = definitions(scenario);
        let files = vec![("cordwright.yaml".into(), yaml.clone().into_bytes())];
        let site = Site::read(SiteInput {
            files,
            ..SiteInput::default()
        });
        assert!(
            site.graph.faults.is_empty(),
            "{:?}\n{yaml}",
            site.graph.faults
        );
        let fault_loops = FaultLoops::new(&site.model, &site.graph);
        for (fault, given) in faults {
            let ours = current(&site, &fault_loops, fault, given["between"][1] == "PE");
            for solver in ["ngspice", "opendss"] {
                let theirs =
                    number(&expected["results"][solver][name]["faults"][fault]["amperes"][2]);
                let difference = (ours / theirs - 1.0).abs();
                largest = largest.max(difference);
                assert!(difference < 1e-6, "{fault}: {ours} A, {solver} {theirs} A");
                compared += 1;
            }
        }
    }
    println!("faults: {compared} values, largest difference {largest:.1e}");
    assert!(compared >= 8, "only {compared} compared");
}

fn current(site: &Site, fault_loops: &FaultLoops, cord: &str, is_to_earth: bool) -> f64 {
    let id = site
        .graph
        .cord(site.model.cords.find(cord).unwrap())
        .unwrap();
    let supply = &site.model.supplies[site.graph.supply_of(id).unwrap()];
    let state = supply.states().next().unwrap();
    let source = Source::behind(&site.model, &site.graph, (id, &state), End::Smallest).unwrap();
    let way = fault_loops.hot(id).unwrap();
    let around = if is_to_earth {
        source.to_point(source.to_earth.unwrap(), way.line, way.earth)
    } else {
        source.short_circuit(site.graph.poles(id), way.line)
    };
    // The solvers were given the full voltage.
    around.smallest(percent(100.0)).in_amperes()
}
