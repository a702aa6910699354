//! Values that nobody can mean: each is told at its place, judges nothing as sound, and leaves no
//! number in any output that is none.

mod slips;

use std::fmt::Write as _;

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::judgement::Judgement;

use crate::pages::bases;
use crate::site::{annotated, judged};
use crate::world::World;
use slips::{EXTREMES, SLIPS, Slip};

/// A dual-corded device on the base site.
const LOAD: &str = "\
device-models:
  box: {height: 1 U, class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.97, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1, earth-current: 0.75 mA, inrush: 30 A}
devices:
  box-1: {model: box, rack: r1, at: U10, draw: 200 W}
cord-types:
  c14-blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  c14-red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red, approvals: [BSI]}
cords:
  W-1: {type: c14-blue, from: pdu-a/1, to: box-1/psu1}
  W-2: {type: c14-red, from: pdu-b/1, to: box-1/psu2}
";

/// A site with a slip in it.
struct Slipped {
    text: String,
    /// The bytes that a finding must touch.
    at: std::ops::Range<usize>,
}

fn sound() -> String {
    format!("{}{LOAD}", bases()["base-iec.yaml"])
}

fn slipped(from: &str, to: &str) -> Slipped {
    let sound = sound();
    let start = sound.find(from).unwrap_or_else(|| panic!("no {from:?}"));
    let open = to.find('«').expect("a mark");
    let close = to.find('»').expect("a mark") - '«'.len_utf8();
    let put = to.replace(['«', '»'], "");
    Slipped {
        text: sound.replacen(from, &put, 1),
        at: start + open..start + close,
    }
}

fn judge(text: &str) -> Judgement {
    let judgement = judged(&vec![("cordwright.yaml".into(), text.into())]);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement
}

fn touches(finding: &Finding, at: &std::ops::Range<usize>) -> bool {
    let span = finding.main.span;
    (span.lo as usize) <= at.end && at.start <= (span.hi as usize)
}

#[test]
fn the_site_without_a_slip_is_sound() {
    let judgement = judge(&sound());
    let told: Vec<&str> = judgement
        .findings
        .iter()
        .map(|f| f.headline.as_str())
        .collect();
    assert!(told.is_empty(), "{told:#?}");
}

#[test]
fn every_slip_is_told_at_its_place() {
    let (mut wrong, mut tried) = (String::new(), 0);
    for Slip { from, to } in SLIPS {
        for to in *to {
            let slipped = slipped(from, to);
            let judgement = judge(&slipped.text);
            tried += 1;
            let mut findings = judgement.findings.iter();
            if !findings.any(|finding| touches(finding, &slipped.at)) {
                let others = judgement.findings.iter();
                let others: Vec<_> = others
                    .map(|f| (judgement.sources.text(f.main.span), f.headline.as_str()))
                    .collect();
                writeln!(wrong, "{to}: nothing there, but {others:#?}").unwrap();
            }
        }
    }
    assert!(tried >= 120, "{tried}");
    assert!(wrong.is_empty(), "{wrong}");
}

/// Words for numbers that are none, behind a blank or a mark, and before a blank or a unit.
fn no_numbers(text: &str) -> Vec<&str> {
    let words = text.split(|c: char| c.is_whitespace() || "()[]{},:;=/–\"'`".contains(c));
    let bare = |word: &str| word.trim_start_matches(['-', '+']).to_ascii_lowercase();
    words
        .filter(|word| matches!(&*bare(word), "nan" | "inf" | "infinity" | "∞"))
        .collect()
}

/// What is written is shown as it is written, in excerpts; no number of ours may be none.
#[test]
fn no_output_holds_a_number_that_is_none() {
    assert_eq!(
        no_numbers("3 A, -inf V, information, `NaN`"),
        ["-inf", "NaN"]
    );
    let slips = SLIPS
        .iter()
        .flat_map(|slip| slip.to.iter().map(|to| (slip.from, *to)));
    for (from, to) in slips.chain(EXTREMES) {
        let slipped = slipped(from, to);
        let judgement = judge(&slipped.text);
        // Findings about the writing quote it.
        let findings = judgement.findings.iter().cloned();
        let others: Vec<Finding> = findings.filter(|f| f.rule != "bad-quantity").collect();
        let told = annotated(&judgement, &others);
        let own_lines: Vec<&str> = told.lines().filter(|line| !line.contains('│')).collect();
        let own_words = own_lines.join("\n");
        let found = no_numbers(&own_words);
        assert!(found.is_empty(), "{to}: {found:?}\n{told}");
    }
}

#[test]
fn no_path_holds_a_number_that_is_none() {
    let words: [&[&str]; 8] = [
        &["trace", "box-1"],
        &["trace", "box-1", "--format", "json"],
        &["trace", "box-1", "--format", "spice"],
        &["trace", "A-1"],
        &["trace", "pdu-a", "--format", "json"],
        &["trace", "ups-a"],
        &["trace", "ups-a", "--format", "spice"],
        &["check", "--format", "json"],
    ];
    let slips = SLIPS.iter().map(|slip| (slip.from, slip.to[0])).take(4);
    for (from, to) in EXTREMES.into_iter().chain(slips) {
        let world = World::with(&[("cordwright.yaml", &slipped(from, to).text)]);
        for words in words {
            let ended = world.run(words);
            assert!(
                !ended.errors.contains("panicked"),
                "{to} {words:?}: {}",
                ended.errors
            );
            let found = no_numbers(&ended.output);
            assert!(
                found.is_empty(),
                "{to} {words:?}: {found:?}\n{}",
                ended.output
            );
        }
    }
}

/// Air hotter than the insulation may get: nothing may be carried, and that is said.
#[test]
fn air_above_the_conductors_temperature_leaves_nothing_to_carry() {
    let Slipped { text, .. } =
        slipped("{ambient: 25 °C, vibration", "{ambient: «80 °C», vibration");
    let judgement = judge(&text);
    for rule in ["conductor-underrated", "jacket-too-hot"] {
        let told = judgement.findings.iter().any(|f| f.rule == rule);
        assert!(told, "{rule} says nothing");
    }
}

/// A load that no voltage can feed: the collapse is said, and no sum passes.
#[test]
fn a_load_beyond_all_bounds_collapses_the_voltage() {
    for draw in ["draw: «100 MW»", "draw: «200 kA»"] {
        let judgement = judge(&slipped("draw: 200 W", draw).text);
        let collapses = |f: &&Finding| f.kind == "collapse";
        assert!(judgement.findings.iter().any(|f| collapses(&f)), "{draw}");
        for rule in ["circuit-overloaded", "bank-overloaded", "supply-overloaded"] {
            assert!(
                judgement.findings.iter().any(|f| f.rule == rule),
                "{draw}: {rule}"
            );
        }
    }
}

#[test]
fn a_bank_on_poles_that_its_strip_has_not_is_told() {
    for bank in ["B1: {between: «L1-L3»", "B1: {between: «L2-N»"] {
        let judgement = judge(&slipped("B1: {between: L1-N", bank).text);
        let of_chain = judgement.findings.iter();
        let of_chain = of_chain.filter(|f| f.rule == "input-chain-mismatch");
        let of_chain: Vec<&Finding> = of_chain.collect();
        let is_error = |f: &&Finding| (f.level, f.verdict) == (Level::Error, Verdict::Broken);
        assert!(!of_chain.is_empty() && of_chain.iter().all(is_error));
        // What hangs there is in no sum, and it is said.
        for words in [
            "banks on 3 poles and a plug with 2",
            "what hangs there is in no sum",
        ] {
            let is_told = of_chain.iter().any(|f| f.headline.contains(words));
            assert!(is_told, "{bank}: {words}: {of_chain:#?}");
        }
    }
}

/// Ten thousand devices on one outlet: told once for the outlet, and the run ends.
#[test]
fn ten_thousand_devices_on_one_outlet() {
    let mut text = sound();
    text.push_str("  # more\n");
    let mut devices = String::from("devices:\n");
    let mut cords = String::from("cords:\n");
    for number in 0..10_000 {
        writeln!(
            devices,
            "  box-x{number}: {{model: box, rack: r1, at: U10, draw: 200 W}}"
        )
        .unwrap();
        writeln!(
            cords,
            "  X-{number}: {{type: c14-blue, from: pdu-a/2, to: box-x{number}/psu1}}"
        )
        .unwrap();
    }
    let files = vec![
        ("cordwright.yaml".to_owned(), text),
        ("devices.yaml".to_owned(), devices),
        ("cords.yaml".to_owned(), cords),
    ];
    let judgement = judged(&files);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    let of = |rule: &str| judgement.findings.iter().filter(|f| f.rule == rule).count();
    assert!(of("double-booked") >= 1);
    assert!(
        of("bank-overloaded") + of("coupler-overloaded") >= 1,
        "the load passes"
    );
}

/// Ten thousand outlets of one circuit, a device on each.
#[test]
fn ten_thousand_devices_on_one_circuit() {
    let mut files = vec![("cordwright.yaml".to_owned(), sound())];
    let banks: String = (0..50)
        .map(|bank| {
            format!(
                "      B{bank}: {{between: L1-N, breaker: 16 A, outlets: {{{}-{}: C13}}}}\n",
                bank * 200,
                bank * 200 + 199
            )
        })
        .collect();
    let mut more = format!(
        "pdu-models:\n  endless:\n    plug: IEC 60309 16 A 2P+E 6h\n    rating: 16 A\n    banks:\n{banks}\
         pdus: {{pdu-z: {{model: endless, rack: r1, from: A-1}}}}\ndevices:\n"
    );
    let mut cords = String::from("cords:\n");
    for number in 0..10_000 {
        writeln!(
            more,
            "  box-x{number}: {{model: box, rack: r1, at: U10, draw: 200 W}}"
        )
        .unwrap();
        writeln!(
            cords,
            "  X-{number}: {{type: c14-blue, from: pdu-z/{number}, to: box-x{number}/psu1}}"
        )
        .unwrap();
    }
    more.push_str(&cords);
    files.push(("more.yaml".to_owned(), more));
    let judgement = judged(&files);
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    for rule in ["circuit-overloaded", "line-overloaded", "supply-overloaded"] {
        assert!(
            judgement.findings.iter().any(|f| f.rule == rule),
            "{rule} says nothing"
        );
    }
    let collapses = judgement.findings.iter().any(|f| f.kind == "collapse");
    assert!(collapses, "two megawatts through one breaker");
}

/// Texts without end in every kind of place are told, and the run ends.
#[test]
fn texts_without_end() {
    let long = "x".repeat(200_000);
    for (from, to) in [
        ("name: Example", format!("name: {long} Example")),
        ("draw: 200 W", format!("draw: {long} W")),
        ("draw: 200 W", format!("draw: {} W", "9".repeat(200_000))),
        ("plug: C14", format!("plug: {long}")),
        ("cordage: H05VV-F", format!("cordage: {long}")),
        ("model: box", format!("model: {long}")),
        ("class: I", format!("class: {long}")),
        ("class: I", format!("{long}: I")),
        ("W-1:", format!("{long}:")),
        ("system: 3/N/PE", format!("system: {long}")),
        ("supply-tolerance: 10 %", format!("label: {long}")),
    ] {
        let sound = sound();
        assert!(sound.contains(from), "{from}");
        let judgement = judge(&sound.replacen(from, &to, 1));
        assert!(!judgement.findings.is_empty(), "{from}");
    }
}
