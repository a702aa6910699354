//! Other cords that an editor offers where one is told of: found as remedies are, each tried on the
//! whole site by every rule, and so only where that takes no longer than a glance.

use crate::finding::{Edit, Finding, Verdict};
use crate::judgement::Site;
use crate::remedy::{Fitting, fittings};

use super::fixes::{Fix, is_of_records};
use super::site::OpenSite;
use super::whole::Whole;

/// The largest site on which cords are tried while somebody waits.
const MOST_CORDS: usize = 1_000;
/// How many judgements of it somebody waits for at most.
const MOST_TRIALS: usize = 12;

impl OpenSite {
    /// The other cords that put a finding about a cord right, nothing else on the site being the
    /// worse for it.
    pub(super) fn fits(&self, finding: &Finding) -> Vec<Fix> {
        let is_whole = self.is_settled() && self.files().iter().all(|file| !file.is_broken());
        if !is_whole || finding.verdict != Verdict::Broken || is_of_records(finding) {
            return Vec::new();
        }
        let whole = self.whole();
        let cords = &whole.site.model.cords;
        let Some(cord) = finding.about.iter().find(|name| cords.find(name).is_some()) else {
            return Vec::new();
        };
        let fittings = whole.fittings(cord);
        let helps = |fitting: &&Fitting| fitting.puts_right.contains(&finding.rule);
        let fixes = fittings.iter().filter(helps).map(|fitting| Fix {
            title: format!("{cord}: fit {}", fitting.words),
            edits: self.carried(&fitting.edits),
            is_correction: false,
        });
        fixes.filter(|fix| self.is_safe(&fix.edits)).collect()
    }

    /// Edits of the texts that were judged, where the texts have them now.
    pub(super) fn carried(&self, edits: &[Edit]) -> Vec<Edit> {
        let edits = edits.iter().map(|edit| Edit {
            span: self.carry(edit.span),
            text: edit.text.clone(),
        });
        edits.collect()
    }
}

impl Whole {
    /// What can be fitted in the place of a cord; asked for once, as editors ask at every move of
    /// the cursor.
    fn fittings(&self, cord: &str) -> Vec<Fitting> {
        if self.site.model.cords.len() > MOST_CORDS || !self.crashed.is_empty() {
            return Vec::new();
        }
        let mut known = self.fits.lock().unwrap_or_else(|gone| gone.into_inner());
        let found = known.entry(cord.into()).or_insert_with(|| {
            let site = Site {
                sources: self.site.sources.clone(),
                unread: self.site.unread.clone(),
                ..Site::of(self.site.model.clone())
            };
            fittings(site, self.settings.today, cord, MOST_TRIALS)
        });
        found.clone()
    }
}
