//! A site judged as a change of what it was.

mod hung;

use crate::agreed::Parted;
use crate::analysis::Shared;
use crate::comparison::{Balance, ChangedKey, Comparison, Gone, changed_keys, matched, stricter};
use crate::finding::{Finding, Level, Since};
use crate::flow::Flows;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::policy::{LIMITS, Policy, Reading, SiteLimit};
use crate::rules::{self, Changed, Check, LostFile, Rule};
use crate::source::{Source, Sources};

use super::{Judgement, Settings, Site, undone};

/// What a change is judged against.
#[derive(Clone, Copy, Debug)]
pub struct Before<'a> {
    /// The earlier state; `None` where there was no site yet.
    pub site: Option<&'a Site>,
    /// The revision, as it was named.
    pub revision: &'a str,
    /// The policy by which the change is judged: it is not the change's own to set.
    pub policy: Policy<'a>,
    /// What was judged, is still there, and is judged no more.
    pub lost: &'a [LostFile],
    /// What was judged, and is left out now by the site's choice of files.
    pub left_out: &'a [String],
    /// Whether what the change relaxes holds and is merely told.
    pub relaxations_hold: bool,
}

impl Site {
    /// Judges the site as a change of what it was: by its own policy and by the one before, whichever
    /// is stricter.
    pub fn judge_change(mut self, settings: &Settings, before: &Before<'_>) -> Judgement {
        let of_change = self.of_change(settings, before);
        let relaxations = of_change
            .iter()
            .filter(|finding| is_relaxation(finding))
            .count();
        let (mut parted, mut crashed) = self.by_both(settings, before);
        let (earlier, broke_down) = earlier(settings, before);
        crashed.extend(broke_down);
        crashed.sort();
        crashed.dedup();
        let departed = parted.departed.iter().map(|departed| &departed.finding);
        let known = parted.known.iter().map(|known| &known.finding);
        let standing = std::mem::take(&mut parted.standing);
        let matched = matched(standing, departed.chain(known), &earlier);
        parted.standing = matched.now;
        parted.standing.extend(of_change);
        parted.standing.sort_by(Finding::order);
        let comparison = Comparison {
            revision: before.revision.to_owned(),
            earlier_state: before.site.map(|site| site.sources.state()),
            gone: self.gone(matched.gone, before),
            balance: self.balance(before),
            changed_keys: self.changed_keys(before),
            relaxations_hold: before.relaxations_hold,
            relaxations,
        };
        let blocks = before.policy.blocks_open_points() && !before.relaxations_hold;
        let mut judgement = self.into_judgement(settings.today, parted, crashed);
        judgement.open_points_block |= blocks;
        judgement.comparison = Some(comparison);
        judgement
    }

    /// What the rules that look at a change say of it. Relaxations that hold are notes; what is out of
    /// sight is never anything but an error.
    fn of_change(&self, settings: &Settings, before: &Before<'_>) -> Vec<Finding> {
        let unloaded = self.unloaded(before);
        let hung = before.site.map(|site| hung::hung(self, site));
        let changed = Changed {
            hung: &hung.unwrap_or_default(),
            unloaded: &unloaded,
            now: Policy::of(&self.model),
            before: before.policy,
            lost: before.lost,
            left_out: before.left_out,
        };
        let analysis = self.analysis(settings.today);
        let outcome = rules::run_on_change(&analysis, &changed, |rule| settings.wants(rule));
        let mut findings = outcome.findings;
        for finding in &mut findings {
            finding.since = Since::New;
            if before.relaxations_hold && is_relaxation(finding) {
                finding.level = Level::Note;
            }
        }
        findings
    }

    /// Devices that are still there, whose load was known before and is not any more.
    fn unloaded(&self, before: &Before<'_>) -> Vec<Id<Device>> {
        let Some(earlier) = before.site else {
            return Vec::new();
        };
        let was_known = |name: &str| {
            let device = earlier.model.devices.find(name);
            device.is_some_and(|device| earlier.flows.loads.device(device).basis.is_ok())
        };
        let devices = self.model.devices.iter();
        let unknown = devices.filter(|(device, _)| self.flows.loads.device(*device).basis.is_err());
        let unloaded = unknown.filter(|(_, item)| was_known(&item.name.value));
        unloaded.map(|(device, _)| device).collect()
    }

    /// The site by its own limits and demands, and where those may be laxer by those before as well; let
    /// through is only what both policies let through.
    fn by_both(&mut self, settings: &Settings, before: &Before<'_>) -> (Parted, Vec<String>) {
        if before.relaxations_hold {
            return self.parted(settings, &[Policy::of(&self.model)], |_| true);
        }
        let policies = [Policy::of(&self.model), before.policy];
        let (parted, mut crashed) = self.parted(settings, &policies, |_| true);
        if !self.may_have_laxer_limits(before) && !before.policy.demands_more_than(&self.model) {
            return (parted, crashed);
        }
        before.policy.put_limits_into(&mut self.model);
        before.policy.put_demands_into(&mut self.model);
        self.flows = Flows::within(&self.model, &self.graph, &settings.budget);
        if let Some(fitted) = &mut self.fitted {
            before.policy.put_limits_into(&mut fitted.model);
            before.policy.put_demands_into(&mut fitted.model);
            fitted.flows = Flows::within(&fitted.model, &fitted.graph, &settings.budget);
            fitted.shared = Shared::default();
        }
        self.unread.extend(undone(self, &settings.budget));
        self.unread.sort();
        self.unread.dedup();
        self.shared = Shared::default();
        let policies = [Policy::of(&self.model), before.policy];
        // What is said of the policies themselves has been said.
        let looks_at_the_site = |rule: &Rule| matches!(rule.check, Check::Site(_));
        let (other, broke_down) = self.parted(settings, &policies, looks_at_the_site);
        crashed.extend(broke_down);
        (stricter(parted, other), crashed)
    }

    /// Whether a limit differs that may let more through than before: any but one that was set before,
    /// and is set stricter now.
    fn may_have_laxer_limits(&self, before: &Before<'_>) -> bool {
        let own = Policy::of(&self.model);
        let may_be_laxer = |limit: &SiteLimit| match (own.limit(limit), before.policy.limit(limit))
        {
            (now, then) if now == then => false,
            (Reading::Number(now), Reading::Number(then)) => !limit.is_stricter(now, then),
            _ => true,
        };
        LIMITS.iter().any(may_be_laxer) || own.sockets_beyond(&before.policy).next().is_some()
    }

    /// The faults that went away. While a part of the site is not judged nobody knows whether they
    /// did: what makes them may stand there.
    fn gone(&self, gone: Vec<Finding>, before: &Before<'_>) -> Vec<Gone> {
        let is_whole =
            self.unread.is_empty() && !self.model.is_incomplete && before.lost.is_empty();
        let Some(site) = before.site.filter(|_| is_whole) else {
            return Vec::new();
        };
        let mut gone: Vec<Gone> = gone
            .into_iter()
            .map(|finding| Gone::of(&site.sources, finding))
            .collect();
        gone.sort();
        gone
    }

    fn balance(&self, before: &Before<'_>) -> Balance {
        match before.site {
            Some(site) => Balance::of((&site.model, &site.flows), (&self.model, &self.flows)),
            None => Balance::default(),
        }
    }

    fn changed_keys(&self, before: &Before<'_>) -> Vec<ChangedKey> {
        let Some(site) = before.site else {
            return Vec::new();
        };
        let old = apart(&site.sources, &self.sources);
        changed_keys(old, apart(&self.sources, &site.sources))
    }
}

/// The files that are not the same, byte for byte, in another state.
fn apart<'a>(these: &'a Sources, others: &'a Sources) -> impl Iterator<Item = &'a Source> {
    these.iter().map(|(_, source)| source).filter(|source| {
        let other = others.by_path(&source.path).map(|id| &others.file(id).text);
        other != Some(&source.text)
    })
}

fn is_relaxation(finding: &Finding) -> bool {
    finding.rule == rules::records::policy_relaxed::RULE.name
}

/// What stood before the change, and the rules that broke down over it: what they would have found
/// then counts as new, which is the safe side.
fn earlier(settings: &Settings, before: &Before<'_>) -> (Vec<Finding>, Vec<String>) {
    let Some(site) = before.site else {
        return (Vec::new(), Vec::new());
    };
    let (parted, crashed) = site.parted(settings, &[Policy::of(&site.model)], |_| true);
    (parted.standing, crashed)
}
