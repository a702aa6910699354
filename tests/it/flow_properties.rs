//! What must hold of the currents whatever the site: checked on random small sites, each loss
//! against a site from which the lost thing has really been taken away.

use std::collections::BTreeMap;

use cordwright::graph::{ElementId, ElementKind};
use cordwright::input::SiteInput;
use cordwright::judgement::Site;
use cordwright::quantity::InUnits;

use crate::small::{Loss, Plan};

/// Sites tried by each property.
const SITES: u64 = 80;
/// Along the paths of a small loss, what hangs beside them counts as constant power where it
/// branches off: right to second order in the voltage drop.
const BESIDE: f64 = 2e-4;
/// What hangs beside the paths keeps its third harmonics: right to first order in the voltage drop.
const HARMONIC: f64 = 2e-3;
/// What hangs on a circuit is bounded by its normal current at its lowest voltage: too much by at most
/// the drop.
const BOUNDED: f64 = 0.05;
/// Paths settle to a millionth of their voltage.
const SETTLED: f64 = 1e-5;
/// Currents below this are nothing: a cancelled neutral.
const FLOOR: f64 = 1e-3;

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

/// Worst currents, or those of the normal state, by element and pole.
fn currents(site: &Site, worst: bool) -> BTreeMap<(String, &'static str), f64> {
    let analysis = site.analysis(crate::site::today());
    let mut currents = BTreeMap::new();
    for (id, _) in site.graph.elements() {
        for (pole, normal) in site.flows.normal_currents(&site.graph, id) {
            let current = if worst {
                site.flows.worst_on(&site.graph, id, pole).unwrap().current
            } else {
                normal
            };
            currents.insert(
                (analysis.full_name(id).to_string(), pole.word()),
                current.in_amperes(),
            );
        }
    }
    currents
}

/// The plans that are tried, each with its number: plain ones, and ones in which devices pass power on.
fn plans() -> impl Iterator<Item = (u64, Plan)> {
    let plain = (0..SITES).map(|seed| (seed, Plan::new(seed)));
    let passing_on = (0..SITES).map(|seed| (SITES + seed, Plan::passing_on(seed)));
    plain.chain(passing_on)
}

/// How exact the worst current of a pole of a thing is.
fn beside((_, pole): &(String, &'static str)) -> f64 {
    if *pole == "N" { HARMONIC } else { BESIDE }
}

#[test]
fn currents_at_every_node_sum_to_zero() {
    for seed in 0..SITES {
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
    let (mut compared, mut met) = (0, 0);
    for (seed, plan) in plans() {
        let worst = currents(&read(&plan.definitions(false)), true);
        let mut enumerated = currents(&read(&plan.definitions(false)), false);
        for loss in plan.losses() {
            let after = currents(&read(&plan.without(loss).definitions(false)), false);
            for (what, current) in after {
                let bound = worst[&what];
                assert!(
                    current <= bound * (1.0 + beside(&what)) + FLOOR,
                    "seed {seed}: {what:?} carries {current} A after {loss:?}, worst case {bound} A"
                );
                let largest = enumerated.entry(what).or_default();
                *largest = largest.max(current);
            }
        }
        // A sequence nobody has proved may be the worse one, which the plain sites do not show.
        for (what, largest) in enumerated {
            compared += 1;
            let spare = beside(&what) * largest + FLOOR;
            met += usize::from((worst[&what] - largest).abs() <= spare);
        }
    }
    assert!(compared > 3000, "only {compared} compared");
    assert!(
        met * 100 >= compared * 90,
        "of {compared} worst cases only {met} are met by some loss"
    );
}

#[test]
fn a_proved_sequence_leaves_nothing_to_spare() {
    for (seed, plan) in plans() {
        let definitions = plan
            .definitions(false)
            .replace("sequence-proved: no", "sequence-proved: yes");
        let worst = currents(&read(&definitions), true);
        let mut enumerated = currents(&read(&definitions), false);
        for loss in plan.losses() {
            let after = plan
                .without(loss)
                .definitions(false)
                .replace("sequence-proved: no", "sequence-proved: yes");
            for (what, current) in currents(&read(&after), false) {
                let largest = enumerated.entry(what).or_default();
                *largest = largest.max(current);
            }
        }
        for (what, largest) in enumerated {
            let spare = if what.0.starts_with('c') {
                beside(&what)
            } else {
                BOUNDED
            };
            let bounds = largest * (1.0 - beside(&what)) - FLOOR..=largest * (1.0 + spare) + FLOOR;
            assert!(
                bounds.contains(&worst[&what]),
                "seed {seed}: {what:?}: worst {} against {largest}",
                worst[&what]
            );
        }
    }
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
fn next_line(pole: &str) -> &'static str {
    match pole {
        "L1" => "L2",
        "L2" => "L3",
        "L3" => "L1",
        _ => "N",
    }
}

#[test]
fn more_load_never_lowers_a_worst_case_on_one_phase() {
    for seed in 0..SITES {
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
                after[what] >= current * (1.0 - BESIDE),
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
    ] {
        assert!(losses.iter().filter(|loss| kind(loss)).count() > 50);
    }
}
