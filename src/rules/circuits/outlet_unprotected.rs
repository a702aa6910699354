//! `outlet-unprotected`: is an outlet rated below the overcurrent device ahead of it?
//!
//! The device ahead is the bank's own breaker or, where the bank has none, the circuit's.

use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::pdus::{Bank, Outlet};
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::{Draft, rule};
use crate::survey::{Link, Rating, Survey, exceeds, place};
use crate::tables::{Practice, limits};

rule!(
    "outlet-unprotected",
    Circuits,
    Error,
    "An outlet rated below the breaker ahead of it: it can burn long before that breaker trips."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let Some(practice) = survey.practice() else {
        return;
    };
    for (id, element) in survey.graph.elements() {
        if let ElementKind::Pdu(_) = element.kind {
            findings.extend(strip(survey, practice, id));
        }
    }
}

/// The first outlet of a strip that its breaker does not protect; one finding for each strip.
fn strip(survey: &Survey<'_>, practice: Practice, id: ElementId) -> Option<Finding> {
    let ElementKind::Pdu(pdu) = survey.graph.kind(id) else {
        return None;
    };
    let model = survey.graph.pdu_model(survey.model, pdu)?;
    let mut undecided = None;
    for bank in model.banks.items() {
        let Some(ahead) = ahead(survey, id, bank) else {
            continue;
        };
        for outlet in faces(bank) {
            match judge(survey, practice, outlet, ahead) {
                Verdict::Protected => {}
                Verdict::Bare {
                    link,
                    rated,
                    allowed,
                    basis,
                } => {
                    let bare = Bare {
                        id,
                        bank,
                        outlet,
                        link,
                        rated,
                        allowed,
                        basis,
                        ahead,
                    };
                    return Some(finding(survey, &bare));
                }
                Verdict::Unknown(link) => undecided = undecided.or(Some((outlet, link))),
            }
        }
    }
    undecided.map(|(outlet, link)| open(survey, id, outlet, link))
}

/// The overcurrent device ahead of a bank's outlets.
fn ahead<'a>(survey: &Survey<'a>, pdu: ElementId, bank: &'a Bank) -> Option<&'a Spanned<Current>> {
    match bank.breaker.get() {
        Some(breaker) => breaker.rating.given(),
        None if !bank.breaker.is_absent() => None,
        // A strip that is fed from another strip stands behind that strip's bank.
        None => survey
            .graph
            .upwards(pdu)
            .find_map(|hop| survey.breaker_rating(hop)),
    }
}

/// The outlets of a bank, of alike ones the first.
fn faces(bank: &Bank) -> impl Iterator<Item = &Named<Outlet>> {
    let mut last = None;
    bank.outlets.0.iter().filter(move |outlet| {
        let face = outlet.coupler.span();
        last.replace(face) != Some(face)
    })
}

enum Verdict {
    Protected,
    Bare {
        link: Link,
        rated: Current,
        allowed: Current,
        basis: Vec<Citation>,
    },
    Unknown(Link),
}

fn judge(
    survey: &Survey<'_>,
    practice: Practice,
    outlet: &Outlet,
    ahead: &Spanned<Current>,
) -> Verdict {
    let Some(link) = survey.outlet_rating(outlet) else {
        return Verdict::Protected;
    };
    let Rating::Known {
        current: rated,
        basis: own,
        ..
    } = &link.rating
    else {
        return Verdict::Unknown(link);
    };
    let (rated, mut basis) = (*rated, vec![rule_basis(practice)]);
    let exception = limits::device_ahead_of_outlet(practice, rated);
    let allowed = exception
        .as_ref()
        .map_or(rated, |exception| exception.value);
    if !exceeds(ahead.value, allowed) {
        return Verdict::Protected;
    }
    basis.extend(exception.map(|exception| exception.citation));
    basis.extend(own.iter().cloned());
    Verdict::Bare {
        link,
        rated,
        allowed,
        basis,
    }
}

fn rule_basis(practice: Practice) -> Citation {
    match practice {
        Practice::Iec => Citation::new("IEC 60364-4-43", "433.1", "2008", Confidence::TwoCopies),
        Practice::Nec => Citation::new(
            "NFPA 70 (NEC)",
            "Table 210.21(B)(3)",
            "2023",
            Confidence::OneCopy,
        ),
    }
}

struct Bare<'a> {
    id: ElementId,
    bank: &'a Named<Bank>,
    outlet: &'a Named<Outlet>,
    link: Link,
    rated: Current,
    allowed: Current,
    basis: Vec<Citation>,
    ahead: &'a Spanned<Current>,
}

fn finding(survey: &Survey<'_>, bare: &Bare<'_>) -> Finding {
    let (rated, ahead, most) = (
        bare.rated.show(),
        bare.ahead.value.show(),
        bare.allowed.show(),
    );
    let what = &bare.link.what;
    let pdu = survey.describe(bare.id);
    let headline = format!(
        "outlet {} of {pdu} ({what}, {rated}) stands behind a {ahead} breaker and may stand behind {most} at most: an overload burns the outlet, and whoever touches it, before the breaker trips",
        bare.outlet.name.value,
    );
    let limit = if bare.allowed > bare.rated {
        format!("a {rated} outlet may stand behind up to {most}; ahead of it: {ahead}")
    } else {
        format!(
            "a {rated} outlet may stand behind no more than its own rating; ahead of it: {ahead}"
        )
    };
    let bank = &bare.bank.name.value;
    let has_own = bare.bank.breaker.get().is_some();
    let advice = if has_own {
        format!(
            "Ask for a model whose bank {bank} has a breaker of {most} or less; never exchange a breaker inside a strip."
        )
    } else {
        format!(
            "Feed {pdu} from a circuit of {most} or less, or use a model whose bank {bank} has a breaker of {most} or less."
        )
    };
    let first = bare
        .basis
        .first()
        .cloned()
        .unwrap_or_else(|| Citation::marked("as marked"));
    let breaker = place(
        bare.ahead.span,
        format!("{ahead} breaker, the nearest one ahead"),
    );
    let note = format!("{what}: {rated}");
    Draft::new(&RULE, headline, bare.link.span, note, first)
        .also(bare.basis.iter().cloned())
        .above([breaker, survey.hop(bare.id)])
        .working([limit])
        .about([survey.full_name(bare.id), bank.clone()])
        .advice(advice)
        .finish()
}

fn open(survey: &Survey<'_>, id: ElementId, outlet: &Named<Outlet>, link: Link) -> Finding {
    let pdu = survey.describe(id);
    let (name, what) = (&outlet.name.value, &link.what);
    let why = match &link.rating {
        Rating::Unknown { why, .. } => why.clone(),
        Rating::Known { .. } => String::new(),
    };
    let basis = survey
        .practice()
        .map_or_else(|| Citation::marked("outlet as marked"), rule_basis);
    Draft::new(
        &RULE,
        format!("whether outlet {name} of {pdu} ({what}) is protected cannot be said: its rated current is missing"),
        link.span,
        format!("not decided: {why}"),
        basis,
    )
    .about([survey.full_name(id)])
    .kind("rating-missing")
    .advice("Read the rated current off the outlet and write it down as its `rating`.")
    .open()
    .finish()
}
