//! The proof of a plan: judged by all rules on the whole site, and changed until nothing new is to be told of it.

use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::Analysis;
use crate::finding::{Finding, Identity, Level, Measure, Move, Verdict};
use crate::ink::{Written, Yaml};
use crate::input::SiteInput;
use crate::judgement::{Settings, Site};
use crate::model::Model;
use crate::policy::Policy;
use crate::quantity::{InUnits, amperes, metres};
use crate::rules::{self, Subject};
use crate::tables::Practice;

use super::entry::Entry;
use super::make::{Make, NewType};
use super::names::{Labels, of_type};
use super::rack::RackPlan;
use super::search::Places;
use super::unplanned::Unplanned;
use super::{Asked, Objective, Plan, PlannedCord, StripLoad, definitions, racks};

/// How often a plan is judged at most: each time all that is blamed takes its next candidate.
const MOST_ROUNDS: usize = 24;

/// What is said of inlets without a cord.
const BARE: &str = rules::records::unfed_inlet::RULE.name;

/// What is said of lines that carry unlike loads. A cord less would not make them alike.
const UNEVEN: &str = rules::circuits::phase_imbalance::RULE.name;

/// A plan on its way.
pub(super) struct Draft<'a> {
    entries: Vec<Entry<'a>>,
    unplanned: Vec<Unplanned>,
    objective: Objective,
    /// Faults for which load was taken off already.
    lightened: BTreeSet<String>,
}

/// A draft as it is judged.
struct WrittenDraft {
    text: Written<Yaml>,
    types: Vec<(String, NewType)>,
    cords: Vec<PlannedCord>,
}

impl<'a> Draft<'a> {
    /// The first proposal; `None` where the cords cannot be labelled.
    pub fn of(
        analysis: &Analysis<'a>,
        plans: &[RackPlan<'a>],
        places: &[Places],
        asked: &Asked,
        (practice, hanging): (Practice, Option<&Model>),
    ) -> Option<Self> {
        let mut labels = Labels::of(analysis.model, hanging)?;
        let stock = racks::stock(analysis, practice);
        let mut draft = Self {
            entries: Vec::new(),
            unplanned: Vec::new(),
            objective: asked.objective,
            lightened: BTreeSet::new(),
        };
        for (plan, places) in plans.iter().zip(places) {
            for (want, place) in places.iter().enumerate() {
                match place {
                    Some((outlet, length)) => {
                        let label = labels.next()?;
                        let best = plan.problem.best_length(want).map_or(*length, usize::from);
                        let lengths = (stock.lengths[*length], stock.lengths[best]);
                        let place = (want, *outlet, lengths);
                        let wish = (practice, asked.objective);
                        match Entry::of(analysis, plan, place, label, wish) {
                            Some(entry) => draft.entries.push(entry),
                            None => draft.unplanned.push(no_cord(analysis, plan, want)),
                        }
                    }
                    None => draft.unplanned.push(Unplanned::of_inlet(
                        analysis,
                        &plan.wanted[want],
                        &plan.outlets,
                        (&stock, practice),
                        plan.problem.ways[want].iter().any(|way| way.is_some()),
                    )),
                }
            }
        }
        Some(draft)
    }

    /// Judges and changes the draft until nothing new is to be told, and fills the plan with what is left.
    pub fn prove(mut self, site: &Site, input: &SiteInput, settings: &Settings, plan: &mut Plan) {
        let analysis = site.analysis(settings.today);
        let before = site.said(settings.today, &[Policy::of(&site.model)], |_| true);
        let known = Known::of(&before.findings);
        for round in 0..=MOST_ROUNDS {
            let written = self.written(&analysis);
            let with_plan = Site::read_within(with(input, &written.text), &settings.budget);
            let after = with_plan.said(settings.today, &[Policy::of(&with_plan.model)], |_| true);
            if !after.crashed.is_empty() {
                plan.untried = Some(format!("the rule {} broke down", after.crashed[0]));
                return;
            }
            let new = after
                .findings
                .iter()
                .filter(|finding| known.is_new(finding));
            // No cord leaves an inlet bare.
            let new = new.filter(|finding| finding.rule != BARE);
            let is_uneven = |finding: &&Finding| {
                let is_broken = finding.verdict == Verdict::Broken;
                finding.rule == UNEVEN && is_broken && finding.level != Level::Error
            };
            let (uneven, new): (Vec<&Finding>, Vec<&Finding>) = new.partition(is_uneven);
            let broken = new
                .iter()
                .filter(|finding| finding.verdict == Verdict::Broken);
            let broken: Vec<&Finding> = broken.copied().collect();
            let is_last = round == MOST_ROUNDS;
            if !broken.is_empty() {
                self.answer(&analysis, &broken, is_last);
                continue;
            }
            if is_last || !self.settle(&analysis, &new, &written) {
                plan.open = new.into_iter().cloned().collect();
                plan.uneven = uneven.into_iter().cloned().collect();
                self.fill(plan, written, with_plan, settings);
                return;
            }
        }
        plan.untried = Some("no plan was found that leaves nothing new to be told".into());
    }

    /// Changes what is blamed for what is new, or takes it out.
    fn answer(&mut self, analysis: &Analysis<'_>, broken: &[&Finding], is_last: bool) {
        let mut changed = BTreeSet::new();
        let mut gone: BTreeMap<usize, &Finding> = BTreeMap::new();
        let names: BTreeMap<String, usize> = self
            .entries
            .iter()
            .enumerate()
            .map(|(at, entry)| (entry.label.clone(), at))
            .collect();
        for finding in broken {
            let told = finding.about.iter().chain(&finding.sufferers);
            let own = told
                .clone()
                .filter_map(|name| names.get(name.split('/').next()?));
            let own: BTreeSet<usize> = own.copied().collect();
            let subject = rules::find(finding.rule).map_or(Subject::Records, |rule| rule.subject);
            if own.is_empty() {
                self.lighten(finding, &mut gone);
                continue;
            }
            for at in own {
                if changed.contains(&at) {
                    continue;
                }
                let has_next =
                    !is_last && self.entries[at].step(analysis, subject, finding, self.objective);
                if has_next {
                    changed.insert(at);
                } else {
                    gone.entry(at).or_insert(finding);
                }
            }
        }
        for (at, finding) in gone.into_iter().rev() {
            let entry = self.entries.remove(at);
            self.unplanned.push(Unplanned {
                what: entry.to,
                why: finding.headline.clone(),
                wanted: finding.remedy.advice.clone(),
            });
        }
    }

    /// Takes the next candidate where a fact of a new type of ours is all that a question wants: what is planned is
    /// for us to decide. Whether anything has changed; what has no next stays an open point.
    fn settle(
        &mut self,
        analysis: &Analysis<'_>,
        open: &[&Finding],
        written: &WrittenDraft,
    ) -> bool {
        let mut has_changed = false;
        for finding in open {
            let subject = rules::find(finding.rule).map_or(Subject::Records, |rule| rule.subject);
            let owners: BTreeSet<&str> = finding.wants.iter().map(|fact| &*fact.owner).collect();
            for (entry, cord) in self.entries.iter_mut().zip(&written.cords) {
                let is_asked = cord.is_new && owners.contains(cord.kind.as_str());
                if is_asked && entry.settled.insert((finding.rule, cord.kind.clone())) {
                    has_changed |= entry.try_step(analysis, subject, finding, self.objective);
                }
            }
        }
        has_changed
    }

    /// Takes the lightest cords off what would carry too much; all of them where that did not help, and of what
    /// nobody can be blamed for.
    fn lighten<'f>(&mut self, finding: &'f Finding, gone: &mut BTreeMap<usize, &'f Finding>) {
        let told: BTreeSet<&str> = finding.about.iter().map(|name| name.as_str()).collect();
        let near = |entry: &Entry<'_>| entry.near.iter().any(|name| told.contains(name.as_str()));
        let blamed = (0..self.entries.len()).filter(|at| near(&self.entries[*at]));
        let mut blamed: Vec<usize> = blamed.collect();
        if blamed.is_empty() {
            gone.extend((0..self.entries.len()).map(|at| (at, finding)));
            return;
        }
        blamed.sort_by(|a, b| {
            let draws = |at: &usize| self.entries[*at].draws;
            draws(a).total_cmp(&draws(b)).then(b.cmp(a))
        });
        let excess = finding.measure.as_ref().and_then(excess);
        let is_first = self.lightened.insert(finding.fingerprint());
        let mut excess = excess.filter(|_| is_first).unwrap_or(f64::INFINITY);
        for at in blamed {
            gone.entry(at).or_insert(finding);
            excess -= self.entries[at].amperes.in_amperes();
            if excess <= 0.0 {
                break;
            }
        }
    }

    fn written(&self, analysis: &Analysis<'_>) -> WrittenDraft {
        let mut types: Vec<(String, NewType)> = Vec::new();
        let mut cords = Vec::new();
        for entry in &self.entries {
            let (kind, is_new) = match &entry.make {
                Make::Existing(kind) => (
                    analysis.model.cord_types[*kind].name.value.to_string(),
                    false,
                ),
                Make::New(own) => {
                    let known = types.iter().find(|(_, make)| make == own);
                    let name = known.map(|(name, _)| name.clone());
                    let name = name.unwrap_or_else(|| {
                        let is_taken = |name: &str| {
                            analysis.model.cord_types.find(name).is_some()
                                || types.iter().any(|(known, _)| known == name)
                        };
                        let pattern = analysis.model.site.names.written().ok().flatten();
                        let pattern = pattern.map(|pattern| pattern.value.as_str());
                        let name = of_type(own, pattern, is_taken);
                        types.push((name.clone(), own.clone()));
                        name
                    });
                    (name, true)
                }
            };
            cords.push(PlannedCord {
                name: entry.label.clone(),
                kind,
                is_new,
                from: entry.from.clone(),
                to: entry.to.clone(),
                rack: entry.rack.clone(),
                length: entry.setting.length,
                bought: entry.setting.bought.clone(),
                way: analysis.on_tape(analysis.rounded_up(entry.way)),
                why: entry.why.clone(),
            });
        }
        let text = definitions::sections(&types, &cords);
        WrittenDraft { text, types, cords }
    }

    fn fill(self, plan: &mut Plan, written: WrittenDraft, with_plan: Site, settings: &Settings) {
        plan.new_types = written.types.len();
        plan.strips = strips(&with_plan.analysis(settings.today), &written.cords);
        let all: f64 = written
            .cords
            .iter()
            .map(|cord| cord.length.in_metres())
            .sum();
        let least: f64 = self
            .entries
            .iter()
            .map(|entry| entry.best.in_metres())
            .sum();
        plan.length = (metres(all), metres(least));
        plan.unplanned.extend(self.unplanned);
        plan.sections.types = written
            .types
            .iter()
            .map(|(name, make)| {
                let mut yaml = Written::<Yaml>::new();
                yaml.scalar(name).ours(": ");
                definitions::of_type(&mut yaml, make);
                yaml.as_str().to_owned()
            })
            .collect();
        plan.sections.cords = written
            .cords
            .iter()
            .map(|cord| {
                let mut yaml = Written::<Yaml>::new();
                yaml.scalar(&cord.name).ours(": ");
                definitions::of_cord(&mut yaml, cord);
                (cord.rack.clone(), yaml.as_str().to_owned())
            })
            .collect();
        plan.cords = written.cords;
        plan.definitions = written.text;
        plan.sources = with_plan.sources;
    }
}

fn no_cord(analysis: &Analysis<'_>, plan: &RackPlan<'_>, want: usize) -> Unplanned {
    let link = &analysis.graph.links.inlets[plan.wanted[want].inlet as usize];
    let is_offered = !analysis.model.offers.is_empty();
    Unplanned {
        what: analysis.inlet_name(link).to_string(),
        why: match is_offered {
            true => "no offer that holds makes a cord for it in that length and colour that bears the full rating of its couplers".into(),
            false => "no cord of the tables bears the full rating of its couplers in the air of its place".into(),
        },
        wanted: match is_offered {
            true => "An offer of such a cord, or a type of the site's own that serves there.".into(),
            false => "Cooler air, or a type of the site's own that serves there.".into(),
        },
    }
}

/// Amperes above a limit, where that is what was measured.
fn excess(measure: &Measure) -> Option<f64> {
    let over = measure.value.number() - measure.limit.number();
    (measure.is_like(&Measure::above(amperes(1.0), amperes(1.0))) && over > 0.0).then_some(over)
}

/// What was told before there was a plan.
struct Known<'f> {
    findings: BTreeMap<Identity<'f>, &'f Finding>,
}

impl<'f> Known<'f> {
    fn of(findings: &'f [Finding]) -> Self {
        Self {
            findings: findings
                .iter()
                .map(|finding| (finding.identity(), finding))
                .collect(),
        }
    }

    /// Whether a finding was not told before, or is worse than it was.
    fn is_new(&self, finding: &&Finding) -> bool {
        let Some(before) = self.findings.get(&finding.identity()) else {
            return true;
        };
        match (&finding.measure, &before.measure) {
            (Some(now), Some(then)) => now.moved_since(then) == Move::Worse,
            _ => false,
        }
    }
}

/// The site with a further file.
fn with(input: &SiteInput, text: &Written<Yaml>) -> SiteInput {
    let mut input = input.clone();
    let is_taken = |path: &String| input.files.iter().any(|(own, _)| own == path);
    let paths = (0_u32..).map(|number| format!("planned-{number}.yaml"));
    let path = paths
        .into_iter()
        .find(|path| !is_taken(path))
        .unwrap_or_default();
    input.files.push((path, text.as_str().as_bytes().to_vec()));
    input.files.sort();
    input
}

/// The strips that cords of a plan hang on, with the load of their largest line.
fn strips(analysis: &Analysis<'_>, cords: &[PlannedCord]) -> Vec<StripLoad> {
    let names: BTreeSet<&str> = cords
        .iter()
        .filter_map(|cord| cord.from.rsplit_once('/'))
        .map(|(pdu, _)| pdu)
        .collect();
    let loads = names.into_iter().filter_map(|name| {
        let pdu = analysis.model.pdus.find(name)?;
        let id = analysis.graph.pdu(pdu)?;
        let poles = analysis
            .graph
            .poles(id)
            .filter(|pole| *pole != crate::model::circuits::Pole::N);
        let lines: Vec<f64> = poles
            .map(|pole| {
                let worst = analysis.flows.worst_on(analysis.graph, id, pole);
                worst.map_or(0.0, |worst| worst.current.in_amperes())
            })
            .collect();
        let mean = lines.iter().sum::<f64>() / lines.len().max(1) as f64;
        Some(StripLoad {
            pdu: name.to_owned(),
            top: amperes(lines.iter().copied().fold(0.0, f64::max)),
            least: amperes(mean),
            limit: analysis.held(id).lines().limit.map(|limit| limit.current),
        })
    });
    loads.collect()
}
