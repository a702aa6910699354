//! Reads system markings and checks that their parts fit together.

use super::super::dimension::Dimension;
use super::super::misread::{Misread, place_of, quote, trimmed};
use super::super::number;
use super::super::trap;
use super::super::{Form, Frequency, Quantity, Voltage, form};
use super::{Arrangement, SystemMarking};

/// How far the ratio of two nominal voltages may lie from √3 or 2, for they are rounded (common practice).
const RATIO_TOLERANCE: f64 = 0.02;

/// The conductors of a marking.
#[derive(Clone, Copy)]
struct Conductors {
    lines: u8,
    neutral: bool,
    protective_earth: bool,
}

/// The voltages of a marking: one, or the higher and the lower of two.
#[derive(Clone, Copy)]
enum Voltages {
    One(Voltage),
    Two { high: Voltage, low: Voltage },
}

/// What stands after the conductors.
struct Supply<'t> {
    /// The voltages with their unit: `400/230 V`.
    voltages: &'t str,
    frequency: Option<Frequency>,
}

pub(super) fn read(text: &str) -> Result<SystemMarking, Misread> {
    if let Some(misread) = trap::look(text, SystemMarking::WHAT, SystemMarking::EXAMPLE) {
        return Err(misread);
    }
    refuse_direct_current(text)?;
    match text.split_once(['~', '∼']) {
        Some((conductors, supply)) => {
            let conductors = read_conductors(conductors, text)?;
            let supply = read_supply(supply, text)?;
            let voltages = read_voltages(supply.voltages, text)?;
            combine(conductors, voltages, supply.frequency, text)
        }
        None => read_american(text),
    }
}

/// Whether the conductors and the voltages of a marking belong together is asked on reading.
pub(super) fn form() -> Form {
    let unit = form::units(&[Dimension::Voltage]);
    let number = form::NUMBER;
    let one = form::with_unit(&[Dimension::Voltage]);
    let two = format!(r"{number}(?:\s*{unit})?\s*/\s*{one}");
    let conductors = r"[123]\s*(?:/?\s*[Nn])?\s*(?:/?\s*[Pp][Ee])?\s*[~∼]\s*";
    let frequency = format!(r"(?:[,\s]*{})?", form::with_unit(&[Dimension::Frequency]));
    let wye = format!(r"{number}\s*[Yy]\s*/\s*{one}");
    let either = format!("(?:{conductors}(?:{two}|{one})|{wye}|{two}){frequency}");
    Form {
        words: "Lines, /N with a neutral, /PE with a protective (equipment grounding) conductor, then the voltages in V \
                and the frequency in Hz."
            .to_owned(),
        pattern: form::whole(&either),
        examples: vec![
            "3/N/PE ~ 400/230 V 50 Hz",
            "1/N/PE ~ 230 V 50 Hz",
            "3/PE ~ 208 V 60 Hz",
            "208Y/120 V 60 Hz",
            "120/240 V 60 Hz",
        ],
    }
}

fn refuse_direct_current(text: &str) -> Result<(), Misread> {
    let direct = text.contains(['⎓', '=', '⏛']) || text.to_ascii_uppercase().contains("DC");
    if direct {
        return Err(Misread::of_all(
            text,
            format!("{} is a direct-current system", quote(text)),
            format!(
                "Only alternating current is checked; its markings look like {}.",
                SystemMarking::EXAMPLE
            ),
        ));
    }
    Ok(())
}

fn read_conductors(conductors: &str, text: &str) -> Result<Conductors, Misread> {
    let plain: String = conductors
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect::<String>()
        .to_ascii_uppercase();
    let lines = match plain.bytes().next() {
        Some(digit @ b'1'..=b'3') => digit - b'0',
        _ => return Err(unreadable_conductors(conductors, text)),
    };
    let (neutral, protective_earth) = match &plain[1..] {
        "" => (false, false),
        "/N" | "N" => (true, false),
        "/PE" | "PE" => (false, true),
        "/N/PE" | "N/PE" | "NPE" | "/NPE" => (true, true),
        "/PEN" | "PEN" => return Err(combined_conductor(conductors, lines, text)),
        _ => return Err(unreadable_conductors(conductors, text)),
    };
    Ok(Conductors {
        lines,
        neutral,
        protective_earth,
    })
}

fn unreadable_conductors(conductors: &str, text: &str) -> Misread {
    let (part, headline) = if conductors.trim().is_empty() {
        (
            trimmed(text),
            format!("{} does not say which conductors there are", quote(text)),
        )
    } else {
        let conductors = conductors.trim();
        (
            place_of(conductors, text),
            format!("{} is no set of conductors", quote(conductors)),
        )
    };
    let advice = "Before the ~ write the number of lines, /N for a neutral and /PE for a protective (equipment grounding) conductor, \
                  such as 3/N/PE or 1/N/PE.";
    Misread::new(part, headline, advice)
}

fn combined_conductor(conductors: &str, lines: u8, text: &str) -> Misread {
    Misread::new(
        place_of(conductors.trim(), text),
        "a combined PEN conductor cannot be judged here",
        format!(
            "Past the point where it is split, write {lines}/N/PE, and give its `earthing`, such as TN-C-S."
        ),
    )
}

/// Takes the frequency off the end.
fn read_supply<'t>(supply: &'t str, text: &str) -> Result<Supply<'t>, Misread> {
    let Some(volt) = supply.rfind(['V', 'v']) else {
        let headline = format!("{} has no voltage in V", quote(text));
        let advice = format!(
            "Write the voltage with its unit, such as {}.",
            SystemMarking::EXAMPLE
        );
        return Err(Misread::of_all(text, headline, advice));
    };
    let (voltages, rest) = supply.split_at(volt + 1);
    let frequency = match rest.trim_start_matches(|c: char| c == ',' || c.is_whitespace()) {
        "" => None,
        frequency => Some(read_part::<Frequency>(frequency, text)?),
    };
    Ok(Supply {
        voltages,
        frequency,
    })
}

/// Reads a part of `text` as a quantity of its own.
fn read_part<Q: Quantity>(part: &str, text: &str) -> Result<Q, Misread> {
    Q::read(part).map_err(|misread| misread.within(place_of(part, text).start))
}

fn read_voltages(written: &str, text: &str) -> Result<Voltages, Misread> {
    let Some((first, second)) = written.split_once('/') else {
        return read_part(written, text).map(Voltages::One);
    };
    let second_voltage: Voltage = read_part(second, text)?;
    let unit = number::split(second).map_or("", |split| split.unit);
    let first_voltage = match number::split(first) {
        Some(split) if split.unit.is_empty() => Voltage::read(&format!("{} {unit}", split.number)),
        _ => Voltage::read(first),
    }
    .map_err(|misread| {
        Misread::new(
            place_of(first.trim(), text),
            misread.headline,
            misread.advice,
        )
    })?;
    let first_is_high = first_voltage > second_voltage;
    let (high, low) = if first_is_high {
        (first_voltage, second_voltage)
    } else {
        (second_voltage, first_voltage)
    };
    Ok(Voltages::Two { high, low })
}

/// Markings that name no conductors: `208Y/120 V`, four wires; `120/240 V`, three (ANSI C84.1, from memory,
/// verify).
fn read_american(text: &str) -> Result<SystemMarking, Misread> {
    let Supply {
        voltages: written,
        frequency,
    } = read_supply(text, text)?;
    if let Some((line, neutral)) = written.split_once(['Y', 'y']) {
        let Some(neutral) = neutral.trim_start().strip_prefix('/') else {
            return Err(without_sign(text));
        };
        let low: Voltage = read_part(neutral, text)?;
        let unit = number::split(neutral).map_or("", |split| split.unit);
        let high = Voltage::read(&format!("{} {unit}", line.trim())).map_err(|misread| {
            Misread::new(
                place_of(line.trim(), text),
                misread.headline,
                misread.advice,
            )
        })?;
        let conductors = Conductors {
            lines: 3,
            neutral: true,
            protective_earth: false,
        };
        return combine(conductors, Voltages::Two { high, low }, frequency, text);
    }
    let numbers = |side: &str| number::split(side).is_some();
    match written.split_once('/') {
        Some((first, second)) if numbers(first) && numbers(second) => {}
        _ => return Err(without_sign(text)),
    }
    let voltages = read_voltages(written, text)?;
    let rises = written
        .split('/')
        .map(|side| number::split(side).and_then(|split| number::parse(split.number).ok()));
    let rises = rises.is_sorted();
    let Voltages::Two { high, low } = voltages else {
        return Err(without_sign(text));
    };
    // 240/120 V, the higher first, marks a delta with a tapped winding in the same standard.
    if !rises || !near(high, low, 2.0) {
        return Err(without_sign(text));
    }
    let conductors = Conductors {
        lines: 2,
        neutral: true,
        protective_earth: false,
    };
    combine(conductors, voltages, frequency, text)
}

fn without_sign(text: &str) -> Misread {
    Misread::of_all(
        text,
        format!("{} does not say which conductors there are", quote(text)),
        format!(
            "Write the lines, /N for a neutral, /PE for a protective (equipment grounding) conductor, the sign ~, then the voltages: {}.",
            SystemMarking::EXAMPLE
        ),
    )
}

/// Whether the ratio of two voltages is the one given.
fn near(high: Voltage, low: Voltage, ratio: f64) -> bool {
    ((high / low).value / ratio - 1.0).abs() <= RATIO_TOLERANCE
}

/// Puts the parts together where they fit.
fn combine(
    conductors: Conductors,
    voltages: Voltages,
    frequency: Option<Frequency>,
    text: &str,
) -> Result<SystemMarking, Misread> {
    let Conductors {
        lines,
        neutral,
        protective_earth,
    } = conductors;
    let contradiction = |headline: &str, advice: &str| Err(Misread::of_all(text, headline, advice));
    let wye = 3f64.sqrt();
    let (line_to_line, line_to_neutral, arrangement) = match (lines, neutral, voltages) {
        (1, true, Voltages::One(voltage)) => (None, Some(voltage), Arrangement::Single),
        (1, true, Voltages::Two { high, low }) => {
            let (high, low) = (high.show(), low.show());
            let advice = format!(
                "If two lines are brought, write 2/N/PE and leave the voltages as they are ({high} between the lines, {low} to the neutral); if one is, write its voltage to the neutral alone, such as 1/N/PE ~ {low} 50 Hz."
            );
            return contradiction(
                "one line has only one voltage to the neutral, but two are marked",
                &advice,
            );
        }
        (1, false, _) => {
            return contradiction(
                "one line without a neutral has nowhere to return its current",
                "Add /N for the neutral, or mark two lines.",
            );
        }
        (2, false, Voltages::One(voltage)) => (Some(voltage), None, Arrangement::Single),
        (_, false, Voltages::One(voltage)) => (Some(voltage), None, Arrangement::Delta),
        (_, true, Voltages::One(_)) => {
            return contradiction(
                "lines with a neutral have two voltages, but one is marked",
                "Write both, line to line first, such as 400/230 V; one of them may feed equipment that cannot bear the other.",
            );
        }
        (2, _, Voltages::Two { high, low }) if near(high, low, 2.0) => {
            (Some(high), Some(low), Arrangement::SplitPhase)
        }
        (2, _, Voltages::Two { high, low }) if near(high, low, wye) => {
            (Some(high), Some(low), Arrangement::TwoOfWye)
        }
        (_, _, Voltages::Two { high, low }) if lines == 3 && near(high, low, wye) => {
            (Some(high), Some(low), Arrangement::Wye)
        }
        (_, _, Voltages::Two { high, low }) => return Err(ill_matched(lines, high, low, text)),
    };
    Ok(SystemMarking {
        lines,
        neutral,
        protective_earth,
        line_to_line,
        line_to_neutral,
        frequency,
        arrangement,
    })
}

/// Two voltages whose ratio no system has.
fn ill_matched(lines: u8, high: Voltage, low: Voltage, text: &str) -> Misread {
    let headline = format!(
        "{} and {} do not belong to one system",
        high.show(),
        low.show()
    );
    let of_wye = (low * 3f64.sqrt()).show();
    let advice = if lines == 3 && near(high, low, 2.0) {
        "Three lines have √3 (1.73) times the line-to-neutral voltage between them. \
         A delta with a tapped winding has a high leg as well and cannot be judged here; \
         for its tapped half write 2/N/PE."
            .to_string()
    } else if lines == 3 {
        format!(
            "Three lines have √3 (1.73) times the line-to-neutral voltage between them: {of_wye} with {}.",
            low.show()
        )
    } else {
        format!(
            "Two lines have 2 times the line-to-neutral voltage between them ({} with {}), or √3 times where \
             they are two of three ({of_wye}).",
            (low * 2.0).show(),
            low.show()
        )
    };
    Misread::of_all(text, headline, advice)
}
