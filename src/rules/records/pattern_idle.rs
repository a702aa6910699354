//! `pattern-idle`: does every pattern of `site.files` mean a file?

use crate::analysis::Analysis;
use crate::finding::{Finding, Level};
use crate::model::fault::Fault;
use crate::model::value::Name;
use crate::rules::{Draft, rule};
use crate::source::Span;

use super::written;

rule!(
    "pattern-idle",
    Records,
    Error,
    "A pattern of `site.files` that means no file: what it was to take in is not read, and no fault there is seen."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let is_incomplete = analysis.model.is_incomplete;
    findings.extend(
        written::faults(analysis).filter_map(|noted| match &noted.fault {
            Fault::IdlePattern {
                span,
                pattern,
                list: "take-in",
            } => Some(takes_in_nothing(*span, pattern, is_incomplete)),
            Fault::IdlePattern { span, pattern, .. } => Some(leaves_nothing_out(*span, pattern)),
            _ => None,
        }),
    );
}

/// What could not be reached may be what it means.
fn takes_in_nothing(span: Span, pattern: &Name, is_incomplete: bool) -> Finding {
    let headline = format!(
        "the pattern `{pattern}` takes in no file: what it is meant for is not read, and nothing there is judged"
    );
    let draft = Draft::new(&RULE, headline, span, "no such file", written::format())
        .about([pattern.clone()])
        .kind("take-in")
        .advice("Correct the pattern, or take it out. It starts at the site's folder; `*` stays within one folder, `**` crosses folders.");
    if is_incomplete {
        draft.open().finish()
    } else {
        draft.finish()
    }
}

/// Nothing is lost by it yet.
fn leaves_nothing_out(span: Span, pattern: &Name) -> Finding {
    let headline = format!(
        "the pattern `{pattern}` leaves nothing out: a file that it comes to mean later would go unjudged, and nobody would know why"
    );
    Draft::new(&RULE, headline, span, "no such file or folder", written::format())
        .level(Level::Note)
        .about([pattern.clone()])
        .kind("leave-out")
        .advice("Take it out, or correct it. What is no YAML file, or lies in a folder that is left out already, need not be left out.")
        .finish()
}
