//! What the budget did not reach: told with its place, and the run is not complete.

use crate::budget::{Budget, Work};
use crate::flow::Unsolved;
use crate::graph::{ElementId, ElementKind, Plugged};
use crate::input::Unread;
use crate::source::Span;

use crate::judgement::Site;

/// What was left undone of a site.
pub(crate) fn undone(site: &Site, budget: &Budget) -> Vec<Unread> {
    let cut = site.model.cut.iter();
    let cut = cut.map(|(span, why)| unread(site, *span, why.clone()));
    let unsolved = site.flows.unsolved().iter();
    let unsolved = unsolved.map(|unsolved| not_solved(site, *unsolved, budget));
    cut.chain(row(site, budget)).chain(unsolved).collect()
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

fn not_solved(site: &Site, unsolved: Unsolved, budget: &Budget) -> Unread {
    let (at, why) = match unsolved {
        Unsolved::LossesFeltBy(circuit) => {
            let (name, span) = named(site, circuit);
            (
                span,
                format!(
                    "so many losses elsewhere move load to {name} that not all of them are solved"
                ),
            )
        }
        Unsolved::LossOf(lost) => {
            let (name, span) = named(site, lost);
            (
                span,
                format!(
                    "the loss of {name} moves load between so many inlets that it is not solved, nor are those after it"
                ),
            )
        }
    };
    let advice = Work::Solves.advice(budget);
    unread(
        site,
        at,
        format!("{why}: the worst may be worse than what is told. {advice}"),
    )
}

/// What a circuit, bank or cord is called, and where it is defined.
fn named(site: &Site, id: ElementId) -> (String, Span) {
    let model = &site.model;
    let (what, name) = match site.graph.kind(id) {
        ElementKind::Supply(supply) => ("supply", &model.supplies[supply].name),
        ElementKind::Circuit(circuit) => ("circuit", &model.circuits[circuit].name),
        ElementKind::Pdu(pdu) => ("PDU", &model.pdus[pdu].name),
        ElementKind::Bank(pdu, _) => ("a bank of PDU", &model.pdus[pdu].name),
        ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => ("cord", &model.cords[cord].name),
    };
    (format!("{what} {}", name.value), name.span)
}

fn unread(site: &Site, at: Span, why: String) -> Unread {
    let file = site.sources.file(at.file);
    let line = file.line_of(at.range().start) + 1;
    Unread {
        path: file.path.clone(),
        why: format!("line {line}: {why}"),
    }
}
