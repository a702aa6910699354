//! Cords that an editor offers for an inlet without one: planned as `specify` plans them, and judged on the whole
//! site before they are offered.

use crate::finding::Finding;
use crate::input::SiteInput;
use crate::judgement::Site;
use crate::plan::{Asked, inserted, plan};
use crate::rules::records::unfed_inlet;

use super::fixes::Fix;
use super::site::OpenSite;

/// The largest site on which cords are planned while somebody waits.
const MOST_CORDS: usize = 1_000;

impl OpenSite {
    /// Cords for the inlets that a finding calls bare.
    pub(super) fn plans(&self, finding: &Finding) -> Vec<Fix> {
        let is_whole = self.is_settled() && self.files().iter().all(|file| !file.is_broken());
        if !is_whole || finding.rule != unfed_inlet::RULE.name {
            return Vec::new();
        }
        let (whole, Some(device)) = (self.whole(), finding.about.last()) else {
            return Vec::new();
        };
        if whole.site.model.cords.len() > MOST_CORDS || !whole.crashed.is_empty() {
            return Vec::new();
        }
        let asked = Asked {
            devices: vec![device.to_string()],
            ..Asked::default()
        };
        let plan = plan(&input(&whole.site), &asked, &whole.settings);
        let Some(insertion) = inserted(&plan, &whole.site).filter(|_| !plan.cords.is_empty())
        else {
            return Vec::new();
        };
        let each = plan.cords.iter();
        let each = each.map(|cord| format!("{} from {} to {}", cord.kind, cord.from, cord.to));
        let fix = Fix {
            title: format!("Plan {}", each.collect::<Vec<_>>().join(", and ")),
            edits: self.carried(&insertion.edits),
            is_correction: false,
        };
        Some(fix)
            .filter(|fix| self.is_safe(&fix.edits))
            .into_iter()
            .collect()
    }
}

/// The site as it was read.
fn input(site: &Site) -> SiteInput {
    let files = site.sources.iter();
    let files = files.map(|(_, file)| (file.path.clone(), file.text.as_bytes().to_vec()));
    SiteInput {
        files: files.collect(),
        unread: site.unread.clone(),
        passed_over: site.passed_over.clone(),
    }
}
