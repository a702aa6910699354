//! IEC: a conductor that its load cannot overload, or that is held down at its far end.

use crate::analysis::{Analysis, exceeds};
use crate::citation::{Citation, Confidence};
use crate::finding::Fact;
use crate::flow::low_end::LowEnd;
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::devices::DeviceModel;
use crate::model::value::Named;
use crate::quantity::{Current, InUnits, LoadPower, Quantity, amperes, show_rounded};
use crate::rules::conductors::gaps::Gap;
use crate::tables::Practice;

use super::{Allowance, refused};

/// The banks' breakers stand at the far end of the input cord: together they must hold each line down.
pub(super) fn far_end(analysis: &Analysis<'_>, id: ElementId, capacity: Current) -> Allowance {
    let graph = analysis.graph;
    let banks = graph.below(id).map(ElementId).filter(|&at| {
        matches!(graph.kind(at), ElementKind::Bank(..)) && graph.element(at).feeder == Some(id)
    });
    let (mut sums, mut unread) = ([0.0; 4], None);
    for bank in banks {
        let Some(rating) = analysis.breaker_rating(bank) else {
            let Some(fact) = analysis.unread_rating(bank) else {
                return refused("not every bank behind it has a breaker that could hold it down");
            };
            unread.get_or_insert(fact);
            continue;
        };
        for pole in graph.poles(bank) {
            sums[pole.index()] += rating.value.in_amperes();
        }
    }
    let most = amperes(sums.into_iter().fold(0.0, f64::max));
    if !exceeds(most, capacity) {
        if let Some(fact) = unread {
            let gap = Box::new(unread_far_end(fact));
            return Allowance::Open(gap, Some(analysis.whole(id).clone()));
        }
        if most.in_amperes() > 0.0 {
            return Allowance::Granted;
        }
    }
    refused(format!(
        "the banks behind it let {} through on one line",
        most.show()
    ))
}

/// A breaker at the far end is there, and nobody can read how large it is.
fn unread_far_end(fact: Fact) -> Gap {
    let (about, bank) = (&fact.owner, &fact.within);
    Gap {
        about: about.clone(),
        kind: "far-end",
        span: fact.span,
        headline: format!(
            "do the bank breakers of PDU model {about} hold its input cord down? Open: the rating of the breaker of bank {bank} cannot be read"
        ),
        missing: "the rating of the breaker cannot be read".into(),
        basis: Citation::new("IEC 60364-4-43", "433.2.2", "2008", Confidence::FromMemory),
        advice: "Read the rated current off the breaker and write it as its `rating`.".into(),
        wants: vec![fact],
    }
}

/// The rated current of the equipment limits what a cord to it can carry.
pub(super) fn limited_by_load(
    analysis: &Analysis<'_>,
    id: ElementId,
    capacity: Current,
) -> Allowance {
    let Some(&Receiver::Inlet(number)) = analysis.graph.receiver(id) else {
        return refused("it ends at more than one load, so that no single one limits it");
    };
    match nameplate(analysis, number) {
        Some(most) if !exceeds(most, capacity) => Allowance::Granted,
        Some(most) => refused(format!(
            "the equipment takes up to {} by its nameplate, so it can overload the cord",
            show_rounded(most)
        )),
        None => match marked(analysis, number) {
            Some(most) if !exceeds(most, capacity) => Allowance::Granted,
            Some(most) => no_nameplate(analysis, number, most),
            None => refused("nothing is known that limits the current"),
        },
    }
}

/// What the inlet is made for.
fn marked(analysis: &Analysis<'_>, inlet: u32) -> Option<Current> {
    let (_, inlet) = analysis.inlet(inlet)?;
    let sheet = inlet.coupler.known()?.rated(Practice::Iec).current.as_ref();
    inlet
        .rating
        .known()
        .copied()
        .or(sheet.map(|sheet| sheet.value))
}

/// The largest current an inlet takes by the nameplate, all of it on this inlet, at the low end of
/// the equipment's voltage range or of the supply, whichever is higher.
fn nameplate(analysis: &Analysis<'_>, inlet: u32) -> Option<Current> {
    let link = &analysis.graph.links.inlets[inlet as usize];
    let model = analysis.graph.device_model(analysis.model, link.device)?;
    let feeding = analysis.graph.feeding(link)?;
    let nominal = analysis.flows.nominal_voltage(analysis.graph, feeding)?;
    let volts = nominal.in_volts() * LowEnd::of(&analysis.model.site).left();
    match model.rating.known().copied()? {
        LoadPower::Current(current) => Some(current),
        LoadPower::Apparent(apparent) => Some(amperes(apparent.in_volt_amperes() / volts)),
        LoadPower::Active(watts) => {
            let factor = model.power_factor.known().copied()?.value();
            Some(amperes(watts.in_watts() / (volts * factor)))
        }
    }
}

fn no_nameplate(analysis: &Analysis<'_>, inlet: u32, most: Current) -> Allowance {
    let device = analysis.graph.links.inlets[inlet as usize].device;
    let model = analysis.graph.links.device_models[device.index()];
    let own = &analysis.model.devices[device].name;
    let name = model.map_or(own, |model| &analysis.model.device_models[model].name);
    let device_item = &analysis.model.devices[device];
    let wanted = model.map_or_else(
        || Fact::of(device_item, "model", Some(&device_item.model)),
        |model| nameplate_fact(&analysis.model.device_models[model]),
    );
    let gap = Gap {
        about: name.value.clone(),
        kind: "nameplate",
        span: name.span,
        headline: format!(
            "can equipment {} overload its cord? Its inlet is made for {}. Missing: its rating (nameplate)",
            name.value,
            most.show()
        ),
        missing: "no rating, or none that gives a current".into(),
        basis: Citation::new(
            "IEC 60364-4-43",
            "433.3.1 b)",
            "2008",
            Confidence::FromMemory,
        ),
        advice:
            "Read the rated current off the nameplate and write it as the `rating` of the model."
                .into(),
        wants: vec![wanted],
    };
    Allowance::Open(Box::new(gap), model.map(|_| own.value.clone()))
}

/// What a nameplate lacks to give a current.
fn nameplate_fact(model: &Named<DeviceModel>) -> Fact {
    match model.rating.given() {
        Some(_) => Fact::of(model, "power-factor", Some(&model.power_factor)),
        None => Fact::of(model, "rating", Some(&model.rating)),
    }
}
