//! Findings as diagnostics.

use lsp_types::{
    CodeDescription, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, NumberOrString,
    Range,
};

use super::place::Places;
use super::uri;
use crate::finding::{Finding, Level, Verdict};
use crate::host::Shelf;
use crate::input::{SITE_FILE, Unread};
use crate::source::FileId;

/// Who speaks.
const SOURCE: &str = "cordwright";

/// The diagnostics of one file.
pub(super) fn of_file(places: &Places<'_>, file: FileId, pages: Option<&Shelf>) -> Vec<Diagnostic> {
    let findings = places.site.findings(file);
    let found = findings.map(|finding| diagnostic(places, finding, pages));
    let crashed = places.site.whole().crashed.iter();
    let crashed = crashed.filter(|_| places.site.source(file).path == SITE_FILE);
    found.chain(crashed.map(|rule| broken_down(rule))).collect()
}

/// A file that could not be read at all has no text to point at.
pub(super) fn of_unread(unread: &Unread) -> Diagnostic {
    at_the_top(
        "unreadable-file",
        format!(
            "This could not be read: {}. What it says is not judged.",
            unread.why
        ),
    )
}

fn broken_down(rule: &str) -> Diagnostic {
    at_the_top(
        rule,
        format!("The rule {rule} broke down: what it looks for is not judged at this site."),
    )
}

fn at_the_top(code: &str, message: String) -> Diagnostic {
    Diagnostic {
        range: Range::default(),
        severity: Some(DiagnosticSeverity::ERROR),
        code: Some(NumberOrString::String(code.to_owned())),
        source: Some(SOURCE.to_owned()),
        message,
        ..Diagnostic::default()
    }
}

pub(super) fn diagnostic(
    places: &Places<'_>,
    finding: &Finding,
    pages: Option<&Shelf>,
) -> Diagnostic {
    let related: Vec<_> = finding
        .places()
        .filter(|(_, is_main)| !is_main)
        .filter_map(|(place, _)| {
            Some(DiagnosticRelatedInformation {
                location: places.location(place.span)?,
                message: place.note.clone(),
            })
        })
        .collect();
    Diagnostic {
        range: places.range(finding.main.span),
        severity: Some(severity(finding)),
        code: Some(NumberOrString::String(finding.rule.to_owned())),
        code_description: pages.and_then(|pages| page(pages, finding.rule)),
        source: Some(SOURCE.to_owned()),
        message: message(finding),
        related_information: (!related.is_empty()).then_some(related),
        ..Diagnostic::default()
    }
}

/// Open points weigh nothing: they are neither broken nor passed.
fn severity(finding: &Finding) -> DiagnosticSeverity {
    match (finding.verdict, finding.level) {
        (Verdict::Broken, Level::Error) => DiagnosticSeverity::ERROR,
        (Verdict::Broken, Level::Warning) => DiagnosticSeverity::WARNING,
        (Verdict::Broken, Level::Note) | (Verdict::Open, _) => DiagnosticSeverity::INFORMATION,
    }
}

/// The name of a rule's page among the pages laid out.
pub(super) fn page_name(rule: &str) -> String {
    format!("{rule}.md")
}

fn page(pages: &Shelf, rule: &str) -> Option<CodeDescription> {
    let href = uri::of_path(&pages.place(&page_name(rule)))?;
    Some(CodeDescription { href })
}

/// The headline first, since many editors show one line only; then the working and what to do.
fn message(finding: &Finding) -> String {
    let mut lines = vec![match finding.verdict {
        Verdict::Broken => finding.headline.clone(),
        Verdict::Open => format!(
            "Not decided, which is no pass: {}",
            small(&finding.headline)
        ),
    }];
    lines.extend(finding.arithmetic.iter().cloned());
    if !finding.remedy.advice.is_empty() {
        lines.push(format!("Put right: {}", finding.remedy.advice));
    }
    let basis: Vec<String> = finding.basis.iter().map(ToString::to_string).collect();
    lines.push(format!("Source: {}", basis.join("; ")));
    lines.join("\n")
}

fn small(text: &str) -> String {
    let mut rest = text.chars();
    let first = rest.next().into_iter().flat_map(char::to_lowercase);
    first.chain(rest).collect()
}
