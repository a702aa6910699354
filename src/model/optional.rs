//! A value that means something when it is left out.

use crate::source::Span;

use super::text::YesNo;
use super::value::{Field, Spanned};

/// A value that means something when it is left out: the meaning of its key says what.
///
/// What cannot be read is neither a value nor left out, and nothing that judges can take it for one of
/// the two.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum Optional<T> {
    /// Left out, which is a statement.
    #[default]
    Absent,
    /// There, but not readable; a finding says so already.
    Unreadable(Span),
    /// Known.
    Given(Spanned<T>),
}

impl<T> Optional<T> {
    /// What is written; `None` where it is left out.
    ///
    /// # Errors
    /// Where it stands, if it cannot be read.
    pub fn written(&self) -> Result<Option<&Spanned<T>>, Span> {
        match self {
            Self::Absent => Ok(None),
            Self::Given(given) => Ok(Some(given)),
            Self::Unreadable(span) => Err(*span),
        }
    }

    /// The value, or what it means to leave it out.
    ///
    /// # Errors
    /// Where it stands, if it cannot be read.
    pub fn unless_written(&self, left_out: T) -> Result<T, Span>
    where
        T: Copy,
    {
        let written = self.written()?;
        Ok(written.map_or(left_out, |given| given.value))
    }

    /// Where it stands, readable or not.
    pub fn span(&self) -> Option<Span> {
        match self {
            Self::Absent => None,
            Self::Given(given) => Some(given.span),
            Self::Unreadable(span) => Some(*span),
        }
    }

    /// Whether it is left out.
    pub fn is_absent(&self) -> bool {
        matches!(self, Self::Absent)
    }
}

impl Optional<YesNo> {
    /// Whether `yes` is written.
    ///
    /// # Errors
    /// Where it stands, if it cannot be read.
    pub fn says_yes(&self) -> Result<bool, Span> {
        self.unless_written(YesNo(false)).map(|said| said.0)
    }
}

impl<T: Clone> Optional<T> {
    /// The same, shown at another place.
    pub fn shown_at(&self, span: Span) -> Self {
        match self {
            Self::Absent => Self::Absent,
            Self::Unreadable(_) => Self::Unreadable(span),
            Self::Given(given) => Self::Given(Spanned {
                value: given.value.clone(),
                span,
            }),
        }
    }
}

impl<T> From<Field<T>> for Optional<T> {
    fn from(field: Field<T>) -> Self {
        match field {
            Field::Absent => Self::Absent,
            Field::Unreadable(span) => Self::Unreadable(span),
            Field::Given(given) => Self::Given(given),
        }
    }
}

/// Something written or not, of which it can be said where it stands and whether it can be read.
pub trait Stated {
    /// Where it stands, readable or not; `None` where nothing is written.
    fn place(&self) -> Option<Span>;
    /// Whether it stands there and cannot be read.
    fn is_unreadable(&self) -> bool;
}

impl<T> Stated for Field<T> {
    fn place(&self) -> Option<Span> {
        self.span()
    }

    fn is_unreadable(&self) -> bool {
        matches!(self, Self::Unreadable(_))
    }
}

impl<T> Stated for Optional<T> {
    fn place(&self) -> Option<Span> {
        self.span()
    }

    fn is_unreadable(&self) -> bool {
        matches!(self, Self::Unreadable(_))
    }
}
