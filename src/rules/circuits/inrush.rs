//! `inrush`: may a breaker trip on the inrush of all that it switches on at once?

mod peaks;
mod words;

use crate::analysis::{Analysis, exceeds};
use crate::citation::Citation;
use crate::finding::Finding;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Breaker, Pole};
use crate::model::devices::DeviceModel;
use crate::model::value::{Field, Id};
use crate::quantity::Current;
use crate::rules::rule;
use crate::rules::told_once::ToldOnce;
use crate::tables::breakers::{Curve, InstantaneousBand, instantaneous_band};

use peaks::{Peak, Peaks, on_pole};
use words::{curve_missing, may_trip, not_known, trip_unread};

rule!(
    "inrush",
    Circuits,
    Note,
    "The inrush of all that a breaker switches on at once may trip it: after a loss of power the circuit does not come back."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let models = analysis.model.device_models.items();
    if models.iter().all(|model| model.inrush.is_absent()) {
        return;
    }
    let peaks = Peaks::new(analysis);
    let mut lacking = ToldOnce::default();
    for (id, _) in analysis.graph.elements() {
        if let Some(breaker) = breaker(analysis, id) {
            let lines = peaks.lines(analysis, id);
            judge(analysis, id, breaker, &lines, &mut lacking, findings);
        }
    }
    findings.extend(lacking.findings());
}

/// The breaker of a circuit or bank.
fn breaker<'a>(analysis: &Analysis<'a>, id: ElementId) -> Option<&'a Field<Breaker>> {
    match analysis.graph.kind(id) {
        ElementKind::Circuit(circuit) => Some(&analysis.model.circuits[circuit].item.breaker),
        ElementKind::Bank(pdu, bank) => {
            let banks = &analysis.graph.pdu_model(analysis.model, pdu)?.banks;
            Some(&banks.items().get(bank as usize)?.item.breaker)
        }
        _ => None,
    }
}

/// What a breaker holds: by its maker's word, or else by its curve; `None` where nothing says it. Where the
/// maker says only from which current on it opens, it holds less than that.
fn band(breaker: &Breaker, rating: Current) -> Option<InstantaneousBand> {
    let by_curve = || instantaneous_band(breaker.curve.known().copied()?);
    let Some(own) = breaker.instantaneous.known() else {
        return by_curve();
    };
    let opens_from = *own.opens.known()? / rating;
    let holds_to = match own.holds.known() {
        Some(holds) => *holds / rating,
        None => match by_curve()? {
            band if band.holds_to <= opens_from => return Some(band),
            _ => opens_from,
        },
    };
    Some(InstantaneousBand {
        holds_to,
        opens_from,
        citation: Citation::marked("instantaneous trip by its maker's curve"),
    })
}

/// Up to where any breaker holds of which no curve is on record: the most sensitive one does.
fn surely_held(breaker: &Breaker, rating: Current) -> Option<Current> {
    let most_sensitive = rating * instantaneous_band(Curve::B)?.holds_to;
    let own = breaker.instantaneous.known();
    let opens = own.and_then(|own| own.opens.known().copied());
    Some(opens.map_or(most_sensitive, |opens| opens.min(most_sensitive)))
}

fn judge(
    analysis: &Analysis<'_>,
    id: ElementId,
    field: &Field<Breaker>,
    lines: &[(Pole, Peak)],
    lacking: &mut ToldOnce<Id<DeviceModel>>,
    findings: &mut Vec<Finding>,
) {
    let (Some(breaker), Some(&(pole, peak))) = (field.known(), lines.first()) else {
        return;
    };
    let Some(rating) = breaker.rating.known().copied() else {
        return;
    };
    if let Some(trip) = analysis.unread_trip(id) {
        findings.push(trip_unread(analysis, id, trip, peak));
        return;
    }
    let Some(band) = band(breaker, rating) else {
        let held = surely_held(breaker, rating);
        if held.is_none_or(|held| exceeds(peak.known, held)) {
            findings.push(curve_missing(analysis, id, field, breaker, peak));
        }
        return;
    };
    if exceeds(peak.known, rating * band.holds_to) {
        findings.push(may_trip(analysis, id, breaker, &band, pole, peak));
        return;
    }
    // On another line than the worst that is known more may rush in that is not.
    for (pole, _) in lines.iter().filter(|(_, peak)| peak.missing > 0) {
        for (model, device) in on_pole(analysis, id, *pole) {
            if peaks::of(&analysis.model.device_models[model]).is_none() {
                let told = lacking.tell(model, || not_known(analysis, model, id));
                told.suffered_by([analysis.model.devices[device].name.value.clone()]);
            }
        }
    }
}
