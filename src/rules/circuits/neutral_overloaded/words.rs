//! What is said of a neutral that carries too much.

use crate::citation::Citation;
use crate::finding::{Finding, Place};
use crate::model::circuits::Pole;
use crate::quantity::{InUnits, Quantity, amperes, show_pair};
use crate::rules::Draft;
use crate::rules::circuits::contribution::{self, count};
use crate::rules::circuits::way::{self, Carried};
use crate::survey::{Survey, place};

use super::{Bound, RULE};

pub(super) fn finding(survey: &Survey<'_>, carried: &Carried, bound: &Bound) -> Finding {
    let (shown, most) = show_pair(carried.current, bound.current);
    let headline = format!(
        "the neutral of {} carries {shown} {}, above the {most} of {}: no breaker trips on a neutral, so it overheats, and if it burns open, devices get up to the voltage between lines",
        survey.describe(carried.id),
        survey.when(carried.lost),
        bound.what,
    );
    let (mut working, sum) = contribution::lines(survey, carried.id, Pole::N, carried.lost);
    working.extend(harmonics(survey, carried, sum));
    let first = bound
        .basis
        .first()
        .cloned()
        .unwrap_or_else(|| Citation::marked("as marked"));
    Draft::new(&RULE, headline, bound.at, format!("{most}, neutral carries {shown}"), first)
        .also(bound.basis.iter().cloned())
        .above(way::above(survey, carried))
        .below(below(survey, carried))
        .working(working)
        .about([survey.full_name(carried.id)])
        .advice("Spread the loads evenly over the lines; against third harmonics only less load, or a larger neutral, helps.")
        .finish()
}

fn below(survey: &Survey<'_>, carried: &Carried) -> Vec<Place> {
    let mut places = way::below(survey, carried);
    let taps = contribution::taps(survey, carried.id, carried.lost);
    let harmonic = taps.iter().find_map(|tap| {
        let link = survey.graph.links.device_models[tap.device.index()]?;
        let share = survey.model.device_models[link].third_harmonic.given()?;
        Some(place(
            share.span,
            format!("third harmonic: {}", share.value.show()),
        ))
    });
    places.extend(harmonic);
    places
}

/// Third harmonics of all lines are in step on the neutral and square up with the rest.
fn harmonics(survey: &Survey<'_>, carried: &Carried, fundamental: f64) -> Vec<String> {
    let taps = contribution::taps(survey, carried.id, carried.lost);
    let on_neutral = taps
        .iter()
        .filter(|tap| tap.poles.0 == Pole::N || tap.poles.1 == Pole::N);
    let (mut third, mut silent) = (0.0, Vec::new());
    for tap in on_neutral {
        let model = survey.graph.device_model(survey.model, tap.device);
        match model.and_then(|model| model.third_harmonic.get()) {
            Some(share) => third += tap.amperes() * share.in_parts_of_one(),
            None => silent.push(*tap),
        }
    }
    let mut lines = Vec::new();
    if third > 0.0 {
        let (first, third) = (amperes(fundamental).show(), amperes(third).show());
        let all = carried.current.show();
        lines.push(format!("third harmonics add up: {third}"));
        lines.push(format!(
            "√(({first})² + ({third})²), with the voltage drop of wiring and cords: {all}"
        ));
    } else {
        lines.extend(contribution::drop(fundamental, carried.current));
    }
    let silent = contribution::distinct(&silent).len();
    if silent > 0 {
        lines.push(format!(
            "{} without a third-harmonic share: nothing counted for them",
            count(silent, "device")
        ));
    }
    lines
}
