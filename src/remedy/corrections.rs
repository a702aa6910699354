//! Slips of the definitions that can be meant in one way only.

use crate::finding::{Edit, Finding};
use crate::judgement::{FileRead, Site};
use crate::source::{FileId, Span};

use super::edits::{applied, do_not_meet};

/// A slip, and the edits that put it right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Correction {
    /// The rule that found it.
    pub rule: &'static str,
    /// Where the finding points.
    pub span: Span,
    /// What is done, in the imperative.
    pub advice: String,
    /// The edits.
    pub edits: Vec<Edit>,
}

impl Correction {
    /// Whether it is what a finding advises.
    pub(super) fn is_of(&self, finding: &Finding) -> bool {
        self.rule == finding.rule && self.edits == finding.remedy.edits
    }
}

/// The corrections of all findings that have one; of those that would change the same bytes, the
/// first.
pub(super) fn of(site: &Site, findings: &[Finding]) -> Vec<Correction> {
    let mut corrections: Vec<Correction> = Vec::new();
    for finding in findings.iter().filter(|f| !f.remedy.edits.is_empty()) {
        let edits = &finding.remedy.edits;
        let mut made = corrections.iter().flat_map(|correction| &correction.edits);
        let is_clear = made.all(|other| edits.iter().all(|edit| do_not_meet(edit, other)));
        if is_clear && can_be_read(site, edits) {
            corrections.push(Correction {
                rule: finding.rule,
                span: finding.main.span,
                advice: finding.remedy.advice.clone(),
                edits: edits.clone(),
            });
        }
    }
    corrections
}

/// Whether the files that the edits change can be read to their end, before and after.
fn can_be_read(site: &Site, edits: &[Edit]) -> bool {
    let is_unread = |path: &str| site.unread.iter().any(|unread| unread.path == path);
    let texts = applied(&site.sources, edits);
    texts.into_iter().all(|(path, text)| {
        !is_unread(&path)
            && FileRead::new(FileId(0), path, text.into_bytes())
                .broken
                .is_none()
    })
}
