//! An overload in one sentence.

use crate::analysis::Analysis;
use crate::analysis::{Limit, Part, Step};
use crate::quantity::{Current, Quantity, seconds};
use crate::rules::circuits::contribution;
use crate::rules::circuits::way::{Carried, on_pole};
use crate::tables::Practice;
use crate::tables::breakers::{Curve, trip_time_bounds};

pub(super) fn headline(
    analysis: &Analysis<'_>,
    carried: &Carried,
    limit: &Limit,
    shown: &str,
    most: &str,
) -> String {
    let id = carried.id;
    let pole = on_pole(analysis, id, carried.pole);
    let own = analysis.describe(id);
    let carries = match carried.lost {
        Some(lost) => {
            let lose = analysis.lose(lost);
            format!("{lose} and {own} carries {shown}{pole}")
        }
        None => format!("{own} carries {shown}{pole}"),
    };
    let devices = devices_on(analysis, carried);
    let rated = limit.rated.show();
    let share = limit.share.map(|share| share.show()).unwrap_or_default();
    let as_well = if carried.lost.is_some() {
        " as well"
    } else {
        ""
    };
    // Where every breaker holds for an hour at its reference temperature, warm air is what trips it.
    let holds = limit.step < Step::Rating || breaker_holds(analysis, carried.current, limit.rated);
    let warm = if holds { " in warm air" } else { "" };
    let trip = format!("may trip{as_well}{warm} and cut this feed to {devices}");
    let burn = "can overheat and burn whoever touches it";
    let (said, words) = (limit.said, analysis.words());
    let socket = words.socket;
    match (limit.step, limit.part) {
        (Step::Rating, Part::Breaker) => {
            format!("{carries}, and its breaker is rated {rated}: it runs hot, {trip}")
        }
        (_, Part::Contract) => format!(
            "{carries}, and {rated} are contracted: the landlord may cut off or charge what is beyond, with {devices} on it"
        ),
        (Step::Rating, Part::Strip) => format!(
            "{carries}, and it is rated {rated}: its input {burn}, and this feed may fail for {devices}"
        ),
        (Step::Rating, Part::Receptacle) => format!(
            "{carries}, and its {socket} is rated {rated}: it {burn}, and this feed may fail for {devices}"
        ),
        (Step::House | Step::Code, Part::Receptacle | Part::Strip) => format!(
            "{carries}, limit {most} ({share} of its {rated} {socket}): {said}. Above it the {socket} {burn}"
        ),
        (Step::House | Step::Code, Part::Breaker) => format!(
            "{carries}, limit {most} ({share} of its {rated} breaker): {said}. The breaker {trip}"
        ),
        (_, part) => {
            let part = part.said_in(words);
            format!(
                "{carries}, and its {part} is rated {rated}: the {part} {burn}, and this feed may fail for {devices}"
            )
        }
    }
}

/// How long a breaker is tested to hold its conventional non-tripping current, at the least.
const AN_HOUR_SECONDS: f64 = 3600.0;

/// Whether a breaker holds this current for an hour at its reference temperature, whatever its curve.
fn breaker_holds(analysis: &Analysis<'_>, current: Current, rated: Current) -> bool {
    let curves: &[Curve] = match analysis.practice() {
        Some(Practice::Iec) => &[Curve::B, Curve::C, Curve::D],
        _ => &[Curve::InverseTime],
    };
    curves.iter().all(|&curve| {
        let soonest = trip_time_bounds(curve, rated, current / rated).soonest;
        soonest.is_some_and(|soonest| soonest.value >= seconds(AN_HOUR_SECONDS))
    })
}

/// The devices that a trip would cut off from this feed, a few by name.
fn devices_on(analysis: &Analysis<'_>, carried: &Carried) -> String {
    let taps = contribution::taps(analysis, carried.id, carried.lost);
    contribution::a_few(analysis, &contribution::distinct(&taps))
}
