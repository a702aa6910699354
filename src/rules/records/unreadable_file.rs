//! `unreadable-file`: can every file be read to its end?

use crate::analysis::{Analysis, place};
use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::model::fault::{Fault, Noted, STAND_IN};
use crate::model::snags::SNAGS;
use crate::model::value::Name;
use crate::rules::{Draft, rule};

use super::written;

rule!(
    "unreadable-file",
    Records,
    Error,
    "A file, or a part of it, that cannot be read: what it says is not judged, and faults there stay unseen."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    findings.extend(written::faults(analysis).filter_map(finding));
}

fn finding(noted: &Noted) -> Option<Finding> {
    let Fault::Unreadable {
        span,
        message,
        advice,
        related,
    } = &noted.fault
    else {
        return None;
    };
    let why = sentence(message);
    let headline = if ["not judged", "not read", "be read"]
        .iter()
        .any(|words| why.contains(words))
    {
        why.clone()
    } else {
        format!("{why}: what stands there is not judged")
    };
    // Counts in the message may change while the fault stays the same.
    let stable: String = why.chars().filter(|c| !c.is_ascii_digit()).collect();
    let related = related
        .iter()
        .map(|(span, note)| place(*span, note.clone()));
    let note = "cannot be read";
    let basis = match noted.path.first().map(Name::as_str) {
        Some(STAND_IN) => Citation::marked("the first line of the file, as git LFS writes it"),
        Some(SNAGS) => Citation::marked("the form of the snag list"),
        _ => yaml(),
    };
    Some(
        Draft::new(&RULE, headline, *span, note, basis)
            .above(related)
            .about([stable])
            .advice(advice.clone())
            .finish(),
    )
}

/// A message as the start of a sentence: small letter, no full stop.
fn sentence(message: &str) -> String {
    let mut rest = message.trim_end_matches('.').chars();
    let first = rest.next().into_iter().flat_map(char::to_lowercase);
    first.chain(rest).collect()
}

fn yaml() -> Citation {
    Citation::new("YAML", "", "1.2.2 (2021)", Confidence::OneCopy)
}
