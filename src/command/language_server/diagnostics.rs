//! Findings as diagnostics.

use std::borrow::Cow;

use lsp_types::{
    CodeDescription, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, NumberOrString,
    Range,
};

use super::place::Places;
use super::uri;
use crate::finding::{Finding, Level, Verdict};
use crate::host::OpenableFiles;
use crate::ink::{Plain, Written};
use crate::input::{SITE_FILE, Unread};
use crate::report::{one_by_one, wanted};
use crate::source::FileId;

/// Who speaks.
const SOURCE: &str = "cordwright";

/// The diagnostics of one file: a fact that is missing once, with what hangs on it.
pub(super) fn of_file(
    places: &Places<'_>,
    file: FileId,
    pages: Option<&OpenableFiles>,
) -> Vec<Diagnostic> {
    let words = places.site.whole().site.model.site.words();
    let pieces = one_by_one(places.site.findings(file));
    let told = pieces.iter().flat_map(|piece| match wanted(piece, words) {
        Some(fact) => vec![Cow::Owned(fact)],
        None => piece.all().map(Cow::Borrowed).collect(),
    });
    let mut told: Vec<Cow<'_, Finding>> = told.collect();
    told.sort_by(|a, b| a.order(b));
    let found = told
        .iter()
        .map(|finding| diagnostic(places, finding, pages));
    let crashed = places.site.whole().crashed.iter();
    let crashed = crashed.filter(|_| places.site.source(file).path == SITE_FILE);
    let found = found.chain(crashed.map(|rule| broken_down(rule)));
    found.chain(suffered(places, file)).collect()
}

/// Those of one file that are marked as suffering a fault elsewhere.
const MARKED: usize = 50;

/// Whoever suffers a fault of something in another file, marked with less weight than the fault.
fn suffered(places: &Places<'_>, file: FileId) -> Vec<Diagnostic> {
    let all = places.site.suffered(file);
    let marks = all.flat_map(|(finding, at)| at.iter().take(MARKED).map(move |at| (finding, *at)));
    let marks = marks.map(|(finding, at)| {
        let mut message = Written::<Plain>::new();
        let cause = places.site.source(finding.main.span.file);
        let place = cause.position_in_chars(finding.main.span.lo as usize);
        message.ours("This suffers a fault at ").whole(&cause.path);
        message.ours(":").number(place.line).ours(": ");
        message.theirs(&small(&finding.headline));
        let related = places.client.relates.then(|| {
            let location = places.location(finding.main.span)?;
            let message = Written::<Plain>::of(&finding.main.note).into_string();
            Some(vec![DiagnosticRelatedInformation { location, message }])
        });
        Diagnostic {
            range: places.range(at),
            severity: Some(DiagnosticSeverity::HINT),
            code: Some(NumberOrString::String(finding.rule.to_owned())),
            source: Some(SOURCE.to_owned()),
            message: message.into_string(),
            related_information: related.flatten(),
            ..Diagnostic::default()
        }
    });
    marks.collect()
}

/// A file that could not be read at all has no text to point at.
pub(super) fn of_unread(unread: &Unread) -> Diagnostic {
    at_the_top(
        "unreadable-file",
        &format!(
            "This could not be read: {}. What it says is not judged.",
            unread.why
        ),
    )
}

fn broken_down(rule: &str) -> Diagnostic {
    at_the_top(
        rule,
        &format!("The rule {rule} broke down: what it looks for is not judged at this site."),
    )
}

fn at_the_top(code: &str, message: &str) -> Diagnostic {
    Diagnostic {
        range: Range::default(),
        severity: Some(DiagnosticSeverity::ERROR),
        code: Some(NumberOrString::String(code.to_owned())),
        source: Some(SOURCE.to_owned()),
        message: Written::<Plain>::of(message).into_string(),
        ..Diagnostic::default()
    }
}

pub(super) fn diagnostic(
    places: &Places<'_>,
    finding: &Finding,
    pages: Option<&OpenableFiles>,
) -> Diagnostic {
    let mut message = message(finding);
    let related = match places.client.relates {
        true => related(places, finding),
        false => {
            write_related(places, finding, &mut message);
            Vec::new()
        }
    };
    Diagnostic {
        range: places.range(finding.main.span),
        severity: Some(severity(finding)),
        code: Some(NumberOrString::String(finding.rule.to_owned())),
        code_description: pages.and_then(|pages| page(pages, finding.rule)),
        source: Some(SOURCE.to_owned()),
        message: message.into_string(),
        related_information: (!related.is_empty()).then_some(related),
        ..Diagnostic::default()
    }
}

/// The places that bear on a finding besides its own.
fn related(places: &Places<'_>, finding: &Finding) -> Vec<DiagnosticRelatedInformation> {
    let others = finding.path.iter().filter_map(|place| {
        Some(DiagnosticRelatedInformation {
            location: places.location(place.span)?,
            message: Written::<Plain>::of(&place.note).into_string(),
        })
    });
    others.collect()
}

/// The same as lines of the message, for an editor that does not show places beside it.
fn write_related(places: &Places<'_>, finding: &Finding, message: &mut Written<Plain>) {
    for place in &finding.path {
        let source = places.site.source(place.span.file);
        let at = source.position_in_chars(place.span.lo as usize);
        message.ours("\n").whole(&source.path).ours(":");
        message.number(at.line).ours(":").number(at.column);
        message.ours(": ").theirs(&place.note);
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

fn page(pages: &OpenableFiles, rule: &str) -> Option<CodeDescription> {
    let href = uri::of_path(&pages.place(&page_name(rule)))?;
    Some(CodeDescription { href })
}

/// The headline first, since many editors show one line only; then the working and what to do.
fn message(finding: &Finding) -> Written<Plain> {
    let mut message = Written::new();
    match finding.verdict {
        Verdict::Broken => message.theirs(&finding.headline),
        Verdict::Open => message
            .ours("Not decided, which is no pass: ")
            .theirs(&small(&finding.headline)),
    };
    for line in &finding.arithmetic {
        message.ours("\n").theirs(line);
    }
    if !finding.remedy.advice.is_empty() {
        message.ours("\nPut right: ").theirs(&finding.remedy.advice);
    }
    let basis: Vec<String> = finding.basis.iter().map(ToString::to_string).collect();
    if !basis.is_empty() {
        message.ours("\nSource: ").theirs(&basis.join("; "));
    }
    message
}

fn small(text: &str) -> String {
    let mut rest = text.chars();
    let first = rest.next().into_iter().flat_map(char::to_lowercase);
    first.chain(rest).collect()
}
