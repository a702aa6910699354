//! Prose that is written in two kinds: with marks, and without for who takes plain text only.

use super::markdown::Markdown;
use super::plain::Plain;
use super::{Kind, Written, short};

/// A kind in which prose is written.
pub trait Prose: Kind + marks::Marks {}

impl<K: Kind + marks::Marks> Prose for K {}

mod marks {
    use super::Written;

    /// What stands around words that are set apart, and how lines keep their columns.
    pub trait Marks: Sized {
        const STRONG: &'static str;
        const STRESSED: &'static str;
        const CODE: &'static str;
        fn table(lines: &[String], written: &mut Written<Self>);
    }
}

impl marks::Marks for Markdown {
    const STRONG: &'static str = "**";
    const STRESSED: &'static str = "*";
    const CODE: &'static str = "`";

    fn table(lines: &[String], written: &mut Written<Self>) {
        written.fenced(lines);
    }
}

impl marks::Marks for Plain {
    const STRONG: &'static str = "";
    const STRESSED: &'static str = "";
    const CODE: &'static str = "\"";

    fn table(lines: &[String], written: &mut Written<Self>) {
        for (number, line) in lines.iter().enumerate() {
            if number > 0 {
                written.ours("\n");
            }
            written.theirs(line);
        }
    }
}

impl<K: Prose> Written<K> {
    /// Adds a kind of thing and its name, as a title: `**cord W-1**`.
    pub fn title(&mut self, kind: &'static str, name: &str) -> &mut Self {
        self.ours(K::STRONG).ours(kind).ours(" ");
        self.theirs(&short(name)).ours(K::STRONG)
    }

    /// Adds what must not be passed over.
    pub fn strong(&mut self, text: &str) -> &mut Self {
        self.ours(K::STRONG).theirs(text).ours(K::STRONG)
    }

    /// Adds words of our own that are told beside the matter.
    pub fn aside(&mut self, words: &'static str) -> &mut Self {
        self.ours(K::STRESSED).ours(words).ours(K::STRESSED)
    }

    /// Adds a command of ours, to be typed: two literals, one of them the name of a thing of ours.
    pub fn command(&mut self, words: &'static str, name: &'static str) -> &mut Self {
        self.ours(K::CODE).ours(words).ours(name).ours(K::CODE)
    }

    /// Adds lines that keep their columns.
    pub fn table(&mut self, lines: &[String]) -> &mut Self {
        K::table(lines, self);
        self
    }
}
