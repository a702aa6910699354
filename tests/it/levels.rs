//! What a site says of the rules themselves: their levels, open points, and what is told of them.

use crate::pages::bases;
use crate::world::{Ended, World};

/// The base site with `lines` below `site:` and `more` beside it.
fn world(lines: &str, more: &str) -> World {
    let base = &bases()["base-iec.yaml"];
    let site = base.replacen("site:\n", &format!("site:\n{lines}"), 1);
    World::with(&[("cordwright.yaml", &site), ("more.yaml", more)])
}

/// A zone that nothing uses: a note, by the rule's own level.
const IDLE: &str = "zones: {attic: {ambient: 25 °C}}\n";

fn checked(world: &World, fail_at: &str) -> Ended {
    let words = ["check", "--format", "lines", "--on", "2026-11-25"];
    let ended = world.run(&[&words[..], &["--fail-at", fail_at]].concat());
    assert!(!ended.output.contains("crashed"), "{}", ended.output);
    ended
}

/// The lines that tell a finding of `rule`.
fn of<'a>(ended: &'a Ended, rule: &str) -> Vec<&'a str> {
    let end = format!("[{rule}]");
    let lines = ended.output.lines();
    lines.filter(|line| line.ends_with(&end)).collect()
}

/// The level of the one finding of `idle-definition` under a line of `site.levels`.
#[track_caller]
fn idle_under(level: &str) -> (Ended, Option<String>) {
    let world = world(&format!("  levels: {{idle-definition: {level}}}\n"), IDLE);
    let ended = checked(&world, "error");
    let told = of(&ended, "idle-definition");
    assert!(told.len() <= 1, "{told:?}");
    let level = told.first().map(|line| {
        let level = line.split(": ").nth(1);
        level.unwrap_or_default().to_owned()
    });
    (ended, level)
}

#[test]
fn without_a_word_of_the_site_the_rules_own_level_holds() {
    let world = world("", IDLE);
    let ended = checked(&world, "error");
    assert_eq!(of(&ended, "idle-definition").len(), 1);
    assert_eq!(ended.code, Some(0), "{}", ended.output);
    assert_eq!(checked(&world, "note").code, Some(1));
}

#[test]
fn a_site_sets_the_level_of_a_rule() {
    for (written, level, code) in [
        ("error", "error", 1),
        ("warning", "warning", 0),
        ("note", "note", 0),
        ("{level: error}", "error", 1),
        ("{level: warning, reason: we keep spares}", "warning", 0),
    ] {
        let (ended, found) = idle_under(written);
        assert_eq!(found.as_deref(), Some(level), "{written}");
        assert_eq!(ended.code, Some(code), "{written}: {}", ended.output);
    }
}

#[test]
fn a_rule_is_switched_off_with_a_reason_only() {
    let (ended, found) = idle_under("{level: off, reason: zones are drawn up for the next year}");
    assert_eq!((found, ended.code), (None, Some(0)), "{}", ended.output);
    for without in ["off", "{level: off}"] {
        let (ended, found) = idle_under(without);
        assert_eq!(found.as_deref(), Some("note"), "{without}");
        let told = of(&ended, "departure-lapsed");
        assert_eq!(told.len(), 1, "{}", ended.output);
        assert!(
            told[0].contains("off without a reason: it stays on"),
            "{}",
            told[0]
        );
        assert_eq!(ended.code, Some(1));
    }
    let (ended, found) = idle_under("{level: off, reason: \"\"}");
    assert_eq!(found.as_deref(), Some("note"), "{}", ended.output);
    assert_eq!((of(&ended, "bad-quantity").len(), ended.code), (1, Some(1)));
}

#[test]
fn a_level_that_is_none_is_told_and_does_not_count() {
    for wrong in ["fatal", "Error", "{level: 3}", "[error]", "true"] {
        let (ended, found) = idle_under(wrong);
        assert_eq!(found.as_deref(), Some("note"), "{wrong}");
        let told = of(&ended, "bad-quantity");
        assert_eq!((told.len(), ended.code), (1, Some(1)), "{}", ended.output);
    }
    let world = world("  levels: {idle-definition: Error}\n", IDLE);
    let annotated = world.run(&["check"]).output;
    assert!(annotated.contains("Write `error`?"), "{annotated}");
}

#[test]
fn a_level_of_an_unknown_rule_is_told_with_the_nearest_name() {
    for (written, nearest) in [
        ("idle-definitoin: error", Some("idle-definition")),
        (
            "retention-mising: {level: off, reason: why not}",
            Some("retention-missing"),
        ),
        ("quux: note", None),
    ] {
        let world = world(&format!("  levels: {{{written}}}\n"), IDLE);
        let ended = checked(&world, "error");
        assert_eq!(of(&ended, "unknown-name").len(), 1, "{}", ended.output);
        assert_eq!(of(&ended, "idle-definition").len(), 1, "{}", ended.output);
        assert_eq!(ended.code, Some(1));
        let annotated = world.run(&["check", "--only", "unknown-name"]).output;
        match nearest {
            Some(name) => assert!(annotated.contains(&format!("`{name}`")), "{annotated}"),
            None => assert!(!annotated.contains('?'), "{annotated}"),
        }
    }
}

/// A device of which nothing says what it draws: nothing above it can be decided.
const UNKNOWN_LOAD: &str = "\
device-models: {box: {class: I, voltage: 100–240 V, inlets: {psu1: C14}, inlets-needed: 1}}
devices: {box-1: {model: box, rack: r1, at: U10}}
cord-types:
  c14-2m: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: blue, approvals: [BSI]}
cords: {W-1: {type: c14-2m, from: pdu-a/1, to: box-1/psu1}}
";

#[test]
fn open_points_fail_the_run_only_where_the_site_says_so() {
    for (lines, code) in [
        ("", 0),
        ("  open-points: report\n", 0),
        ("  open-points: block\n", 1),
        // A level is for findings: what is not decided stays undecided.
        ("  levels: {bank-overloaded: error, load-basis: error}\n", 0),
    ] {
        let ended = checked(&world(lines, UNKNOWN_LOAD), "error");
        let open = ended.output.matches("not decided: ").count();
        assert!(open > 0, "{}", ended.output);
        assert!(!ended.output.contains(": error: "), "{}", ended.output);
        assert_eq!(ended.code, Some(code), "{lines}: {}", ended.output);
    }
    let wrong = checked(&world("  open-points: blcok\n", UNKNOWN_LOAD), "error");
    assert_eq!((of(&wrong, "bad-quantity").len(), wrong.code), (1, Some(1)));
}

/// The lines of one rule in what is told of its level, blanks evened out.
fn told(world: &World, path: &str, rule: &str) -> String {
    let ended = world.run(&["cite", rule, "--levels", path, "--on", "2026-11-25"]);
    assert_eq!(
        (ended.code, ended.errors.as_str()),
        (Some(0), ""),
        "{}",
        ended.output
    );
    assert!(
        ended.output.lines().all(|line| line.chars().count() <= 80),
        "{}",
        ended.output
    );
    let words: Vec<&str> = ended.output.split_whitespace().collect();
    words.join(" ")
}

#[test]
fn every_level_is_told_with_where_it_comes_from() {
    for (lines, rule, says) in [
        ("", "idle-definition", "idle-definition note built in"),
        (
            "  levels: {idle-definition: error}\n",
            "idle-definition",
            "error set by the site (cordwright.yaml:2)",
        ),
        (
            "  levels: {idle-definition: {level: off, reason: we keep spares}}\n",
            "idle-definition",
            "off set by the site (cordwright.yaml:2): we keep spares",
        ),
        (
            "  levels: {idle-definition: off}\n",
            "idle-definition",
            "note built in: cordwright.yaml:2 switches it off without a reason, and does not count",
        ),
        (
            "  levels: {idle-definition: fatal}\n",
            "idle-definition",
            "note built in: cordwright.yaml:2 gives no level that can be read, and does not count",
        ),
        (
            "",
            "cord-over-limit",
            "off judges under NEC practice only, which is not this site's",
        ),
        ("", "inrush", "Practice: IEC (cordwright.yaml:3)"),
        (
            "",
            "inrush",
            "Open points are reported and do not fail the run (built in)",
        ),
        (
            "  open-points: block\n",
            "inrush",
            "Open points fail the run (set by the site, cordwright.yaml:2)",
        ),
    ] {
        let told = told(&world(lines, IDLE), "more.yaml", rule);
        assert!(told.contains(says), "{says}\n{told}");
    }
}

/// The rule for NEC practice alone is in force where that practice is.
#[test]
fn the_practice_decides_whether_a_rule_judges() {
    let nec = &bases()["base-nec.yaml"];
    let world = World::with(&[("cordwright.yaml", nec)]);
    assert!(told(&world, ".", "cord-over-limit").contains("cord-over-limit error built in"));
}

#[test]
fn departures_are_told_at_the_files_of_their_things() {
    let departures = "departures:\n  \
        - {rule: inrush, at: W-1, reason: soft start, agreed-by: engineer, until: 2027-03-31}\n  \
        - {rule: inrush, at: box-1/psu1, reason: soft start, agreed-by: engineer, until: 2026-03-31}\n  \
        - {rule: inrush, at: A-1, reason: soft start}\n";
    let world = world("", UNKNOWN_LOAD);
    world.put("agreed/inrush.yaml", departures);
    let here = told(&world, "more.yaml", "inrush");
    let at_cord = "departed from at W-1 until 2027-03-31 (agreed/inrush.yaml:2): soft start";
    let at_inlet = "the departure at box-1/psu1 ended on 2026-03-31 (agreed/inrush.yaml:3): it no longer holds";
    let at_circuit = "the departure at A-1 lacks its reason, signer or day (agreed/inrush.yaml:4): it does not hold";
    assert!(here.contains(at_cord) && here.contains(at_inlet), "{here}");
    assert!(!here.contains("at A-1"), "{here}");
    let there = told(&world, "cordwright.yaml", "inrush");
    assert!(
        there.contains(at_circuit) && !there.contains("at W-1"),
        "{there}"
    );
    let everywhere = told(&world, ".", "inrush");
    assert!(
        everywhere.contains(at_cord) && everywhere.contains(at_circuit),
        "{everywhere}"
    );
    assert!(!told(&world, ".", "feed-colour").contains("departed"));
}

#[test]
fn levels_of_nowhere_fail() {
    let world = world("", IDLE);
    world.put("README.txt", "notes");
    for (words, says) in [
        (vec!["cite", "--levels", "gone.yaml"], "gone.yaml"),
        (
            vec!["cite", "--levels", "README.txt"],
            "reads nothing at README.txt",
        ),
        (
            vec!["cite", "idle-defintion", "--levels", "."],
            "idle-definition",
        ),
        (vec!["cite", "--on", "2027-01-01"], "--levels"),
    ] {
        let ended = world.run(&words);
        assert_eq!(
            (ended.code, ended.output.as_str()),
            (Some(2), ""),
            "{words:?}"
        );
        assert!(ended.errors.contains(says), "{}", ended.errors);
    }
}
