//! A complaint of the tool itself, laid out by a library.

use std::fmt;

use miette::{Diagnostic, GraphicalReportHandler, GraphicalTheme, ThemeCharacters, ThemeStyles};
use textwrap::{WordSeparator, WordSplitter};

use super::plain::Plain;
use super::wrap::without_command;
use super::{Look, Written};

/// What went wrong and what to do, as text for a terminal.
pub fn complaint(what: &str, advice: Option<&str>, look: &Look) -> Written<Plain> {
    let spelt = |text: &str| Written::lines_of(text).spelt(look.unicode);
    let complaint = Complaint {
        what: spelt(what),
        advice: advice.map(spelt),
    };
    let theme = GraphicalTheme {
        characters: match look.unicode {
            true => ThemeCharacters::unicode(),
            false => ThemeCharacters::ascii(),
        },
        styles: match look.color {
            true => ThemeStyles::ansi(),
            false => ThemeStyles::none(),
        },
    };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_width(look.width)
        .with_break_words(false)
        // A word that is broken at its hyphen is another word for whoever types it.
        .with_word_splitter(WordSplitter::NoHyphenation)
        .with_word_separator(WordSeparator::AsciiSpace)
        .with_links(false);
    let mut text = String::new();
    if handler.render_report(&mut text, &complaint).is_err() {
        text = format!("{complaint}\n");
    }
    let text = match look.unicode {
        true => text,
        false => text.replace(|c: char| !c.is_ascii(), "?"),
    };
    let lines = text.split_inclusive('\n').map(str::to_owned);
    Written::made(lines.map(without_command).collect())
}

/// A failure made harmless.
#[derive(Debug)]
struct Complaint {
    what: Written<Plain>,
    advice: Option<Written<Plain>>,
}

impl fmt::Display for Complaint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.what.fmt(f)
    }
}

impl std::error::Error for Complaint {}

impl Diagnostic for Complaint {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        let advice = self.advice.as_ref()?;
        Some(Box::new(advice))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_is_broken_at_its_hyphen() {
        let look = Look {
            width: 40,
            color: false,
            unicode: true,
        };
        let advice = "Possible are cords, cord-types, goods-in, transfer-switches and more.";
        let text = complaint("x", Some(advice), &look);
        let words: Vec<&str> = text.as_str().split_whitespace().collect();
        for word in ["cord-types,", "goods-in,", "transfer-switches"] {
            assert!(words.contains(&word), "{word} in {}", text.as_str());
        }
    }
}
