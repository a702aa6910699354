//! IEC: a conductor that its load cannot overload, or that is held down at its far end.

mod passed_on;

use crate::analysis::{Analysis, exceeds};
use crate::citation::{Citation, Confidence};
use crate::finding::Fact;
use crate::flow::low_end::LowEnd;
use crate::graph::{ElementId, ElementKind, Graph, Receiver};
use crate::model::cords::Cord;
use crate::model::devices::{DeviceModel, Sharing};
use crate::model::value::{Field, Id, Named};
use crate::quantity::{Current, InUnits, LoadPower, Quantity, amperes, show_rounded};
use crate::rules::conductors::gaps::Gap;
use crate::tables::Practice;

use super::{Allowance, refused};
use passed_on::PassedOn;

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

/// The rated currents of the equipment limit what a cord to it can carry: of a splitter those of all that it
/// feeds, together.
pub(super) fn limited_by_load(
    analysis: &Analysis<'_>,
    id: ElementId,
    capacity: Current,
) -> Allowance {
    let Some(inlets) = inlets_fed(analysis, id) else {
        return refused("it ends at more outlets than one load, so that nothing limits it");
    };
    let by_nameplate: Option<Vec<Current>> = inlets
        .iter()
        .map(|&inlet| nameplate(analysis, inlet))
        .collect();
    let through = PassedOn::of(analysis, &inlets);
    if let Some(most) = by_nameplate {
        let own = sum(most);
        return match exceeds(own + through.most, capacity) {
            false => Allowance::Granted,
            true if through.is_some() && !exceeds(own, capacity) => through.refused(analysis, own),
            true => refused(format!(
                "the equipment takes up to {} by its nameplate, so it can overload the cord",
                show_rounded(own)
            )),
        };
    }
    let marked: Option<Vec<Current>> = inlets
        .iter()
        .map(|&inlet| nameplate(analysis, inlet).or_else(|| marked(analysis, inlet)))
        .collect();
    let unnamed = inlets
        .iter()
        .find(|&&inlet| nameplate(analysis, inlet).is_none());
    match (marked.map(sum), unnamed) {
        (Some(most), _) if !exceeds(most + through.most, capacity) => Allowance::Granted,
        (Some(most), Some(&inlet)) => no_nameplate(analysis, inlet, most),
        _ => refused("nothing is known that limits the current"),
    }
}

fn sum(currents: Vec<Current>) -> Current {
    amperes(currents.into_iter().map(InUnits::in_amperes).sum())
}

/// The inlets that a cord feeds, through cords that are plugged into it; `None` where it feeds something else, or
/// where not all of it is known.
fn inlets_fed(analysis: &Analysis<'_>, id: ElementId) -> Option<Vec<u32>> {
    let graph = analysis.graph;
    let inlets = |receiver: &Receiver| match receiver {
        Receiver::Inlet(number) => Some(vec![*number]),
        Receiver::Cord(lower) => inlets_fed(analysis, below(graph, id, *lower)?),
        Receiver::Pdu(_) | Receiver::Unknown => None,
    };
    match graph.kind(id) {
        ElementKind::Cord(cord) => {
            let kind = graph.cord_type(analysis.model, cord)?;
            let ends = graph.links.cord_ends(cord);
            // What will be plugged into a leg that is free nobody knows.
            let all_in_use = ends.len() == kind.legs.len().max(1);
            let fed = ends.iter().map(|end| inlets(&end.at));
            let fed = fed.collect::<Option<Vec<_>>>().filter(|_| all_in_use)?;
            Some(fed.concat())
        }
        _ => inlets(graph.receiver(id)?),
    }
}

/// The cord that is plugged into another, where it hangs below an element.
fn below(graph: &Graph, id: ElementId, lower: Id<Cord>) -> Option<ElementId> {
    let lower = graph.cord(lower)?;
    (lower > id && graph.is_below(lower, id)).then_some(lower)
}

/// What the inlet is made for. Watts of which the power factor is not known draw more at the low end of the supply than
/// the inlet is marked for at its nominal voltage.
fn marked(analysis: &Analysis<'_>, inlet: u32) -> Option<Current> {
    let link = &analysis.graph.links.inlets[inlet as usize];
    let model = analysis.graph.device_model(analysis.model, link.device)?;
    let (_, inlet) = analysis.inlet(inlet)?;
    let sheet = inlet.coupler.known()?.rated(Practice::Iec).current.as_ref();
    let own = inlet.rating.known().copied();
    let mark = own.or(sheet.map(|sheet| sheet.value))?;
    Some(match model.rating.known() {
        Some(LoadPower::Active(_)) if model.power_factor.known().is_none() => {
            mark / LowEnd::of(&analysis.model.site).left()
        }
        _ => mark,
    })
}

/// The largest current an inlet takes by the nameplate, as few inlets fed as the equipment needs, at the low
/// end of its voltage range or of the supply, whichever is higher.
fn nameplate(analysis: &Analysis<'_>, inlet: u32) -> Option<Current> {
    let link = &analysis.graph.links.inlets[inlet as usize];
    let model = analysis.graph.device_model(analysis.model, link.device)?;
    let feeding = analysis.graph.feeding(link)?;
    let nominal = analysis.flows.nominal_voltage(analysis.graph, feeding)?;
    let volts = nominal.in_volts() * LowEnd::of(&analysis.model.site).left() * least_sharers(model);
    match model.rating.known().copied()? {
        LoadPower::Current(current) => Some(current),
        LoadPower::Apparent(apparent) => Some(amperes(apparent.in_volt_amperes() / volts)),
        LoadPower::Active(watts) => {
            let factor = model.power_factor.known().copied()?.value();
            Some(amperes(watts.in_watts() / (volts * factor)))
        }
    }
}

/// How many inlets share the load at the least. Equipment that does not share evenly may lay all of it on one.
fn least_sharers(model: &DeviceModel) -> f64 {
    let shares_evenly = !matches!(model.sharing, Field::Unreadable(_))
        && model
            .sharing
            .known()
            .is_none_or(|own| *own == Sharing::Equal)
        && model
            .inlets
            .items()
            .iter()
            .all(|inlet| inlet.share.is_absent());
    let needed = model.inlets_needed.unless_written(1).unwrap_or(1).max(1);
    let needed = needed.min(u32::try_from(model.inlets.len()).unwrap_or(1).max(1));
    if shares_evenly {
        f64::from(needed)
    } else {
        1.0
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
    let is_active = matches!(model.rating.known(), Some(LoadPower::Active(_)));
    match model.rating.given() {
        Some(_) if is_active && model.power_factor.known().is_none() => {
            Fact::of(model, "power-factor", Some(&model.power_factor))
        }
        _ => Fact::of(model, "rating", Some(&model.rating)),
    }
}
