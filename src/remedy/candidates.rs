//! The other cords that can be tried in the place of one.

use crate::analysis::Analysis;
use crate::graph::Receiver;
use crate::model::cords::{Cord, CordType};
use crate::model::optional::Optional;
use crate::model::value::{Field, Id};
use crate::quantity::{InUnits, Length};
use crate::source::Span;
use crate::tables::couplers::Coupler;
use crate::tables::mating::{Mate, mates};

use super::Fit;

/// The other cords for a cord, the most like it first.
pub(super) struct Candidates {
    pub fits: Vec<Fit>,
    /// Whether there are no others.
    pub are_all: bool,
}

/// Lengths of the stock that are looked at: far more than are ever kept.
const MOST_LENGTHS: usize = 50;

/// Where candidates are looked for. Plugs and connectors that are known not to enter are left out, and so
/// are types that have a fault of their own.
pub(super) struct CandidateSearch<'a> {
    pub analysis: Analysis<'a>,
    pub is_flawed: &'a dyn Fn(Id<CordType>) -> bool,
    /// Types that are looked at, the first of all.
    pub most_types: usize,
    /// Candidates that are wanted at most.
    pub most: usize,
}

impl CandidateSearch<'_> {
    /// Other types as they come, and the cord's own type in the other lengths of the stock.
    pub(super) fn plain(&self, cord: Id<Cord>) -> Candidates {
        let now = &self.analysis.model.cords[cord];
        let own = self.analysis.graph.links.cord_types[cord.index()];
        let length = self.length(cord);
        let others = self.others(cord).into_iter().map(|kind| Fit {
            kind,
            own_length: now.length.known().copied(),
        });
        let kind = own.filter(|own| !(self.is_flawed)(*own));
        let lengths = self.stock().filter(|stock| Some(*stock) != length);
        let lengths = kind.into_iter().flat_map(|kind| {
            lengths.clone().map(move |length| Fit {
                kind,
                own_length: Some(length),
            })
        });
        self.in_order(cord, others.chain(lengths).collect())
    }

    /// Other types in lengths of the stock: for where no plain candidate will do.
    pub(super) fn cut(&self, cord: Id<Cord>) -> Candidates {
        let written = self.analysis.model.cords[cord].length.known().copied();
        let cut = self.others(cord).into_iter().flat_map(|kind| {
            let usual = self.analysis.model.cord_types[kind].length.known().copied();
            let usual = usual.filter(|_| written.is_none());
            let lengths = self.stock().filter(move |stock| Some(*stock) != usual);
            lengths.map(move |length| Fit {
                kind,
                own_length: Some(length),
            })
        });
        self.in_order(cord, cut.collect())
    }

    fn others(&self, cord: Id<Cord>) -> Vec<Id<CordType>> {
        let own = self.analysis.graph.links.cord_types[cord.index()];
        let types = self.analysis.model.cord_types.iter().take(self.most_types);
        let others = types.filter(|(id, kind)| {
            Some(*id) != own && !(self.is_flawed)(*id) && enters(&self.analysis, cord, kind)
        });
        others.map(|(id, _)| id).collect()
    }

    fn stock(&self) -> impl Iterator<Item = Length> + Clone + '_ {
        let stock = self.analysis.model.site.stock_lengths.iter();
        stock.take(MOST_LENGTHS).map(|length| length.value)
    }

    fn length(&self, cord: Id<Cord>) -> Option<Length> {
        let own = self.analysis.graph.cord_type(self.analysis.model, cord);
        let written = self.analysis.model.cords[cord].length.known().copied();
        written.or(own.and_then(|own| own.length.known().copied()))
    }

    fn in_order(&self, cord: Id<Cord>, mut fits: Vec<Fit>) -> Candidates {
        let order = Order {
            analysis: &self.analysis,
            own: self.analysis.graph.links.cord_types[cord.index()],
            length: self.length(cord),
        };
        let model = self.analysis.model;
        // An adapter comes in no length.
        fits.retain(|fit| fit.own_length.is_none() || !model.cord_types[fit.kind].is_adapter());
        order.sort(&mut fits);
        let are_all = model.cord_types.len() <= self.most_types
            && model.site.stock_lengths.len() <= MOST_LENGTHS
            && fits.len() <= self.most;
        fits.truncate(self.most);
        Candidates { fits, are_all }
    }
}

/// Whether a cord of this type could be put in the place of a cord: it has the same legs, and no
/// coupler of it is known not to enter.
fn enters(analysis: &Analysis<'_>, cord: Id<Cord>, kind: &CordType) -> bool {
    let legs =
        |kind: &CordType| -> Vec<_> { kind.legs.names().map(|leg| leg.value.clone()).collect() };
    let own = analysis.graph.cord_type(analysis.model, cord);
    // An adapter takes the place of adapters alone, and of these no cord does.
    let is_alike =
        |own: &CordType| legs(own) == legs(kind) && own.is_adapter() == kind.is_adapter();
    if !own.is_none_or(is_alike) || (own.is_none() && kind.is_adapter()) {
        return false;
    }
    let outlet = analysis.contacts(cord);
    let mut ends = analysis.graph.links.cord_ends(cord).iter();
    may_enter(outlet, kind.plug.coupler())
        && ends.all(|end| {
            let leg = end.leg.and_then(|leg| kind.leg(leg));
            let connector = kind.connector_of(leg.map(|leg| &leg.item));
            may_enter(connector.coupler(), pins(analysis, end.at))
        })
}

fn pins<'a>(analysis: &Analysis<'a>, end: Receiver) -> Option<&'a Coupler> {
    analysis.pins(end)?.coupler.coupler()
}

fn may_enter(contacts: Option<&Coupler>, pins: Option<&Coupler>) -> bool {
    let mate = contacts
        .zip(pins)
        .map(|(contacts, pins)| mates(contacts, pins));
    !matches!(mate, Some(Mate::DoesNotFit { .. }))
}

/// How like a cord is to the one it is to replace.
struct Order<'a> {
    analysis: &'a Analysis<'a>,
    own: Option<Id<CordType>>,
    length: Option<Length>,
}

impl Order<'_> {
    fn sort(&self, fits: &mut [Fit]) {
        fits.sort_by(|a, b| {
            let ((unlike_a, apart_a), (unlike_b, apart_b)) = (self.key(*a), self.key(*b));
            let name = |fit: &Fit| &self.analysis.model.cord_types[fit.kind].name.value;
            let is_own = |fit: &Fit| fit.own_length.is_some();
            apart_a
                .total_cmp(&apart_b)
                .then(unlike_a.cmp(&unlike_b))
                .then(is_own(a).cmp(&is_own(b)))
                .then_with(|| name(a).cmp(name(b)))
        });
    }

    /// In how many ways the types differ, and how far the lengths are apart.
    fn key(&self, fit: Fit) -> (usize, f64) {
        let kind = &self.analysis.model.cord_types[fit.kind];
        let length = fit
            .own_length
            .or(kind.length.known().copied())
            .zip(self.length);
        let apart = length.map_or(f64::INFINITY, |(a, b)| (a - b).in_metres().abs());
        let own = self.own.map(|own| &self.analysis.model.cord_types[own]);
        (own.map_or(0, |own| unlike(own, kind)), apart)
    }
}

/// What is said; what cannot be read is like nothing else.
fn value<T: Copy>(field: &Optional<T>) -> Result<Option<T>, Span> {
    let written = field.written()?;
    Ok(written.map(|given| given.value))
}

/// Whether two types differ in their lengths alone.
pub(super) fn is_same_make(a: &CordType, b: &CordType) -> bool {
    let angles = |kind: &CordType| {
        let ends = kind.angle.written();
        ends.map(|ends| ends.map(|ends| (value(&ends.value.plug), value(&ends.value.connector))))
    };
    let marks = |kind: &CordType| {
        let current = (kind.rating.as_written(), value(&kind.fuse));
        (
            kind.temperature.known().copied(),
            kind.cores.known().copied(),
            current,
        )
    };
    unlike(a, b) == 0 && a.locks() == b.locks() && angles(a) == angles(b) && marks(a) == marks(b)
}

/// In how many ways two types differ that a buyer sees first.
fn unlike(a: &CordType, b: &CordType) -> usize {
    fn differ<T: PartialEq>(a: &Field<T>, b: &Field<T>) -> usize {
        usize::from(a.known() != b.known())
    }
    differ(&a.plug, &b.plug)
        + differ(&a.connector, &b.connector)
        + usize::from(a.conductor.as_written() != b.conductor.as_written())
        + usize::from(a.cordage.as_written() != b.cordage.as_written())
        + differ(&a.colour, &b.colour)
}
