//! What to look at when cords arrive: a row for each line of an order that is still to come, with room to write.

use crate::analysis::Analysis;
use crate::model::cords::CordType;
use crate::model::offers::{Purchase, PurchaseLine};
use crate::model::value::{Id, Name, Named};
use crate::quantity::Length;
use crate::tables::cord_tests;

use super::order::thing;
use super::specification::{earth_of, has_earth};
use super::table::{Column, Row, Schedule, UNKNOWN, given, length, names, numbers, words};

const COLUMNS: &[Column] = &[
    names("order"),
    words("placed"),
    words("supplier"),
    names("type"),
    numbers("to come"),
    numbers("look at"),
    words("plug"),
    words("connector"),
    words("on the jacket"),
    words("length"),
    words("colour"),
    words("marks"),
    words("earth at 20 °C"),
    words("lot"),
    words("came"),
    words("right or wrong"),
    words("by, day"),
];

/// A row for each line that is still to come, in the order of the definitions.
pub(super) fn goods_in(analysis: &Analysis<'_>) -> Schedule {
    let mut rows = Vec::new();
    for order in analysis.model.orders.items() {
        let lines = order.lines.items().iter();
        let to_come = lines.filter(|line| line.outstanding() != Some(0));
        rows.extend(to_come.map(|line| row(analysis, order, line)));
    }
    let limits = limits();
    let mut notes = vec![HOW, STOP];
    notes.extend(limits.as_deref());
    Schedule::new(COLUMNS, rows, &notes)
}

const HOW: &str = "Of each line look at as many as are named: both couplers and the jacket bear what stands here, word by word; the jacket is smooth and full, the mouldings whole. Measure the length over what the order says. Measure the earth from pin to contact while the cord is moved along its length, and line and neutral likewise: copper-clad aluminium measures half as much again. Try polarity. Write down the lot or date code of both ends.";

const STOP: &str = "If one is wrong, put all of the lot aside, marked, and look at every one. No mark, a misspelt one, or marks of makers that do not belong together: put aside, and ask the body whose mark it is.";

/// Where the limits come from.
fn limits() -> Option<String> {
    let (insulation, sample) = (cord_tests::insulation()?, cord_tests::sample(1)?);
    Some(format!(
        "Insulation: at least {} Mohm at {} V DC. Earth and insulation: {}. How many to look at: {}.",
        insulation.value.megohms, insulation.value.volts, insulation.citation, sample.citation
    ))
}

fn row(analysis: &Analysis<'_>, order: &Named<Purchase>, line: &Named<PurchaseLine>) -> Row {
    let to_come = line.outstanding().map(|count| count as usize);
    let sample = to_come.and_then(cord_tests::sample);
    let shown =
        |count: Option<usize>| count.map_or_else(|| UNKNOWN.to_owned(), |count| count.to_string());
    let kind = analysis.model.cord_types.find(&line.name.value);
    let mut row = vec![
        order.name.value.to_string(),
        order
            .placed
            .known()
            .map(ToString::to_string)
            .unwrap_or_default(),
        order
            .supplier
            .known()
            .map(ToString::to_string)
            .unwrap_or_default(),
        line.name.value.to_string(),
        shown(to_come),
        shown(sample.map(|sample| sample.value)),
    ];
    match kind {
        Some(kind) => row.extend(looked_at(analysis, kind, order.supplier.known())),
        None => row.extend(vec![UNKNOWN.to_owned(); LOOKED_AT]),
    }
    row.push(
        line.lot
            .known()
            .map(ToString::to_string)
            .unwrap_or_default(),
    );
    row.extend(vec![String::new(); TO_WRITE]);
    row
}

/// Cells of what is looked at, and of what is written in by hand.
const LOOKED_AT: usize = 7;
const TO_WRITE: usize = 3;

fn looked_at(analysis: &Analysis<'_>, kind: Id<CordType>, supplier: Option<&Name>) -> Row {
    let item = &analysis.model.cord_types[kind];
    let trunk = item.whole_length();
    let earth = earth_of(item, trunk);
    let earth = earth.map_or_else(|| UNKNOWN.to_owned(), |(limit, _)| limit);
    vec![
        thing::plug(item),
        thing::connectors(item),
        format!("{}, {}", thing::cordage(item), thing::conductor(item)),
        lengths(analysis, (kind, trunk), supplier),
        given(&item.colour),
        thing::approvals(item),
        match has_earth(item) {
            false => "no earth".to_owned(),
            true => earth,
        },
    ]
}

/// `0.98 m to 1.05 m`, where every offer of the make by that supplier has the same tolerance; else the length alone,
/// and that nobody says how far it may lie off.
fn lengths(
    analysis: &Analysis<'_>,
    (kind, trunk): (Id<CordType>, Option<Length>),
    supplier: Option<&Name>,
) -> String {
    let item = &analysis.model.cord_types[kind];
    let plain = thing::lengths(analysis, item, trunk);
    let own = analysis.offers_of_type(kind).filter(|offer| {
        let theirs = offer.supplier.known().zip(supplier);
        theirs.is_none_or(|(of, own)| of == own)
            && trunk.is_some_and(|trunk| offer.made(trunk).is_some())
    });
    let tolerances: Vec<_> = own.map(|offer| offer.tolerance.known().copied()).collect();
    match (trunk, tolerances.as_slice()) {
        (Some(trunk), [Some(first), others @ ..])
            if others.iter().all(|other| *other == Some(*first)) =>
        {
            let ends = [trunk - first.minus, trunk + first.plus];
            let [least, most] = ends.map(|end| length(analysis, Some(end)));
            format!("{plain}: {least} to {most}")
        }
        _ => format!("{plain}; tolerance {UNKNOWN}"),
    }
}
