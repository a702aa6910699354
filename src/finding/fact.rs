//! A fact that the definitions lack: whose it is, by which key, and where it should stand.

use std::fmt;

use smol_str::SmolStr;

use crate::model::decode::Record;
use crate::model::optional::Stated;
use crate::model::site::Site;
use crate::model::value::{Field, Name, Named, Spanned};
use crate::source::Span;

/// A fact without which a point is not decided.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fact {
    /// Where it should stand: the name of its owner, or the bytes that cannot be read.
    pub span: Span,
    /// What kind of thing should have it, as in the format: `device model`.
    pub kind: &'static str,
    /// The name of that thing; empty for the site.
    pub owner: Name,
    /// Its key, with a dot for each step into the thing: `breaker.let-through`, `banks.breaker.curve`.
    pub key: SmolStr,
    /// The bank, leg or inlet that the key is of; empty where it is of the thing itself.
    pub within: Name,
    /// What stands there.
    pub state: FactState,
}

/// What stands where a fact is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FactState {
    /// Nothing.
    Absent,
    /// Something that cannot be read.
    Unreadable,
    /// Something that can be read and does not decide, such as the name of nothing.
    Written,
}

impl FactState {
    fn of(field: Option<&(impl Stated + ?Sized)>) -> Self {
        match field {
            Some(field) if field.is_unreadable() => Self::Unreadable,
            Some(field) if field.place().is_some() => Self::Written,
            Some(_) | None => Self::Absent,
        }
    }

    /// What is wrong with it: it `is missing`, `cannot be read`, or `does not say enough`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Absent => "is missing",
            Self::Unreadable => "cannot be read",
            Self::Written => "does not say enough",
        }
    }
}

impl Fact {
    /// The fact that a key of a thing should give.
    pub fn of<T: Record, V: Stated + ?Sized>(
        owner: &Named<T>,
        key: impl Into<SmolStr>,
        field: Option<&V>,
    ) -> Self {
        Self::at::<T, V>(&owner.name, key, field)
    }

    /// The same of a thing that is known by its name alone.
    pub fn at<T: Record, V: Stated + ?Sized>(
        owner: &Spanned<Name>,
        key: impl Into<SmolStr>,
        field: Option<&V>,
    ) -> Self {
        let written = field.and_then(Stated::place);
        Self {
            span: written.unwrap_or(owner.span),
            kind: T::WHAT,
            owner: owner.value.clone(),
            key: key.into(),
            within: Name::default(),
            state: FactState::of(field),
        }
    }

    /// A fact of a thing that stands at a place where it cannot be read.
    pub fn unreadable<T: Record>(owner: &Named<T>, key: impl Into<SmolStr>, at: Span) -> Self {
        Self::of(owner, key, Some(&Field::<()>::Unreadable(at)))
    }

    /// The fact that a key of a thing should give, if what stands there cannot be read.
    pub fn if_unreadable<T: Record>(
        owner: &Named<T>,
        key: impl Into<SmolStr>,
        field: &(impl Stated + ?Sized),
    ) -> Option<Self> {
        field
            .is_unreadable()
            .then(|| Self::of(owner, key, Some(field)))
    }

    /// A fact of the site as a whole that stands at a place where it cannot be read.
    pub fn unreadable_of_site(key: impl Into<SmolStr>, at: Span) -> Self {
        Self::of_site(key, &Field::<()>::Unreadable(at), at)
    }

    /// A fact of the site as a whole; `otherwise` is a place for what is not written.
    pub fn of_site(key: impl Into<SmolStr>, field: &impl Stated, otherwise: Span) -> Self {
        Self {
            span: field.place().unwrap_or(otherwise),
            kind: Site::WHAT,
            owner: Name::default(),
            key: key.into(),
            within: Name::default(),
            state: FactState::of(Some(field)),
        }
    }

    /// The same of a bank, leg or inlet of the thing.
    pub fn within(self, name: impl Into<Name>) -> Self {
        Self {
            within: name.into(),
            ..self
        }
    }

    /// The keys and names that lead from the thing to it.
    pub fn path(&self) -> Vec<&str> {
        let mut path: Vec<&str> = self.key.split('.').collect();
        if !self.within.is_empty() {
            path.insert(1, &self.within);
        }
        path
    }

    /// Its key with the name of the bank, leg or inlet: `banks.B1.breaker.curve`.
    pub fn full_key(&self) -> String {
        self.path().join(".")
    }

    /// The thing that should have it: `device model box`, `the site`.
    pub fn whose(&self) -> String {
        match self.owner.as_str() {
            "" => "the site".to_owned(),
            owner => format!("{} {owner}", self.kind),
        }
    }
}

impl fmt::Display for Fact {
    /// `` `power-factor` of device model box ``
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` of {}", self.full_key(), self.whose())
    }
}
