//! What is said of an outlet that nothing protects.

use crate::analysis::{Analysis, Rating, field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::graph::ElementId;
use crate::model::pdus::{Bank, Outlet};
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::Draft;
use crate::rules::circuits::national::Unsettled;

use super::RULE;
use super::verdict::{Verdict, rule_basis};

pub(super) struct Bare<'a> {
    pub id: ElementId,
    pub bank: &'a Named<Bank>,
    pub outlet: &'a Named<Outlet>,
    pub ahead: &'a Spanned<Current>,
}

pub(super) fn finding(
    analysis: &Analysis<'_>,
    bare: &Bare<'_>,
    verdict: Verdict,
) -> Option<Finding> {
    let Verdict::Bare {
        link,
        rated: own,
        allowed,
        basis,
        level,
    } = verdict
    else {
        return None;
    };
    let (rated, ahead, most) = (own.show(), bare.ahead.value.show(), allowed.show());
    let what = &link.what;
    let pdu = analysis.describe(bare.id);
    let headline = format!(
        "outlet {} of {pdu} ({what}, {rated}) can burn, and burn whoever touches it, before anything trips: the breaker ahead is {ahead}, and {most} is the most allowed",
        bare.outlet.name.value,
    );
    let limit = if allowed > own {
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
    let first = basis.first().cloned();
    let first = first.unwrap_or_else(|| Citation::marked("as marked"));
    let breaker = place(
        bare.ahead.span,
        format!("{ahead} breaker, the nearest one ahead"),
    );
    let note = format!("{what}: {rated}");
    let draft = Draft::new(&RULE, headline, link.span, note, first)
        .level(level)
        .also(basis)
        .above([breaker, analysis.hop(bare.id)])
        .working([limit])
        .measured(Measure::above(bare.ahead.value, allowed))
        .about([analysis.full_name(bare.id), bank.clone()])
        .advice(advice);
    Some(draft.finish())
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
    ahead: &Spanned<Current>,
    verdict: Verdict,
) -> Option<Finding> {
    let link = match verdict {
        Verdict::Unknown(link) => link,
        Verdict::Unsettled {
            rated,
            coupler,
            perhaps,
        } => {
            let (name, pdu) = (&outlet.name.value, analysis.describe(id));
            let open = Unsettled {
                what: &format!("outlet {name} of {pdu} ({})", coupler.name),
                at: field_or_name(&outlet.coupler, &outlet.name),
                coupler,
                rated: &rated,
                device: ahead.value,
                perhaps,
            };
            let draft = open.draft(analysis, &RULE);
            return Some(draft.about([analysis.full_name(id)]).finish());
        }
        Verdict::Protected | Verdict::Bare { .. } => return None,
    };
    let pdu = analysis.describe(id);
    let (name, what) = (&outlet.name.value, &link.what);
    let why = match &link.rating {
        Rating::Unknown { why, .. } => why.clone(),
        Rating::Known { .. } => String::new(),
    };
    let basis = analysis
        .practice()
        .map_or_else(|| Citation::marked("outlet as marked"), rule_basis);
    let draft = Draft::new(
        &RULE,
        format!("is outlet {name} of {pdu} ({what}) protected? Missing: its rated current (marked on it)"),
        link.span,
        format!("not decided: {why}"),
        basis,
    )
    .about([analysis.full_name(id)])
    .kind("rating-missing")
    .advice("Read the rated current off the outlet and write it down as its `rating`.")
    .open();
    Some(draft.finish())
}
