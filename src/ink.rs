//! The one way out: texts of a kind of output, which hold nothing raw.
//!
//! Names, paths, notes and the words of a command line may all come from a stranger, and what is
//! harmless in one output steers another. A [`Written`] text is of one kind. Our own words are literals
//! and go in as they stand ([`Written::ours`]); everything else goes in through [`Written::theirs`],
//! which writes it so that it is read as words there and as nothing else. Only what is written leaves
//! the program: the streams of the host take an [`Output`] or a [`Written`] text, and no other.
//!
//! A text that was put together at run time does not compile as ours, whatever the kind:
//!
//! ```compile_fail
//! use cordwright::ink::{Html, Written};
//! let name = String::from("<img onerror=alert()>");
//! Written::<Html>::new().ours(&name);
//! ```
//!
//! As theirs it does, and is harmless:
//!
//! ```
//! use cordwright::ink::{Html, Written};
//! let name = String::from("<img onerror=alert()>");
//! let mut page = Written::<Html>::new();
//! page.ours("<td>").theirs(&name).ours("</td>");
//! assert_eq!(page.as_str(), "<td>&lt;img onerror=alert()&gt;</td>");
//! ```

use std::fmt;
use std::marker::PhantomData;

mod complaint;
mod deck;
mod harm;
mod json;
mod line;
mod markdown;
mod markup;
mod output;
mod page;
mod painter;
mod plain;
mod prose;
mod rows;
mod sarif;
mod short;
mod uri;
mod wrap;
mod yaml;

pub use complaint::complaint;
pub use deck::{Deck, digits_of};
pub use json::Json;
pub use line::Line;
pub use markdown::Markdown;
pub use markup::{Html, Xml};
pub use output::Output;
pub use page::Page;
pub use painter::{ExcerptPainter, Excerpted};
pub use plain::Plain;
pub use prose::Prose;
pub use rows::{Csv, Rows};
pub use sarif::Sarif;
pub use short::{brief, message, short};
pub use uri::{encoded, is_encoded_well};
pub use wrap::{columns, columns_of, wrapped};
pub use yaml::Yaml;

/// The look of a place where people read, found out by the caller.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// Columns to wrap prose at.
    pub width: usize,
    /// Whether to colour.
    pub color: bool,
    /// Whether our own words and lines may use more than ASCII; source text is shown as it is.
    pub unicode: bool,
}

/// A kind of output, with its own way to write what came from outside.
pub trait Kind: escape::Escape {}

impl<K: escape::Escape> Kind for K {}

mod escape {
    /// How a kind writes a text that came from outside.
    pub trait Escape {
        /// Adds `text` to what is `written`, on one line.
        fn put(text: &str, written: &mut String);
    }
}

/// A text of one kind of output.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Written<K> {
    text: String,
    kind: PhantomData<K>,
}

impl<K> Written<K> {
    /// Nothing yet.
    pub fn new() -> Self {
        Self::made(String::new())
    }

    /// What this room has made of something else.
    fn made(text: String) -> Self {
        Self {
            text,
            kind: PhantomData,
        }
    }

    /// Adds words of our own, marks of the format among them: a literal.
    pub fn ours(&mut self, words: &'static str) -> &mut Self {
        self.text.push_str(words);
        self
    }

    /// Adds a whole number.
    pub fn number(&mut self, number: impl Number) -> &mut Self {
        self.text.push_str(&number.to_string());
        self
    }

    /// Adds a text of the same kind.
    pub fn push(&mut self, more: &Self) -> &mut Self {
        self.text.push_str(&more.text);
        self
    }

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// The text, given away: for the fields of a protocol.
    pub fn into_string(self) -> String {
        self.text
    }

    /// Whether nothing is written.
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// How many bytes are written.
    pub fn len(&self) -> usize {
        self.text.len()
    }
}

impl<K: Kind> Written<K> {
    /// What came from outside, and nothing else.
    pub fn of(text: &str) -> Self {
        let mut written = Self::new();
        written.theirs(text);
        written
    }

    /// Adds what came from outside, on one line and harmless; words of more than 200 characters are
    /// cut.
    pub fn theirs(&mut self, text: &str) -> &mut Self {
        K::put(&brief(text), &mut self.text);
        self
    }

    /// Adds what came from outside and is needed whole: an address, or what a program compares.
    pub fn whole(&mut self, text: &str) -> &mut Self {
        K::put(text, &mut self.text);
        self
    }
}

impl<K> Default for Written<K> {
    fn default() -> Self {
        Self::new()
    }
}

impl<K> AsRef<str> for Written<K> {
    fn as_ref(&self) -> &str {
        &self.text
    }
}

impl<K> fmt::Display for Written<K> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.text)
    }
}

/// Whole numbers, which no output takes for anything else.
pub trait Number: number::Number {}

impl<N: number::Number> Number for N {}

mod number {
    pub trait Number: std::fmt::Display {}
    impl Number for i32 {}
    impl Number for u32 {}
    impl Number for usize {}
}

#[cfg(test)]
mod tests;
