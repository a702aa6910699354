//! The heat of a short circuit in one run, against what its insulation bears.
//!
//! A device that also protects the run against overload is taken to protect it against short circuit
//! too (IEC 60364-4-43 435.1): only what its maker says it lets through is then held against the run.
//! Where the device is larger than that, both ends are looked at: the far end, where the current is
//! small and the device slow, and the near end, where the current is large and the time below 0.1 s, so
//! that only the maker's figure can decide.

use crate::citation::Citation;
use crate::flow::fault::{FaultLoop, Source, Ways};
use crate::flow::protection::{Device, bearable, devices_ahead, heat};
use crate::graph::{ElementId, ElementKind};
use crate::quantity::{
    Area, ConductorSize, Current, EnergyLetThrough, Quantity, Time, seconds, show_rounded,
};
use crate::survey::{Survey, exceeds, field_or_name};
use crate::tables::cordage::Insulation;
use crate::tables::limits;
use crate::tables::withstand::{self, AdiabaticConstant, ConductorRole};

use super::super::gaps::Gap;
use super::super::words;

/// What becomes of a run.
pub(super) enum Outcome {
    /// It bears the fault.
    Bears,
    /// It does not.
    Burns(Stress),
    /// A fact is missing.
    Open(Box<Gap>),
}

/// More heat than a run bears.
pub(super) struct Stress {
    /// The nearest device.
    pub device: ElementId,
    /// Which end of the run: `far-end`, or `let-through` at the near one.
    pub kind: &'static str,
    /// What is let through.
    pub heat: EnergyLetThrough,
    /// What is borne.
    pub bears: EnergyLetThrough,
    /// The conductors that are there.
    pub size: ConductorSize,
    /// The section that would bear it.
    pub least_section: Area,
    /// The arithmetic.
    pub working: Vec<String>,
    /// Sources of constant, voltage factor and times.
    pub basis: Vec<Citation>,
}

/// A run with what its insulation bears.
struct Run<'a> {
    id: ElementId,
    device: Device<'a>,
    size: ConductorSize,
    k: AdiabaticConstant,
    k_source: Citation,
}

impl Run<'_> {
    fn bears(&self) -> EnergyLetThrough {
        bearable(self.k, self.size.area())
    }

    fn stress(&self, kind: &'static str, heat: EnergyLetThrough, working: Vec<String>) -> Stress {
        let one_second = crate::quantity::amperes(heat.0.sqrt());
        let bears = self.bears();
        let sum = format!(
            "k²S² = ({} × {})² = {}",
            self.k.value(),
            show_rounded(self.size.area()),
            bears.show()
        );
        let verdict = format!("{} > {}", heat.show(), bears.show());
        Stress {
            device: self.device.at,
            kind,
            heat,
            bears,
            size: self.size,
            least_section: self.k.least_section(one_second, seconds(1.0)),
            working: working.into_iter().chain([sum, verdict]).collect(),
            basis: vec![self.k_source.clone()],
        }
    }
}

/// What a short circuit does to the conductors of an element that carry `capacity`.
pub(super) fn of(survey: &Survey<'_>, ways: &Ways, id: ElementId, capacity: Current) -> Outcome {
    let mut devices = devices_ahead(survey.model, survey.graph, id);
    let nearest = devices.find_map(|device| Some((device, device.breaker.rating.copied()?)));
    let Some((device, rating)) = nearest.filter(|_| !words::is_fused(survey, id)) else {
        return Outcome::Bears;
    };
    let let_through = least_let_through(survey, id);
    let is_overload_proof = !exceeds(rating, capacity);
    if is_overload_proof && let_through.is_none() {
        return Outcome::Bears;
    }
    let run = match run(survey, id, device) {
        Ok(run) => run,
        Err(gap) => return Outcome::Open(gap),
    };
    let bears = run.bears().0 * (1.0 + 1e-9);
    let stressed = let_through.filter(|(_, heat)| heat.0 > bears);
    match (stressed, is_overload_proof) {
        (Some((device, heat)), _) => {
            let working = vec![format!("let through by {}", words::device(survey, &device))];
            let run = Run { device, ..run };
            Outcome::Burns(run.stress("let-through", heat, working))
        }
        (None, true) => Outcome::Bears,
        (None, false) => both_ends(survey, ways, &run, let_through.is_some()),
    }
}

/// The device ahead that lets least through by its maker's figure; all of them stand in one line.
fn least_let_through<'a>(
    survey: &Survey<'a>,
    id: ElementId,
) -> Option<(Device<'a>, EnergyLetThrough)> {
    let devices = devices_ahead(survey.model, survey.graph, id);
    let known = devices.filter_map(|device| Some((device, device.breaker.let_through.copied()?)));
    known.min_by(|(_, a), (_, b)| a.0.total_cmp(&b.0))
}

fn run<'a>(survey: &Survey<'a>, id: ElementId, device: Device<'a>) -> Result<Run<'a>, Box<Gap>> {
    let size = survey.conductors_of(id).and_then(|own| own.size);
    let insulation = insulation(survey, id);
    let (Some(size), Some(insulation)) = (size, insulation) else {
        return Err(Box::new(insulation_missing(survey, id)));
    };
    let constant = withstand::k(insulation, ConductorRole::Line);
    let Some(constant) = constant.cited() else {
        return Err(Box::new(insulation_missing(survey, id)));
    };
    Ok(Run {
        id,
        device,
        size,
        k: constant.value,
        k_source: constant.citation.clone(),
    })
}

fn insulation(survey: &Survey<'_>, id: ElementId) -> Option<Insulation> {
    if let ElementKind::Circuit(circuit) = survey.graph.kind(id) {
        let wiring = survey.model.circuits[circuit].wiring.get()?;
        return Some(wiring.insulation.copied()?.insulation());
    }
    Some(survey.conductors_of(id)?.cordage?.insulation)
}

/// The far end first: what fails there fails whatever the maker says of the near end.
fn both_ends(survey: &Survey<'_>, ways: &Ways, run: &Run<'_>, near_end_is_known: bool) -> Outcome {
    let supply = survey.graph.supply_of(run.id);
    let Some((supply, source)) = supply.map(|supply| {
        let supply = &survey.model.supplies[supply];
        (supply, Source::of(supply))
    }) else {
        return Outcome::Bears;
    };
    let Some(source) = source else {
        let span = field_or_name(&supply.fault_current, &supply.name);
        return open(gap(
            (supply.name.value.clone(), "fault-current", span),
            format!(
                "whether conductors behind supply {} bear a short circuit cannot be said: its prospective fault current, or its voltage to earth, is missing",
                supply.name.value
            ),
            "no fault-current",
            "Write the prospective fault current at the supply under fault-current.",
        ));
    };
    let way = match ways.hot(run.id) {
        Ok(way) => way,
        Err(at) => return open(way_missing(survey, at)),
    };
    let poles = survey.graph.poles(run.id);
    let far = source.short_circuit(poles, way.line);
    match far_end(survey, run, far) {
        Outcome::Bears if near_end_is_known => Outcome::Bears,
        Outcome::Bears => near_end(survey, ways, run, source),
        other => other,
    }
}

fn far_end(survey: &Survey<'_>, run: &Run<'_>, far: FaultLoop) -> Outcome {
    let Some(factor) = limits::minimum_voltage_factor() else {
        return Outcome::Bears;
    };
    let current = far.smallest(factor.value);
    let Some(latest) = soonest(survey, run, current) else {
        return open(curve_missing(survey, &run.device));
    };
    // A device that need not open at all lets through without end.
    let time = latest.unwrap_or(seconds(f64::INFINITY));
    let made = heat(current, time);
    if made.0 <= run.bears().0 * (1.0 + 1e-9) {
        return Outcome::Bears;
    }
    // Below 0.1 s the time is an upper bound only, and the maker's figure decides.
    let instant = seconds(0.1 + 1e-9);
    if time <= instant {
        return Outcome::Bears;
    }
    let opens = latest.map_or_else(
        || "which need not open it at all".to_owned(),
        |latest| format!("which open it within {}", latest.show()),
    );
    let working = vec![
        format!(
            "{:.2} × {} ÷ ({} source + {} hot conductors) = {}, {opens}",
            crate::quantity::InUnits::in_parts_of_one(factor.value),
            far.voltage.show(),
            show_rounded(far.source),
            show_rounded(far.conductors),
            show_rounded(current)
        ),
        format!("({})² × {} = {}", current.show(), time.show(), made.show()),
    ];
    let mut stress = run.stress("far-end", made, working);
    stress.basis.push(factor.citation);
    Outcome::Burns(stress)
}

/// The time by which some device ahead has opened; `None` if no curve is known, `Some(None)` if none
/// need open.
fn soonest(survey: &Survey<'_>, run: &Run<'_>, current: Current) -> Option<Option<Time>> {
    let devices = devices_ahead(survey.model, survey.graph, run.id);
    let known = devices.filter_map(|device| device.opens_by(current));
    let times = known.map(|latest| latest.map(|cited| cited.value));
    times.reduce(|a, b| match (a, b) {
        (Some(a), Some(b)) => Some(if a < b { a } else { b }),
        (a, b) => a.or(b),
    })
}

/// At the near end the device opens within 0.1 s; unless even that bears, the maker's figure decides.
fn near_end(survey: &Survey<'_>, ways: &Ways, run: &Run<'_>, source: Source) -> Outcome {
    let feeder = survey.graph.element(run.id).feeder;
    let way = feeder.map(|feeder| ways.cold(feeder));
    let poles = survey.graph.poles(run.id);
    let largest = way.map(|way| source.short_circuit(poles, way.line).largest());
    if let Some(largest) = largest
        && heat(largest, seconds(0.1)).0 <= run.bears().0
    {
        return Outcome::Bears;
    }
    let what = words::describe_device_model(survey, run.device.at);
    open(gap(
        (
            words::device_model(survey, run.device.at),
            "let-through",
            survey.place_of(run.device.at),
        ),
        format!(
            "whether a short circuit burns the conductors behind the breaker of {what} cannot be said: it is larger than they carry, and what it lets through is missing"
        ),
        "no let-through",
        "Write what the breaker lets through at this fault current under let-through, in A²s, from its maker's data; or use conductors that carry its rated current.",
    ))
}

fn open(gap: Gap) -> Outcome {
    Outcome::Open(Box::new(gap))
}

fn gap(
    (about, kind, span): (smol_str::SmolStr, &'static str, crate::source::Span),
    headline: String,
    missing: &str,
    advice: &str,
) -> Gap {
    Gap {
        about,
        kind,
        span,
        headline,
        missing: missing.into(),
        basis: super::basis(),
        advice: advice.into(),
    }
}

fn curve_missing(survey: &Survey<'_>, device: &Device<'_>) -> Gap {
    let what = words::describe_device_model(survey, device.at);
    gap(
        (
            words::device_model(survey, device.at),
            "curve",
            survey.place_of(device.at),
        ),
        format!(
            "whether the breaker of {what} opens before the conductors burn cannot be said: its curve is missing"
        ),
        "no curve",
        "Read the letter before the rated current off the breaker (B, C or D; inverse-time in North America) and write it under curve.",
    )
}

fn insulation_missing(survey: &Survey<'_>, id: ElementId) -> Gap {
    missing_at(
        survey,
        id,
        "insulation",
        "the insulation of its conductors is missing",
        "Write the cordage, or for fixed wiring the insulation.",
    )
}

fn way_missing(survey: &Survey<'_>, at: ElementId) -> Gap {
    missing_at(
        survey,
        at,
        "conductors",
        "size or length of its conductors is missing",
        "Write the size and the length of the run.",
    )
}

fn missing_at(
    survey: &Survey<'_>,
    at: ElementId,
    kind: &'static str,
    why: &str,
    advice: &str,
) -> Gap {
    let owner = words::owner(survey, at);
    let (about, what) = owner.map_or_else(
        || (survey.full_name(at), survey.describe(at)),
        |owner| (owner.name.value.clone(), owner.describe()),
    );
    gap(
        (about, kind, words::conductor_span(survey, at)),
        format!("whether a short circuit burns what is behind {what} cannot be said: {why}"),
        why,
        advice,
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{amperes, square_millimetres};

    /// IEC 60364-4-43 434.5.2 with the textbook case 10 mm², k 115, 4 000 A: 82.66 ms are borne.
    #[test]
    fn heat_just_below_and_above_the_withstand_time() {
        let k = withstand::k(Insulation::Pvc70, ConductorRole::Line);
        let bears = bearable(*k.value().unwrap(), square_millimetres(10.0));
        let made = |milliseconds: f64| heat(amperes(4000.0), seconds(milliseconds / 1000.0));
        assert!(made(82.65).0 < bears.0 && made(82.67).0 > bears.0);
    }
}
