//! Calendar dates: when a departure ends, and the day a run counts as today.
//!
//! Reading the clock is the host's business; nothing here does.

use std::fmt;
use std::str::FromStr;

/// A day of the proleptic Gregorian calendar, written `YYYY-MM-DD` (ISO 8601), years 0 to 9999.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// The date, if the calendar has it.
    pub fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let exists = year <= 9999 && day >= 1 && day <= days_in(year, month);
        exists.then_some(Self { year, month, day })
    }

    /// Its year.
    pub fn year(self) -> u16 {
        self.year
    }

    /// The day that begins `days` days after 1970-01-01; held to the years 0 to 9999.
    pub fn from_days(days: i64) -> Self {
        let days = days.clamp(Self::FIRST.days(), Self::LAST.days());
        let (year, month, day) = civil(days);
        Self::new(year, month, day).unwrap_or(Self::LAST)
    }

    /// Days since 1970-01-01.
    pub fn days(self) -> i64 {
        let (month, day) = (i64::from(self.month), i64::from(self.day));
        // The year is taken to begin in March, so that the leap day is its last.
        let year = i64::from(self.year) - i64::from(month <= 2);
        let (era, of_era) = (year.div_euclid(400), year.rem_euclid(400));
        let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
        era * DAYS_OF_400_YEARS + of_era * 365 + of_era / 4 - of_era / 100 + of_year - MARCH_OF_0
    }

    /// Days from `self` to `later`; negative if `later` comes first.
    pub fn days_until(self, later: Self) -> i64 {
        later.days() - self.days()
    }

    const FIRST: Self = Self {
        year: 0,
        month: 1,
        day: 1,
    };
    const LAST: Self = Self {
        year: 9999,
        month: 12,
        day: 31,
    };
}

const DAYS_OF_400_YEARS: i64 = 146_097;
/// Days from 0000-03-01 to 1970-01-01.
const MARCH_OF_0: i64 = 719_468;

/// Year, month and day of a count of days since 1970-01-01: the inverse of [`Date::days`].
fn civil(days: i64) -> (u16, u8, u8) {
    let days = days + MARCH_OF_0;
    let (era, of_era) = (
        days.div_euclid(DAYS_OF_400_YEARS),
        days.rem_euclid(DAYS_OF_400_YEARS),
    );
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let march_month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * march_month + 2) / 5 + 1;
    let month = (march_month + 2) % 12 + 1;
    let year = year + era * 400 + i64::from(month <= 2);
    let small = |value: i64| u8::try_from(value).unwrap_or(0);
    (
        u16::try_from(year).unwrap_or(u16::MAX),
        small(month),
        small(day),
    )
}

fn days_in(year: u16, month: u8) -> u8 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => 0,
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// The text is not a date of the calendar written `YYYY-MM-DD`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotADate;

impl fmt::Display for NotADate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("not a date of the calendar; write it as year-month-day, such as 2027-03-31")
    }
}

impl std::error::Error for NotADate {}

impl FromStr for Date {
    type Err = NotADate;

    fn from_str(text: &str) -> Result<Self, NotADate> {
        let mut parts = text.split('-');
        let (year, month, day) = (
            digits(parts.next(), 4)?,
            digits(parts.next(), 2)?,
            digits(parts.next(), 2)?,
        );
        let small = |value| u8::try_from(value).map_err(|_| NotADate);
        match parts.next() {
            None => Self::new(year, small(month)?, small(day)?).ok_or(NotADate),
            Some(_) => Err(NotADate),
        }
    }
}

/// Exactly `count` decimal digits: no sign and no blank, which `parse` alone would let pass.
fn digits(part: Option<&str>, count: usize) -> Result<u16, NotADate> {
    part.filter(|text| text.len() == count && text.bytes().all(|b| b.is_ascii_digit()))
        .and_then(|text| text.parse().ok())
        .ok_or(NotADate)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> Date {
        text.parse().unwrap()
    }

    #[test]
    fn days_agree_with_published_counts() {
        // Unix time 1 000 000 000 fell on 2001-09-09 and 2 147 483 647 falls on 2038-01-19.
        assert_eq!(Date::from_days(1_000_000_000 / 86_400), date("2001-09-09"));
        assert_eq!(Date::from_days(2_147_483_647 / 86_400), date("2038-01-19"));
        // The modified Julian day counts from 1858-11-17, day −40 587.
        assert_eq!(Date::from_days(-40_587), date("1858-11-17"));
        assert_eq!(date("2000-02-28").days_until(date("2000-03-01")), 2);
        assert_eq!(date("1900-03-01").days_until(date("1900-02-28")), -1);
    }

    #[test]
    fn every_day_of_the_calendar_survives_the_round_trip() {
        let mut before = None;
        for days in Date::FIRST.days()..=Date::LAST.days() {
            let day = Date::from_days(days);
            assert_eq!(day.days(), days);
            assert!(before < Some(day), "{day}");
            before = Some(day);
        }
        assert_eq!(before, Some(Date::LAST));
        assert_eq!(Date::from_days(i64::MAX), Date::LAST);
        assert_eq!(Date::from_days(i64::MIN), Date::FIRST);
    }

    #[test]
    fn only_dates_of_the_calendar_are_read() {
        assert_eq!(date("2024-02-29").to_string(), "2024-02-29");
        assert_eq!(date("0099-01-01").to_string(), "0099-01-01");
        for wrong in [
            "",
            "2023-02-29",
            "1900-02-29",
            "2027-3-31",
            "2027-13-01",
            "2027-00-10",
            "2027-01-00",
            "2027-01-32",
            "+027-01-01",
            "2027-01-01-",
            " 2027-01-01",
            "20270101",
            "٢٠٢٧-01-01",
        ] {
            assert_eq!(wrong.parse::<Date>(), Err(NotADate), "{wrong}");
        }
    }
}
