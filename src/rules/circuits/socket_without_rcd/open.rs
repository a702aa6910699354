//! What is asked where it cannot be told whether a socket may do without.

use crate::analysis::Analysis;
use crate::analysis::editions::Said;
use crate::finding::Finding;
use crate::model::circuits::Circuit;
use crate::model::text::CouplerRef;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::Draft;

use super::reasons::Unknown;
use super::unguarded::basis;
use super::{RULE, sensitive};

/// Editions of the rules differ on sockets of this rating.
pub(super) fn disputed(
    analysis: &Analysis<'_>,
    circuit: &Named<Circuit>,
    socket: &Spanned<CouplerRef>,
    said: [Said<Current>; 2],
) -> Finding {
    let name = &circuit.name.value;
    let [silent, asking] =
        said.map(|(edition, upto)| format!("up to {} by {}", upto.value.show(), edition.name));
    let headline = format!(
        "must a residual current device of {} guard the socket of circuit {name} ({})? Open: sockets must have one {silent}, {asking}, and {}",
        sensitive().show(),
        socket.value,
        analysis.edition_lack()
    );
    let sources = said.map(|(_, upto)| upto.citation.clone());
    let note = "editions differ";
    Draft::new(&RULE, headline, socket.span, note, basis(analysis))
        .also(sources)
        .about([name.clone()])
        .kind("edition")
        .wants(analysis.edition_fact())
        .advice(analysis.edition_advice())
        .open()
        .finish()
}

/// A fact that would let a socket do without is missing: once for all sockets that turn on it.
pub(super) fn lacking(
    analysis: &Analysis<'_>,
    unknown: &Unknown,
    circuit: &Named<Circuit>,
) -> Draft {
    let fact = &unknown.fact;
    let (how, whose) = (fact.state.words(), fact.whose());
    let limit = sensitive().show();
    let name = &circuit.name.value;
    let (headline, advice) = match unknown.kind {
        "users" => (
            format!(
                "may ordinary people plug in at sockets without a residual current device of {limit}? Wanted: who uses those of {whose}, which {how}"
            ),
            format!(
                "Write who uses the sockets, like `users: instructed`, here or for the site; or write `purpose: dedicated` at a circuit whose socket is for one piece of equipment alone and marked so. Where ordinary people use them, have a residual current device of {limit} fitted, of type A at the least."
            ),
        ),
        "assessment" => (
            format!(
                "may the socket of circuit {name} do without a residual current device of {limit}? Wanted: the risk assessment that says so, which {how}"
            ),
            format!(
                "Write which paper it is, like `risk-assessment: RA-2026-04`. Where there is none, have a residual current device of {limit} fitted, of type A at the least: until then whoever touches a damaged cord there may be killed."
            ),
        ),
        _ => (
            format!(
                "may sockets do without a residual current device of {limit}? Wanted: the country, whose rules decide, and which {how}"
            ),
            "Write the country under `site`, by its two letters.".to_owned(),
        ),
    };
    let note = format!("not decided: `{}` {how}", fact.full_key());
    Draft::new(&RULE, headline, fact.span, note, basis(analysis))
        .wants([fact.clone()])
        .kind(unknown.kind)
        .about([unknown.about.clone()])
        .advice(advice)
}
