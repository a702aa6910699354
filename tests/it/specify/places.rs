//! Plans where the place asks for more: held ends, jackets, labels that hang still, loads of devices with one inlet.

use cordwright::plan::{Asked, Plan};

use super::hall::Hall;
use super::{plan_of, planned, with};
use crate::pages::bases;
use crate::site::judged;

const DEVICES: &str = "\
device-models:
  rec: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}
  one: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu: C14}, inlets-needed: 1}
devices:
";

fn site(zone: (&str, &str), rest: &str) -> Plan {
    let base = &bases()["base-iec.yaml"];
    assert!(base.contains(zone.0));
    plan_of(format!("{}{DEVICES}{rest}", base.replace(zone.0, zone.1)))
}

const TWO: &str = "  rec-1: {model: rec, rack: r1, at: U10, draw: 900 VA}\n";
const SAME: (&str, &str) = ("wet: no", "wet: no");

/// A question that only a property of a planned type answers is for the plan to answer: the outlet's catch holds the
/// plug, and jaws hold the connector on the pins of any inlet.
#[test]
fn ends_are_held_where_the_zone_asks_for_it() {
    let base = &bases()["base-iec.yaml"];
    let shaken = base.replace(
        "vibration: none",
        "vibration: machinery, retention: required",
    );
    let latched = shaken.replace("{1-8: C13}", "{1-8: {coupler: C13, latch: outlet-latch}}");
    assert!(latched != shaken && shaken != *base);
    let plan = plan_of(format!("{latched}{DEVICES}{TWO}"));
    assert_eq!(plan.unplanned, []);
    let wants = plan.open.iter().flat_map(|finding| &finding.wants);
    let of_ours = wants.filter(|fact| fact.owner.starts_with("c14-"));
    assert_eq!(of_ours.count(), 0, "{:?}", plan.open);
    let yaml = plan.definitions.as_str();
    assert!(
        yaml.contains("retention: {plug: outlet-latch, connector: pin-grip}"),
        "{yaml}"
    );
    // Nothing holds a plug in a plain outlet: that is what stands in the way.
    let plan = plan_of(format!("{shaken}{DEVICES}{TWO}"));
    assert_eq!(plan.cords, []);
    let why = &plan.unplanned[0].why;
    assert!(why.contains("plug") && why.contains("pdu-a/1"), "{why}");
}

#[test]
fn jackets_are_of_the_zone() {
    let cordage = |zone| {
        let plan = site(("wet: no", zone), TWO);
        let yaml = plan.definitions.as_str().to_owned();
        yaml.split("cordage: ")
            .nth(1)
            .map(|rest| rest.split(',').next().unwrap_or("").to_owned())
    };
    assert_eq!(cordage("wet: no").as_deref(), Some("H05VV-F"));
    assert_eq!(
        cordage("wet: no, halogen-free: required").as_deref(),
        Some("H05Z1Z1-F")
    );
}

/// A cord that is still to be pulled hangs, and its label with it.
#[test]
fn labels_of_cords_that_hang_still_are_not_given_again() {
    let old = "cord-types:
  old: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: blue, approvals: [BSI]}
cords:
  W-0007: {type: old, from: pdu-a/1, to: rec-1/psu1, state: to-pull}
";
    let plan = site(SAME, &format!("{TWO}{old}"));
    let names: Vec<_> = plan.cords.iter().map(|cord| cord.name.as_str()).collect();
    assert_eq!(names, ["W-0008", "W-0009"]);
}

/// Devices with one inlet are spread over the feeds by what they draw.
#[test]
fn devices_with_one_inlet_do_not_all_hang_on_the_first_feed() {
    let devices: String = (0..4)
        .map(|at| {
            format!(
                "  one-{at}: {{model: one, rack: r1, at: U{}, draw: {} VA}}\n",
                4 + 3 * at,
                400 + at
            )
        })
        .collect();
    let plan = site(SAME, &devices);
    assert_eq!(plan.unplanned, []);
    let on_a = plan
        .cords
        .iter()
        .filter(|cord| cord.from.starts_with("pdu-a/"));
    assert_eq!(on_a.count(), 2, "{:?}", plan.cords);
}

/// Types are no stock: where all of them are too short, a usual length is taken.
#[test]
fn a_longer_cord_than_any_type_can_be_had() {
    let short = "cord-types:
  short: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 0.3 m, rating: 10 A, colour: blue, approvals: [BSI]}
";
    let plan = site(SAME, &format!("{TWO}{short}"));
    assert_eq!(plan.unplanned, []);
    assert!(
        plan.cords.iter().all(|cord| cord.bought != "300 mm"),
        "{:?}",
        plan.cords
    );
}

/// One device in each of nine racks that are all alike: no line of the supplies carries them all.
#[test]
fn racks_that_are_alike_do_not_all_load_the_same_line() {
    let hall = Hall {
        racks: 9,
        ..Hall::default()
    };
    let rest = hall.rest();
    let (before, _) = rest.split_once("devices:\n").unwrap();
    let mut yaml = format!("{}{before}devices:\n", hall.site());
    for rack in 1..=9 {
        yaml += &format!("  d-{rack}: {{model: chassis, rack: r{rack}, at: U10, draw: 2400 W}}\n");
    }
    let plan = plan_of(yaml.clone());
    assert_eq!(
        (plan.untried.as_ref(), &plan.unplanned),
        (None, &Vec::new())
    );
    assert_eq!(plan.cords.len(), 18);
    let files = vec![("cordwright.yaml".to_owned(), yaml)];
    let told = judged(&with(&files, &plan)).findings;
    let told: Vec<_> = told
        .iter()
        .filter(|f| f.rule != "idle-definition")
        .collect();
    assert!(told.is_empty() && plan.uneven.is_empty(), "{told:?}");
}

/// Outlets in reserve stay free, but for a device that is added.
#[test]
fn reserved_outlets_are_for_growth() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let yaml = hall.yaml().replace(
        "r1-a: {model: strip,",
        "r1-a: {model: strip, reserve: [1, 2, 3, 4, 5, 6, 7],",
    );
    let files = vec![("cordwright.yaml".to_owned(), yaml.clone())];
    let from = |asked: &Asked| -> Vec<String> {
        let plan = planned(&files, asked);
        plan.cords.iter().map(|cord| cord.from.clone()).collect()
    };
    let is_kept = |from: &String| (1..=7).any(|outlet| *from == format!("r1-a/{outlet}"));
    let plain = from(&Asked::default());
    assert_eq!(plain.len(), 26);
    assert!(!plain.iter().any(is_kept), "{plain:?}");
    let growth = from(&Asked {
        takes_reserve: true,
        ..Asked::default()
    });
    assert!(growth.iter().any(is_kept), "{growth:?}");
    let wrong = yaml.replace("[1, 2,", "[1, 99,");
    let told = judged(&vec![("cordwright.yaml".to_owned(), wrong)]).findings;
    assert!(
        told.iter()
            .any(|f| f.rule == "unknown-name" && f.headline.contains("99"))
    );
}

#[test]
fn types_are_called_as_the_site_asks() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let named = |pattern: &str| {
        let site = hall
            .site()
            .replace("site:\n", &format!("site:\n  names: '{pattern}'\n"));
        format!("{site}{}", hall.rest())
    };
    let plan = plan_of(named("{colour}.{length}.{connector}"));
    let kinds = plan.cords.iter().all(|cord| {
        let mut parts = cord.kind.splitn(2, '.');
        ["blue", "red"].contains(&parts.next().unwrap()) && parts.next().unwrap().contains("m.c1")
    });
    assert!(kinds, "{:?}", plan.cords[0]);
    for wrong in ["{size}", "plain", "{plug"] {
        let files = vec![("cordwright.yaml".to_owned(), named(wrong))];
        let told = judged(&files).findings;
        assert!(told.iter().any(|f| f.rule == "bad-quantity"), "{wrong}");
    }
}

/// Where no plan could load the lines alike, the plan is shown all the same, and what it leaves uneven is told.
#[test]
fn lines_that_must_be_uneven_are_told_and_planned() {
    let hall = Hall {
        racks: 8,
        ..Hall::default()
    };
    let rest = hall.rest();
    let (before, _) = rest.split_once("devices:\n").unwrap();
    let mut yaml = format!("{}{before}devices:\n", hall.site());
    for rack in 1..=8 {
        yaml += &format!("  d-{rack}: {{model: chassis, rack: r{rack}, at: U10, draw: 2400 W}}\n");
    }
    let plan = plan_of(yaml);
    assert_eq!((plan.cords.len(), plan.unplanned.len()), (16, 0));
    assert!(plan.uneven.iter().all(|f| f.rule == "phase-imbalance"));
    assert!(!plan.uneven.is_empty() && !plan.is_whole());
}

/// Who fills in a new site is told all that a way is made of, and whose the thing is that is missing.
#[test]
fn what_a_way_needs_is_told_with_whose_it_is() {
    let device = "  rec-1: {model: rec, rack: r1, at: U10, draw: 900 VA}\n";
    for (out, why) in [
        ("", ""),
        (
            ", foot: U2, head: U20",
            "`mount.foot` of PDU pdu-a is missing",
        ),
        (
            "    outlet-pitch: 28 mm\n",
            "`outlet-pitch` of PDU model strip-16 is missing",
        ),
        ("at: U10, ", "`at` of device rec-1 is missing"),
        ("height: 2 U, ", "`height` of device model rec is missing"),
    ] {
        let base = &bases()["base-iec.yaml"];
        let whole = format!("{base}{DEVICES}{device}");
        assert!(whole.contains(out));
        let plan = plan_of(whole.replace(out, ""));
        let told = plan.unplanned.first();
        let told = told.map(|left| (left.why.as_str(), left.wanted.as_str()));
        let (whys, wanted) = told.unwrap_or_default();
        assert_eq!(whys.is_empty(), out.is_empty(), "{whys}");
        assert!(whys.contains(why), "{whys}");
        assert!(
            out.is_empty() || wanted.contains("`outlet-pitch` and `first-outlet` of its model")
        );
    }
}

/// People look for the first inlet on the first feed.
#[test]
fn the_first_inlet_of_two_is_on_the_first_feed() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let plan = plan_of(hall.yaml());
    assert_eq!(plan.cords.len(), 26);
    for cord in &plan.cords {
        let feed = if cord.to.ends_with("/psu1") {
            "r1-a/"
        } else {
            "r1-b/"
        };
        assert!(cord.from.starts_with(feed), "{cord:?}");
    }
}
