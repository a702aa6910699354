//! Parts that the tables lack and a site describes itself.

mod cited;
mod cordages;
mod couplers;
mod latches;

use cordwright::finding::Finding;

use crate::site::{Files, judged};

/// A room, and the parts of the site's own beside it.
fn files(room: &str, types: &str) -> Files {
    vec![
        ("cordwright.yaml".to_owned(), room.to_owned()),
        ("types.yaml".to_owned(), types.to_owned()),
    ]
}

/// What is found, with the bytes that each finding points at.
fn found(room: &str, types: &str) -> Vec<(Finding, String)> {
    let judgement = judged(&files(room, types));
    let at = |found: &Finding| {
        let text: &str = &judgement.sources.file(found.main.span.file).text;
        text[found.main.span.range()].to_owned()
    };
    let findings = judgement.findings.iter();
    findings.map(|found| (found.clone(), at(found))).collect()
}
