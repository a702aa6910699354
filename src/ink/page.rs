//! Prose for a terminal, wrapped as it is written.

use super::plain::Plain;
use super::wrap::{columns, wrapped};
use super::{Look, Written};

/// A page of plain text in the making.
#[derive(Debug)]
pub struct Page<'a> {
    look: &'a Look,
    text: Written<Plain>,
}

impl<'a> Page<'a> {
    /// An empty page.
    pub fn new(look: &'a Look) -> Self {
        let text = Written::new();
        Self { look, text }
    }

    /// A paragraph at the margin.
    pub fn paragraph(&mut self, words: &str) {
        self.hung(&Written::new(), 0, words);
    }

    /// A paragraph that is so many columns further in.
    pub fn indented(&mut self, by: usize, words: &str) {
        self.item(by, by, words);
    }

    /// A paragraph whose first line stands so many columns further in, and the others so many.
    pub fn item(&mut self, first: usize, others: usize, words: &str) {
        let mut head = Written::new();
        head.blanks(first);
        self.hung(&head, others, words);
    }

    /// A paragraph beside a head.
    pub fn beside(&mut self, head: &Written<Plain>, words: &str) {
        self.hung(head, columns(head.as_str()), words);
    }

    fn hung(&mut self, head: &Written<Plain>, others: usize, words: &str) {
        let taken = others.max(columns(head.as_str()));
        for (number, line) in self.lines(words, taken).iter().enumerate() {
            match number {
                0 => self.text.push(head),
                _ => self.text.blanks(others),
            };
            self.text.push(line).ours("\n");
        }
    }

    /// Words in lines that leave so many columns free.
    pub fn lines(&self, words: &str, free: usize) -> Vec<Written<Plain>> {
        let width = self.look.width.saturating_sub(free);
        wrapped(&self.words(words), width)
    }

    /// Words as they can be read here.
    pub fn words(&self, words: &str) -> Written<Plain> {
        Written::of(words).spelt(self.look.unicode)
    }

    /// A line as it is, without blanks at its end.
    pub fn line(&mut self, line: &Written<Plain>) {
        self.text.push(&line.clone().trimmed()).ours("\n");
    }

    /// An empty line.
    pub fn blank(&mut self) {
        self.text.ours("\n");
    }

    /// What is written.
    pub fn end(self) -> Written<Plain> {
        self.text
    }
}
