//! Values that can be read one by one and cannot be meant as they stand together.

mod adapters;
mod bought;
mod racks;
mod slips;
mod sources;
mod states;
mod transfers;

use crate::quantity::{Quantity, Ratio, percent};

use super::Model;
use super::circuits::{Circuit, Pole};
use super::devices::DeviceModel;
use super::fault::{Fault, Noted};
use super::optional::Optional;
use super::site::Site;
use super::value::{Field, Name, Named, Spanned};
use crate::source::Span;
use crate::tables::words::Words;
use crate::tables::{Practice, couplers, own};

/// How far the shares of all inlets may lie from the whole: thirds are written 33 % (common practice).
const ROUNDING: f64 = 0.02;

/// Adds what cannot be meant to `faults`; a value of the site that cannot be used stays unknown.
pub fn check(model: &mut Model, faults: &mut Vec<Noted>) {
    faults.extend(no_voltage_left(&mut model.site.supply_tolerance));
    faults.extend(edition_of_another_practice(&mut model.site));
    let sockets = model.site.sockets.names();
    let words = model.site.words();
    faults.extend(sockets.filter_map(|name| no_such_socket(name, words)));
    let circuits = model.circuits.items_mut();
    faults.extend(circuits.filter_map(|circuit| no_such_poles(circuit, words)));
    faults.extend(sources::check(model));
    let models = model.device_models.items().iter();
    faults.extend(models.filter_map(shares_of_no_whole));
    faults.extend(racks::check(model));
    faults.extend(slips::check(model));
    faults.extend(states::check(model));
    faults.extend(adapters::check(model));
    faults.extend(bought::check(model));
    faults.extend(transfers::check(model));
}

/// A rule for sockets that nobody knows holds for none.
fn no_such_socket(name: &Spanned<Name>, words: &Words) -> Option<Noted> {
    let text = name.value.as_str();
    if own::is_own(text) || couplers::find(text).is_some() {
        return None;
    }
    let path = ["site".into(), "sockets".into(), name.value.clone()];
    let headline = "this is no coupler that the tables know".to_owned();
    let socket = words.socket;
    let advice =
        format!("Write its name as the {socket}s have it, like `KS C 8305` or `NBR 14136 10 A`.");
    Some(bad(name.span, headline, &advice, path))
}

/// An edition of rules that do not bind under the practice says nothing here.
fn edition_of_another_practice(site: &mut Site) -> Option<Noted> {
    let (named, practice) = (site.edition.given()?, site.practice.known()?);
    let listed = named.value.listed()?;
    if listed.practice == *practice {
        return None;
    }
    let span = named.span;
    let (own, others) = match practice {
        Practice::Iec => ("iec", "NEC"),
        Practice::Nec => ("nec", "IEC"),
    };
    let headline = format!(
        "{} is of {others} practice, and `practice` says `{own}`",
        listed.name
    );
    site.edition = Field::Unreadable(span);
    let advice = "Write the edition that the installation must keep to, or correct `practice`.";
    Some(bad(
        span,
        headline,
        advice,
        ["site".into(), "edition".into()],
    ))
}

fn no_voltage_left(tolerance: &mut Optional<Ratio>) -> Option<Noted> {
    let given = *tolerance.written().ok()??;
    if given.value < percent(100.0) {
        return None;
    }
    *tolerance = Optional::Unreadable(given.span);
    let headline = format!("{} leaves no voltage at all", given.value.show());
    let advice = "Write how far below nominal the voltage may sit, such as 10 %.";
    Some(bad(
        given.span,
        headline,
        advice,
        ["site".into(), "supply-tolerance".into()],
    ))
}

/// Poles between which nothing can hang: the circuit has none that are known.
fn no_such_poles(circuit: &mut Named<Circuit>, words: &Words) -> Option<Noted> {
    let found = pole_taken_twice(circuit, words)
        .or_else(|| no_line(circuit))
        .or_else(|| no_way_back(circuit))?;
    circuit.item.poles.clear();
    Some(found)
}

fn pole_taken_twice(circuit: &Named<Circuit>, words: &Words) -> Option<Noted> {
    let poles = &circuit.poles;
    let again = poles.iter().enumerate().find(|(at, pole)| {
        let before = poles.iter().take(*at);
        before.into_iter().any(|other| other.value == pole.value)
    });
    let pole = again.map(|(_, pole)| pole)?;
    let headline = format!(
        "{} stands twice among the poles, so that what hangs on the circuit is not judged",
        pole.value.word()
    );
    let socket = words.socket;
    let advice = format!("Name each pole once, in the order of the {socket}'s contacts.");
    Some(bad(pole.span, headline, &advice, poles_of(circuit)))
}

fn no_line(circuit: &Named<Circuit>) -> Option<Noted> {
    let first = circuit.poles.first()?;
    if circuit.poles.iter().any(|pole| pole.value != Pole::N) {
        return None;
    }
    let headline =
        "no line is among the poles, so that nothing is fed and what hangs there is not judged";
    let advice = "Name the lines as well, such as L1.";
    Some(bad(
        first.span,
        headline.to_owned(),
        advice,
        poles_of(circuit),
    ))
}

fn no_way_back(circuit: &Named<Circuit>) -> Option<Noted> {
    let [only] = circuit.poles.as_slice() else {
        return None;
    };
    let headline = format!(
        "{} stands alone among the poles, so that no current comes back and what hangs there is not judged",
        only.value.word()
    );
    let advice = "Name the neutral, or the other line, as well: [L1, N] or [L1, L2].";
    Some(bad(only.span, headline, advice, poles_of(circuit)))
}

fn poles_of(circuit: &Named<Circuit>) -> [Name; 3] {
    let name = circuit.name.value.clone();
    ["circuits".into(), name, "poles".into()]
}

fn shares_of_no_whole(model: &Named<DeviceModel>) -> Option<Noted> {
    let shares = model.inlets.items().iter().map(|inlet| &inlet.share);
    if shares.clone().any(|share| share.written().is_err()) {
        return None;
    }
    let given = shares.filter_map(|share| share.written().ok()?);
    let last = given.clone().next_back()?;
    let sum = given.fold(percent(0.0), |sum, share| sum + share.value);
    if (sum - percent(100.0)).abs() <= Ratio::from(ROUNDING) {
        return None;
    }
    let headline = format!(
        "the shares of all inlets come to {}, not to 100 %",
        sum.show()
    );
    let advice = "Give every inlet its share of the device's load while all are fed; together they take all of it.";
    let path = [
        "device-models".into(),
        model.name.value.clone(),
        "share".into(),
    ];
    Some(bad(last.span, headline, advice, path))
}

fn bad(span: Span, headline: String, advice: &str, path: impl IntoIterator<Item = Name>) -> Noted {
    let fault = Fault::BadValue {
        span,
        headline,
        advice: advice.to_owned(),
        edit: None,
    };
    Noted::new(fault, path)
}
