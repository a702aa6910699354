//! `inrush`: may a breaker trip on the inrush of all that it switches on at once?

use std::collections::BTreeMap;

use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::circuits::{Breaker, Pole};
use crate::model::devices::DeviceModel;
use crate::model::value::{Field, Id};
use crate::quantity::{Current, InUnits, Quantity, show_pair, show_rounded};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, field_or_name, place};
use crate::tables::breakers::{Curve, InstantaneousBand, instantaneous_band};

use super::earth_currents::exceeds;

rule!(
    "inrush",
    Circuits,
    Note,
    "The inrush of all that a breaker switches on at once may trip it: after a loss of power the circuit does not come back."
);

/// What a conductor sees when it is switched on.
#[derive(Clone, Copy, Default)]
struct Peak {
    known: Current,
    /// Inlets without a figure.
    missing: u32,
}

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let models = survey.model.device_models.items();
    if models.iter().all(|model| model.inrush.get().is_none()) {
        return;
    }
    let peaks = peaks(survey);
    let mut lacking = BTreeMap::new();
    for (id, _) in survey.graph.elements() {
        if let Some(breaker) = breaker(survey, id)
            && let Some((pole, peak)) = worst(survey, &peaks, id)
        {
            judge(survey, id, breaker, (pole, peak), &mut lacking, findings);
        }
    }
    let open = lacking.iter();
    findings.extend(open.map(|(model, element)| not_known(survey, *model, *element)));
}

/// Inrush along the conductors, added as plain numbers.
fn peaks(survey: &Survey<'_>) -> Vec<Peak> {
    let graph = survey.graph;
    let mut peaks = vec![Peak::default(); graph.conductors().len()];
    for link in &graph.links.inlets {
        let (Some(by), Some(model)) = (
            graph.feeding(link),
            graph.device_model(survey.model, link.device),
        ) else {
            continue;
        };
        for at in graph.conductors_of(by) {
            match model.inrush.get() {
                Some(inrush) => peaks[at].known += *inrush,
                None => peaks[at].missing += 1,
            }
        }
    }
    // Conductors of a feeder stand before those of what it feeds.
    for at in (0..peaks.len()).rev() {
        if let Some(feeder) = graph.conductors()[at].feeder {
            let own = peaks[at];
            let sum = &mut peaks[feeder as usize];
            sum.known += own.known;
            sum.missing += own.missing;
        }
    }
    peaks
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

/// The line conductor that sees the most; nothing where no inrush is known below.
fn worst(survey: &Survey<'_>, peaks: &[Peak], id: ElementId) -> Option<(Pole, Peak)> {
    let conductors = survey.graph.conductors();
    let lines = survey
        .graph
        .conductors_of(id)
        .filter(|&at| conductors[at].pole != Pole::N);
    let all = lines.map(|at| (conductors[at].pole, peaks[at]));
    let known = all.filter(|(_, peak)| peak.known > Current::default());
    known.max_by(|(_, a), (_, b)| a.known.in_amperes().total_cmp(&b.known.in_amperes()))
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

/// The inlets on a pole of an element, counted by the model of their device.
fn counted(survey: &Survey<'_>, id: ElementId, pole: Pole) -> BTreeMap<Id<DeviceModel>, u32> {
    let graph = survey.graph;
    let mut models = BTreeMap::new();
    for below in graph.below(id).map(ElementId) {
        if let Some(&Receiver::Inlet(number)) = graph.receiver(below)
            && graph.conductor(below, pole).is_some()
            && let Some(model) =
                graph.links.device_models[graph.links.inlets[number as usize].device.index()]
        {
            *models.entry(model).or_default() += 1;
        }
    }
    models
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

fn working(survey: &Survey<'_>, id: ElementId, pole: Pole, peak: Peak) -> Vec<String> {
    let mut lines = Vec::new();
    for (model, count) in counted(survey, id, pole) {
        let model = &survey.model.device_models[model];
        let inlets = if count == 1 { "inlet" } else { "inlets" };
        let name = &model.name.value;
        lines.push(match model.inrush.get() {
            Some(each) => format!(
                "{count} {inlets} of model {name} × {} = {}",
                each.show(),
                show_rounded(*each * f64::from(count))
            ),
            None => format!("{count} {inlets} of model {name}: no inrush known, left out"),
        });
    }
    if lines.len() > 1 {
        lines.push(format!("together {}", show_rounded(peak.known)));
    }
    lines
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
        "Whether {} of inrush trip the breaker of {what} cannot be said: its tripping curve is missing",
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
        "Whether inrush trips the breaker of {} cannot be said: the inrush of model {} is missing",
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
