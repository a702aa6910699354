//! `conductor-unprotected`: is the overcurrent device ahead small enough for the conductor behind it?

mod allowance;
mod words;

use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding};
use crate::flow::protection::{Coordination, Device, devices_ahead};
use crate::graph::{ElementId, ElementKind};
use crate::model::value::{Name, Spanned};
use crate::quantity::{Current, Ratio};
use crate::rules::rule;
use crate::survey::{Rating, Survey};
use crate::tables::{Practice, breakers, limits, wiring};

use super::gaps::Gaps;
use super::naming;
use super::section::Section;

use allowance::Allowance;
use words::{Case, no_breaker_on_record, unprotected};

rule!(
    "conductor-unprotected",
    Conductors,
    Error,
    "An overcurrent device too large for the conductor behind it: an overload heats the cord until it burns, and nothing opens."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let Some(practice) = survey.practice() else {
        return;
    };
    let (mut gaps, mut section) = (Gaps::of(&RULE), Section::new());
    let tripping = limits::conventional_tripping().map(|limit| limit.value);
    for (id, _) in survey.graph.elements() {
        let Some(capacity) = survey.capacity(id) else {
            let open = (id, "can an overload burn it");
            gaps.miss_conductors(survey, open, basis(practice, id, survey));
            continue;
        };
        let ahead = section.of(survey, id, |head| ahead(survey, head));
        // A fuse in the plug stands nearer than any of them.
        let Some((device, rating)) = ahead.filter(|_| !naming::is_fused(survey, id)) else {
            continue;
        };
        let Some(capacity) = capacity else {
            let known = survey.conductor_rating(id);
            let known = known.unwrap_or(Rating::missing("nothing is known of it"));
            let open = (id, "can an overload burn it");
            gaps.miss_rating(survey, open, &known, basis(practice, id, survey));
            continue;
        };
        let both = (rating.value, capacity);
        if is_protected(survey, practice, id, both, tripping) {
            continue;
        }
        match allowance::of(survey, practice, id, rating.value, capacity) {
            Allowance::Granted => {}
            Allowance::Open(gap, sufferer) => {
                let told = gaps.miss(gap.about.clone(), gap.kind, |_| *gap);
                told.suffered_by(sufferer);
            }
            Allowance::Refused { .. }
                if let Some(fact) = unsaid(survey, id, (device.at, rating.value)) =>
            {
                let told = gaps.miss(fact.owner.clone(), "bank-breaker", |about| {
                    no_breaker_on_record(about, fact, basis(practice, id, survey))
                });
                told.suffered_by(strip_above(survey, id));
            }
            Allowance::Refused { why } => {
                let case = Case {
                    device,
                    rating,
                    capacity,
                };
                findings.extend(unprotected(survey, practice, id, &case, why));
            }
        }
    }
    findings.extend(gaps.findings());
}

/// The strip that a conductor hangs on.
fn strip_above(survey: &Survey<'_>, id: ElementId) -> Option<Name> {
    let mut above = survey.graph.upwards(id);
    above.find_map(|hop| match survey.graph.kind(hop) {
        ElementKind::Bank(pdu, _) => Some(survey.model.pdus[pdu].name.value.clone()),
        _ => None,
    })
}

/// The breaker of a bank between a conductor and the device ahead, where nobody has written whether there
/// is one.
fn unsaid(
    survey: &Survey<'_>,
    id: ElementId,
    (ahead, rating): (ElementId, Current),
) -> Option<Fact> {
    let is_of_bank = matches!(survey.graph.kind(ahead), ElementKind::Bank(..));
    let fact = survey.bank_breaker_above(id, rating);
    fact.filter(|_| !is_of_bank)
}

/// The device ahead of a conductor and its rated current: the bank's or, without one, the circuit's. A
/// device whose rating is not known is passed over here; the records miss the rating.
fn ahead<'a>(survey: &Survey<'a>, id: ElementId) -> Option<(Device<'a>, &'a Spanned<Current>)> {
    let mut devices = devices_ahead(survey.model, survey.graph, id);
    devices.find_map(|device| Some((device, device.breaker.rating.given()?)))
}

/// In ≤ Iz and I2 ≤ `tripping` · Iz, 1.45; for fixed wiring under the NEC what 240.4 allows.
fn is_protected(
    survey: &Survey<'_>,
    practice: Practice,
    id: ElementId,
    (rating, capacity): (Current, Current),
    tripping: Option<Ratio>,
) -> bool {
    let fixed = matches!(survey.graph.kind(id), ElementKind::Circuit(_));
    if practice == Practice::Nec && fixed {
        return is_protected_wiring(survey, id, rating, capacity);
    }
    // No standard of circuit-breakers lets them trip later than at 1.45 times the rating.
    tripping.is_some_and(|limit| Coordination::new(rating, limit, capacity, limit).holds())
}

/// The next standard rating above the ampacity is allowed, but never more than 240.4(D) has for a small
/// conductor. A circuit here has one receptacle, so 240.4(B)(1) does not stand against it.
fn is_protected_wiring(
    survey: &Survey<'_>,
    id: ElementId,
    rating: Current,
    capacity: Current,
) -> bool {
    let same = 1.0 + 1e-9;
    let size = survey.conductors_of(id).and_then(|own| own.size);
    let small = size.map(wiring::largest_overcurrent_device);
    if let Some(small) = small.as_ref().and_then(|small| small.value())
        && rating > *small * same
    {
        return false;
    }
    let ratings = breakers::standard_ratings(Practice::Nec);
    let ratings = ratings.map_or(&[][..], |ratings| &ratings.value);
    let next = ratings.iter().find(|next| **next * same >= capacity);
    rating <= next.copied().unwrap_or(capacity).max(capacity) * same
}

/// What the rule rests on for a conductor.
fn basis(practice: Practice, id: ElementId, survey: &Survey<'_>) -> Citation {
    let fixed = matches!(survey.graph.kind(id), ElementKind::Circuit(_));
    let (standard, clause, edition, confidence) = match practice {
        Practice::Iec => ("IEC 60364-4-43", "433.1", "2008", Confidence::TwoCopies),
        Practice::Nec if fixed => (
            "NFPA 70 (NEC)",
            "240.4(B) and (D)",
            "2023",
            Confidence::FromMemory,
        ),
        Practice::Nec => ("NFPA 70 (NEC)", "240.5(A)", "2020", Confidence::OneCopy),
    };
    Citation::new(standard, clause, edition, confidence)
}
