//! Plans where the place asks for more: held ends, jackets, labels that hang still, loads of devices with one inlet.

use cordwright::plan::Plan;

use super::plan_of;
use crate::pages::bases;

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
