//! Reads one number with its unit.

use super::dimension::{Dimension, Plausible};
use super::form::capital;
use super::misread::{Misread, place_of, quote, trimmed};
use super::number::{self, NumberFault, Split};
use super::show::{significant, with_unit};
use super::trap;
use super::unit::Unit;
use crate::spelling::either;

mod unit_named;

/// What may stand in one place.
#[derive(Clone, Copy)]
pub(super) struct Wanted {
    /// With its article: `a current`.
    pub what: &'static str,
    /// `10 A`
    pub example: &'static str,
    /// The dimensions whose units are read.
    pub dimensions: &'static [Dimension],
    /// What else may stand there after a whole number and is read elsewhere: `AWG`.
    pub besides: Option<&'static str>,
}

impl Wanted {
    /// The units that are read, in the order in which they are offered.
    pub fn units(&self) -> impl Iterator<Item = &'static Unit> {
        self.dimensions
            .iter()
            .flat_map(|dimension| dimension.describe().units)
    }

    /// `A, mA or kA`
    fn list_of_units(&self) -> String {
        let mut signs: Vec<String> = self.units().map(|unit| unit.sign.to_string()).collect();
        signs.extend(self.besides.map(str::to_string));
        either(&signs)
    }

    /// The corrected text, if it really reads.
    fn corrected(&self, number: &str, unit: &Unit) -> Option<String> {
        let text = format!("{number} {}", unit.sign);
        read(&text, self).is_ok().then_some(text)
    }

    /// The units with which the number would be believed, at most one of each kind where kinds compete.
    fn believable(&self, number: f64) -> Vec<&'static Unit> {
        let fits = |unit: &&Unit| check(unit.to_si(number), unit.dimension).is_ok();
        if self.dimensions.len() > 1 {
            let of_each = self.dimensions.iter();
            return of_each
                .filter_map(|dimension| dimension.describe().units.iter().find(fits))
                .collect();
        }
        self.units().filter(fits).take(3).collect()
    }
}

/// A value in SI units, and what it measures.
pub(super) type Reading = (f64, Dimension);

/// Reads the whole of `text`.
pub(super) fn read(text: &str, wanted: &Wanted) -> Result<Reading, Misread> {
    if let Some(reading) = plainly(text, wanted) {
        return Ok(reading);
    }
    if trap::may_hide(text)
        && let Some(misread) = trap::look(text, wanted.what, wanted.example)
    {
        return Err(misread);
    }
    let Some(split) = number::split(text) else {
        return Err(without_number(text, wanted));
    };
    let number = match number::parse(split.number) {
        Ok(number) => number,
        Err(fault) => return Err(faulty_number(text, split, fault, wanted)),
    };
    if split.unit.is_empty() {
        return Err(bare_number(text, split.number, number, wanted));
    }
    let unit = unit_named::find(text, split, wanted)?;
    if let Some(whole) = maybe_thousands(split.number, unit) {
        let fault = NumberFault::Ambiguous(number::as_decimals(split.number), whole);
        return Err(faulty_number(text, split, fault, wanted));
    }
    let value = unit.to_si(number);
    check(value, unit.dimension)
        .map_err(|doubt| implausible(text, split, (number, unit), doubt, wanted))?;
    Ok((value, unit.dimension))
}

/// The quick way for nearly every quantity: plain digits, a blank and a unit.
fn plainly(text: &str, wanted: &Wanted) -> Option<Reading> {
    let (number, unit) = number::plain(text)?;
    let unit = wanted.units().find(|known| known.reads(unit))?;
    let value = unit.to_si(number);
    check(value, unit.dimension).ok()?;
    let written = text.split(' ').next()?;
    let is_clear = maybe_thousands(written, unit).is_none();
    is_clear.then_some((value, unit.dimension))
}

/// The whole number that was meant by `1.500`, for whoever groups digits by points: one and a half watts
/// are nobody's load to three places, and fifteen hundred are.
fn maybe_thousands(number: &str, unit: &Unit) -> Option<String> {
    let whole = Some(number).filter(|_| unit.is_counted_whole);
    let whole = number::grouped_by_point(whole?)?;
    let value = unit.to_si(whole.parse().ok()?);
    check(value, unit.dimension).is_ok().then_some(whole)
}

/// Why a value is not believed.
enum Doubt {
    Negative,
    Zero(&'static str),
    OutOfBounds(Plausible),
}

/// Whether a value can be meant.
fn check(value: f64, dimension: Dimension) -> Result<(), Doubt> {
    let bounds = dimension.describe().plausible;
    // A hair's breadth for values that were rounded on the way into SI units.
    let slack = 1e-9;
    if dimension != Dimension::Temperature {
        if value < 0.0 {
            return Err(Doubt::Negative);
        }
        if value == 0.0 {
            return bounds
                .zero_refused
                .map_or(Ok(()), |why| Err(Doubt::Zero(why)));
        }
    }
    if value < bounds.low * (1.0 - slack) || value > bounds.high * (1.0 + slack) {
        return Err(Doubt::OutOfBounds(bounds));
    }
    Ok(())
}

fn without_number(text: &str, wanted: &Wanted) -> Misread {
    let bare = text.trim();
    let headline = format!("{} is no {}", quote(bare), trap::noun(wanted.what));
    let advice = format!(
        "Write one number with its unit, such as {}.",
        wanted.example
    );
    let about = ["~", "≈", "<", ">", "≤", "≥", "ca", "about", "max", "min"];
    if about
        .iter()
        .any(|word| bare.to_lowercase().starts_with(word))
    {
        let more = "An estimate or a limit cannot be reckoned with; give the value to plan for.";
        return Misread::of_all(text, headline, format!("{advice} {more}"));
    }
    let turned = wanted.units().find_map(|unit| {
        let spelling = unit
            .spellings()
            .find(|spelling| bare.starts_with(spelling))?;
        let rest = number::split(&bare[spelling.len()..]).filter(|rest| rest.unit.is_empty())?;
        wanted.corrected(rest.number, unit)
    });
    if turned.is_some() {
        let headline = format!("{} has its unit before the number", quote(bare));
        return Misread::of_all(text, headline, advice).with_replacement(turned);
    }
    Misread::of_all(text, headline, advice)
}

fn faulty_number(text: &str, split: Split<'_>, fault: NumberFault, wanted: &Wanted) -> Misread {
    let shown = quote(split.number);
    let part = place_of(split.number, text);
    let unit = wanted.units().find(|unit| unit.reads(split.unit));
    let corrected = |number: &str| unit.and_then(|unit| wanted.corrected(number, unit));
    let tidy = format!(
        "Write the digits without marks between them, with a point before the decimals, such as {}.",
        wanted.example
    );
    match fault {
        NumberFault::Malformed => Misread::new(part, format!("{shown} is not one number"), tidy),
        NumberFault::TooLarge => Misread::new(
            part,
            format!("{shown} is too large for any {}", trap::noun(wanted.what)),
            format!("Write {} such as {}.", wanted.what, wanted.example),
        ),
        NumberFault::DecimalComma(right) => Misread::new(
            part,
            format!("{shown} has a comma before its decimals"),
            format!("Write a point: {right}."),
        )
        .with_replacement(corrected(&right)),
        NumberFault::Thousands(right) => Misread::new(
            part,
            format!("{shown} has marks between its thousands"),
            format!("Write the digits together: {right}."),
        )
        .with_replacement(corrected(&right)),
        NumberFault::Ambiguous(decimal, whole) => Misread::new(
            part,
            format!("{shown} can be read in two ways"),
            format!(
                "Is it {decimal} or {whole}? Write a point before decimals and no mark between thousands."
            ),
        ),
    }
}

fn bare_number(text: &str, written: &str, number: f64, wanted: &Wanted) -> Misread {
    let choices = with_units(written, number, wanted);
    let mut advice = if choices.is_empty() {
        format!(
            "Write the number with its unit ({}).",
            wanted.list_of_units()
        )
    } else {
        format!(
            "Is it meant as {}? Write the unit after the number.",
            either(&choices)
        )
    };
    let reshaped = trap::reshaped(written);
    if let Some(reshaped) = &reshaped {
        advice = format!("{advice} {reshaped}");
    }
    // Where only one unit is read there is nothing to guess.
    let safe = reshaped.is_none() && choices.len() == 1 && wanted.units().count() == 1;
    let replacement = choices
        .into_iter()
        .next()
        .filter(|right| safe && read(right, wanted).is_ok());
    Misread::new(
        trimmed(text),
        format!("{} is {} without its unit", quote(written), wanted.what),
        advice,
    )
    .with_replacement(replacement)
}

/// What a number without a unit may have been meant as.
fn with_units(written: &str, number: f64, wanted: &Wanted) -> Vec<String> {
    let digits_only = written.bytes().all(|b| b.is_ascii_digit()) && number != 0.0;
    let plain = if digits_only {
        written.trim_start_matches('0')
    } else {
        written
    };
    let believable = wanted.believable(number);
    let mut choices: Vec<String> = believable
        .iter()
        .map(|unit| format!("{plain} {}", unit.sign))
        .collect();
    if wanted.dimensions == [Dimension::Ratio] && number > 0.0 && number <= 2.0 {
        choices.push(format!("{} %", significant(number * 100.0, 4, true)));
    }
    if digits_only {
        choices.extend(wanted.besides.map(|unit| format!("{plain} {unit}")));
    }
    choices
}

fn implausible(
    text: &str,
    split: Split<'_>,
    (number, unit): (f64, &Unit),
    doubt: Doubt,
    wanted: &Wanted,
) -> Misread {
    let shown = format!("{} {}", split.number, unit.sign);
    let description = unit.dimension.describe();
    let noun = trap::noun(description.name);
    match doubt {
        Doubt::Negative => Misread::new(
            place_of(split.number, text),
            format!("{shown} is below zero, which no {noun} can be"),
            "Write it without the minus sign, if the number is right.",
        ),
        Doubt::Zero(why) => Misread::new(
            place_of(split.number, text),
            format!("{shown} is zero where it cannot be"),
            format!("{}. Give the true value, or leave it out.", capital(why)),
        ),
        Doubt::OutOfBounds(bounds) => {
            let others: Vec<String> = wanted
                .believable(number)
                .iter()
                .map(|other| format!("{} {}", split.number, other.sign))
                .collect();
            let ask = if others.is_empty() {
                "Check the number and its unit.".to_string()
            } else {
                format!("Check the unit: is {} meant?", either(&others))
            };
            let low = with_unit(unit.dimension, bounds.low, |n| significant(n, 4, true));
            let high = with_unit(unit.dimension, bounds.high, |n| significant(n, 4, true));
            Misread::of_all(
                text,
                format!("{shown} is not a believable {noun}"),
                format!(
                    "{ask} Values from {low} to {high} are taken here: {}.",
                    bounds.why
                ),
            )
        }
    }
}
