//! Supplies that are fed from others: what they take adds up, and what they hang on is lost with them.

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::quantity::InUnits;

use crate::pages::bases;
use crate::site::{Files, judged, read, said};

/// Two devices on both feeds.
const MORE: &str = "\
device-models:
  recorder: {height: 1 U, class: I, voltage: 200–240 V, rating: 900 W, power-factor: 0.9, earth-current: 0.5 mA, inlets-needed: 1, inlets: {psu1: C14, psu2: C14}}
devices:
  rec-1: {model: recorder, rack: r1, at: U10, draw: 400 W}
  rec-2: {model: recorder, rack: r1, at: U12, draw: 300 W}
cord-types:
  blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red, approvals: [BSI]}
cords:
  W-1: {type: blue, from: pdu-a/1, to: rec-1/psu1}
  W-2: {type: red, from: pdu-b/1, to: rec-1/psu2}
  W-3: {type: blue, from: pdu-a/2, to: rec-2/psu1}
  W-4: {type: red, from: pdu-b/2, to: rec-2/psu2}
";

/// What both supplies of the base are fed from, the first by a UPS that takes 1 kW to charge its battery.
const AHEAD: &str = "  tr-1: {system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 100 kVA}\n";
const UPS: &str = "from: tr-1, efficiency: 80 %, recharge: 1 kW, input-power-factor: 0.8";
const BOARD: &str = "from: tr-1, efficiency: 100 %";

fn files(ahead: &str, [of_a, of_b]: [&str; 2]) -> Files {
    let keys = |keys: &str| keys.replace(", ", "\n    ");
    let base = bases()["base-iec.yaml"].clone();
    let base = base.replacen("supplies:\n", &format!("supplies:\n{ahead}"), 1);
    let base = base.replacen(
        "    feed: A\n",
        &format!("    feed: A\n    {}\n", keys(of_a)),
        1,
    );
    let base = base.replacen(
        "    feed: B\n",
        &format!("    feed: B\n    {}\n", keys(of_b)),
        1,
    );
    vec![
        ("cordwright.yaml".to_owned(), base),
        ("more.yaml".to_owned(), MORE.to_owned()),
    ]
}

/// What a supply delivers, in watts and vars, and at the worst in volt-amperes.
fn delivers(files: &Files, name: &str) -> (f64, f64, f64) {
    let site = read(files);
    let supply = site.model.supplies.find(name).unwrap();
    let power = site.flows.delivered(supply);
    let (worst, _) = site.flows.worst_power(supply);
    (power.re, power.im, worst.in_volt_amperes())
}

/// Half of 700 W at a power factor of 0.9 each, and what the wiring takes: 350 W make 350 ÷ 0.8 + 1,000 = 1,437.5 W
/// at the input of the UPS, and 1,437.5 × 0.75 = 1,078 var at its power factor of 0.8. The board passes on 350 W and
/// 350 × 0.4843 = 169.5 var.
#[test]
fn what_supplies_take_adds_up_ahead_of_them() {
    let site = files(AHEAD, [UPS, BOARD]);
    let (own, vars, _) = delivers(&site, "ups-a");
    assert!((350.0..352.0).contains(&own), "{own}");
    let (board, board_vars, _) = delivers(&site, "ups-b");
    let (watts, sum, worst) = delivers(&site, "tr-1");
    let by_hand = own / 0.8 + 1000.0 + board;
    assert!((watts - by_hand).abs() < 1e-6, "{watts} {by_hand}");
    let by_hand = (own / 0.8 + 1000.0) * 0.75 + board_vars;
    assert!((sum - by_hand).abs() < 1e-6, "{sum} {by_hand}");
    assert!((169.0..170.5).contains(&vars), "{vars}");
    // Without the board the UPS carries all, and takes the more for what it loses: 700 ÷ 0.8 + 1,000 = 1,875 W.
    assert!((1875.0 / 0.8..1890.0 / 0.8).contains(&worst), "{worst}");
}

/// A limit just at, below and above what is delivered.
#[test]
fn the_capacity_ahead_is_held_against_all_of_it() {
    let (.., worst) = delivers(&files(AHEAD, [UPS, BOARD]), "tr-1");
    for (share, is_above) in [(0.999, true), (1.0, false), (1.001, false)] {
        let capacity = format!("{:.6} VA", share * worst);
        let ahead = AHEAD.replace("100 kVA", &capacity);
        let judgement = judged(&files(&ahead, [UPS, BOARD]));
        let found = said(&judgement, "failover-overloaded");
        assert_eq!(found.len(), usize::from(is_above), "{share}: {found:#?}");
    }
}

#[test]
fn what_is_not_known_of_an_input_is_asked_and_makes_no_room() {
    let judgement = judged(&files(AHEAD, ["from: tr-1", BOARD]));
    let found = said(&judgement, "supply-overloaded");
    let [open] = found.as_slice() else {
        panic!("{found:#?}");
    };
    assert_eq!(open.verdict, Verdict::Open);
    for key in [
        "`efficiency`",
        "`recharge`",
        "`input-power-factor`",
        "ups-a",
    ] {
        assert!(open.headline.contains(key), "{}", open.headline);
    }
    // What is known is too much already.
    let ahead = AHEAD.replace("100 kVA", "600 VA");
    let judgement = judged(&files(&ahead, ["from: tr-1", BOARD]));
    let found = said(&judgement, "supply-overloaded");
    assert!(found.iter().all(|found| found.verdict == Verdict::Broken));
    assert_eq!(found.len(), 1, "{found:#?}");
    for (unread, key) in [
        ("from: [tr-1], efficiency: 80 %", "from"),
        (
            "from: tr-1, efficiency: lots, recharge: 0 W, input-power-factor: 1",
            "efficiency",
        ),
        ("from: tr-1, efficiency: 100 %, recharge: much", "recharge"),
        (
            "from: tr-1, efficiency: 104 %, recharge: 0 W, input-power-factor: 1",
            "efficiency",
        ),
        (
            "from: tr-1, efficiency: 0.95 %, recharge: 0 W, input-power-factor: 1",
            "efficiency",
        ),
    ] {
        let judgement = judged(&files(AHEAD, [unread, BOARD]));
        let told = said(&judgement, "bad-quantity").len() + said(&judgement, "unknown-key").len();
        assert!(told > 0, "{unread}");
        let found = said(&judgement, "supply-overloaded");
        let asks = |found: &&&Finding| found.headline.contains(&format!("`{key}`"));
        assert_eq!(found.iter().filter(asks).count(), 1, "{unread}: {found:#?}");
    }
}

#[test]
fn what_is_shared_ahead_is_told_once() {
    let judgement = judged(&files(AHEAD, [UPS, BOARD]));
    let found = said(&judgement, "feed-shared");
    let [note] = found.as_slice() else {
        panic!("{found:#?}");
    };
    assert_eq!(note.level, Level::Note);
    assert!(
        note.headline.contains("lose supply tr-1"),
        "{}",
        note.headline
    );
    // With another source in the building they could be parted.
    let other = format!("{AHEAD}  gen-1: {{system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 50 kVA}}\n");
    let judgement = judged(&files(&other, [UPS, BOARD]));
    let found = said(&judgement, "feed-shared");
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].level, Level::Warning);
    let judgement = judged(&files(&other, [UPS, &BOARD.replace("tr-1", "gen-1")]));
    assert!(said(&judgement, "feed-shared").is_empty());
}

#[test]
fn supplies_that_feed_each_other_are_told() {
    for (of_a, of_b, chain) in [
        (
            "from: ups-b",
            "from: ups-a",
            "(ups-a from ups-b from ups-a)",
        ),
        (
            "from: ups-a",
            "from: tr-1, efficiency: 100 %",
            "(ups-a from ups-a)",
        ),
    ] {
        let judgement = judged(&files(AHEAD, [of_a, of_b]));
        let found = said(&judgement, "power-loop");
        let [ring] = found.as_slice() else {
            panic!("{found:#?}");
        };
        assert!(ring.headline.contains(chain), "{}", ring.headline);
    }
    let judgement = judged(&files(AHEAD, ["from: tr-9", BOARD]));
    let found = said(&judgement, "unknown-name");
    assert!(found[0].headline.contains("tr-9"), "{}", found[0].headline);
}

#[test]
fn a_row_without_end_is_cut_and_told() {
    let row: String = (0..400)
        .map(|at| {
            let from = if at < 399 {
                format!(", from: s{}, efficiency: 100 %", at + 1)
            } else {
                String::new()
            };
            format!("  s{at}: {{system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 50 kVA{from}}}\n")
        })
        .collect();
    let judgement = judged(&files(&row, ["from: s0, efficiency: 100 %", BOARD]));
    let told = judgement
        .unread
        .iter()
        .filter(|unread| unread.why.contains("fed through so many others"));
    assert_eq!(told.count(), 1);
}
