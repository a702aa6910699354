//! What would put the findings of a site right: slips of the definitions that can be meant in one
//! way only, and other cords, each tried on the whole site by every rule.
//!
//! A cord is offered only where the site, with it fitted, has nothing new to be told of: not at that
//! cord, not at its neighbours, and nothing that can no longer be decided.

mod blame;
mod candidates;
mod case;
mod corrections;
mod edits;
mod fitting;
mod neighbours;
mod search;
mod told_length;
mod trial;

use std::collections::BTreeMap;

use rustc_hash::FxHashSet;

use crate::finding::{Edit, Finding, Level, Verdict};
use crate::input::SiteInput;
use crate::judgement::{Settings, Site};
use crate::model::Model;
use crate::model::cords::{Cord, CordType};
use crate::model::value::{Id, Name, Named};
use crate::quantity::{Length, Quantity};
use crate::source::{Sources, Span};

pub use corrections::Correction;
pub use edits::applied;
pub use fitting::{Fitting, fittings};

use edits::Writing;
use search::search;
use trial::{CordTrials, standing};

/// What would put the findings of a site right.
#[derive(Debug, Default)]
pub struct Remedies {
    /// The site's name, where it gives one.
    pub name: Option<String>,
    /// Its text as it is.
    pub sources: Sources,
    /// Slips of the definitions.
    pub corrections: Vec<Correction>,
    /// Slips in files that are not written.
    pub by_hand: Vec<Correction>,
    /// Files that sure edits would change and that are not written, each with the reason.
    pub unwritten: BTreeMap<String, String>,
    /// Its text with the corrections made.
    pub corrected: Sources,
    /// Cords that may have to be another one, in the order of the definitions.
    pub refits: Vec<Refit>,
    /// Broken findings of the corrected text that no other cord puts right.
    pub others: Vec<Finding>,
    /// Why no cords were tried, where none were.
    pub untried: Option<String>,
    /// Whether the search for other cords ended with the budget.
    is_cut_short: bool,
    /// Files that the sure edits change, with their new text: all corrections, and the cords that
    /// only one other can take the place of.
    pub changed: Vec<(String, String)>,
    /// The worst that stands once those files are written; `None` if nothing does.
    pub worst_left: Option<Level>,
}

/// A cord with findings that another cord may put right.
#[derive(Clone, Debug)]
pub struct Refit {
    /// Its label.
    pub cord: Name,
    /// Where it is defined, in the corrected text.
    pub span: Span,
    /// Its type now.
    pub kind: Name,
    /// Its length now.
    pub length: Option<Length>,
    /// Rules whose findings of it stand.
    pub rules: Vec<&'static str>,
    /// What can be fitted instead, the most like it first; each puts as many findings right.
    pub choices: Vec<Choice>,
    /// Whether all other cords were tried, or so many that do that more need not be known.
    pub is_searched: bool,
    /// The edits that write the only choice into the definitions; none where there is no such one.
    pub edits: Vec<Edit>,
}

/// A cord to fit instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Its type.
    pub kind: Name,
    /// Its length.
    pub length: Option<Length>,
    /// Whether the length is its own rather than its type's.
    pub is_own_length: bool,
    /// What a type of that length would be called, where the name of its type tells another.
    pub new_kind: Option<Name>,
    /// Rules of which it puts right all that is found of the cord.
    pub puts_right: Vec<&'static str>,
    fit: Fit,
}

impl Choice {
    /// Whether the name of its type would tell another length than it has, and no type can be called for it.
    pub fn is_belied(&self) -> bool {
        self.belied_by().is_some() && self.new_kind.is_none()
    }

    /// The length that the name of its type belies.
    fn belied_by(&self) -> Option<Length> {
        let own = self.length.filter(|_| self.is_own_length);
        own.filter(|own| told_length::tells_another_length(&self.kind, *own))
    }
}

/// A cord of some type, and its length where it is not its type's.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Fit {
    kind: Id<CordType>,
    own_length: Option<Length>,
}

/// Looks for everything that would put the findings of a site right. Files that are `fixed`, each
/// with the reason, stay as they are.
pub fn remedies(
    input: SiteInput,
    fixed: &BTreeMap<String, String>,
    settings: &Settings,
) -> Remedies {
    let read = |input: SiteInput| {
        let site = Site::read_within(input, &settings.budget);
        let found = standing(&site.analysis(settings.today));
        (site, found)
    };
    let (as_is, found) = read(input.clone());
    let all = corrections::of(&as_is, &found.findings);
    let mut unwritten = BTreeMap::new();
    let (by_hand, corrections): (Vec<_>, Vec<_>) = all.into_iter().partition(|correction| {
        let kept = in_fixed(&as_is.sources, &correction.edits, fixed);
        let is_kept = !kept.is_empty();
        unwritten.extend(kept);
        is_kept
    });
    let edits = corrections.iter().flat_map(|correction| &correction.edits);
    let changed = applied(&as_is.sources, edits);
    let input = input.with_texts(&changed);
    let name = as_is.model.site.name.known().map(ToString::to_string);
    let sources = as_is.sources.clone();
    // Where nothing is corrected, nothing need be read again.
    let (corrected, found) = match changed.is_empty() {
        true => (as_is, found),
        false => read(input.clone()),
    };
    let mut remedies = Remedies {
        name,
        sources,
        corrections,
        by_hand,
        unwritten,
        untried: why_untried(&corrected, &found.crashed),
        corrected: corrected.sources.clone(),
        changed,
        ..Remedies::default()
    };
    let before = remedies.changed.clone();
    let mut left = broken(found.findings.clone());
    if remedies.untried.is_none() {
        remedies.try_cords(CordTrials::new(corrected, found, settings), &input, fixed);
    } else {
        remedies.others = left.clone();
    }
    if remedies.changed != before {
        left = broken(read(input.with_texts(&remedies.changed)).1.findings);
    }
    let by_hand: FxHashSet<_> = remedies.by_hand.iter().map(Correction::what).collect();
    let is_slip = |finding: &Finding| by_hand.contains(&(finding.rule, &*finding.remedy.edits));
    remedies.others.retain(|finding| !is_slip(finding));
    remedies.worst_left = left.iter().map(|finding| finding.level).max();
    remedies
}

/// The files of edits that stay as they are, with the reasons.
fn in_fixed(
    sources: &Sources,
    edits: &[Edit],
    fixed: &BTreeMap<String, String>,
) -> BTreeMap<String, String> {
    let files = edits.iter().map(|edit| &sources.file(edit.span.file).path);
    let kept = files.filter_map(|path| fixed.get_key_value(path));
    kept.map(|(path, why)| (path.clone(), why.clone()))
        .collect()
}

/// What would be new may hide in what cannot be read, or be told by a rule that broke down.
fn why_untried(site: &Site, crashed: &[String]) -> Option<String> {
    if let Some(rule) = crashed.first() {
        return Some(format!("the rule {rule} broke down"));
    }
    match site.unread.first() {
        Some(file) => Some(format!("{}: {}", file.path, file.why)),
        None if site.model.is_incomplete => Some("a part of the definitions is missing".into()),
        None => None,
    }
}

impl Remedies {
    /// The first cord for which not everything was tried, where the search ended with the budget.
    pub fn cut_short_at(&self) -> Option<&Refit> {
        let mut refits = self.refits.iter().filter(|_| self.is_cut_short);
        refits.find(|refit| !refit.is_searched)
    }

    fn try_cords(
        &mut self,
        mut fitted: CordTrials,
        input: &SiteInput,
        fixed: &BTreeMap<String, String>,
    ) {
        let trials = fitted.most_trials();
        let searched = search(&mut fitted, trials);
        self.is_cut_short = searched.is_cut_short;
        self.refits = searched.refits;
        let writing = Writing::new(&self.corrected, fitted.model());
        for refit in &mut self.refits {
            let only = refit.only_choice().map(|choice| choice.fit);
            let edits = only.and_then(|fit| writing.edits(&refit.cord, fit));
            let edits = edits.unwrap_or_default();
            let kept = in_fixed(&self.corrected, &edits, fixed);
            refit.edits = if kept.is_empty() { edits } else { Vec::new() };
            self.unwritten.extend(kept);
        }
        self.others = broken(fitted.findings().to_vec());
        let helped: FxHashSet<_> = self.refits.iter().flat_map(Refit::helps).collect();
        let is_helped = |finding: &Finding| {
            let mut names = finding.about.iter();
            names.any(|name| helped.contains(&(finding.rule, name)))
        };
        self.others.retain(|finding| !is_helped(finding));
        while !self.is_sound(&mut fitted) {}
        self.write_refits(fitted.model(), input);
    }

    /// Whether nothing is new with all that is to be written; what something new is told of is then
    /// not written.
    fn is_sound(&mut self, fitted: &mut CordTrials) -> bool {
        let written = self.refits.iter().filter(|refit| !refit.edits.is_empty());
        let fits = written.filter_map(|refit| {
            let cord = fitted.model().cords.find(&refit.cord)?;
            Some((cord, refit.only_choice()?.fit))
        });
        let fits: Vec<_> = fits.collect();
        if fits.is_empty() {
            return true;
        }
        let tried = fitted.tried(&fits);
        let mut is_sound = true;
        for refit in self
            .refits
            .iter_mut()
            .filter(|refit| !refit.edits.is_empty())
        {
            let cord = fitted.model().cords.find(&refit.cord);
            if cord.is_none_or(|cord| tried.has_new(cord)) {
                refit.edits.clear();
                is_sound = false;
            }
        }
        is_sound
    }

    /// Puts the edits of cords into the text, if the text then says just that of every cord.
    fn write_refits(&mut self, model: &Model, input: &SiteInput) {
        let written = self.refits.iter().filter(|refit| !refit.edits.is_empty());
        let choices = written.filter_map(|refit| Some((&refit.cord, refit.only_choice()?)));
        let choices: BTreeMap<&Name, &Choice> = choices.collect();
        let edits = self.refits.iter().flat_map(|refit| &refit.edits);
        let texts = applied(&self.corrected, edits);
        if texts.is_empty() {
            return;
        }
        let read = Site::definitions(input.clone().with_texts(&texts)).cords;
        let is_as_meant = |(before, after): (&Named<Cord>, &Named<Cord>)| {
            let own_length = match choices.get(&before.name.value) {
                Some(choice) => {
                    let kind = choice.new_kind.as_ref().unwrap_or(&choice.kind);
                    if after.cord_type.known() != Some(kind) {
                        return false;
                    }
                    let is_written = before.length.given().is_some();
                    let is_own = choice.is_own_length && (choice.new_kind.is_none() || is_written);
                    choice.length.filter(|_| is_own)
                }
                None if after.cord_type.known() != before.cord_type.known() => return false,
                None => before.length.known().copied(),
            };
            before.name.value == after.name.value && after.length.known().copied() == own_length
        };
        let cords = model.cords.items().iter().zip(read.items());
        if model.cords.len() != read.len() || !cords.into_iter().all(is_as_meant) {
            self.refits.iter_mut().for_each(|refit| refit.edits.clear());
            return;
        }
        for (path, text) in texts {
            self.changed.retain(|(known, _)| *known != path);
            self.changed.push((path, text));
        }
        self.changed.sort();
    }
}

/// Findings that are broken rather than undecided.
fn broken(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.retain(|finding| finding.verdict == Verdict::Broken);
    findings
}

impl Refit {
    /// The choice that is the only one, and leaves nothing of the cord to be told.
    fn only_choice(&self) -> Option<&Choice> {
        match self.choices.as_slice() {
            [only] if self.is_searched && only.puts_right == self.rules => Some(only),
            _ => None,
        }
    }

    /// A choice in words: what to fit, and what then still stands.
    pub fn described(&self, choice: &Choice) -> String {
        let mut words = match (&choice.new_kind, choice.kind == self.kind) {
            (Some(kind), _) => format!("{kind}, a new type like {}", choice.kind),
            (None, true) => "the same type".to_owned(),
            (None, false) => choice.kind.to_string(),
        };
        if let Some(length) = choice.length {
            let length = length.show();
            words += &match choice.is_own_length {
                true if choice.new_kind.is_none() => format!(", {length} long"),
                _ => format!(" ({length})"),
            };
        }
        let left = self.rules.iter().copied();
        let left: Vec<&str> = left
            .filter(|rule| !choice.puts_right.contains(rule))
            .collect();
        if !left.is_empty() {
            words += &format!("; {} then still stands", left.join(", "));
        }
        words
    }

    /// The rules that the choices put right, at the cord and at its type.
    fn helps(&self) -> impl Iterator<Item = (&'static str, &Name)> {
        let rules = self.choices.first().map(|choice| &choice.puts_right);
        let rules = rules.into_iter().flatten();
        rules.flat_map(|rule| [(*rule, &self.cord), (*rule, &self.kind)])
    }
}
