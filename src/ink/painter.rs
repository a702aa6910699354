//! The colours of a report on a terminal, and the excerpts that a library draws out of texts that are
//! harmless already.

use std::io;
use std::ops::Range;

use codespan_reporting::diagnostic::{Diagnostic, Label, LabelStyle, Severity};
use codespan_reporting::files::{Error, Files};
use codespan_reporting::term::termcolor::{Buffer, Color, ColorSpec, WriteColor};
use codespan_reporting::term::{Chars, Config, Styles, StylesWriter, emit_to_write_style};

use super::plain::Plain;
use super::{Look, Written};

/// What a report is drawn with.
#[derive(Debug)]
pub struct ExcerptPainter<'a> {
    look: &'a Look,
    styles: Styles,
    config: Config,
}

/// A mark in an excerpt, and the note beside it.
#[derive(Debug)]
pub struct Excerpted {
    /// The excerpt, as the files know it.
    pub excerpt: usize,
    /// The bytes of its text.
    pub range: Range<usize>,
    /// What is to be seen there.
    pub note: Written<Plain>,
    /// Whether it is the main one.
    pub is_main: bool,
}

impl<'a> ExcerptPainter<'a> {
    /// A painter for this look.
    pub fn new(look: &'a Look) -> Self {
        let chars = match look.unicode {
            true => Chars::box_drawing(),
            false => Chars {
                snippet_start: "+-".into(),
                ..Chars::ascii()
            },
        };
        // The library has no word for a point that is not decided; its fifth severity lends its place.
        let open = ColorSpec::new().set_fg(Some(Color::Magenta)).clone();
        let styles = Styles {
            header_help: open.clone().set_bold(true).set_intense(true).clone(),
            primary_label_help: open,
            ..Styles::default()
        };
        Self {
            look,
            styles,
            config: Config {
                chars,
                ..Config::default()
            },
        }
    }

    /// The level's word and a headline beside it, in the colours of its weight.
    pub fn headline(
        &self,
        weight: Severity,
        word: &Written<Plain>,
        headline: &Written<Plain>,
    ) -> Written<Plain> {
        let parts = [
            (self.styles.header(weight), word),
            (&self.styles.header_message, headline),
        ];
        self.coloured(&parts)
    }

    /// A heading in the margin.
    pub fn margin(&self, heading: &Written<Plain>) -> Written<Plain> {
        self.coloured(&[(&self.styles.note_bullet, heading)])
    }

    /// Parts in their colours, the last of which ends with them.
    fn coloured(&self, parts: &[(&ColorSpec, &Written<Plain>)]) -> Written<Plain> {
        let mut ink = self.ink();
        // Writing into memory cannot fail.
        for (colour, words) in parts {
            let _ = ink.set_color(colour);
            let _ = io::Write::write_all(&mut ink, words.as_str().as_bytes());
        }
        let _ = ink.reset();
        dry(ink)
    }

    /// The excerpts with their marks, ending in a line feed; no line ends in blanks.
    ///
    /// # Errors
    /// A mark that is in none of the excerpts.
    pub fn excerpts<'f, F>(
        &self,
        weight: Severity,
        files: &'f F,
        marks: Vec<Excerpted>,
    ) -> Result<Written<Plain>, Error>
    where
        F: Files<'f, FileId = usize, Name = &'f Written<Plain>, Source = &'f Written<Plain>>,
    {
        let labels = marks.into_iter().map(|mark| {
            let style = match mark.is_main {
                true => LabelStyle::Primary,
                false => LabelStyle::Secondary,
            };
            Label::new(style, mark.excerpt, mark.range).with_message(mark.note)
        });
        let drawing = Diagnostic::new(weight).with_labels(labels.collect());
        let mut ink = self.ink();
        let mut styled = StylesWriter::new(&mut ink, &self.styles);
        emit_to_write_style(&mut styled, &self.config, files, &drawing)?;
        // The library's own header cannot wrap and is dropped: the first line.
        let drawn = dry(ink);
        let below = drawn
            .as_str()
            .split_once('\n')
            .map_or("", |(_, below)| below);
        let lines = below.trim_end().lines();
        let lines = lines.map(|line| line.trim_end_matches(' ').to_owned() + "\n");
        Ok(Written::made(lines.collect()))
    }

    fn ink(&self) -> Buffer {
        match self.look.color {
            true => Buffer::ansi(),
            false => Buffer::no_color(),
        }
    }
}

/// What was written out of texts that are harmless, and colours.
fn dry(ink: Buffer) -> Written<Plain> {
    Written::made(String::from_utf8_lossy(ink.as_slice()).into_owned())
}
