//! Prices: an amount with the code of its currency. No sum is made of floating point numbers.

use std::fmt;

use super::Quantity;
use super::form::{Form, whole};
use super::misread::{Misread, quote};

/// An amount of money in one currency, to a ten-thousandth of its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Money {
    ten_thousandths: i64,
    currency: Currency,
}

/// The code of a currency: three letters (ISO 4217).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

const UNIT: i64 = 10_000;
/// Digits before the point of the dearest cord that is believed, and behind it.
const DIGITS: (usize, usize) = (7, 4);

impl Money {
    /// Its currency.
    pub fn currency(self) -> Currency {
        self.currency
    }

    /// So many at this price; `None` where that is more than anyone pays.
    pub fn times(self, count: usize) -> Option<Self> {
        let count = i64::try_from(count).ok()?;
        let ten_thousandths = self.ten_thousandths.checked_mul(count)?;
        Some(Self {
            ten_thousandths,
            ..self
        })
    }

    /// The sum; `None` across currencies.
    pub fn plus(self, other: Self) -> Option<Self> {
        let sum = self.ten_thousandths.checked_add(other.ten_thousandths)?;
        (self.currency == other.currency).then_some(Self {
            ten_thousandths: sum,
            ..self
        })
    }

    /// Whether it is less; `None` across currencies, which nothing here can hold against each other.
    pub fn is_less(self, other: Self) -> Option<bool> {
        let is_less = self.ten_thousandths < other.ten_thousandths;
        (self.currency == other.currency).then_some(is_less)
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(std::str::from_utf8(&self.0).unwrap_or_default())
    }
}

impl Currency {
    /// Whether a text is the code of one, as far as its form says.
    pub(crate) fn is_code(text: &str) -> bool {
        Self::read(text).is_some()
    }

    fn read(text: &str) -> Option<Self> {
        let letters: [u8; 3] = text.as_bytes().try_into().ok()?;
        letters
            .iter()
            .all(u8::is_ascii_uppercase)
            .then_some(Self(letters))
    }
}

/// The amount in ten-thousandths: digits, and at most four behind a point.
fn amount(text: &str) -> Option<i64> {
    let (units, parts) = text.split_once('.').unwrap_or((text, "0"));
    let are_digits = |text: &str, most| {
        (1..=most).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit())
    };
    if !are_digits(units, DIGITS.0) || !are_digits(parts, DIGITS.1) {
        return None;
    }
    let parts: i64 = format!("{parts:0<4}").parse().ok()?;
    Some(units.parse::<i64>().ok()? * UNIT + parts)
}

impl Quantity for Money {
    const WHAT: &'static str = "a price";
    const EXAMPLE: &'static str = "2.40 EUR";

    fn read(text: &str) -> Result<Self, Misread> {
        let bare = text.trim();
        let is_of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' ' | '\'');
        let number = bare.trim_end_matches(|c: char| !is_of_number(c)).trim();
        let behind = bare[number.len()..].trim();
        if let (Some(ten_thousandths), Some(currency)) = (amount(number), Currency::read(behind)) {
            return Ok(Self {
                ten_thousandths,
                currency,
            });
        }
        Err(misread(text, bare, number, behind))
    }

    fn form() -> Form {
        Form {
            words: "A price with the code of its currency (ISO 4217).".to_owned(),
            pattern: whole(r"[0-9]{1,7}(?:\.[0-9]{1,4})?\s*[A-Z]{3}"),
            examples: vec![Self::EXAMPLE, "1.95 USD"],
        }
    }

    fn show(&self) -> String {
        let (units, parts) = (self.ten_thousandths / UNIT, self.ten_thousandths % UNIT);
        let parts = format!("{parts:04}");
        let cents = parts.trim_end_matches('0');
        format!("{units}.{cents:0<2} {}", self.currency)
    }

    fn is_zero(&self) -> bool {
        self.ten_thousandths == 0
    }
}

/// What is wrong with a price.
fn misread(text: &str, bare: &str, number: &str, behind: &str) -> Misread {
    let small = behind.to_ascii_uppercase();
    let is_in_front = |c: char| !c.is_ascii_digit() && !matches!(c, '-' | '.' | ',');
    let has_digits = bare.contains(|c: char| c.is_ascii_digit());
    let (says, advice) = if has_digits && bare.starts_with(is_in_front) {
        (
            "has its currency in front",
            "Write the amount first, then the code, like 2.40 EUR.",
        )
    } else if number.contains(',') {
        (
            "has a comma, which some read as a point and others as thousands",
            "Write the amount with a point and no other marks, like 2.40 EUR or 1200.00 EUR.",
        )
    } else if behind.is_empty() {
        (
            "names no currency",
            "Write its code (ISO 4217) behind the amount, like 2.40 EUR.",
        )
    } else if Currency::read(&small).is_none() {
        (
            "does not name its currency by its code",
            "Write the three letters of ISO 4217 behind the amount, like 2.40 EUR; several currencies share one sign.",
        )
    } else {
        (
            "is no price",
            "Write an amount and the code of its currency, like 2.40 EUR.",
        )
    };
    let right = amount(number).and(Currency::read(&small));
    let right = right.map(|code| format!("{number} {code}"));
    Misread::of_all(text, format!("{} {says}", quote(bare)), advice).with_replacement(right)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_are_read_and_shown() {
        for (text, shown) in [
            ("2.40 EUR", "2.40 EUR"),
            ("2.4EUR", "2.40 EUR"),
            ("1200 USD", "1200.00 USD"),
            ("0.0125 JPY", "0.0125 JPY"),
        ] {
            assert_eq!(Money::read(text).unwrap().show(), shown);
        }
    }

    #[test]
    fn what_is_no_price_says_why() {
        for (text, says, right) in [
            ("2.40", "names no currency", None),
            ("2,40 EUR", "has a comma", None),
            ("1,200 EUR", "has a comma", None),
            ("2.40 €", "by its code", None),
            ("$2.40", "in front", None),
            ("2.40 eur", "is no price", Some("2.40 EUR")),
            ("2.40 EURO", "by its code", None),
            ("-2.40 EUR", "is no price", None),
            ("99999999 EUR", "is no price", None),
            ("", "names no currency", None),
            ("EUR", "is no price", None),
        ] {
            let misread = Money::read(text).unwrap_err();
            assert!(
                misread.headline.contains(says),
                "{text}: {}",
                misread.headline
            );
            assert_eq!(misread.replacement.as_deref(), right, "{text}");
        }
    }

    #[test]
    fn sums_are_exact_and_of_one_currency() {
        let read = |text| Money::read(text).unwrap();
        let tenth = read("0.10 EUR");
        assert_eq!(tenth.times(3), Some(read("0.30 EUR")));
        assert_eq!(tenth.plus(read("0.20 EUR")), Some(read("0.30 EUR")));
        assert_eq!(tenth.plus(read("0.20 USD")), None);
        assert_eq!(tenth.is_less(read("0.20 EUR")), Some(true));
        assert_eq!(tenth.is_less(read("0.20 USD")), None);
        assert_eq!(read("9999999 EUR").times(usize::MAX), None);
    }
}
