//! `retention-one-ended`: is a cord that is shaken held at one end only?

use crate::finding::{Finding, Place};
use crate::model::places::Vibration;
use crate::rules::{Draft, rule};
use crate::survey::{Survey, place};

use super::end::{Asked, End, Owner, Whereabouts};
use super::hold::Hold;
use super::{held_in_vibration, shakes};

rule!(
    "retention-one-ended",
    Retention,
    Warning,
    "A cord held at one end only where it is shaken: all shaking and pulling ends at the free coupler."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    for owner in Owner::all(survey) {
        let Some(held) = owner.ends(survey).find(End::is_held) else {
            continue;
        };
        for end in owner.ends(survey) {
            if let (Hold::Loose, Asked::Shaken(vibration)) = (end.hold(), end.asked()) {
                findings.push(one_ended(survey, &held, &end, vibration));
            }
        }
    }
}

fn one_ended(survey: &Survey<'_>, held: &End<'_>, free: &End<'_>, vibration: Vibration) -> Finding {
    let name = &free.owner.name(survey).value;
    let (what, mate) = (free.describe(survey), free.mate_name(survey));
    let by = match held.hold() {
        Hold::Held(by) => by.word(),
        _ => "friction",
    };
    let zone = match free.whereabouts {
        Whereabouts::Zone(zone) => zone.name.value.as_str(),
        _ => "",
    };
    let at = |end: &End<'_>, note: &str| {
        place(end.mate_at, format!("{}: {note}", end.mate_name(survey)))
    };
    // The plug comes first in electrical order.
    let is_plug = free
        .owner
        .ends(survey)
        .next()
        .is_some_and(|first| first.mate_at == free.mate_at);
    let places: [Place; 2] = [at(held, &format!("held by {by}")), at(free, "not held")];
    let draft = Draft::new(
        &RULE,
        format!(
            "nothing holds {what} in {mate}, while the other end is held; zone {zone} is a place where {}: all pulling ends at the free coupler, which works loose and arcs",
            shakes(vibration)
        ),
        free.owner.kind_at(survey),
        format!("cord {name}: held at one end only"),
        held_in_vibration(),
    );
    let [held_at, free_at] = places;
    let draft = if is_plug {
        draft.above([free_at]).below([held_at])
    } else {
        draft.above([held_at]).below([free_at])
    };
    draft
        .about([name.clone(), mate.into()])
        .advice(super::retention_missing::advice(survey, free.owner))
        .finish()
}
