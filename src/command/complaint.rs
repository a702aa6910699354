//! How the tool's own failures are shown.

use miette::{GraphicalReportHandler, GraphicalTheme, ThemeCharacters, ThemeStyles};

use crate::failure::Failure;
use crate::host::{ColourWish, Surroundings};

/// The failure as text for standard error.
pub(super) fn written(failure: &Failure, errors: &Surroundings, wish: ColourWish) -> String {
    let unicode = errors.unicode();
    let theme = GraphicalTheme {
        characters: match unicode {
            true => ThemeCharacters::unicode(),
            false => ThemeCharacters::ascii(),
        },
        styles: match errors.colour(wish) {
            true => ThemeStyles::ansi(),
            false => ThemeStyles::none(),
        },
    };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_width(errors.width())
        .with_break_words(false)
        .with_links(false);
    let mut text = String::new();
    if handler.render_report(&mut text, failure).is_err() {
        text = format!("{failure}\n");
    }
    match unicode {
        true => text,
        false => text.replace(|c: char| !c.is_ascii(), "?"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn failure() -> Failure {
        Failure::new("no site found at Løkka").advise("Name a folder that holds one.")
    }

    #[test]
    fn what_is_wrong_comes_before_what_to_do() {
        let text = written(&failure(), &Surroundings::of_file(), ColourWish::Auto);
        let lines: Vec<&str> = text
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty())
            .collect();
        assert_eq!(
            lines,
            [
                "× no site found at Løkka",
                "help: Name a folder that holds one."
            ]
        );
    }

    #[test]
    fn a_plain_terminal_gets_plain_text() {
        let plain = Surroundings {
            terminal: true,
            no_color: Some("1".to_owned()),
            ..Surroundings::default()
        };
        let text = written(&failure(), &plain, ColourWish::Auto);
        assert!(text.is_ascii() && !text.contains('\u{1b}'), "{text:?}");
        assert!(text.contains("no site found at L?kka"), "{text:?}");
        let coloured = written(&failure(), &plain, ColourWish::Always);
        assert!(coloured.contains('\u{1b}'), "{coloured:?}");
    }
}
