//! `wrong-feed`: does every inlet that is declared for a feed land on it?

mod told;

use std::collections::BTreeSet;

use crate::analysis::Analysis;
use crate::finding::Finding;
use crate::graph::{ElementId, InletLink};
use crate::model::circuits::Supply;
use crate::model::value::{Field, Id, Name, Spanned};
use crate::rules::rule;

rule!(
    "wrong-feed",
    Identity,
    Error,
    "An inlet declared for one feed lands on another: the loss or isolation of one feed may take the device down."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    // A feed that is defined nowhere is told as an unknown name. One that no supply has is a feed all the same: what
    // is declared for it and lands on another is wrong.
    let supplies = analysis.model.supplies.items().iter();
    let of_supplies = supplies.filter_map(|it| it.feed.known());
    let of_site = analysis.model.site.feeds.names();
    let of_site = of_site.map(|name| &name.value);
    let feeds: BTreeSet<&Name> = of_supplies.chain(of_site).collect();
    let mut without_feed = BTreeSet::new();
    let mut astray = Vec::new();
    for inlet in &analysis.graph.links.inlets {
        let declared = match analysis.demanded_feed(inlet) {
            Field::Given(feed) => feed,
            Field::Unreadable(at) => {
                findings.push(told::unreadable(analysis, inlet, *at));
                continue;
            }
            Field::Absent => continue,
        };
        let Some((fed_by, supply)) = landing(analysis, inlet) else {
            continue;
        };
        match &analysis.model.supplies[supply].feed {
            Field::Given(feed) if feed.value == declared.value => {}
            Field::Given(lands_on) if feeds.contains(&declared.value) => astray.push(Astray {
                inlet,
                fed_by,
                declared,
                lands_on,
            }),
            Field::Given(_) => {}
            _ if without_feed.insert(supply) => {
                findings.push(told::no_feed(analysis, supply, declared));
            }
            _ => {}
        }
    }
    for of_device in astray.chunk_by(|a, b| a.inlet.device == b.inlet.device) {
        findings.extend(judged(analysis, of_device));
    }
}

/// An inlet that lands on another feed than the one it is declared for.
struct Astray<'a> {
    inlet: &'a InletLink,
    /// The cord or leg that feeds it.
    fed_by: ElementId,
    declared: &'a Spanned<Name>,
    lands_on: &'a Spanned<Name>,
}

impl Astray<'_> {
    /// Whether the other one has the same fault the other way round.
    fn is_swapped_with(&self, other: &Self) -> bool {
        self.declared.value == other.lands_on.value && self.lands_on.value == other.declared.value
    }
}

/// The inlets of one device: two that are swapped are one fault.
fn judged(analysis: &Analysis<'_>, of_device: &[Astray<'_>]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut rest: Vec<&Astray<'_>> = of_device.iter().rev().collect();
    while let Some(first) = rest.pop() {
        let partner = rest.iter().rposition(|other| first.is_swapped_with(other));
        findings.push(match partner {
            Some(at) => {
                let mut both = [first, rest.remove(at)];
                both.sort_by_key(|astray| astray.fed_by);
                told::swapped(analysis, both)
            }
            None => told::astray(analysis, first),
        });
    }
    findings
}

/// The cord or leg that feeds an inlet, and the supply at its head.
fn landing(analysis: &Analysis<'_>, inlet: &InletLink) -> Option<(ElementId, Id<Supply>)> {
    let fed_by = analysis.graph.feeding(inlet)?;
    Some((fed_by, analysis.graph.supply_of(fed_by)?))
}
