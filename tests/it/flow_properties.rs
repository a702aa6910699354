//! What must hold of the currents whatever the site: checked on random small sites, each loss
//! against a site from which the lost thing has really been taken away.

use std::collections::BTreeMap;

use cordwright::graph::{ElementId, ElementKind};
use cordwright::input::SiteInput;
use cordwright::judgement::Site;
use cordwright::quantity::InUnits;

use crate::small::{Loss, Plan};

/// Sites tried by each property; `CORDWRIGHT_FLOWS` names another number.
const SITES: u64 = 80;
/// How far the worst that is told may be off what enumeration finds, of its value.
const EXACT: f64 = 1e-6;
/// Solutions settle to a billionth of their voltage, and a current is told from its neighbours no better.
const SETTLED: f64 = 1e-5;
/// Currents below this are nothing: a cancelled neutral.
const FLOOR: f64 = 1e-6;

fn sites() -> u64 {
    let number = std::env::var("CORDWRIGHT_FLOWS");
    number.map_or(SITES, |number| number.parse().unwrap())
}

fn read(definitions: &str) -> Site {
    let site = Site::read(SiteInput {
        files: vec![("cordwright.yaml".into(), definitions.as_bytes().to_vec())],
        ..SiteInput::default()
    });
    assert!(
        site.model.faults.is_empty(),
        "{:?}\n{definitions}",
        site.model.faults
    );
    site
}

/// Worst currents, or those of the normal state, by element and pole; of two poles by their places, since a
/// transfer switch may feed from others.
fn currents(site: &Site, worst: bool) -> BTreeMap<(String, &'static str), f64> {
    let analysis = site.analysis(crate::site::today());
    let mut currents = BTreeMap::new();
    for (id, _) in site.graph.elements() {
        let places = ["first", "second"];
        let is_pair = site.graph.conductors_of(id).len() == 2;
        for (at, (pole, normal)) in site.flows.normal_currents(&site.graph, id).enumerate() {
            let current = if worst {
                site.flows.worst_on(&site.graph, id, pole).unwrap().current
            } else {
                normal
            };
            currents.insert(
                (
                    analysis.full_name(id).to_string(),
                    if is_pair { places[at] } else { pole.word() },
                ),
                current.in_amperes(),
            );
        }
    }
    currents
}

/// What two-pole elements keep of their unloaded voltage at the lowest, or in the normal state.
fn voltages(site: &Site, worst: bool) -> BTreeMap<String, f64> {
    let analysis = site.analysis(crate::site::today());
    let (flows, graph) = (&site.flows, &site.graph);
    let mut voltages = BTreeMap::new();
    for (id, _) in graph.elements() {
        let Some(normal) = flows.voltage(graph, id) else {
            continue;
        };
        let share = if worst {
            let lowest = flows.lowest_share(graph, id).unwrap();
            lowest.share.in_parts_of_one()
        } else {
            let unloaded = flows.nominal_voltage(graph, id).unwrap() * 0.9;
            normal.in_volts() / unloaded.in_volts()
        };
        voltages.insert(analysis.full_name(id).to_string(), share);
    }
    voltages
}

/// The plans that are tried, each with its number: plain ones, ones in which devices pass power on, ones in which
/// they transfer it, and ones in which supplies are fed from others besides.
fn plans() -> impl Iterator<Item = (u64, Plan)> {
    let kinds: [fn(u64) -> Plan; 4] = [Plan::new, Plan::passing_on, Plan::transferring, Plan::fed];
    let plans = (0..).zip(kinds).map(|(kind, plan)| {
        let seeds = 0..sites() / 2;
        seeds.map(move |seed| (1000 * kind + seed, plan(seed)))
    });
    plans.flatten()
}

/// A plan's definitions with every sequence proved: one nobody has proved may be the worse one, which the
/// sites after a loss do not show.
fn proved(plan: &Plan) -> Site {
    let definitions = plan.definitions(false);
    read(&definitions.replace("sequence-proved: no", "sequence-proved: yes"))
}

#[test]
fn currents_at_every_node_sum_to_zero() {
    for seed in 0..sites() {
        let site = read(&Plan::new(seed).definitions(false));
        for (id, _) in site.graph.elements() {
            let phasors: Vec<_> = site.flows.phasors(&site.graph, id).collect();
            let sum: num_complex::Complex64 = phasors.iter().map(|(_, current)| *current).sum();
            let is_leaf = matches!(
                site.graph.kind(id),
                ElementKind::Cord(_) | ElementKind::Leg(..)
            );
            assert!(
                sum.norm() < 1e-6,
                "seed {seed}: {} A are left over at {:?}",
                sum.norm(),
                site.graph.kind(id)
            );
            if !is_leaf {
                node_law(&site, id, seed);
            }
        }
    }
}

/// What an element carries is what the elements on it carry together.
fn node_law(site: &Site, id: ElementId, seed: u64) {
    for (pole, own) in site.flows.phasors(&site.graph, id) {
        let children = site
            .graph
            .below(id)
            .skip(1)
            .map(ElementId)
            .filter(|child| site.graph.element(*child).feeder == Some(id));
        let below: num_complex::Complex64 = children
            .flat_map(|child| {
                site.flows
                    .phasors(&site.graph, child)
                    .filter(|(at, _)| *at == pole)
                    .collect::<Vec<_>>()
            })
            .map(|(_, current)| current)
            .sum();
        assert!(
            (own - below).norm() < 1e-9 * own.norm().max(1.0),
            "seed {seed}: {own} against {below}"
        );
    }
}

#[test]
fn no_single_loss_is_worse_than_the_worst_case() {
    for (seed, plan) in plans().filter(|(seed, _)| seed % 4 == 0) {
        let worst = currents(&read(&plan.definitions(false)), true);
        for loss in plan.losses() {
            let after = currents(&read(&plan.without(loss).definitions(false)), false);
            for (what, current) in after {
                let bound = worst[&what];
                assert!(
                    current <= bound * (1.0 + EXACT) + FLOOR,
                    "seed {seed}: {what:?} carries {current} A after {loss:?}, worst case {bound} A"
                );
            }
        }
    }
}

#[test]
fn the_worst_is_what_enumeration_finds() {
    let (mut compared, mut by_small, mut furthest) = (0, 0, 0f64);
    for (seed, plan) in plans() {
        let site = proved(&plan);
        let (mut largest, mut lowest) = (currents(&site, false), voltages(&site, false));
        let mut lowest_loaded = lowest.clone();
        for loss in plan.losses() {
            let after = proved(&plan.without(loss));
            let is_small = matches!(loss, Loss::Bank(..) | Loss::Cord(_) | Loss::Leg(..));
            let after_currents = currents(&after, false);
            for (what, current) in after_currents.clone() {
                let largest = largest.entry(what).or_default();
                by_small += usize::from(is_small && current > *largest * (1.0 + EXACT));
                *largest = largest.max(current);
            }
            for (what, volts) in voltages(&after, false) {
                let lower = |lowest: &mut f64| *lowest = lowest.min(volts);
                lower(lowest.get_mut(&what).unwrap());
                // Where the lost thing was the only one on another, that counts as lost with it.
                let mut own = after_currents.iter().filter(|((name, _), _)| *name == what);
                if own.any(|(_, current)| *current > 0.0) {
                    lower(lowest_loaded.get_mut(&what).unwrap());
                }
            }
        }
        let told = currents(&site, true);
        for (what, largest) in largest {
            let off = (told[&what] - largest).abs();
            assert!(
                off <= EXACT * largest + FLOOR,
                "seed {seed}: {what:?}: {} A is told, and {largest} A found",
                told[&what]
            );
            furthest = furthest.max(off / largest.max(1.0));
            compared += 1;
        }
        compared += delivered_at_worst(seed, &plan, &site);
        let told = voltages(&site, true);
        for (what, lowest) in lowest {
            let (told, loaded) = (told[&what], lowest_loaded[&what]);
            assert!(
                (lowest * (1.0 - EXACT)..=loaded * (1.0 + EXACT)).contains(&told),
                "seed {seed}: {what:?}: {told} of its voltage is told to be left, and {lowest} to {loaded} found"
            );
            furthest = furthest.max((told - loaded) / loaded);
            compared += 1;
        }
    }
    println!("largest difference of {compared} worst currents and voltages: {furthest:.1e}");
    assert!(compared > 5000, "only {compared} compared");
    assert!(
        by_small > 100,
        "small losses are the worst {by_small} times only"
    );
}

/// What supplies deliver at the worst, against every loss: the power of each at its terminals, and ahead of it what
/// it takes for that. Returned is how many were compared.
fn delivered_at_worst(seed: u64, plan: &Plan, site: &Site) -> usize {
    let mut worst = delivered(plan, site, &[]);
    for loss in plan.losses() {
        let dead = plan.dead_supplies(loss);
        let after = delivered(plan, &proved(&plan.without(loss)), &dead);
        for (worst, after) in worst.iter_mut().zip(after) {
            *worst = worst.max(after);
        }
    }
    for (at, worst) in worst.iter().enumerate() {
        let (supply, _) = site.model.supplies.iter().nth(at).unwrap();
        let told = site.flows.worst_power(supply).0.in_volt_amperes();
        assert!(
            (told - worst).abs() <= EXACT * worst + FLOOR,
            "seed {seed}: supply s{at}: {told} VA is told, and {worst} VA found"
        );
    }
    worst.len()
}

/// Volt-amperes that every supply delivers in the normal state, none where it is dead.
fn delivered(plan: &Plan, site: &Site, dead: &[usize]) -> Vec<f64> {
    let mut total: Vec<num_complex::Complex64> = (0..plan.fed.len())
        .map(|at| at_terminals(plan, site, at))
        .collect();
    // What a supply is fed from stands behind it.
    for at in 0..total.len() {
        if dead.contains(&at) {
            total[at] = num_complex::Complex64::ZERO;
        } else if let Some(fed) = plan.fed[at] {
            let watts = total[at].re * 100.0 / fed.efficiency as f64 + fed.recharge as f64;
            let vars = match fed.factor {
                Some(factor) => watts * factor.acos().tan(),
                None => total[at].im,
            };
            total[fed.from] += num_complex::Complex64::new(watts, vars);
        }
    }
    total.iter().map(|power| power.norm()).collect()
}

/// Watts and vars of the circuits of a supply, by the voltages of its marking.
fn at_terminals(plan: &Plan, site: &Site, at: usize) -> num_complex::Complex64 {
    let (supply, _) = site.model.supplies.iter().nth(at).unwrap();
    let id = site.graph.supply(supply).unwrap();
    let marking = plan.marking(at);
    let volts = |pole: &str| {
        let (size, degrees) = match (marking.split(' ').nth(2).unwrap(), pole) {
            (_, "N") => (0.0, 0.0),
            ("400/230" | "230", "L1") => (230.0, 0.0),
            ("400/230", "L2") => (230.0, -120.0),
            ("400/230", _) => (230.0, 120.0),
            ("240/120", "L1") => (120.0, 0.0),
            ("240/120", _) => (120.0, 180.0),
            ("208/120", "L1") => (120.0, 0.0),
            ("208/120", "L2") => (120.0, -120.0),
            ("208/120", _) => (120.0, 120.0),
            (_, "L1") => (208.0 / 3f64.sqrt(), 0.0),
            (_, "L2") => (208.0 / 3f64.sqrt(), -120.0),
            (_, _) => (208.0 / 3f64.sqrt(), 120.0),
        };
        num_complex::Complex64::from_polar(0.9 * size, f64::to_radians(degrees))
    };
    let phasors = site.flows.phasors(&site.graph, id);
    phasors
        .map(|(pole, current)| volts(pole.word()) * current.conj())
        .sum()
}

#[test]
fn scaling_loads_and_conductors_scales_currents() {
    for (seed, plan) in plans() {
        let (once, thrice) = (
            currents(&read(&plan.definitions(false)), true),
            currents(&read(&plan.scaled(3.0).definitions(false)), true),
        );
        for (what, current) in once {
            assert!(
                (thrice[&what] - 3.0 * current).abs() < SETTLED * current.max(1.0),
                "seed {seed}: {what:?}: {} against 3 × {current}",
                thrice[&what]
            );
        }
    }
}

#[test]
fn the_order_of_the_definitions_changes_nothing() {
    for (seed, plan) in plans() {
        let (one, other) = (
            currents(&read(&plan.definitions(false)), true),
            currents(&read(&plan.definitions(true)), true),
        );
        assert_eq!(one.len(), other.len());
        for (what, current) in one {
            assert!(
                (other[&what] - current).abs() < 1e-9 * current.max(1.0),
                "seed {seed}: {what:?}: {current} against {}",
                other[&what]
            );
        }
    }
}

/// Other names for devices, which also puts them into another order, and L2 for L1, L3 for L2, L1 for L3
/// in all banks: the same currents under other names.
#[test]
fn names_of_things_and_lines_change_nothing() {
    let (names, lines) = (
        regex::Regex::new(r"\bd(\d+)\b").unwrap(),
        regex::Regex::new(r"between: \S+,").unwrap(),
    );
    let mut tried = 0;
    for seed in 0..8 * SITES {
        let definitions = Plan::new(seed).definitions(false);
        let is_three_phase = !["system: 1/", "system: 2/"]
            .iter()
            .any(|marking| definitions.contains(marking));
        if !is_three_phase {
            continue;
        }
        tried += 1;
        let renamed = names.replace_all(&definitions, |name: &regex::Captures<'_>| {
            format!("d{}", 9000 - name[1].parse::<u32>().unwrap())
        });
        let turned = lines.replace_all(&renamed, |pair: &regex::Captures<'_>| {
            let marked = pair[0].replace("L1", "L?").replace("L3", "L1");
            marked.replace("L2", "L3").replace("L?", "L2")
        });
        let (one, other) = (
            currents(&read(&definitions), true),
            currents(&read(&turned), true),
        );
        assert_eq!(one.len(), other.len());
        for ((what, pole), current) in one {
            let named = other[&(what.clone(), next_line(pole))];
            assert!(
                (named - current).abs() < SETTLED * current.max(1.0),
                "seed {seed}: {what} {pole}: {current} against {named}"
            );
        }
    }
    assert!(tried >= 30, "only {tried} sites of three lines");
}

/// The line that a line becomes when all are turned by one.
fn next_line(pole: &'static str) -> &'static str {
    match pole {
        "L1" => "L2",
        "L2" => "L3",
        "L3" => "L1",
        as_before => as_before,
    }
}

#[test]
fn more_load_never_lowers_a_worst_case_on_one_phase() {
    for seed in 0..sites() {
        let single = |plan: &Plan| {
            let definitions = plan.definitions(false);
            definitions
                .contains("1/N/PE")
                .then(|| currents(&read(&definitions), true))
        };
        let plan = Plan::new(seed);
        let Some(before) = single(&plan) else {
            continue;
        };
        let mut more = plan.clone();
        let heaviest = more.devices.len() / 2;
        more.devices[heaviest].watts *= 1.5;
        let after = currents(&read(&more.definitions(false)), true);
        let names: Vec<String> = single_phase(&plan.definitions(false));
        for (what, current) in before.iter().filter(|((name, _), _)| names.contains(name)) {
            assert!(
                after[what] >= current * (1.0 - EXACT),
                "seed {seed}: {what:?} falls from {current} to {}",
                after[what]
            );
        }
    }
}

/// Names of everything that hangs on single-phase supplies.
fn single_phase(definitions: &str) -> Vec<String> {
    let site = read(definitions);
    let analysis = site.analysis(crate::site::today());
    let single = site.graph.elements().filter(|(id, _)| {
        let supply = site.graph.supply_of(*id).unwrap();
        site.model.supplies[supply]
            .system
            .known()
            .is_some_and(|system| system.lines == 1)
    });
    single
        .map(|(id, _)| analysis.full_name(id).to_string())
        .collect()
}

#[test]
fn losses_of_every_kind_are_tried() {
    let losses: Vec<Loss> = (0..SITES)
        .flat_map(|seed| Plan::new(seed).losses())
        .collect();
    let feeds = losses.iter().filter(|loss| matches!(loss, Loss::Feed(_)));
    assert!(feeds.count() > 20);
    for kind in [
        |loss: &Loss| matches!(loss, Loss::Supply(_)),
        |loss: &Loss| matches!(loss, Loss::Circuit(_)),
        |loss: &Loss| matches!(loss, Loss::Pdu(_)),
        |loss: &Loss| matches!(loss, Loss::Bank(..)),
        |loss: &Loss| matches!(loss, Loss::Cord(_)),
        |loss: &Loss| matches!(loss, Loss::Leg(..)),
        |loss: &Loss| matches!(loss, Loss::SupplyLine(..)),
        |loss: &Loss| matches!(loss, Loss::CircuitLine(..)),
    ] {
        assert!(losses.iter().filter(|loss| kind(loss)).count() > 50);
    }
}
