//! The value that decides: how good a fact must be for every question that hangs on it to be answered
//! well, tried on the whole site.

use std::collections::BTreeSet;

use rayon::prelude::*;

use crate::budget::{Budget, Work};
use crate::finding::{Fact, Finding, Level, Verdict};
use crate::input::SiteInput;
use crate::judgement::{Judgement, Settings, Site};
use crate::remedy::applied;
use crate::source::Sources;

use super::missing::Missing;
use super::write_in;

/// The values that a fact may have, from one that is surely too bad to one that nothing betters.
struct Range {
    kind: &'static str,
    key: &'static str,
    worst: f64,
    best: f64,
    unit: &'static str,
    /// Parts of the unit that are told.
    decimals: usize,
    /// What is said of the value: `or more`.
    side: &'static str,
}

const fn range(
    (kind, key): (&'static str, &'static str),
    (worst, best): (f64, f64),
    unit: &'static str,
    decimals: usize,
    side: &'static str,
) -> Range {
    Range {
        kind,
        key,
        worst,
        best,
        unit,
        decimals,
        side,
    }
}

/// Facts of which more, or less, is never worse. The ends are wide and decide nothing: a value between
/// them does, and it is tried.
const RANGES: &[Range] = &[
    range(
        ("device model", "power-factor"),
        (0.1, 1.0),
        "",
        2,
        "or better",
    ),
    range(
        ("device model", "rating"),
        (50_000.0, 1.0),
        " W",
        0,
        "or less",
    ),
    range(
        ("device model", "earth-current"),
        (200.0, 0.01),
        " mA",
        2,
        "or less",
    ),
    range(
        ("device model", "inrush"),
        (2_000.0, 0.1),
        " A",
        1,
        "or less",
    ),
    range(
        ("device model", "third-harmonic"),
        (100.0, 0.0),
        " %",
        1,
        "or less",
    ),
    range(
        ("device model", "inlets.capacity"),
        (1.0, 50_000.0),
        " W",
        0,
        "or more",
    ),
    range(("device", "draw"), (50_000.0, 1.0), " W", 0, "or less"),
    range(
        ("supply", "capacity"),
        (0.1, 20_000.0),
        " kVA",
        1,
        "or more",
    ),
    range(
        ("circuit", "breaker.breaking-capacity"),
        (0.1, 200.0),
        " kA",
        1,
        "or more",
    ),
    range(
        ("circuit", "breaker.let-through"),
        (5_000.0, 0.01),
        " kA²s",
        2,
        "or less",
    ),
    range(
        ("PDU model", "banks.breaker.breaking-capacity"),
        (0.1, 200.0),
        " kA",
        1,
        "or more",
    ),
    range(
        ("PDU model", "banks.breaker.let-through"),
        (5_000.0, 0.01),
        " kA²s",
        2,
        "or less",
    ),
    range(
        ("PDU model", "ambient-limit"),
        (1.0, 100.0),
        " °C",
        0,
        "or more",
    ),
    range(("zone", "ambient"), (80.0, 1.0), " °C", 0, "or less"),
    range(("site", "ambient"), (80.0, 1.0), " °C", 0, "or less"),
];

impl Range {
    fn of(fact: &Fact) -> Option<&'static Self> {
        let mut ranges = RANGES.iter();
        ranges.find(|range| range.kind == fact.kind && range.key == fact.key)
    }

    /// A value at this part of the way from the worst to the best, told to the safe side.
    fn at(&self, part: f64) -> f64 {
        let value = self.worst + (self.best - self.worst) * part;
        let scale = 10_f64.powi(self.decimals as i32);
        match self.best > self.worst {
            true => (value * scale).ceil() / scale,
            false => (value * scale).floor() / scale,
        }
    }

    fn show(&self, value: f64) -> String {
        format!("{value:.*}{}", self.decimals, self.unit)
    }
}

/// Halvings: a part in four thousand of the range.
const STEPS: usize = 12;

/// A site to try values on.
pub struct ValueTrials<'a> {
    sources: &'a Sources,
    as_is: SiteInput,
    settings: &'a Settings,
    findings: &'a [Finding],
    /// The fingerprints of what was found.
    before: BTreeSet<String>,
    /// How many things' work a judgement is.
    things: usize,
}

/// Bytes of text that are as much work to read as a thing is to judge, whatever stands in them.
const BYTES_OF_A_THING: usize = 100;

impl<'a> ValueTrials<'a> {
    /// A site as it was judged; `None` if not all of it was read, for then no value decides.
    pub fn new(judged: &'a Judgement, settings: &'a Settings) -> Option<Self> {
        let is_whole = judged.unread.is_empty() && judged.crashed.is_empty();
        is_whole.then(|| Self {
            sources: &judged.sources,
            as_is: as_read(&judged.sources),
            settings,
            findings: &judged.findings,
            before: fingerprints(&judged.findings),
            things: things(judged),
        })
    }

    /// Looks for the values that decide, of as many facts as so many trials of a thing allow, the first
    /// ones first.
    pub fn decide(&self, missing: &mut [Missing], trials: usize) {
        let judgements = trials / self.things;
        let tried = missing
            .iter_mut()
            .filter(|missing| Range::of(&missing.fact).is_some())
            .take(judgements / (STEPS + 2));
        let tried: Vec<&mut Missing> = tried.collect();
        tried
            .into_par_iter()
            .for_each(|missing| missing.decides = self.decides(missing));
    }

    /// The same as far as the budget allows.
    pub fn decide_within(&self, missing: &mut [Missing], budget: &Budget) {
        self.decide(missing, budget.count(Work::Trials));
    }

    /// `0.74 or better`; nothing where no value of this fact alone answers all questions.
    fn decides(&self, missing: &Missing) -> Option<String> {
        let range = Range::of(&missing.fact)?;
        let asked = self.asked(&missing.fact);
        let passes = |value: f64| self.passes(missing, &asked, &range.show(value));
        let best = range.at(1.0);
        match passes(best)? {
            Trial::Open => return None,
            Trial::Broken => return Some(format!("not even {} passes", range.show(best))),
            Trial::Passes => {}
        }
        if passes(range.at(0.0))? == Trial::Passes {
            return Some("any value passes".to_owned());
        }
        let (mut bad, mut good) = (0.0, 1.0);
        for _ in 0..STEPS {
            let middle = f64::midpoint(bad, good);
            match passes(range.at(middle))? {
                Trial::Passes => good = middle,
                Trial::Open | Trial::Broken => bad = middle,
            }
        }
        Some(format!("{} {}", range.show(range.at(good)), range.side))
    }

    /// What becomes of the questions if a fact has a value; `None` where it cannot be written.
    fn passes(&self, missing: &Missing, asked: &BTreeSet<String>, value: &str) -> Option<Trial> {
        let fact = &missing.fact;
        let source = self.sources.file(fact.span.file);
        let (edits, refused) = write_in::edits(source, fact.span.file, &[(0, fact, value)]);
        if !refused.is_empty() {
            return None;
        }
        let changed = applied(self.sources, &edits);
        let input = self.as_is.clone().with_texts(&changed);
        let settings = Settings {
            only: missing
                .rules
                .iter()
                .map(|rule| (*rule).to_owned())
                .collect(),
            ..self.settings.clone()
        };
        let judged = Site::read_within(input, &settings.budget).judge(&settings);
        Some(self.outcome(asked, &judged.findings))
    }

    /// The fingerprints of the questions that hang on a fact.
    fn asked(&self, fact: &Fact) -> BTreeSet<String> {
        let same = |other: &Fact| {
            (other.kind, &other.owner, other.path()) == (fact.kind, &fact.owner, fact.path())
        };
        let wants = |finding: &&Finding| finding.wants.iter().any(same);
        fingerprints(self.findings.iter().filter(wants))
    }

    fn outcome(&self, asked: &BTreeSet<String>, findings: &[Finding]) -> Trial {
        let is_new = |finding: &&Finding| !self.before.contains(&finding.fingerprint());
        // What is worth knowing and endangers nobody decides nothing.
        let mut broken = findings.iter().filter(is_new);
        if broken.any(|f| f.verdict == Verdict::Broken && f.level > Level::Note) {
            return Trial::Broken;
        }
        let mut open = findings.iter().filter(|f| f.verdict == Verdict::Open);
        match open.any(|f| asked.contains(&f.fingerprint()) || is_new(&f)) {
            true => Trial::Open,
            false => Trial::Passes,
        }
    }
}

fn as_read(sources: &Sources) -> SiteInput {
    let files = sources.iter();
    let files = files.map(|(_, source)| (source.path.clone(), source.text.as_bytes().to_vec()));
    SiteInput {
        files: files.collect(),
        ..SiteInput::default()
    }
}

fn fingerprints<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> BTreeSet<String> {
    findings.into_iter().map(Finding::fingerprint).collect()
}

/// How many things' work a judgement is: all that is defined is judged, and all of the text is read.
fn things(judged: &Judgement) -> usize {
    let census = &judged.census;
    let defined = census.supplies + census.circuits + census.pdus + census.devices + census.cords;
    let texts = judged.sources.iter().map(|(_, source)| source.text.len());
    let text = texts.sum::<usize>() / BYTES_OF_A_THING;
    (defined + text).max(1)
}

/// What a value makes of the questions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Trial {
    /// All are answered, and nothing is broken.
    Passes,
    /// Something is broken then.
    Broken,
    /// Some are still open.
    Open,
}
