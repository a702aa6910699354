//! Every worked example of `tests/reference/worked-examples.yaml`, put to the program's own functions.
//! The README there gives the formula behind each kind; nothing here repeats it.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use cordwright::flow::fault::FaultLoop;
use cordwright::flow::loads::at_factor;
use cordwright::flow::protection::{
    Coordination, derated, drop_there_and_back, largest_loop, share,
};
use cordwright::flow::sweep::load_current;
use cordwright::input::SiteInput;
use cordwright::judgement::Site;
use cordwright::model::devices::PowerFactor;
use cordwright::model::value::Id;
use cordwright::quantity::{
    ConductorSize, Current, InUnits, Length, Ratio, amperes, degrees_celsius, metres, ohms,
    percent, seconds, square_millimetres, volts,
};
use cordwright::tables::ambient::{AmbientFactor, for_wiring};
use cordwright::tables::breakers::{Curve, conventional_tripping, instantaneous_band};
use cordwright::tables::conductors::{ConductorClass, Side, resistance_per_metre};
use cordwright::tables::cordage::Insulation;
use cordwright::tables::wiring::WiringInsulation;
use cordwright::tables::withstand::{AdiabaticConstant, ConductorRole, k};
use cordwright::tables::{Practice, ampacity, constants, grouping};
use num_complex::Complex64;
use serde_json::Value;

/// One answer and what it is called: `amperes`, `amperes L1`, `ohms 3`.
type Answers = BTreeMap<String, f64>;

fn file() -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/worked-examples.yaml");
    serde_yaml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// Lists and maps of answers laid flat; yes counts as 1.
fn flat(value: &Value) -> Answers {
    let mut answers = Answers::new();
    let number = |value: &Value| {
        value
            .as_bool()
            .map_or_else(|| value.as_f64(), |yes| Some(f64::from(u8::from(yes))))
    };
    for (name, value) in value.as_object().unwrap() {
        match value {
            Value::Array(list) => answers.extend(
                list.iter()
                    .enumerate()
                    .map(|(at, value)| (format!("{name} {at}"), number(value).unwrap())),
            ),
            Value::Object(map) => answers.extend(
                map.iter()
                    .map(|(key, value)| (format!("{name} {key}"), number(value).unwrap())),
            ),
            value => {
                answers.insert(name.clone(), number(value).unwrap());
            }
        }
    }
    answers
}

/// How far off an answer may be: `within` has it by the first word of its name.
fn allowed(within: &Answers, answer: &str) -> f64 {
    let name = answer.split(' ').next().unwrap();
    within.get(name).copied().unwrap_or(0.0) + 1e-9
}

fn near(found: &Answers, published: &Answers, within: &Answers) -> bool {
    assert!(
        published.keys().all(|name| found.contains_key(name)),
        "answers are missing: {found:?} against {published:?}"
    );
    published
        .iter()
        .all(|(name, value)| (found[name] - value).abs() <= allowed(within, name))
}

/// How far an answer is from the printed one, of the printed one, at the most.
fn difference(found: &Answers, published: &Answers) -> f64 {
    let each = published.iter();
    each.map(|(name, value)| (found[name] - value).abs() / value.abs().max(1e-9))
        .fold(0.0, f64::max)
}

#[test]
fn every_published_example_comes_out() {
    let file = file();
    let examples = file["examples"].as_array().unwrap();
    assert!(examples.len() >= 45, "only {} examples", examples.len());
    let mut wrong = String::new();
    let mut largest: BTreeMap<&str, f64> = BTreeMap::new();
    for example in examples {
        let (found, published) = (answers(example), flat(&example["answer"]));
        let kind = largest
            .entry(example["kind"].as_str().unwrap())
            .or_default();
        *kind = kind.max(difference(&found, &published));
        if !near(&found, &published, &flat(&example["within"])) {
            writeln!(
                wrong,
                "{}: found {found:?}, published {}",
                example["id"], example["answer"]
            )
            .unwrap();
        }
    }
    for (kind, difference) in largest {
        println!("{kind}: largest difference {difference:.1e}");
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn published_mistakes_do_not_come_out() {
    let file = file();
    let traps = file["traps"].as_array().unwrap();
    assert!(traps.len() >= 5, "only {} traps", traps.len());
    for trap in traps {
        let (found, within) = (answers(trap), flat(&trap["within"]));
        assert!(
            near(&found, &flat(&trap["right"]), &within),
            "{}: {found:?}",
            trap["id"]
        );
        assert!(
            !near(&found, &flat(&trap["wrong"]), &within),
            "{}: {found:?}",
            trap["id"]
        );
    }
}

/// The inputs of an example.
struct Inputs<'a>(&'a Value);

impl Inputs<'_> {
    fn number(&self, name: &str) -> f64 {
        self.0[name]
            .as_f64()
            .unwrap_or_else(|| panic!("{name} in {}", self.0))
    }

    fn list(&self, name: &str) -> Vec<f64> {
        let list = self.0[name].as_array();
        list.unwrap()
            .iter()
            .map(|value| value.as_f64().unwrap())
            .collect()
    }

    fn factors(&self) -> Vec<Ratio> {
        self.list("factors")
            .into_iter()
            .map(|factor| percent(100.0 * factor))
            .collect()
    }

    fn current(&self, name: &str) -> Current {
        amperes(self.number(name))
    }

    fn by_name(&self, name: &str) -> BTreeMap<String, f64> {
        let map = self.0[name].as_object().unwrap();
        map.iter()
            .map(|(key, value)| (key.clone(), value.as_f64().unwrap()))
            .collect()
    }
}

fn one(name: &str, value: f64) -> Answers {
    Answers::from([(name.to_owned(), value)])
}

fn several(name: &str, values: impl Iterator<Item = f64>) -> Answers {
    values
        .enumerate()
        .map(|(at, value)| (format!("{name} {at}"), value))
        .collect()
}

fn answers(example: &Value) -> Answers {
    let inputs = Inputs(&example["inputs"]);
    match example["kind"].as_str().unwrap() {
        "ampacity-times-factor" => times_factors(&inputs),
        "ambient-series" => several(
            "amperes",
            inputs
                .list("ambient-celsius")
                .into_iter()
                .map(|air| in_air(&inputs, air, &[]).round()),
        ),
        "ambient-and-factors" => one(
            "amperes",
            in_air(&inputs, inputs.number("ambient-celsius"), &inputs.factors()),
        ),
        "required-tabulated-current" => required(&inputs),
        "cord-ampacity-table" => cord_table(&inputs),
        "design-current" => design_current(&inputs),
        "overload-coordination" => coordination(&inputs),
        "continuous" => continuous(&inputs),
        "continuous-share" => continuous_share(&inputs),
        "three-phase-lines" => three_phase_lines(&inputs),
        "branch-current" => branch_current(&inputs),
        "neutral" => neutral(&inputs),
        "three-phase-capacity" => three_phase_capacity(&inputs),
        "voltage-drop-mv" => drop_by_millivolts(&inputs),
        "voltage-drop-k" => drop_by_k(&inputs),
        "fault-current" => fault_current(&inputs),
        "adiabatic-section" => adiabatic_section(&inputs),
        "withstand-time" => withstand_time(&inputs),
        "zs-limit" => loop_limits(&inputs),
        "awg-diameter" => several(
            "millimetres",
            gauges(&inputs).map(|area| (area * (4.0 / std::f64::consts::PI)).sqrt()),
        ),
        "awg-area" => several("square-millimetres", gauges(&inputs)),
        "resistance-per-length" => resistance_per_length(&inputs),
        kind => panic!("nothing is known of the kind {kind}"),
    }
}

/// The factor must be one of the program's own for many loaded conductors, too.
fn times_factors(inputs: &Inputs<'_>) -> Answers {
    let factors = inputs.factors();
    let own = |factor: &Ratio| {
        (4..=60).any(|loaded| {
            grouping::more_than_three(loaded)
                .is_some_and(|own| (own.value - *factor).abs() < percent(1e-6))
        })
    };
    assert!(factors.iter().all(own), "{factors:?}");
    one(
        "amperes",
        derated(inputs.current("table-amperes"), &factors).in_amperes(),
    )
}

/// By the ambient table for the conductor's temperature: 90 °C as NEC, 70 °C as IEC print it.
fn in_air(inputs: &Inputs<'_>, air: f64, factors: &[Ratio]) -> f64 {
    assert_eq!(inputs.number("base-celsius"), 30.0);
    let (practice, insulation) = match inputs.number("conductor-celsius") {
        90.0 => (Practice::Nec, WiringInsulation::Thhn90),
        70.0 => (Practice::Iec, WiringInsulation::Pvc70),
        other => panic!("no insulation for {other} °C"),
    };
    let AmbientFactor::Factor(own) = for_wiring(practice, insulation, degrees_celsius(air)) else {
        panic!("no factor at {air} °C");
    };
    let all: Vec<Ratio> = factors.iter().copied().chain([own.value]).collect();
    derated(inputs.current("table-amperes"), &all).in_amperes()
}

/// The least tabulated current, found by asking what each carries once derated.
fn required(inputs: &Inputs<'_>) -> Answers {
    let (device, factors) = (inputs.current("device-amperes"), inputs.factors());
    let enough =
        |hundredths: &u32| derated(amperes(f64::from(*hundredths) / 100.0), &factors) >= device;
    let least = (0..50_000).find(enough).unwrap();
    one("amperes", f64::from(least) / 100.0)
}

fn cord_table(inputs: &Inputs<'_>) -> Answers {
    let gauge = ConductorSize::Awg(inputs.number("gauge-awg") as i8);
    let loaded = inputs.number("loaded-conductors") as u8;
    let found = ampacity::flexible(Practice::Nec, None, gauge, loaded);
    one("amperes", found.value().unwrap().in_amperes())
}

fn design_current(inputs: &Inputs<'_>) -> Answers {
    let factor = inputs.number("power-factor");
    let power = at_factor(
        inputs.number("watts") / factor,
        PowerFactor::new(factor).unwrap(),
    );
    one(
        "amperes",
        load_current(power, Complex64::new(inputs.number("volts"), 0.0)).norm(),
    )
}

fn coordination(inputs: &Inputs<'_>) -> Answers {
    let rating = inputs.current("device-amperes");
    let tripping = conventional_tripping(Curve::B, rating).unwrap().value;
    let published = inputs.number("conventional-tripping-factor");
    assert!((tripping.in_parts_of_one() - published).abs() < 1e-9);
    let limit = constants::conventional_tripping().unwrap().value;
    let both = Coordination::new(rating, tripping, inputs.current("cable-amperes"), limit);
    Answers::from([
        ("tripping-amperes".into(), both.tripping.in_amperes()),
        ("limit-amperes".into(), both.limit.in_amperes()),
        ("coordinated".into(), f64::from(u8::from(both.holds()))),
    ])
}

fn continuous_load_share() -> Ratio {
    constants::continuous_load(Practice::Nec).unwrap().value
}

/// The least device, found by asking how much continuous load each may take.
fn continuous(inputs: &Inputs<'_>) -> Answers {
    let (load, other) = (
        inputs.current("continuous-amperes"),
        inputs.current("other-amperes"),
    );
    let enough = |hundredths: &u32| {
        let device = amperes(f64::from(*hundredths) / 100.0);
        derated(device - other, &[continuous_load_share()]) >= load * (1.0 - 1e-12)
    };
    let least = (0..50_000).find(enough).unwrap();
    one("device-amperes", f64::from(least) / 100.0)
}

fn continuous_share(inputs: &Inputs<'_>) -> Answers {
    let rating = inputs.current("rating-amperes");
    assert!((continuous_load_share().in_parts_of_one() - inputs.number("share")).abs() < 1e-9);
    one(
        "amperes",
        constants::receptacle_load(rating)
            .unwrap()
            .value
            .in_amperes(),
    )
}

/// A load of a test site: the pair it hangs between, volt-amperes, power factor.
struct Load {
    between: String,
    volt_amperes: f64,
    factor: f64,
}

/// A site with one circuit whose conductors have no resistance, and these loads on it.
fn site(system: &str, poles: &str, loads: &[Load]) -> Site {
    let mut yaml = format!(
        "site: {{practice: iec, supply-tolerance: 0 %, ambient: 25 °C}}\nsupplies:\n  s: {{system: {system}, sequence-proved: yes}}\n\
         circuits:\n  c: {{from: s, poles: [{poles}], breaker: 400 A}}\n\
         pdu-models:\n  m:\n    plug: IEC 60309 63 A 3P+N+E\n    rating: 400 A\n    banks:\n"
    );
    for load in loads {
        writeln!(
            yaml,
            "      {0}: {{between: {0}, outlets: {{{0}: C19}}}}",
            load.between
        )
        .unwrap();
    }
    yaml += "pdus:\n  p: {model: m, from: c}\ndevice-models:\n";
    for load in loads {
        writeln!(
            yaml,
            "  m{}: {{power-factor: {}, inlets: {{i: C20}}}}",
            load.between, load.factor
        )
        .unwrap();
    }
    yaml += "devices:\n";
    for load in loads {
        writeln!(
            yaml,
            "  d{0}: {{model: m{0}, draw: {1} VA}}",
            load.between, load.volt_amperes
        )
        .unwrap();
    }
    yaml += "cord-types:\n  t: {plug: C20, connector: C19}\ncords:\n";
    for load in loads {
        writeln!(
            yaml,
            "  w{0}: {{type: t, from: p/{0}, to: d{0}/i}}",
            load.between
        )
        .unwrap();
    }
    Site::read(SiteInput {
        files: vec![("cordwright.yaml".into(), yaml.into_bytes())],
        ..SiteInput::default()
    })
}

/// The currents of the circuit's poles.
fn pole_currents(site: &Site) -> BTreeMap<&'static str, f64> {
    let circuit = site.graph.circuit(Id::new(0)).unwrap();
    let currents = site.flows.normal_currents(&site.graph, circuit);
    currents
        .map(|(pole, current)| (pole.word(), current.in_amperes()))
        .collect()
}

fn three_phase_lines(inputs: &Inputs<'_>) -> Answers {
    let factors = inputs.by_name("power-factors");
    let branches = inputs
        .by_name("amperes")
        .into_iter()
        .filter(|(_, amperes)| *amperes > 0.0);
    let loads: Vec<Load> = branches
        .map(|(between, amperes)| Load {
            volt_amperes: amperes * 400.0,
            factor: factors[&between],
            between,
        })
        .collect();
    let site = site("3/PE ~ 400 V 50 Hz", "L1, L2, L3", &loads);
    pole_currents(&site)
        .into_iter()
        .map(|(pole, current)| (format!("amperes {pole}"), current))
        .collect()
}

fn to_neutral(amperes: &BTreeMap<String, f64>, volts: f64) -> Vec<Load> {
    let loads = amperes.iter().map(|(line, amperes)| Load {
        between: format!("{line}-N"),
        volt_amperes: amperes * volts,
        factor: 1.0,
    });
    loads.collect()
}

fn neutral(inputs: &Inputs<'_>) -> Answers {
    let loads = to_neutral(&inputs.by_name("amperes"), 230.0);
    let site = site("3/N/PE ~ 400/230 V 50 Hz", "L1, L2, L3, N", &loads);
    one("amperes", pole_currents(&site)["N"])
}

/// Three equal loads that take the whole share of the rating on every line.
fn three_phase_capacity(inputs: &Inputs<'_>) -> Answers {
    let line_to_line = inputs.number("line-to-line-volts");
    let most = derated(
        inputs.current("rating-amperes"),
        &[percent(100.0 * inputs.number("share"))],
    );
    let each: Vec<Load> = ["L1-L2", "L2-L3", "L3-L1"]
        .into_iter()
        .map(|between| Load {
            between: between.into(),
            volt_amperes: most.in_amperes() / 3f64.sqrt() * line_to_line,
            factor: 1.0,
        })
        .collect();
    let site = site(
        &format!("3/PE ~ {line_to_line} V 50 Hz"),
        "L1, L2, L3",
        &each,
    );
    let (power, _) = site.flows.worst_power(Id::new(0));
    Answers::from([
        ("amperes".into(), pole_currents(&site)["L1"]),
        ("kilovolt-amperes".into(), power.in_volt_amperes() / 1000.0),
    ])
}

fn branch_current(inputs: &Inputs<'_>) -> Answers {
    let (volts, impedance) = (inputs.number("volts"), inputs.number("ohms"));
    let factor = inputs.number("impedance-degrees").to_radians().cos();
    let power = at_factor(volts * volts / impedance, PowerFactor::new(factor).unwrap());
    let current = load_current(power, Complex64::new(volts, 0.0));
    Answers::from([
        ("real-amperes".into(), current.re),
        ("imaginary-amperes".into(), current.im),
        ("amperes".into(), current.norm()),
    ])
}

/// The tables print the drop of both conductors.
fn drop_by_millivolts(inputs: &Inputs<'_>) -> Answers {
    let one_way = inputs.number("millivolts-per-ampere-metre") / 2000.0 * inputs.number("metres");
    let drop = drop_there_and_back(inputs.current("amperes"), ohms(one_way));
    one("volts", drop.in_volts())
}

fn drop_by_k(inputs: &Inputs<'_>) -> Answers {
    let per_foot = inputs.number("k-ohm-circular-mils-per-foot") / inputs.number("circular-mils");
    let one_way = ohms(per_foot * inputs.number("feet"));
    let drop = drop_there_and_back(inputs.current("amperes"), one_way);
    Answers::from([
        ("volts".into(), drop.in_volts()),
        (
            "percent".into(),
            share(drop, volts(inputs.number("volts"))).in_percent(),
        ),
    ])
}

fn fault_current(inputs: &Inputs<'_>) -> Answers {
    let fault = FaultLoop {
        voltage: volts(inputs.number("volts")),
        source: ohms(0.0),
        conductors: ohms(inputs.number("ohms")),
        limit: None,
    };
    one("amperes", fault.smallest(percent(100.0)).in_amperes())
}

/// The constant of PVC in the program's table, which is the one the examples use.
fn constant(inputs: &Inputs<'_>) -> AdiabaticConstant {
    let own = k(Insulation::Pvc70, ConductorRole::ProtectiveInCable);
    let own = *own.value().unwrap();
    assert_eq!(own.value(), inputs.number("k"));
    own
}

fn adiabatic_section(inputs: &Inputs<'_>) -> Answers {
    let least = constant(inputs)
        .least_section(inputs.current("amperes"), seconds(inputs.number("seconds")));
    one("square-millimetres", least.in_square_millimetres())
}

fn withstand_time(inputs: &Inputs<'_>) -> Answers {
    let section = square_millimetres(inputs.number("square-millimetres"));
    let time = constant(inputs).withstand_time(section, inputs.current("amperes"));
    one("milliseconds", time.in_seconds() * 1000.0)
}

/// The curve is the one whose instantaneous trip is sure from the example's multiple on.
fn loop_limits(inputs: &Inputs<'_>) -> Answers {
    let multiple = inputs.number("trip-multiple");
    let sure = |curve: Curve| instantaneous_band(curve).unwrap().opens_from;
    let curve = [Curve::B, Curve::C, Curve::D]
        .into_iter()
        .find(|curve| (sure(*curve).in_parts_of_one() - multiple).abs() < 1e-9)
        .unwrap();
    let factor = percent(100.0 * inputs.number("minimum-voltage-factor"));
    let u0 = volts(inputs.number("volts"));
    let loops = inputs
        .list("device-amperes")
        .into_iter()
        .map(|rating| largest_loop(u0, factor, amperes(rating) * sure(curve)).in_ohms());
    several("ohms", loops)
}

fn gauges(inputs: &Inputs<'_>) -> impl Iterator<Item = f64> {
    let gauges = inputs.list("gauge-awg").into_iter();
    gauges.map(|gauge| {
        ConductorSize::Awg(gauge as i8)
            .area()
            .in_square_millimetres()
    })
}

/// The gauge whose row the figure is; the program then gives it for any length.
fn resistance_per_length(inputs: &Inputs<'_>) -> Answers {
    let printed = inputs.number("ohms-per-1000-feet");
    let over = |gauge: i8, length: Length| {
        let size = ConductorSize::Awg(gauge);
        let class = ConductorClass::Flexible;
        let found = resistance_per_metre(size, class, degrees_celsius(75.0), Side::Highest);
        found.value().map(|linear| linear.over(length).in_ohms())
    };
    let thousand_feet = metres(304.8);
    let gauge = (1..=18)
        .find(|gauge| over(*gauge, thousand_feet).is_some_and(|own| (own - printed).abs() < 1e-6))
        .unwrap();
    one("ohms-per-kilometre", over(gauge, metres(1000.0)).unwrap())
}
