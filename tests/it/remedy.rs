//! Remedies: whatever is offered is tried here once more, each by itself and by other means.

use std::collections::{BTreeMap, BTreeSet};

use cordwright::finding::{Finding, Verdict};
use cordwright::input::SiteInput;
use cordwright::judgement::{Settings, Site};
use cordwright::model::value::{Field, Spanned};
use cordwright::remedy::{Choice, Refit, Remedies, remedies};
use cordwright::rules::{self, Subject};
use rayon::prelude::*;

use crate::catalogue::plant;
use crate::dice::Dice;
use crate::site::{Files, judged, today};
use crate::sound::layout::write;
use crate::world::World;
use crate::{mistakes, pages, racks};

/// What is tidied up once something is put right.
pub const TIDYING: [&str; 3] = ["idle-definition", "departure-idle", "snag-idle"];

fn input(files: &Files) -> SiteInput {
    let bytes = files.iter();
    let bytes = bytes.map(|(path, text)| (path.clone(), text.clone().into_bytes()));
    let mut files: Vec<_> = bytes.collect();
    files.sort();
    SiteInput {
        files,
        ..SiteInput::default()
    }
}

fn remedies_of(files: &Files) -> Remedies {
    remedies(input(files), &BTreeMap::new(), &Settings::on(today()))
}

/// The files with the changes written.
fn changed(files: &Files, remedies: &Remedies) -> Files {
    let mut files = files.clone();
    for (path, text) in &mut files {
        if let Some((_, new)) = remedies.changed.iter().find(|(other, _)| other == path) {
            text.clone_from(new);
        }
    }
    files
}

fn prints(findings: &[Finding]) -> BTreeSet<(&'static str, String)> {
    let told = findings.iter().filter(|f| !TIDYING.contains(&f.rule));
    told.map(|f| (f.rule, f.fingerprint())).collect()
}

/// The findings of a site in which one cord is another.
fn with(files: &Files, refit: &Refit, choice: &Choice) -> Vec<Finding> {
    let mut site = Site::read(input(files));
    let id = site.model.cords.find(&refit.cord).unwrap();
    let cord = &mut site.model.cords[id].item;
    let span = cord.cord_type.span().unwrap();
    let value = choice.kind.clone();
    cord.cord_type = Field::Given(Spanned { value, span });
    cord.length = match choice.length.filter(|_| choice.is_own_length) {
        Some(value) => Field::Given(Spanned { value, span }),
        None => Field::Absent,
    };
    Site::of(site.model).judge(&Settings::on(today())).findings
}

/// Holds every choice of a site against a judgement of its own; how many there were, and how many
/// cords were written.
fn held(files: &Files) -> (usize, usize) {
    let remedies = remedies_of(files);
    let mut corrected = files.clone();
    for source in remedies.corrected.iter() {
        let mut own = corrected.iter_mut();
        let own = own.find(|(path, _)| *path == source.1.path).unwrap();
        own.1 = source.1.text.to_string();
    }
    let before = prints(&judged(&corrected).findings);
    let mut choices = 0;
    for refit in &remedies.refits {
        for choice in &refit.choices {
            let after = with(&corrected, refit, choice);
            let new: Vec<_> = prints(&after).difference(&before).cloned().collect();
            assert!(new.is_empty(), "{} as {choice:?}: {new:?}", refit.cord);
            let still = after.iter().find(|finding| {
                let names_it = finding.about.contains(&refit.cord);
                let is_broken = finding.verdict == Verdict::Broken;
                names_it && is_broken && choice.puts_right.contains(&finding.rule)
            });
            assert!(still.is_none(), "{} as {choice:?}: {still:?}", refit.cord);
            choices += 1;
        }
    }
    let written = changed(files, &remedies);
    let after = judged(&written);
    let new: Vec<_> = prints(&after.findings)
        .difference(&before)
        .cloned()
        .collect();
    assert!(new.is_empty(), "{new:?}");
    let known = after.known.iter().map(|known| &known.finding);
    let worst = after.findings.iter().chain(known);
    let worst = worst.filter(|finding| finding.verdict == Verdict::Broken);
    assert_eq!(
        worst.map(|finding| finding.level).max(),
        remedies.worst_left
    );
    let refits = remedies.refits.iter();
    (
        choices,
        refits.filter(|refit| !refit.edits.is_empty()).count(),
    )
}

fn sum(all: impl ParallelIterator<Item = (usize, usize)>) -> (usize, usize) {
    all.reduce(|| (0, 0), |a, b| (a.0 + b.0, a.1 + b.1))
}

/// A sound site in which some mistakes are made that cords have to do with.
pub fn with_mistakes(seed: u64, mistakes: usize) -> Files {
    let rooms = [
        Subject::Couplers,
        Subject::Conductors,
        Subject::Retention,
        Subject::Jackets,
        Subject::Routing,
        Subject::Identity,
    ];
    let mut mutators = mistakes::all();
    mutators.retain(|mutator| {
        rules::find(mutator.rule).is_some_and(|rule| rooms.contains(&rule.subject))
    });
    let mut site = crate::sound::site(seed);
    let mut dice = Dice::new(seed);
    for _ in 0..mistakes {
        let mutator = mutators[dice.below(mutators.len())];
        if let Some((changed, _)) = plant(mutator, &site, seed) {
            site = changed;
        }
    }
    write(&site, seed).files.into_iter().collect()
}

#[test]
fn every_choice_puts_right_what_it_says_and_brings_nothing_new() {
    let of_seed = |seed: u64| held(&with_mistakes(seed, 4));
    let (choices, written) = sum((0..120_u64).into_par_iter().map(of_seed));
    assert!(
        choices > 60 && written > 20,
        "{choices} choices, {written} written"
    );
    let (choices, _) = sum(pages::example_sites()
        .into_par_iter()
        .map(|files| held(&files)));
    assert!(choices > 5, "{choices} choices in the pages");
}

/// A sound site with one more cord type, and its rack.
fn quay(types: &str, cords: &str) -> Files {
    let start = |path: &str| {
        let root = concat!(env!("CARGO_MANIFEST_DIR"), "/src/command/start/iec/");
        std::fs::read_to_string(format!("{root}{path}")).unwrap()
    };
    let rack = start("rack.yaml");
    let (rack, _) = rack.split_once("cords:").unwrap();
    vec![
        ("cordwright.yaml".into(), start("cordwright.yaml")),
        ("types.yaml".into(), start("types.yaml") + types),
        ("rack.yaml".into(), format!("{rack}cords:\n{cords}")),
    ]
}

const OTHERS: &str = "  W-002: {type: red-1.5m, from: rack-1-b/1, to: server-01/psu2}
  W-003: {type: blue-1.5m, from: rack-1-a/9, to: server-02/psu1}
  W-004: {type: red-1.5m, from: rack-1-b/9, to: server-02/psu2}
";
const THIN: &str = "  thin-blue: {plug: C14, connector: C13, conductor: 0.5 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}\n";

#[test]
fn the_only_choice_is_written_and_not_a_byte_besides() {
    let cords = format!(
        "  # by the door\n  W-001:  {{ type: thin-blue , from: rack-1-a/1, to: server-01/psu1 }}   # öld\n{OTHERS}"
    );
    let files = quay(THIN, &cords);
    let remedies = remedies_of(&files);
    let [refit] = remedies.refits.as_slice() else {
        panic!("{remedies:#?}")
    };
    assert_eq!(
        (refit.cord.as_str(), refit.kind.as_str()),
        ("W-001", "thin-blue")
    );
    assert_eq!(refit.choices.len(), 1, "{refit:#?}");
    assert!(refit.is_searched);
    let now = files[2].1.replace("thin-blue", "blue-1.5m");
    assert_eq!(remedies.changed, [("rack.yaml".to_owned(), now)]);
}

#[test]
fn what_stays_as_it_is_is_told_and_the_rest_is_written_for_what_then_stands() {
    let cords =
        format!("  W-001: {{type: thin-blue, from: rack-1-a/1, to: server-01/psu1}}\n{OTHERS}");
    let mut files = quay(THIN, &cords);
    let slip = |file: &str| format!("zones:\n  {file}: {{vibraton: none, ambient: 25 °C}}\n");
    files.push(("one.yaml".into(), slip("one")));
    files.push(("two.yaml".into(), slip("two")));
    let fixed = ["rack.yaml", "two.yaml", "types.yaml"].map(|file| (file.into(), "why".into()));
    let remedies = remedies(
        input(&files),
        &BTreeMap::from(fixed),
        &Settings::on(today()),
    );
    let new = slip("one").replace("vibraton", "vibration");
    assert_eq!(remedies.changed, [("one.yaml".to_owned(), new)]);
    let unwritten: Vec<&str> = remedies.unwritten.keys().map(String::as_str).collect();
    assert_eq!(
        unwritten,
        ["rack.yaml", "two.yaml"],
        "none that has nothing to change"
    );
    let refit = &remedies.refits[0];
    assert!(
        refit.choices.len() == 1 && refit.edits.is_empty(),
        "{refit:#?}"
    );
    assert_eq!((remedies.by_hand.len(), remedies.corrections.len()), (1, 1));
    // The slip that stays is told once, and still counts.
    assert!(
        remedies
            .others
            .iter()
            .all(|finding| finding.rule != "unknown-key")
    );
    let left = judged(&changed(&files, &remedies)).findings;
    assert!(left.iter().any(|finding| finding.rule == "unknown-key"));
    let worst = left
        .iter()
        .filter(|finding| finding.verdict == Verdict::Broken);
    assert_eq!(
        worst.map(|finding| finding.level).max(),
        remedies.worst_left
    );
}

#[test]
fn of_two_choices_none_is_written() {
    let other = "  thick-blue: {plug: C14, connector: C13, conductor: 1.5 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}\n";
    let cords =
        format!("  W-001: {{type: thin-blue, from: rack-1-a/1, to: server-01/psu1}}\n{OTHERS}");
    let remedies = remedies_of(&quay(&format!("{THIN}{other}"), &cords));
    let kinds: Vec<&str> = remedies.refits[0]
        .choices
        .iter()
        .map(|c| c.kind.as_str())
        .collect();
    // The same length; the one that differs in fewer ways comes first, then the first by name.
    assert_eq!(kinds, ["blue-1.5m", "thick-blue"]);
    assert!(remedies.changed.is_empty());
}

/// A cord far too short, at a site that keeps lengths of cord.
fn short(cord: &str) -> Files {
    let short = "  blue-short: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 0.2 m, rating: 10 A, colour: blue, approvals: [BSI]}\n";
    let mut files = quay(short, &format!("{cord}{OTHERS}"));
    files[0].1 = files[0].1.replace(
        "  name: Our site\n",
        "  name: Our site\n  stock-lengths: [0.3 m, 1.5 m]\n",
    );
    // Nothing else of the site may do.
    let colours = "colour: blue, approvals: [BSI]}\n  red-1.5m";
    files[1].1 = files[1].1.replace(colours, &colours.replace("blue", "red"));
    files[1].1 = files[1].1.replace("blue-1.5m", "green-1.5m");
    files[2].1 = files[2].1.replace("blue-1.5m", "red-1.5m");
    files
}

#[test]
fn a_length_of_the_stock_is_written_as_the_cord_is_laid_out() {
    for (cord, expected) in [
        (
            "  W-001: {type: blue-short, from: rack-1-a/1, to: server-01/psu1}\n",
            "  W-001: {type: blue-short, length: 1.5 m, from: rack-1-a/1, to: server-01/psu1}\n",
        ),
        (
            "  W-001:\n    from: rack-1-a/1\n    type: blue-short   # for now\n    to: server-01/psu1\n",
            "  W-001:\n    from: rack-1-a/1\n    length: 1.5 m\n    type: blue-short   # for now\n    to: server-01/psu1\n",
        ),
        (
            "  W-001: {type: blue-short, length: 25 cm, from: rack-1-a/1, to: server-01/psu1}\n",
            "  W-001: {type: blue-short, length: 1.5 m, from: rack-1-a/1, to: server-01/psu1}\n",
        ),
    ] {
        let files = short(cord);
        let remedies = remedies_of(&files);
        let refit = remedies
            .refits
            .iter()
            .find(|refit| refit.cord == "W-001")
            .unwrap();
        assert!(refit.rules.contains(&"cord-too-short"), "{refit:#?}");
        assert_eq!(refit.choices.len(), 1, "{refit:#?}");
        let (_, text) = remedies
            .changed
            .iter()
            .find(|(path, _)| path == "rack.yaml")
            .unwrap();
        assert!(text.contains(expected), "{text}");
    }
}

#[test]
fn what_is_written_ends_its_lines_as_the_file_does() {
    let cord = "  W-001:\n    from: rack-1-a/1\n    type: blue-short   # for now\n    to: server-01/psu1\n";
    let mut files = short(cord);
    for (_, text) in &mut files {
        *text = text.replace('\n', "\r\n");
    }
    let remedies = remedies_of(&files);
    let (_, text) = remedies
        .changed
        .iter()
        .find(|(path, _)| path == "rack.yaml")
        .unwrap();
    assert!(
        text.contains("\r\n    length: 1.5 m\r\n    type: blue-short   # for now\r\n"),
        "{text:?}"
    );
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
}

#[test]
fn what_is_shared_by_several_cords_is_not_written() {
    let cords = format!(
        "  W-001: {{<<: &t {{type: thin-blue}}, from: rack-1-a/1, to: server-01/psu1}}\n  W-005: {{<<: *t, from: rack-1-a/2, to: server-01/psu3}}\n{OTHERS}"
    );
    let mut files = quay(THIN, &cords);
    files[1].1 = files[1].1.replace(
        "psu2: {coupler: C14, feed: B}}",
        "psu2: {coupler: C14, feed: B}, psu3: {coupler: C14, feed: A}}",
    );
    let remedies = remedies_of(&files);
    let first = &remedies.refits[0];
    assert_eq!(first.choices[0].kind, "blue-1.5m");
    assert!(remedies.changed.is_empty(), "{:?}", remedies.changed);
    assert!(
        remedies
            .refits
            .iter()
            .find(|r| r.cord == "W-005")
            .unwrap()
            .edits
            .is_empty()
    );
}

#[test]
fn while_a_part_is_not_read_slips_are_corrected_and_no_cords_tried() {
    let cords =
        format!("  W-001: {{type: thin-blue, from: rack-1-a/1, to: server-01/psu1}}\n{OTHERS}");
    let world = World::with(&[]);
    for (path, text) in quay(THIN, &cords) {
        world.put(&path, &text);
    }
    world.put(
        "more.yaml",
        "zones:\n  shed: {vibraton: none, ambient: 25 °C}\n",
    );
    world.put("half.yaml", "racks:\n  r9: {zone: hall\n");
    let ended = world.run(&["remedy", "--write"]);
    assert_eq!(ended.code, Some(2), "{}", ended.output);
    assert!(
        ended.output.contains("`vibraton` becomes `vibration`"),
        "{}",
        ended.output
    );
    assert!(
        ended.output.contains("No other cords were tried"),
        "{}",
        ended.output
    );
    assert!(
        std::fs::read_to_string(world.at("more.yaml"))
            .unwrap()
            .contains("vibration: none")
    );
    assert!(
        std::fs::read_to_string(world.at("rack.yaml"))
            .unwrap()
            .contains("thin-blue")
    );
}

#[test]
fn the_command_tells_then_writes_and_has_nothing_left_to_say() {
    let cords =
        format!("  W-001: {{type: thin-blue, from: rack-1-a/1, to: server-01/psu1}}\n{OTHERS}");
    let world = World::with(&[]);
    for (path, text) in quay(THIN, &cords) {
        world.put(&path, &text);
    }
    let before = std::fs::read_to_string(world.at("rack.yaml")).unwrap();
    let told = world.run(&["remedy"]);
    assert_eq!(told.code, Some(1), "{}", told.errors);
    assert!(
        told.output.contains("fit: blue-1.5m (1.5 m)"),
        "{}",
        told.output
    );
    assert!(
        told.output.contains("licensed electrician"),
        "{}",
        told.output
    );
    assert_eq!(
        std::fs::read_to_string(world.at("rack.yaml")).unwrap(),
        before
    );
    let written = world.run(&["remedy", "--write"]);
    assert!(
        written.output.contains("Change it at the rack"),
        "{}",
        written.output
    );
    // The thin type is kept for no cord now, which is told and endangers nobody.
    assert_eq!(written.code, Some(1), "{}", written.output);
    let types = std::fs::read_to_string(world.at("types.yaml")).unwrap();
    world.put("types.yaml", &types.replace(THIN, ""));
    let last = world.run(&["remedy", "--write"]);
    assert_eq!(last.code, Some(0), "{}", last.output);
    assert!(
        last.output.contains("Nothing is left to put right."),
        "{}",
        last.output
    );
    let check = world.run(&["check", "--fail-at", "note"]);
    assert_eq!(check.code, Some(0), "{}", check.output);
}

#[test]
fn many_cords_of_a_bad_type_are_told_together() {
    let mut files: Files = racks::site(2);
    for (_, text) in &mut files {
        // The type of all cords on feed A.
        *text = text.replace(
            "blue-2m: {plug: C14, connector: C13, conductor: 1.0",
            "blue-2m: {plug: C14, connector: C13, conductor: 0.5",
        );
    }
    let world = World::with(&[]);
    files.iter().for_each(|(path, text)| world.put(path, text));
    let ended = world.run(&["remedy"]);
    assert_eq!(ended.code, Some(1), "{}", ended.output);
    assert!(ended.output.lines().count() < 60, "{}", ended.output);
}

#[test]
fn a_misspelt_word_is_corrected_and_another_number_is_not() {
    let cords = format!(
        "  W-001: {{type: blue-1.5m, from: rack-1-a/1, to: sevrer-01/psu1}}\n{}",
        OTHERS.replace("server-02/psu2", "server-03/psu2")
    );
    let files = quay("", &cords);
    let remedies = remedies_of(&files);
    let now = files[2].1.replace("sevrer-01", "server-01");
    assert_eq!(remedies.changed, [("rack.yaml".to_owned(), now)]);
    let asked = remedies.others.iter().find(|f| f.rule == "unknown-name");
    assert!(asked.unwrap().remedy.advice.contains("meant?"), "{asked:?}");
}

/// Oil, and heavy treading: rubber stands the one and not the other.
const RUBBER: &str = "  rubber-blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05RN-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}\n";

#[test]
fn what_puts_right_one_of_two_findings_of_a_rule_does_not_put_the_rule_right() {
    let cords =
        format!("  W-001: {{type: blue-1.5m, from: rack-1-a/1, to: server-01/psu1}}\n{OTHERS}");
    let mut files = quay(RUBBER, &cords);
    let zone = "oil: no";
    assert!(files[0].1.contains(zone));
    files[0].1 = files[0].1.replace(zone, "oil: yes, duty: heavy");
    let remedies = remedies_of(&files);
    let mut refits = remedies.refits.iter();
    let refit = refits.find(|refit| refit.cord == "W-001").unwrap();
    let choices = refit.choices.iter();
    let rubber = choices.clone().find(|choice| choice.kind == "rubber-blue");
    assert!(rubber.is_some(), "{refit:#?}");
    assert!(
        choices.clone().all(|choice| choice.puts_right.is_empty()),
        "{refit:#?}"
    );
    assert!(refit.edits.is_empty(), "{refit:#?}");
    let told = refit.described(rubber.unwrap());
    assert!(told.contains("jacket-duty then still stands"), "{told}");
}
