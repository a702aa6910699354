//! Open points: a limit or a load is not known, so that nobody can say whether a thing is overloaded.

use std::collections::BTreeMap;

use crate::analysis::{Analysis, LoadGap};
use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::ElementId;
use crate::model::devices::Device;
use crate::model::value::{Id, Name};
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, Rule};
use crate::source::Span;

use crate::analysis::Missing;

/// A limit that is not known.
fn limit(rule: &Rule, missing: &Missing) -> Draft {
    let Missing {
        what, at, owner, ..
    } = missing;
    let how = missing.how();
    let headline = match how {
        "is missing" => format!("is {owner} overloaded? Missing: {what}"),
        _ => format!("is {owner} overloaded? Open: {what} {how}"),
    };
    let basis = Citation::marked("rating as marked on the part");
    Draft::new(
        rule,
        headline,
        *at,
        format!("not decided: {what} {how}"),
        basis,
    )
    .about([missing.name.clone()])
    .kind("limit-missing")
    .advice(format!(
        "Read {what} off the part or its data sheet and write it down."
    ))
    .wants(missing.fact.clone())
}

/// Elements that cannot be judged, gathered by what is missing: one open point for each limit that
/// is not known, for strips of one model have the same, and one for each device whose load is not
/// known, whatever it hangs on.
pub struct Undecided {
    /// What is asked, before and after the name of the element.
    words: (&'static str, &'static str),
    limits: ToldOnce<(Span, Name, String)>,
    points: BTreeMap<Id<Device>, Vec<Point>>,
}

struct Point {
    of: ElementId,
    known: Option<String>,
    basis: Option<Citation>,
}

impl Undecided {
    /// None yet; `words` stand around the name of an element: `is ` `circuit A-1` ` overloaded`.
    pub fn new(before: &'static str, after: &'static str) -> Self {
        Self {
            words: (before, after),
            limits: ToldOnce::default(),
            points: BTreeMap::new(),
        }
    }

    /// Adds an element whose limit is not known.
    pub fn add_limit(
        &mut self,
        rule: &Rule,
        analysis: &Analysis<'_>,
        of: ElementId,
        missing: &Missing,
    ) {
        let what = (missing.at, missing.name.clone(), missing.what.clone());
        let sufferer = missing.is_of_model.then(|| analysis.whole(of).clone());
        let told = self.limits.tell(what, || limit(rule, missing));
        told.suffered_by(sufferer);
    }

    /// Adds an element above a device; `known` is what the known loads make.
    pub fn add(
        &mut self,
        device: Id<Device>,
        of: ElementId,
        known: Option<String>,
        basis: Option<&Citation>,
    ) {
        let basis = basis.cloned();
        let points = self.points.entry(device).or_default();
        points.push(Point { of, known, basis });
    }

    /// The open points: limits, then loads device by device.
    pub fn findings(self, rule: &Rule, analysis: &Analysis<'_>) -> Vec<Finding> {
        let points = self.points.into_iter();
        let loads =
            points.map(|(device, points)| load(rule, analysis, device, self.words, &points));
        self.limits.findings().chain(loads).collect()
    }
}

/// Elements that are shown one by one.
const SHOWN: usize = 3;

fn load(
    rule: &Rule,
    analysis: &Analysis<'_>,
    device: Id<Device>,
    (before, after): (&str, &str),
    points: &[Point],
) -> Finding {
    let name = &analysis.model.devices[device].name.value;
    let (gap, unknown, advice) = match analysis.load_gap(device) {
        None if let Some(gap) = analysis.adrift_gap(device) => (
            gap,
            "on which inlet hangs",
            "Write which inlet the outlet is connected to.".to_owned(),
        ),
        Some(gap) => (
            gap,
            "the load of",
            format!(
                "Measure device {name} or read its nameplate, and write down what is missing here."
            ),
        ),
        None if is_cut_off(analysis, device) => (
            cut_off(analysis, device),
            "the way to",
            format!(
                "Plug the strip that device {name} hangs on into the {} of a circuit of its own.",
                analysis.words().socket
            ),
        ),
        None if analysis.is_on_three_lines(device)
            && let Some(gap) = analysis.poles_gap(device) =>
        {
            (
                gap,
                "what is drawn on each line by",
                Analysis::THREE_LINES.to_owned(),
            )
        }
        None => (
            analysis
                .poles_gap(device)
                .unwrap_or_else(|| unsettled(analysis, device)),
            "on which poles hangs",
            format!(
                "Correct what feeds device {name}: the poles of its circuit, what its bank lies between, or the outlet of its cord."
            ),
        ),
    };
    let basis = points.iter().find_map(|point| point.basis.clone());
    let basis = basis.unwrap_or_else(|| Citation::marked("rating as marked on the part"));
    let first = points.first().map(|point| analysis.describe(point.of));
    let first = first.unwrap_or_default();
    let more = match points.len().saturating_sub(1) {
        0 => String::new(),
        more => format!(" (and {more} more)"),
    };
    let headline = format!("{before}{first}{more}{after}? Not known: {unknown} device {name}");
    let note = format!("not decided: {}", gap.why);
    let shown = || points.iter().take(SHOWN);
    let known = shown().filter_map(|point| {
        let known = point.known.as_ref()?;
        Some(format!("{}: {known}", analysis.describe(point.of)))
    });
    Draft::new(rule, headline, gap.span, note, basis)
        .above(shown().map(|point| analysis.hop(point.of)))
        .working(known)
        .about([name.clone()])
        .kind("load-missing")
        .advice(advice)
        .wants(gap.fact)
        .finish()
}

fn is_cut_off(analysis: &Analysis<'_>, device: Id<Device>) -> bool {
    let mut cut = analysis.graph.cut.iter();
    cut.any(|cut| cut.device == Some(device))
}

/// A load that is known and hangs where nothing is computed any more.
fn cut_off(analysis: &Analysis<'_>, device: Id<Device>) -> LoadGap {
    LoadGap {
        fact: None,
        span: analysis.model.devices[device].name.span,
        why: "it hangs so far down a row of strips that nothing is computed there",
    }
}

/// A load that is known and still does not reach the sums.
fn unsettled(analysis: &Analysis<'_>, device: Id<Device>) -> LoadGap {
    LoadGap {
        fact: None,
        span: analysis.model.devices[device].name.span,
        why: "it is not known where its load goes",
    }
}
