//! Slips of the definitions that can be meant in one way only.

use rustc_hash::FxHashSet;

use crate::finding::{Edit, Finding};
use crate::judgement::{FileRead, Site};
use crate::source::{FileId, Span};

use super::edits::{Changed, applied};

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

/// How many times the files are read to find the corrections after which they can no longer be read.
const MOST_READINGS: usize = 40;

impl Correction {
    /// The rule and the edits: it is what a finding advises that has the same.
    pub(super) fn what(&self) -> (&'static str, &[Edit]) {
        (self.rule, &self.edits)
    }
}

/// The corrections of all findings that have one; of those that would change the same bytes, the
/// first.
pub(super) fn of(site: &Site, findings: &[Finding]) -> Vec<Correction> {
    let mut corrections: Vec<Correction> = Vec::new();
    let mut changed = Changed::default();
    let unread = site.unread.iter().map(|unread| unread.path.as_str());
    let unread: FxHashSet<&str> = unread.collect();
    let is_read = |edit: &Edit| !unread.contains(&*site.sources.file(edit.span.file).path);
    for finding in findings.iter().filter(|f| !f.remedy.edits.is_empty()) {
        let edits = &finding.remedy.edits;
        if changed.is_clear_of(edits) && edits.iter().all(is_read) {
            changed.add(edits);
            corrections.push(Correction {
                rule: finding.rule,
                span: finding.main.span,
                advice: finding.remedy.advice.clone(),
                edits: edits.clone(),
            });
        }
    }
    let (mut kept, mut readings) = (Vec::new(), MOST_READINGS);
    keep_readable(site, corrections, &mut readings, &mut kept);
    kept
}

/// Keeps those after which the files can still be read to their end. They are made all at once, and only
/// where that fails in halves, since a file is as long as it has slips.
fn keep_readable(
    site: &Site,
    mut corrections: Vec<Correction>,
    readings: &mut usize,
    kept: &mut Vec<Correction>,
) {
    if corrections.is_empty() || *readings == 0 {
        return;
    }
    *readings -= 1;
    if can_be_read(
        site,
        corrections.iter().flat_map(|correction| &correction.edits),
    ) {
        kept.extend(corrections);
    } else if corrections.len() > 1 {
        let others = corrections.split_off(corrections.len() / 2);
        keep_readable(site, corrections, readings, kept);
        keep_readable(site, others, readings, kept);
    }
}

/// Whether the files that the edits change can be read to their end afterwards.
fn can_be_read<'a>(site: &Site, edits: impl Iterator<Item = &'a Edit>) -> bool {
    let texts = applied(&site.sources, edits).into_iter();
    let mut read = texts.map(|(path, text)| FileRead::new(FileId(0), path, text.into_bytes()));
    read.all(|read| read.broken.is_none())
}
