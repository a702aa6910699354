//! Cords that are plugged into cords, and adapters: a line from an outlet to an inlet, with every joint in it.

mod outputs;

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::judgement::{Judgement, Site};
use cordwright::quantity::InUnits;

use crate::pages::bases;
use crate::site::{Files, at, element, judged, read, said};

/// A box at the end of two cords; and one behind a splitter that hangs on a cord.
const MORE: &str = "\
device-models:
  box: {height: 1 U, class: I, voltage: 200–240 V, rating: 1000 W, power-factor: 1, earth-current: 0.5 mA, inlets: {psu1: C14}}
  twin: {height: 1 U, class: I, voltage: 200–240 V, rating: 1000 W, power-factor: 1, earth-current: 0.5 mA, inlets: {psu1: {coupler: C14, feed: A}, psu2: {coupler: C14, feed: B}}, inlets-needed: 1}
devices:
  box-1: {model: box, rack: r1, at: U10, draw: 400 W}
  twin-1: {model: twin, rack: r1, at: U12, draw: 600 W}
  box-2: {model: box, rack: r1, at: U14, draw: 100 W}
  box-3: {model: box, rack: r1, at: U16, draw: 100 W}
cord-types:
  blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red, approvals: [BSI]}
  block: {plug: C14, connector: C13, adapter: yes, rating: 10 A, colour: blue, approvals: [BSI]}
  fork: {plug: C14, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: blue, approvals: [BSI], legs: {a: {connector: C13, length: 0.5 m}, b: {connector: C13, length: 0.5 m}}}
cords:
  W-1: {type: blue, from: pdu-a/1}
  W-2: {type: blue, from: W-1, to: box-1/psu1}
  W-3: {type: blue, from: pdu-a/2}
  W-4: {type: block, from: W-3, to: twin-1/psu1}
  W-5: {type: red, from: pdu-b/1, to: twin-1/psu2}
  W-6: {type: fork, from: pdu-a/3, to: {a: box-2/psu1, b: box-3/psu1}}
";

fn files(edits: &[(&str, &str)]) -> Files {
    let mut more = MORE.to_owned();
    for (old, new) in edits {
        assert!(more.contains(old), "{old}");
        more = more.replacen(old, new, 1);
    }
    vec![
        (
            "cordwright.yaml".to_owned(),
            bases()["base-iec.yaml"].clone(),
        ),
        ("more.yaml".to_owned(), more),
    ]
}

fn after(edits: &[(&str, &str)]) -> Judgement {
    judged(&files(edits))
}

/// The one finding of a rule: its level, what it says, and where.
#[track_caller]
fn one<'a>(judgement: &'a Judgement, rule: &str) -> (Level, &'a str, &'a str) {
    let [found] = said(judgement, rule)[..] else {
        panic!("{rule}: {:#?}", judgement.findings);
    };
    (found.level, found.headline.as_str(), at(judgement, found))
}

#[test]
fn every_joint_is_a_finding_and_nothing_else_is_said() {
    let judgement = after(&[]);
    let found = said(&judgement, "cord-in-line");
    assert_eq!(found.len(), judgement.findings.len());
    let levels: Vec<(Level, &str)> = found
        .iter()
        .map(|found| (found.level, at(&judgement, found)))
        .collect();
    assert_eq!(levels, [(Level::Warning, "W-1"), (Level::Note, "W-3")]);
}

/// The same drawn as one cord with the resistance of both: voltages and currents to nine places, in the normal
/// state and at the worst.
#[test]
fn a_line_is_a_cord_with_the_sum_of_the_resistances() {
    let given = |kind: &str, ohms: &str| format!("{kind}: {{resistance: {ohms}, plug: C14");
    let (blue, block) = (given("blue", "0.0375 Ω"), given("block", "0.004 Ω"));
    let line = read(&files(&[
        ("blue: {plug: C14", &blue),
        ("block: {plug: C14", &block),
    ]));
    let (two, with_block) = (given("two", "0.075 Ω"), given("far", "0.0415 Ω"));
    let kinds = [
        format!(
            "  {two}, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 3 m, rating: 10 A, colour: blue}}\n"
        ),
        format!(
            "  {with_block}, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue}}\n"
        ),
    ];
    let single = read(&files(&[
        ("cords:\n", &format!("{}cords:\n", kinds.concat())),
        ("  W-1: {type: blue, from: pdu-a/1}\n", ""),
        (
            "W-2: {type: blue, from: W-1,",
            "W-2: {type: two, from: pdu-a/1,",
        ),
        ("  W-3: {type: blue, from: pdu-a/2}\n", ""),
        (
            "W-4: {type: block, from: W-3,",
            "W-4: {type: far, from: pdu-a/2,",
        ),
    ]));
    let figures = |site: &Site, name: &str| {
        let id = element(site, name);
        let (graph, flows) = (&site.graph, &site.flows);
        let volts = flows.voltage(graph, id).map(InUnits::in_volts);
        let share = flows.lowest_share(graph, id).map(|least| least.share.value);
        let normal = flows.normal(graph, id).unwrap();
        let worst = flows.worst(graph, id).unwrap();
        let amperes = [normal, worst].map(|worst| Some(worst.current.in_amperes()));
        [amperes[0], amperes[1], volts, share]
    };
    for name in [
        "W-2", "W-4", "W-5", "pdu-a/B1", "pdu-a", "A-1", "ups-a", "ups-b",
    ] {
        let (is, wanted) = (figures(&line, name), figures(&single, name));
        for (is, wanted) in is.iter().zip(wanted) {
            let is_same = match (is, wanted) {
                (Some(is), Some(wanted)) => (is / wanted - 1.0).abs() < 1e-9,
                (is, wanted) => *is == wanted,
            };
            assert!(is_same, "{name}: {is:?} {wanted:?}");
        }
    }
    // What W-2 draws flows through W-1, which loses its own share of the voltage.
    let [upper, lower] = ["W-1", "W-2"].map(|name| figures(&line, name).map(Option::unwrap));
    assert!((upper[0] / lower[0] - 1.0).abs() < 1e-12 && upper[2] > lower[2]);
}

#[test]
fn elements_of_a_line_hang_on_each_other() {
    let site = read(&files(&[]));
    let graph = &site.graph;
    let [upper, lower] = ["W-1", "W-2"].map(|name| element(&site, name));
    assert_eq!(graph.element(lower).feeder, Some(upper));
    assert!(graph.is_below(lower, element(&site, "pdu-a/B1")));
    // Its loss takes what hangs on it.
    let losses = graph.losses_of(lower);
    assert!(losses.map(|loss| loss.first()).any(|first| first == upper));
}

#[test]
fn a_leg_of_a_splitter_feeds_a_cord() {
    let edits = [
        (
            "W-1: {type: blue, from: pdu-a/1}",
            "W-1: {type: fork, from: pdu-a/1}",
        ),
        (
            "W-2: {type: blue, from: W-1,",
            "W-2: {type: blue, from: W-1/b,",
        ),
    ];
    let site = read(&files(&edits));
    let [leg, lower] = ["W-1/b", "W-2"].map(|name| element(&site, name));
    assert_eq!(site.graph.element(lower).feeder, Some(leg));
    // The other leg is free, and nothing is missing for that.
    assert_eq!(said(&after(&edits), "missing-key"), [] as [&Finding; 0]);
    let both = [
        edits[0],
        edits[1],
        (
            "W-1: {type: fork, from: pdu-a/1}",
            "W-1: {type: fork, from: pdu-a/1, to: {b: W-2}}",
        ),
    ];
    let judgement = after(&both);
    assert_eq!(said(&judgement, "double-booked"), [] as [&Finding; 0]);
    assert_eq!(said(&judgement, "cord-in-line").len(), 2);
}

/// What `to` of the upper cord may say: nothing, or the cord that is plugged in there.
#[test]
fn both_records_agree_or_it_is_told_at_their_bytes() {
    let agreed = after(&[("from: pdu-a/1}", "from: pdu-a/1, to: W-2}")]);
    assert_eq!(agreed.findings.len(), 2, "{:#?}", agreed.findings);
    let other = after(&[
        ("from: pdu-a/1}", "from: pdu-a/1, to: twin-1/psu2}"),
        ("W-5: {type: red, from: pdu-b/1, to: twin-1/psu2}", ""),
    ]);
    let (level, says, place) = one(&other, "double-booked");
    assert_eq!((level, place), (Level::Error, "W-1"));
    assert!(says.starts_with("connector W-1 has two plugs"), "{says}");
    let twice = after(&[("from: W-3, to: twin-1/psu1", "from: W-1, to: twin-1/psu1")]);
    let (_, says, place) = one(&twice, "double-booked");
    assert_eq!(place, "W-1");
    assert!(says.contains("cord W-2 and cord W-4"), "{says}");
    // W-3 leads nowhere now, and says so.
    assert_eq!(one(&twice, "missing-key").2, "W-3");
    let not_there = after(&[
        ("from: pdu-a/2}", "from: pdu-a/2, to: W-2}"),
        ("W-4: {type: block, from: W-3, to: twin-1/psu1}", ""),
    ]);
    let (_, says, place) = one(&not_there, "double-booked");
    assert_eq!(place, "W-2");
    assert!(
        says.starts_with("plug of cord W-2 has two places"),
        "{says}"
    );
}

#[test]
fn a_strip_and_a_cord_at_one_connector_are_told() {
    let mut files = files(&[]);
    files.push((
        "strip.yaml".to_owned(),
        "pdus: {pdu-c: {model: strip-16, rack: r1, from: W-1}}\n".to_owned(),
    ));
    let judgement = judged(&files);
    let (_, says, place) = one(&judgement, "double-booked");
    assert_eq!(place, "W-1");
    assert!(
        says.contains("cord W-2 and the plug of PDU pdu-c"),
        "{says}"
    );
}

#[test]
fn what_leads_nowhere_is_told_at_its_bytes() {
    for (edits, rule, place, says) in [
        (
            vec![("from: W-1,", "from: W-11,")],
            "unknown-name",
            "W-11",
            "W-11",
        ),
        (
            vec![("from: W-1,", "from: W-1/a,")],
            "unknown-name",
            "a",
            "leg",
        ),
        (
            vec![("W-1: {type: blue", "W-1: {type: fork")],
            "bad-quantity",
            "W-1",
            "splitter with the legs a, b",
        ),
        (
            vec![("from: pdu-a/1}", "from: pdu-a/1, to: }")],
            "missing-key",
            "to",
            "no `to`",
        ),
        (
            vec![("from: pdu-a/1}", "from: W-2}")],
            "power-loop",
            "W-2",
            "W-1 from W-2 from W-1",
        ),
        (
            vec![("from: pdu-a/1}", "from: W-1}")],
            "power-loop",
            "W-1",
            "W-1 from W-1",
        ),
    ] {
        let judgement = after(&edits);
        let found = said(&judgement, rule);
        let found = found.iter().find(|found| at(&judgement, found) == place);
        let found = found.unwrap_or_else(|| panic!("{rule} {place}: {:#?}", judgement.findings));
        assert!(found.headline.contains(says), "{}", found.headline);
        assert_eq!(found.level, Level::Error);
    }
}

/// A cord with a name nearly right is offered where no outlet or circuit is like it.
#[test]
fn a_name_nearly_right_is_answered_with_a_cord() {
    let judgement = after(&[
        (
            "W-1: {type: blue, from: pdu-a/1}",
            "to-stage-left: {type: blue, from: pdu-a/1}",
        ),
        ("from: W-1,", "from: to-stage-lefd,"),
    ]);
    let found = said(&judgement, "unknown-name");
    let advice = &found[0].remedy.advice;
    assert!(advice.contains("to-stage-left"), "{advice}");
}

#[test]
fn an_adapter_says_that_it_has_no_cord_and_says_nothing_of_one() {
    let adapter = |instead: &str| {
        after(&[(
            "block: {plug: C14, connector: C13, adapter: yes,",
            &format!("block: {{plug: C14, connector: C13, {instead},"),
        )])
    };
    let gone = adapter("adapter: no");
    let keys: Vec<&str> = said(&gone, "missing-key")
        .iter()
        .map(|found| found.main.note.as_str())
        .collect();
    assert_eq!(keys, ["no `conductor`", "no `length`"]);
    for (instead, place) in [
        ("adapter: yes, length: 0.3 m", "0.3 m"),
        ("adapter: yes, conductor: 1.0 mm²", "1.0 mm²"),
        ("adapter: yes, cordage: H05VV-F", "H05VV-F"),
        ("adapter: perhaps", "perhaps"),
    ] {
        let judgement = adapter(instead);
        let (level, _, at) = one(&judgement, "bad-quantity");
        assert_eq!((level, at), (Level::Error, place), "{instead}");
        // Unknown is neither a length of nothing nor an adapter.
        let line = said(&judgement, "cord-in-line");
        assert!(
            line.iter().all(|found| found.level == Level::Warning),
            "{line:#?}"
        );
    }
    let unsaid = after(&[("connector: C13, adapter: yes,", "connector: C13,")]);
    assert_eq!(said(&unsaid, "missing-key").len(), 2);
    let longer = after(&[("from: W-3,", "length: 2 m, from: W-3,")]);
    assert_eq!(one(&longer, "bad-quantity").2, "2 m");
}

/// With a length that is not known nobody can say how much is lost on the way: it is no adapter.
#[test]
fn a_length_that_is_not_known_is_asked_for() {
    let judgement = after(&[(
        "adapter: yes,",
        "conductor: 1.0 mm², cordage: H05VV-F, length: long,",
    )]);
    let open = said(&judgement, "voltage-drop");
    assert!(
        open.iter().any(|found| found.verdict == Verdict::Open
            && found.wants.iter().any(|fact| fact.key == "length")),
        "{:#?}",
        judgement.findings
    );
}

/// The way is held against the sum of the lengths, told at the last cord; an adapter adds nothing.
#[test]
fn the_way_is_held_against_the_whole_line() {
    let with = |upper: &str, lower: &str| {
        let (upper, lower) = (
            format!("length: {upper}, from: pdu-a/1"),
            format!("length: {lower}, from: W-1"),
        );
        let mut files = files(&[("from: pdu-a/1", &upper), ("from: W-1", &lower)]);
        let routing = "  routing: {connector-bend: 50 mm, service-loop: 100 mm, cross-run: 600 mm, surplus: 5 m}\n";
        files[0].1 = files[0]
            .1
            .replacen("  feeds:", &format!("{routing}  feeds:"), 1);
        judged(&files)
    };
    assert_eq!(said(&with("0.7 m", "0.7 m"), "cord-too-short").len(), 0);
    let short = with("0.3 m", "0.3 m");
    let (level, says, place) = one(&short, "cord-too-short");
    assert_eq!((level, place), (Level::Error, "0.3 m"));
    assert!(says.contains("the line of cords W-1 and W-2"), "{says}");
    let advice = &said(&short, "cord-too-short")[0].remedy.advice;
    assert!(advice.starts_with("Use one cord of"), "{advice}");
    let long = with("5 m", "4 m");
    assert!(
        one(&long, "cord-too-long")
            .1
            .contains("the line of cords W-1 and W-2")
    );
}

/// Both halves of a joint are judged as any pair, and so are the currents of both cords.
#[test]
fn couplers_and_conductors_of_a_line_are_judged_each_by_its_own() {
    let other_plug = after(&[
        ("W-2: {type: blue,", "W-2: {type: odd,"),
        (
            "cords:\n",
            "  odd: {plug: C20, connector: C13, conductor: 1.5 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}\ncords:\n",
        ),
    ]);
    let (level, says, _) = one(&other_plug, "coupler-mismatch");
    assert_eq!(level, Level::Error);
    assert!(says.contains("W-2") && says.contains("W-1"), "{says}");
    let earthless = after(&[("blue: {plug: C14,", "blue: {cores: 2, plug: C14,")]);
    let found = said(&earthless, "earth-interrupted");
    assert!(
        found.iter().any(|found| found.headline.contains("W-1")),
        "{found:#?}"
    );
    let heavy = after(&[
        ("draw: 400 W", "draw: 2800 W"),
        ("rating: 1000 W", "rating: 3000 W"),
    ]);
    let found = said(&heavy, "conductor-underrated");
    let names: Vec<String> = found
        .iter()
        .flat_map(|found| found.about.iter().map(ToString::to_string))
        .collect();
    assert!(
        names.contains(&"W-1".into()) && names.contains(&"W-2".into()),
        "{names:?}"
    );
}

#[test]
fn in_the_wet_a_joint_is_marked_against_it() {
    let mut files = files(&[]);
    files[0].1 = files[0].1.replacen("wet: no", "wet: yes", 1);
    let judgement = judged(&files);
    let told = format!("{:#?}", said(&judgement, "coupler-in-the-wet"));
    assert!(told.contains("W-2"), "{told}");
}

/// Nothing that a pull has opened is held where it is shaken, unless the connector above grips the pins.
#[test]
fn a_joint_that_is_shaken_must_be_held() {
    let shaken = |upper: &str| {
        let held =
            format!("blue: {{retention: {{plug: outlet-latch, connector: {upper}}}, plug: C14");
        let mut files = files(&[
            ("blue: {plug: C14", &held),
            ("W-2: {type: blue,", "W-2: {type: lower,"),
            (
                "cords:\n",
                "  lower: {retention: {plug: none, connector: pin-grip}, plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}\ncords:\n",
            ),
        ]);
        files[0].1 = files[0]
            .1
            .replacen("vibration: none", "vibration: transport", 1);
        let judgement = judged(&files);
        let found = said(&judgement, "cord-in-line");
        let own = found.iter().find(|found| at(&judgement, found) == "W-1");
        own.unwrap().level
    };
    assert_eq!(shaken("none"), Level::Error);
    assert_eq!(shaken("pin-grip"), Level::Warning);
}

/// The second joint is graver than the first; an adapter that nobody has approved is a cord like any.
#[test]
fn joints_in_a_row_are_graver() {
    let judgement = after(&[(
        "W-3: {type: blue, from: pdu-a/2}",
        "W-3: {type: block, from: W-7}\n  W-7: {type: blue, from: pdu-a/2}",
    )]);
    let found = said(&judgement, "cord-in-line");
    let levels: Vec<(Level, &str)> = found
        .iter()
        .map(|found| (found.level, at(&judgement, found)))
        .collect();
    assert_eq!(
        levels,
        [
            (Level::Warning, "W-1"),
            (Level::Note, "W-7"),
            (Level::Warning, "W-3")
        ]
    );
    let bare = after(&[(
        "adapter: yes, rating: 10 A, colour: blue, approvals: [BSI]",
        "adapter: yes, rating: 10 A, colour: blue",
    )]);
    let found = said(&bare, "cord-in-line");
    assert!(
        found.iter().all(|found| found.level == Level::Warning),
        "{found:#?}"
    );
}

#[test]
fn a_thousand_cords_in_a_row_end_at_the_budget() {
    let mut more = MORE.split("cords:\n").next().unwrap().to_owned();
    more += "cords:\n  C-0: {type: blue, from: pdu-a/1}\n";
    for number in 1..1000 {
        more += &format!("  C-{number}: {{type: blue, from: C-{}}}\n", number - 1);
    }
    more += "  C-1000: {type: blue, from: C-999, to: box-1/psu1}\n";
    let mut files = files(&[]);
    files[1].1 = more;
    let judgement = judged(&files);
    let [unread] = judgement.unread.as_slice() else {
        panic!("{:#?}", judgement.unread);
    };
    assert!(
        unread.why.contains("16") && unread.why.contains("cord C-16"),
        "{}",
        unread.why
    );
    let open = said(&judgement, "circuit-overloaded");
    assert!(
        open.iter().any(|found| found.verdict == Verdict::Open),
        "{open:#?}"
    );
}

/// A cord that is still to be fitted leads on from one that hangs already.
#[test]
fn a_cord_to_come_is_no_missing_end() {
    let judgement = after(&[("W-2: {type: blue,", "W-2: {state: to-fit, type: blue,")]);
    assert_eq!(said(&judgement, "missing-key"), [] as [&Finding; 0]);
    let pulled = after(&[("W-2: {type: blue,", "W-2: {state: to-pull, type: blue,")]);
    assert_eq!(one(&pulled, "missing-key").2, "W-1");
}
