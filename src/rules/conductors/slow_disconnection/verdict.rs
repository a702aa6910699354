//! The verdict on one far end: the earth-fault current there against every device ahead.

use crate::citation::{Citation, Confidence};
use crate::flow::fault::{Along, Source, Ways};
use crate::flow::protection::{Device, devices_ahead, largest_loop};
use crate::graph::ElementId;
use crate::model::circuits::{Earthing, Supply};
use crate::model::value::Named;
use crate::quantity::{Current, InUnits, Quantity, Ratio, Resistance, Time, Voltage, show_rounded};
use crate::survey::{Survey, field_or_name};
use crate::tables::lookup::Lookup;
use crate::tables::{Practice, breakers, disconnection, limits};

use super::super::gaps::Gap;
use super::super::words;

/// Whether an earth fault at a far end opens something in time.
pub(super) enum Verdict {
    /// It does.
    Opens,
    /// It does not.
    Slow(Slow),
    /// A fact is missing.
    Open(Box<Gap>),
}

/// An earth fault that opens nothing in time.
pub(super) struct Slow {
    /// The nearest device.
    pub device: ElementId,
    /// The fault current.
    pub current: Current,
    /// The current at which the device is sure to open in time.
    pub needed: Current,
    /// The loop at which that current flows.
    pub largest_loop: Resistance,
    /// `within 0.4 s`.
    pub wanted: String,
    /// The arithmetic.
    pub working: Vec<String>,
    /// The limit's source.
    pub basis: Citation,
}

/// Source of the minimum voltage factor.
pub(super) fn voltage_factor_basis() -> Option<Citation> {
    limits::minimum_voltage_factor().map(|factor| factor.citation)
}

/// What the practice asks of a device.
enum Demand {
    /// Open within a time.
    Within(Time),
    /// Be driven at least this multiple of its rating.
    Multiple(Ratio),
}

pub(super) fn of(survey: &Survey<'_>, ways: &Ways, id: ElementId) -> Verdict {
    let Some(supply) = survey.graph.supply_of(id) else {
        return Verdict::Opens;
    };
    let supply = &survey.model.supplies[supply];
    let residual = residual_rating(survey, id);
    match (supply.earthing.copied(), residual) {
        (None, _) => return open(earthing_missing(supply)),
        (Some(Earthing::It), _) => return open(insulated(supply)),
        // The electrode's resistance is proved on site against the rating of the residual current device.
        (Some(Earthing::Tt), Some(_)) => return Verdict::Opens,
        (Some(Earthing::Tt), None) => return open(electrode(survey, supply, id)),
        (Some(Earthing::TnS | Earthing::TnCS), _) => {}
    }
    // A residual current device needs a fraction of an ampere, which any run of copper lets through.
    let Some(source) = Source::of(supply) else {
        return match residual {
            Some(_) => Verdict::Opens,
            None => open(source_missing(supply)),
        };
    };
    let way = match ways.hot(id) {
        Ok(way) => way,
        Err(_) if residual.is_some() => return Verdict::Opens,
        Err(at) => return open(conductors_missing(survey, at)),
    };
    let Some(factor) = limits::minimum_voltage_factor() else {
        return Verdict::Opens;
    };
    let around = source.to_return(way.line, way.earth);
    let current = around.smallest(factor.value);
    if opens_residual(residual, current) {
        return Verdict::Opens;
    }
    let fault = Fault {
        current,
        factor: factor.value,
        source,
        way,
    };
    by_overcurrent(survey, id, &fault)
}

/// An earth fault at a far end.
struct Fault {
    current: Current,
    factor: Ratio,
    source: Source,
    way: Along,
}

impl Fault {
    fn working(&self) -> String {
        format!(
            "{:.2} × {} ÷ ({} source + {} line + {} earth, hot) = {}",
            self.factor.in_parts_of_one(),
            self.source.to_earth.show(),
            show_rounded(self.source.line),
            show_rounded(self.way.line),
            show_rounded(self.way.earth),
            show_rounded(self.current)
        )
    }
}

fn open(gap: Gap) -> Verdict {
    Verdict::Open(Box::new(gap))
}

fn residual_rating(survey: &Survey<'_>, id: ElementId) -> Option<Current> {
    let circuit = survey.graph.circuit_of(id)?;
    survey.model.circuits[circuit].rcd.copied()
}

fn opens_residual(rating: Option<Current>, current: Current) -> bool {
    let multiple = limits::residual_multiple();
    rating
        .zip(multiple)
        .is_some_and(|(rating, multiple)| current >= rating * multiple.value)
}

/// The first device ahead that is sure to open in time decides.
fn by_overcurrent(survey: &Survey<'_>, id: ElementId, fault: &Fault) -> Verdict {
    let (current, to_earth) = (fault.current, fault.source.to_earth);
    let mut nearest: Option<(Device<'_>, Current, Demand, Citation)> = None;
    let mut unknown: Option<Device<'_>> = None;
    for device in devices_ahead(survey.model, survey.graph, id) {
        let known = device
            .breaker
            .rating
            .copied()
            .zip(device.breaker.curve.copied());
        let Some((rating, curve)) = known else {
            unknown = unknown.or(Some(device));
            continue;
        };
        // Up to 50 V to earth nothing is asked.
        let Some((demand, citation)) = demand(survey, to_earth, rating) else {
            return Verdict::Opens;
        };
        let needed = match &demand {
            Demand::Multiple(multiple) => rating * *multiple,
            Demand::Within(time) => match needed_within(curve, rating, *time) {
                Some(needed) => needed,
                None => {
                    unknown = unknown.or(Some(device));
                    continue;
                }
            },
        };
        if current.in_amperes() >= needed.in_amperes() * (1.0 - 1e-9) {
            return Verdict::Opens;
        }
        nearest = nearest.or(Some((device, needed, demand, citation)));
    }
    if let Some(device) = unknown {
        return open(curve_missing(survey, &device));
    }
    let Some((device, needed, demand, basis)) = nearest else {
        return Verdict::Opens;
    };
    let wanted = match demand {
        Demand::Within(time) => format!("within {}", time.show()),
        Demand::Multiple(_) => "for sure".to_owned(),
    };
    let most = largest_loop(to_earth, fault.factor, needed);
    Verdict::Slow(Slow {
        device: device.at,
        current,
        needed,
        largest_loop: most,
        working: vec![
            fault.working(),
            format!(
                "{} opens {wanted} from {}: a loop of at most {}",
                words::device(survey, &device),
                show_rounded(needed),
                show_rounded(most)
            ),
        ],
        wanted,
        basis,
    })
}

/// What is asked of a device of this rating; `None` where nothing is.
fn demand(survey: &Survey<'_>, to_earth: Voltage, rating: Current) -> Option<(Demand, Citation)> {
    if survey.practice() == Some(Practice::Nec) {
        let multiple = limits::earth_fault_multiple(Practice::Nec)?;
        return Some((Demand::Multiple(multiple.value), multiple.citation));
    }
    match disconnection::max_time(to_earth, disconnection::Earthing::Tn, rating) {
        Lookup::Known { cited, .. } => Some((Demand::Within(cited.value), cited.citation)),
        Lookup::NotInTable { .. } => None,
    }
}

/// The least current at which a breaker is sure to be open within a time.
fn needed_within(curve: breakers::Curve, rating: Current, time: Time) -> Option<Current> {
    let band = breakers::instantaneous_band(curve)?;
    // Between conventional trip and instantaneous trip the standard gives a few points only.
    const STEPS: [f64; 5] = [1.45, 2.0, 2.55, 3.0, 5.0];
    let in_time = |multiple: &f64| {
        let multiple = crate::quantity::percent(100.0 * multiple);
        let latest = breakers::trip_time_bounds(curve, rating, multiple).latest;
        latest.is_some_and(|latest| latest.value <= time)
    };
    let instant = band.opens_from.in_parts_of_one();
    let multiple = STEPS
        .into_iter()
        .filter(|step| *step < instant)
        .find(in_time)
        .unwrap_or(instant);
    Some(rating * crate::quantity::percent(100.0 * multiple))
}

fn table(clause: &str) -> Citation {
    Citation::new(
        "IEC 60364-4-41",
        clause,
        "2005+A1:2017",
        Confidence::TwoCopies,
    )
}

fn supply_gap(
    supply: &Named<Supply>,
    kind: &'static str,
    span: crate::source::Span,
    missing: &str,
    advice: &str,
    clause: &str,
) -> Gap {
    Gap {
        about: supply.name.value.clone(),
        kind,
        span,
        headline: format!(
            "whether an earth fault behind supply {} opens a device in time cannot be said: {missing}",
            supply.name.value
        ),
        missing: missing.to_owned(),
        basis: table(clause),
        advice: advice.to_owned(),
    }
}

fn earthing_missing(supply: &Named<Supply>) -> Gap {
    let span = field_or_name(&supply.earthing, &supply.name);
    let advice = "Write the kind of earthing: TN-S, TN-C-S, TT or IT.";
    supply_gap(
        supply,
        "earthing",
        span,
        "its earthing is missing",
        advice,
        "Table 41.1",
    )
}

fn insulated(supply: &Named<Supply>) -> Gap {
    let span = field_or_name(&supply.earthing, &supply.name);
    let advice = "Have the second fault worked out by hand and the insulation monitored; record it as a departure.";
    let missing =
        "it is an IT system, where a second fault decides, and that is not worked out here";
    supply_gap(supply, "insulated", span, missing, advice, "411.6")
}

fn electrode(survey: &Survey<'_>, supply: &Named<Supply>, id: ElementId) -> Gap {
    let circuit = survey
        .graph
        .circuit_of(id)
        .map(|circuit| &survey.model.circuits[circuit]);
    let (about, span) = circuit.map_or((supply.name.value.clone(), supply.name.span), |circuit| {
        (
            circuit.name.value.clone(),
            field_or_name(&circuit.rcd, &circuit.name),
        )
    });
    let missing =
        "in a TT system the earth electrode decides, and it has no residual current device";
    let advice = "Give the circuit a residual current device of 30 mA and write it under rcd.";
    let gap = supply_gap(supply, "electrode", span, missing, advice, "411.5");
    Gap {
        headline: format!(
            "whether an earth fault on circuit {about} opens a device in time cannot be said: {missing}"
        ),
        about,
        ..gap
    }
}

fn source_missing(supply: &Named<Supply>) -> Gap {
    let span = field_or_name(&supply.fault_current, &supply.name);
    let advice = "Write the prospective fault current at the supply under fault-current: measured, or from the utility or the maker of the UPS.";
    let missing = "its prospective fault current, or its voltage to earth, is missing";
    supply_gap(supply, "fault-current", span, missing, advice, "411.4.4")
}

fn conductors_missing(survey: &Survey<'_>, at: ElementId) -> Gap {
    let owner = words::owner(survey, at);
    let (about, what) = owner.map_or_else(
        || (survey.full_name(at), survey.describe(at)),
        |owner| (owner.name.value.clone(), owner.describe()),
    );
    Gap {
        headline: format!(
            "whether an earth fault behind {what} opens a device in time cannot be said: size or length of its conductors is missing"
        ),
        about,
        kind: "conductors",
        span: words::conductor_span(survey, at),
        missing: "size and length of the conductors are needed".into(),
        basis: table("411.4.4"),
        advice: "Write the size and the length of the run.".into(),
    }
}

fn curve_missing(survey: &Survey<'_>, device: &Device<'_>) -> Gap {
    let what = words::describe_device_model(survey, device.at);
    Gap {
        about: words::device_model(survey, device.at),
        kind: "curve",
        span: survey.place_of(device.at),
        headline: format!(
            "whether an earth fault opens the breaker of {what} in time cannot be said: its rating or curve is missing"
        ),
        missing: "no curve".into(),
        basis: table("Table 41.1"),
        advice: "Read the letter before the rated current off the breaker (B, C or D; inverse-time in North America) and write it under curve.".into(),
    }
}
