//! A site on trial: other cords are fitted, every rule judges the whole, and the cords are put
//! back.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::{FxHashMap, FxHashSet};

use crate::agreed;
use crate::analysis::Analysis;
use crate::budget::{Budget, Work};
use crate::date::Date;
use crate::finding::{Finding, Level, Verdict};
use crate::judgement::{Settings, Site};
use crate::model::Model;
use crate::model::cords::{Cord, CordType};
use crate::model::value::{Field, Id, Name, Spanned};
use crate::policy::Policy;
use crate::quantity::Length;
use crate::rules::{self, Outcome};

use super::Fit;
use super::blame::{Blame, Blamed};

/// Rules that may speak anew once something is put right: what is idle then is tidied up, and
/// endangers nobody.
const TIDYING: [&str; 3] = ["idle-definition", "departure-idle", "snag-idle"];

/// What the rules say of a site and nobody has departed from.
pub(super) fn standing(analysis: &Analysis<'_>) -> Outcome {
    let policy = Policy::of(analysis.model);
    let outcome = rules::run(analysis, &[policy], |_| true);
    let (findings, _) = agreed::depart(&policy, analysis.today, outcome.findings);
    Outcome {
        findings,
        ..outcome
    }
}

/// How many times a whole site is judged at most in the search for other cords. Of a large site fewer: the
/// budget counts the cords and devices that are judged, and what is told of them.
const MOST_TRIALS: usize = 400;

/// A site to try other cords on.
pub(super) struct CordTrials {
    site: Site,
    today: Date,
    budget: Budget,
    blame: Blame,
    findings: Vec<Finding>,
    /// What is told of the site as it is, with the level.
    known: FxHashMap<String, Level>,
    /// Types that have a fault of their own, or of which something is not decided.
    flawed: BTreeSet<Id<CordType>>,
    /// How many times the whole site was judged.
    pub trials: usize,
}

impl CordTrials {
    /// A site of which so much is `found`.
    pub(super) fn new(site: Site, found: Outcome, settings: &Settings) -> Self {
        let blame = Blame::new(&site.model);
        let findings = found.findings;
        let known = findings
            .iter()
            .map(|f| (f.fingerprint(), f.level))
            .collect();
        let faults = findings.iter().filter(|f| !TIDYING.contains(&f.rule));
        let told = faults.map(|f| blame.told_of(&site.model, f));
        let flawed = told.flat_map(|blamed| blamed.kinds).collect();
        Self {
            site,
            today: settings.today,
            budget: settings.budget,
            blame,
            findings,
            known,
            flawed,
            trials: 1,
        }
    }

    /// How many times at most the site is judged.
    pub(super) fn most_trials(&self) -> usize {
        let model = &self.site.model;
        // What is told costs far more to work out than what is in order.
        let things = model.cords.len() + model.devices.len() + 8 * self.findings.len();
        MOST_TRIALS.min(self.budget.count(Work::Trials) / things.max(1))
    }

    pub(super) fn model(&self) -> &Model {
        &self.site.model
    }

    pub(super) fn analysis(&self) -> Analysis<'_> {
        self.site.analysis(self.today)
    }

    /// What stands of the site as it is.
    pub(super) fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// What a finding of the site as it is, is told of.
    pub(super) fn told_of(&self, finding: &Finding) -> Blamed {
        self.blame.told_of(self.model(), finding)
    }

    pub(super) fn is_flawed(&self, kind: Id<CordType>) -> bool {
        self.flawed.contains(&kind)
    }

    /// Fits other cords, all at once, and judges the whole site.
    pub(super) fn tried(&mut self, fits: &[(Id<Cord>, Fit)]) -> Tried {
        self.trials += 1;
        let before: Vec<_> = fits
            .iter()
            .map(|(cord, fit)| (*cord, self.fit(*cord, *fit)))
            .collect();
        let model = std::mem::take(&mut self.site.model);
        let site = Site::within(model, &self.budget);
        let outcome = standing(&site.analysis(self.today));
        self.site.model = site.model;
        for (cord, (kind, length)) in before {
            let cord = &mut self.site.model.cords[cord].item;
            (cord.cord_type, cord.length) = (kind, length);
        }
        self.compared(fits, &outcome)
    }

    /// Changes the definition of a cord; what was there before.
    fn fit(&mut self, cord: Id<Cord>, fit: Fit) -> (Field<Name>, Field<Length>) {
        let model = &mut self.site.model;
        let name = model.cord_types[fit.kind].name.value.clone();
        let cord = &mut model.cords[cord];
        let at = cord.name.span;
        let kind_at = cord.cord_type.span().unwrap_or(at);
        let length_at = cord.length.span().unwrap_or(kind_at);
        let kind = Field::Given(Spanned {
            value: name,
            span: kind_at,
        });
        let length = match fit.own_length {
            Some(value) => Field::Given(Spanned {
                value,
                span: length_at,
            }),
            None => Field::Absent,
        };
        let item = &mut cord.item;
        (
            std::mem::replace(&mut item.cord_type, kind),
            std::mem::replace(&mut item.length, length),
        )
    }

    fn compared(&self, fits: &[(Id<Cord>, Fit)], outcome: &Outcome) -> Tried {
        let mut tried = Tried {
            is_unclear: !outcome.crashed.is_empty(),
            ..Tried::default()
        };
        let fitted: BTreeMap<Id<Cord>, Id<CordType>> =
            fits.iter().map(|(cord, fit)| (*cord, fit.kind)).collect();
        for finding in &outcome.findings {
            let print = finding.fingerprint();
            if self.is_new(finding, &print) {
                let blamed = self.blame.may_be_due_to(self.model(), finding);
                tried.blame(&blamed, &fitted);
            }
            tried.told.insert(print);
        }
        tried
    }

    fn is_new(&self, finding: &Finding, print: &str) -> bool {
        let before = self.known.get(print);
        !TIDYING.contains(&finding.rule) && before.is_none_or(|level| finding.level > *level)
    }
}

/// What came of fitting other cords.
#[derive(Debug, Default)]
pub(super) struct Tried {
    /// Fingerprints of all that is told.
    told: FxHashSet<String>,
    /// Cords of which something new is told, and whether it may as well be due to another of them.
    new: BTreeMap<Id<Cord>, bool>,
    /// Something new is told that no cord can be blamed for, so that it may be due to any.
    is_unclear: bool,
}

impl Tried {
    fn blame(&mut self, blamed: &Blamed, fitted: &BTreeMap<Id<Cord>, Id<CordType>>) {
        let named: BTreeSet<_> = blamed
            .cords
            .iter()
            .filter(|cord| fitted.contains_key(cord))
            .copied()
            .collect();
        let of_kinds = || {
            let fitted = fitted
                .iter()
                .filter(|(_, kind)| blamed.kinds.contains(kind));
            fitted.map(|(cord, _)| *cord).collect()
        };
        let cords: BTreeSet<_> = if named.is_empty() { of_kinds() } else { named };
        self.is_unclear |= cords.is_empty();
        let is_shared = cords.len() > 1;
        for cord in cords {
            let shared = self.new.entry(cord).or_insert(is_shared);
            *shared &= is_shared;
        }
    }

    /// Whether something new is told that this cord, or nobody in particular, is to be blamed for.
    pub(super) fn has_new(&self, cord: Id<Cord>) -> bool {
        self.is_unclear || self.new.contains_key(&cord)
    }

    /// Whether what is new may be due to another cord that was fitted with this one.
    pub(super) fn may_be_due_to_another(&self, cord: Id<Cord>) -> bool {
        self.new
            .get(&cord)
            .map_or(self.is_unclear, |shared| *shared)
    }

    /// Whether a finding of the site as it was is told no more.
    pub(super) fn is_gone(&self, finding: &Finding) -> bool {
        debug_assert_eq!(finding.verdict, Verdict::Broken);
        !self.told.contains(&finding.fingerprint())
    }
}
