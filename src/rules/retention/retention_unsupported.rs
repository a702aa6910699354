//! `retention-unsupported`: is there a lock that its mate cannot take?

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::model::decode::with_article;
use crate::model::value::Field;
use crate::rules::illegible::Illegible;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::couplers::Side;
use crate::tables::retention::Kind;

use super::end::{End, Owner};
use super::hold::{Hold, why_not};

rule!(
    "retention-unsupported",
    Retention,
    Error,
    "A lock that its mate cannot take: it is trusted, and holds nothing."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut illegible = Illegible::default();
    for owner in Owner::all(analysis) {
        for end in owner.ends(analysis) {
            match (end.hold(), end.locks.own) {
                (Hold::Unsupported(lock), _) => findings.push(unsupported(analysis, &end, lock)),
                (Hold::HalfTold(lock), _) => findings.push(half_told(analysis, &end, lock)),
                (Hold::Unknown, Field::Unreadable(at)) => {
                    let fact = own_fact(analysis, &end, at);
                    let half = end.half();
                    let question = || format!("does the lock at the {half} hold it");
                    let told = illegible.ask(&RULE, &fact, question);
                    told.suffered_by([owner.name(analysis).value.clone()]);
                }
                _ => {}
            }
        }
    }
    findings.extend(illegible.findings());
}

/// What should say how an end is held, where that cannot be read.
fn own_fact(analysis: &Analysis<'_>, end: &End<'_>, at: Span) -> Fact {
    match end.owner {
        Owner::Cord(cord) => analysis.cord_type_fact(cord, |kind| {
            let is_whole = kind.retention.span() == Some(at);
            let key = match is_whole {
                true => "retention".to_owned(),
                false => format!("retention.{}", end.half()),
            };
            Fact::unreadable(kind, key, at)
        }),
        Owner::Pdu(pdu) => {
            analysis.pdu_model_fact(pdu, |kind| Fact::unreadable(kind, "retention", at))
        }
    }
}

/// Latches of two systems look alike and do not hold in each other.
fn half_told(analysis: &Analysis<'_>, end: &End<'_>, lock: &Kind) -> Finding {
    let (what, mate) = (end.describe(analysis), end.mate_name(analysis));
    let (word, half) = (&lock.name, end.half());
    let offers = end
        .locks
        .offered
        .known()
        .map_or("", |offered| &offered.name);
    let lock_place = end.locks.own.span();
    Draft::new(
        &RULE,
        format!(
            "is {what} held in {mate}? It has {word}, and {mate} has {offers}: only one of them says of which system it is"
        ),
        end.mate_at,
        format!("not decided: {mate} offers {offers} to hold it"),
        lock.citation.clone(),
    )
    .open()
    .below(lock_place.map(|at| place(at, format!("{half}: {word}"))))
    .about([end.owner.name(analysis).value.clone(), mate.clone().into()])
    .kind("system")
    .advice(format!(
        "Plug it in and pull. Look at {mate} and at the {half} for the name of the system, and write it in both places, as described under `latch-systems`."
    ))
    .finish()
}

fn unsupported(analysis: &Analysis<'_>, end: &End<'_>, lock: &Kind) -> Finding {
    let (what, mate) = (end.in_mate(analysis), end.mate_name(analysis));
    let (word, half) = (lock.name.as_str(), end.half());
    let other_half = end.mate_half();
    let offers = match end.locks.offered {
        Field::Given(offered) => offered.value.name.as_str(),
        _ => "nothing",
    };
    let mate_place = place(end.mate_at, format!("{mate} offers {offers} to hold it"));
    let lock_place = end
        .locks
        .own
        .span()
        .map(|at| place(at, format!("{half}: {word}")));
    let draft = Draft::new(
        &RULE,
        format!(
            "{what} can be pulled or shaken out while everybody trusts its {word}: {}",
            why_not(lock, other_half)
        ),
        end.owner.kind_at(analysis),
        format!("{word} at the {half}"),
        Citation::marked("the locks that the definitions give the two halves"),
    )
    .also([lock.citation.clone()]);
    let draft = match end.locks.side {
        Side::Pins => draft.above([mate_place]).below(lock_place),
        Side::Contacts => draft.below(lock_place).below([mate_place]),
    };
    draft
        .about([end.owner.name(analysis).value.clone(), mate.into()])
        .kind(half)
        .advice(format!(
            "Treat this end as not held. Use {} made for {word} and say so where it is defined, or a cord with another hold at its {half}.",
            with_article(other_half)
        ))
        .finish()
}
