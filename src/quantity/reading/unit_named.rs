//! Finds the unit that stands after a number, and says which one may have been meant.

use super::super::dimension::Dimension;
use super::super::misread::{Misread, place_of, quote};
use super::super::number::Split;
use super::super::trap;
use super::super::unit::{FOREIGN, Unit};
use super::Wanted;
use crate::spelling::Spelt;

/// The unit of `split`, which was taken from `text`.
pub(super) fn find(
    text: &str,
    split: Split<'_>,
    wanted: &Wanted,
) -> Result<&'static Unit, Misread> {
    if let Some(unit) = wanted.units().find(|unit| unit.reads(split.unit)) {
        return Ok(unit);
    }
    // From the surest guess to none at all.
    let mut misread = other_word(split, wanted)
        .or_else(|| other_dimension(split, wanted, |a, b| a == b))
        .or_else(|| trailing(split, wanted))
        .or_else(|| wrong_case(split, wanted))
        .or_else(|| other_dimension(split, wanted, alike))
        .or_else(|| nearly(split, wanted))
        .unwrap_or_else(|| unknown(split, wanted));
    let place = place_of(split.unit, text);
    misread.part = misread.part.start + place.start..place.end;
    Err(misread)
}

/// Whether two spellings differ at most in their case.
fn alike(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}

/// A misread of the whole unit; places are counted from its first byte until [`find`] moves them.
fn about_unit(headline: String, advice: String) -> Misread {
    Misread::new(0..0, headline, advice)
}

/// `amps` for `A`.
fn other_word(split: Split<'_>, wanted: &Wanted) -> Option<Misread> {
    let word = split.unit.to_lowercase();
    let unit = wanted
        .units()
        .find(|unit| unit.words.contains(&word.as_str()))?;
    let shown = quote(split.unit);
    let misread = about_unit(
        format!("{shown} is not how this unit is written here"),
        format!("Write {} {}.", split.number, unit.sign),
    );
    Some(misread.with_replacement(wanted.corrected(split.number, unit)))
}

/// A unit that measures something else.
fn other_dimension(
    split: Split<'_>,
    wanted: &Wanted,
    same: impl Fn(&str, &str) -> bool,
) -> Option<Misread> {
    let others = Dimension::ALL
        .into_iter()
        .filter(|dimension| !wanted.dimensions.contains(dimension));
    let found = others
        .flat_map(|dimension| dimension.describe().units)
        .find(|unit| unit.spellings().any(|spelling| same(spelling, split.unit)));
    let (measured, hint) = match found {
        Some(unit) => (unit.dimension.describe().name, hint(unit.dimension, wanted)),
        None => (
            FOREIGN
                .iter()
                .find(|(spelling, _)| same(spelling, split.unit))?
                .1,
            None,
        ),
    };
    let mut advice = format!(
        "Give {} in {}, such as {}.",
        wanted.what,
        wanted.list_of_units(),
        wanted.example
    );
    if let Some(hint) = hint {
        advice = format!("{advice} {hint}");
    }
    let headline = format!(
        "{} measures {measured}, not {}",
        quote(split.unit),
        wanted.what
    );
    Some(about_unit(headline, advice))
}

/// What sets two dimensions apart that are often taken for each other.
fn hint(given: Dimension, wanted: &Wanted) -> Option<&'static str> {
    use Dimension::{Active, Apparent, Area, Current, Length};
    match (given, wanted.dimensions) {
        (Active, [Apparent]) | (Apparent, [Active]) => {
            Some("Watts are volt-amperes times the power factor: they agree only where it is 1.")
        }
        (Active | Apparent, [Current]) => {
            Some("A power becomes a current only together with its voltage.")
        }
        (Current, [Active | Apparent]) => {
            Some("A current becomes a power only together with its voltage.")
        }
        (Length, [Area]) => {
            Some("If it is a cross-section, the ² was lost; a diameter is something else.")
        }
        _ => None,
    }
}

/// A good unit with more after it: `10 A max`, `10 A / 16 A`, `100–240 V` where one voltage is wanted.
fn trailing(split: Split<'_>, wanted: &Wanted) -> Option<Misread> {
    let ends = |c: char| c.is_whitespace() || "-–—−/(,;+±.…×*".contains(c);
    let head = split.unit.split(ends).next().unwrap_or_default();
    let known = wanted.units().any(|unit| unit.reads(head));
    if !known && !head.is_empty() && head != "to" {
        return None;
    }
    let rest = if known {
        &split.unit[head.len()..]
    } else {
        split.unit
    };
    let extra = rest.trim_start();
    let is_range = ["-", "–", "—", "−", "to", "..", "…"].iter().any(|mark| {
        let after = extra
            .strip_prefix(mark)
            .map(|after| after.trim_start_matches(['.', ' ']));
        after.is_some_and(|after| after.starts_with(|c: char| c.is_ascii_digit()))
    });
    if !known && !is_range {
        return None;
    }
    let mut misread = if is_range {
        about_unit(
            format!(
                "a range stands where one {} is wanted",
                trap::noun(wanted.what)
            ),
            format!(
                "Write one number with its unit, such as {}.",
                wanted.example
            ),
        )
    } else {
        about_unit(
            format!("{} after the unit cannot be read", quote(extra)),
            format!(
                "Only a number and its unit belong here, such as {}; put remarks in a comment.",
                wanted.example
            ),
        )
    };
    misread.part.start = split.unit.len() - extra.len();
    Some(misread)
}

/// `a` for `A`; `MA` is asked about only, for M makes it a thousand million times larger than m.
fn wrong_case(split: Split<'_>, wanted: &Wanted) -> Option<Misread> {
    let unit = wanted
        .units()
        .find(|unit| unit.spellings().any(|spelling| alike(spelling, split.unit)))?;
    let (given, right) = (split.unit.chars().next()?, unit.sign.chars().next()?);
    let mega_or_milli =
        matches!((given, right), ('M', 'm') | ('m', 'M')) && split.unit.chars().count() > 1;
    let headline = format!(
        "{} is no unit: did you mean {}?",
        quote(split.unit),
        unit.sign
    );
    if mega_or_milli {
        let advice = format!(
            "M stands for a million and m for a thousandth. Write {} {} only if that is meant.",
            split.number, unit.sign
        );
        return Some(about_unit(headline, advice));
    }
    let advice = format!(
        "Capital and small letters are different units. Write {} {}.",
        split.number, unit.sign
    );
    Some(about_unit(headline, advice).with_replacement(wanted.corrected(split.number, unit)))
}

/// A slip of one letter.
fn nearly(split: Split<'_>, wanted: &Wanted) -> Option<Misread> {
    const LONGEST: usize = 24;
    let given = split.unit.to_lowercase();
    let length = given.chars().count();
    if !(2..=LONGEST).contains(&length) {
        return None;
    }
    let given = Spelt::new(&given);
    let distance = |unit: &Unit| {
        let spellings = unit.spellings().chain(unit.words.iter().copied());
        let long = spellings.filter(|spelling| spelling.chars().count() > 1);
        let distances = long.map(|spelling| given.slips_to(&spelling.to_lowercase(), 1));
        distances.flatten().min()
    };
    // The first of several, which is the commonest.
    let unit = wanted.units().find(|unit| distance(unit) == Some(1))?;
    Some(about_unit(
        format!(
            "{} is no unit: did you mean {}?",
            quote(split.unit),
            unit.sign
        ),
        format!(
            "Give {} in {}, such as {}.",
            wanted.what,
            wanted.list_of_units(),
            wanted.example
        ),
    ))
}

fn unknown(split: Split<'_>, wanted: &Wanted) -> Misread {
    about_unit(
        format!("{} is no unit of {}", quote(split.unit), wanted.what),
        format!(
            "Give {} in {}, such as {}.",
            wanted.what,
            wanted.list_of_units(),
            wanted.example
        ),
    )
}
