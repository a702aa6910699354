//! The power flow against two outside solvers: every scenario of `tests/reference` becomes a site,
//! and the currents and voltages that the program finds are held against theirs.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use cordwright::graph::ElementId;
use cordwright::input::SiteInput;
use cordwright::judgement::Site;
use cordwright::quantity::InUnits;
use serde_json::Value;

/// Differences are relative to the value, but never to less than this: a neutral may cancel to
/// nothing (see `tests/reference/README.md`).
const FLOOR_AMPERES: f64 = 0.1;
const FLOOR_VOLTS: f64 = 1.0;
/// The program settles to 1e-9 and the solvers agree to 1e-8; the rest is rounding of checked-in digits.
const TOLERANCE: f64 = 1e-6;

/// A file of reference values.
pub fn read(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/reference")
        .join(name);
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// A number of theirs.
pub fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// A scenario as definitions of a site.
fn definitions(scenario: &Value) -> String {
    let mut yaml =
        String::from("site: {practice: iec, supply-tolerance: 0 %, ambient: 25 °C}\nsupplies:\n");
    for (name, supply) in scenario["supplies"].as_object().unwrap() {
        writeln!(
            yaml,
            "  {name}: {{system: {}, sequence-proved: yes}}",
            marking(supply)
        )
        .unwrap();
    }
    circuits(scenario, &mut yaml);
    cords(scenario, &mut yaml);
    yaml
}

/// The system at the low end of its tolerance: supplies of one scenario differ in theirs.
fn marking(supply: &Value) -> String {
    let root3 = 3f64.sqrt();
    let low = 1.0 - number(&supply["tolerance"]);
    match supply["system"].as_str().unwrap() {
        "delta" => format!(
            "3/PE ~ {} V 60 Hz",
            low * number(&supply["line_to_line_volts"])
        ),
        system => {
            let to_neutral = low * number(&supply["line_to_neutral_volts"]);
            match system {
                "wye" => format!(
                    "3/N/PE ~ {}/{to_neutral} V 50 Hz",
                    (to_neutral * root3 * 10.0).round() / 10.0
                ),
                "split-phase" => format!("2/N/PE ~ {}/{to_neutral} V 60 Hz", 2.0 * to_neutral),
                "single" => format!("1/N/PE ~ {to_neutral} V 50 Hz"),
                other => panic!("unknown system {other}"),
            }
        }
    }
}

fn words(list: &Value) -> Vec<&str> {
    list.as_array()
        .unwrap()
        .iter()
        .map(|word| word.as_str().unwrap())
        .collect()
}

fn circuits(scenario: &Value, yaml: &mut String) {
    let mut pairs: BTreeMap<(String, String), usize> = BTreeMap::new();
    for cord in scenario["cords"].as_object().unwrap().values() {
        *pairs
            .entry((
                cord["circuit"].as_str().unwrap().into(),
                words(&cord["between"]).join("-"),
            ))
            .or_default() += 1;
    }
    let circuits = scenario["circuits"].as_object().unwrap();
    writeln!(yaml, "circuits:").unwrap();
    for (name, circuit) in circuits {
        let (from, poles) = (
            circuit["supply"].as_str().unwrap(),
            words(&circuit["poles"]).join(", "),
        );
        let ohms = number(&circuit["ohms_per_conductor"]);
        writeln!(
            yaml,
            "  {name}:\n    from: {from}\n    poles: [{poles}]\n    breaker: 63 A"
        )
        .unwrap();
        writeln!(yaml, "    wiring: {{conductor: 16 mm², length: 10 m, insulation: pvc-70, resistance: {ohms} ohm}}").unwrap();
    }
    writeln!(yaml, "pdu-models:").unwrap();
    for name in circuits.keys() {
        let has_banks = pairs.keys().any(|(circuit, _)| circuit == name);
        // A strip whose loads are all on the other one still has outlets.
        let banks = match has_banks {
            true => "",
            false => " {spare: {between: L1-N, outlets: {1: C19}}}",
        };
        writeln!(
            yaml,
            "  model-{name}:\n    plug: IEC 60309 63 A 3P+N+E\n    rating: 63 A\n    banks:{banks}"
        )
        .unwrap();
        for ((_, pair), outlets) in pairs.iter().filter(|((circuit, _), _)| circuit == name) {
            writeln!(yaml, "      {pair}: {{between: {pair}, outlets: {{").unwrap();
            (0..*outlets).for_each(|outlet| write!(yaml, "{pair}.{outlet}: C19, ").unwrap());
            writeln!(yaml, "}}}}").unwrap();
        }
    }
    writeln!(yaml, "pdus:").unwrap();
    circuits.keys().for_each(|name| {
        writeln!(yaml, "  pdu-{name}: {{model: model-{name}, from: {name}}}").unwrap()
    });
}

fn cords(scenario: &Value, yaml: &mut String) {
    let mut devices: BTreeMap<String, Vec<(&String, &Value)>> = BTreeMap::new();
    for (name, cord) in scenario["cords"].as_object().unwrap() {
        let device = cord["device"].as_str().unwrap_or(name);
        devices
            .entry(device.to_owned())
            .or_default()
            .push((name, cord));
    }
    writeln!(yaml, "device-models:").unwrap();
    for (name, cords) in &devices {
        let inlets: Vec<String> = (0..cords.len())
            .map(|inlet| format!("i{inlet}: C20"))
            .collect();
        writeln!(
            yaml,
            "  model-{name}: {{power-factor: {}, inlets: {{{}}}}}",
            cords[0].1["pf"],
            inlets.join(", ")
        )
        .unwrap();
    }
    writeln!(yaml, "devices:").unwrap();
    for (name, cords) in &devices {
        let watts: f64 = cords.iter().map(|(_, cord)| number(&cord["watts"])).sum();
        writeln!(yaml, "  {name}: {{model: model-{name}, draw: {watts} W}}").unwrap();
    }
    writeln!(yaml, "cord-types:").unwrap();
    for (name, cord) in devices.values().flatten() {
        let ohms = number(&cord["ohms_per_conductor"]);
        writeln!(yaml, "  type-{name}: {{plug: C20, connector: C19, conductor: 1.5 mm², length: 1 m, resistance: {ohms} ohm}}").unwrap();
    }
    writeln!(yaml, "cords:").unwrap();
    let mut next: BTreeMap<(String, String), usize> = BTreeMap::new();
    for (device, cords) in &devices {
        for (inlet, (name, cord)) in cords.iter().enumerate() {
            let (circuit, pair) = (
                cord["circuit"].as_str().unwrap().to_owned(),
                words(&cord["between"]).join("-"),
            );
            let outlet = next.entry((circuit.clone(), pair.clone())).or_default();
            writeln!(yaml, "  {name}: {{type: type-{name}, from: pdu-{circuit}/{pair}.{outlet}, to: {device}/i{inlet}}}").unwrap();
            *outlet += 1;
        }
    }
}

/// Differences seen in one scenario, largest kept.
#[derive(Default)]
struct Seen {
    largest: f64,
    compared: usize,
    wrong: String,
}

impl Seen {
    fn compare(&mut self, what: &str, ours: f64, theirs: f64, floor: f64) {
        let difference = (ours - theirs).abs() / theirs.abs().max(floor);
        assert!(difference.is_finite(), "{what}: {ours} against {theirs}");
        self.compared += 1;
        self.largest = self.largest.max(difference);
        if difference > TOLERANCE {
            writeln!(self.wrong, "{what}: {ours} against {theirs}").unwrap();
        }
    }
}

fn compare(scenario: &Value, expected: &Value, seen: &mut Seen) {
    let name = scenario["name"].as_str().unwrap();
    let yaml = definitions(scenario);
    let site = Site::read(SiteInput {
        files: vec![("cordwright.yaml".into(), yaml.clone().into_bytes())],
        ..SiteInput::default()
    });
    assert!(
        site.model.faults.is_empty(),
        "{name}: {:?}\n{yaml}",
        site.model.faults
    );
    assert!(
        site.graph.faults.is_empty(),
        "{name}: {:?}",
        site.graph.faults
    );
    for (circuit, values) in expected["circuits"].as_object().unwrap() {
        let id = site
            .graph
            .circuit(site.model.circuits.find(circuit).unwrap())
            .unwrap();
        compare_circuit(
            &site,
            id,
            &format!("{name} {circuit}"),
            &values["amperes"],
            seen,
        );
    }
    for (cord, values) in expected["cords"].as_object().unwrap() {
        let id = site
            .graph
            .cord(site.model.cords.find(cord).unwrap())
            .unwrap();
        let what = format!("{name} {cord}");
        let current = site
            .flows
            .normal_currents(&site.graph, id)
            .next()
            .unwrap()
            .1;
        seen.compare(
            &format!("{what} A"),
            current.in_amperes(),
            number(&values["amperes"][2]),
            FLOOR_AMPERES,
        );
        let voltage = site.flows.voltage(&site.graph, id).unwrap();
        seen.compare(
            &format!("{what} V"),
            voltage.in_volts(),
            number(&values["volts"][2]),
            FLOOR_VOLTS,
        );
    }
}

fn compare_circuit(site: &Site, id: ElementId, what: &str, amperes: &Value, seen: &mut Seen) {
    let ours: BTreeMap<&str, f64> = site
        .flows
        .normal_currents(&site.graph, id)
        .map(|(pole, current)| (pole.word(), current.in_amperes()))
        .collect();
    assert_eq!(ours.len(), amperes.as_object().unwrap().len(), "{what}");
    for (pole, theirs) in amperes.as_object().unwrap() {
        seen.compare(
            &format!("{what} {pole}"),
            ours[pole.as_str()],
            number(&theirs[2]),
            FLOOR_AMPERES,
        );
    }
}

fn against(solver: &str) -> Seen {
    let (scenarios, expected) = (read("scenarios.json"), read("expected.json"));
    let mut seen = Seen::default();
    for scenario in scenarios["scenarios"].as_array().unwrap() {
        if scenario
            .get("cords")
            .is_some_and(|cords| cords.as_object().is_some_and(|cords| !cords.is_empty()))
        {
            let name = scenario["name"].as_str().unwrap();
            compare(scenario, &expected["results"][solver][name], &mut seen);
        }
    }
    println!(
        "{solver}: {} values, largest difference {:.1e}",
        seen.compared, seen.largest
    );
    seen
}

#[test]
fn currents_and_voltages_agree_with_a_circuit_simulator() {
    let seen = against("ngspice");
    assert!(seen.compared > 3000, "only {} values", seen.compared);
    assert!(seen.wrong.is_empty(), "{}", seen.wrong);
}

#[test]
fn currents_and_voltages_agree_with_a_network_solver() {
    let seen = against("opendss");
    assert!(seen.compared > 3000, "only {} values", seen.compared);
    assert!(seen.wrong.is_empty(), "{}", seen.wrong);
}
