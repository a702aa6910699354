//! Plugs of which nobody says what they go into: the receptacle of their circuit is not on record.

use crate::analysis::{Analysis, field_or_name};
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::graph::{CordFeed, PduFeed};
use crate::model::circuits::Circuit;
use crate::model::value::{Id, Name, Named};
use crate::rules::Draft;
use crate::rules::told_once::ToldOnce;

use super::RULE;

/// Asks for the receptacle of every circuit that something is plugged into, unless it is wired to it.
pub(super) fn missing(analysis: &Analysis<'_>) -> impl Iterator<Item = Finding> {
    let (mut asked, socket) = (ToldOnce::default(), analysis.words().socket);
    let plugged = strips(analysis).chain(cords(analysis));
    for (circuit, name) in plugged {
        let item = &analysis.model.circuits[circuit];
        let is_wired = item.wired.says_yes() == Ok(true);
        if item.receptacle.coupler.given().is_none() && !is_wired {
            let told = asked.tell(circuit, || not_known(item, socket));
            told.suffered_by([name.clone()]);
        }
    }
    asked.findings()
}

/// Strips with a plug of their own, and the circuits that they are plugged into.
fn strips<'a>(analysis: &Analysis<'a>) -> impl Iterator<Item = (Id<Circuit>, &'a Name)> {
    let analysis = *analysis;
    let feeds = analysis.model.pdus.iter();
    feeds.filter_map(move |(pdu, item)| {
        let PduFeed::Circuit(circuit) = analysis.graph.links.pdu_feeds[pdu.index()]? else {
            return None;
        };
        analysis
            .graph
            .pdu_model(analysis.model, pdu)?
            .plug
            .given()?;
        Some((circuit, &item.name.value))
    })
}

/// Cords, and the circuits that they are plugged into.
fn cords<'a>(analysis: &Analysis<'a>) -> impl Iterator<Item = (Id<Circuit>, &'a Name)> {
    let analysis = *analysis;
    let cords = analysis.model.cords.iter();
    cords.filter_map(
        move |(cord, item)| match analysis.graph.links.cord_feeds[cord.index()]? {
            CordFeed::Receptacle(circuit) => Some((circuit, &item.name.value)),
            CordFeed::Outlet(..) | CordFeed::Cord(_) => None,
        },
    )
}

fn not_known(circuit: &Named<Circuit>, socket: &str) -> Draft {
    let name = &circuit.name.value;
    let receptacle = &circuit.receptacle;
    let fact = Fact::of(circuit, receptacle.coupler_key(), Some(&receptacle.coupler));
    let how = fact.state.words();
    Draft::new(
        &RULE,
        format!("what is plugged in at circuit {name}, does it fit? Wanted: its {socket}, which {how}"),
        field_or_name(&receptacle.coupler, &circuit.name),
        format!("not decided: its {socket} {how}"),
        Citation::marked(&format!("the configuration marked on the {socket}")),
    )
    .wants([fact])
    .about([name.clone()])
    .kind("receptacle")
    .advice(format!("Read the configuration off the {socket}, and write it. Where there is none and what it feeds is wired to it, write `wired: yes`."))
}
