//! `policy-relaxed`: does a change let through what was held before it?
//!
//! It looks at two states of a site, and neither `site.levels` nor a departure nor the snag list has
//! a say in it: a change cannot pardon itself.

mod demands;
mod relaxed;
mod unset;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::rules::{Changed, Draft, rule};

use relaxed::{Judged, Relaxation, relaxations};

rule!(
    Changed,
    "policy-relaxed",
    Records,
    Error,
    "A change that lets through what was held before it: a fault that comes with it would pass unseen."
);

fn check(analysis: &Analysis<'_>, changed: &Changed<'_>, findings: &mut Vec<Finding>) {
    let left_out = changed.left_out.iter().map(|path| Relaxation {
        span: changed.now.place_of_files(),
        what: format!("leaves {path} out of the judgement"),
        about: vec!["files".into(), path.into()],
        judged: Judged::AsBefore,
    });
    let relaxed = relaxations(&changed.now, &changed.before, analysis.practice());
    for Relaxation {
        span,
        what,
        about,
        judged,
    } in relaxed.into_iter().chain(left_out)
    {
        let rest = match judged {
            Judged::AsBefore => {
                "what that would let through is judged as before, until somebody else has agreed"
            }
            Judged::NoMore => {
                "what was held by that is held no more, and somebody else has to agree"
            }
        };
        let headline = format!("this change {what}: {rest}");
        let draft = Draft::new(&RULE, headline, span, "relaxed here", basis());
        let advice = "Have it agreed by whoever answers for the site, apart from the change that needs it. With `--relaxations tell` the check lets it hold and lists it.";
        findings.push(draft.about(about).advice(advice).finish());
    }
}

fn basis() -> Citation {
    Citation::common_practice("nobody accepts their own deviation")
}
