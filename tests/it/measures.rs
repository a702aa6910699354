//! What findings measure: the number that each rests on, beside the limit that it lies beyond.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use cordwright::finding::{Finding, Measure, Move, Side, Verdict};
use cordwright::rules::{Check, RULES};

use crate::found::everything;
use crate::pages;
use crate::site::{Files, judged};

/// Rules whose findings rest on no number, or those of their findings that do not, by their kinds,
/// and why. All others must measure: what is not measured cannot be seen to get worse.
const NUMBERLESS: &[(&str, &[&str], &str)] = &[
    ("unreadable-file", &[], "it is read or it is not"),
    ("unknown-key", &[], "it is a key or it is not"),
    ("missing-key", &[], "it is there or it is not"),
    ("bad-quantity", &[], "what cannot be meant measures nothing"),
    (
        "duplicate-name",
        &[],
        "each second thing is a fault by itself",
    ),
    ("unknown-name", &[], "it leads somewhere or it does not"),
    (
        "double-booked",
        &[],
        "each second plug is a fault by itself",
    ),
    ("unfed-inlet", &[], "a count of inlets has no unit"),
    ("power-loop", &[], "it hangs on itself or it does not"),
    ("idle-definition", &[], "it is used or it is not"),
    (
        "load-basis",
        &["nameplate", "old", "future"],
        "a nameplate is no limit, and every measurement gets older by a day each day",
    ),
    ("departure-lapsed", &[], "it gets older by a day each day"),
    ("pattern-idle", &[], "it means a file or it does not"),
    ("catalogue-unread", &[], "it is read or it is not"),
    ("departure-idle", &[], "it matches or it does not"),
    ("snag-idle", &[], "it stands for a finding or it does not"),
    ("coupler-mismatch", &[], "it enters or it does not"),
    ("size-not-made", &[], "it is made or it is not"),
    (
        "coupler-in-the-wet",
        &[],
        "a degree of protection has no unit",
    ),
    ("earth-interrupted", &[], "it is earthed or it is not"),
    ("neutral-missing", &[], "it arrives or it does not"),
    ("polarity-unassured", &[], "it is assured or it is not"),
    ("plug-fuse", &["none"], "there is no fuse to measure"),
    (
        "voltage-drop",
        &["collapse"],
        "no voltage is left to measure",
    ),
    (
        "voltage-out-of-range",
        &["frequency"],
        "no other frequency is better for being nearer",
    ),
    (
        "slow-disconnection",
        &["unwatched"],
        "there is a monitor or there is none",
    ),
    (
        "splitter-defeats-redundancy",
        &[],
        "a count of inlets has no unit",
    ),
    (
        "splitter-in-series",
        &[],
        "it hangs on another or it does not",
    ),
    ("retention-missing", &[], "it is held or it is not"),
    ("retention-unsupported", &[], "it is held or it is not"),
    ("retention-one-ended", &[], "it is held or it is not"),
    ("cord-in-line", &[], "each joint is a fault by itself"),
    ("jacket-smoke", &[], "it is halogen-free or it is not"),
    ("jacket-in-plenum", &[], "it lies there or it does not"),
    ("jacket-duty", &[], "classes of use have no unit"),
    ("approval-missing", &[], "it is marked or it is not"),
    ("plug-foreign", &[], "it is of the country or it is not"),
    (
        "supply-foreign",
        &[],
        "no voltage of another country is better for being nearer",
    ),
    (
        "cord-crosses-racks",
        &[],
        "it stays in its rack or it does not",
    ),
    (
        "space-shared",
        &[],
        "two things are in one place or they are not",
    ),
    (
        "socket-without-rcd",
        &["none"],
        "a device is there or it is not",
    ),
    (
        "slow-disconnection",
        &["no-residual", "delay"],
        "a device is there or it is not, and waits or does not",
    ),
    ("rcd-type-unfit", &[], "types have no unit"),
    ("feed-colour", &[], "a colour has no unit"),
    ("wrong-feed", &[], "it lands there or it does not"),
    ("label-pattern", &[], "it matches or it does not"),
    (
        "input-chain-mismatch",
        &["poles", "terminals", "banks"],
        "a count of poles has no unit",
    ),
    ("receptacle-shared", &[], "a count of plugs has no unit"),
    ("pdu-in-series", &[], "it hangs on another or it does not"),
    ("feed-shared", &[], "it is shared or it is not"),
    (
        "supplies-insufficient",
        &["start", "count"],
        "a count of inlets has no unit",
    ),
    ("single-corded", &[], "it hangs on one path or it does not"),
];

/// The line of the list that lets a finding go without a measure.
fn excuse(finding: &Finding) -> Option<usize> {
    NUMBERLESS.iter().position(|(rule, kinds, _)| {
        *rule == finding.rule && (kinds.is_empty() || kinds.contains(&finding.kind))
    })
}

/// Whether a measure lies beyond its limit; at the limit where that is too much already.
fn is_beyond(measure: &Measure) -> bool {
    let (value, limit) = (measure.value.number(), measure.limit.number());
    let hair = 1e-9 * limit.abs().max(value.abs());
    value.is_finite()
        && limit.is_finite()
        && match measure.worse {
            Side::Above => value > limit - hair,
            Side::Below => value < limit + hair,
        }
}

#[test]
fn every_broken_finding_measures_unless_its_rule_has_nothing_to_measure() {
    let mut wrong = String::new();
    let (mut measuring, mut excused) = (BTreeSet::new(), BTreeSet::new());
    let found = everything().iter().map(|found| &found.finding);
    for finding in found.filter(|finding| finding.verdict == Verdict::Broken) {
        let named = format!(
            "{} ({:?}): {}",
            finding.rule, finding.kind, finding.headline
        );
        match (&finding.measure, excuse(finding)) {
            (Some(measure), None) => {
                measuring.insert(finding.rule);
                if !measure.value.is_like(measure.limit) || !is_beyond(measure) {
                    writeln!(wrong, "{named}\n  measures {}", measure.show()).unwrap();
                }
            }
            (Some(measure), Some(_)) => {
                writeln!(wrong, "{named}\n  measures {} all the same", measure.show()).unwrap();
            }
            (None, None) => writeln!(wrong, "{named}\n  measures nothing").unwrap(),
            (None, Some(line)) => {
                excused.insert(line);
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    let unmet = (0..NUMBERLESS.len()).filter(|line| !excused.contains(line));
    let unmet: Vec<&str> = unmet.map(|line| NUMBERLESS[line].0).collect();
    assert!(unmet.is_empty(), "on the list, and never met: {unmet:?}");
    let whole = |rule: &str| {
        NUMBERLESS
            .iter()
            .any(|(name, kinds, _)| *name == rule && kinds.is_empty())
    };
    // What a change made of a site is not among what is found in one.
    let of_sites = RULES
        .iter()
        .filter(|rule| !matches!(rule.check, Check::Changed(_)));
    let rules = of_sites.map(|rule| rule.name);
    let never: Vec<&str> = rules
        .filter(|rule| !measuring.contains(rule) && !whole(rule))
        .collect();
    assert!(never.is_empty(), "nothing was measured by {never:?}");
}

#[test]
fn open_points_measure_nothing() {
    for found in everything() {
        let finding = &found.finding;
        let is_open = finding.verdict == Verdict::Open;
        assert!(
            !is_open || finding.measure.is_none(),
            "{}",
            finding.headline
        );
    }
}

/// A number of a rule's first example that is changed: how it stands there, and a middling, a worse
/// and a better one.
struct Case {
    rule: &'static str,
    stands: &'static str,
    texts: [&'static str; 3],
}

const CASES: &[Case] = &[
    Case {
        rule: "circuit-overloaded",
        stands: "at: U4, draw: 550 W",
        texts: [
            "at: U4, draw: 550 W",
            "at: U4, draw: 700 W",
            "at: U4, draw: 500 W",
        ],
    },
    // The limit comes down on the same current.
    Case {
        rule: "circuit-overloaded",
        stands: "continuous-load: 80 %",
        texts: [
            "continuous-load: 80 %",
            "continuous-load: 70 %",
            "continuous-load: 82 %",
        ],
    },
    Case {
        rule: "coupler-overloaded",
        stands: "draw: 2.2 kW",
        texts: ["draw: 2.2 kW", "draw: 2.3 kW", "draw: 2.1 kW"],
    },
    Case {
        rule: "voltage-drop",
        stands: "length: 75 m",
        texts: ["length: 75 m", "length: 80 m", "length: 72 m"],
    },
    Case {
        rule: "breaking-capacity",
        stands: "fault-current: 10 kA",
        texts: [
            "fault-current: 10 kA",
            "fault-current: 15 kA",
            "fault-current: 8 kA",
        ],
    },
    Case {
        rule: "slow-disconnection",
        stands: "length: 40 m",
        texts: ["length: 40 m", "length: 60 m", "length: 30 m"],
    },
    Case {
        rule: "cord-too-short",
        stands: "length: 1.2 m",
        texts: ["length: 1.0 m", "length: 0.8 m", "length: 1.1 m"],
    },
    Case {
        rule: "angle-clash",
        stands: "rear-clearance: 55 mm",
        texts: [
            "rear-clearance: 50 mm",
            "rear-clearance: 45 mm",
            "rear-clearance: 55 mm",
        ],
    },
    Case {
        rule: "jacket-too-hot",
        stands: "ambient: 70 °C",
        texts: ["ambient: 80 °C", "ambient: 85 °C", "ambient: 75 °C"],
    },
    Case {
        rule: "plug-fuse",
        stands: "fuse: 13 A",
        texts: ["fuse: 10 A", "fuse: 13 A", "fuse: 5 A"],
    },
    Case {
        rule: "earth-leakage",
        stands: "earth-current: 2.5 mA",
        texts: [
            "earth-current: 2.5 mA",
            "earth-current: 3 mA",
            "earth-current: 2.2 mA",
        ],
    },
    Case {
        rule: "phase-imbalance",
        stands: "draw: 600 W",
        texts: ["draw: 600 W", "draw: 570 W", "draw: 640 W"],
    },
];

/// The first broken finding of the case's rule with this text in the place of what stands there.
fn finding(case: &Case, text: &str) -> Finding {
    let files: Files = pages::first_example(case.rule);
    let stands: usize = files
        .iter()
        .map(|(_, file)| file.matches(case.stands).count())
        .sum();
    assert_eq!(stands, 1, "{}: {}", case.rule, case.stands);
    let changed = files
        .into_iter()
        .map(|(path, file)| (path, file.replace(case.stands, text)));
    let judgement = judged(&changed.collect());
    let mut own = judgement.findings.into_iter();
    own.find(|f| f.rule == case.rule && f.verdict == Verdict::Broken)
        .unwrap_or_else(|| panic!("{} says nothing at {text}", case.rule))
}

#[test]
fn a_number_that_is_changed_is_seen_to_get_worse_or_better() {
    for case in CASES {
        let [before, worse, better] = case.texts.map(|text| finding(case, text));
        let moved = |now: &Finding| {
            assert_eq!(now.fingerprint(), before.fingerprint(), "{}", case.rule);
            now.measure.unwrap().moved_since(&before.measure.unwrap())
        };
        let told = format!(
            "{}: {:?}, {}",
            case.rule,
            case.texts,
            before.measure.unwrap().show()
        );
        assert_eq!(moved(&worse), Move::Worse, "{told}");
        assert_eq!(moved(&better), Move::Better, "{told}");
        assert_eq!(moved(&before), Move::Same, "{told}");
    }
}

/// A level that is set weighs down what is graver; what a change relaxes by it goes by this.
#[test]
fn no_finding_is_graver_than_its_rule_says_and_some_are_as_grave() {
    let mut gravest = BTreeMap::new();
    for found in everything() {
        let (rule, level) = (found.finding.rule, found.finding.own_level);
        let most = gravest.entry(rule).or_insert(level);
        *most = level.max(*most);
    }
    for rule in RULES {
        let Some(most) = gravest.get(rule.name) else {
            continue;
        };
        assert!(*most <= rule.gravest, "{}", rule.name);
        let is_marked = rule.gravest > rule.level;
        assert!(!is_marked || *most == rule.gravest, "{}", rule.name);
    }
}
