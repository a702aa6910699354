//! `breaker-in-hot-air`: may a breaker that heat opens do so below its rating, since the air at it is hot?
//!
//! A screen by common practice, where no maker's figure is at hand: warnings only. A breaker in a strip is in the
//! strip's air; one in a panel is judged only where the air there is on record.

mod open;

use crate::analysis::{Analysis, exceeds, place};
use crate::citation::{Citation, Cited};
use crate::finding::{Fact, Finding, Measure};
use crate::flow::Worst;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Breaker, Trip};
use crate::model::optional::Optional;
use crate::model::pdus::Pdu;
use crate::model::value::{Field, Id, Spanned};
use crate::quantity::{
    Current, InUnits, Quantity, Ratio, Temperature, amperes, percent, show_pair,
};
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::tables::breakers::Curve;
use crate::tables::{Practice, constants};

use open::Open;

rule!(
    "breaker-in-hot-air",
    Circuits,
    Warning,
    "A breaker in hot air that carries nearly its rating: it may open early, and drop all behind it without a fault."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut open = Open::default();
    for (id, _) in analysis.graph.elements() {
        let breaker = analysis.breaker(id).and_then(Field::known);
        if let Some(breaker) = breaker {
            findings.extend(judged(analysis, id, breaker, &mut open));
        }
    }
    findings.extend(open.findings(analysis));
}

/// A breaker in its air.
struct InAir<'a> {
    rating: &'a Spanned<Current>,
    air: Spanned<Temperature>,
    /// The air in which it carries its rating, and who says so.
    reference: Cited<Temperature>,
    /// What each kelvin above it costs.
    slope: Cited<Ratio>,
    /// What it carries there.
    carries: Current,
}

fn judged(
    analysis: &Analysis<'_>,
    id: ElementId,
    breaker: &Breaker,
    open: &mut Open,
) -> Option<Finding> {
    let worst = analysis.flows.worst(analysis.graph, id);
    let is_loaded = worst.is_some_and(|worst| worst.current > amperes(0.0))
        || analysis.flows.unknown_below(id).is_some();
    if !is_loaded {
        return None;
    }
    match trip(analysis, id, breaker) {
        Ok(Trip::Thermal) => {}
        Ok(Trip::HydraulicMagnetic) => return None,
        Err(fact) => return open.unread(analysis, id, &fact),
    }
    let air = match air(analysis, id, breaker, worst) {
        Ok(air) => air?,
        Err(Unknown::Unread(fact)) => return open.unread(analysis, id, &fact),
        Err(Unknown::Zone(pdu)) => return open.no_air(analysis, pdu),
    };
    let reference = match &breaker.calibrated_at {
        Optional::Given(marked) => Cited {
            value: marked.value,
            citation: Citation::marked("the air that the breaker is marked for"),
        },
        Optional::Unreadable(at) => {
            let fact = unread(analysis, id, "calibrated-at", *at);
            return open.unread(analysis, id, &fact);
        }
        Optional::Absent => by_standard(analysis, breaker)?,
    };
    let slope = constants::breaker_heat()?;
    let hotter = air.value.in_degrees_celsius() - reference.value.in_degrees_celsius();
    if hotter <= 0.0 {
        return None;
    }
    let Some(rating) = breaker.rating.given() else {
        let fact = analysis.unread_rating(id)?;
        return open.unread(analysis, id, &fact);
    };
    let left = (100.0 - slope.value.in_percent() * hotter).max(0.0);
    let carries = rating.value * percent(left);
    let breaker = InAir {
        rating,
        air,
        reference,
        slope,
        carries,
    };
    match worst.filter(|worst| exceeds(worst.current, carries)) {
        // What is overloaded at its rating is told as that.
        Some(worst) if exceeds(worst.current, rating.value) => None,
        Some(worst) => Some(too_hot(analysis, id, &breaker, worst)),
        None => open.no_load(analysis, id, worst.map(|worst| worst.current), carries),
    }
}

/// What opens a breaker on an overload.
///
/// # Errors
/// What cannot be read.
fn trip(analysis: &Analysis<'_>, id: ElementId, breaker: &Breaker) -> Result<Trip, Fact> {
    let trip = breaker.trip.unless_written(Trip::Thermal);
    trip.map_err(|at| unread(analysis, id, "trip", at))
}

/// Why the air at a breaker is not known.
enum Unknown {
    /// It stands at the breaker and cannot be read.
    Unread(Fact),
    /// The place of its strip has none.
    Zone(Id<Pdu>),
}

/// The air at a breaker; `None` where it does not matter or nobody asks.
fn air(
    analysis: &Analysis<'_>,
    id: ElementId,
    breaker: &Breaker,
    worst: Option<Worst>,
) -> Result<Option<Spanned<Temperature>>, Unknown> {
    let own = breaker.ambient.written();
    let own = own.map_err(|at| Unknown::Unread(unread(analysis, id, "ambient", at)))?;
    let ElementKind::Bank(pdu, _) = analysis.graph.kind(id) else {
        return Ok(own.copied());
    };
    let air = own.copied().or_else(|| analysis.ambient_of_pdu(pdu));
    let rating = breaker.rating.known().copied();
    // In no air that a strip is ever in does it open below half its rating.
    let is_light = worst.zip(rating).is_some_and(|(worst, rating)| {
        !exceeds(worst.current, rating * percent(50.0))
            && analysis.flows.unknown_below(id).is_none()
    });
    match air {
        None if !is_light => Err(Unknown::Zone(pdu)),
        air => Ok(air),
    }
}

fn unread(analysis: &Analysis<'_>, id: ElementId, key: &str, at: Span) -> Fact {
    analysis.breaker_fact(id, key, Some(&Field::<()>::Unreadable(at)))
}

/// The air that its standard tests it in: by its curve, or else by the practice.
fn by_standard(analysis: &Analysis<'_>, breaker: &Breaker) -> Option<Cited<Temperature>> {
    let practice = match breaker.curve.known() {
        Some(Curve::InverseTime) => Practice::Nec,
        Some(Curve::B | Curve::C | Curve::D) => Practice::Iec,
        None => analysis.practice()?,
    };
    constants::breaker_reference(practice)
}

fn too_hot(
    analysis: &Analysis<'_>,
    id: ElementId,
    InAir {
        rating,
        air,
        reference,
        slope,
        carries,
    }: &InAir<'_>,
    worst: Worst,
) -> Finding {
    let what = analysis.describe(id);
    let (current, limit) = show_pair(worst.current, *carries);
    let (shown, air_shown) = (rating.value.show(), air.value.show());
    let when = match worst.lost {
        Some(_) => format!(" {}", analysis.when(worst.lost)),
        None => String::new(),
    };
    let headline = format!(
        "the breaker of {what} ({shown}) may open early: it carries {current}{when} in air at {air_shown}, where one that heat opens may carry {limit} only"
    );
    let line = format!(
        "{shown} × (1 − {} for each kelvin from {} to {air_shown}) = {limit} < {current}",
        slope.value.show(),
        reference.value.show()
    );
    Draft::new(&RULE, headline, rating.span, format!("{shown} breaker"), slope.citation.clone())
        .also([reference.citation.clone()])
        .above([place(air.span, format!("air at {air_shown}"))])
        .working([line])
        .measured(Measure::above(worst.current, *carries))
        .about([analysis.full_name(id)])
        .advice(format!(
            "Look up in its maker's data sheet what it carries at {air_shown}. Take load off it, or bring cooler air to it. Where it is marked for hotter air write that, like `calibrated-at: 40 °C`; where it is opened by a coil alone, `trip: hydraulic-magnetic`."
        ))
        .finish()
}
