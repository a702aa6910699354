//! What the tables have of a country, written as the pages of the rules are.

use std::fmt::Write as _;

use crate::citation::{Citation, Cited, Confidence};
use crate::quantity::Quantity;
use crate::tables::approvals::Leads;
use crate::tables::breaker_ahead;
use crate::tables::countries::Country;
use crate::tables::marks::{self, Mark, StandsFor};

/// The page of a country, in Markdown.
pub(super) fn page(country: &Country) -> String {
    let mut page = head(country);
    let mut section = |title: &str, body: &str| {
        // Writing to a string cannot fail.
        let _ = write!(page, "\n\n## {title}\n\n{body}");
    };
    section("From line to neutral", &cited(&country.voltages));
    let three_phase = country.three_phase.as_ref();
    section(
        "Between lines",
        &three_phase.map_or_else(|| "The tables have no figure.".to_owned(), cited),
    );
    if !country.also_met.is_empty() {
        let also_met: Vec<String> = country.also_met.iter().map(cited).collect();
        section(
            "Also met between lines, beside the public supply",
            &also_met.join("\n\n"),
        );
    }
    section("Frequency", &cited(&country.frequencies));
    section("Wall plugs", &plugs(country));
    section("Sockets behind larger breakers", &sockets(country));
    section("Approval marks", &approval_marks(country));
    section(
        "Caution",
        "Advisory only. Look at the rating plate and the parts in hand; local code and a licensed electrician prevail.",
    );
    page
}

fn head(country: &Country) -> String {
    let Country { code, name, .. } = country;
    let names = country.also_called.iter().chain([name]);
    let names: Vec<String> = names.map(|name| format!("`{name}`")).collect();
    format!(
        "# {code}, {name}\n\nWhat a site with `country: {code}` is held against by supply-foreign, plug-foreign and approval-missing. Read as this country, too: {}.",
        names.join(", ")
    )
}

fn cited<Q: Quantity>(values: &Cited<Vec<Q>>) -> String {
    let shown: Vec<String> = values.value.iter().map(Quantity::show).collect();
    format!("{}. {}", shown.join(", "), source(&values.citation))
}

fn sockets(country: &Country) -> String {
    let rows = breaker_ahead::of_country(country);
    let rows: Vec<String> = rows
        .map(|row| format!("{}. {}", row.value, source(&row.citation)))
        .collect();
    match rows.is_empty() {
        true => "The tables have no rule of this country; see input-chain-mismatch.".to_owned(),
        false => rows.join("\n\n"),
    }
}

fn plugs(country: &Country) -> String {
    let kinds = country.kinds_of_plugs.iter();
    let kinds: Vec<String> = kinds
        .map(|kind| match kind.strip_suffix(" *") {
            Some(family) => format!("{family} (all)"),
            None => kind.clone(),
        })
        .collect();
    format!(
        "{}. {}\n\nPlugs of IEC 60309 and IEC 60320 belong to no country.",
        kinds.join(", "),
        source(&country.wall_plugs.citation)
    )
}

fn approval_marks(country: &Country) -> String {
    let Some(market) = country.market() else {
        return "The tables have none: whether cords are approved there is an open point.".into();
    };
    let names = |marks: &mut dyn Iterator<Item = &'static Mark>| {
        let names: Vec<&str> = marks.map(|mark| mark.name.as_str()).collect();
        names.join(", ")
    };
    let taken = names(&mut market.marks().into_iter());
    let whole = match market.whole_set {
        true => ", for the cord set as a whole",
        false => "",
    };
    let leads = match market.leads {
        Some(Leads::AnyBody) => "the mark of any independent body, whatever its country",
        Some(Leads::AsPlugs) => "the same marks",
        None => "the tables do not know what is asked for; one of the same marks will do",
    };
    let is_weak = |mark: &&Mark| mark.citation.confidence == Confidence::FromMemory;
    let weak = names(&mut market.marks().into_iter().filter(is_weak));
    let weak = match weak.is_empty() {
        true => String::new(),
        false => format!(" From memory, verify: {weak}."),
    };
    let declared = names(&mut marks::all().filter(|m| m.stands_for == StandsFor::Declaration));
    let cordage = names(&mut marks::all().filter(|m| m.stands_for == StandsFor::Cordage));
    format!(
        "Cords with a wall plug: any one of {taken}{whole}. {source}{weak}\n\nCords with a plug of IEC 60320 or IEC 60309: {leads}.\n\nNo approval by itself: {declared} (the maker's own word), {cordage} (of the cordage alone). What a mark is: `cordwright cite VDE`.",
        source = source(&market.citation)
    )
}

/// Where a figure comes from. Of a country all figures stand there on which sources disagree, and none of
/// them is chosen.
fn source(citation: &Citation) -> String {
    if citation.confidence != Confidence::Disputed {
        return format!("Source: {citation}.");
    }
    let agreed = Citation {
        confidence: Confidence::TwoCopies,
        ..citation.clone()
    };
    format!(
        "Source: {agreed} (sources disagree; what they give stands here, and nothing is found by it alone)."
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::countries::{all, country};

    fn page_of(code: &str) -> String {
        page(country(code).unwrap())
    }

    #[test]
    fn every_figure_stands_with_its_source() {
        let lists = "Source: IEC 60038 nominal voltages, by country lists, edition not established";
        let expected = format!(
            "\
# GB, United Kingdom

What a site with `country: GB` is held against by supply-foreign, plug-foreign and approval-missing. \
Read as this country, too: `UK`, `Great Britain`, `United Kingdom`.

## From line to neutral

230 V. {lists}.

## Between lines

400 V. {lists} (sources disagree; what they give stands here, and nothing is found by it alone).

## Frequency

50 Hz. {lists}.

## Wall plugs

BS 1363. Source: IEC TR 60083 list of countries, edition not established.

Plugs of IEC 60309 and IEC 60320 belong to no country.

## Sockets behind larger breakers

BS 1363, 13 A: behind up to 32 A. Source: BS 7671 433.1.204 and Appendix 15, 2018.

## Approval marks

Cords with a wall plug: any one of BSI, ASTA, NEMKO, VDE-UK, SGS, Intertek. Source: BS 1363 Plugs and Sockets etc. (Safety) Regulations, 1994. From memory, verify: VDE-UK, SGS, Intertek.

Cords with a plug of IEC 60320 or IEC 60309: the mark of any independent body, whatever its country.

No approval by itself: CE, UKCA, PSE circle (the maker's own word), HAR (of the cordage alone). What a mark is: `cordwright cite VDE`.

## Caution

Advisory only. Look at the rating plate and the parts in hand; local code and a licensed electrician prevail."
        );
        assert_eq!(page_of("GB"), expected);
    }

    #[test]
    fn what_is_weak_or_missing_is_told() {
        let says = |code: &str, words: &str| {
            let page = page_of(code);
            assert!(page.contains(words), "{page}");
        };
        says("US", "415 V. Source: 415/240 V of transformers");
        says("US", "(from memory, verify)");
        says("US", "NEMA (all), CS (all).");
        says("HK", "The tables have no figure.");
        says("GH", "whether cords are approved there is an open point");
        says("CN", "any one of CCC, for the cord set as a whole.");
        says("US", "IEC 60309: the same marks.");
        says("IN", "IEC 60309: the tables do not know what is asked for");
        says(
            "DE",
            "CE, UKCA, PSE circle (the maker's own word), HAR (of the cordage alone)",
        );
        says("SA", "(sources disagree; what they give stands here");
        for country in all() {
            let page = page(country);
            assert!(!page.contains("safer value"), "{page}");
            assert!(page.matches("Source: ").count() >= 3, "{page}");
        }
    }
}
