//! `phase-imbalance`: do the three lines carry about the same?

use crate::citation::{Citation, Cited};
use crate::finding::{Finding, Level};
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Pole;
use crate::model::value::Field;
use crate::quantity::{Current, InUnits, Quantity, Ratio, Scalar, amperes, percent, show_pair};
use crate::rules::{Draft, rule};
use crate::survey::Survey;
use crate::tables::limits;

use super::missing::Undecided;
use super::way::{self, Carried};

rule!(
    "phase-imbalance",
    Circuits,
    Warning,
    "Three lines that carry unequal currents: one reaches its limit while the others have room, and the neutral carries the difference."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let Some(limits) = Limits::of(survey) else {
        return;
    };
    let mut undecided = Undecided::new("the lines of ", " are loaded equally");
    for (id, element) in survey.graph.elements() {
        let is_judged = matches!(
            element.kind,
            ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Pdu(_)
        );
        let Some(spread) = Spread::of(survey, id).filter(|_| is_judged) else {
            continue;
        };
        if let Some(device) = survey.flows.unknown_below(id) {
            undecided.add(device, id, None, Some(&limits.note.citation));
        } else if let Some(finding) = judge(survey, id, &limits, &spread)
            && !is_told_below(survey, id, &spread)
        {
            findings.push(finding);
        }
    }
    findings.extend(undecided.findings(&RULE, survey));
}

/// From which unevenness a finding is made: the site's own limits, else what is usual.
struct Limits {
    note: Cited<Ratio>,
    warning: Cited<Ratio>,
    floor: Cited<Current>,
}

impl Limits {
    fn of(survey: &Survey<'_>) -> Option<Self> {
        let own = survey.model.site.phase_imbalance.get();
        Some(Self {
            note: own_or(own.map(|own| &own.note), limits::phase_imbalance_noted())?,
            warning: own_or(own.map(|own| &own.warning), limits::phase_imbalance_large())?,
            floor: own_or(own.map(|own| &own.floor), limits::phase_imbalance_floor())?,
        })
    }
}

fn own_or<T: Scalar>(own: Option<&Field<T>>, usual: Option<Cited<T>>) -> Option<Cited<T>> {
    let own = own.and_then(|own| own.get());
    own.map(|&value| Cited {
        value,
        citation: Citation::marked("house policy of this site (`phase-imbalance`)"),
    })
    .or(usual)
}

/// The currents of three lines, in amperes.
struct Spread {
    lines: [(Pole, f64); 3],
    mean: f64,
    /// The one farthest from the mean.
    farthest: (Pole, f64),
}

impl Spread {
    fn of(survey: &Survey<'_>, id: ElementId) -> Option<Self> {
        let currents = survey.flows.normal_currents(survey.graph, id);
        let mut lines = currents.filter(|(pole, _)| *pole != Pole::N);
        let mut next = || {
            lines
                .next()
                .map(|(pole, current)| (pole, current.in_amperes()))
        };
        let lines = [next()?, next()?, next()?];
        let mean = lines.iter().map(|(_, current)| current).sum::<f64>() / 3.0;
        let from_mean = |(_, current): &(Pole, f64)| (current - mean).abs();
        let farthest = lines
            .into_iter()
            .reduce(|a, b| if from_mean(&b) > from_mean(&a) { b } else { a })?;
        Some(Self {
            lines,
            mean,
            farthest,
        })
    }

    /// The line that carries most, and the one that carries least.
    fn ends(&self) -> ((Pole, f64), (Pole, f64)) {
        let [first, ..] = self.lines;
        let most = self
            .lines
            .into_iter()
            .fold(first, |a, b| if b.1 > a.1 { b } else { a });
        let least = self
            .lines
            .into_iter()
            .fold(first, |a, b| if b.1 < a.1 { b } else { a });
        (most, least)
    }

    fn imbalance(&self) -> Ratio {
        percent((self.farthest.1 - self.mean).abs() / self.mean * 100.0)
    }

    fn working(&self) -> Vec<String> {
        let shown: Vec<String> = self
            .lines
            .iter()
            .map(|(_, current)| amperes(*current).show())
            .collect();
        let mean = amperes(self.mean).show();
        let named: Vec<String> = self
            .lines
            .iter()
            .zip(&shown)
            .map(|((pole, _), current)| format!("{} {current}", pole.word()))
            .collect();
        vec![
            named.join(", "),
            format!("mean: ({}) ÷ 3 = {mean}", shown.join(" + ")),
            format!(
                "largest departure: |{} − {mean}| ÷ {mean} = {}",
                amperes(self.farthest.1).show(),
                self.imbalance().show()
            ),
        ]
    }
}

fn judge(survey: &Survey<'_>, id: ElementId, limits: &Limits, spread: &Spread) -> Option<Finding> {
    let is_small = amperes(spread.mean) < limits.floor.value || spread.mean <= 0.0;
    let is_over = |limit: &Cited<Ratio>| spread.imbalance() > limit.value * 1.000_001;
    if is_small || !is_over(&limits.note) {
        return None;
    }
    let (level, limit, kind) = if is_over(&limits.warning) {
        (Level::Warning, &limits.warning, "large")
    } else {
        (Level::Note, &limits.note, "noted")
    };
    Some(finding(survey, id, limits, spread, (level, limit, kind)))
}

/// Whether all of it comes through one thing below, where it is told, because that is where load moves.
fn is_told_below(survey: &Survey<'_>, id: ElementId, spread: &Spread) -> bool {
    let below = survey.graph.below(id).map(ElementId).skip(1);
    let mut children = below.filter(|&lower| survey.graph.element(lower).feeder == Some(id));
    children.any(|child| {
        let same = |(own, lower): (&(Pole, f64), &(Pole, f64))| (own.1 - lower.1).abs() < 1e-6;
        Spread::of(survey, child)
            .is_some_and(|lower| spread.lines.iter().zip(&lower.lines).all(same))
    })
}

fn finding(
    survey: &Survey<'_>,
    id: ElementId,
    limits: &Limits,
    spread: &Spread,
    (level, limit, kind): (Level, &Cited<Ratio>, &'static str),
) -> Finding {
    let (pole, current) = spread.farthest;
    let (shown, most) = show_pair(spread.imbalance(), limit.value);
    let side = if current > spread.mean {
        "above"
    } else {
        "below"
    };
    let headline = format!(
        "the lines of {} are loaded unequally: {} lies {shown} {side} the mean, more than {most}; one line reaches its limit while the others have room",
        survey.describe(id),
        pole.word(),
    );
    let (most_loaded, least_loaded) = spread.ends();
    let carried = Carried {
        id,
        pole: most_loaded.0,
        current: amperes(most_loaded.1),
        lost: None,
    };
    let note = format!(
        "{}: {} on {}",
        survey.describe(id),
        amperes(current).show(),
        pole.word()
    );
    let (from, to) = (most_loaded.0.word(), least_loaded.0.word());
    let half = ((most_loaded.1 - least_loaded.1) * 5.0).round() / 10.0;
    let half = amperes(half).show();
    Draft::new(
        &RULE,
        headline,
        survey.name(id).span,
        note,
        limit.citation.clone(),
    )
    .also([limits.floor.citation.clone()])
    .level(level)
    .above(way::above(survey, &carried))
    .below(way::below(survey, &carried))
    .working(spread.working())
    .about([survey.full_name(id)])
    .kind(kind)
    .advice(format!(
        "Move load from {from} to {to}, about {half} of it, and check both feeds of what is moved."
    ))
    .finish()
}
