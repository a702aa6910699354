//! What people write beside the facts: `note` on any thing, and keys of their own that begin with `x-`. Both
//! are kept, judge nothing, and hide nothing.

use cordwright::finding::Verdict;
use cordwright::schedule::{Kind, schedule};

use crate::pages::bases;
use crate::site::{Files, judged, read, today};

const CORDS: &str = "\
device-models: {box: {note: loud, height: 1 U, class: I, voltage: 200–240 V, rating: 1500 W, power-factor: 0.97, x-order: 7, inlets: {psu1: {coupler: C14, note: left of two, x-seen: [a, b]}}, inlets-needed: 1}}
devices: {box-1: {model: box, rack: r1, at: U10, draw: 200 W, x-owner: {who: lab, since: 2024}}}
cord-types: {thin: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI], note: from drawer 4}}
cords:
  W-1:
    type: thin
    from: pdu-a/1
    to: box-1/psu1
    note: |
      seen on the tour,
      =HYPERLINK(1)
";

fn files(cords: &str) -> Files {
    let base = bases()["base-iec.yaml"].clone();
    vec![
        ("cordwright.yaml".to_owned(), base),
        ("cords.yaml".to_owned(), cords.to_owned()),
    ]
}

fn headlines(cords: &str) -> Vec<String> {
    let findings = judged(&files(cords)).findings.into_iter();
    findings.map(|found| found.headline).collect()
}

#[test]
fn notes_and_keys_of_ones_own_change_no_finding() {
    let bare = regex::Regex::new(r"(?m), (x-\w+: (?:\{[^}]*\}|\[[^]]*\]|\w+)|note: [\w ]+)|note: loud, |    note: \|\n(?:      .*\n)+").unwrap();
    let bare = bare.replace_all(CORDS, "").into_owned();
    assert!(!bare.contains("note") && !bare.contains(" x-"), "{bare}");
    assert_eq!(headlines(CORDS), headlines(&bare));
}

#[test]
fn notes_stand_in_the_schedules_on_one_line() {
    let site = read(&files(CORDS));
    let analysis = site.analysis(today());
    let cords = schedule(&analysis, Kind::Cords);
    assert_eq!(cords.columns.last().map(|column| column.name), Some("note"));
    let row = cords.rows[0].last().unwrap();
    assert_eq!(row, "seen on the tour, =HYPERLINK(1)");
    let order = schedule(&analysis, Kind::Order(None));
    assert_eq!(order.rows[0].last().unwrap(), "from drawer 4");
    // Where nobody has noted anything there is no column for it.
    let loads = schedule(&analysis, Kind::Loads);
    assert_eq!(
        loads.columns.last().map(|column| column.name),
        Some("margin")
    );
    assert!(
        loads
            .rows
            .iter()
            .all(|row| row.len() == loads.columns.len())
    );
}

#[test]
fn a_note_that_is_no_text_is_told_and_the_thing_is_read() {
    for note in ["[a, b]", "{a: b}"] {
        let cords = CORDS.replace("note: from drawer 4", &format!("note: {note}"));
        let judgement = judged(&files(&cords));
        let bad = judgement
            .findings
            .iter()
            .filter(|found| found.rule == "bad-quantity");
        let bad: Vec<&str> = bad.map(|found| found.headline.as_str()).collect();
        assert_eq!(bad.len(), 1, "{note}: {bad:#?}");
        assert!(bad[0].contains("a text"), "{}", bad[0]);
        let open = judgement
            .findings
            .iter()
            .filter(|found| found.verdict == Verdict::Open);
        assert_eq!(open.count(), 0);
    }
    for note in ["", "~", "3", "yes", "2024-02-30", "50 mm²"] {
        let cords = CORDS.replace("note: from drawer 4", &format!("note: {note}"));
        assert_eq!(headlines(&cords), headlines(CORDS), "{note}");
    }
}

#[test]
fn a_key_that_only_looks_like_ones_own_is_told() {
    for key in ["xdraw", "X-draw", "-x", "notes", "Note"] {
        let cords = CORDS.replace("x-owner", key);
        let judgement = judged(&files(&cords));
        let mut told = judgement.findings.iter();
        assert!(told.any(|found| found.rule == "unknown-key"), "{key}");
    }
}
