//! How the current of an element comes about: what each device below takes, and how that adds up.

use num_complex::Complex64;

use crate::flow::network::Sequence;
use crate::graph::{ElementId, Receiver};
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{
    Current, InUnits, LoadPower, Quantity, amperes, percent, volt_amperes, volts, watts,
};
use crate::survey::Survey;

use super::phasor;

/// Groups that are shown one by one; the others make one line.
const SHOWN: usize = 3;

/// What one inlet takes through an element.
#[derive(Clone, Copy, Debug)]
pub struct Tap {
    /// The cord or leg that feeds it.
    pub element: ElementId,
    /// The device.
    pub device: Id<Device>,
    /// The two poles it hangs between.
    pub poles: (Pole, Pole),
    /// What it takes, watts and vars.
    pub power: Complex64,
    /// What it takes in the normal state.
    pub normal: Complex64,
    /// Voltage between its poles with no load on them, in volts.
    pub volts: f64,
}

impl Tap {
    /// Its current, in amperes.
    pub fn amperes(&self) -> f64 {
        self.power.norm() / self.volts
    }

    /// The pole at its other side; `None` if it does not hang on `pole`.
    fn other(&self, pole: Pole) -> Option<Pole> {
        match self.poles {
            (from, to) if from == pole => Some(to),
            (from, to) if to == pole => Some(from),
            _ => None,
        }
    }
}

/// What all inlets below an element take while `lost` is lost; those that take nothing are left out.
pub fn taps(survey: &Survey<'_>, id: ElementId, lost: Option<ElementId>) -> Vec<Tap> {
    let below = survey.graph.below(id).map(ElementId);
    below
        .filter_map(|element| tap(survey, element, lost))
        .collect()
}

fn tap(survey: &Survey<'_>, element: ElementId, lost: Option<ElementId>) -> Option<Tap> {
    let graph = survey.graph;
    let &Receiver::Inlet(number) = graph.receiver(element)? else {
        return None;
    };
    let link = &graph.links.inlets[number as usize];
    let mut poles = graph.poles(element);
    let poles = (poles.next()?, poles.next()?);
    if graph.feeding(link) != Some(element) {
        return None;
    }
    let normal = survey.flows.loads.normal[number as usize];
    let power = survey.power_of(number, lost);
    let volts = survey.flows.nominal_voltage(graph, element)?.in_volts() * lowest(survey);
    (power != Complex64::ZERO).then_some(Tap {
        element,
        device: link.device,
        poles,
        power,
        normal,
        volts,
    })
}

/// Share of the nominal voltage that is left at the low end of the supply's tolerance.
fn lowest(survey: &Survey<'_>) -> f64 {
    let tolerance = survey.model.site.supply_tolerance.copied();
    1.0 - tolerance.map_or(0.0, |tolerance| tolerance.in_parts_of_one())
}

/// Inlets that take the same between the same poles.
struct Group {
    first: Tap,
    other: Pole,
    devices: Vec<Id<Device>>,
    count: usize,
    /// Their current into the pole, against its own voltage.
    current: Complex64,
}

impl Group {
    fn holds(&self, tap: &Tap, other: Pole, survey: &Survey<'_>) -> bool {
        self.other == other
            && self.first.power == tap.power
            && is_same(self.first.volts, tap.volts)
            && stated_in_watts(survey, self.first.device) == stated_in_watts(survey, tap.device)
            && whole_load(survey, self.first.device) == whole_load(survey, tap.device)
    }
}

/// The lines that show how the current on a pole of an element comes about, and what they add up to
/// before the cords take their part of the voltage. Of two possible sequences of the lines, the one
/// that adds up to more.
pub fn lines(
    survey: &Survey<'_>,
    id: ElementId,
    pole: Pole,
    lost: Option<ElementId>,
) -> (Vec<String>, f64) {
    let forward = lines_in(survey, id, Sequence::Forward, pole, lost);
    if is_sequence_known(survey, id) {
        return forward;
    }
    let mut reverse = lines_in(survey, id, Sequence::Reverse, pole, lost);
    if reverse.1 <= forward.1 * 1.000_001 {
        return forward;
    }
    let words = "with the lines in the sequence L1-L3-L2, which nobody has ruled out";
    reverse.0.push(words.to_owned());
    reverse
}

fn is_sequence_known(survey: &Survey<'_>, id: ElementId) -> bool {
    let supply = survey.graph.supply_of(id);
    let proved = supply.and_then(|supply| survey.model.supplies[supply].sequence_proved.get());
    proved.is_some_and(|proved| proved.0)
}

fn lines_in(
    survey: &Survey<'_>,
    id: ElementId,
    sequence: Sequence,
    pole: Pole,
    lost: Option<ElementId>,
) -> (Vec<String>, f64) {
    let mut groups = groups(survey, id, sequence, pole, lost);
    // A stable sort: equal ones stay in electrical order.
    groups.sort_by(|a, b| b.current.norm().total_cmp(&a.current.norm()));
    let has_pairs = survey.graph.conductors_of(id).len() > 2;
    let mut lines = voltages(survey, &groups, has_pairs);
    let (shown, others) = groups.split_at(groups.len().min(SHOWN));
    let mut terms: Vec<Complex64> = shown.iter().map(|group| group.current).collect();
    let rest = others.iter().map(|group| group.current);
    terms.extend(rest.reduce(|sum, current| sum + current));
    let is_turned = phasor::needs_angles(&terms);
    let written = shown
        .iter()
        .map(|group| line(survey, group, pole, has_pairs, is_turned));
    lines.extend(written);
    if let (false, Some(rest)) = (others.is_empty(), terms.last()) {
        let mut devices: Vec<_> = others.iter().flat_map(|group| &group.devices).collect();
        devices.sort_unstable();
        devices.dedup();
        let rest = phasor::show(*rest, is_turned);
        lines.push(format!(
            "and {}: {rest}",
            count(devices.len(), "more device")
        ));
    }
    let (words, sum) = phasor::sum(&terms, pole);
    lines.extend(words);
    (lines, sum)
}

fn groups(
    survey: &Survey<'_>,
    id: ElementId,
    sequence: Sequence,
    pole: Pole,
    lost: Option<ElementId>,
) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for tap in taps(survey, id, lost) {
        let Some(other) = tap.other(pole) else {
            continue;
        };
        let lead = phasor::lead(survey, id, sequence, pole, other);
        let current = Complex64::from_polar(tap.amperes(), lead - tap.power.arg());
        match groups
            .iter_mut()
            .find(|group| group.holds(&tap, other, survey))
        {
            Some(group) => {
                group.devices.push(tap.device);
                group.count += 1;
                group.current += current;
            }
            None => groups.push(Group {
                first: tap,
                other,
                devices: vec![tap.device],
                count: 1,
                current,
            }),
        }
    }
    groups
}

/// Whether two voltages are the same but for rounding.
fn is_same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6 * a
}

/// The voltages that the groups hang on: `supply: 230 V less 10 % = 207 V`.
fn voltages(survey: &Survey<'_>, groups: &[Group], has_pairs: bool) -> Vec<String> {
    let mut seen: Vec<(f64, String)> = Vec::new();
    for group in groups {
        let (at, neutral) = (
            group.first.volts,
            group.other == Pole::N || group.first.poles.1 == Pole::N,
        );
        if seen.iter().any(|(volts, _)| is_same(*volts, at)) {
            continue;
        }
        let nominal = volts(at / lowest(survey)).show();
        let between = match (has_pairs, neutral) {
            (false, _) => "",
            (true, true) => ", line to neutral",
            (true, false) => ", line to line",
        };
        let words = match survey.model.site.supply_tolerance.get() {
            Some(tolerance) => format!(
                "supply{between}: {nominal} less {} = {}",
                tolerance.show(),
                volts(at).show()
            ),
            None => format!("supply{between}: {nominal}, no tolerance given"),
        };
        seen.push((at, words));
    }
    seen.into_iter().map(|(_, words)| words).collect()
}

/// `12 × 210 W ÷ (207 V × 0.97) = 12.55 A`
fn line(
    survey: &Survey<'_>,
    group: &Group,
    pole: Pole,
    has_pairs: bool,
    is_turned: bool,
) -> String {
    let tap = &group.first;
    let volts = volts(tap.volts).show();
    let factor = tap.power.re / tap.power.norm();
    let (power, by) = if stated_in_watts(survey, tap.device) {
        let factor = (factor * 1e4).round() / 1e4;
        (watts(tap.power.re).show(), format!("({volts} × {factor})"))
    } else {
        (volt_amperes(tap.power.norm()).show(), volts)
    };
    let pair = match (has_pairs, pole) {
        (false, _) => String::new(),
        (true, Pole::N) => format!("{}-N: ", group.other.word()),
        (true, _) => format!("{}-{}: ", pole.word(), group.other.word()),
    };
    let times = if group.count > 1 {
        format!("{} × ", group.count)
    } else {
        String::new()
    };
    let current = phasor::show(group.current, is_turned);
    let part = part(survey, group);
    format!("{pair}{times}{power} ÷ {by} = {current}{part}")
}

/// Which part of its device's load an inlet takes, where that is not all of it.
fn part(survey: &Survey<'_>, group: &Group) -> String {
    let share = group.first.power.norm() / whole_load(survey, group.first.device).norm();
    if (share - 1.0).abs() < 1e-9 {
        return String::new();
    }
    let each = if group.count > 1 {
        "each load"
    } else {
        "the load"
    };
    format!(" ({} of {each})", percent(share * 100.0).show())
}

fn whole_load(survey: &Survey<'_>, device: Id<Device>) -> Complex64 {
    survey.flows.loads.device(device).power
}

/// Whether the load is given in watts, so that the power factor comes in.
pub fn stated_in_watts(survey: &Survey<'_>, device: Id<Device>) -> bool {
    let draw = survey.model.devices[device].draw.get();
    let model = survey.graph.device_model(survey.model, device);
    let load = draw.or_else(|| model.and_then(|model| model.rating.get()));
    matches!(load, Some(LoadPower::Active(_)))
}

/// `3 devices`, `1 device`.
pub fn count(number: usize, thing: &str) -> String {
    match number {
        1 => format!("1 {thing}"),
        _ => format!("{number} {thing}s"),
    }
}

/// The line that tells what the voltage drop of the cords adds, where it shows.
pub fn drop(sum: f64, actual: Current) -> Option<String> {
    let actual = actual.show();
    (amperes(sum).show() != actual)
        .then(|| format!("with the voltage drop of wiring and cords: {actual}"))
}

/// The devices of some taps, each once.
pub fn distinct(taps: &[Tap]) -> Vec<Id<Device>> {
    let mut devices: Vec<_> = taps.iter().map(|tap| tap.device).collect();
    devices.sort_unstable();
    devices.dedup();
    devices
}

/// `12 devices`.
pub fn count_devices(taps: &[Tap]) -> String {
    count(distinct(taps).len(), "device")
}
