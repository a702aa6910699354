//! What counts of a file that many sites share: its catalogue, and nothing else. What stands in one
//! place, as racks and circuits do, belongs to one site.

use std::mem::take;

use super::decode::Record;
use super::fault::{Fault, Noted};
use super::{Fragment, Sections, is_ours};
use crate::source::Span;
use crate::yaml::Tree;

/// Declares the sections of a catalogue: the one list of them.
macro_rules! catalogue {
    ($($section:literal => $field:ident,)*) => {
        /// The sections that a catalogue holds.
        pub const CATALOGUE: &[&str] = &[$($section),*];

        impl Sections {
            /// The sections of a catalogue alone.
            fn catalogue(self) -> Self {
                Self { $($field: self.$field,)* ..Self::default() }
            }
        }
    };
}

catalogue! {
    "pdu-models" => pdu_models,
    "device-models" => device_models,
    "coupler-types" => coupler_types,
    "cordage-types" => cordage_types,
    "latch-systems" => latch_systems,
    "cord-makes" => cord_makes,
    "cord-types" => cord_types,
    "offers" => offers,
}

/// A section that no catalogue holds: its name, the key, and what stands behind that.
struct Other {
    section: &'static str,
    key: Span,
    value: Span,
}

/// Leaves of a file that many sites share its catalogue alone, with a fault for every other section.
/// What stands in those is not told of: it counts for nobody.
pub(super) fn keep_catalogue(tree: &Tree, fragment: &mut Fragment) {
    let others = others(tree);
    if others.is_empty() {
        return;
    }
    let is_in_other = |span: Span| {
        let before = others.partition_point(|other| other.key.lo <= span.lo);
        let other = before.checked_sub(1).and_then(|at| others.get(at));
        other.is_some_and(|other| span.hi <= other.value.hi)
    };
    fragment.sections = take(&mut fragment.sections).catalogue();
    let is_kept = |noted: &Noted| noted.unreadable().is_some() || !is_in_other(noted.fault.span());
    fragment.faults.retain(is_kept);
    fragment.half_typed.retain(|thing| !is_in_other(thing.span));
    // What is not found may stand there.
    fragment.is_broken = true;
    fragment.faults.extend(others.iter().map(|other| {
        let fault = Fault::NotShared {
            span: other.key,
            section: other.section,
        };
        Noted::new(fault, [other.section.into()])
    }));
}

fn others(tree: &Tree) -> Vec<Other> {
    let roots = tree.roots().iter();
    let ours = roots.filter(|root| is_ours(tree, **root));
    let pairs = ours.flat_map(|root| tree.pairs(*root));
    let others = pairs.filter_map(|(key, value)| {
        let mut sections = Sections::NAMES.iter();
        let section = *sections.find(|section| **section == tree.text(key))?;
        (!CATALOGUE.contains(&section)).then(|| Other {
            section,
            key: tree.span(key),
            value: tree.span(value),
        })
    });
    others.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_catalogue_is_made_of_sections() {
        assert!(CATALOGUE.iter().all(|one| Sections::NAMES.contains(one)));
    }
}
