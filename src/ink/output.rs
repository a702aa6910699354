//! What may leave the program.

use super::Written;

/// Bytes to be written out: a [`Written`] text, or what a machine reads.
///
/// A raw text is none:
///
/// ```compile_fail
/// use cordwright::host::to_standard_output;
/// let name = String::from("\u{1b}]0;gone\u{7}");
/// to_standard_output(&name.into());
/// ```
///
/// ```
/// use cordwright::host::to_standard_output;
/// use cordwright::ink::{Plain, Written};
/// let name = String::from("\u{1b}]0;gone\u{7}");
/// to_standard_output(&Written::<Plain>::of(&name).into()).unwrap();
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Output(Vec<u8>);

impl Output {
    /// Bytes of a format that a program reads and that was made by its own writer out of nothing but our
    /// own words: shell completions, the manual page.
    pub fn of_our_words_for_programs(bytes: Vec<u8>) -> Self {
        Self(bytes)
    }

    /// This, and then more.
    pub fn then(mut self, more: impl Into<Self>) -> Self {
        self.0.extend(more.into().0);
        self
    }

    /// The bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }
}

impl<K> From<Written<K>> for Output {
    fn from(written: Written<K>) -> Self {
        Self(written.into_string().into_bytes())
    }
}
