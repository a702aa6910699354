//! The path as JSON, by a schema of its own: numbers in the unit that their key names.

use serde::Serialize;

use crate::analysis::{Delivery, Margin, Standing, Stands};
use crate::ink::{Json, Written};
use crate::quantity::{ApparentPower, Current, InUnits};
use crate::report::CAUTION;
use crate::trace::{Hop, Trace};

#[derive(Serialize)]
struct Wire<'a> {
    schema: u32,
    caution: &'a str,
    traces: Vec<WireTrace<'a>>,
}

#[derive(Serialize)]
struct WireTrace<'a> {
    title: &'a str,
    in_no_sum: Option<&'a str>,
    paths: Vec<WirePath<'a>>,
}

#[derive(Serialize)]
struct WirePath<'a> {
    name: &'a str,
    unfed: Option<&'a str>,
    hops: Vec<WireHop<'a>>,
}

#[derive(Serialize)]
struct WireHop<'a> {
    what: &'a str,
    depth: usize,
    poles: Vec<&'a str>,
    #[serde(flatten)]
    standing: WireStanding<'a>,
    /// Each pole by itself: a line against the limit of the element, a neutral against its own.
    currents: Vec<WirePole<'a>>,
    volts: Option<f64>,
    lowest_volts: Option<f64>,
    lowest: Option<&'a str>,
    worst_volt_amperes: Option<f64>,
    capacity_volt_amperes: Option<f64>,
    margin_volt_amperes: Option<f64>,
    margin_at_most_volt_amperes: Option<f64>,
    unknown_load: Option<&'a str>,
}

#[derive(Serialize)]
struct WirePole<'a> {
    pole: &'a str,
    #[serde(flatten)]
    standing: WireStanding<'a>,
}

#[derive(Serialize)]
struct WireStanding<'a> {
    normal_amperes: Option<f64>,
    worst_amperes: Option<f64>,
    worst: &'a str,
    more_may_flow: bool,
    limit_amperes: Option<f64>,
    limit: Option<&'a str>,
    limit_kind: Option<&'a str>,
    limit_rated_amperes: Option<f64>,
    limit_percent: Option<f64>,
    limit_basis: Vec<String>,
    limit_unknown: bool,
    limits_untold: &'a [String],
    margin_amperes: Option<f64>,
    margin_at_most_amperes: Option<f64>,
    /// `above`, `not decided`, or nothing.
    judged: &'a str,
}

/// All paths as one document.
pub(super) fn shown(traces: &[Trace]) -> Written<Json> {
    let traces = traces.iter().map(trace).collect();
    let wire = Wire {
        schema: 1,
        caution: CAUTION,
        traces,
    };
    Written::document(&wire)
}

fn trace(trace: &Trace) -> WireTrace<'_> {
    let paths = trace.paths.iter().map(|path| WirePath {
        name: &path.name,
        unfed: path.unfed.as_deref(),
        hops: path.hops.iter().map(hop).collect(),
    });
    WireTrace {
        title: &trace.title,
        in_no_sum: trace.in_no_sum.as_deref(),
        paths: paths.collect(),
    }
}

fn hop(hop: &Hop) -> WireHop<'_> {
    let delivery = hop.delivery.as_ref();
    let (left, left_at_most) = margin(
        delivery.map(Delivery::margin),
        ApparentPower::in_volt_amperes,
    );
    let power = |power: ApparentPower| rounded(power.in_volt_amperes());
    let currents = hop.poles.iter().map(|on| WirePole {
        pole: on.pole.word(),
        standing: standing(&on.standing, &on.when, on.standing.stands()),
    });
    WireHop {
        what: &hop.what,
        depth: hop.depth,
        poles: hop.poles.iter().map(|on| on.pole.word()).collect(),
        standing: standing(&hop.standing, &hop.when, hop.stands),
        currents: currents.collect(),
        volts: hop.voltage.map(|voltage| rounded(voltage.in_volts())),
        lowest_volts: hop
            .lowest
            .as_ref()
            .map(|(lowest, _)| rounded(lowest.in_volts())),
        lowest: hop.lowest.as_ref().map(|(_, when)| when.as_str()),
        worst_volt_amperes: delivery.map(|delivery| power(delivery.worst)),
        capacity_volt_amperes: delivery.and_then(|delivery| delivery.capacity).map(power),
        margin_volt_amperes: left,
        margin_at_most_volt_amperes: left_at_most,
        unknown_load: hop.unknown.as_deref(),
    }
}

fn standing<'a>(standing: &'a Standing, when: &'a str, stands: Stands) -> WireStanding<'a> {
    let amperes = |current: Current| rounded(current.in_amperes());
    let limit = standing.limit.as_ref();
    let basis = limit.map(|limit| limit.basis.iter().map(ToString::to_string).collect());
    let (left, left_at_most) = margin(Some(standing.margin()), Current::in_amperes);
    WireStanding {
        normal_amperes: standing.normal.map(amperes),
        worst_amperes: standing.worst.map(|worst| amperes(worst.current)),
        worst: when,
        more_may_flow: standing.more_may_flow,
        limit_amperes: limit.map(|limit| amperes(limit.current)),
        limit: limit.map(|limit| limit.part.word()),
        limit_kind: limit.map(|limit| limit.kind.words()),
        limit_rated_amperes: limit.map(|limit| amperes(limit.rated)),
        limit_percent: limit.map(|limit| {
            let share = limit.share.map_or(1.0, |share| share.in_parts_of_one());
            rounded(100.0 * share)
        }),
        limit_basis: basis.unwrap_or_default(),
        limit_unknown: !standing.untold.is_empty(),
        limits_untold: &standing.untold,
        margin_amperes: left,
        margin_at_most_amperes: left_at_most,
        judged: stands.words(),
    }
}

/// A margin, and one that is only known to be no larger.
fn margin<Q>(margin: Option<Margin<Q>>, number: impl Fn(Q) -> f64) -> (Option<f64>, Option<f64>) {
    match margin {
        Some(Margin::Known(left)) => (Some(rounded(number(left))), None),
        Some(Margin::AtMost(left)) => (None, Some(rounded(number(left)))),
        Some(Margin::Unknown | Margin::Unbounded) | None => (None, None),
    }
}

/// To a millionth: below what the sweep settles to, digits are noise.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
