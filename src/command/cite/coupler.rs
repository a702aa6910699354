//! What the tables have of a coupler, written as the pages of the rules are.

use std::fmt::Write as _;

use crate::citation::{Citation, Cited};
use crate::quantity::{InUnits, Quantity};
use crate::tables::Practice;
use crate::tables::couplers::{self, Coupler, Earth, Family, Neutral, Role, Side};
use crate::tables::words::Words;

mod mates;

/// The page of the coupler of the tables that a text names, in Markdown.
pub(super) fn page(text: &str) -> Option<String> {
    couplers::find(text).map(|coupler| page_of(coupler, text, &[]))
}

/// The page of a coupler, as it is written; `own` are those of the site's own.
pub(super) fn page_of<'a>(coupler: &Coupler, text: &str, own: &[&'a Coupler]) -> String {
    let (mut page, words) = (head(coupler, text), words_of(coupler));
    let listed = |listed: &'static Coupler| -> &'a Coupler { listed };
    let others = || couplers::all().map(listed).chain(own.iter().copied());
    let mut section = |title: &str, body: String| {
        if !body.is_empty() {
            // Writing to a string cannot fail.
            let _ = write!(page, "\n\n## {title}\n\n{body}");
        }
    };
    section("As it is written", written(text, coupler));
    section("Face", face(coupler, words));
    section("Rated current", currents(coupler));
    section("Rated voltage", voltage(coupler));
    section("Frequency", frequency(coupler));
    section("Heat at the pins", pins(coupler));
    section("Also written", spellings(coupler));
    section("Takes", mates::of(coupler, Side::Contacts, others(), words));
    section("Enters", mates::of(coupler, Side::Pins, others(), words));
    section(
        "Caution",
        "Advisory only. Look at the marks on the part in hand; local code and a licensed electrician prevail.".to_owned(),
    );
    page
}

/// The words of those who use it.
fn words_of(coupler: &Coupler) -> &'static Words {
    Words::of((coupler.family == Family::Nema).then_some(Practice::Nec))
}

fn source(citation: &Citation) -> String {
    format!("Source: {citation}.")
}

fn cited<Q: Quantity>(figure: &Cited<Q>) -> String {
    format!("{}. {}", figure.value.show(), source(&figure.citation))
}

fn head(coupler: &Coupler, text: &str) -> String {
    let family = match coupler.family {
        Family::Iec60320 => "An appliance coupler of IEC 60320",
        Family::Nema if coupler.name.starts_with("NEMA ") => "A configuration of ANSI/NEMA WD 6",
        Family::Nema => "Of the 50 A locking family of North America, which NEMA never took up",
        Family::Iec60309 => "A pin-and-sleeve coupler of IEC 60309",
        Family::National => "A plug and socket of one country or region",
        Family::Own => "A coupler that a site describes itself",
    };
    let half = match coupler.role {
        Role::Contacts => {
            "The name stands for the half with contacts: outlet, receptacle or connector."
        }
        Role::Pins => "The name stands for the half with pins: plug or inlet.",
        Role::Either => "Both halves go by this name.",
    };
    let mut page = format!("# {coupler}\n\n{family}. {half}");
    if coupler.withdrawn {
        page.push_str(" Withdrawn from the standard.");
    }
    let of_half = couplers::side_written(text).filter(|_| coupler.role == Role::Either);
    match of_half {
        Some(Side::Pins) => page.push_str(" As it is written here, it is the plug or inlet."),
        Some(Side::Contacts) => {
            page.push_str(" As it is written here, it is the receptacle or connector.");
        }
        None => {}
    }
    page
}

/// Marks that are read and change nothing.
fn written(text: &str, coupler: &Coupler) -> String {
    let variants = couplers::variants_written(text);
    let each = variants.iter().map(|variant| {
        let means = &variant.means;
        format!(
            "{}, {}: {}. Rating and mating are those of {coupler}. {}",
            variant.mark,
            variant.name,
            means.value,
            source(&means.citation)
        )
    });
    each.collect::<Vec<_>>().join("\n\n")
}

fn face(coupler: &Coupler, words: &Words) -> String {
    let lines = match coupler.poles.lines {
        1 => "1 line".to_owned(),
        lines => format!("{lines} lines"),
    };
    let neutral = match coupler.poles.neutral {
        Neutral::None => "no neutral",
        Neutral::Own => "neutral",
        Neutral::ByWiring => "a second pole for neutral or another line, as the supply has it",
    };
    let Words {
        earth,
        an_earth,
        protective_conductor,
        ..
    } = words;
    let earthed = match coupler.earth {
        Earth::None => {
            format!("no {earth} contact: class I equipment on it has no {protective_conductor}")
        }
        Earth::Contact => format!("{earth} contact"),
        Earth::NotNamed => {
            format!("with or without {an_earth} contact, which the name does not say")
        }
    };
    let way = match coupler.polarised {
        Some(true) => "It goes in one way round only.",
        Some(false) => "It goes in either way round.",
        None => "Whether it goes in one way round only is not known of it alone.",
    };
    let mut text = format!("{lines}, {neutral}, {earthed}. {way}");
    if coupler.locking {
        text.push_str(" It turns to lock.");
    }
    if coupler.fused {
        text.push_str(" The plug carries a fuse of its own.");
    }
    if let Some(hour) = coupler.pin_and_sleeve().map(|key| key.hour) {
        text.push_str(&match hour {
            Some(hour) => format!(" Earth contact at {hour} h, the keyway at 6 h."),
            None => " Which hour its earth contact stands at is not said, and so not which voltage it is for: write it behind the name.".to_owned(),
        });
    }
    if !coupler.accepts.is_empty() {
        text.push_str(&format!(
            " It takes {}; what counts is the plug in it.",
            coupler.accepts.join(" and ")
        ));
    }
    format!("{text} {}", source(&coupler.citation))
}

fn currents(coupler: &Coupler) -> String {
    let of = |practice| {
        let rated = coupler.rated(practice);
        let mut text = match &rated.current {
            Some(figure) => cited(figure),
            None => "The tables have no figure, which is not zero: it cannot be judged.".to_owned(),
        };
        if let Some(marked) = &rated.only_where_marked {
            let _ = write!(
                text,
                " Up to {} only where the part itself is marked so. {}",
                marked.value.show(),
                source(&marked.citation)
            );
        }
        if let Some(plug) = coupler.plug_alone(practice) {
            let _ = write!(text, " Its plug bears {}", cited(plug));
        }
        text
    };
    let (iec, nec) = (of(Practice::Iec), of(Practice::Nec));
    match iec == nec {
        true => iec,
        false => format!("IEC practice: {iec}\n\nNEC practice: {nec}"),
    }
}

fn voltage(coupler: &Coupler) -> String {
    let Some(figure) = &coupler.voltage else {
        return "The tables have none: what keys it is not written, or says no voltage.".to_owned();
    };
    let rated = figure.value;
    let volts = rated.highest.show();
    let mut text = match rated.lowest.filter(|lowest| *lowest < rated.highest) {
        Some(lowest) => format!("{} to {volts} between poles", lowest.in_volts()),
        None => format!("Up to {volts} between poles"),
    };
    if let Some(to_neutral) = rated.to_neutral {
        let _ = write!(text, ", {} to neutral", to_neutral.show());
    }
    format!("{text}. {}", source(&figure.citation))
}

fn frequency(coupler: &Coupler) -> String {
    let figure = coupler.frequencies.as_ref();
    figure.map_or_else(String::new, |figure| {
        let above = figure.value.above;
        let above = above.map_or_else(String::new, |volts| format!(", above {}", volts.show()));
        let hertz = figure.value.show();
        format!("{hertz}{above}. {}", source(&figure.citation))
    })
}

fn pins(coupler: &Coupler) -> String {
    let pins = coupler.pin_temperature.as_ref();
    pins.map_or_else(String::new, |pins| {
        format!("The pins of the inlet may reach {}", cited(pins))
    })
}

fn spellings(coupler: &Coupler) -> String {
    let mut all: Vec<String> = coupler
        .aliases()
        .iter()
        .map(|alias| format!("`{alias}`"))
        .collect();
    all.extend(
        couplers::trade_codes(coupler)
            .iter()
            .map(|code| format!("`{code}`")),
    );
    match all.is_empty() {
        true => String::new(),
        false => format!(
            "{}. Letter case, blanks and kinds of dash do not matter.",
            all.join(", ")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn says(text: &str, words: &[&str]) {
        let page = page(text).unwrap_or_else(|| panic!("{text}"));
        for word in words {
            assert!(page.contains(word), "{text}: {word}\n{page}");
        }
    }

    #[test]
    fn figures_stand_with_their_source() {
        says(
            "C13",
            &[
                "# C13\n",
                "half with contacts",
                "IEC practice: 10 A. Source: IEC 60320-1",
                "NEC practice: 10 A. Source: UL 60320-1",
                "Up to 15 A only where the part itself is marked so. Source: UL 60320-1",
                "The pins of the inlet may reach 70 °C. Source: IEC 60320-1",
                "`sheet F`",
                "## Takes",
                "C14",
                "does not go: ",
            ],
        );
        says(
            "NEMA L6-30P",
            &[
                "# NEMA L6-30\n",
                "it is the plug or inlet",
                "30 A. Source: ANSI/NEMA WD 6",
                "It turns to lock.",
            ],
        );
        says(
            "IG5-20R",
            &[
                "# NEMA 5-20\n",
                "IG, isolated ground: orange triangle",
                "NFPA 70 (NEC) 406.3(D)",
            ],
        );
        says(
            "332P6W",
            &[
                "# IEC 60309 32 A 2P+E 6h\n",
                "200 to 250 V",
                "`332P6W`",
                "`332C6W`",
                "50 Hz and 60 Hz. Source: IEC 60309-2 Table 104, edition not established (from memory",
            ],
        );
        says(
            "IEC 60309 16 A 3P+N+E 2h",
            &["more than 300 Hz up to 500 Hz, above 50 V. Source: IEC 60309-2"],
        );
        says(
            "CEE 32A 5p",
            &["Which hour its earth contact stands at is not said"],
        );
        says(
            "C11",
            &["Withdrawn", "NEC practice: The tables have no figure"],
        );
        says("C13/C19", &["It takes C14 and C20"]);
        says(
            "NEMA L1-15",
            &["(from memory, verify)", "no ground contact: class I"],
        );
    }

    #[test]
    fn every_coupler_has_a_page_of_its_own() {
        for coupler in couplers::all() {
            let page = page(&coupler.name).unwrap();
            assert!(page.matches("Source: ").count() >= 2, "{page}");
            assert!(page.len() < 12_000, "{}: {}", coupler, page.len());
            assert!(page.ends_with("prevail."), "{page}");
        }
        assert_eq!(page("C31"), None);
    }
}
