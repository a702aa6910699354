//! The line that an author would edit: the `type` of the one cord that is wrong, or the cord type
//! itself where it is wrong at all cords of it.

use std::hash::Hash;

use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::graph::ElementKind;
use crate::model::cords::CordType;
use crate::model::pdus::PduModel;
use crate::model::value::Id;
use crate::source::Span;

use super::Apart;
use super::blame::Blame;

/// How often the coupler that is written at a place does not fit, and how many things are of each kind.
pub(super) struct WrongTypes {
    wrong: FxHashMap<Span, usize>,
    cords: FxHashMap<Option<Id<CordType>>, usize>,
    pdus: FxHashMap<Option<Id<PduModel>>, usize>,
}

impl WrongTypes {
    pub fn among(analysis: &Analysis<'_>, all: &[Apart<'_>]) -> Self {
        let mut wrong = FxHashMap::default();
        for apart in all {
            if Blame::of(analysis, apart) == Blame::Own {
                *wrong.entry(apart.own.coupler.span).or_default() += 1;
            }
        }
        let links = &analysis.graph.links;
        Self {
            wrong,
            cords: counted(&links.cord_types),
            pdus: counted(&links.pdu_models),
        }
    }

    /// Where to point for two halves that do not go together.
    pub fn place(&self, analysis: &Analysis<'_>, apart: &Apart<'_>, blame: Blame) -> Span {
        let definition = apart.own.coupler.span;
        match blame {
            Blame::Mate | Blame::Both | Blame::NotKnown => apart.mate.coupler.span,
            Blame::Own => match self.wrong.get(&definition) {
                Some(&wrong) if wrong > 1 && wrong == self.uses(analysis, apart) => definition,
                _ => chosen_at(analysis, apart).unwrap_or(definition),
            },
        }
    }

    /// How many cords there are of the cord's type, or PDUs of the PDU's model.
    fn uses(&self, analysis: &Analysis<'_>, apart: &Apart<'_>) -> usize {
        let links = &analysis.graph.links;
        let count = match analysis.graph.kind(apart.pair.id) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                self.cords.get(&links.cord_types[cord.index()])
            }
            ElementKind::Pdu(pdu) => self.pdus.get(&links.pdu_models[pdu.index()]),
            ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Bank(..) => None,
        };
        count.copied().unwrap_or(0)
    }
}

fn counted<T: Copy + Eq + Hash>(all: &[T]) -> FxHashMap<T, usize> {
    let mut counts = FxHashMap::default();
    for one in all {
        *counts.entry(*one).or_default() += 1;
    }
    counts
}

/// Where the cord's type or the PDU's model is chosen.
fn chosen_at(analysis: &Analysis<'_>, apart: &Apart<'_>) -> Option<Span> {
    match analysis.graph.kind(apart.pair.id) {
        ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => Some(analysis.cord_choice(cord)),
        ElementKind::Pdu(pdu) => Some(analysis.pdu_choice(pdu)),
        ElementKind::Supply(_) | ElementKind::Circuit(_) | ElementKind::Bank(..) => None,
    }
}
