//! What is said of an outlet that nothing protects.

use crate::analysis::{Analysis, Link, Rating, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::graph::ElementId;
use crate::model::pdus::{Bank, Outlet};
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::Draft;

use super::RULE;
use super::verdict::rule_basis;

pub(super) struct Bare<'a> {
    pub id: ElementId,
    pub bank: &'a Named<Bank>,
    pub outlet: &'a Named<Outlet>,
    pub link: Link,
    pub rated: Current,
    pub allowed: Current,
    pub basis: Vec<Citation>,
    pub ahead: &'a Spanned<Current>,
}

pub(super) fn finding(analysis: &Analysis<'_>, bare: &Bare<'_>) -> Finding {
    let (rated, ahead, most) = (
        bare.rated.show(),
        bare.ahead.value.show(),
        bare.allowed.show(),
    );
    let what = &bare.link.what;
    let pdu = analysis.describe(bare.id);
    let headline = format!(
        "outlet {} of {pdu} ({what}, {rated}) can burn, and burn whoever touches it, before anything trips: the breaker ahead is {ahead}, and {most} is the most allowed",
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
    let has_own = bare.bank.breaker.known().is_some();
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
        .above([breaker, analysis.hop(bare.id)])
        .working([limit])
        .measured(Measure::above(bare.ahead.value, bare.allowed))
        .about([analysis.full_name(bare.id), bank.clone()])
        .advice(advice)
        .finish()
}

/// A bank without a breaker on record, behind one that is too large for its outlets.
pub(super) fn no_breaker_on_record(
    analysis: &Analysis<'_>,
    id: ElementId,
    bank: &Named<Bank>,
    fact: Fact,
) -> Finding {
    let (pdu, bank) = (analysis.describe(id), &bank.name.value);
    let headline = format!(
        "are the outlets of bank {bank} of {pdu} protected? Missing: whether the bank has a breaker (look at the strip)"
    );
    let basis = analysis.practice();
    let basis = basis.map_or_else(|| Citation::marked("breaker as marked"), rule_basis);
    let note = "not decided: whether the bank has a breaker";
    Draft::new(&RULE, headline, fact.span, note, basis)
        .above([analysis.hop(id)])
        .about([analysis.full_name(id)])
        .kind("breaker-unsaid")
        .advice("Look at the strip: write the `breaker` of the bank, or `breakers: none` for the model. A strip of more than 20 A without any is taken out of service.")
        .wants([fact])
        .finish()
}

/// It cannot be read what stands ahead of outlets.
pub(super) fn unread(analysis: &Analysis<'_>, id: ElementId, fact: Fact) -> Finding {
    let pdu = analysis.describe(id);
    let headline = format!(
        "are the outlets of {pdu} protected? Open: the rating of the breaker ahead of them cannot be read"
    );
    let basis = analysis.practice();
    let basis = basis.map_or_else(|| Citation::marked("breaker as marked"), rule_basis);
    let note = "not decided: the rating of the breaker cannot be read";
    Draft::new(&RULE, headline, fact.span, note, basis)
        .above([analysis.hop(id)])
        .about([analysis.full_name(id)])
        .kind("breaker-unread")
        .advice("Read the rated current off the breaker and write it as its `rating`.")
        .wants([fact])
        .finish()
}

pub(super) fn open(
    analysis: &Analysis<'_>,
    id: ElementId,
    outlet: &Named<Outlet>,
    link: Link,
) -> Finding {
    let pdu = analysis.describe(id);
    let (name, what) = (&outlet.name.value, &link.what);
    let why = match &link.rating {
        Rating::Unknown { why, .. } => why.clone(),
        Rating::Known { .. } => String::new(),
    };
    let basis = analysis
        .practice()
        .map_or_else(|| Citation::marked("outlet as marked"), rule_basis);
    Draft::new(
        &RULE,
        format!("is outlet {name} of {pdu} ({what}) protected? Missing: its rated current (marked on it)"),
        link.span,
        format!("not decided: {why}"),
        basis,
    )
    .about([analysis.full_name(id)])
    .kind("rating-missing")
    .advice("Read the rated current off the outlet and write it down as its `rating`.")
    .open()
    .finish()
}
