//! What was wrong with the definitions as written: facts, gathered while reading. The rules of
//! *records* turn them into findings.

use smol_str::SmolStr;

use crate::source::Span;

use super::value::Name;

/// One fault of the definitions.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// A file, or a part of it, that could not be read at all.
    Unreadable {
        /// Where it breaks.
        span: Span,
        /// What is wrong.
        message: String,
        /// What to do.
        advice: String,
        /// A second place that explains the first.
        related: Option<(Span, String)>,
    },
    /// A key that the thing does not have.
    UnknownKey {
        /// The key.
        span: Span,
        /// The key's text.
        key: Name,
        /// What kind of thing it stands in.
        owner: &'static str,
        /// All keys that the thing has.
        known: Vec<&'static str>,
    },
    /// A key that the thing must have.
    MissingKey {
        /// The name of the thing, or the start of it.
        span: Span,
        /// What kind of thing lacks it.
        owner: &'static str,
        /// The thing's own name; empty where it has none.
        name: Name,
        /// The key.
        key: &'static str,
        /// What the key holds, in the words of the format's description.
        holds: &'static str,
    },
    /// A value that is not what its key wants.
    BadValue {
        /// The wrong part.
        span: Span,
        /// What is wrong.
        headline: String,
        /// What to do.
        advice: String,
        /// The likely right text, where there is a single safe guess.
        replacement: Option<String>,
    },
    /// A word of a table (a coupler, a cordage type) that no table knows.
    UnknownWord {
        /// The word.
        span: Span,
        /// The word's text.
        word: Name,
        /// What kind of word was wanted.
        what: &'static str,
        /// The nearest known one.
        nearest: Option<SmolStr>,
    },
    /// The same key twice in a mapping, or the same name twice in a section.
    Repeated {
        /// The name or key.
        name: Name,
        /// What kind of thing it names.
        what: &'static str,
        /// Where it stood first; this one is kept.
        first: Span,
        /// Where it is repeated.
        again: Span,
    },
}

impl Fault {
    /// The place it is about.
    pub fn span(&self) -> Span {
        match self {
            Self::Unreadable { span, .. }
            | Self::UnknownKey { span, .. }
            | Self::MissingKey { span, .. }
            | Self::BadValue { span, .. }
            | Self::UnknownWord { span, .. }
            | Self::Repeated { again: span, .. } => *span,
        }
    }
}
