//! Parts that the tables know, or that the site describes itself.

use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

use crate::tables::cordage::Cordage;
use crate::tables::couplers::Coupler;
use crate::tables::retention;

use super::value::{Field, Spanned};

/// What a field names: a row of a table, or one that the site describes itself.
#[derive(Clone, Debug)]
pub enum Catalogued<T: 'static> {
    /// One of the tables.
    Listed(&'static T),
    /// One of the site's own. Until the files of the site are put together only its name is known.
    Own(Arc<T>),
}

/// A row that goes by a name.
pub trait Called {
    /// The name.
    fn called(&self) -> &str;
}

impl Called for Coupler {
    fn called(&self) -> &str {
        &self.name
    }
}

impl Called for Cordage {
    fn called(&self) -> &str {
        &self.name
    }
}

impl Called for retention::Kind {
    fn called(&self) -> &str {
        &self.name
    }
}

impl<T> Deref for Catalogued<T> {
    type Target = T;
    fn deref(&self) -> &T {
        match self {
            Self::Listed(listed) => listed,
            Self::Own(own) => own,
        }
    }
}

impl<T: Called> fmt::Display for Catalogued<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.called())
    }
}

/// Rows are told apart by their names.
impl<T: Called> PartialEq for Catalogued<T> {
    fn eq(&self, other: &Self) -> bool {
        self.called() == other.called()
    }
}

impl<T> Field<Catalogued<T>> {
    /// What is known of the part that it names, if anything.
    pub fn row(&self) -> Option<&T> {
        self.known().map(Deref::deref)
    }

    /// The same field with what is known of the part in the place of the part.
    pub fn as_row(&self) -> Field<&T> {
        match self {
            Self::Absent => Field::Absent,
            Self::Unreadable(at) => Field::Unreadable(*at),
            Self::Given(given) => Field::Given(Spanned {
                value: &given.value,
                span: given.span,
            }),
        }
    }
}
