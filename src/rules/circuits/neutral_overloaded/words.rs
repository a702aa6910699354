//! What is said of a neutral that carries too much.

use crate::analysis::{Analysis, Limit, Part, place};
use crate::citation::Citation;
use crate::finding::{Finding, Measure, Place};
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{InUnits, Quantity, amperes, show_pair};
use crate::rules::Draft;
use crate::rules::circuits::contribution;
use crate::rules::circuits::way::{self, Carried};
use crate::tables::words::Words;

use super::RULE;

pub(super) fn finding(analysis: &Analysis<'_>, carried: &Carried, bound: &Limit) -> Finding {
    let (shown, most) = show_pair(carried.current, bound.current);
    let headline = format!(
        "the neutral of {} carries {shown} {}, above the {most} of {}. Breakers seldom watch a neutral: it overheats, and if it opens, devices get up to line-to-line voltage",
        analysis.describe(carried.id),
        analysis.when(carried.lost),
        what(bound.part, analysis.words()),
    );
    let (mut working, sum) = contribution::lines(analysis, carried.id, Pole::N, carried.lost);
    let harmonics = Harmonics::of(analysis, carried);
    working.extend(harmonics.working(analysis, carried, sum));
    let first = bound
        .basis
        .first()
        .cloned()
        .unwrap_or_else(|| Citation::marked("as marked"));
    Draft::new(
        &RULE,
        headline,
        bound.at,
        format!("{most}, neutral carries {shown}"),
        first,
    )
    .also(bound.basis.iter().cloned())
    .above(way::above(analysis, carried))
    .below(below(analysis, carried))
    .working(working)
    .about([analysis.full_name(carried.id)])
    .advice(harmonics.advice(analysis))
    .measured(Measure::above(carried.current, bound.current))
    .finish()
}

fn what(part: Part, words: &Words) -> String {
    match part {
        Part::Strip => "its rating".to_owned(),
        part => format!("its {}", part.said_in(words)),
    }
}

fn below(analysis: &Analysis<'_>, carried: &Carried) -> Vec<Place> {
    let mut places = way::below(analysis, carried);
    let taps = contribution::taps(analysis, carried.id, carried.lost);
    let harmonic = taps.iter().find_map(|tap| {
        let link = analysis.graph.links.device_models[tap.device.index()]?;
        let share = analysis.model.device_models[link].third_harmonic.given()?;
        Some(place(
            share.span,
            format!("third harmonic: {}", share.value.show()),
        ))
    });
    places.extend(harmonic);
    places
}

/// What the neutral gets of third harmonics.
struct Harmonics {
    /// Their sum, in amperes: those of all lines are in phase on the neutral.
    amperes: f64,
    /// The devices that give no share.
    silent: Vec<Id<Device>>,
}

impl Harmonics {
    fn of(analysis: &Analysis<'_>, carried: &Carried) -> Self {
        let taps = contribution::taps(analysis, carried.id, carried.lost);
        let on_neutral = taps
            .iter()
            .filter(|tap| tap.poles.0 == Pole::N || tap.poles.1 == Pole::N);
        let (mut amperes, mut silent) = (0.0, Vec::new());
        for tap in on_neutral {
            let model = analysis.graph.device_model(analysis.model, tap.device);
            match model.and_then(|model| model.third_harmonic.known()) {
                Some(share) => amperes += tap.amperes() * share.in_parts_of_one(),
                None => silent.push(*tap),
            }
        }
        let silent = contribution::distinct(&silent);
        Self { amperes, silent }
    }

    /// Third harmonics square up with the rest.
    fn working(&self, analysis: &Analysis<'_>, carried: &Carried, fundamental: f64) -> Vec<String> {
        let mut lines = Vec::new();
        if self.amperes > 0.0 {
            let first = amperes(fundamental).show();
            let third = amperes(self.amperes).show();
            let both = amperes(fundamental.hypot(self.amperes));
            lines.push(format!("third harmonics add up: {third}"));
            lines.push(format!("√(({first})² + ({third})²) = {}", both.show()));
            lines.extend(contribution::drop(both.in_amperes(), carried.current));
        } else {
            lines.extend(contribution::drop(fundamental, carried.current));
        }
        lines.extend((!self.silent.is_empty()).then(|| {
            let silent = contribution::a_few(analysis, &self.silent);
            format!("no third harmonic is given for {silent}: none is counted, and the true current is higher")
        }));
        lines
    }

    fn advice(&self, analysis: &Analysis<'_>) -> String {
        let spread = "Spread the loads evenly over the lines. What electronics put on the neutral (third harmonics) does not cancel: there only less load or a larger neutral helps.";
        if self.silent.is_empty() {
            return spread.to_owned();
        }
        let silent = contribution::a_few(analysis, &self.silent);
        format!(
            "{spread} Ask the maker of {silent} for the third harmonic of the input current at the load it runs at, in percent of the fundamental, and write it as `third-harmonic` of the model."
        )
    }
}
