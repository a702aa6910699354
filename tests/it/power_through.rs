//! Equipment with outlets of its own: what is plugged into it hangs on the cord at its inlet.

mod outputs;

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::judgement::{Judgement, Site};
use cordwright::quantity::InUnits;

use crate::pages::bases;
use crate::site::{Files, at, element, judged, read, said};

/// A screen that passes power on to a box, plugged into it; and a device with two inlets, each with its outlet.
const MORE: &str = "\
device-models:
  screen: {height: 1 U, class: I, voltage: 200–240 V, rating: 100 W, power-factor: 1, earth-current: 0.5 mA, inlets: {in: C14}, outlets: {1-2: {coupler: C13, rating: 8 A}}}
  box: {height: 1 U, class: I, voltage: 200–240 V, rating: 500 W, power-factor: 1, earth-current: 0.5 mA, inlets: {psu1: C14}}
  shelf:
    height: 2 U
    class: I
    voltage: 200–240 V
    rating: 900 W
    power-factor: 1
    earth-current: 0.5 mA
    inlets: {psu1: {coupler: C14, feed: A, capacity: 900 W}, psu2: {coupler: C14, feed: B, capacity: 900 W}}
    inlets-needed: 1
    outlets: {a: {coupler: C13, inlet: psu1, rating: 8 A}, b: {coupler: C13, inlet: psu2, rating: 8 A}}
devices:
  screen-1: {model: screen, rack: r1, at: U10, draw: 100 W}
  box-1: {model: box, rack: r1, at: U12, draw: 400 W}
  shelf-1: {model: shelf, rack: r1, at: U14, draw: 600 W}
  box-2: {model: box, rack: r1, at: U16, draw: 300 W}
cord-types:
  blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}
  red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red, approvals: [BSI]}
cords:
  W-1: {type: blue, from: pdu-a/1, to: screen-1/in}
  W-2: {type: blue, from: screen-1/1, to: box-1/psu1}
  W-3: {type: blue, from: pdu-a/2, to: shelf-1/psu1}
  W-4: {type: red, from: pdu-b/1, to: shelf-1/psu2}
  W-5: {type: blue, from: shelf-1/a, to: box-2/psu1}
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

/// What a cord carries in the normal state and at the worst, in amperes.
fn amperes(site: &Site, name: &str) -> [f64; 2] {
    let id = element(site, name);
    let normal = site.flows.normal(&site.graph, id).unwrap();
    let worst = site.flows.worst(&site.graph, id).unwrap();
    [normal, worst].map(|worst| worst.current.in_amperes())
}

fn is_near(found: f64, wanted: f64) -> bool {
    (found / wanted - 1.0).abs() < 0.01
}

#[test]
fn a_sound_site_is_silent() {
    let judgement = after(&[]);
    assert_eq!(judgement.findings, []);
}

/// The low end of the supply is 207 V; the drop on the way is below one in a hundred.
#[test]
fn what_is_plugged_into_a_device_flows_through_its_inlet_and_all_above() {
    let site = read(&files(&[]));
    let volts = 207.0;
    for (cord, normal, worst) in [
        // The box alone, and with the screen before it.
        ("W-2", 400.0, 400.0),
        ("W-1", 500.0, 500.0),
        // Half of the shelf and the box behind it; the whole shelf without the other feed.
        ("W-3", 600.0, 900.0),
        // Half of the shelf; without feed A the whole shelf, and the box is off.
        ("W-4", 300.0, 600.0),
        ("W-5", 300.0, 300.0),
        ("pdu-a/B1", 1100.0, 1400.0),
        ("pdu-b/B1", 300.0, 600.0),
    ] {
        let [is, at_worst] = amperes(&site, cord);
        assert!(is_near(is, normal / volts), "{cord}: {is} A");
        assert!(is_near(at_worst, worst / volts), "{cord}: {at_worst} A");
    }
}

/// The loss of the one cord behind another is a case of its own: the box moves to its other inlet, while the
/// screen stays where it is.
#[test]
fn the_loss_of_a_cord_behind_a_device_moves_only_what_hangs_on_it() {
    let edits = [
        (
            "inlets: {psu1: C14}}",
            "inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}",
        ),
        (
            "  W-3:",
            "  W-6: {type: red, from: pdu-b/2, to: box-1/psu2}\n  W-3:",
        ),
    ];
    let site = read(&files(&edits));
    let [normal, worst] = amperes(&site, "W-6");
    assert!(is_near(normal, 200.0 / 207.0) && is_near(worst, 400.0 / 207.0));
    let [normal, worst] = amperes(&site, "W-1");
    assert!(is_near(normal, 300.0 / 207.0) && is_near(worst, 500.0 / 207.0));
}

#[test]
fn elements_stand_in_pre_order() {
    let site = read(&files(&[]));
    let graph = &site.graph;
    for (id, of) in graph.elements() {
        if let Some(feeder) = of.feeder {
            assert!(feeder < id && graph.is_below(id, feeder));
        }
        let children = graph.children(id);
        assert!(
            children
                .into_iter()
                .all(|child| graph.element(child).feeder == Some(id))
        );
    }
    let (upper, lower) = (element(&site, "W-1"), element(&site, "W-2"));
    assert_eq!(graph.element(lower).feeder, Some(upper));
}

#[test]
fn an_inlet_bears_its_own_load_and_all_behind() {
    let judgement = after(&[
        ("at: U10, draw: 100 W", "at: U10, draw: 1000 W"),
        ("at: U12, draw: 400 W", "at: U12, draw: 1400 W"),
        ("rating: 100 W", "rating: 1200 W"),
        ("rating: 500 W", "rating: 1500 W"),
    ]);
    let found = said(&judgement, "coupler-overloaded");
    let [found] = found.as_slice() else {
        panic!("{found:#?}");
    };
    assert!(found.headline.contains("W-1") || found.headline.contains("pdu-a/1"));
    assert_eq!(found.level, Level::Error);
    let working = format!("{:?}", found.arithmetic);
    for line in [
        "screen-1/in takes 1 kW",
        "box-1/psu1 takes 1.4 kW",
        "together 2.4 kW",
    ] {
        assert!(working.contains(line), "{working}");
    }
}

#[test]
fn an_outlet_bears_what_is_marked_beside_it() {
    let judgement = after(&[(
        "1-2: {coupler: C13, rating: 8 A}",
        "1-2: {coupler: C13, rating: 1.5 A}",
    )]);
    let found = said(&judgement, "coupler-overloaded");
    let [found] = found.as_slice() else {
        panic!("{found:#?}");
    };
    assert!(
        found.headline.contains("outlet screen-1/1"),
        "{}",
        found.headline
    );
    assert_eq!(found.level, Level::Error);
    assert_eq!(at(&judgement, found), "1.5 A");
    assert_eq!(found.basis[0].standard, "rated current as marked");
    let advice = found.remedy.advice.as_str();
    assert!(
        advice.starts_with("Plug it into an outlet that may carry"),
        "{advice}"
    );
}

#[test]
fn an_outlet_without_a_mark_is_asked_for() {
    let judgement = after(&[("1-2: {coupler: C13, rating: 8 A}", "1-2: C13")]);
    let [found] = said(&judgement, "coupler-overloaded")[..] else {
        panic!("{:#?}", judgement.findings);
    };
    assert_eq!(found.verdict, Verdict::Open);
    assert!(found.wants.iter().any(|fact| fact.key == "outlets.rating"));
    assert!(found.headline.contains("screen"), "{}", found.headline);
    let judgement = after(&[("rating: 8 A}}}\n  box", "rating: lots}}}\n  box")]);
    let found = said(&judgement, "coupler-overloaded");
    assert!(
        found.iter().any(|found| found.verdict == Verdict::Open),
        "{found:#?}"
    );
}

#[test]
fn rings_are_one_finding_at_their_bytes() {
    for (edits, says, place) in [
        (
            vec![
                ("to: box-1/psu1", "to: screen-1/in"),
                ("W-1: {type: blue, from: pdu-a/1, to: screen-1/in}", ""),
            ],
            "device screen-1 is fed from itself (screen-1 from screen-1)",
            "screen-1/1",
        ),
        (
            vec![
                (
                    "W-1: {type: blue, from: pdu-a/1,",
                    "W-1: {type: blue, from: shelf-1/b,",
                ),
                ("from: pdu-b/1", "from: screen-1/2"),
            ],
            "device shelf-1 is fed from itself (shelf-1 from screen-1 from shelf-1)",
            "shelf-1/b",
        ),
    ] {
        let judgement = after(&edits);
        let [found] = said(&judgement, "power-loop")[..] else {
            panic!("{:#?}", judgement.findings);
        };
        assert!(found.headline.starts_with(says), "{}", found.headline);
        assert_eq!(at(&judgement, found), place);
    }
}

/// A strip on a shelf that is plugged into the strip.
#[test]
fn a_ring_of_a_strip_and_a_device_is_one_finding() {
    let mut files = files(&[
        ("from: pdu-b/1, to: shelf", "from: pdu-c/9, to: shelf"),
        (
            "plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red",
            "plug: C20, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: red",
        ),
    ]);
    files.push((
        "strip.yaml".to_owned(),
        "pdus: {pdu-c: {model: strip-16, rack: r1, from: shelf-1/b}}\n".to_owned(),
    ));
    let judgement = judged(&files);
    let [found] = said(&judgement, "power-loop")[..] else {
        panic!("{:#?}", judgement.findings);
    };
    let says = "PDU pdu-c is fed from itself (pdu-c from shelf-1 from pdu-c)";
    assert!(found.headline.starts_with(says), "{}", found.headline);
    assert_eq!(at(&judgement, found), "shelf-1/b");
}

#[test]
fn two_plugs_in_one_outlet_are_found() {
    let judgement = after(&[("from: shelf-1/a", "from: screen-1/1")]);
    let [found] = said(&judgement, "double-booked")[..] else {
        panic!("{:#?}", judgement.findings);
    };
    assert!(
        found.headline.contains("outlet screen-1/1"),
        "{}",
        found.headline
    );
    assert_eq!(at(&judgement, found), "screen-1/1");
}

/// Of two inlets the outlet is connected to one; which one, nobody says.
#[test]
fn an_outlet_of_a_device_with_several_inlets_must_say_which() {
    for (inlet, rule, place) in [
        ("", "missing-key", "a"),
        (", inlet: psu7", "unknown-name", "psu7"),
        (", inlet: [psu1]", "bad-quantity", "[psu1]"),
    ] {
        let with = format!("a: {{coupler: C13{inlet}, rating: 8 A}}");
        let judgement = after(&[("a: {coupler: C13, inlet: psu1, rating: 8 A}", &with)]);
        let [found] = said(&judgement, rule)[..] else {
            panic!("{inlet}: {:#?}", judgement.findings);
        };
        assert_eq!((found.level, at(&judgement, found)), (Level::Error, place));
        // The load of the box is in no sum, and may be in any above the shelf.
        for rule in ["coupler-overloaded", "circuit-overloaded"] {
            let open = said(&judgement, rule);
            let asks =
                |found: &&Finding| found.wants.iter().any(|fact| fact.key == "outlets.inlet");
            assert!(open.iter().any(asks), "{inlet}: {rule}: {open:#?}");
        }
    }
}

#[test]
fn what_hangs_on_an_inlet_without_a_cord_is_not_fed() {
    let gone = ("  W-3: {type: blue, from: pdu-a/2, to: shelf-1/psu1}\n", "");
    let spare = (
        "at: U14, draw: 600 W",
        "at: U14, draw: 600 W, inlets: {psu1: {unused: spare}}",
    );
    for edits in [vec![gone], vec![gone, spare]] {
        let judgement = after(&edits);
        let [found] = said(&judgement, "unfed-inlet")[..] else {
            panic!("{:#?}", judgement.findings);
        };
        let headline = &found.headline;
        assert!(headline.starts_with("inlet shelf-1/psu1 has no cord"));
        assert!(headline.contains("cord W-5"), "{headline}");
        assert_eq!(found.level, Level::Error);
    }
}

#[test]
fn a_name_nearly_right_is_answered_with_a_free_outlet() {
    let judgement = after(&[("from: shelf-1/a", "from: screen-1/11")]);
    let [found] = said(&judgement, "unknown-name")[..] else {
        panic!("{:#?}", judgement.findings);
    };
    assert_eq!(at(&judgement, found), "11");
    assert!(
        !found.remedy.advice.contains("`1`"),
        "{}",
        found.remedy.advice
    );
}

#[test]
fn a_strip_and_a_device_of_one_name_are_told() {
    let judgement = after(&[
        ("  screen-1:", "  pdu-a:"),
        ("screen-1/in", "pdu-a/in"),
        ("screen-1/1", "pdu-a/3"),
    ]);
    let found = said(&judgement, "duplicate-name");
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(at(&judgement, found[0]), "pdu-a");
}

/// A plug is held by a latch only where the outlet has a catch for it.
#[test]
fn a_plug_is_held_by_what_its_outlet_offers() {
    let lock = "colour: blue, approvals: [BSI], retention: {plug: outlet-latch}";
    let edits = [("colour: blue, approvals: [BSI]", lock)];
    let of = |judgement: &Judgement| {
        let found = said(judgement, "retention-unsupported").into_iter();
        let own = found.filter(|found| found.headline.contains("outlet screen-1/1"));
        own.count()
    };
    assert_eq!(of(&after(&edits)), 1);
    let catch = (
        "rating: 8 A}}}\n  box",
        "rating: 8 A, latch: outlet-latch}}}\n  box",
    );
    assert_eq!(of(&after(&[edits[0], catch])), 0);
}

#[test]
fn in_the_wet_an_outlet_is_marked_against_it() {
    let wet = |more: &[(&str, &str)]| {
        let mut files = files(more);
        files[0].1 = files[0].1.replacen("wet: no", "wet: yes", 1);
        let judgement = judged(&files);
        let found = said(&judgement, "coupler-in-the-wet");
        let names: Vec<String> = found
            .iter()
            .flat_map(|found| &found.sufferers)
            .map(ToString::to_string)
            .collect();
        names.iter().filter(|name| *name == "screen-1").count()
    };
    assert_eq!(wet(&[]), 1);
    assert_eq!(
        wet(&[
            ("rating: 8 A}}}\n  box", "rating: 8 A, ip: IPX4}}}\n  box"),
            ("approvals: [BSI]", "approvals: [BSI], connector-ip: IPX4")
        ]),
        0
    );
}

/// Both inlets of one device behind another: what takes that down takes both.
#[test]
fn what_hangs_behind_a_device_goes_down_with_its_cord() {
    let edits = [
        (
            "inlets: {psu1: C14}}",
            "inlets: {psu1: {coupler: C14, feed: A}, psu2: {coupler: C14, feed: B}}, inlets-needed: 1}",
        ),
        (
            "  W-3:",
            "  W-6: {type: red, from: screen-1/2, to: box-1/psu2}\n  W-3:",
        ),
    ];
    let judgement = after(&edits);
    let [found] = said(&judgement, "feed-shared")[..] else {
        panic!("{:#?}", judgement.findings);
    };
    assert!(
        found.headline.contains("box-1") && found.headline.contains("cord W-1"),
        "{}",
        found.headline
    );
}

#[test]
fn a_thousand_devices_in_a_row_end_at_the_budget() {
    let mut text = String::from(
        "device-models: {link: {height: 1 U, class: I, voltage: 200–240 V, rating: 10 W, power-factor: 1, inlets: {in: C14}, outlets: {1: C13}}}\ndevices:\n",
    );
    for number in 0..1000 {
        text += &format!("  link-{number}: {{model: link, rack: r1, at: U10}}\n");
    }
    text += "cord-types: {blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue}}\ncords:\n  C-0: {type: blue, from: pdu-a/1, to: link-0/in}\n";
    for number in 1..1000 {
        text += &format!(
            "  C-{number}: {{type: blue, from: link-{}/1, to: link-{number}/in}}\n",
            number - 1
        );
    }
    let files = vec![
        (
            "cordwright.yaml".to_owned(),
            bases()["base-iec.yaml"].clone(),
        ),
        ("more.yaml".to_owned(), text),
    ];
    let judgement = judged(&files);
    let [unread] = judgement.unread.as_slice() else {
        panic!("{:#?}", judgement.unread);
    };
    assert!(
        unread.why.contains("16") && unread.why.contains("cord C-"),
        "{}",
        unread.why
    );
    let open = said(&judgement, "circuit-overloaded");
    assert!(
        open.iter().any(|found| found.verdict == Verdict::Open),
        "{open:#?}"
    );
}

/// On the back of the screen, half way up it, to the middle of the box two units above: 2 × 44.45 mm up, 300 mm
/// across, 2 × 50 mm of connectors and 100 mm of loop make 588.9 mm.
#[test]
fn the_way_of_a_cord_begins_where_its_device_stands() {
    let with = |length: &str| {
        let longer = format!("to: box-1/psu1, length: {length}");
        let mut files = files(&[("to: box-1/psu1", &longer)]);
        let routing =
            "  routing: {connector-bend: 50 mm, service-loop: 100 mm, cross-run: 300 mm}\n";
        files[0].1 = files[0]
            .1
            .replacen("  feeds:", &format!("{routing}  feeds:"), 1);
        let judgement = judged(&files);
        let found = said(&judgement, "cord-too-short");
        found
            .iter()
            .map(|found| format!("{:?}", found.arithmetic))
            .collect::<Vec<_>>()
    };
    assert_eq!(with("0.59 m"), [""; 0]);
    let short = with("0.58 m");
    assert!(
        short.len() == 1 && short[0].contains("588.9 mm"),
        "{short:#?}"
    );
}

/// The screen takes 0.48 A at most by its nameplate; what may be plugged into it decides.
#[test]
fn a_cord_that_others_are_plugged_into_is_not_held_down_by_its_device_alone() {
    // A bank of 16 A ahead of a cord that carries less.
    let on_sixteen = |outlets: &str| {
        let mut files = files(&[("1-2: {coupler: C13, rating: 8 A}", outlets)]);
        files[0].1 = files[0]
            .1
            .replacen("breaker: {rating: 10 A", "breaker: {rating: 16 A", 1);
        let judgement = judged(&files);
        let found = said(&judgement, "conductor-unprotected");
        let of = found.into_iter().filter(|found| {
            let names = found.about.iter().chain(&found.sufferers);
            names
                .into_iter()
                .any(|name| name == "W-1" || name == "screen-1")
        });
        of.map(|found| {
            (
                found.verdict,
                found.wants.first().map(|fact| fact.key.to_string()),
            )
        })
        .collect::<Vec<_>>()
    };
    assert_eq!(on_sixteen("1-2: {coupler: C13, rating: 3 A}"), []);
    let broken = on_sixteen("1-2: {coupler: C13, rating: 8 A}");
    assert_eq!(broken, [(Verdict::Broken, None)]);
    let open = on_sixteen("1-2: C13");
    assert_eq!(open, [(Verdict::Open, Some("outlets.rating".to_owned()))]);
}

/// The drop along a cord is its own, not that of the cord it hangs on.
#[test]
fn the_drop_along_a_cord_ends_at_the_device_it_is_plugged_into() {
    let longer = [
        ("to: screen-1/in}", "to: screen-1/in, length: 12 m}"),
        ("to: box-1/psu1}", "to: box-1/psu1, length: 12 m}"),
    ];
    // 2 × 2.45 A × 12 m of 1.0 mm² hot, about 0.023 ohm/m, is 1.35 V of 230 V.
    let judgement = after(&[longer[0]]);
    assert_eq!(said(&judgement, "voltage-drop").len(), 0);
    let judgement = after(&longer);
    assert_eq!(
        said(&judgement, "voltage-drop").len(),
        0,
        "{:#?}",
        said(&judgement, "voltage-drop")
    );
}
