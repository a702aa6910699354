//! What the marking of a supply system says, written as the pages of the rules are.

use crate::quantity::{Arrangement, Quantity, SystemMarking};
use crate::tables::countries::{self, Country};

/// The page of the system that a text marks, in Markdown.
pub(super) fn page(text: &str) -> Option<String> {
    let system = SystemMarking::read(text).ok()?;
    let arrangement = match system.arrangement {
        Arrangement::Single => "One voltage only.",
        Arrangement::SplitPhase => {
            "Two lines in opposition about the neutral: between lines there is twice the voltage to neutral."
        }
        Arrangement::TwoOfWye => {
            "Two of the three lines of a wye: between them there is √3 times the voltage to neutral."
        }
        Arrangement::Wye => {
            "Three lines about a neutral point: between two of them there is √3 times the voltage to neutral."
        }
        Arrangement::Delta => {
            "Three lines marked with the voltage between them alone, whichever way the source is wound."
        }
    };
    let says = |is: bool, yes: &'static str, no: &'static str| if is { yes } else { no };
    let neutral = says(system.neutral, "a neutral", "no neutral");
    let earth = says(
        system.protective_earth,
        "a protective conductor",
        "no protective (equipment grounding) conductor marked",
    );
    let lines = match system.lines {
        1 => "1 line".to_owned(),
        lines => format!("{lines} lines"),
    };
    Some(format!(
        "# {}\n\nA supply system. {arrangement}\
         \n\n## Conductors\n\n{lines}, {neutral}, {earth}. Source: IEC 61293 (from memory, verify).\
         \n\n## Voltages\n\n{}\
         \n\n## Where it is met\n\n{}\
         \n\n## Caution\n\nAdvisory only. Measure before you connect; local code and a licensed electrician prevail.",
        system.show(),
        voltages(&system),
        met(&system),
    ))
}

fn voltages(system: &SystemMarking) -> String {
    let between = system
        .line_to_line
        .map(|volts| format!("{} between lines", volts.show()));
    let to_neutral = system
        .line_to_neutral
        .map(|volts| format!("{} to neutral", volts.show()));
    let frequency = match system.frequency {
        Some(frequency) => frequency.show(),
        None => "frequency not marked".to_owned(),
    };
    let all: Vec<String> = between
        .into_iter()
        .chain(to_neutral)
        .chain([frequency])
        .collect();
    format!("{}. Source: the marking itself.", all.join(", "))
}

/// Countries whose public supply has these voltages by their lists.
fn met(system: &SystemMarking) -> String {
    let is_met = |country: &Country| {
        let to_neutral = &country.voltages.value;
        let between = country.three_phase.as_ref().map(|volts| &volts.value);
        system
            .line_to_neutral
            .is_none_or(|volts| to_neutral.contains(&volts))
            && system
                .line_to_line
                .is_none_or(|volts| between.is_some_and(|all| all.contains(&volts)))
            && system
                .frequency
                .is_none_or(|hertz| country.frequencies.value.contains(&hertz))
    };
    let codes: Vec<&str> = countries::all()
        .filter(|country| is_met(country))
        .map(|country| country.code.as_str())
        .collect();
    match codes.is_empty() {
        true => "The tables have no country whose public supply has these voltages.".to_owned(),
        false => format!(
            "Public supply of {}, by the lists of countries; `cordwright cite {}` has their sources.",
            codes.join(", "),
            codes[0]
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_marking_is_told_in_words() {
        let page = page("3/N/PE ~ 400/230 V 50 Hz").unwrap();
        for words in [
            "# 3/N/PE ~ 400/230 V 50 Hz\n",
            "√3 times",
            "3 lines, a neutral, a protective conductor.",
            "400 V between lines, 230 V to neutral, 50 Hz.",
            "DE, ",
        ] {
            assert!(page.contains(words), "{words}: {page}");
        }
        assert!(super::page("120/240 V").unwrap().contains("in opposition"));
        for text in ["400 V", "C13", "coupler-mismatch", "GB"] {
            assert_eq!(super::page(text), None, "{text}");
        }
    }
}
