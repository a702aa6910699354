//! Plans where suppliers offer cords: new types are of makes that are offered today, in lengths and colours that are
//! made, and of nothing else.

use std::collections::BTreeSet;

use cordwright::plan::{Asked, Objective, Plan};

use super::hall::Hall;
use super::{planned, with};
use crate::site::{Files, judged, today};

const MAKES: &str = "\
cord-makes:
  thin: {plug: C14, connector: C13, cordage: H05VV-F, conductor: 0.75 mm², rating: 10 A, approvals: [BSI], temperature: 70 °C}
  good: {plug: C14, connector: C13, cordage: [H05VV-F, SJT], conductor: [1.0 mm², 17 AWG], rating: {iec: 10 A, nec: 12 A}, approvals: [BSI]}
  thick: {plug: C14, connector: C13, cordage: H05VV-F, conductor: 1.5 mm², rating: 10 A, approvals: [BSI]}
  large: {plug: C20, connector: C19, cordage: H05VV-F, conductor: 1.5 mm², rating: 16 A, approvals: [BSI]}
";

const OFFERS: &str = "\
offers:
  O-0: {make: thin, lengths: [0.5 m, 1 m, 1.5 m, 2 m], price: 1.00 EUR}
  O-1: {make: good, lengths: [1.5 m, 2 m], colours: [blue, red], price: 2.40 EUR}
  O-2: {make: thick, made-to: {from: 0.5 m, to: 3 m, step: 0.5 m, returns: no}, price: 2.20 EUR}
  O-3: {make: large, lengths: [2 m, 3 m], price: 5.00 EUR}
";

fn site(makes: &str, offers: &str) -> Files {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let hall = hall.yaml();
    vec![(
        "cordwright.yaml".to_owned(),
        format!("{hall}{makes}{offers}"),
    )]
}

fn plan(makes: &str, offers: &str, objective: Objective) -> Plan {
    let asked = Asked {
        objective,
        ..Asked::default()
    };
    planned(&site(makes, offers), &asked)
}

fn makes(plan: &Plan) -> BTreeSet<&str> {
    let text = plan.definitions.as_str().lines();
    let made = text.filter_map(|line| line.split_once("{make: "));
    made.filter_map(|(_, rest)| rest.split(',').next())
        .collect()
}

#[test]
fn new_types_are_of_makes_that_are_offered() {
    let plan = plan(MAKES, OFFERS, Objective::Balanced);
    assert_eq!((plan.untried.as_ref(), plan.unplanned.len()), (None, 0));
    assert!(
        !plan.definitions.as_str().contains("plug:"),
        "{}",
        plan.definitions.as_str()
    );
    // Thinner than a full set asks for is no candidate.
    assert!(!makes(&plan).contains("thin"), "{:?}", makes(&plan));
    assert!(makes(&plan).contains("large"));
    let judgement = judged(&with(&site(MAKES, OFFERS), &plan));
    assert!(judgement.findings.is_empty(), "{:?}", judgement.findings);
    for cord in &plan.cords {
        let made: &[f64] = if cord.kind.starts_with("c20") {
            &[2.0, 3.0]
        } else {
            &[0.5, 1.0, 1.5, 2.0, 2.5, 3.0]
        };
        let length = cord.length.value;
        assert!(
            made.iter().any(|made| (made - length).abs() < 1e-9),
            "{cord:?}"
        );
        assert!(
            cord.why.iter().any(|why| why.property == "make"),
            "{cord:?}"
        );
    }
}

#[test]
fn what_is_dearer_gives_way_where_the_cheapest_is_asked_for() {
    let offers = OFFERS.replace(
        "lengths: [1.5 m, 2 m], colours: [blue, red]",
        "lengths: [0.5 m, 1 m, 1.5 m, 2 m, 3 m]",
    );
    let of = |offers: &str, objective| plan(MAKES, offers, objective);
    let plain = of(&offers, Objective::Balanced);
    assert!(makes(&plain).contains("good") && !makes(&plain).contains("thick"));
    let cheap = of(&offers, Objective::Cheapest);
    assert!(!makes(&cheap).contains("good"), "{:?}", makes(&cheap));
}

#[test]
fn what_nobody_offers_is_not_planned_and_the_reason_told() {
    let reason = |makes: &str, offers: &str| {
        let plan = plan(makes, offers, Objective::Balanced);
        let told: BTreeSet<String> = plan.unplanned.iter().map(|left| left.why.clone()).collect();
        (
            plan.cords.len(),
            told.into_iter().collect::<Vec<_>>().join("; "),
        )
    };
    let ended = OFFERS
        .replace("price: 2.40 EUR", "valid-until: 2026-11-24")
        .replace("price: 2.20 EUR", "valid-until: soon");
    let ended = ended.replace("make: thin", "make: nothing");
    let (cords, told) = reason(MAKES, &ended);
    assert!(
        cords > 0 && told.contains("no offer that holds makes a cord from C13 to C14 of"),
        "{told}"
    );
    assert_eq!(today().to_string(), "2026-11-25");
    let grey = OFFERS
        .replace("[blue, red]", "[grey]")
        .replace("made-to", "colours: [grey], made-to");
    let (_, told) = reason(MAKES, &grey);
    assert!(told.contains("in that length and colour"), "{told}");
    let short = OFFERS.replace("[2 m, 3 m]", "[0.1 m]");
    let (_, told) = reason(MAKES, &short);
    assert!(told.contains("from C19 to C20"), "{told}");
    let (cords, told) = reason(MAKES, "offers: [broken]\n");
    assert!(cords == 26 && told.is_empty(), "{cords}: {told}");
}

/// A hundred lengths are more than a plan tells apart; the longest stays.
#[test]
fn many_lengths_are_thinned_out() {
    let lengths: Vec<String> = (1..=150)
        .map(|step| format!("{:.2} m", f64::from(step) * 0.05))
        .collect();
    let lengths = format!("lengths: [{}]", lengths.join(", "));
    let offers = OFFERS
        .replace("lengths: [1.5 m, 2 m]", &lengths)
        .replace("lengths: [2 m, 3 m]", &lengths);
    let plan = plan(MAKES, &offers, Objective::Balanced);
    assert_eq!((plan.untried.as_ref(), plan.unplanned.len()), (None, 0));
}

/// Cords are planned as long as they must be at their shortest.
#[test]
fn a_cord_that_may_come_short_is_planned_longer() {
    let short = OFFERS.replace("price:", "tolerance: -150/+0 mm, price:");
    let plan = plan(MAKES, &short, Objective::Shortest);
    assert_eq!((plan.untried.as_ref(), plan.unplanned.len()), (None, 0));
    let judgement = judged(&with(&site(MAKES, &short), &plan));
    assert!(judgement.findings.is_empty(), "{:?}", judgement.findings);
    let exact = super::offers::plan(MAKES, OFFERS, Objective::Shortest);
    assert!(plan.length.0 > exact.length.0);
}
