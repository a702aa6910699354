//! `inrush`: may a breaker trip on the inrush of all that it switches on at once?

mod peaks;

use std::collections::BTreeMap;

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Breaker, Pole};
use crate::model::devices::DeviceModel;
use crate::model::value::{Field, Id};
use crate::quantity::{InUnits, Quantity, show_pair, show_rounded};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, exceeds, field_or_name, place};
use crate::tables::breakers::{Curve, InstantaneousBand, instantaneous_band};

use peaks::{Peak, Peaks, counted, working};

rule!(
    "inrush",
    Circuits,
    Note,
    "The inrush of all that a breaker switches on at once may trip it: after a loss of power the circuit does not come back."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let models = survey.model.device_models.items();
    if models.iter().all(|model| model.inrush.get().is_none()) {
        return;
    }
    let peaks = Peaks::new(survey);
    let mut lacking = BTreeMap::new();
    for (id, _) in survey.graph.elements() {
        if let Some(breaker) = breaker(survey, id)
            && let Some((pole, peak)) = peaks.worst(survey, id)
        {
            judge(survey, id, breaker, (pole, peak), &mut lacking, findings);
        }
    }
    let open = lacking.iter();
    findings.extend(open.map(|(model, element)| not_known(survey, *model, *element)));
}

/// The breaker of a circuit or bank.
fn breaker<'a>(survey: &Survey<'a>, id: ElementId) -> Option<&'a Field<Breaker>> {
    match survey.graph.kind(id) {
        ElementKind::Circuit(circuit) => Some(&survey.model.circuits[circuit].item.breaker),
        ElementKind::Bank(pdu, bank) => {
            let banks = &survey.graph.pdu_model(survey.model, pdu)?.banks;
            Some(&banks.items().get(bank as usize)?.item.breaker)
        }
        _ => None,
    }
}

fn judge(
    survey: &Survey<'_>,
    id: ElementId,
    field: &Field<Breaker>,
    (pole, peak): (Pole, Peak),
    lacking: &mut BTreeMap<Id<DeviceModel>, ElementId>,
    findings: &mut Vec<Finding>,
) {
    let Some(breaker) = field.get() else {
        return;
    };
    let Some(rating) = breaker.rating.copied() else {
        return;
    };
    let Some(curve) = breaker.curve.copied() else {
        // Below the edge of the most sensitive curve any breaker holds.
        if instantaneous_band(Curve::B)
            .is_none_or(|band| exceeds(peak.known, rating * band.holds_to))
        {
            findings.push(curve_missing(survey, id, field, breaker, peak));
        }
        return;
    };
    let Some(band) = instantaneous_band(curve) else {
        return;
    };
    if exceeds(peak.known, rating * band.holds_to) {
        findings.push(may_trip(survey, id, breaker, &band, pole, peak));
    } else if peak.missing > 0 {
        for (model, _) in counted(survey, id, pole) {
            if survey.model.device_models[model].inrush.get().is_none() {
                lacking.entry(model).or_insert(id);
            }
        }
    }
}

fn may_trip(
    survey: &Survey<'_>,
    id: ElementId,
    breaker: &Breaker,
    band: &InstantaneousBand,
    pole: Pole,
    peak: Peak,
) -> Finding {
    let what = survey.describe(id);
    let rating = breaker.rating.copied().unwrap_or_default();
    let edge = rating * band.holds_to;
    let (shown, edge_shown) = show_pair(peak.known, edge);
    let headline = format!(
        "the breaker of {what} may trip when power comes back: up to {shown} rush in at once on {}, and it is sure to hold only {edge_shown}",
        pole.word()
    );
    let at = field_or_name(&breaker.curve, survey.name(id));
    Draft::new(&RULE, headline, at, format!("holds {edge_shown} for 0.1 s"), band.citation.clone())
        .above(survey.hops_above(id))
        .above([survey.hop(id)])
        .working(working(survey, id, pole, peak))
        .working([format!("{} × {:.0} = {edge_shown}, the lower edge of the instantaneous band", rating.show(), band.holds_to.in_parts_of_one()),
            "inrush is a peak of less than a cycle and the band is in rms: a rough comparison, on the safe side".to_owned()])
        .about([survey.full_name(id)])
        .advice("Switch the devices on one after the other, spread them over more breakers, or ask for a breaker with a higher instantaneous band; check then that a fault still trips it in time.")
        .finish()
}

fn curve_missing(
    survey: &Survey<'_>,
    id: ElementId,
    field: &Field<Breaker>,
    breaker: &Breaker,
    peak: Peak,
) -> Finding {
    let what = survey.describe(id);
    let headline = format!(
        "whether {} of inrush trip the breaker of {what} cannot be said: its tripping curve is missing",
        show_rounded(peak.known)
    );
    let at = breaker
        .curve
        .span()
        .or(field.span())
        .unwrap_or(survey.name(id).span);
    Draft::new(&RULE, headline, at, "curve is missing", band_citation())
        .open()
        .above(survey.hops_above(id))
        .about([survey.full_name(id)])
        .kind("curve")
        .advice("Read the curve off the breaker: `curve: C`, or `curve: inverse-time`.")
        .finish()
}

fn not_known(survey: &Survey<'_>, model: Id<DeviceModel>, element: ElementId) -> Finding {
    let name = &survey.model.device_models[model].name;
    let headline = format!(
        "whether inrush trips the breaker of {} cannot be said: the inrush of model {} is missing",
        survey.describe(element),
        name.value
    );
    let at = field_or_name(&survey.model.device_models[model].inrush, name);
    Draft::new(&RULE, headline, at, "inrush is missing", band_citation())
        .open()
        .above([place(survey.name(element).span, survey.describe(element))])
        .about([name.value.clone()])
        .kind("inrush")
        .advice("Give the peak inrush current of each inlet from the maker's data, like `inrush: 30 A`.")
        .finish()
}

fn band_citation() -> Citation {
    let band = instantaneous_band(Curve::B).map(|band| band.citation);
    band.unwrap_or_else(|| Citation::common_practice("instantaneous band of a breaker"))
}
