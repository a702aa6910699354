//! Cords that look alike are judged once for all of them where nothing is to be said: what is found
//! must be the same as when every cord is judged by itself.

use cordwright::finding::Finding;
use cordwright::judgement::{Settings, Site};
use cordwright::rules::{self, Subject};
use cordwright::survey::Shared;
use rayon::prelude::*;

use crate::catalogue::plant;
use crate::dice::Dice;
use crate::site::{self, Files, today};
use crate::sound::layout::write;
use crate::{mistakes, pages, racks};

/// How many things are found in a site, after holding the two ways of judging against each other.
fn found(files: Files) -> usize {
    let read = || site::read(&files);
    let findings = |site: Site| -> Vec<Finding> { site.judge(&Settings::on(today())).findings };
    let by_kind = findings(read());
    let mut site = read();
    site.shared = Shared::each_by_itself(&site.model, &site.graph);
    let by_cord = findings(site);
    assert!(
        by_kind == by_cord,
        "{} findings by kind, {} by cord; by one way only:\n{:#?}",
        by_kind.len(),
        by_cord.len(),
        by_cord
            .iter()
            .filter(|one| !by_kind.contains(one))
            .chain(by_kind.iter().filter(|one| !by_cord.contains(one)))
            .map(|one| &one.headline)
            .collect::<Vec<_>>()
    );
    by_kind.len()
}

#[test]
fn the_same_is_found_in_every_example_of_the_pages() {
    let found: usize = pages::example_sites().into_par_iter().map(found).sum();
    assert!(found > 300, "{found} findings");
}

#[test]
fn the_same_is_found_in_sites_with_several_mistakes() {
    // Mistakes of these rooms do not stand in each other's way.
    let rooms = [Subject::Couplers, Subject::Retention, Subject::Jackets];
    let mut mutators = mistakes::all();
    mutators.retain(|mutator| {
        rules::find(mutator.rule).is_some_and(|rule| rooms.contains(&rule.subject))
    });
    let of_seed = |seed: u64| {
        let mut site = crate::sound::site(seed);
        let mut dice = Dice::new(seed);
        for _ in 0..6 {
            let mutator = mutators[dice.below(mutators.len())];
            if let Some((changed, _)) = plant(mutator, &site, seed) {
                site = changed;
            }
        }
        found(write(&site, seed).files.into_iter().collect())
    };
    let found: usize = (0..200_u64).into_par_iter().map(of_seed).sum();
    assert!(found > 500, "{found} findings");
}

/// Changes of words in a large site of few kinds: what stands in a type, a model or a zone is then
/// wrong of many cords at once, what stands at one rack or cord of some.
const CHANGES: [(&str, &str); 28] = [
    ("{1-14: C13}", "{1-14: C5}"),
    ("{1-14: C13}", "{1-7: C13, 8-14: C19}"),
    ("{15-28: C13}", "{15-28: {coupler: C13, rating: 2 A}}"),
    ("{coupler: C14, feed: A}", "{coupler: C16, feed: A}"),
    ("{coupler: C14, feed: A}", "{coupler: C14, rating: 0.2 A}"),
    ("blue-2m: {plug: C14", "blue-2m: {plug: NEMA 5-15"),
    ("blue-2m: {plug: C14", "blue-2m: {plug: CEE 7/7"),
    ("connector: C13", "connector: C5"),
    ("cordage: H05VV-F", "cordage: SVT"),
    ("cordage: H05VV-F, length: 2.1 m", "length: 2.1 m, cores: 2"),
    ("voltage: 100–240 V", "voltage: 100–127 V"),
    ("    voltage: 100–240 V\n", ""),
    ("{coupler: C14, feed: B}", "{coupler: C20, feed: B}"),
    ("400/230 V", "208/120 V"),
    (
        "ambient: 25 °C, vibration: none",
        "ambient: 45 °C, vibration: machinery",
    ),
    (
        "ambient: 25 °C, vibration: none",
        "vibration: seismic, duty: heavy",
    ),
    (
        "vibration: none, air: room",
        "retention: required, air: plenum, halogen-free: required",
    ),
    ("wet: no, oil: no", "wet: yes, oil: yes"),
    ("vibration: none, ", ""),
    ("  ambient: 25 °C\n", ""),
    ("r0001: {zone: hall, ", "r0001: {"),
    ("rack: r0000\n    at: U9", "at: U9"),
    (
        "A: {type: blue-2m, from: r0001",
        "A: {type: red-2m, from: r0000",
    ),
    ("draw: 1", "draw: 21"),
    ("from: r0001-A/", "from: r0001-B/"),
    ("inlets-needed: 1", "inlets-needed: 3"),
    ("let-through: 12000", "let-through: 90000"),
    (
        "length: 2.1 m, rating: 10 A, colour: red",
        "length: 2.1 m, colour: green",
    ),
];

#[test]
fn the_same_is_found_in_many_cords_of_few_kinds() {
    let of_seed = |seed: u64| {
        let mut dice = Dice::new(seed);
        let mut files = racks::site(2);
        // Each change once by itself, then some together.
        let first = seed as usize % CHANGES.len();
        let more = (0..seed as usize / CHANGES.len()).map(|_| dice.below(CHANGES.len()));
        for change in std::iter::once(first).chain(more.collect::<Vec<_>>()) {
            let (from, to) = CHANGES[change];
            for (_, text) in &mut files {
                *text = text.replace(from, to);
            }
        }
        found(files)
    };
    let found: Vec<usize> = (0..4 * CHANGES.len() as u64)
        .into_par_iter()
        .map(of_seed)
        .collect();
    let silent: Vec<usize> = (0..found.len()).filter(|at| found[*at] == 0).collect();
    assert_eq!(silent, [0; 0], "every change is a mistake");
}
