//! `retention-one-ended`: is a cord that is shaken held at one end only?

use crate::analysis::{Analysis, place};
use crate::finding::Finding;
use crate::model::places::Vibration;
use crate::rules::{Draft, rule};

use super::advice::advice;
use super::end::{Asked, End, Mate, Owner};
use super::hold::Hold;
use super::{held_in_vibration, shaking};

rule!(
    "retention-one-ended",
    Retention,
    Warning,
    "A cord held at one end only where it is shaken: all shaking and pulling ends at the free coupler."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for owner in Owner::all(analysis) {
        let Some(held) = owner.ends(analysis).find(End::is_held) else {
            continue;
        };
        for (end, vibration) in free(analysis, owner) {
            findings.push(one_ended(analysis, &held, &end, vibration));
        }
    }
}

/// Ends that nothing holds, with what shakes them.
fn free<'a>(analysis: &Analysis<'a>, owner: Owner) -> impl Iterator<Item = (End<'a>, Vibration)> {
    let ends = owner.ends(analysis);
    ends.filter_map(|end| match (end.hold(), end.asked()) {
        (Hold::Loose, Asked::Shaken(vibration)) => Some((end, vibration)),
        _ => None,
    })
}

fn one_ended(
    analysis: &Analysis<'_>,
    held: &End<'_>,
    free: &End<'_>,
    vibration: Vibration,
) -> Finding {
    let mate = free.mate_name(analysis);
    let headline = format!(
        "nothing holds {}, while another of its ends is held; {}: all pulling ends at the free coupler, which works loose and arcs",
        free.in_mate(analysis),
        shaking(free.zone_name(), vibration)
    );
    let held_by = match held.hold() {
        Hold::Held(by) => by.name.as_str(),
        _ => "nothing",
    };
    let held_at = place(
        held.mate_at,
        format!("{}: held by {held_by}", held.mate_name(analysis)),
    );
    let free_at = place(free.mate_at, format!("{mate}: not held"));
    let note = format!("nothing holds its {}", free.half());
    let draft = Draft::new(
        &RULE,
        headline,
        free.owner.kind_at(analysis),
        note,
        held_in_vibration(),
    );
    let draft = match free.mate {
        Mate::Feed(_) => draft.above([free_at]).below([held_at]),
        Mate::Receiver(..) => draft.above([held_at]).below([free_at]),
    };
    draft
        .about([free.owner.name(analysis).value.clone(), mate.into()])
        .advice(advice(analysis, free.owner, std::slice::from_ref(free)))
        .finish()
}
