//! How the tool's own failures are shown.

use super::check::look;
use crate::failure::Failure;
use crate::host::{ColourWish, Terminal};
use crate::ink::{Plain, Written, complaint};

/// The failure as text for standard error.
pub(super) fn written(failure: &Failure, errors: &Terminal, wish: ColourWish) -> Written<Plain> {
    complaint(
        &failure.what,
        failure.advice.as_deref(),
        &look(errors, wish),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn failure() -> Failure {
        Failure::new("no site found at Løkka").advise("Name a folder that holds one.")
    }

    #[test]
    fn what_is_wrong_comes_before_what_to_do() {
        let text = written(&failure(), &Terminal::of_file(), ColourWish::Auto);
        let lines: Vec<&str> = text
            .as_str()
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
        let plain = Terminal {
            terminal: true,
            no_color: Some("1".to_owned()),
            ..Terminal::default()
        };
        let text = written(&failure(), &plain, ColourWish::Auto).into_string();
        assert!(text.is_ascii() && !text.contains('\u{1b}'), "{text:?}");
        assert!(text.contains("no site found at L?kka"), "{text:?}");
        let coloured = written(&failure(), &plain, ColourWish::Always).into_string();
        assert!(coloured.contains('\u{1b}'), "{coloured:?}");
    }
}
