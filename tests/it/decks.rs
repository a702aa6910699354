//! `cordwright trace NAME --format spice`: a circuit simulator of our own finds in every deck what the deck
//! says should come out, and what the program says of the site.

pub mod redone;

use std::collections::BTreeMap;

use cordwright::graph::ElementId;
use cordwright::judgement::Site;
use cordwright::quantity::InUnits;
use num_complex::Complex64;
use regex::Regex;

use crate::pages::bases;
use crate::site::{read, today};
use crate::small::Plan;
use crate::sound::layout::write;
use crate::world::World;
use redone::{Redone, anew, redone};

/// The survey of all losses solves paths alone and bounds what hangs beside them from above.
const BOUNDED: f64 = 0.05;
const BESIDE: f64 = 2e-4;
const SAME: f64 = 1e-6;

fn deck(world: &World, words: &[&str]) -> String {
    world
        .run(&[&["trace", "--format", "spice"], words].concat())
        .expect(0)
}

type Files = Vec<(String, String)>;

/// Decks that were held against the site.
#[derive(Default)]
struct Held {
    decks: usize,
    values: usize,
    loads: usize,
    normal: usize,
    exact: usize,
}

impl Held {
    fn site(&mut self, files: &Files, step: usize) {
        let site = read(files);
        let files: Vec<(&str, &str)> = files
            .iter()
            .map(|(path, text)| (&**path, &**text))
            .collect();
        let world = World::with(&files);
        for (id, _) in site.graph.elements().step_by(step) {
            self.element(&site, &world, id);
        }
    }

    /// The deck of an element; of a bank or leg that of what it belongs to.
    fn element(&mut self, site: &Site, world: &World, id: ElementId) {
        let analysis = site.analysis(today());
        let name = analysis.full_name(id);
        let name = name.split('/').next().unwrap();
        let redone = redone(&deck(world, &["--", name]));
        self.decks += 1;
        self.values += redone.expected;
        self.loads += loads(&redone);
        let traced = Regex::new(
            r"e(\d+) below\. trace shows as its worst (\S+) A on (\S+), ([^;]*); solved by itself as below it is (\S+) A",
        );
        let said = redone.said.replace('\n', " ");
        let mut all = traced.as_ref().unwrap().captures_iter(&said);
        let Some(told) = all.next() else {
            assert!(said.contains("shows no current of it"), "{name}: {said}");
            return;
        };
        let number: usize = told[1].parse().unwrap();
        let [worst, own] = [2, 5].map(|at| told[at].parse::<f64>().unwrap());
        near(worst, of_site(site, &redone, number), SAME);
        let solved = redone
            .current(number, &told[3])
            .map_or(0.0, |current| current.norm());
        if !said.contains("Third harmonics add") {
            near(solved, own, SAME);
        }
        assert!(
            worst >= own * (1.0 - BESIDE) - SAME,
            "{name}: {worst} {own}"
        );
        assert!(
            worst <= own * (1.0 + BOUNDED) + SAME,
            "{name}: {worst} {own}"
        );
        self.exact += usize::from((worst - own).abs() <= SAME * own.max(0.1));
        if &told[4] == "in normal running" {
            near(worst, own, SAME);
            self.normal += 1;
            in_normal_running(site, &redone);
        }
    }
}

#[track_caller]
fn near(is: f64, should: f64, share: f64) {
    assert!(
        (is - should).abs() <= share * should.abs().max(0.1),
        "{is}, not {should}"
    );
}

/// The worst current that the site has for an element of a deck.
fn of_site(site: &Site, redone: &Redone, number: usize) -> f64 {
    let analysis = site.analysis(today());
    let is_it = |id: &ElementId| redone.number(&analysis.describe(*id)) == Some(number);
    let id = site.graph.elements().map(|(id, _)| id).find(is_it).unwrap();
    let worst = site.flows.worst(&site.graph, id).unwrap();
    worst.current.in_amperes()
}

/// Every load takes what its comment says; how many there are.
fn loads(redone: &Redone) -> usize {
    let said = redone.said.replace('\n', " ");
    let stated = Regex::new(r"Load of \S+: S = (\S+) ([+-]) j (\S+) VA").unwrap();
    let number = |text: &str| text.parse::<f64>().unwrap();
    let stated = stated.captures_iter(&said).map(|words| {
        let sign = if &words[2] == "-" { -1.0 } else { 1.0 };
        Complex64::new(number(&words[1]), sign * number(&words[3]))
    });
    let stated: Vec<Complex64> = stated.collect();
    assert_eq!(stated.len(), redone.powers.len());
    for (stated, taken) in stated.iter().zip(redone.powers.values()) {
        assert!(
            (stated - taken).norm() <= 1e-6 * stated.norm(),
            "{taken}, not {stated}"
        );
    }
    stated.len()
}

/// In the normal state every current is that of the site, as phasors, and what is left out is nothing.
fn in_normal_running(site: &Site, redone: &Redone) {
    let is_forward = !redone.said.replace('\n', " ").contains("as L1, L3, L2");
    let analysis = site.analysis(today());
    for (id, _) in site.graph.elements().filter(|_| is_forward) {
        let Some(number) = redone.number(&analysis.describe(id)) else {
            continue;
        };
        for (pole, current) in site.flows.phasors(&site.graph, id) {
            let solved = redone.current(number, pole.word()).unwrap_or_default();
            let spare = SAME * current.norm().max(0.1);
            // Of a circuit by itself the supply is not there.
            assert!(
                (solved - current).norm() <= spare,
                "{number} {pole:?}: {solved}, not {current}"
            );
        }
    }
}

fn sound(seed: u64) -> Files {
    write(&crate::sound::site(seed), seed)
        .files
        .into_iter()
        .collect()
}

#[test]
fn generated_sound_sites_come_out_as_they_should() {
    let mut held = Held::default();
    for seed in 0..30 {
        let files = sound(seed);
        let count = read(&files).graph.len();
        held.site(&files, (count / 3).max(1));
    }
    let Held {
        decks,
        values,
        loads,
        normal,
        exact,
    } = held;
    assert!(
        decks >= 90 && values > 3000 && loads > 400,
        "{decks} {values} {loads}"
    );
    assert!(
        normal >= 5 && exact * 10 >= decks * 8,
        "{normal} {exact} of {decks}"
    );
}

/// Every arrangement of supplies, sequences that nobody has proved, splitters, third harmonics, and devices that
/// pass power on.
#[test]
fn small_sites_of_every_system_come_out_as_they_should() {
    let mut held = Held::default();
    for seed in 0..12 {
        for plan in [Plan::new(seed), Plan::passing_on(seed)] {
            let files = vec![("cordwright.yaml".to_owned(), plan.definitions(false))];
            let count = read(&files).graph.len();
            held.site(&files, (count / 4).max(1));
        }
    }
    let Held {
        decks,
        values,
        loads,
        normal,
        exact,
    } = held;
    assert!(
        decks >= 90 && values > 1500 && loads > 300,
        "{decks} {values} {loads}"
    );
    assert!(
        normal >= 5 && exact * 10 >= decks * 7,
        "{normal} {exact} of {decks}"
    );
}

fn of_example(name: &str) -> String {
    let words = ["trace", name, "example-repo", "--format", "spice"];
    let mut command = World::with(&[]).command(&words);
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    crate::world::ended(&mut command).expect(0)
}

#[test]
fn the_example_comes_out_as_it_should() {
    let mut values = 0;
    for name in [
        "ups-a",
        "A-1",
        "cr-1-a",
        "W-1105",
        "store-01",
        "store-01/psu2",
        "display-02",
    ] {
        let redone = redone(&of_example(name));
        loads(&redone);
        values += redone.expected;
        assert_eq!(redone.expected == 0, name == "display-02", "{name}");
    }
    assert!(values > 500, "{values}");
}

/// Made again from its powers alone, a network settles where the deck says.
#[test]
fn loads_made_anew_from_nominal_voltage_end_at_the_same_voltages() {
    for name in ["B-21", "T-4", "cr-4-t", "W-1209", "clock-01"] {
        anew(&of_example(name));
    }
    for seed in 0..6 {
        for plan in [Plan::new(seed), Plan::passing_on(seed)] {
            let world = World::with(&[("cordwright.yaml", &plan.definitions(false))]);
            anew(&deck(&world, &["s1"]));
        }
    }
}

#[test]
fn the_guide_shows_what_comes_out() {
    let guide = include_str!("../../lint-docs/guides/commands.md");
    let shown = guide
        .split("```text\n")
        .find(|block| block.starts_with("* e"))
        .unwrap();
    let shown = shown.split_once("```").unwrap().0;
    let deck = of_example("W-1105");
    assert!(deck.contains(shown), "{shown}\n{deck}");
}

const TYPES: &str = "\
device-models:
  recorder: {height: 1 U, class: I, voltage: 100–240 V, power-factor: 0.9, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}
cord-types:
  c13-1m: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: blue, approvals: [BSI]}
";
const CORDS: &str = "\
cords:
  W-1: {type: c13-1m, from: pdu-a/1, to: rec-1/psu1}
  W-2: {type: c13-1m, from: pdu-b/1, to: rec-1/psu2}
";
const DRAWN: &str = "devices:\n  rec-1: {model: recorder, rack: r1, at: U10, draw: 414 W}\n";

fn world(own: &[&str]) -> World {
    let base = &bases()["base-iec.yaml"];
    World::with(&[("cordwright.yaml", base), ("own.yaml", &own.concat())])
}

#[test]
fn a_device_has_a_part_for_each_state_that_makes_its_worst() {
    let redone = redone(&deck(&world(&[TYPES, CORDS, DRAWN]), &["rec-1"]));
    for said in [
        "Part 1",
        "when supply ups-b is lost",
        "Part 2",
        "when supply ups-a is lost",
    ] {
        assert!(redone.said.contains(said), "{said}\n{}", redone.said);
    }
    // 414 W at power factor 0.9 and 207 V, through one inlet at a time: 2.22 A and a little for the drop.
    for cord in ["cord W-1", "cord W-2"] {
        let number = redone.number(cord).unwrap();
        let current = redone.current(number, "L1").unwrap().norm();
        assert!((2.222..2.23).contains(&current), "{current}");
    }
    assert_eq!(loads(&redone), 2);
}

#[test]
fn loads_that_are_not_known_are_listed_and_never_nothing_in_silence() {
    let devices = "devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 414 W}
  rec-2: {model: recorder, rack: r1, at: U12}
  rec-3: {model: stranger, rack: r1, at: U14, draw: 100 W}
";
    let cords = format!(
        "{CORDS}  W-3: {{type: c13-1m, from: pdu-a/2, to: rec-2/psu1}}\n  W-4: {{type: nobody, from: pdu-a/3, to: rec-1/psu9}}\n"
    );
    let text = deck(&world(&[TYPES, &cords, devices]), &["pdu-a"]);
    let redone = redone(&text);
    let said = redone.said.replace('\n', " ");
    let head = said.find("Solve it").unwrap();
    assert!(
        said.find("KNOWN LOADS AND RESISTANCES ALONE")
            .is_some_and(|at| at < head),
        "{said}"
    );
    for told in [
        "load of rec-2/psu1 on cord W-3: neither a draw",
        "cord W-4",
        "More may flow",
    ] {
        assert!(said.contains(told), "{told}\n{said}");
    }
    let whole = deck(&world(&[TYPES, CORDS, DRAWN]), &["pdu-a"]);
    assert!(
        !whole.contains("KNOWN LOADS AND RESISTANCES ALONE"),
        "{whole}"
    );
}

#[test]
fn what_has_no_network_says_why_and_is_still_a_deck() {
    let loose = "devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 414 W}
  rec-2: {model: recorder, rack: r1, at: U12, draw: 20 W}
";
    let unfed = world(&[TYPES, CORDS, loose]);
    for name in ["rec-2", "rec-1/psu7"] {
        let redone = redone(&deck(&unfed, &[name]));
        assert!(redone.said.contains("no network"), "{}", redone.said);
        assert_eq!(redone.expected, 0);
    }
    let heavy = DRAWN.replace("414 W", "900 kW");
    let redone = redone(&deck(&world(&[TYPES, CORDS, &heavy]), &["W-1"]));
    assert!(
        redone
            .said
            .replace('\n', " ")
            .contains("it has no solution"),
        "{}",
        redone.said
    );
    let ended = unfed.run(&["trace", "rec-11", "--format", "spice"]);
    assert_eq!(ended.code, Some(2));
    assert!(ended.errors.contains("rec-1"), "{}", ended.errors);
}

#[test]
fn a_resistance_that_is_not_known_is_told() {
    let types = TYPES.replace("conductor: 1.0 mm², ", "");
    let text = deck(&world(&[&types, CORDS, DRAWN]), &["W-1"]);
    let said = redone(&text).said.replace('\n', " ");
    assert!(said.contains("NO RESISTANCE IS COUNTED"), "{said}");
    assert!(
        said.contains("cord W-1: its resistance is not known"),
        "{said}"
    );
}

#[test]
fn cords_hang_as_planned_or_as_fitted() {
    let cords = CORDS.replace("to: rec-1/psu2", "to: rec-1/psu2, state: to-fit");
    let world = world(&[TYPES, &cords, DRAWN]);
    let planned = redone(&deck(&world, &["W-1"]));
    assert!(
        planned.said.contains("when supply ups-b is lost"),
        "{}",
        planned.said
    );
    let fitted = redone(&deck(&world, &["W-1", "--as-fitted"]));
    assert!(fitted.said.contains("in normal running"), "{}", fitted.said);
}

#[test]
fn neither_files_nor_threads_change_a_byte() {
    let files: BTreeMap<String, String> = sound(5).into_iter().collect();
    let files: Vec<(&str, &str)> = files
        .iter()
        .map(|(path, text)| (&**path, &**text))
        .collect();
    let world = World::with(&files);
    let base = &bases()["base-iec.yaml"];
    let [one, other] = ["aaa.yaml", "zzz.yaml"].map(|own| {
        let rest = if own == "aaa.yaml" {
            "zzz.yaml"
        } else {
            "aaa.yaml"
        };
        let types = format!("{TYPES}{DRAWN}");
        World::with(&[("cordwright.yaml", base), (own, &types), (rest, CORDS)])
    });
    assert_eq!(deck(&one, &["ups-a"]), deck(&other, &["ups-a"]));
    let site = read(&sound(5));
    let analysis = site.analysis(today());
    let (head, _) = site.graph.elements().next().unwrap();
    let name = analysis.full_name(head);
    let threads = |count: &str| {
        let mut command = world.command(&["trace", &name, "--format", "spice"]);
        crate::world::ended(command.env("RAYON_NUM_THREADS", count)).expect(0)
    };
    assert_eq!(threads("1"), threads("4"));
    assert!(threads("1").lines().count() > 100);
}

/// Names and letters that mean something to simulators stay words of comments.
#[test]
fn names_are_words_and_nothing_else() {
    let hostile = "W\\n.control\\nshell echo gone\\n.endc\\n+ *# $ ; {x} é 電";
    let cords = CORDS.replace("W-1:", &format!("\"{hostile}\":"));
    let world = world(&[TYPES, &cords, DRAWN]);
    let name = hostile.replace("\\n", "\n");
    for name in [name.as_str(), "rec-1", "ups-a"] {
        let redone = redone(&deck(&world, &[name]));
        assert!(redone.said.contains("<U+96FB>"), "{}", redone.said);
        assert_eq!(loads(&redone), redone.powers.len());
    }
}
