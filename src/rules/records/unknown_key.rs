//! `unknown-key`: is everything that is written also read?

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::model::decode::with_article;
use crate::model::fault::{Fault, Noted};
use crate::model::value::Name;
use crate::rules::sharers::Sharers;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::spelling::deception;

use super::written;

rule!(
    "unknown-key",
    Records,
    Error,
    "A key that the thing does not have: what it says is not read, so a limit or a load written there guards nobody."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut sharers = Sharers::of(analysis);
    let found = written::faults(analysis).filter_map(|noted| finding(&mut sharers, noted));
    findings.extend(found);
}

fn finding(sharers: &mut Sharers<'_>, noted: &Noted) -> Option<Finding> {
    match &noted.fault {
        Fault::UnknownKey { .. } => unknown(sharers, noted),
        Fault::Astray { span, key, section } => Some(astray(*span, key, section)),
        _ => None,
    }
}

fn unknown(sharers: &mut Sharers<'_>, noted: &Noted) -> Option<Finding> {
    let Fault::UnknownKey {
        span,
        key,
        owner,
        known,
        nearest,
    } = &noted.fault
    else {
        return None;
    };
    let of = written::whose(noted).map_or(String::new(), |whose| format!(" ({whose})"));
    let headline = format!(
        "`{key}` is no key of {}{of}: what it says is not read, and nothing is judged by it",
        with_article(owner)
    );
    let advice = match (nearest, deception(key)) {
        (Some(near), Some(eye)) => format!("{} {eye}.", near.question()),
        (Some(near), None) => near.question(),
        (None, _) => format!("Keys here: {}.", known.join(", ")),
    };
    let draft = Draft::new(&RULE, headline, *span, "not read", written::format());
    let draft = written::told(draft, sharers, noted)
        .about([key.clone()])
        .advice(advice);
    Some(match nearest {
        Some(near) if near.is_sure => draft.edit(*span, near.word).finish(),
        _ => draft.finish(),
    })
}

/// Things of ours in a file that has no section of ours.
fn astray(span: Span, key: &Name, section: &str) -> Finding {
    let headline = format!(
        "what stands under `{key}` looks like `{section}` and is in no section: it is not read, and nothing is judged by it"
    );
    Draft::new(&RULE, headline, span, "not read", written::format())
        .about([key.clone(), section.into()])
        .kind("astray")
        .advice(format!(
            "Put it under `{section}:` at the start of a line. If the file is no part of the site, leave it out with `leave-out` under `site.files`."
        ))
        .finish()
}
