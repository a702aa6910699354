//! The overcurrent devices ahead of an earth fault: which of them opens in time.

mod longest_time;

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::flow::protection::{AtOnce, Device, at_once, devices_ahead, largest_loop};
use crate::graph::ElementId;
use crate::quantity::{Current, InUnits, Quantity, Time, Voltage, show_rounded};
use crate::rules::conductors::naming;
use crate::tables::{Practice, breakers, constants};

use super::missing::device_gap;
use super::verdict::{Fault, Slow, Verdict};
use longest_time::longest_time;

/// The first device ahead that is sure to open in time decides.
pub(super) fn by_overcurrent(analysis: &Analysis<'_>, id: ElementId, fault: &Fault<'_>) -> Verdict {
    let (current, lasts) = (fault.current, fault.state.lasts());
    let mut nearest: Option<(Device<'_>, Current, Demand, Citation)> = None;
    let mut unknown: Option<Device<'_>> = None;
    for device in devices_ahead(analysis.model, analysis.graph, id) {
        match need(analysis, (fault.fault.touch, lasts), &device) {
            Need::Nothing => return Verdict::Opens,
            Need::Unknown => unknown = unknown.or(Some(device)),
            Need::Current(needed, ..) if suffices(current, needed) && !is_too_short(lasts) => {
                return Verdict::Opens;
            }
            Need::Current(needed, demand, citation) => {
                nearest = nearest.or(Some((device, needed, demand, citation)));
            }
        }
    }
    if let Some(device) = unknown {
        let gap = Box::new(device_gap(analysis, &device));
        return Verdict::Open(gap, naming::sharer(analysis, device.at));
    }
    let Some((device, needed, demand, basis)) = nearest else {
        return Verdict::Opens;
    };
    let (wanted, time) = match demand {
        Demand::Within(time) => (format!("within {}", time.show()), Some(time)),
        Demand::WithoutDelay => ("without delay".to_owned(), None),
    };
    // No conductor makes electronics drive more than they do.
    let is_held = fault.around().limit.is_some_and(|limit| limit < needed);
    let most = (!is_held).then(|| largest_loop(fault.around().voltage, fault.factor, needed));
    let opens = format!(
        "{} is sure to open {wanted} only from {}{}",
        naming::device(analysis, &device),
        show_rounded(needed),
        most.map_or_else(String::new, |most| {
            format!(": the loop may have {} at most", show_rounded(most))
        })
    );
    let lasts_for = lasts.map(|lasts| format!("the source drives it for {}", lasts.show()));
    let working = [fault.working(analysis.words()), opens];
    Verdict::Slow(Slow {
        device: device.at,
        current,
        needed,
        largest_loop: most,
        which: fault.fault.which,
        working: working.into_iter().chain(lasts_for).collect(),
        wanted,
        time,
        phrase: fault.state.phrase(),
        lasts,
        left: fault.left_below(needed),
        basis,
    })
}

/// Whether a current stops before any device is sure to have opened.
fn is_too_short(lasts: Option<Time>) -> bool {
    lasts.is_some_and(|lasts| lasts < at_once())
}

/// What a device needs to open as the practice asks.
enum Need {
    /// Nothing is asked of it.
    Nothing,
    /// At least this current; what is asked, and by which clause.
    Current(Current, Demand, Citation),
    /// Its rating or curve is not known.
    Unknown,
}

/// What a device needs where this voltage may be touched, and the current lasts so long.
fn need(
    analysis: &Analysis<'_>,
    (touch, lasts): (Voltage, Option<Time>),
    device: &Device<'_>,
) -> Need {
    let breaker = device.breaker;
    let curve = breaker.curve.known().copied();
    let own = match device.opens_at_once_from() {
        AtOnce::ByCurve => None,
        AtOnce::From(opens) => Some(opens),
        AtOnce::Unreadable => return Need::Unknown,
    };
    let Some(rating) = breaker.rating.known().copied() else {
        return Need::Unknown;
    };
    if curve.is_none() && own.is_none() {
        return Need::Unknown;
    }
    if analysis.practice() == Some(Practice::Nec) {
        return constants::earth_fault_multiple(Practice::Nec).map_or(Need::Nothing, |multiple| {
            Need::Current(
                rating * multiple.value,
                Demand::WithoutDelay,
                multiple.citation,
            )
        });
    }
    // Up to 50 V to earth nothing is asked.
    let Some(time) = longest_time(analysis, device.at, touch, rating) else {
        return Need::Nothing;
    };
    let soonest = lasts.filter(|lasts| *lasts < time.value);
    let needed = needed_within((curve, own), rating, soonest.unwrap_or(time.value));
    needed.map_or(Need::Unknown, |needed| {
        Need::Current(needed, Demand::Within(time.value), time.citation)
    })
}

/// Whether a current is as large as it needs to be; at the limit it is.
fn suffices(current: Current, needed: Current) -> bool {
    current.in_amperes() >= needed.in_amperes() * (1.0 - 1e-9)
}

/// What the practice asks of a device.
#[derive(Clone, Copy)]
enum Demand {
    /// Open within a time.
    Within(Time),
    /// Open at once, as far as such a device ever does.
    WithoutDelay,
}

/// The least current at which a breaker is sure to be open within a time.
fn needed_within(
    (curve, own): (Option<breakers::Curve>, Option<Current>),
    rating: Current,
    time: Time,
) -> Option<Current> {
    let by_curve = || {
        let band = breakers::instantaneous_band(curve?)?;
        Some(rating * band.opens_from)
    };
    let instant = own.or_else(by_curve)?;
    let Some(curve) = curve else {
        return Some(instant);
    };
    // Between conventional trip and instantaneous trip the standard gives a few points only.
    const STEPS: [f64; 5] = [1.45, 2.0, 2.55, 3.0, 5.0];
    let in_time = |multiple: &f64| {
        let multiple = crate::quantity::percent(100.0 * multiple);
        let latest = breakers::open_by(curve, rating, multiple);
        // Below its own instantaneous trip the thermal part alone opens it.
        let is_thermal = |latest: Time| own.is_none() || latest > at_once();
        latest.is_some_and(|latest| latest <= time && is_thermal(latest))
    };
    let in_thermal_time = STEPS
        .into_iter()
        .filter(|step| rating * *step < instant)
        .find(in_time);
    Some(in_thermal_time.map_or(instant, |step| rating * step))
}
