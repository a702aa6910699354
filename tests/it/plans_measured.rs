//! Plans of random racks, held against an exact solver from the registries.
//!
//! The racks and what the solver made of them lie in `tests/reference/plans`. The plain test takes a few;
//! `CORDWRIGHT_PLANS=50` takes all, and with `CORDWRIGHT_BLESS` writes the table beside them.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;

use cordwright::input::SiteInput;
use cordwright::judgement::Settings;
use cordwright::plan::{Asked, Plan, plan};
use rayon::prelude::*;

use crate::site::today;

/// Racks that the plain test takes.
const RACKS: usize = 5;
/// Metres that one more length costs, here as in the solver.
const FURTHER: f64 = 3.0;

fn reference(name: &str) -> String {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/plans");
    fs::read_to_string(format!("{folder}/{name}")).unwrap()
}

/// The devices of a rack from the foot up: watts, and whether the inlet is C20.
fn devices(line: &str) -> Vec<(f64, bool)> {
    let words = line.split(' ');
    let devices = words.map(|word| {
        let watts = word.trim_end_matches('*').parse().unwrap();
        (watts, word.ends_with('*'))
    });
    devices.collect()
}

fn site(devices: &[(f64, bool)]) -> String {
    let mut yaml = "\
site:
  name: Random rack
  practice: iec
  country: GB
  ambient: 25 °C
  continuous-load: 100 %
  supply-tolerance: 0 %
  voltage-drop: {circuit: 5 %, cord: 3 %, total: 8 %}
  feeds: {A: {colour: blue}, B: {colour: red}}
  stock-lengths: [0.5 m, 0.8 m, 1 m, 1.2 m, 1.5 m, 2 m]
  routing: {connector-bend: 50 mm, service-loop: 100 mm, cross-run: 300 mm}
zones: {hall: {ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}}
racks: {r: {zone: hall, height: 47 U, depth: 1070 mm}}
supplies:
  a: {feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 100 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}
  b: {feed: B, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 100 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}
circuits:
  ca: {from: a, poles: [L1, L2, L3, N], breaker: {rating: 63 A, curve: C, breaking-capacity: 10 kA}, wiring: {conductor: 25 mm², length: 10 m, insulation: xlpe-90}, receptacle: IEC 60309 63 A 3P+N+E 6h}
  cb: {from: b, poles: [L1, L2, L3, N], breaker: {rating: 63 A, curve: C, breaking-capacity: 10 kA}, wiring: {conductor: 25 mm², length: 10 m, insulation: xlpe-90}, receptacle: IEC 60309 63 A 3P+N+E 6h}
device-models:
  small: {height: 1 U, class: I, voltage: 220–240 V, rating: 1000 VA, power-factor: 1, inlets: {i1: C14, i2: C14}, inlets-needed: 1, third-harmonic: 5 %}
  large: {height: 1 U, class: I, voltage: 220–240 V, rating: 3200 VA, power-factor: 1, inlets: {i1: C20, i2: C20}, inlets-needed: 1, third-harmonic: 5 %}
pdus:
  pa: {model: strip, rack: r, from: ca, mount: {side: rear-left, foot: U1, head: U42}}
  pb: {model: strip, rack: r, from: cb, mount: {side: rear-right, foot: U1, head: U42}}
pdu-models:
  strip:
    plug: IEC 60309 63 A 3P+N+E 6h
    rating: 63 A
    cord: {cordage: H07RN-F, conductor: 25 mm², length: 2 m}
    outlet-pitch: 42.3 mm
    first-outlet: 22 mm
    banks:
"
    .to_owned();
    for bank in 0..6 {
        let first = bank * 7 + 1;
        let line = bank % 3 + 1;
        writeln!(yaml, "      B{bank}: {{between: L{line}-N, breaker: {{rating: 20 A, curve: C, breaking-capacity: 10 kA, let-through: 5 kA²s}}, outlets: {{{first}-{}: C13, {}: C19, {}-{}: C13}}}}", first + 2, first + 3, first + 4, first + 6).unwrap();
    }
    yaml += "devices:\n";
    for (number, (watts, is_large)) in devices.iter().enumerate() {
        let model = if *is_large { "large" } else { "small" };
        writeln!(
            yaml,
            "  d{number:02}: {{model: {model}, rack: r, at: U{}, draw: {watts} VA}}",
            number + 1
        )
        .unwrap();
    }
    yaml
}

fn planned(devices: &[(f64, bool)]) -> Plan {
    let files = vec![("cordwright.yaml".to_owned(), site(devices).into_bytes())];
    let input = SiteInput {
        files,
        ..SiteInput::default()
    };
    plan(&input, &Asked::default(), &Settings::on(today()))
}

/// The largest line of either strip while it carries all, and the cost of the cords.
fn measured(devices: &[(f64, bool)], plan: &Plan) -> (f64, f64) {
    assert_eq!(plan.untried, None);
    assert_eq!(plan.unplanned, []);
    let mut lines: BTreeMap<(String, u32), f64> = BTreeMap::new();
    let mut cost = 0.0;
    let mut lengths = BTreeSet::new();
    for cord in &plan.cords {
        let (strip, outlet) = cord.from.split_once('/').unwrap();
        let line = (outlet.parse::<u32>().unwrap() - 1) / 7 % 3;
        let device: usize = cord.to[1..3].parse().unwrap();
        *lines.entry((strip.to_owned(), line)).or_default() += devices[device].0;
        let metres: f64 = cord.bought.trim_end_matches(" m").parse().unwrap();
        cost += metres;
        lengths.insert(cord.bought.clone());
        let row = f64::from(outlet.parse::<u32>().unwrap() - 1);
        let way = ((device as f64 + 0.5) * 44.45 - (22.0 + row * 42.3)).abs() + 500.0;
        assert!(
            metres * 1000.0 >= way - 1e-6,
            "{cord:?} has a way of {way} mm"
        );
    }
    let top = lines.values().copied().fold(0.0, f64::max);
    (top, cost + FURTHER * lengths.len() as f64)
}

#[test]
fn plans_come_close_to_the_best_there_are() {
    let (racks, solved) = (reference("racks.txt"), reference("solved.txt"));
    let count = std::env::var("CORDWRIGHT_PLANS").map_or(RACKS, |racks| racks.parse().unwrap());
    let solved = solved.lines().map(|line| {
        let numbers = line.split(' ').map(|word| word.parse().unwrap_or(f64::NAN));
        numbers.collect::<Vec<f64>>()
    });
    let pairs: Vec<_> = racks.lines().zip(solved).take(count).collect();
    let rows = pairs.par_iter().map(|(line, best)| {
        let devices = devices(line);
        let (top, cost) = measured(&devices, &planned(&devices));
        if std::env::var_os("CORDWRIGHT_PLANS").is_some() {
            println!("{top:.0} of {best:?}: cost {cost:.2}");
        }
        (top / best[1], cost / best[2], cost / best[3])
    });
    let rows: Vec<(f64, f64, f64)> = rows.collect();
    assert_eq!(rows.len(), count.min(50));
    let mean =
        |of: fn(&(f64, f64, f64)) -> f64| rows.iter().map(of).sum::<f64>() / rows.len() as f64;
    let most = |of: fn(&(f64, f64, f64)) -> f64| rows.iter().map(of).fold(0.0, f64::max);
    let share = |number: f64| format!("{:+.2} %", (number - 1.0) * 100.0);
    let table = format!(
        "{} racks. Largest line against the solver's bound: {} on average, {} at worst. Cost of cord against the solver's best: {} on average, {} at worst; against its bound: {} on average.\n",
        rows.len(),
        share(mean(|row| row.0)),
        share(most(|row| row.0)),
        share(mean(|row| row.1)),
        share(most(|row| row.1)),
        share(mean(|row| row.2)),
    );
    assert!(
        mean(|row| row.0) <= 1.005 && most(|row| row.0) <= 1.02,
        "{table}"
    );
    assert!(mean(|row| row.1) <= 1.05, "{table}");
    if count >= 50 && std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        let path = concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/reference/plans/measured.txt"
        );
        fs::write(path, table).unwrap();
    }
}
