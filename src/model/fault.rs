//! What was wrong with the definitions as written: facts, gathered while reading. The rules of
//! *records* turn them into findings.

use smol_str::SmolStr;

use crate::input::NotRead;
use crate::source::Span;
use crate::spelling::Near;
use crate::tables::couplers::Side;
use crate::tables::words::Phrase;

use super::value::Name;

/// A fault, the keys that lead to it, and where else its text is in use.
#[derive(Clone, Debug, PartialEq)]
pub struct Noted {
    /// What is wrong.
    pub fault: Fault,
    /// Keys from the section down to the value: `circuits`, `A-12`, `breaker`.
    pub path: Vec<Name>,
    /// Where an alias or a merge brings the faulty text into use; the first few.
    pub uses: Vec<Span>,
}

/// What leads to the fault of a file that only stands in for another, in place of a section's name.
pub const STAND_IN: &str = "stand-in";

/// Places of use that are kept: enough to see that a change will show elsewhere.
const MOST_USES: usize = 3;

impl Noted {
    /// A fault under `path`.
    pub fn new(fault: Fault, path: impl IntoIterator<Item = Name>) -> Self {
        Self {
            fault,
            path: path.into_iter().collect(),
            uses: Vec::new(),
        }
    }

    /// Adds a place of use.
    pub fn add_use(&mut self, at: Span) {
        if self.uses.len() < MOST_USES && !self.uses.contains(&at) {
            self.uses.push(at);
        }
    }

    /// Where and why something could not be read, if that is the fault.
    pub fn unreadable(&self) -> Option<(Span, String)> {
        match &self.fault {
            Fault::Unreadable { span, message, .. } => Some((*span, message.clone())),
            _ => None,
        }
    }

    /// The thing it is about, under its name; the section where no thing has one.
    pub fn thing(&self) -> Name {
        let thing = self.path.get(1).or(self.path.first());
        thing.cloned().unwrap_or_default()
    }
}

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
        known: &'static [&'static str],
        /// The nearest one that is still free here.
        nearest: Option<Near<&'static str>>,
    },
    /// Things of ours that stand where no section is read.
    Astray {
        /// The key that they stand under, or the name of the first.
        span: Span,
        /// Its text.
        key: Name,
        /// The section in which they belong.
        section: &'static str,
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
        /// The likely right text and what it stands in for, where there is a single safe guess.
        edit: Option<(Span, String)>,
    },
    /// A name without quotes that other readers of YAML take for something else.
    Trap {
        /// The name.
        span: Span,
        /// Its text.
        text: Name,
        /// What others make of it.
        taken_for: String,
    },
    /// A pattern of `site.files` that means no file.
    IdlePattern {
        /// The pattern.
        span: Span,
        /// Its text.
        pattern: Name,
        /// The list that it stands in: `take-in` or `leave-out`.
        list: &'static str,
    },
    /// A folder that `site.files` names as a catalogue, and in which nothing is read.
    NoCatalogue {
        /// The entry.
        span: Span,
        /// Its text.
        named: Name,
        /// Why.
        why: NotRead,
    },
    /// A section in a catalogue that belongs to one site.
    NotShared {
        /// The key.
        span: Span,
        /// The section.
        section: &'static str,
    },
    /// A word of a table (a coupler, a cordage type) that no table knows.
    UnknownWord {
        /// The word.
        span: Span,
        /// The word's text.
        word: Name,
        /// What kind of word was wanted.
        what: &'static str,
        /// The nearest known one; another rating or another wire is no slip, so it is only asked about.
        nearest: Option<SmolStr>,
    },
    /// A coupler that is named as the half which does not belong there; its face is read all the same.
    OtherHalf {
        /// The name.
        span: Span,
        /// Its text.
        text: Name,
        /// The half that belongs there.
        wanted: Side,
        /// What the place is called, as in `a receptacle`.
        place: Phrase,
        /// The name of that half.
        right: SmolStr,
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
            | Self::Astray { span, .. }
            | Self::IdlePattern { span, .. }
            | Self::NoCatalogue { span, .. }
            | Self::NotShared { span, .. }
            | Self::MissingKey { span, .. }
            | Self::BadValue { span, .. }
            | Self::Trap { span, .. }
            | Self::UnknownWord { span, .. }
            | Self::OtherHalf { span, .. }
            | Self::Repeated { again: span, .. } => *span,
        }
    }
}
