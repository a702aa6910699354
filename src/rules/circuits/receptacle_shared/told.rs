//! The words of `receptacle-shared`.

use crate::analysis::{field_or_name, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Place};
use crate::model::circuits::Circuit;
use crate::model::value::{Named, Spanned};
use crate::rules::Draft;
use crate::tables::words::Words;

use super::RULE;
use super::plugs::Plug;

/// Plugs named in a headline, and plugs shown at their places: nobody reads on.
const NAMED: usize = 4;
const SHOWN: usize = 32;

/// More plugs than receptacles.
pub(super) fn too_many(
    circuit: &Named<Circuit>,
    receptacles: Spanned<u32>,
    plugs: &[Plug<'_>],
    words: &Words,
) -> Finding {
    let socket = words.socket;
    let (name, number) = (&circuit.name, receptacles.value);
    let word = match number {
        1 => socket.to_owned(),
        _ => format!("{socket}s"),
    };
    let headline = format!(
        "circuit {} has {number} {word}, and {} plugs are on record for it: {}. What finds no place hangs on an adapter, or loads another breaker",
        name.value,
        plugs.len(),
        listed(plugs)
    );
    let note = format!("{number} {word}");
    Draft::new(&RULE, headline, receptacles.span, note, basis(socket))
        .above([place(name.span, format!("circuit {}", name.value))])
        .below(places(plugs))
        .working([format!("{} plugs > {number} {word}", plugs.len())])
        .about([name.value.clone()])
        .suffered_by(plugs.iter().map(|plug| plug.name.clone()))
        .advice(format!("Look where each of them is plugged in and write that as its `from`; or count the {socket}s and correct `receptacles`."))
        .finish()
}

/// Several plugs, and nobody has written for how many there is room.
pub(super) fn unsaid(
    circuit: &Named<Circuit>,
    plugs: &[Plug<'_>],
    absence: &str,
    words: &Words,
) -> Finding {
    let Words { socket, double, .. } = words;
    let name = &circuit.name;
    let headline = format!(
        "has each of the {} plugs on record for circuit {} a {socket}: {}? Wanted: the number of {socket}s, which {absence}",
        spelt(plugs.len()),
        name.value,
        listed(plugs)
    );
    let at = field_or_name(&circuit.receptacles, name);
    let note = format!("not decided: the number of {socket}s {absence}");
    Draft::new(&RULE, headline, at, note, basis(socket))
        .wants([Fact::of(circuit, "receptacles", Some(&circuit.receptacles))])
        .above([place(name.span, format!("circuit {}", name.value))])
        .below(places(plugs))
        .about([name.value.clone()])
        .suffered_by(plugs.iter().map(|plug| plug.name.clone()))
        .kind("unsaid")
        .advice(format!("How many {socket}s does the circuit have? Count them and write `receptacles`: 2 for a {double} one."))
        .finish()
}

fn places(plugs: &[Plug<'_>]) -> impl Iterator<Item = Place> {
    plugs.iter().take(SHOWN).map(Plug::place)
}

/// `PDU pdu-a, PDU pdu-c, cord W-1`, and how many more.
fn listed(plugs: &[Plug<'_>]) -> String {
    let labels: Vec<String> = plugs.iter().take(NAMED).map(Plug::label).collect();
    match plugs.len().saturating_sub(NAMED) {
        0 => labels.join(", "),
        more => format!("{} and {more} more", labels.join(", ")),
    }
}

/// A number at the head of a sentence.
fn spelt(number: usize) -> String {
    match number {
        2 => "two".into(),
        3 => "three".into(),
        4 => "four".into(),
        more => more.to_string(),
    }
}

fn basis(socket: &str) -> Citation {
    Citation::common_practice(&format!("one plug in each {socket}"))
}
