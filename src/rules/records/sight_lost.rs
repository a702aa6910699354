//! `sight-lost`: is what was judged before a change, and is still there, judged no more?
//!
//! What is deleted is deleted, and is listed with its watts. What is merely out of sight still hangs on
//! its breaker. As with `policy-relaxed`, no level, departure or snag list has a say in it.

use crate::citation::Citation;
use crate::finding::Finding;
use crate::rules::{Changed, Draft, LostFile, rule};
use crate::survey::Survey;

rule!(
    Changed,
    "sight-lost",
    Records,
    Error,
    "Definitions that are still there and are judged no more: their load still flows, and no sum holds it."
);

fn check(_: &Survey<'_>, changed: &Changed<'_>, findings: &mut Vec<Finding>) {
    let place = changed.now.place_of_files();
    for LostFile { path, fate, things } in changed.lost {
        let headline = format!(
            "{path} was judged before this change and {fate}: {} in it drop out of every sum",
            count(things.len())
        );
        let note = format!("{path} is out of sight");
        let draft = Draft::new(&RULE, headline, place, note, basis());
        let advice =
            "Bring it back into the site, or take out of it what is really gone from the room.";
        let names = things.iter().take(SHOWN).map(|name| name.as_str());
        let more = things.len().saturating_sub(SHOWN);
        let mut shown = names.collect::<Vec<_>>().join(", ");
        if more > 0 {
            shown.push_str(&format!(" and {more} more"));
        }
        let draft = draft.about([path.as_str()]).advice(advice);
        let working = (!things.is_empty()).then_some(shown);
        findings.push(draft.working(working).finish());
    }
}

/// Names that are shown; the count says how many there are.
const SHOWN: usize = 12;

fn count(things: usize) -> String {
    match things {
        1 => "the 1 thing".to_owned(),
        many => format!("the {many} things"),
    }
}

fn basis() -> Citation {
    Citation::common_practice("what stands in the room stands in the records")
}
