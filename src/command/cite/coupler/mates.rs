//! What a coupler goes with, what it does not go with, and why.

use std::collections::BTreeMap;

use crate::quantity::Quantity;
use crate::tables::couplers::{Coupler, Side};
use crate::tables::mating::{EarthMade, Mate, Polarity, mates};
use crate::tables::words::Words;

/// Names that are listed for one reason.
const MOST_NAMED: usize = 8;

/// The answers for one half of a coupler and each of `others`, as a list; empty where the name stands for the other
/// half. What goes with it comes first, then what is not decided, then what does not, of its own family only.
pub(super) fn of<'a>(
    coupler: &Coupler,
    side: Side,
    others: impl Iterator<Item = &'a Coupler>,
    words: &Words,
) -> String {
    if !coupler.role.may_be(side) {
        return String::new();
    }
    let other = match side {
        Side::Contacts => Side::Pins,
        Side::Pins => Side::Contacts,
    };
    // By how sure they are, and by their words.
    let mut answers: BTreeMap<(u8, String), Vec<&str>> = BTreeMap::new();
    for mate in others.filter(|mate| mate.role.may_be(other)) {
        let answer = match side {
            Side::Contacts => mates(coupler, mate),
            Side::Pins => mates(mate, coupler),
        };
        let is_told = mate.family == coupler.family || answer.fits();
        if is_told {
            answers
                .entry(told(&answer, words))
                .or_default()
                .push(&mate.name);
        }
    }
    let lines = answers
        .into_iter()
        .map(|((_, words), names)| format!("- {}: {words}", few(&names)));
    lines.collect::<Vec<_>>().join("\n")
}

fn told(answer: &Mate, words: &Words) -> (u8, String) {
    let earth = words.earth;
    let source = format!("Source: {}.", answer.citation());
    match answer {
        Mate::Fits {
            earth: made,
            polarity,
            pair_temperature,
            remark,
            ..
        } => {
            let earth = match made {
                EarthMade::Yes => format!("{earth} made"),
                EarthMade::No => format!("no {earth}"),
                EarthMade::Undecided => format!("{earth} not known"),
            };
            let polarity = match polarity {
                Polarity::Kept => "one way round",
                Polarity::NotAssured => "line and neutral may be swapped",
                Polarity::Reversed => "line and neutral swapped",
            };
            let heat = pair_temperature.map(|heat| format!(", pins up to {}", heat.show()));
            let remarked = remark.map(|remark| format!("; {}", remark.said_in(words)));
            let more = [heat, remarked].into_iter().flatten().collect::<String>();
            let rank = match made {
                EarthMade::Yes if remark.is_none() => 0,
                EarthMade::Yes => 1,
                _ => 2,
            };
            (rank, format!("goes; {earth}, {polarity}{more}. {source}"))
        }
        Mate::Unknown { why, .. } => (
            3,
            format!(
                "not decided, counts as no: {}. {source}",
                why.said_in(words)
            ),
        ),
        Mate::DoesNotFit { why, .. } => {
            (4, format!("does not go: {}. {source}", why.said_in(words)))
        }
    }
}

/// The first names, and how many more there are.
fn few(names: &[&str]) -> String {
    let more = names.len().saturating_sub(MOST_NAMED);
    let listed = names[..names.len() - more].join(", ");
    match more {
        0 => listed,
        more => format!("{listed} and {more} more"),
    }
}
