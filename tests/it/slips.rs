//! Slips that people make in records of their own, and what is said of each: at the place of the slip, with
//! what to do about it, and without a second mistake in the advice.

use cordwright::finding::{Level, Verdict};
use cordwright::judgement::Judgement;
use cordwright::schedule::{Kind, schedule};

use crate::pages::bases;
use crate::site::{Files, annotated, judged, read, today};

/// The base site under IEC practice with parts of it replaced, and more beside it.
fn files(edits: &[(&str, &str)], more: &str) -> Files {
    let mut base = bases()["base-iec.yaml"].clone();
    for (old, new) in edits {
        assert!(base.contains(old), "{old}");
        base = base.replacen(old, new, 1);
    }
    vec![
        ("cordwright.yaml".to_owned(), base),
        ("more.yaml".to_owned(), more.to_owned()),
    ]
}

fn headlines<'a>(judgement: &'a Judgement, rule: &str) -> Vec<&'a str> {
    let own = judgement.findings.iter().filter(|found| found.rule == rule);
    own.map(|found| found.headline.as_str()).collect()
}

const CORD: &str = "\
device-models: {box: {height: 1 U, class: I, voltage: 200–240 V, rating: 1500 W, power-factor: 0.97, inlets: {psu1: C14}, inlets-needed: 1}}
devices: {box-1: {model: box, rack: r1, at: U10, draw: 200 W}}
cord-types: {thin: {plug: C14, connector: C13, conductor: 0.75 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}}
cords: {W-1: {type: thin, from: pdu-a/1, to: box-1/psu1}}
";

#[test]
fn a_decimal_comma_between_braces_is_told_once_and_as_what_it_is() {
    let edits = [("length: 1.5 m", "length: 1,5 m")];
    let judgement = judged(&files(&[], &CORD.replacen(edits[0].0, edits[0].1, 1)));
    let said = headlines(&judgement, "bad-quantity");
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(
        said[0].contains("`1,5 m`") && said[0].contains("comma"),
        "{}",
        said[0]
    );
    let mut findings = judgement.findings.iter();
    let bad = findings.find(|found| found.rule == "bad-quantity").unwrap();
    assert!(bad.remedy.advice.contains("1.5 m"), "{}", bad.remedy.advice);
    assert_eq!(headlines(&judgement, "unknown-key"), [""; 0]);
    // The length is not 1, nor left out: what turns on it is asked.
    let asks = |found: &cordwright::finding::Finding| {
        found.verdict == Verdict::Open && found.wants.iter().any(|fact| fact.key == "length")
    };
    assert!(judgement.findings.iter().any(asks));
}

#[test]
fn a_name_with_a_comma_between_braces_is_told_to_be_put_in_quotes() {
    let more = CORD.replacen("from: pdu-a/1", "from: pdu-a/1,3", 1);
    let judgement = judged(&files(&[], &more));
    let said = headlines(&judgement, "bad-quantity");
    assert!(
        said.iter().any(|said| said.contains("`pdu-a/1,3`")),
        "{said:#?}"
    );
}

#[test]
fn a_question_mark_alone_is_called_no_value() {
    let more = "cord-types:\n  thin:\n    plug: C14\n    rating: ?\n";
    let judgement = judged(&files(&[], more));
    let said = headlines(&judgement, "unreadable-file");
    assert!(
        said[0].to_lowercase().contains("question mark"),
        "{said:#?}"
    );
}

#[test]
fn a_short_circuit_below_the_full_load_is_no_short_circuit() {
    let system = "fault-current: 6 kA";
    let weak = judged(&files(&[(system, "fault-current: 6 A")], ""));
    let said = headlines(&weak, "bad-quantity");
    assert!(
        said.iter().any(|said| said.contains("full load")),
        "{said:#?}"
    );
    let sound = judged(&files(&[], ""));
    assert_eq!(headlines(&sound, "bad-quantity"), [""; 0]);
}

#[test]
fn a_cord_to_nothing_that_is_known_is_asked_for_and_not_condemned() {
    let more = CORD.replacen("to: box-1/psu1", "to: box-9/psu1", 1);
    let judgement = judged(&files(&[], &more));
    let own = judgement.findings.iter();
    let own: Vec<_> = own
        .filter(|found| found.rule == "conductor-unprotected")
        .collect();
    assert!(
        own.iter().all(|found| found.verdict == Verdict::Open),
        "{own:#?}"
    );
    assert!(
        own.iter()
            .any(|found| found.wants.iter().any(|fact| fact.key == "to"))
    );
    // What it is known to feed may overload it.
    let known = judged(&files(&[], CORD));
    let known = headlines(&known, "conductor-unprotected");
    assert_eq!(known.len(), 1, "{known:#?}");
}

const TWO_LINES: &str = "\
circuits: {N-1: {from: ups-a, poles: [L1, N], breaker: 16 A, receptacle: NEMA L6-30}}
pdu-models: {two-lines: {plug: NEMA L6-30, rating: 16 A, banks: {B1: {between: L1-L2, outlets: {1-4: C13}}}}}
pdus: {pdu-n: {model: two-lines, rack: r1, from: N-1}}
";

fn of_chain(judgement: &Judgement) -> Vec<(Level, &str)> {
    let findings = judgement.findings.iter();
    let own = findings.filter(|found| found.rule == "input-chain-mismatch");
    own.map(|found| (found.level, found.headline.as_str()))
        .collect()
}

#[test]
fn a_receptacle_for_two_lines_on_line_and_neutral_is_an_error() {
    let mut files = files(&[], TWO_LINES);
    files[0].1 = bases()["base-nec.yaml"].clone();
    let judgement = judged(&files);
    let own = of_chain(&judgement);
    // The bank that does not get its second line is a consequence of the first.
    assert_eq!(own.len(), 1, "{own:#?}");
    let (level, headline) = own[0];
    assert_eq!(level, Level::Error);
    assert!(headline.contains("has no contact for one"), "{headline}");
}

/// Where 230 V lie between line and neutral, a coupler without a neutral is used for them as well; banks on a
/// line that does not arrive are an error all the same.
#[test]
fn a_coupler_without_a_neutral_is_sound_where_the_voltage_is_the_same() {
    let sound = judged(&files(&[], &TWO_LINES.replace("L1-L2", "L1-N")));
    assert_eq!(of_chain(&sound), []);
    let dead = judged(&files(&[], TWO_LINES));
    let dead = of_chain(&dead);
    assert_eq!(dead.len(), 1, "{dead:#?}");
    assert!(dead[0].1.starts_with("bank B1 of PDU pdu-n"), "{dead:#?}");
}

#[test]
fn no_bank_hides_behind_one_that_cannot_be_read_or_lacks_a_neutral() {
    let bank = |name: &str, between: &str| {
        format!("{name}: {{between: {between}, outlets: {{{name}: C13}}}}")
    };
    for (poles, first, others) in [
        ("[L1, N]", bank("B0", "L1-X"), bank("B1", "L1-L2")),
        (
            "[L1, L2]",
            bank("B0", "L1-N"),
            format!("{}, {}", bank("B2", "L1-L2"), bank("B1", "L3-L1")),
        ),
    ] {
        let more = TWO_LINES.replace("[L1, N]", poles).replace(
            "{B1: {between: L1-L2, outlets: {1-4: C13}}}",
            &format!("{{{first}, {others}}}"),
        );
        let judgement = judged(&files(&[], &more));
        let own = of_chain(&judgement);
        let mut told = own
            .iter()
            .filter(|(_, said)| said.starts_with("bank B1 of PDU pdu-n"));
        assert!(told.next().is_some(), "{more}\n{own:#?}");
    }
}

#[test]
fn many_feeds_and_levels_are_each_one() {
    let feeds: String = (0..40)
        .map(|at| format!(", F{at}: {{colour: c{at}}}"))
        .collect();
    let edit = ("B: {colour: red}}", format!("B: {{colour: red}}{feeds}}}"));
    let judgement = judged(&files(&[(edit.0, &edit.1)], ""));
    assert_eq!(headlines(&judgement, "duplicate-name"), [""; 0]);
}

#[test]
fn limits_of_the_site_that_cannot_be_read_are_asked_for_and_nothing_stands_in() {
    let old = "  voltage-drop: {circuit";
    for (key, value, rule) in [
        ("phase-imbalance", "{note: 5 metres}", "phase-imbalance"),
        ("phase-imbalance", "often", "phase-imbalance"),
        ("routing", "anywhere", "cord-too-short"),
    ] {
        let new = format!("  {key}: {value}\n{old}");
        let judgement = judged(&files(&[(old, &new)], CORD));
        let mut findings = judgement.findings.iter();
        let asks = |found: &&cordwright::finding::Finding| {
            let names_it = found.wants.iter().any(|fact| fact.key.starts_with(key));
            found.rule == rule && found.verdict == Verdict::Open && names_it
        };
        assert!(findings.any(|found| asks(&found)), "{key}: {value}");
    }
}

#[test]
fn a_jacket_of_another_feed_is_followed_before_it_is_replaced() {
    let more = CORD.replacen("from: pdu-a/1", "from: pdu-b/1", 1);
    let judgement = judged(&files(&[], &more));
    let mut findings = judgement.findings.iter();
    let colour = findings.find(|found| found.rule == "feed-colour").unwrap();
    assert!(
        colour.remedy.advice.starts_with("Follow it first"),
        "{}",
        colour.remedy.advice
    );
}

#[test]
fn a_colour_spelt_otherwise_is_the_same() {
    let edits = [("A: {colour: blue}", "A: {colour: Grey}")];
    let more = CORD.replacen("colour: blue", "colour: gray", 1);
    let judgement = judged(&files(&edits, &more));
    assert_eq!(headlines(&judgement, "feed-colour"), [""; 0]);
}

#[test]
fn what_nothing_feeds_is_named_beside_the_sums() {
    let more = CORD.replacen(
        "cords: {W-1: {type: thin, from: pdu-a/1, to: box-1/psu1}}\n",
        "",
        1,
    );
    let loads = |more: &str| {
        let site = read(&files(&[], more));
        schedule(&site.analysis(today()), Kind::Loads)
    };
    let note = &loads(&more).notes[0];
    assert!(note.starts_with("In no sum: device box-1."), "{note}");
    assert!(!loads(CORD).notes[0].starts_with("In no sum"));
}

#[test]
fn under_nec_practice_cords_are_ordered_in_feet() {
    let more = CORD.replacen("length: 1.5 m", "length: 5 ft", 1);
    let mut files = files(&[], &more);
    files[0].1 = bases()["base-nec.yaml"].clone();
    let site = read(&files);
    let order = schedule(&site.analysis(today()), Kind::Cords);
    assert!(
        order.rows[0].iter().any(|cell| cell == "5 ft"),
        "{:?}",
        order.rows
    );
}

#[test]
fn of_two_inlets_on_one_feed_the_one_that_belongs_elsewhere_is_to_be_moved() {
    let more = "\
device-models: {box: {height: 1 U, class: I, voltage: 200–240 V, rating: 600 W, power-factor: 0.97, inlets: {psu1: {coupler: C14, feed: B}, psu2: {coupler: C14, feed: A}}, inlets-needed: 1}}
devices: {box-1: {model: box, rack: r1, at: U10, draw: 200 W}}
cord-types: {c: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}}
cords: {W-1: {type: c, from: pdu-a/1, to: box-1/psu1}, W-2: {type: c, from: pdu-a/2, to: box-1/psu2}}
";
    let judgement = judged(&files(&[], more));
    let mut findings = judgement.findings.iter();
    let shared = findings.find(|found| found.rule == "feed-shared").unwrap();
    assert!(
        shared.remedy.advice.starts_with("Feed psu1 "),
        "{}",
        shared.remedy.advice
    );
}

#[test]
fn what_a_plug_goes_into_is_asked_unless_it_is_wired() {
    let circuit = "    receptacle: IEC 60309 16 A 2P+E 6h\n";
    let asks = |with: &str| {
        let judgement = judged(&files(&[(circuit, with)], ""));
        headlines(&judgement, "coupler-mismatch").len()
    };
    assert_eq!(
        [
            asks(circuit),
            asks(""),
            asks("    wired: yes\n"),
            asks("    wired: perhaps\n")
        ],
        [0, 1, 0, 1]
    );
}

#[test]
fn a_draw_ten_times_too_high_is_told_before_what_follows_from_it() {
    let more = CORD.replacen("draw: 200 W", "draw: 6.1 kW", 1);
    let judgement = judged(&files(&[], &more));
    let errors = judgement.findings.iter();
    let errors = errors.filter(|found| found.level == Level::Error).count();
    assert!(errors > 3, "{errors}");
    let told = annotated(&judgement, &judgement.findings);
    let first = "error: device box-1 is to draw 6.1 kW, above its nameplate of 1.5 kW";
    assert!(told.starts_with(first), "{told}");
    // The record is right, the load is too high: that is told in its turn.
    let sound = judged(&files(&[], CORD));
    assert_eq!(headlines(&sound, "load-basis"), [""; 0]);
}

#[test]
fn a_pole_that_cannot_be_read_leaves_no_circuit_of_the_others() {
    let edits = [("poles: [L1, N]", "poles: [L1, L2, neutral?]")];
    let judgement = judged(&files(&edits, CORD));
    assert_eq!(headlines(&judgement, "bad-quantity").len(), 1);
    // What hangs between the two lines that can be read is not judged by their voltage.
    for rule in [
        "voltage-out-of-range",
        "coupler-mismatch",
        "neutral-missing",
    ] {
        assert_eq!(headlines(&judgement, rule), [""; 0], "{rule}");
    }
    let lines = judged(&files(&[("poles: [L1, N]", "poles: [L1, L2]")], CORD));
    assert!(!headlines(&lines, "voltage-out-of-range").is_empty());
}

#[test]
fn an_outlet_with_more_poles_than_its_bank_brings_is_told() {
    let wide = (
        "outlets: {9-10: C19}",
        "outlets: {9-10: C19, 11: IEC 60309 16 A 3P+N+E 6h}",
    );
    let judgement = judged(&files(&[wide], ""));
    let said = headlines(&judgement, "input-chain-mismatch");
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(
        said[0].contains("outlet 11") && said[0].contains("4 poles") && said[0].contains("L1-N"),
        "{}",
        said[0]
    );
    let sound = judged(&files(&[], ""));
    assert_eq!(headlines(&sound, "input-chain-mismatch"), [""; 0]);
}

#[test]
fn lines_marked_as_elsewhere_are_read_and_a_letter_alone_is_never_taken_for_the_neutral() {
    let said = |poles: &str| {
        let written = format!("poles: {poles}");
        let judgement = judged(&files(&[("poles: [L1, N]", &written)], CORD));
        let bad = judgement.findings.iter();
        let bad = bad.filter(|found| found.rule == "bad-quantity");
        let bad: Vec<String> = bad.map(|found| found.remedy.advice.clone()).collect();
        (judgement.findings.len(), bad)
    };
    let plain = said("[L2, N]");
    for line in ["B", "S", "Y", "\" B \""] {
        assert_eq!(said(&format!("[{line}, N]")), plain, "{line}");
    }
    for letter in ["K", "L", "ß"] {
        let (_, advice) = said(&format!("[{letter}, N]"));
        assert_eq!(advice.len(), 1, "{letter}");
        assert!(
            !advice[0].contains("meant") && advice[0].contains("which line"),
            "{advice:?}"
        );
    }
}

#[test]
fn two_voltages_of_one_line_are_told_with_what_two_lines_are_marked() {
    let system = (
        "system: 3/N/PE ~ 400/230 V 50 Hz",
        "system: 1/N/PE ~ 200/100 V 50 Hz",
    );
    let judgement = judged(&files(&[system], ""));
    let bad = judgement.findings.iter();
    let bad: Vec<_> = bad.filter(|found| found.rule == "bad-quantity").collect();
    assert!(!bad.is_empty());
    let advice = &bad[0].remedy.advice;
    assert!(
        advice.contains("2/N/PE") && advice.contains("200 V") && advice.contains("1/N/PE ~ 100 V"),
        "{advice}"
    );
}

#[test]
fn blanks_at_the_stroke_of_a_reference_change_nothing() {
    let said = |from: &str, to: &str| {
        let more = CORD
            .replacen("pdu-a/1", from, 1)
            .replacen("box-1/psu1", to, 1);
        judged(&files(&[], &more)).findings.len()
    };
    let plain = said("pdu-a/1", "box-1/psu1");
    assert_eq!(said("pdu-a/ 1", "box-1 / psu1"), plain);
    let lost = CORD.replacen("pdu-a/1", "pdu-a/ 77", 1);
    assert_eq!(
        headlines(&judged(&files(&[], &lost)), "unknown-name").len(),
        1
    );
}
