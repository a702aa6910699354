//! Netlists for circuit simulators.

use super::Written;
use super::escape::Escape;
use super::harm::one_line;
use super::plain::{put_without_commands, spelling};

/// A deck in the syntax that circuit simulators share. It is ASCII; what came from outside is words of a
/// comment there, whatever marks it holds: a letter beyond ASCII is written by its number, and no text
/// ends its line or begins one.
///
/// ```compile_fail
/// use cordwright::ink::{Deck, Written};
/// let name = String::from("W-1\n.control");
/// Written::<Deck>::new().ours(&name);
/// ```
///
/// ```
/// use cordwright::ink::{Deck, Written};
/// let name = String::from("W-1\n.control");
/// let mut deck = Written::<Deck>::new();
/// deck.comment(&name);
/// assert_eq!(deck.as_str(), "* W-1 .control\n");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Deck;

impl Escape for Deck {
    fn put(text: &str, written: &mut String) {
        let mut plain = String::with_capacity(text.len());
        put_without_commands(&one_line(text), &mut plain);
        for c in plain.chars() {
            match spelling(c) {
                _ if c.is_ascii() => written.push(c),
                Some(spelt) => written.push_str(spelt),
                None => written.push_str(&format!("<U+{:04X}>", u32::from(c))),
            }
        }
    }
}

impl Written<Deck> {
    /// Adds a comment line. Its text never stands beside the mark, where some simulators look for commands.
    pub fn comment(&mut self, text: &str) -> &mut Self {
        self.ours("* ").theirs(text).ours("\n")
    }

    /// Adds a number with so many significant digits.
    pub fn value(&mut self, number: f64, digits: usize) -> &mut Self {
        self.text.push_str(&digits_of(number, digits));
        self
    }
}

/// A number with so many significant digits, as every simulator reads it: without zeros that say nothing,
/// and with an exponent where the point would be far away.
pub fn digits_of(number: f64, digits: usize) -> String {
    if number == 0.0 {
        return "0".to_owned();
    }
    let after_first = digits.saturating_sub(1);
    let shown = format!("{number:.after_first$e}");
    let (mantissa, exponent) = shown.split_once('e').unwrap_or((&shown, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let bare = |text: &str| match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text.to_owned(),
    };
    let decimals = after_first as i32 - exponent;
    match exponent {
        -4..=5 if decimals >= 0 => bare(&format!("{number:.*}", decimals as usize)),
        _ => format!("{}e{exponent}", bare(mantissa)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_their_digits_and_lose_empty_zeros() {
        for (number, digits, shown) in [
            (0.0, 7, "0"),
            (-0.0, 7, "0"),
            (207.0, 12, "207"),
            (2.003_123_456_78, 7, "2.003123"),
            (-0.024_6, 12, "-0.0246"),
            (1_234_567.8, 7, "1.234568e6"),
            (999_999.96, 7, "1e6"),
            (123_456.78, 7, "123456.8"),
            (4.2e-7, 7, "4.2e-7"),
        ] {
            assert_eq!(digits_of(number, digits), shown);
        }
    }

    #[test]
    fn a_hostile_text_is_words_on_its_own_line() {
        let comment = |text: &str| {
            let mut deck = Written::<Deck>::new();
            deck.comment(text);
            deck.into_string()
        };
        for (text, shown) in [
            ("a\n.end\r\n+ b", "* a .end + b\n"),
            ("#echo", "* #echo\n"),
            ("::error::x ##[y]", "* ?:error::x #?[y]\n"),
            ("\u{96fb}\u{e9}", "* <U+96FB><U+00E9>\n"),
            ("1.0 mm² ≤ 5 Ω", "* 1.0 mm2 <= 5 ohm\n"),
            ("\u{1b}[2J", "* ?[2J\n"),
        ] {
            assert_eq!(comment(text), shown);
        }
    }
}
