//! What is said of a breaker that may trip on inrush.

use crate::analysis::{Analysis, absence, field_or_name};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Measure};
use crate::graph::ElementId;
use crate::model::circuits::{Breaker, Pole};
use crate::model::devices::DeviceModel;
use crate::model::value::{Field, Id};
use crate::quantity::{InUnits, Quantity, show_pair, show_rounded};
use crate::rules::Draft;
use crate::rules::circuits::contribution;
use crate::tables::breakers::{Curve, InstantaneousBand, instantaneous_band};

use super::RULE;
use super::peaks::{Peak, working};

pub(super) fn may_trip(
    analysis: &Analysis<'_>,
    id: ElementId,
    breaker: &Breaker,
    band: &InstantaneousBand,
    pole: Pole,
    peak: Peak,
) -> Finding {
    let what = analysis.describe(id);
    let rating = breaker.rating.known().copied().unwrap_or_default();
    let edge = rating * band.holds_to;
    let (shown, edge_shown) = show_pair(peak.known, edge);
    let dark = contribution::count_devices(&contribution::taps(analysis, id, None));
    let headline = format!(
        "when power comes back, the breaker of {what} may trip and cut this feed to {dark}: up to {shown} rush in at once on {}, and it is sure to hold only {edge_shown}",
        pole.word()
    );
    let at = field_or_name(&breaker.curve, analysis.name(id));
    Draft::new(&RULE, headline, at, format!("holds {edge_shown} for 0.1 s"), band.citation.clone())
        .above(analysis.hops_above(id))
        .above([analysis.hop(id)])
        .working(working(analysis, id, pole, peak))
        .measured(Measure::above(peak.known, edge))
        .working([format!("{} × {:.0} = {edge_shown}, the lower edge of the instantaneous band", rating.show(), band.holds_to.in_parts_of_one()),
            "inrush is a peak of less than a cycle and the band is in rms: a rough comparison, on the safe side".to_owned()])
        .about([analysis.full_name(id)])
        .advice("Switch the devices on one after the other, spread them over more breakers, or ask for a breaker with a higher instantaneous band; check then that a fault still trips it in time.")
        .finish()
}

pub(super) fn curve_missing(
    analysis: &Analysis<'_>,
    id: ElementId,
    field: &Field<Breaker>,
    breaker: &Breaker,
    peak: Peak,
) -> Finding {
    let what = analysis.describe(id);
    let headline = format!(
        "does an inrush of {} trip the breaker of {what} when power comes back? Missing: its curve (the letter before its rating)",
        show_rounded(peak.known)
    );
    let at = breaker
        .curve
        .span()
        .or(field.span())
        .unwrap_or(analysis.name(id).span);
    Draft::new(
        &RULE,
        headline,
        at,
        "not decided: the curve is missing",
        band_citation(),
    )
    .wants([analysis.breaker_fact(id, "curve", Some(&breaker.curve))])
    .above(analysis.hops_above(id))
    .about([analysis.full_name(id)])
    .kind("curve")
    .advice("Read the curve off the breaker: `curve: C`, or `curve: inverse-time`.")
    .finish()
}

pub(super) fn trip_unread(
    analysis: &Analysis<'_>,
    id: ElementId,
    trip: Fact,
    peak: Peak,
) -> Finding {
    let headline = format!(
        "does an inrush of {} trip the breaker of {} when power comes back? Open: its `instantaneous` cannot be read",
        show_rounded(peak.known),
        analysis.describe(id)
    );
    let note = "not decided: `instantaneous` cannot be read";
    Draft::new(&RULE, headline, trip.span, note, band_citation())
        .wants([trip])
        .above(analysis.hops_above(id))
        .about([analysis.full_name(id)])
        .kind("trip")
        .advice("Read off the maker's curve from which current on it is sure to open at once, and up to which it is sure not to, and write them like `instantaneous: {opens: 160 A, holds: 100 A}`; where its `curve` says it, take the line out.")
        .finish()
}

pub(super) fn not_known(
    analysis: &Analysis<'_>,
    model: Id<DeviceModel>,
    element: ElementId,
) -> Draft {
    let kind = &analysis.model.device_models[model];
    let (name, how) = (&kind.name, absence(&kind.inrush));
    let headline = format!(
        "does the breaker of {} trip when power comes back? Wanted: the inrush of model {} (data sheet), which {how}",
        analysis.describe(element),
        name.value
    );
    let at = field_or_name(&analysis.model.device_models[model].inrush, name);
    Draft::new(
        &RULE,
        headline,
        at,
        format!("not decided: inrush {how}"),
        band_citation(),
    )
    .wants([Fact::of(kind, "inrush", Some(&kind.inrush))])
    .above([analysis.hop(element)])
    .about([name.value.clone()])
    .kind("inrush")
    .advice(
        "Take the peak inrush current of one inlet from the maker's data sheet, and write it like `inrush: 30 A`.",
    )
}

fn band_citation() -> Citation {
    let band = instantaneous_band(Curve::B).map(|band| band.citation);
    band.unwrap_or_else(|| Citation::common_practice("instantaneous band of a breaker"))
}
