//! `splitter-overloaded`: do the legs together take more than the one plug, trunk and outlet bear?

mod working;

use std::collections::BTreeSet;

use crate::analysis::{Analysis, Link, Part, Rating, exceeds, place};
use crate::finding::{Finding, Level, Measure};
use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind};
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{Current, InUnits, show_pair, show_rounded};
use crate::rules::told_once::ToldOnce;
use crate::rules::{Draft, rule};
use crate::source::Span;

use super::Splitter;
use super::undecided::{no_load, no_poles, no_rating, sum_of_legs};
use working::{limit_lines, load_lines};

rule!(
    "splitter-overloaded",
    Splitters,
    Error,
    "The legs of a splitter cord together take more than its plug, trunk or outlet bears: the one plug overheats."
);

/// Facts whose lack was reported already: each once, not once for every cord.
#[derive(Default)]
struct Reported {
    ratings: ToldOnce<Span>,
    loads: BTreeSet<Id<Device>>,
}

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut reported = Reported::default();
    for splitter in Splitter::all(analysis) {
        if analysis.graph.conductors_of(splitter.trunk).is_empty() {
            findings.push(no_poles(&RULE, analysis, splitter));
            continue;
        }
        let below = analysis.graph.below(splitter.trunk).map(ElementId);
        for part in below.filter(|&part| is_part(analysis, splitter, part)) {
            findings.extend(judge(analysis, splitter, part, &mut reported));
        }
    }
    findings.extend(reported.ratings.findings());
}

/// The trunk and the legs; what hangs on the legs is judged by itself.
fn is_part(analysis: &Analysis<'_>, splitter: Splitter<'_>, part: ElementId) -> bool {
    match analysis.graph.kind(part) {
        ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => cord == splitter.cord,
        _ => false,
    }
}

fn judge(
    analysis: &Analysis<'_>,
    splitter: Splitter<'_>,
    part: ElementId,
    reported: &mut Reported,
) -> Option<Finding> {
    let worst = analysis.flows.worst(analysis.graph, part)?;
    let links = analysis.links(part);
    let mut exceeded: Vec<(&Link, Current)> = links
        .iter()
        .filter_map(|link| Some((link, link.rating.current()?)))
        .filter(|&(_, rated)| exceeds(worst.current, rated))
        .collect();
    exceeded.sort_by(|a, b| a.1.in_amperes().total_cmp(&b.1.in_amperes()));
    if !exceeded.is_empty() {
        return Some(overloaded(analysis, splitter, part, worst, &exceeded));
    }
    let unrated = links.iter().find(|link| link.rating.current().is_none());
    if let Some(link) = unrated {
        let unrated = || no_rating(&RULE, splitter, link);
        let told = reported.ratings.tell(link.span, unrated);
        told.suffered_by([analysis.whole(part).clone()]);
        return None;
    }
    let device = analysis.flows.unknown_below(part)?;
    let is_new = reported.loads.insert(device);
    is_new.then(|| no_load(&RULE, analysis, splitter, device))?
}

fn overloaded(
    analysis: &Analysis<'_>,
    splitter: Splitter<'_>,
    part: ElementId,
    worst: Worst,
    exceeded: &[(&Link, Current)],
) -> Finding {
    let (lowest, limit) = exceeded[0];
    let told = analysis.state_above(part, worst, limit);
    let name = &analysis.model.cords[splitter.cord].name;
    let (current, rated) = show_pair(told.current, limit);
    let when = analysis.when(told.lost);
    let such_as = splitter.such_as(analysis);
    let (who, kind, advice) = match analysis.graph.kind(part) {
        ElementKind::Leg(..) => (
            format!("{} takes", analysis.describe(part)),
            "leg",
            format!(
                "Feed what hangs on this leg by a cord of its own that bears {}{such_as}.",
                show_rounded(worst.current)
            ),
        ),
        _ => (
            format!("the legs of splitter cord {} together take", name.value),
            "sum",
            format!(
                "Take a device off this splitter and give it a cord of its own from another outlet{such_as}. Thicker legs do not help: all current passes the one plug."
            ),
        ),
    };
    let link = format!("{} ({})", lowest.kind.word(), lowest.what);
    let headline = format!(
        "{who} {current} {when}, and the {link} bears {rated}: it may overheat, burn whoever unplugs it and start a fire"
    );
    let limiting = place(lowest.span, format!("{link}: {rated}"));
    let (before, after) = match lowest.kind {
        Part::Outlet => (Some(limiting), None),
        _ => (None, Some(limiting)),
    };
    let basis = lowest.rating.basis();
    let first = basis.first().cloned().unwrap_or_else(sum_of_legs);
    Draft::new(
        &RULE,
        headline,
        name.span,
        format!("{current} {when}"),
        first,
    )
    .level(level(exceeded))
    .above(analysis.hops_above(splitter.trunk))
    .above(before)
    .below(after)
    .below(analysis.ends_of(splitter.cord))
    .working(load_lines(analysis, part, told))
    .working(limit_lines(lowest))
    .working([format!("{current} is above {rated} of the {link}")])
    .working(analysis.worst_line(told, worst))
    .measured(Measure::above(worst.current, limit))
    .also(basis.iter().skip(1).cloned())
    .about([analysis.full_name(part)])
    .kind(kind)
    .advice(advice)
    .finish()
}

/// An error needs one exceeded limit whose sources are firm.
fn level(exceeded: &[(&Link, Current)]) -> Level {
    let is_firm = |rating: &Rating| rating.basis().iter().all(|c| c.confidence.is_firm());
    if exceeded.iter().any(|(link, _)| is_firm(&link.rating)) {
        Level::Error
    } else {
        Level::Warning
    }
}
