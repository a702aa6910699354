//! `missing-key`: does every thing say what it must?

use crate::analysis::{Analysis, TypeOrModel};
use crate::finding::Finding;
use crate::graph::LinkFault;
use crate::model::cords::CordType;
use crate::model::decode::with_article;
use crate::model::fault::{Fault, Noted};
use crate::model::pdus::Pdu;
use crate::model::value::{Id, Named};
use crate::rules::sharers::Sharers;
use crate::rules::{Draft, rule};

use super::written;

rule!(
    "missing-key",
    Records,
    Error,
    "A key that the thing must have: without it, nothing that hangs on the thing can be judged."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut sharers = Sharers::of(analysis);
    let found = written::faults(analysis).filter_map(|noted| finding(&mut sharers, noted));
    findings.extend(found);
    let endless = analysis.model.cord_types.iter();
    let endless = endless.filter(|(_, kind)| kind.connector.is_absent() && kind.legs.is_empty());
    findings.extend(endless.map(|(id, kind)| no_far_end(&mut sharers, id, kind)));
    let unfed = analysis
        .graph
        .faults
        .iter()
        .filter_map(|fault| match fault {
            LinkFault::PduUnfed { pdu } => Some(*pdu),
            _ => None,
        });
    let is_to_come =
        |pdu: &Id<Pdu>| (analysis.model).is_to_come(&analysis.model.pdus[*pdu].name.value);
    let unfed = unfed.filter(|pdu| !is_to_come(pdu));
    findings.extend(unfed.map(|pdu| unfed_pdu(analysis, pdu)));
}

fn finding(sharers: &mut Sharers<'_>, noted: &Noted) -> Option<Finding> {
    let Fault::MissingKey {
        span,
        owner,
        name,
        key,
        holds,
    } = &noted.fault
    else {
        return None;
    };
    let thing = match (name.as_str(), written::whose(noted)) {
        (_, None) => format!("the {owner}"),
        ("", Some(whose)) => format!("the {owner} ({whose})"),
        (name, Some(_)) if noted.path.len() > 2 => format!("{owner} {name} of {}", noted.thing()),
        (name, Some(_)) => format!("{owner} {name}"),
    };
    let headline = format!("{thing} has no `{key}`: what hangs on it cannot be judged");
    let holds: Vec<&str> = holds.split_whitespace().collect();
    let (holds, article) = (holds.join(" "), with_article(owner));
    let holds = holds.trim_end_matches('.');
    let draft = Draft::new(
        &RULE,
        headline,
        *span,
        format!("no `{key}`"),
        written::format(),
    );
    Some(
        written::told(draft, sharers, noted)
            .about([*key])
            .advice(format!("Give `{key}`, which {article} must have. {holds}."))
            .finish(),
    )
}

/// A cord type that ends nowhere.
fn no_far_end(sharers: &mut Sharers<'_>, id: Id<CordType>, kind: &Named<CordType>) -> Finding {
    let name = &kind.name.value;
    let headline = format!(
        "cord type {name} has neither `connector` nor `legs`: what hangs on it cannot be judged"
    );
    let note = "no `connector` and no `legs`";
    Draft::new(&RULE, headline, kind.name.span, note, written::format())
        .about([name.as_str(), "connector"])
        .suffered_by(sharers.names(TypeOrModel::CordType(id)))
        .advice("Give `connector`, the end at the device; or the `legs`, if it is a splitter.")
        .finish()
}

fn unfed_pdu(analysis: &Analysis<'_>, pdu: Id<Pdu>) -> Finding {
    let name = &analysis.model.pdus[pdu].name;
    let (shown, note) = (&name.value, "no `from`, and no cord leads here");
    let headline = if analysis.model.is_incomplete {
        format!(
            "what feeds PDU {shown}? Missing: its `from`, and a part of the definitions could not be read"
        )
    } else {
        format!(
            "nothing on record feeds PDU {shown}: it has no `from` and no cord leads to it, so what hangs on it cannot be judged"
        )
    };
    let draft = Draft::new(&RULE, headline, name.span, note, written::format())
        .about([shown.clone()])
        .kind("unfed")
        .advice("Look what the PDU is plugged into, and write that circuit as its `from`.");
    if analysis.model.is_incomplete {
        draft.open().finish()
    } else {
        draft.finish()
    }
}
