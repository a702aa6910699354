//! Which cords and cord types a finding is of.

use crate::finding::Finding;
use crate::model::Model;
use crate::model::cords::{Cord, CordType};
use crate::model::value::{Id, Named, Section};
use crate::source::Span;

/// The cords, or else the cord types, that a finding is of; neither where it is of something else.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Blamed {
    pub cords: Vec<Id<Cord>>,
    pub kinds: Vec<Id<CordType>>,
}

/// Where cords and cord types are defined.
#[derive(Debug)]
pub(super) struct Blame {
    cords: Entries<Cord>,
    kinds: Entries<CordType>,
}

impl Blame {
    pub(super) fn new(model: &Model) -> Self {
        Self {
            cords: Entries::new(&model.cords),
            kinds: Entries::new(&model.cord_types),
        }
    }

    /// What a finding is told of: the cords that it names; else the cord or the type whose
    /// definition it points at, or the type that it names first.
    pub(super) fn told_of(&self, model: &Model, finding: &Finding) -> Blamed {
        let cords = named_cords(model, finding);
        if !cords.is_empty() {
            return Blamed {
                cords,
                ..Blamed::default()
            };
        }
        let main = finding.main.span;
        if let Some(cord) = self.cords.at(main) {
            return Blamed {
                cords: vec![cord],
                ..Blamed::default()
            };
        }
        let first = || model.cord_types.find(finding.about.first()?);
        let kinds = self.kinds.at(main).or_else(first).into_iter().collect();
        Blamed {
            kinds,
            ..Blamed::default()
        }
    }

    /// What may have brought a finding about: everything that it names or shows.
    pub(super) fn may_be_due_to(&self, model: &Model, finding: &Finding) -> Blamed {
        let mut cords = named_cords(model, finding);
        let spans = || finding.places().map(|(place, _)| place.span);
        cords.extend(spans().filter_map(|span| self.cords.at(span)));
        let named = finding.about.iter();
        let named = named.filter_map(|name| model.cord_types.find(name));
        let kinds = named.chain(spans().filter_map(|span| self.kinds.at(span)));
        let kinds = kinds.collect();
        Blamed { cords, kinds }
    }
}

/// The cords that a finding names, be it by one of their legs.
fn named_cords(model: &Model, finding: &Finding) -> Vec<Id<Cord>> {
    let find = |name: &str| {
        let trunk = || {
            name.split('/')
                .next()
                .and_then(|cord| model.cords.find(cord))
        };
        model.cords.find(name).or_else(trunk)
    };
    let mut cords: Vec<_> = finding.about.iter().filter_map(|name| find(name)).collect();
    cords.dedup();
    cords
}

/// Definitions by the bytes they take up.
#[derive(Debug)]
struct Entries<T>(Vec<(Span, Id<T>)>);

impl<T> Entries<T> {
    fn new(section: &Section<T>) -> Self {
        let mut entries: Vec<_> = section.iter().map(|(id, item)| (entry(item), id)).collect();
        entries.sort_unstable_by_key(|(span, _)| *span);
        Self(entries)
    }

    /// The definition that holds the first byte of `span`.
    fn at(&self, span: Span) -> Option<Id<T>> {
        let begins = |at: &(Span, Id<T>)| (at.0.file, at.0.lo) <= (span.file, span.lo);
        let next = self.0.partition_point(begins);
        let (found, id) = self.0.get(next.checked_sub(1)?)?;
        (found.file == span.file && span.lo < found.hi).then_some(*id)
    }
}

/// From the name to the end; what is merged from elsewhere stands elsewhere.
fn entry<T>(item: &Named<T>) -> Span {
    let (name, body) = (item.name.span, item.body);
    match body.lo >= name.hi {
        true => name.to(body),
        false => name,
    }
}
