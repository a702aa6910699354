//! What the budget did not reach: told with its place, and the run is not complete.

use crate::budget::{Budget, Work};
use crate::flow::Unsolved;
use crate::graph::Plugged;
use crate::input::Unread;
use crate::source::Span;

use crate::judgement::Site;

/// What was left undone of a site.
pub(crate) fn undone(site: &Site, budget: &Budget) -> Vec<Unread> {
    let cut = site.model.cut.iter();
    let cut = cut.map(|(span, why)| unread(site, *span, why.clone()));
    let unsolved = site.flows.unsolved().iter();
    let unsolved = unsolved.filter_map(|unsolved| not_solved(site, *unsolved, budget));
    let deep = switches(site).into_iter().chain(supplies(site));
    cut.chain(row(site, budget))
        .chain(deep)
        .chain(unsolved)
        .collect()
}

/// The first of the transfer switches that hang behind too many others.
fn switches(site: &Site) -> Option<Unread> {
    let first = site.graph.switches_too_deep().iter().min()?;
    let name = &site.model.devices[*first].name;
    let why = format!(
        "transfer switch {} hangs behind so many others, or in a circle with them, that what hangs on it is judged on its usual inlet alone. Look whether its cords are where they are said to be.",
        name.value
    );
    Some(unread(site, name.span, why))
}

/// The first of the supplies that are fed through too many others.
fn supplies(site: &Site) -> Option<Unread> {
    let first = site.graph.supplies_too_deep().iter().min()?;
    let name = &site.model.supplies[*first].name;
    let why = format!(
        "supply {} is fed through so many others that what it takes is in no sum ahead of it. Look whether `from` names what really feeds each.",
        name.value
    );
    Some(unread(site, name.span, why))
}

/// The first of the strips and cords that are too far down a row.
fn row(site: &Site, budget: &Budget) -> Option<Unread> {
    let first = site.graph.cut.iter().map(|cut| cut.what).min()?;
    let (what, name) = match first {
        Plugged::Pdu(pdu) => ("PDU", &site.model.pdus[pdu].name),
        Plugged::Cord(cord) => ("cord", &site.model.cords[cord].name),
    };
    let more = match site.graph.cut.len() {
        1 => String::new(),
        more => format!(" (and at {} more)", more - 1),
    };
    let why = format!(
        "more than {} power strips, devices and cords are plugged into each other in a row at {what} {}{more}: what hangs on it is in no sum. {}",
        budget.of(Work::Row),
        name.value,
        Work::Row.advice(budget)
    );
    Some(unread(site, name.span, why))
}

fn not_solved(site: &Site, unsolved: Unsolved, budget: &Budget) -> Option<Unread> {
    let name = &site.model.circuits[site.graph.circuit_of(unsolved.0)?].name;
    let advice = Work::Solves.advice(budget);
    let why = format!(
        "so many losses change the load of circuit {} that not all of them are solved: the worst may be worse than what is told. {advice}",
        name.value
    );
    Some(unread(site, name.span, why))
}

fn unread(site: &Site, at: Span, why: String) -> Unread {
    let file = site.sources.file(at.file);
    let line = file.line_of(at.range().start) + 1;
    Unread {
        path: file.path.clone(),
        why: format!("line {line}: {why}"),
    }
}
