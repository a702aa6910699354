//! What an editor can offer: the edit that is the single safe one, other cords that put a finding
//! right, and a departure that holds nothing back until somebody has filled it in.

use std::sync::Arc;

use crate::finding::{Edit, Finding, Verdict};
use crate::input::SITE_FILE;
use crate::judgement::FileRead;
use crate::model::signed::Signed;
use crate::source::{FileId, Source, Span};

use super::site::OpenSite;

/// A set of edits to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fix {
    /// What it does.
    pub title: String,
    /// The edits, where the texts have them now.
    pub edits: Vec<Edit>,
    /// Whether it corrects what can have been meant in one way only; that another cord is to be
    /// fitted, or a departure recorded, is for somebody to decide.
    pub is_correction: bool,
}

impl OpenSite {
    /// What can be done about a finding of this site.
    pub fn fixes(&self, finding: &Finding) -> Vec<Fix> {
        let correction = self.correction(finding).into_iter();
        let fits = self.fits(finding);
        correction
            .chain(fits)
            .chain(self.plans(finding))
            .chain(self.departure(finding))
            .collect()
    }

    fn correction(&self, finding: &Finding) -> Option<Fix> {
        let edits = &finding.remedy.edits;
        let [first, ..] = edits.as_slice() else {
            return None;
        };
        let title = match edits.len() {
            1 => format!(
                "Write {} instead of {}",
                quoted(&first.text),
                quoted(self.source(first.span.file).slice(first.span.range()))
            ),
            _ => finding.remedy.advice.clone(),
        };
        self.is_safe(edits).then(|| Fix {
            title,
            edits: edits.clone(),
            is_correction: true,
        })
    }

    /// Whether every file that the edits change can be read to its end before and after.
    pub(super) fn is_safe(&self, edits: &[Edit]) -> bool {
        edits.iter().all(|edit| {
            let file = self.file(edit.span.file);
            let mut text = file.now().text.to_string();
            if file.is_broken() || text.get(edit.span.range()).is_none() {
                return false;
            }
            text.replace_range(edit.span.range(), &edit.text);
            let path = file.now().path.clone();
            FileRead::new(edit.span.file, path, text.into_bytes())
                .broken
                .is_none()
        })
    }

    /// A departure to fill in: it has no reason, no signer and no day, so it silences nothing yet.
    fn departure(&self, finding: &Finding) -> Option<Fix> {
        let at = finding
            .about
            .first()
            .filter(|_| finding.verdict == Verdict::Broken)?;
        if !at
            .chars()
            .all(|c| c.is_alphanumeric() || "-_./ ".contains(c))
            || is_of_records(finding)
        {
            return None;
        }
        // What is signed is what is seen today: beyond it the finding is back.
        let signed = finding.measure.as_ref().map(Signed::from);
        let signed = signed.map(|signed| format!(", signed-at: {}", signed.mapping()));
        let entry = format!(
            "{{rule: {}, at: {at}, reason: , agreed-by: , until: {}}}",
            finding.rule,
            signed.unwrap_or_default()
        );
        let edit = self
            .after_last_departure(&entry)
            .or_else(|| self.new_section(&entry))?;
        Some(Fix {
            title: format!(
                "Record a departure from {} at {at}, to be filled in",
                finding.rule
            ),
            edits: vec![edit],
            is_correction: false,
        })
    }

    /// A line behind the last departure of the site, written as that one is.
    fn after_last_departure(&self, entry: &str) -> Option<Edit> {
        let files = self.files().iter().filter(|file| !file.is_broken()).rev();
        let mut last = files.filter_map(|file| file.sections().departures.last());
        let last = self.carry(last.next()?.span);
        let source = self.source(last.file);
        let start = source.line_range(source.line_of(last.range().start))?.start;
        let before = source.text.get(start..last.range().start)?;
        let dash = before.trim_end().strip_suffix('-')?;
        if !dash.trim().is_empty() {
            return None;
        }
        Some(line_after(source, last, &format!("{before}{entry}")))
    }

    /// A section of its own at the end of the site's file.
    fn new_section(&self, entry: &str) -> Option<Edit> {
        let id = self.by_path(SITE_FILE)?;
        let file = self.file(id);
        if file.is_broken() || !file.sections().departures.is_empty() {
            return None;
        }
        let source: &Arc<Source> = file.now();
        let end = source.text.len();
        let line_end = source.line_end(end);
        let gap = if source.text.ends_with('\n') { 1 } else { 2 };
        let gap = line_end.repeat(gap);
        Some(Edit {
            span: Span::new(id, end, end),
            text: format!("{gap}departures:{line_end}  - {entry}{line_end}"),
        })
    }
}

/// Inserts a line behind the one on which `span` ends.
fn line_after(source: &Source, span: Span, line: &str) -> Edit {
    let last = span.range().end.saturating_sub(1);
    let end = source
        .line_range(source.line_of(last))
        .map_or(source.text.len(), |range| range.end);
    let file: FileId = span.file;
    let line_end = source.line_end(last);
    let text = match source.text[..end].ends_with('\n') {
        true => format!("{line}{line_end}"),
        false => format!("{line_end}{line}{line_end}"),
    };
    Edit {
        span: Span::new(file, end, end),
        text,
    }
}

/// Faults of the definitions as written are put right, not departed from.
pub(super) fn is_of_records(finding: &Finding) -> bool {
    let rule = crate::rules::find(finding.rule);
    rule.is_some_and(|rule| rule.subject == crate::rules::Subject::Records)
}

fn quoted(text: &str) -> String {
    format!("`{}`", text.trim().replace('\n', " "))
}
