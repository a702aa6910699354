//! Cells of price lists: prices, each in one currency that somebody names, and several lengths or colours in
//! one cell.

use std::collections::BTreeSet;

use super::columns::Column;
use super::entries::asked;
use super::mapping::Mapping;
use super::remark::Remark;
use super::table::Cell;
use crate::ink::short;
use crate::quantity::Currency;
use crate::quantity::typed::{Unclear, bare_number, tidy};

/// Words of price lists for keys of an offer.
pub(super) const ALSO: [(&str, &str); 26] = [
    ("offer-number", "name"),
    ("offer-no", "name"),
    ("offer-no.", "name"),
    ("offer-name", "name"),
    ("vendor", "supplier"),
    ("unit-price", "price"),
    ("price-each", "price"),
    ("moq", "minimum"),
    ("minimum-order", "minimum"),
    ("minimum-quantity", "minimum"),
    ("pack", "multiple"),
    ("pack-size", "multiple"),
    ("lead-time", "lead"),
    ("delivery", "lead"),
    ("delivery-time", "lead"),
    ("valid-to", "valid-until"),
    ("expires", "valid-until"),
    ("part-number", "part"),
    ("part-no", "part"),
    ("part-no.", "part"),
    ("article", "part"),
    ("length", "lengths"),
    ("colour", "colours"),
    ("color", "colours"),
    ("colors", "colours"),
    ("measured-over", "length-over"),
];

/// What stands between lengths and between colours, beside what stands between any.
const LENGTHS_BETWEEN: &[char] = &['/', '|'];
const COLOURS_BETWEEN: &[char] = &[',', '|'];
/// What stands between the entries of a list as it is handed on.
pub(super) const BETWEEN: char = ';';

/// What a cell of a key says, where the key is one that price lists write in their own way.
pub(super) fn read(
    row: usize,
    (column, key): (&Column, &str),
    mapping: &Mapping,
    (cell, currency): (&Cell, Option<&str>),
) -> Option<Result<String, Box<Remark>>> {
    let doubt = |doubt: Doubt| Box::new(doubt.remark(row, &column.heading));
    match key {
        "price" => Some(price(column, mapping, cell, currency).map_err(doubt)),
        "lengths" => Some(lengths(column, mapping, cell).map_err(doubt)),
        "colours" => Some(Ok(colours(cell))),
        _ => None,
    }
}

/// Why a cell is not taken.
enum Doubt {
    Unclear(Cell, Unclear),
    Asked {
        what: String,
        advice: &'static str,
        cause: &'static str,
    },
}

impl Doubt {
    fn remark(self, row: usize, heading: &str) -> Remark {
        match self {
            Self::Unclear(cell, unclear) => asked(row, heading, &cell, &unclear),
            Self::Asked {
                what,
                advice,
                cause,
            } => Remark::of_row(row, what, advice)
                .in_column(heading)
                .caused_by(cause),
        }
    }
}

/// A price with its currency: the one that the cell, the heading or the column `currency` says, and where none of
/// them does, the one that is given for the key.
fn price(
    column: &Column,
    mapping: &Mapping,
    cell: &Cell,
    currency: Option<&str>,
) -> Result<String, Doubt> {
    let text = cell.text.trim();
    let (amount, sign) = without_sign(text);
    let (amount, own) = match (sign, bare_number(amount)) {
        (None, Some((number, unit))) if Currency::is_code(unit) => (number, Some(unit)),
        _ => (amount, sign.and_then(Sign::proved)),
    };
    let by_heading = column.in_brackets().and_then(self::currency);
    let said = [own, by_heading, currency].into_iter().flatten();
    let said: BTreeSet<&str> = said.collect();
    let said: Vec<&str> = said.into_iter().collect();
    let code = match said.as_slice() {
        [] => column.unit.as_deref(),
        [one] => Some(*one),
        several => return Err(two_currencies(text, several)),
    };
    if let (Some(sign), Some(code)) = (sign, code)
        && !sign.may_be(code)
    {
        return Err(two_currencies(text, &[sign.shown, code]));
    }
    if is_nothing(amount) {
        return Err(for_nothing(text));
    }
    match code {
        Some(code) if cell.is_number => Ok(format!("{amount} {code}")),
        Some(code) => tidy(amount, mapping.decimal, Some(code))
            .map_err(|unclear| Doubt::Unclear(cell.clone(), unclear)),
        None if bare_number(amount).is_some_and(|(_, unit)| unit.is_empty()) => {
            Err(no_currency(text))
        }
        // What is no price at all is told when it is read.
        None => Ok(text.to_owned()),
    }
}

/// The code of the currency that is in the brackets of a heading, if one is.
pub(super) fn currency(text: &str) -> Option<&str> {
    let by_sign = (text == "€").then_some("EUR");
    by_sign.or_else(|| Currency::is_code(text).then_some(text))
}

/// The sign of a currency, or of several.
struct Sign {
    shown: &'static str,
    /// Codes that it is written for (common practice; ISO 4217 has no signs). Alone it proves none but the only one.
    codes: &'static [&'static str],
}

const SIGNS: [Sign; 4] = [
    Sign {
        shown: "€",
        codes: &["EUR"],
    },
    Sign {
        shown: "$",
        codes: &["USD", "CAD", "AUD", "NZD", "SGD", "HKD", "TWD", "MXN"],
    },
    Sign {
        shown: "£",
        codes: &["GBP", "EGP"],
    },
    Sign {
        shown: "¥",
        codes: &["JPY", "CNY"],
    },
];

impl Sign {
    fn may_be(&self, code: &str) -> bool {
        self.codes.contains(&code)
    }

    /// The code, where only one currency has the sign.
    fn proved(&self) -> Option<&'static str> {
        match self.codes {
            [one] => Some(one),
            _ => None,
        }
    }
}

/// `€ 2.40` and `2.40 €` without the sign, and the sign.
fn without_sign(text: &str) -> (&str, Option<&'static Sign>) {
    let found = SIGNS.iter().find_map(|sign| {
        let behind = text.strip_prefix(sign.shown);
        let amount = behind.or_else(|| text.strip_suffix(sign.shown))?;
        Some((amount.trim(), Some(sign)))
    });
    found.unwrap_or((text, None))
}

/// Whether an amount is 0, however it is typed.
fn is_nothing(amount: &str) -> bool {
    let number = bare_number(amount).map_or("", |(number, _)| number);
    let mut digits = number.chars().filter(char::is_ascii_digit).peekable();
    digits.peek().is_some() && digits.all(|digit| digit == '0')
}

fn for_nothing(text: &str) -> Doubt {
    Doubt::Asked {
        what: format!(
            "`{}` would make it the cheapest of all, so it is not taken",
            short(text)
        ),
        advice: "Leave the cell empty where the price is not known.",
        cause: "for nothing",
    }
}

fn no_currency(text: &str) -> Doubt {
    let what = format!(
        "`{}` does not say for sure in which currency it is, so it is not taken",
        short(text)
    );
    Doubt::Asked {
        what,
        advice: "Say its code (ISO 4217): in the heading, `price (EUR)`, in a column `currency`, or for the whole list with `--unit price=EUR`.",
        cause: "no currency",
    }
}

fn two_currencies(text: &str, said: &[&str]) -> Doubt {
    let said: Vec<_> = said.iter().map(|code| short(code)).collect();
    let what = format!(
        "`{}` is in {} by what stands in its row and its heading, so it is not taken",
        short(text),
        said.join(" and in ")
    );
    Doubt::Asked {
        what,
        advice: "A price is in one currency: correct the cell, the heading or the column `currency`; a price in another is another offer.",
        cause: "two currencies",
    }
}

/// The lengths in a cell: `0.5 m; 1 m`.
fn lengths(column: &Column, mapping: &Mapping, cell: &Cell) -> Result<String, Doubt> {
    let unit = column.unit.as_deref();
    if cell.is_number {
        return tidy_length(&cell.text, mapping, unit, cell);
    }
    let parts: Vec<&str> = parts(&cell.text, LENGTHS_BETWEEN).collect();
    if let [only] = parts.as_slice()
        && mapping.decimal.is_none()
        && let Some(unclear) = two_lengths(only)
    {
        return Err(unclear);
    }
    let tidied = parts.into_iter();
    let tidied = tidied.map(|part| tidy_length(part, mapping, unit, cell));
    let tidied: Vec<String> = tidied.collect::<Result<_, _>>()?;
    Ok(tidied.join("; "))
}

fn tidy_length(
    text: &str,
    mapping: &Mapping,
    unit: Option<&str>,
    cell: &Cell,
) -> Result<String, Doubt> {
    tidy(text, mapping.decimal, unit).map_err(|unclear| Doubt::Unclear(cell.clone(), unclear))
}

/// `1,2` in a column of lengths: one with decimals, or two of them. `0,5` is one, for no cord is 0 long, and `1,5 m`
/// is, for whoever writes units writes one behind each.
fn two_lengths(text: &str) -> Option<Doubt> {
    let (one, other) = text.split_once(',')?;
    let are_digits =
        |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let is_unclear = are_digits(one) && are_digits(other) && !one.starts_with('0');
    is_unclear.then(|| Doubt::Asked {
        what: format!(
            "`{}` may be one length with decimals or two lengths, so it is not taken",
            short(text)
        ),
        advice: "Say `decimal: comma` in a mapping file if it is one, or write `;` between the two.",
        cause: "one length or two",
    })
}

/// The colours in a cell: `blue, red`.
fn colours(cell: &Cell) -> String {
    let colours: Vec<&str> = parts(&cell.text, COLOURS_BETWEEN).collect();
    colours.join("; ")
}

/// What may be two colours is taken as one: an offer without any would be one of every colour.
pub(super) fn doubt_of_colours(row: usize, column: &Column, cell: &Cell) -> Option<Remark> {
    let mut colours = parts(&cell.text, COLOURS_BETWEEN);
    let both = colours.find(|colour| colour.contains('/'))?;
    let what = format!(
        "`{}` may be one colour of two or two colours, and is taken as one",
        short(both)
    );
    let advice = "Write `;` between colours that are had for choice, and `and` in the name of one that has two.";
    let remark = Remark::of_row(row, what, advice).in_column(&column.heading);
    Some(remark.caused_by("one colour or two"))
}

/// The entries of a cell; a comma with a blank behind it parts them, too.
fn parts<'t>(text: &'t str, also: &'t [char]) -> impl Iterator<Item = &'t str> {
    let parts = text.split(|c: char| matches!(c, ';' | '\n') || also.contains(&c));
    let parts = parts.flat_map(|part| part.split(", "));
    parts.map(str::trim).filter(|part| !part.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_in_a_cell_are_parted_where_they_surely_are() {
        for (text, all) in [
            ("0.5 m; 1 m", &["0.5 m", "1 m"][..]),
            ("0,5 m, 1 m", &["0,5 m", "1 m"]),
            ("0.5 m/1 m\n2 m", &["0.5 m", "1 m", "2 m"]),
            ("1,5 m", &["1,5 m"]),
            (" ;; ", &[]),
        ] {
            let found: Vec<&str> = parts(text, &['/']).collect();
            assert_eq!(found, all, "{text}");
        }
    }

    #[test]
    fn one_length_or_two_is_asked() {
        for (text, is_asked) in [
            ("1,2", true),
            ("10,50", true),
            ("0,5", false),
            ("1,5 m", false),
            ("1.5", false),
            ("1,2,3", false),
            ("1,", false),
        ] {
            assert_eq!(two_lengths(text).is_some(), is_asked, "{text}");
        }
    }

    #[test]
    fn signs_are_no_codes() {
        let read = |text| {
            let (amount, sign) = without_sign(text);
            (amount, sign.map(|sign| (sign.shown, sign.proved())))
        };
        assert_eq!(read("2.40 €"), ("2.40", Some(("€", Some("EUR")))));
        assert_eq!(read("$2.40"), ("2.40", Some(("$", None))));
        assert_eq!(read("2.40 EUR"), ("2.40 EUR", None));
    }

    #[test]
    fn nothing_is_no_price() {
        for (amount, is_free) in [
            ("0", true),
            ("0,00", true),
            ("0.0 EUR", true),
            ("0.10", false),
            ("", false),
            ("-", false),
        ] {
            assert_eq!(is_nothing(amount), is_free, "{amount}");
        }
    }
}
