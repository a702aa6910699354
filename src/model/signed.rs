//! The number at which something was agreed to: `signed-at` of a departure, `95A/80A` of a snag.

use crate::quantity::{Amount, Quantity};

use super::decode::record;
use super::value::Field;

record! {
    /// What a finding measured when it was agreed to, and the limit at that time.
    SignedAt: "signed number";
    /// What was measured or worked out.
    "value" (required) => value: Field<Amount>,
    /// The limit that it lay beyond.
    "limit" (required) => limit: Field<Amount>,
}

impl SignedAt {
    /// Both numbers; `None` where one of them is not known.
    pub fn both(&self) -> Option<Signed> {
        Some(Signed {
            value: *self.value.known()?,
            limit: *self.limit.known()?,
        })
    }
}

/// A value and the limit that it lay beyond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Signed {
    /// What was measured or worked out.
    pub value: Amount,
    /// The limit of that time.
    pub limit: Amount,
}

impl Signed {
    /// `95A/80A`: without blanks, so that it is one word of a line.
    pub fn word(&self) -> String {
        format!("{}/{}", self.value.show(), self.limit.show()).replace(' ', "")
    }

    /// Reads what [`Signed::word`] writes.
    pub fn of_word(word: &str) -> Option<Self> {
        let (value, limit) = word.split_once('/')?;
        Some(Self {
            value: amount(value)?,
            limit: amount(limit)?,
        })
    }

    /// As it is written in the definitions: `{value: 95 A, limit: 80 A}`.
    pub fn mapping(&self) -> String {
        format!(
            "{{value: {}, limit: {}}}",
            self.value.show(),
            self.limit.show()
        )
    }

    /// `95 A against 80 A`.
    pub fn show(&self) -> String {
        format!("{} against {}", self.value.show(), self.limit.show())
    }
}

fn amount(word: &str) -> Option<Amount> {
    let unit = word.find(|c: char| !c.is_ascii_digit() && c != '.' && c != '-')?;
    let (number, unit) = word.split_at(unit);
    Amount::read(&format!("{number} {unit}")).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_signed_number_is_read_back_from_its_word() {
        for (value, limit) in [
            ("95 A", "80 A"),
            ("207.4 V", "218.5 V"),
            ("4.2 %", "3 %"),
            ("0.75 mm²", "1 mm²"),
            ("1.234 kA²s", "900 A²s"),
            ("-5 °C", "0 °C"),
        ] {
            let [value, limit] = [value, limit].map(|text| Amount::read(text).unwrap());
            let signed = Signed { value, limit };
            let again = Signed::of_word(&signed.word()).unwrap();
            assert!(again.value.is_like(value) && again.limit.is_like(limit));
            assert!((again.value.number() - value.number()).abs() < 1e-6);
            assert!((again.limit.number() - limit.number()).abs() < 1e-6);
        }
    }

    #[test]
    fn what_is_no_pair_of_amounts_is_none() {
        for word in [
            "",
            "/",
            "95A",
            "95A/",
            "95/80A",
            "A/A",
            "95A/80A/70A",
            "95 A/80 A x",
        ] {
            assert_eq!(Signed::of_word(word), None, "{word}");
        }
    }
}
