//! Where a device larger than the conductor's capacity is allowed after all.
//!
//! IEC: a device ahead may be left out for a conductor that its load cannot overload (433.3.1 b), and
//! may stand at the far end of the run (433.2.2). A cord to one piece of equipment is the everyday
//! case: the equipment's rated current limits it, and the device ahead is there for short circuits
//! alone. A cord that ends at outlets is no such case.
//!
//! NEC: a listed cord set used with a listed appliance counts as protected within its listing
//! (240.5(B)(1) and (3)): on a branch circuit that its plug is made for. Without a listing 240.5(A)
//! stands.

use crate::citation::{Citation, Confidence};
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::cords::CordType;
use crate::model::value::Named;
use crate::quantity::{Current, InUnits, LoadPower, Quantity, amperes, show_rounded};
use crate::survey::{Survey, exceeds};
use crate::tables::{Practice, approvals};

use super::super::gaps::Gap;

/// Whether the larger device is allowed.
pub(super) enum Allowance {
    /// It is.
    Granted,
    /// A fact is missing for it.
    Open(Gap),
    /// It is not.
    Refused {
        /// Why not, a line for the arithmetic.
        why: String,
        /// Whether the run is part of a product whose listing may cover it.
        is_mild: bool,
    },
}

fn refused(why: impl Into<String>) -> Allowance {
    Allowance::Refused {
        why: why.into(),
        is_mild: false,
    }
}

/// Whether a device of `rating` may stand ahead of a conductor that carries less.
pub(super) fn of(
    survey: &Survey<'_>,
    practice: Practice,
    id: ElementId,
    rating: Current,
    capacity: Current,
) -> Allowance {
    match (survey.graph.kind(id), practice) {
        (ElementKind::Pdu(_), Practice::Iec) => far_end(survey, id, capacity),
        (ElementKind::Pdu(_), Practice::Nec) => input_cord(survey, id, capacity),
        (ElementKind::Cord(_) | ElementKind::Leg(..), Practice::Iec) => {
            limited_by_load(survey, id, capacity)
        }
        (ElementKind::Cord(_) | ElementKind::Leg(..), Practice::Nec) => listed(survey, id, rating),
        _ => refused("nothing allows a larger device ahead of fixed wiring"),
    }
}

/// The banks' breakers stand at the far end of the input cord: together they must hold each line down.
fn far_end(survey: &Survey<'_>, id: ElementId, capacity: Current) -> Allowance {
    let graph = survey.graph;
    let banks = graph.below(id).map(ElementId).filter(|&at| {
        matches!(graph.kind(at), ElementKind::Bank(..)) && graph.element(at).feeder == Some(id)
    });
    let mut sums = [0.0; 4];
    for bank in banks {
        let Some(rating) = survey.breaker_rating(bank) else {
            return refused("not every bank behind it has a breaker that could hold it down");
        };
        for pole in graph.poles(bank) {
            sums[pole.index()] += rating.value.in_amperes();
        }
    }
    let most = amperes(sums.into_iter().fold(0.0, f64::max));
    if most.in_amperes() > 0.0 && !exceeds(most, capacity) {
        return Allowance::Granted;
    }
    refused(format!(
        "the banks behind it let {} through on one line",
        most.show()
    ))
}

/// The cord of a PDU is part of a product; whether its listing covers it the definitions cannot say.
fn input_cord(survey: &Survey<'_>, id: ElementId, capacity: Current) -> Allowance {
    let ElementKind::Pdu(pdu) = survey.graph.kind(id) else {
        return refused("");
    };
    let model = survey.graph.pdu_model(survey.model, pdu);
    let rating = model.and_then(|model| model.rating.copied());
    Allowance::Refused {
        why: "it counts as protected only within the listing of the PDU (NEC 240.5(B)(1)), which is not on record"
            .into(),
        is_mild: rating.is_some_and(|rating| !exceeds(rating, capacity)),
    }
}

/// The rated current of the equipment limits what a cord to it can carry.
fn limited_by_load(survey: &Survey<'_>, id: ElementId, capacity: Current) -> Allowance {
    let Some(&Receiver::Inlet(number)) = survey.graph.receiver(id) else {
        return refused("it ends at more than one load, so that no single one limits it");
    };
    let inlet = survey.inlet(number).map(|(_, inlet)| inlet);
    let nameplate = nameplate(survey, number);
    let marked = inlet.and_then(|inlet| {
        let sheet = inlet.coupler.get()?.rated(Practice::Iec).current.as_ref();
        inlet.rating.copied().or(sheet.map(|sheet| sheet.value))
    });
    match (nameplate, marked) {
        (Some(most), _) | (None, Some(most)) if !exceeds(most, capacity) => Allowance::Granted,
        (Some(most), _) => refused(format!(
            "the equipment takes up to {} by its nameplate, so it can overload the cord",
            show_rounded(most)
        )),
        (None, Some(most)) => Allowance::Open(no_nameplate(survey, number, most)),
        (None, None) => refused("nothing is known that limits the current"),
    }
}

/// The largest current an inlet takes by the nameplate, all of it on this inlet, at the low end of
/// the equipment's voltage range or of the supply, whichever is higher.
fn nameplate(survey: &Survey<'_>, inlet: u32) -> Option<Current> {
    let link = &survey.graph.links.inlets[inlet as usize];
    let model = survey.graph.device_model(survey.model, link.device)?;
    let feeding = survey.graph.feeding(link)?;
    let nominal = survey.flows.nominal_voltage(survey.graph, feeding)?;
    let tolerance = survey.model.site.supply_tolerance.get();
    let low = 1.0 - tolerance.map_or(0.0, |tolerance| tolerance.in_parts_of_one());
    let volts = nominal.in_volts() * low;
    match model.rating.copied()? {
        LoadPower::Current(current) => Some(current),
        LoadPower::Apparent(apparent) => Some(amperes(apparent.in_volt_amperes() / volts)),
        LoadPower::Active(watts) => {
            let factor = model.power_factor.copied()?.value();
            Some(amperes(watts.in_watts() / (volts * factor)))
        }
    }
}

fn no_nameplate(survey: &Survey<'_>, inlet: u32, most: Current) -> Gap {
    let device = survey.graph.links.inlets[inlet as usize].device;
    let model = survey.graph.links.device_models[device.index()];
    let name = model.map_or(&survey.model.devices[device].name, |model| {
        &survey.model.device_models[model].name
    });
    Gap {
        about: name.value.clone(),
        kind: "nameplate",
        span: name.span,
        headline: format!(
            "whether equipment {} can overload its cord cannot be said: its nameplate rating is missing, and its inlet is made for {}",
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
        advice: "Read the rated current off the nameplate and write it under rating.".into(),
    }
}

/// A listed set on a circuit that its plug is made for counts as protected.
fn listed(survey: &Survey<'_>, id: ElementId, rating: Current) -> Allowance {
    let (ElementKind::Cord(cord) | ElementKind::Leg(cord, _)) = survey.graph.kind(id) else {
        return refused("");
    };
    let Some(kind) = survey.graph.links.cord_types[cord.index()] else {
        return refused("the type of the cord is not known");
    };
    let kind = &survey.model.cord_types[kind];
    if !matches!(survey.graph.receiver(id), Some(Receiver::Inlet(_))) && kind.legs.is_empty() {
        return refused("it feeds no appliance whose listing could cover it");
    }
    if kind.approvals.is_empty() {
        return Allowance::Open(no_listing(kind));
    }
    let marks = kind.approvals.iter().map(|mark| mark.value.as_str());
    let is_listed = ["US", "CA"].into_iter().any(|country| {
        approvals::market(country).is_some_and(|market| market.accepts(marks.clone()))
    });
    if !is_listed {
        return refused("the cord set bears no North American listing");
    }
    let most = largest_circuit(kind);
    if exceeds(rating, most) {
        return refused(format!(
            "its listing ends at the circuits its plug is made for, {}",
            most.show()
        ));
    }
    Allowance::Granted
}

/// The largest circuit a plug is made for: 20 A up to 20 A (NEC Table 210.21(B)(3)), else its own rating.
fn largest_circuit(kind: &CordType) -> Current {
    let rated = kind.plug.get().map(|plug| plug.rated(Practice::Nec));
    let rated = rated.and_then(|rated| {
        let marked = rated.only_where_marked.as_ref();
        rated.current.as_ref().or(marked).map(|cited| cited.value)
    });
    let twenty = amperes(20.0);
    rated.filter(|rated| *rated > twenty).unwrap_or(twenty)
}

fn no_listing(kind: &Named<CordType>) -> Gap {
    Gap {
        about: kind.name.value.clone(),
        kind: "listing",
        span: kind.name.span,
        headline: format!(
            "whether cords of type {} count as protected cannot be said: their approvals are missing",
            kind.name.value
        ),
        missing: "no approvals are given".into(),
        basis: Citation::new(
            "NFPA 70 (NEC)",
            "240.5(B)(1) and (3)",
            "2020",
            Confidence::OneCopy,
        ),
        advice: "Read the listing mark off the cord set and write it under approvals.".into(),
    }
}
