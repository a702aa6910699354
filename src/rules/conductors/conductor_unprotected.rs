//! `conductor-unprotected`: is the overcurrent device ahead small enough for the conductor behind it?

mod words;

use crate::analysis::{Analysis, Rating};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding};
use crate::flow::protection::{Coordination, Device, devices_ahead};
use crate::graph::{ElementId, ElementKind};
use crate::model::value::{Name, Spanned};
use crate::quantity::{Current, Ratio};
use crate::rules::rule;
use crate::tables::{Practice, breakers, constants, wiring};

use super::allowance::{self, Allowance};
use super::gaps::Gaps;

use words::{Case, no_breaker_on_record, unprotected};

rule!(
    "conductor-unprotected",
    Conductors,
    Error,
    "An overcurrent device too large for the conductor behind it: an overload heats the cord until it burns, and nothing opens."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let Some(practice) = analysis.practice() else {
        return;
    };
    let mut gaps = Gaps::of(&RULE);
    let tripping = constants::conventional_tripping().map(|limit| limit.value);
    for (id, _) in analysis.graph.elements() {
        let Some(capacity) = analysis.capacity(id) else {
            let open = (id, "can an overload burn it");
            gaps.miss_conductors(analysis, open, basis(practice, id, analysis));
            continue;
        };
        // A fuse in the plug stands nearer than any of them: `plug-fuse` judges it.
        let ahead = ahead(analysis, id);
        let Some((device, rating)) = ahead.filter(|_| analysis.fused_plug_ahead(id).is_none())
        else {
            continue;
        };
        let Some(capacity) = capacity else {
            let known = analysis.conductor_rating(id);
            let known = known.unwrap_or(Rating::missing("nothing is known of it"));
            let open = (id, "can an overload burn it");
            gaps.miss_rating(analysis, open, &known, basis(practice, id, analysis));
            continue;
        };
        let both = (rating.value, capacity);
        if is_protected(analysis, practice, id, both, tripping) {
            continue;
        }
        match allowance::of(analysis, practice, id, rating.value, capacity) {
            Allowance::Granted => {}
            Allowance::Open(gap, sufferer) => {
                let told = gaps.miss(gap.about.clone(), gap.kind, |_| *gap);
                told.suffered_by(sufferer);
            }
            Allowance::Refused { .. }
                if let Some(fact) = unsaid(analysis, id, (device.at, rating.value)) =>
            {
                let told = gaps.miss(fact.owner.clone(), "bank-breaker", |about| {
                    no_breaker_on_record(about, fact, basis(practice, id, analysis))
                });
                told.suffered_by(strip_above(analysis, id));
            }
            Allowance::Refused { .. }
                if let Some((idle, facts)) = analysis.with_idle_neutral(id)
                    && is_protected(analysis, practice, id, (rating.value, idle), tripping) =>
            {
                let open = (id, "can an overload burn it");
                gaps.miss_harmonics(analysis, open, facts, basis(practice, id, analysis));
            }
            Allowance::Refused { why } => {
                let case = Case {
                    device,
                    rating,
                    capacity,
                };
                findings.extend(unprotected(analysis, practice, id, &case, why));
            }
        }
    }
    findings.extend(gaps.findings());
}

/// The strip that a conductor hangs on.
fn strip_above(analysis: &Analysis<'_>, id: ElementId) -> Option<Name> {
    let mut above = analysis.graph.upwards(id);
    above.find_map(|hop| match analysis.graph.kind(hop) {
        ElementKind::Bank(pdu, _) => Some(analysis.model.pdus[pdu].name.value.clone()),
        _ => None,
    })
}

/// The breaker of a bank between a conductor and the device ahead, where nobody has written whether there
/// is one, or nobody can read how large it is.
fn unsaid(
    analysis: &Analysis<'_>,
    id: ElementId,
    (ahead, rating): (ElementId, Current),
) -> Option<Fact> {
    let mut between = analysis.graph.upwards(id).take_while(|hop| *hop != ahead);
    let unread = between.find_map(|hop| analysis.unread_rating(hop));
    if unread.is_some() {
        return unread;
    }
    let is_of_bank = matches!(analysis.graph.kind(ahead), ElementKind::Bank(..));
    let fact = analysis.bank_breaker_above(id, rating);
    fact.filter(|_| !is_of_bank)
}

/// The device ahead of a conductor and its rated current: the bank's or, without one, the circuit's. A
/// device whose rating is not known is passed over here; the records miss the rating.
fn ahead<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<(Device<'a>, &'a Spanned<Current>)> {
    let mut devices = devices_ahead(analysis.model, analysis.graph, id);
    devices.find_map(|device| Some((device, device.breaker.rating.given()?)))
}

/// In ≤ Iz and I2 ≤ `tripping` · Iz, 1.45; for fixed wiring under the NEC what 240.4 allows.
fn is_protected(
    analysis: &Analysis<'_>,
    practice: Practice,
    id: ElementId,
    (rating, capacity): (Current, Current),
    tripping: Option<Ratio>,
) -> bool {
    let fixed = matches!(analysis.graph.kind(id), ElementKind::Circuit(_));
    if practice == Practice::Nec && fixed {
        return is_protected_wiring(analysis, id, rating, capacity);
    }
    // No standard of circuit-breakers lets them trip later than at 1.45 times the rating.
    tripping.is_some_and(|limit| Coordination::new(rating, limit, capacity, limit).holds())
}

/// The next standard rating above the ampacity is allowed, but never more than 240.4(D) has for a small
/// conductor. A circuit here has one receptacle, so 240.4(B)(1) does not stand against it.
fn is_protected_wiring(
    analysis: &Analysis<'_>,
    id: ElementId,
    rating: Current,
    capacity: Current,
) -> bool {
    let same = 1.0 + 1e-9;
    let size = analysis.conductors_of(id).and_then(|own| own.size);
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
fn basis(practice: Practice, id: ElementId, analysis: &Analysis<'_>) -> Citation {
    let fixed = matches!(analysis.graph.kind(id), ElementKind::Circuit(_));
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
