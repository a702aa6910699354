//! What stands in no section of ours and is likely meant to: sections whose names are misspelt, and
//! things that read like ours in another place.
//!
//! Files of other tools lie in the same folders, and none of them may be called wrong. So a name
//! alone is never enough, unless nothing but its letter case, its joints or letters that look alike
//! make it another: what stands below must speak for it, by values that hardly anything else has.

mod likeness;
mod torn;

use crate::budget::{Budget, Work};
use crate::source::Span;
use crate::spelling::{self, Near, is_respelt};
use crate::yaml::{Kind, NodeId, Tree};

use super::Sections;
use super::circuits::{Circuit, Supply};
use super::cordage_types::OwnCordage;
use super::cords::{Cord, CordType, Departure};
use super::coupler_types::OwnCoupler;
use super::decode::{Reader, Record};
use super::devices::{Device, DeviceModel};
use super::fault::Fault;
use super::latch_systems::LatchSystem;
use super::makes::CordMake;
use super::offers::{Offer, Purchase, Stored};
use super::pdus::{Pdu, PduModel};
use super::places::{Rack, Zone};
use super::site::Site;

use likeness::{Measure, measure};
pub use torn::may_hold_sections;

/// The sections, with the things that stand in each.
const SECTIONS: [(&str, Measure); 19] = [
    ("site", measure::<Site>),
    ("zones", measure::<Zone>),
    ("racks", measure::<Rack>),
    ("supplies", measure::<Supply>),
    ("circuits", measure::<Circuit>),
    ("pdu-models", measure::<PduModel>),
    ("pdus", measure::<Pdu>),
    ("device-models", measure::<DeviceModel>),
    ("devices", measure::<Device>),
    ("coupler-types", measure::<OwnCoupler>),
    ("cordage-types", measure::<OwnCordage>),
    ("latch-systems", measure::<LatchSystem>),
    ("cord-makes", measure::<CordMake>),
    ("cord-types", measure::<CordType>),
    ("cords", measure::<Cord>),
    ("offers", measure::<Offer>),
    ("orders", measure::<Purchase>),
    ("store", measure::<Stored>),
    ("departures", measure::<Departure>),
];

/// Levels below the top of a document at which things are looked for.
const DEPTH: usize = 3;

/// How often each part of a document is looked at at most: as every kind of thing, at every level.
const LOOKS: u64 = SECTIONS.len() as u64 * (DEPTH as u64 + 1);

/// What is astray in documents that hold no section of ours, and whether all of them could be looked
/// through.
pub(super) fn faults(tree: &Tree, roots: &[NodeId], budget: &Budget) -> (Vec<Fault>, bool) {
    let mut search = Search {
        tree,
        reader: Reader::new(tree, &budget.times(Work::Visits, LOOKS)),
    };
    let mut faults = Vec::new();
    for &root in roots {
        faults.extend(search.astray_in(root));
        if !search.reader.is_whole() {
            faults.push(too_much(tree, root, budget));
            return (faults, false);
        }
    }
    (faults, true)
}

fn too_much(tree: &Tree, root: NodeId, budget: &Budget) -> Fault {
    let start = tree.span(root);
    Fault::Unreadable {
        span: Span {
            hi: start.lo,
            ..start
        },
        message: "Anchors and aliases repeat so much of this document that nobody can say whether \
                  definitions stand in it; from here on the file is not judged."
            .into(),
        advice: format!(
            "Leave the file out under site.files if it is none of the site's. {}",
            Work::Visits.advice(budget)
        ),
        related: None,
    }
}

struct Search<'t> {
    tree: &'t Tree,
    /// Reads for the sake of seeing whether it can; what it has to say is of no interest.
    reader: Reader<'t>,
}

impl Search<'_> {
    /// What is astray in one document.
    fn astray_in(&mut self, root: NodeId) -> Vec<Fault> {
        let pairs = self.tree.pairs(root);
        let misspelt: Vec<Fault> = pairs
            .filter_map(|(key, value)| self.misspelt_section(key, value))
            .collect();
        if !misspelt.is_empty() {
            return misspelt;
        }
        self.things_in(None, root, DEPTH).into_iter().collect()
    }

    /// A key at the top that is nearly the name of a section, with a value that speaks for it.
    fn misspelt_section(&mut self, key: NodeId, value: NodeId) -> Option<Fault> {
        let text = self.tree.text(key);
        let &(section, measure) = SECTIONS.iter().find(|(name, _)| is_near(text, name))?;
        let value = self.tree.resolve(value)?;
        let is_mapping = self.tree.kind(value) == Kind::Mapping;
        let mut likeness = |node| measure(&mut self.reader, node);
        let speaks = is_mapping && is_respelt(text, section)
            || likeness(value).tells()
            || entries(self.tree, value).any(|(_, entry)| {
                let likeness = likeness(entry);
                likeness.tells() || likeness.is_one()
            });
        let near = spelling::nearest(text, std::iter::once(section));
        speaks.then(|| Fault::UnknownKey {
            span: self.tree.span(key),
            key: text.into(),
            owner: Sections::WHAT,
            known: Sections::NAMES,
            nearest: near.or(Some(Near {
                word: section,
                is_sure: false,
            })),
        })
    }

    /// The first thing of ours among the entries of `node` or further below. `above` is the key
    /// that it all stands under; a thing at the top is told by its own.
    fn things_in(&mut self, above: Option<NodeId>, node: NodeId, depth: usize) -> Option<Fault> {
        let tree = self.tree;
        let likely = entries(tree, node).map(|(key, entry)| self.likely(key, entry));
        let likely: Vec<Option<Likely>> = likely.collect();
        let sure = likely.iter().flatten().find(|one| one.is_sure);
        // What goes by names alone is sure only if everything beside it does.
        let is_all = likely.iter().all(Option::is_some);
        let first = likely.iter().flatten().next().filter(|_| is_all);
        if let Some(found) = sure.or(first) {
            let key = above.unwrap_or(found.key);
            return Some(Fault::Astray {
                span: tree.span(key),
                key: tree.text(key).into(),
                section: found.section,
            });
        }
        let depth = depth.checked_sub(1)?;
        entries(tree, node).find_map(|(key, entry)| self.things_in(key.or(above), entry, depth))
    }

    /// What an entry reads like; of several kinds the later, as there are more devices than strips.
    fn likely(&mut self, key: Option<NodeId>, entry: NodeId) -> Option<Likely> {
        let key = key.or_else(|| self.tree.children(entry).next())?;
        SECTIONS.iter().rev().find_map(|(section, measure)| {
            let likeness = measure(&mut self.reader, entry);
            (likeness.is_one() && likeness.tells()).then_some(Likely {
                key,
                section,
                is_sure: likeness.telling > 0,
            })
        })
    }
}

/// An entry that reads like a thing of ours.
struct Likely {
    /// Its name, or its first key if it has none.
    key: NodeId,
    /// The section in which it belongs.
    section: &'static str,
    /// Whether something other than names speaks for it.
    is_sure: bool,
}

/// The values of a mapping with their keys, or the items of a list. Aliases are not followed: what
/// they stand for is met where it is written.
fn entries(tree: &Tree, node: NodeId) -> Box<dyn Iterator<Item = (Option<NodeId>, NodeId)> + '_> {
    match tree.kind(node) {
        Kind::List => Box::new(tree.children(node).map(|item| (None, item))),
        _ => Box::new(tree.pairs(node).map(|(key, value)| (Some(key), value))),
    }
}

/// Whether a text may be a misspelt name of a section: one slip, or two in a long one.
fn is_near(text: &str, section: &str) -> bool {
    // Most keys of other tools' files are told apart by this alone.
    let is_far = text.is_ascii() && text.trim().len().abs_diff(section.len()) > 2;
    let slips = if section.len() < 8 { 1 } else { 2 };
    !is_far && (is_respelt(text, section) || spelling::slips(text, section) <= slips)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_section_of_the_format_is_known_here() {
        let known = SECTIONS.iter().map(|(section, _)| *section);
        assert!(known.eq(Sections::KEYS.iter().map(|key| key.name)));
    }
}
