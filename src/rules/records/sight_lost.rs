//! `sight-lost`: is what was judged before a change, and is still there, judged no more?
//!
//! What is deleted is deleted, and is listed with its watts. What is merely out of sight still hangs on
//! its breaker. As with `policy-relaxed`, no level, departure or snag list has a say in it.

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::rules::told_once::ToldOnce;
use crate::rules::{Changed, Draft, Hung, LostFile, rule};

rule!(
    Changed,
    "sight-lost",
    Records,
    Error,
    "Definitions that are still there and are judged no more: their load still flows, and no sum holds it."
);

fn check(analysis: &Analysis<'_>, changed: &Changed<'_>, findings: &mut Vec<Finding>) {
    files(changed, findings);
    findings.extend(loads(analysis, changed));
    findings.extend(changed.hung.iter().map(hung));
}

/// Load that comes with the change, behind a fault that was there: nothing is worked out below that, and
/// what comes is not known for being behind what is.
fn hung(hung: &Hung) -> Finding {
    let Hung { what, name, .. } = hung;
    let headline = format!(
        "this change hangs {} on {what} {name}, which no supply feeds by the definitions: nothing of it is judged, and no sum holds it",
        match hung.devices.as_slice() {
            [only] => format!("device {only}"),
            many => format!("{} devices", many.len()),
        }
    );
    let advice = format!(
        "Put right first what keeps {what} {name} from being fed; then all that hangs on it is judged."
    );
    Draft::new(&RULE, headline, hung.at, "fed by no supply", basis())
        .about([name.clone()])
        .kind("hung")
        .suffered_by(hung.devices.iter().cloned())
        .advice(advice)
        .finish()
}

/// Loads that were known and are not any more: whatever they overloaded cannot be told now, and is no
/// better for that.
fn loads(analysis: &Analysis<'_>, changed: &Changed<'_>) -> impl Iterator<Item = Finding> {
    let mut told = ToldOnce::default();
    for device in changed.unloaded {
        let name = &analysis.model.devices[*device].name.value;
        let Some(gap) = analysis.load_gap(*device) else {
            continue;
        };
        let first = || {
            let headline = format!(
                "the load of device {name} was known before this change and is not any more: it drops out of every sum"
            );
            Draft::new(&RULE, headline, gap.span, gap.why, basis())
                .about([name.clone()])
                .kind("load")
                .advice("Write down again what was taken out, or what is true now: a draw, or a nameplate with its power factor.")
        };
        told.tell(gap.span, first).suffered_by([name.clone()]);
    }
    told.findings()
}

fn files(changed: &Changed<'_>, findings: &mut Vec<Finding>) {
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
