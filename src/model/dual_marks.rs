//! What stands on a cord twice, for two systems of rules: `[H05VV-F, SJT]`, `[1.0 mm², 18 AWG]`,
//! `{iec: 10 A, nec: 10 A}`. Which of the marks is judged by is settled here, once the site is put together.

use std::ops::Deref;
use std::sync::Arc;

use serde_json::{Value, json};

use crate::quantity::{ConductorSize, Current, Quantity};
use crate::source::Span;
use crate::tables::Practice;
use crate::tables::cordage::{self, Family};
use crate::yaml::{Kind, NodeId};

use super::Model;
use super::decode::{Decode, Reader, Slot, record};
use super::optional::Stated;
use super::schema;
use super::site::Site;
use super::text::CordageRef;
use super::value::{Field, Spanned};

/// Whose rules a mark is made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum System {
    /// IEC, and the harmonised standards.
    Iec,
    /// The NEC and the standards of North America.
    Nec,
    /// Japan.
    Japan,
}

/// Something that a cord is marked with, for one system or for several.
///
/// It is read as the one mark that binds. Where one of several cannot be read, none is known to bind.
#[derive(Clone, Debug)]
pub struct Marked<T> {
    binding: Field<T>,
    /// All of them, those that cannot be read among them.
    marks: Vec<Field<T>>,
}

// A derive would ask the same of `T`.
impl<T> Default for Marked<T> {
    fn default() -> Self {
        Self {
            binding: Field::Absent,
            marks: Vec::new(),
        }
    }
}

impl<T> Deref for Marked<T> {
    type Target = Field<T>;
    fn deref(&self) -> &Field<T> {
        &self.binding
    }
}

impl<T> Marked<T> {
    /// The marks, or, where none are written, those that stand further away. What cannot be read is no reason to look
    /// further.
    pub fn or_further<'a>(&'a self, further: &'a Self) -> &'a Self {
        match self.binding.is_absent() {
            true => further,
            false => self,
        }
    }

    /// All marks, in the order in which they are written.
    pub fn marks(&self) -> &[Field<T>] {
        &self.marks
    }

    /// The same, where what their names stand for is put in their place. What binds is settled afterwards.
    pub fn marks_mut(&mut self) -> &mut [Field<T>] {
        &mut self.marks
    }
}

impl<T> Stated for Marked<T> {
    fn place(&self) -> Option<Span> {
        self.binding.place()
    }

    fn is_unreadable(&self) -> bool {
        self.binding.is_unreadable()
    }
}

/// What a cord may be marked with more than once.
pub trait Mark: Decode + Clone {
    /// The system that it is made for.
    fn system(&self) -> System;
    /// What may be relied on where any of them may be meant.
    fn weakest(marks: &[Self]) -> Option<Self>;
    /// As it stands on the cord.
    fn show(&self) -> String;
    /// Why marks cannot all be of one cord, if they cannot.
    fn clash(_: &[Self]) -> Option<String> {
        None
    }
}

/// One conductor marked in both systems has sizes next to each other, 1.4 to 1 at the most: 1.5 mm² and 14 AWG
/// (common practice).
const MOST_APART: f64 = 1.5;

impl Mark for CordageRef {
    fn system(&self) -> System {
        match self.family {
            Family::Harmonised => System::Iec,
            Family::Nec => System::Nec,
            Family::Japan => System::Japan,
        }
    }

    fn weakest(marks: &[Self]) -> Option<Self> {
        let (first, others) = marks.split_first()?;
        Some(others.iter().fold(first.clone(), |one, other| {
            Self::Own(Arc::new(cordage::weaker(&one, other)))
        }))
    }

    fn show(&self) -> String {
        self.name.to_string()
    }
}

impl Mark for ConductorSize {
    fn system(&self) -> System {
        match self {
            Self::Metric(_) => System::Iec,
            Self::Awg(_) => System::Nec,
        }
    }

    fn weakest(marks: &[Self]) -> Option<Self> {
        let sizes = marks.iter().copied();
        sizes.min_by(|one, other| one.cmp_area(other))
    }

    fn clash(marks: &[Self]) -> Option<String> {
        let least = Self::weakest(marks)?;
        let limit = least.area() * MOST_APART;
        let other = marks.iter().find(|mark| mark.area() > limit)?;
        Some(format!("no conductor is both {least} and {other}"))
    }

    fn show(&self) -> String {
        self.to_string()
    }
}

impl<T: Mark> Marked<T> {
    /// All its marks as they are written; `None` where they are not all known.
    pub fn as_written(&self) -> Option<String> {
        self.binding.known()?;
        let marks = self.marks.iter().filter_map(Field::known);
        Some(marks.map(Mark::show).collect::<Vec<_>>().join(" / "))
    }

    /// Lets the mark of the first of `systems` bind that any is made for; the weakest of all where none is.
    /// The system, if it is one.
    fn settle(&mut self, systems: &[System]) -> Option<System> {
        self.binding.given()?;
        let mut known = Vec::with_capacity(self.marks.len());
        for mark in &self.marks {
            match mark {
                Field::Given(mark) => known.push((mark.value.system(), mark)),
                field => {
                    self.binding = field.clone();
                    return None;
                }
            }
        }
        let first = known.first().map(|(own, _)| *own);
        let alone = first.filter(|own| known.iter().all(|(other, _)| other == own));
        let is_marked = |system: &System| known.iter().any(|(own, _)| own == system);
        let system = alone.or_else(|| systems.iter().copied().find(is_marked));
        known.retain(|(own, _)| system.is_none_or(|system| system == *own));
        let values: Vec<T> = known.iter().map(|(_, mark)| mark.value.clone()).collect();
        if let (Some((_, first)), Some(value)) = (known.first(), T::weakest(&values)) {
            let span = first.span;
            self.binding = Field::Given(Spanned { value, span });
        }
        system
    }
}

/// More marks than any cord bears.
const MOST_MARKS: usize = 3;

impl<T: Mark> Slot for Marked<T> {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        let tree = reader.tree;
        if reader.kind(node) != Kind::List {
            self.binding.fill(reader, node);
            self.marks = vec![self.binding.clone()];
            return;
        }
        let above_zero = reader.must_be_above_zero();
        for (number, item) in tree.children(node).enumerate() {
            if number == MOST_MARKS {
                reader.bad(
                    tree.span(item),
                    format!("more than {MOST_MARKS} marks stand here for one cord"),
                    "Write those that are printed on its jacket.".into(),
                );
                return self.spoil(tree.span(item));
            }
            let Some(child) = reader.enter(item) else {
                return self.spoil(tree.span(node));
            };
            if above_zero {
                reader.zero_is_nonsense();
            }
            let mut one = Field::<T>::default();
            reader.under(item, |reader| Slot::fill(&mut one, reader, child));
            if !matches!(self.binding, Field::Unreadable(_)) {
                self.binding = one.clone();
            }
            self.marks.push(one);
        }
        let known: Option<Vec<T>> = self
            .marks
            .iter()
            .map(|mark| mark.known().cloned())
            .collect();
        if let Some(headline) = known.and_then(|known| T::clash(&known)) {
            let span = tree.span(node);
            reader.bad(
                span,
                headline,
                "Write both sizes as they are printed on the jacket.".into(),
            );
            return self.spoil(span);
        }
        if self.binding.is_absent() {
            reader.wanted(node, "what is printed on the jacket");
            self.spoil(tree.span(node));
        }
    }

    fn spoil(&mut self, at: Span) {
        self.binding = Field::Unreadable(at);
    }

    fn schema() -> Value {
        let one = T::schema();
        let several = json!({"type": "array", "items": one, "minItems": 1, "maxItems": MOST_MARKS});
        json!({"anyOf": [one, several]})
    }
}

record! {
    /// The rated currents of a part that is marked for both practices.
    BothRatings: "pair of ratings";
    /// The one marked for IEC practice.
    "iec" (required, above_zero) => iec: Field<Current>,
    /// The one marked for NEC practice.
    "nec" (required, above_zero) => nec: Field<Current>,
}

/// The rated current of a cord, as marked: one for all, or one for each practice.
#[derive(Clone, Debug, Default)]
pub struct MarkedRating {
    binding: Field<Current>,
    both: Option<(Box<BothRatings>, Span)>,
}

impl Deref for MarkedRating {
    type Target = Field<Current>;
    fn deref(&self) -> &Field<Current> {
        &self.binding
    }
}

impl MarkedRating {
    /// All that is marked, as it is written; `None` where it is not all known.
    pub fn as_written(&self) -> Option<String> {
        let one = self.binding.known()?.show();
        let Some((both, _)) = &self.both else {
            return Some(one);
        };
        let [iec, nec] = [&both.iec, &both.nec].map(|rating| rating.known().map(Quantity::show));
        Some(format!("{} (IEC) / {} (NEC)", iec?, nec?))
    }

    /// The rating of the practice that binds; the lower where none is known to. Both are to be known.
    fn settle(&mut self, practice: Option<Practice>) {
        let Some((both, at)) = &self.both else { return };
        self.binding = match (&both.iec, &both.nec) {
            (Field::Given(iec), Field::Given(nec)) => Field::Given(match practice {
                Some(Practice::Iec) => *iec,
                Some(Practice::Nec) => *nec,
                None if nec.value < iec.value => *nec,
                None => *iec,
            }),
            (Field::Unreadable(span), _) | (_, Field::Unreadable(span)) => Field::Unreadable(*span),
            _ => Field::Unreadable(*at),
        };
    }
}

impl Stated for MarkedRating {
    fn place(&self) -> Option<Span> {
        self.binding.place()
    }

    fn is_unreadable(&self) -> bool {
        self.binding.is_unreadable()
    }
}

impl Slot for MarkedRating {
    fn fill(&mut self, reader: &mut Reader<'_>, node: NodeId) {
        if reader.kind(node) != Kind::Mapping {
            return self.binding.fill(reader, node);
        }
        let at = reader.tree.span(node);
        // The keys ask for it themselves.
        reader.must_be_above_zero();
        self.both = Some((Box::new(reader.record(node, None)), at));
        self.settle(None);
    }

    fn spoil(&mut self, at: Span) {
        self.binding = Field::Unreadable(at);
        self.both = None;
    }

    fn schema() -> Value {
        json!({"anyOf": [Current::schema(), schema::record::<BothRatings>()]})
    }
}

/// The systems whose marks bind under the practice of a site, first those that go before.
fn binding(site: &Site) -> &'static [System] {
    let country = site.country.known();
    match site.practice.known() {
        Some(Practice::Nec) => &[System::Nec],
        Some(Practice::Iec) if country.is_some_and(|code| code.0 == "JP") => {
            &[System::Japan, System::Iec]
        }
        Some(Practice::Iec) => &[System::Iec],
        None => &[],
    }
}

/// Settles which marks of its cords a site goes by. A size is that of the system whose cordage binds: a
/// cordage is made in sizes of its own system.
pub(super) fn settle(model: &mut Model) {
    let systems = binding(&model.site);
    let practice = model.site.practice.known().copied();
    let sizes = |system: Option<System>| system.map_or(systems.to_vec(), |system| vec![system]);
    let makes = model.cord_makes.items_mut();
    for kind in makes.chain(model.cord_types.items_mut()) {
        let kind = &mut kind.item;
        let of_trunk = kind.cordage.settle(systems);
        kind.conductor.settle(&sizes(of_trunk));
        kind.rating.settle(practice);
        for leg in kind.legs.items_mut() {
            let leg = &mut leg.item;
            let own = leg.cordage.settle(systems);
            leg.conductor.settle(&sizes(own.or(of_trunk)));
            leg.rating.settle(practice);
        }
    }
    for strip in model.pdu_models.items_mut() {
        if let Field::Given(cord) = &mut strip.item.cord {
            let cord = &mut cord.value;
            let own = cord.cordage.settle(systems);
            cord.conductor.settle(&sizes(own));
        }
    }
}
