//! What is missing to judge an earth fault.

use crate::analysis::{Analysis, field_or_name};
use crate::citation::{Citation, Confidence};
use crate::finding::Fact;
use crate::flow::fault::Source;
use crate::flow::protection::{AtOnce, Device};
use crate::graph::ElementId;
use crate::model::circuits::{AtReceptacle, Circuit, Supply};
use crate::model::value::{Name, Named};
use crate::quantity::{InUnits, Quantity, SystemMarking, volts};
use crate::rules::conductors::gaps::{Gap, conductors_gap};
use crate::rules::conductors::naming;
use crate::rules::conductors::source_lack::{ASK_LOOP, NO_LOOP, SourceLack, loop_fact};
use crate::source::Span;
use crate::tables::words::Words;

pub(super) fn table(clause: &'static str) -> Citation {
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
    span: Span,
    missing: &str,
    advice: &str,
    clause: &'static str,
    words: &Words,
) -> Gap {
    let name = &supply.name.value;
    gap_behind(
        (name, &format!("supply {name}")),
        kind,
        span,
        missing,
        advice,
        clause,
        words,
    )
}

fn gap_behind(
    (about, what): (&Name, &str),
    kind: &'static str,
    span: Span,
    missing: &str,
    advice: &str,
    clause: &'static str,
    words: &Words,
) -> Gap {
    let an_earth = words.an_earth;
    Gap {
        about: about.clone(),
        kind,
        span,
        headline: format!(
            "does {an_earth} fault behind {what} open a breaker in time? Open: {missing}"
        ),
        missing: missing.to_owned(),
        basis: table(clause),
        advice: advice.to_owned(),
        wants: Vec::new(),
    }
}

pub(super) fn earthing_missing(supply: &Named<Supply>, words: &Words) -> Gap {
    let earth = words.earth;
    let span = field_or_name(&supply.earthing, &supply.name);
    let advice = format!("Write down the kind of {earth}ing: TN-S, TN-C-S, TT or IT.");
    let missing = format!("its {earth}ing is missing");
    let gap = supply_gap(
        supply,
        "earthing",
        span,
        &missing,
        &advice,
        "Table 41.1",
        words,
    );
    let wants = vec![Fact::of(supply, "earthing", Some(&supply.earthing))];
    Gap { wants, ..gap }
}

pub(super) fn residual_unreadable(circuit: &Named<Circuit>, at: Span, words: &Words) -> Gap {
    let Words {
        an_earth,
        residual_device,
        residual_rating,
        ..
    } = words;
    let name = &circuit.name.value;
    Gap {
        about: name.clone(),
        kind: "residual",
        span: at,
        headline: format!(
            "does {an_earth} fault on circuit {name} open something in time? Open: its {residual_device} cannot be read"
        ),
        missing: "`rcd` cannot be read".to_owned(),
        basis: table("411.3.2"),
        advice: format!(
            "Read the {residual_rating} off the device, like `rcd: 30 mA`; where there is none, take the line out."
        ),
        wants: vec![Fact::unreadable(circuit, circuit.residual_key(), at)],
    }
}

/// The same where it may be one that waits for others.
pub(super) fn delay_unreadable(circuit: &Named<Circuit>, at: Span, words: &Words) -> Gap {
    Gap {
        missing: "its `delay` cannot be read".to_owned(),
        advice: "Look at the device for an S in a square: write `delay: S` where it has one, else take the line out.".to_owned(),
        wants: vec![Fact::unreadable(circuit, "rcd.delay", at)],
        ..residual_unreadable(circuit, at, words)
    }
}

pub(super) fn source_missing(lack: SourceLack, words: &Words) -> Gap {
    let gap = gap_behind(
        (&lack.about, &lack.owner),
        "fault-current",
        lack.span,
        &lack.note,
        &lack.advice,
        "411.4.4",
        words,
    );
    let (an_earth, owner, what) = (words.an_earth, &lack.owner, &lack.what);
    let headline = match lack.is_plain {
        true => gap.headline,
        false => {
            format!("does {an_earth} fault behind {owner} open a breaker in time? Missing: {what}")
        }
    };
    Gap {
        headline,
        wants: lack.wants,
        ..gap
    }
}

/// The landlord of a receptacle has not said what loop an earth fault there runs around.
pub(super) fn loop_missing(circuit: &Named<Circuit>, figures: &AtReceptacle, words: &Words) -> Gap {
    let fact = loop_fact(circuit, figures);
    let name = &circuit.name.value;
    let gap = gap_behind(
        (name, &words.socket_of(name)),
        "earth-loop",
        fact.span,
        NO_LOOP,
        ASK_LOOP,
        "411.4.4",
        words,
    );
    let wants = vec![fact];
    Gap { wants, ..gap }
}

/// Two lines without a neutral, of a system that is earthed somewhere.
pub(super) fn earth_voltage_missing(supply: &Named<Supply>, source: Source, words: &Words) -> Gap {
    let Words {
        earth,
        residual_device,
        ..
    } = words;
    let span = field_or_name(&supply.system, &supply.name);
    let missing = format!("its marking does not tell the voltage from a line to {earth}");
    let marked = |share: f64| {
        let marking = supply.system.known().copied();
        let marking = marking.map(|marking| SystemMarking {
            line_to_neutral: Some(volts((source.between.in_volts() / share).round())),
            ..marking
        });
        marking.map(|marking| marking.show()).unwrap_or_default()
    };
    let advice = format!(
        "Find out how its two lines lie to {earth} (papers of the installation), and mark both voltages: `{}` where they are two of the three of a star, `{}` where their midst is {earth}ed. Or give the circuits {residual_device}s and write them as their `rcd`.",
        marked(3f64.sqrt()),
        marked(2.0)
    );
    let gap = supply_gap(
        supply,
        "earth-voltage",
        span,
        &missing,
        &advice,
        "411.4.4",
        words,
    );
    let wants = vec![Fact::of(supply, "system", Some(&supply.system))];
    Gap { wants, ..gap }
}

pub(super) fn conductors_missing(analysis: &Analysis<'_>, at: ElementId) -> Gap {
    let an_earth = analysis.words().an_earth;
    conductors_gap(analysis, at, table("411.4.4"), |what| {
        format!(
            "does {an_earth} fault behind {what} open a breaker in time? Missing: size or length of its conductors"
        )
    })
}

/// With cold conductors it opens in time, with the hottest it does not.
pub(super) fn insulation_missing(analysis: &Analysis<'_>, at: ElementId, fact: Fact) -> Gap {
    let an_earth = analysis.words().an_earth;
    let gap = conductors_missing(analysis, at);
    let owner = naming::owner(analysis, at);
    let what = owner.map_or_else(|| analysis.describe(at), |owner| owner.describe());
    Gap {
        headline: format!(
            "does {an_earth} fault behind {what} open a breaker in time? It turns on how hot its conductors get. Missing: what they are insulated with (print on the jacket)"
        ),
        kind: "insulation",
        span: fact.span,
        missing: "what the conductors are insulated with is needed".into(),
        advice: "Write down the type that is printed on it.".into(),
        wants: vec![fact],
        ..gap
    }
}

/// Why it cannot be told from which current on a device opens in time.
pub(super) fn device_gap(analysis: &Analysis<'_>, device: &Device<'_>) -> Gap {
    let unread = analysis.unread_trip(device.at);
    let has_rating = device.breaker.rating.known().is_some();
    match unread.filter(|_| has_rating && device.opens_at_once_from() == AtOnce::Unreadable) {
        Some(trip) => trip_unread(analysis, device, trip),
        None => curve_missing(analysis, device),
    }
}

fn trip_unread(analysis: &Analysis<'_>, device: &Device<'_>, trip: Fact) -> Gap {
    let an_earth = analysis.words().an_earth;
    let what = naming::describe_device_model(analysis, device.at);
    Gap {
        about: naming::device_model(analysis, device.at),
        kind: "trip",
        span: trip.span,
        headline: format!(
            "does {an_earth} fault open the breaker of {what} in time? Open: its `instantaneous` cannot be read"
        ),
        missing: "`instantaneous` cannot be read".into(),
        basis: table("Table 41.1"),
        advice: "Read off the maker's curve from which current on it is sure to open at once, and write it like `instantaneous: 200 A`; where its `curve` says it, take the line out.".into(),
        wants: vec![trip],
    }
}

fn curve_missing(analysis: &Analysis<'_>, device: &Device<'_>) -> Gap {
    let an_earth = analysis.words().an_earth;
    let what = naming::describe_device_model(analysis, device.at);
    Gap {
        about: naming::device_model(analysis, device.at),
        kind: "curve",
        span: analysis.place_of(device.at),
        headline: format!(
            "does {an_earth} fault open the breaker of {what} in time? Missing: its rating or curve (on the breaker)"
        ),
        missing: "rating or curve is missing".into(),
        basis: table("Table 41.1"),
        advice: "Read the letter before the rated current off the breaker (B, C or D; inverse-time in North America) and write it as its `curve`.".into(),
        wants: breaker_facts(analysis, device),
    }
}

fn breaker_facts(analysis: &Analysis<'_>, device: &Device<'_>) -> Vec<Fact> {
    let breaker = device.breaker;
    let rating = analysis.breaker_fact(device.at, "rating", Some(&breaker.rating));
    let curve = analysis.breaker_fact(device.at, "curve", Some(&breaker.curve));
    match (breaker.rating.given(), breaker.curve.given()) {
        (None, None) => vec![rating, curve],
        (None, Some(_)) => vec![rating],
        _ => vec![curve],
    }
}
