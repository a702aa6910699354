//! What is said of things whose text breaks off: that it does, and what is asked for besides. Anything
//! else may be about words that were not meant so.

use rustc_hash::FxHashMap;

use crate::finding::Finding;
use crate::model::HalfTyped;
use crate::source::Span;

use super::records::unreadable_file;

/// Leaves of each thing the finding about its text alone, which then carries what is asked for.
/// Where no such finding stands, nothing is left out.
pub(super) fn settle(things: &[HalfTyped], findings: &mut Vec<Finding>) {
    if things.is_empty() {
        return;
    }
    let by_fault: FxHashMap<Span, &HalfTyped> =
        things.iter().map(|thing| (thing.fault, thing)).collect();
    let is_of_text = |finding: &Finding| finding.rule == unreadable_file::RULE.name;
    let mut told: Vec<&HalfTyped> = Vec::new();
    for finding in findings.iter_mut().filter(|finding| is_of_text(finding)) {
        if let Some(thing) = by_fault.get(&finding.main.span) {
            finding.remedy.advice += &asked(thing);
            told.push(thing);
        }
    }
    // They lie one behind the other, so that only the last before a place can hold it.
    told.sort_by_key(|thing| thing.span);
    findings.retain(|finding| {
        let place = finding.main.span;
        let before = told
            .partition_point(|thing| (thing.span.file, thing.span.lo) <= (place.file, place.lo));
        let thing = before.checked_sub(1).and_then(|at| told.get(at));
        is_of_text(finding) || thing.is_none_or(|thing| !thing.holds(place))
    });
}

fn asked(thing: &HalfTyped) -> String {
    let name = match thing.name.as_str() {
        "" => "what stands there".to_owned(),
        name => format!("`{name}`"),
    };
    let mut words = format!(" Until then nothing else is said of {name}");
    let keys: Vec<String> = thing.lacks.iter().map(|key| format!("`{key}`")).collect();
    if let Some((last, before)) = keys.split_last() {
        words += match before {
            [] => format!(", which does not give {last} before this place"),
            _ => format!(
                ", which does not give {} and {last} before this place",
                before.join(", ")
            ),
        }
        .as_str();
    }
    words + "."
}
