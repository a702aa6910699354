//! The rated voltage and the keying of couplers.

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::{Fact, Level, Measure};
use crate::graph::ElementId;
use crate::quantity::{Frequency, Quantity, Voltage, show_pair};
use crate::rules::Draft;
use crate::rules::couplers::halves::{Half, Owner, borne_by};
use crate::rules::couplers::stress::Misfit;
use crate::tables::couplers::Frequencies;

use super::RULE;

/// A coupler that is not made for the voltage at it, or whose name does not say.
pub(super) fn misfitting(
    analysis: &Analysis<'_>,
    id: ElementId,
    half: &Half<'_>,
    misfit: Misfit,
) -> Draft {
    let kind = match misfit {
        Misfit::Frequency { .. } | Misfit::NoFrequency { .. } => "frequency",
        _ => word(half.owner),
    };
    let draft = match misfit {
        Misfit::NotSaid { voltage, source } => not_said(analysis, half, voltage, source),
        Misfit::Above {
            voltage,
            limit,
            source,
        } => beyond(analysis, half, (voltage, limit), source, &ABOVE),
        Misfit::Below {
            voltage,
            limit,
            source,
        } => beyond(analysis, half, (voltage, limit), source, &BELOW),
        Misfit::OtherForm {
            voltage,
            made_for,
            other,
            sources,
        } => other_form(analysis, half, (voltage, made_for, other), sources),
        Misfit::Frequency {
            frequency,
            made_for,
            source,
        } => foreign_frequency(analysis, half, frequency, made_for, source),
        Misfit::NoFrequency { made_for, source } => {
            frequency_missing(analysis, id, half, made_for, source)
        }
    };
    draft
        .above([analysis.hop(id)])
        .about([analysis.full_name(id)])
        .kind(kind)
}

/// The same of one that nobody uses, for somebody will plug in.
pub(super) fn unused(
    analysis: &Analysis<'_>,
    id: ElementId,
    half: &Half<'_>,
    misfit: Misfit,
) -> Draft {
    misfitting(analysis, id, half, misfit)
        .working(["nothing is plugged in yet by the records; somebody will".to_owned()])
}

fn word(owner: Owner) -> &'static str {
    match owner {
        Owner::Outlet(..) | Owner::Receptacle(_) => "outlet",
        Owner::Plug(_) | Owner::PduPlug(_) => "plug",
        Owner::Connector(_) => "connector",
        Owner::Inlet(_) => "inlet",
    }
}

fn not_said(analysis: &Analysis<'_>, half: &Half<'_>, voltage: Voltage, source: Citation) -> Draft {
    let sleeve = half.coupler.value.pin_and_sleeve();
    let [headline, note, advice] = match sleeve.and_then(|sleeve| sleeve.hour) {
        Some(hour) => silent_hour(hour),
        None => no_hour(analysis.words().earth),
    };
    let headline = format!(
        "does {} ({}) suit {}? {headline}",
        half.what(analysis),
        half.name(),
        voltage.show()
    );
    Draft::new(&RULE, headline, half.coupler.span, note, source)
        .open()
        .advice(advice)
}

fn no_hour(earth: &str) -> [String; 3] {
    [
        format!("Missing: the hour of its {earth} contact (moulded on it)"),
        "not decided: the hour is missing".to_owned(),
        "Write the hour after the name, as moulded on the part: `6h`, `9h`.".to_owned(),
    ]
}

/// The position keeps equipment of another frequency out, and lets that of its own in.
fn foreign_frequency(
    analysis: &Analysis<'_>,
    half: &Half<'_>,
    frequency: Frequency,
    made_for: Frequencies,
    source: Citation,
) -> Draft {
    let (name, at, made_for) = (half.name(), frequency.show(), made_for.show());
    let headline = format!(
        "{} ({name}) is keyed for {made_for} and is at {at}: equipment made for another frequency can be plugged in, and fails or runs hot",
        half.what(analysis)
    );
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let note = format!("{name}: {made_for}");
    Draft::new(&RULE, headline, half.coupler.span, note, source)
        .level(level)
        .working([format!("the supply has {at}, {name} is for {made_for}")])
        .advice("Read hour and frequency off part and rating plate. If they stand so, have an electrician fit the coupler that is keyed for this frequency.")
}

fn frequency_missing(
    analysis: &Analysis<'_>,
    id: ElementId,
    half: &Half<'_>,
    made_for: Frequencies,
    source: Citation,
) -> Draft {
    let (name, made_for) = (half.name(), made_for.show());
    let supply = analysis.graph.supply_of(id);
    let supply = supply.map(|supply| &analysis.model.supplies[supply]);
    let headline = format!(
        "does {} ({name}) suit the frequency of its supply? It is keyed for {made_for}. Missing: the frequency (rating plate of the supply)",
        half.what(analysis)
    );
    let note = "not decided: the frequency of the supply is missing";
    Draft::new(&RULE, headline, half.coupler.span, note, source)
        .open()
        .wants(supply.map(|supply| Fact::of(supply, "system", Some(&supply.system))))
        .advice("Read the frequency off the rating plate of the supply and add it to the marking of its `system`, like `3/N/PE ~ 200/115 V 400 Hz`.")
}

/// The configuration is that of a higher voltage, and this voltage has one of its own.
fn other_form(
    analysis: &Analysis<'_>,
    half: &Half<'_>,
    (voltage, made_for, other): (Voltage, Voltage, Voltage),
    sources: [Citation; 2],
) -> Draft {
    let level = borne_by(Level::Error, &sources);
    let [source, of_other] = sources;
    let (fed, limit) = (voltage.show(), made_for.show());
    let name = half.name();
    let headline = format!(
        "{} ({name}) is the form for {limit} and is at {fed}: {}",
        half.what(analysis),
        BELOW.harm
    );
    Draft::new(
        &RULE,
        headline,
        half.coupler.span,
        format!("{name}: for {limit}"),
        source,
    )
    .level(level)
    .also([of_other])
    .working([format!("{fed} has forms of its own, for {}", other.show())])
    .measured(Measure::below(voltage, made_for))
    .advice(BELOW.advice)
}

/// Positions for direct current and isolating transformers.
fn silent_hour(hour: u8) -> [String; 3] {
    [
        format!("Open: the position {hour}h stands for no voltage at 50 Hz or 60 Hz"),
        format!("not decided: {hour}h says no such voltage"),
        "Read hour and voltage off the part. If the hour is right, have an electrician prove what is fed there before anything is plugged in.".to_owned(),
    ]
}

/// The words for one side of what a coupler is made for.
struct Side {
    /// Before and after the limit: `made for up to 250 V`.
    made_for: [&'static str; 2],
    /// The voltage is `above` or `below` it.
    is: &'static str,
    measure: fn(Voltage, Voltage) -> Measure,
    harm: &'static str,
    advice: &'static str,
}

const ABOVE: Side = Side {
    made_for: ["made for up to ", ""],
    is: "above",
    measure: Measure::above,
    harm: "it may flash over, and equipment for less can be plugged in and burn",
    advice: "Take it out of use; fit a coupler made for this voltage, or feed it from a circuit of its own voltage.",
};

const BELOW: Side = Side {
    made_for: ["made for ", " or more"],
    is: "below",
    measure: Measure::below,
    harm: "equipment made for more can be plugged in here, and fails or runs hot",
    advice: "Take it out of use; have an electrician prove the voltage and fit the coupler that is keyed for it.",
};

fn beyond(
    analysis: &Analysis<'_>,
    half: &Half<'_>,
    (voltage, limit): (Voltage, Voltage),
    source: Citation,
    side: &Side,
) -> Draft {
    let measure = (side.measure)(voltage, limit);
    let (voltage, limit) = show_pair(voltage, limit);
    let made_for = side.made_for.join(&limit);
    let name = half.name();
    let headline = format!(
        "{} ({name}) is {made_for} and is at {voltage}: {}",
        half.what(analysis),
        side.harm
    );
    let level = borne_by(Level::Error, std::slice::from_ref(&source));
    let note = format!("{name}: {made_for}");
    Draft::new(&RULE, headline, half.coupler.span, note, source)
        .level(level)
        .working([format!("{voltage} is {} {limit}", side.is)])
        .measured(measure)
        .advice(side.advice)
}
