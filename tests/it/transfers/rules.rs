//! What rules say of transfer switches, and of what stands beside and behind them.

use cordwright::finding::{Level, Verdict};

use super::after;
use crate::site::said;

/// A second supply of the recorder's on strip A: with A it loses that one, and the other for as long as the switch
/// takes.
#[test]
fn an_inlet_that_goes_with_the_same_loss_bridges_no_gap() {
    let with_second = |ride: &str| {
        after(&[
            ("ride-through: 12 ms, ", ride),
            ("inlets: {psu1: C14}}", "inlets: {psu1: C14, psu2: C14}}"),
            (
                "  W-3:",
                "  W-4: {type: blue, from: pdu-a/2, to: rec-1/psu2}\n  W-3:",
            ),
        ])
    };
    let silent = with_second("");
    let open = said(&silent, "transfer-too-slow");
    assert_eq!(open.len(), 1, "{open:#?}");
    assert_eq!(open[0].verdict, Verdict::Open);
    let short = with_second("ride-through: 5 ms, ");
    let found = said(&short, "transfer-too-slow");
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].verdict, Verdict::Broken);
    let long = with_second("ride-through: 8 ms, ");
    assert!(said(&long, "transfer-too-slow").is_empty());
    // On B it stays up while the switch goes over.
    let elsewhere = after(&[
        ("ride-through: 12 ms, ", ""),
        ("inlets: {psu1: C14}}", "inlets: {psu1: C14, psu2: C14}}"),
        (
            "  W-3:",
            "  W-4: {type: red, from: pdu-b/2, to: rec-1/psu2}\n  W-3:",
        ),
    ]);
    let found = said(&elsewhere, "transfer-too-slow");
    assert!(found.is_empty(), "{found:#?}");
}

/// One of its two inlets does for a switch, whether that is written or not.
#[test]
fn a_switch_on_one_strip_is_an_error_without_a_word() {
    for needed in ["inlets-needed: 1, ", ""] {
        let judgement = after(&[
            (
                "inlets-needed: 1, inlets: {a",
                &format!("{needed}inlets: {{a"),
            ),
            ("{type: red, from: pdu-b/1", "{type: blue, from: pdu-a/2"),
        ]);
        let found = said(&judgement, "feed-shared");
        let [shared] = found.as_slice() else {
            panic!("{needed}: {found:#?}");
        };
        assert_eq!(shared.level, Level::Error, "{needed}");
    }
}

#[test]
fn an_outlet_made_for_a_whole_strip_may_feed_one() {
    let strip = |outlet: &str| {
        after(&[
            (
                "  ats: {",
                "  large: {height: 1 U, class: I, voltage: 200–240 V, rating: 10 W, power-factor: 1, earth-current: 0.5 mA, sharing: standby, inlets: {a: C14, b: C14}, outlets: {1: {coupler: IEC 60309 16 A 2P+E 6h, rating: OUTLET}}, transfer: {kind: static, preferred: a, time: 4 ms}}\n  ats: {",
            ),
            ("OUTLET", outlet),
            (
                "  ats-1:",
                "  sts-1: {model: large, rack: r1, at: U20}\n  ats-1:",
            ),
            (
                "cords:\n",
                "pdus:\n  pdu-c: {model: strip-16, rack: r1, from: sts-1/1}\ncords:\n",
            ),
        ])
    };
    assert!(said(&strip("16 A"), "pdu-in-series").is_empty());
    assert_eq!(said(&strip("10 A"), "pdu-in-series").len(), 1);
}

/// Advice takes nothing off a switch, nor a switch off its feed.
#[test]
fn advice_leaves_switches_where_they_are() {
    let judgement = after(&[
        ("draw: 400 W", "draw: 2100 W"),
        ("rating: 900 W", "rating: 2500 W"),
    ]);
    let percent = regex::Regex::new(r"\(([0-9.]+) % of").unwrap();
    let mut overloads = 0;
    for found in &judgement.findings {
        if ["bank-overloaded", "failover-overloaded"].contains(&found.rule) {
            overloads += 1;
            for cord in ["W-1", "W-2", "W-3"] {
                let advice = &found.remedy.advice;
                assert!(!advice.contains(&format!("cord {cord}")), "{advice}");
            }
        }
        let working = format!("{:?}", found.arithmetic);
        for share in percent.captures_iter(&working) {
            assert!(share[1].parse::<f64>().unwrap() <= 100.0, "{working}");
        }
    }
    assert!(overloads > 0);
}

#[test]
fn a_preferred_inlet_that_the_model_lacks_is_told_of_the_model() {
    let judgement = after(&[("preferred: a", "preferred: c")]);
    let found = said(&judgement, "unknown-name");
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].headline.contains("ats "), "{}", found[0].headline);
    assert!(
        !found[0].headline.contains("ats-1"),
        "{}",
        found[0].headline
    );
}
