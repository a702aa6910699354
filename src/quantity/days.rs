//! Times that are counted in days, like the lead of a delivery.

use super::Quantity;
use super::form::{Form, whole};
use super::misread::{Misread, quote};

/// Whole days of the calendar; a week has seven.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Days(pub u32);

/// Longer than anybody waits for a cord.
const MOST: u32 = 1_000;

impl Quantity for Days {
    const WHAT: &'static str = "a count of days";
    const EXAMPLE: &'static str = "5 days";

    fn read(text: &str) -> Result<Self, Misread> {
        let bare = text.trim();
        let digits = bare.len() - bare.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let each = match bare[digits..].trim() {
            "day" | "days" | "d" => Some(1),
            "week" | "weeks" => Some(7),
            _ => None,
        };
        let count: Option<u32> = bare[..digits].parse().ok();
        let days = count
            .zip(each)
            .and_then(|(count, each)| count.checked_mul(each));
        days.filter(|days| *days <= MOST).map(Self).ok_or_else(|| {
            let headline = format!("{} is no count of days", quote(bare));
            Misread::of_all(
                text,
                headline,
                "Write whole days or weeks, like 5 days or 2 weeks.",
            )
        })
    }

    fn form() -> Form {
        Form {
            words: "Whole days or weeks.".to_owned(),
            pattern: whole(r"[0-9]{1,4}\s*(?:days?|d|weeks?)"),
            examples: vec![Self::EXAMPLE, "2 weeks"],
        }
    }

    fn show(&self) -> String {
        match self.0 {
            1 => "1 day".to_owned(),
            days => format!("{days} days"),
        }
    }

    fn is_zero(&self) -> bool {
        self.0 == 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weeks_are_days() {
        assert_eq!(Days::read("2 weeks"), Ok(Days(14)));
        assert_eq!(Days::read("1 day").unwrap().show(), "1 day");
        assert_eq!(Days::read("10d").unwrap().show(), "10 days");
        for text in [
            "",
            "5",
            "days",
            "1.5 weeks",
            "-5 days",
            "5 months",
            "99999999999 days",
            "900 weeks",
        ] {
            assert!(Days::read(text).is_err(), "{text}");
        }
    }
}
