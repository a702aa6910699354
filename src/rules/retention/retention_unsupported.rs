//! `retention-unsupported`: is there a lock that its mate cannot take?

use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::value::Field;
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};
use crate::tables::couplers::Side;
use crate::tables::retention::Retention;

use super::end::{End, Owner};
use super::hold::{Hold, why_not};

rule!(
    "retention-unsupported",
    Retention,
    Error,
    "A lock that its mate cannot take: it is trusted, and holds nothing."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for owner in Owner::all(survey) {
        for end in owner.ends(survey) {
            if let Hold::Unsupported(lock) = end.hold() {
                findings.push(unsupported(survey, &end, lock));
            }
        }
    }
}

fn unsupported(survey: &Survey<'_>, end: &End<'_>, lock: Retention) -> Finding {
    let (what, mate) = (end.in_mate(survey), end.mate_name(survey));
    let (word, half) = (lock.word(), end.half());
    let other_half = match end.locks.side {
        Side::Pins => "outlet",
        Side::Contacts => "inlet",
    };
    let offers = match end.locks.offered {
        Field::Given(offered) => offered.value.word(),
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
            "{what} relies on {word}, which does not hold there: {}; it can be pulled or shaken out while everybody trusts the lock",
            why_not(lock, other_half)
        ),
        end.owner.kind_at(survey),
        format!("{word} at the {half}"),
        Citation::marked("the locks that the definitions give the two halves"),
    )
    .also([lock.kind().citation.clone()]);
    let draft = match end.locks.side {
        Side::Pins => draft.above([mate_place]).below(lock_place),
        Side::Contacts => draft.below(lock_place).below([mate_place]),
    };
    draft
        .about([end.owner.name(survey).value.clone(), mate.into()])
        .kind(half)
        .advice(format!(
            "Use an {other_half} made for {word} and say so where it is defined, or a cord with another hold at its {half}; until then treat this end as not held."
        ))
        .finish()
}
