//! Marks as people write them, and rows that hang together.

use super::*;
use crate::tables::approvals::{Begins, Market, Worth};
use crate::tables::countries::Country;

fn found(text: &str) -> &'static str {
    find(text).map_or("", |mark| &mark.name)
}

fn market(country: &str) -> &'static Market {
    countries::country(country)
        .and_then(Country::market)
        .unwrap()
}

#[test]
fn what_is_no_mark_is_none() {
    for text in [
        "",
        " ",
        "+",
        "()",
        "<>",
        "none",
        "yes",
        "V",
        "Q1",
        "ENEC 1",
        "N1",
        "CE 0",
        "\u{0}",
        "ＵＬ",
        "VDE HAR CE",
        "UL 62",
        "N 12345 of the plug",
        "S++",
    ] {
        assert_eq!(found(text), "", "{text}");
    }
    assert_eq!(found(&"UL ".repeat(1_000)), "");
    assert!(nearest(&"V".repeat(10_000)).is_none());
}

#[test]
fn every_mark_is_found_by_each_spelling_and_no_spelling_stands_for_two() {
    for mark in all() {
        for spelling in mark.spellings.iter().chain([&mark.name]) {
            for text in [
                spelling.clone(),
                spelling.to_lowercase(),
                spelling.to_uppercase(),
                format!("  {} ", spelling.replace(' ', "  ")),
            ] {
                assert_eq!(found(&text), mark.name, "{text}");
            }
        }
    }
}

#[test]
fn marks_are_known_as_the_trade_writes_them() {
    for (text, name) in [
        ("UL Listed", "UL"),
        ("(UL)", "UL"),
        ("c(UL)us", "cULus"),
        ("C-UL-US", "cULus"),
        ("cul-us", "cULus"),
        ("UL/cUL", "cULus"),
        ("cETLus", "cETLus"),
        ("ETL Listed", "ETL"),
        ("CSA C/US", "cCSAus"),
        ("CSA NRTL/C", "cCSAus"),
        ("cTUVus", "cTÜVus"),
        ("TUV", "TÜV"),
        ("GS", "TÜV"),
        ("MET", "MET"),
        ("<PS>E", "PSE"),
        ("(PS)E", "PSE circle"),
        ("( ps ) e", "PSE circle"),
        ("PSE diamond", "PSE"),
        ("<VDE>", "VDE"),
        ("<HAR>", "HAR"),
        ("ove", "ÖVE"),
        ("BBJ", "BBJ"),
        ("S", "SEMKO"),
        ("S+", "S+"),
        ("(+)S+", ""),
        ("D", "DEMKO"),
        ("KEMA-KEUR", "KEMA"),
        ("kema keur", "KEMA"),
        ("ENEC 10", "ENEC"),
        ("ENEC05", "ENEC"),
        ("ISI", "BIS"),
        ("CM/L-1234567", "BIS"),
        ("N12345", "SAA"),
        ("SAA 123456 EA", "SAA"),
        ("CE 0123", "CE"),
        ("UKCA", "UKCA"),
        ("EQM", "EOS"),
        ("c RU us", "UR"),
        ("3C", "CCC"),
    ] {
        assert_eq!(found(text), name, "{text}");
    }
}

#[test]
fn every_row_names_what_there_is_and_its_years_are_in_order() {
    let keys: Vec<&str> = approvals::all().map(Market::key).collect();
    let is_key = |key: &String| keys.contains(&key.as_str());
    for market in approvals::all() {
        assert!(market.also_those_of().iter().all(is_key), "{}", market.name);
        assert_eq!(
            keys.iter().filter(|key| **key == market.key()).count(),
            1,
            "{}",
            market.name
        );
    }
    for mark in all() {
        let name = &mark.name;
        assert!(mark.taken_in.iter().all(is_key), "{name}");
        assert!(mark.unclear_in.iter().all(is_key), "{name}");
        let home = mark.home.as_deref();
        assert!(
            home.is_none_or(|home| countries::country(home).is_some()),
            "{name}"
        );
        let years = [mark.since, mark.until];
        let mut years = years.into_iter().flatten();
        assert!(years.all(|year| (1950..=2026).contains(&year)), "{name}");
        if let (Some(since), Some(until)) = (mark.since, mark.until) {
            assert!(since < until, "{name}");
        }
        if let Some(next) = &mark.replaced_by {
            let next = find(next).unwrap();
            assert!(mark.until.is_some() && next.until.is_none(), "{name}");
        }
        // Who declares gives no approval, and what is no approval is taken nowhere.
        assert!(
            mark.given_by != GivenBy::Maker || !mark.is_approval(),
            "{name}"
        );
        assert!(mark.is_approval() || mark.taken_in.is_empty(), "{name}");
        assert!(!mark.citation.edition.is_empty(), "{name}");
    }
}

/// Every country that asks for marks has some that are given today.
#[test]
fn every_market_takes_some_mark() {
    for market in approvals::all() {
        assert!(!market.marks().is_empty(), "{}", market.name);
    }
    let first = |code: &str| market(code).marks()[0].name.as_str();
    assert_eq!(
        ["GB", "DE", "US", "CA", "CH", "SA"].map(first),
        ["BSI", "VDE", "UL", "cUL", "S+", "SASO"]
    );
}

/// The listing marks of North America, typed from the list of the trade.
#[test]
fn every_mark_of_a_laboratory_stands_for_a_listing_in_its_countries() {
    let listing = |text: &str, us: bool, ca: bool| {
        let mark = find(text).unwrap_or_else(|| panic!("{text}"));
        assert!(mark.is_north_american_listing(), "{text}");
        assert_eq!(mark.stands_for, StandsFor::CordSet, "{text}");
        assert_eq!(
            (market("US").takes(mark), market("CA").takes(mark)),
            (us, ca),
            "{text}"
        );
    };
    for text in [
        "UL",
        "ETL",
        "CSA US",
        "CSA with NRTL",
        "TUV NRTL",
        "TUVus",
        "MET",
        "QPS",
        "SGS",
        "NEMKO NRTL",
        "FM",
        "BACL",
        "QAI",
        "DEKRA US",
        "Eurofins",
        "IAPMO",
        "SwRI",
        "NSF",
        "Intertek",
        "NRTL",
    ] {
        listing(text, true, false);
    }
    for text in ["cUL", "ULC", "cETL", "CSA"] {
        listing(text, false, true);
    }
    for text in [
        "cULus",
        "UL+cUL",
        "cETLus",
        "cCSAus",
        "CSA NRTL/C",
        "cTUVus",
        "cMETus",
        "cQPSus",
        "cSGSus",
        "cNEMKOus",
    ] {
        listing(text, true, true);
    }
    for text in [
        "UR", "cRUus", "CE", "UKCA", "CCC", "RoHS", "FCC", "VDE", "TÜV", "HAR", "NOM",
    ] {
        assert!(!find(text).unwrap().is_north_american_listing(), "{text}");
    }
}

#[test]
fn what_a_mark_is_worth_depends_on_the_country_and_on_the_plug() {
    use Begins::{InternationalPlug, WallPlug};
    let worth = |country: &str, text: &str, begins| {
        market(country).worth(find(text).unwrap(), begins, 2026)
    };
    for (country, text, on_wall, on_lead) in [
        ("GB", "BSI", Worth::Taken, Worth::Taken),
        ("GB", "VDE", Worth::Elsewhere, Worth::Taken),
        ("GB", "UL", Worth::Elsewhere, Worth::Taken),
        ("GB", "CE", Worth::NoApproval, Worth::NoApproval),
        ("GB", "UKCA", Worth::NoApproval, Worth::NoApproval),
        ("GB", "HAR", Worth::NoApproval, Worth::NoApproval),
        ("IE", "NF", Worth::Taken, Worth::Taken),
        ("IE", "BSI", Worth::Taken, Worth::Taken),
        ("CH", "VDE", Worth::Elsewhere, Worth::Taken),
        ("LI", "S+", Worth::Taken, Worth::Taken),
        ("US", "CSA", Worth::Elsewhere, Worth::Elsewhere),
        ("US", "VDE", Worth::Elsewhere, Worth::Elsewhere),
        ("US", "TÜV", Worth::Unclear, Worth::Unclear),
        ("US", "UR", Worth::NoApproval, Worth::NoApproval),
        ("DE", "TÜV", Worth::Taken, Worth::Taken),
        ("KR", "EK", Worth::Replaced, Worth::Replaced),
        ("JP", "PSE circle", Worth::NoApproval, Worth::NoApproval),
        ("IN", "VDE", Worth::Elsewhere, Worth::Unsettled),
        ("AU", "N12345", Worth::Taken, Worth::Taken),
    ] {
        assert_eq!(worth(country, text, WallPlug), on_wall, "{country} {text}");
        assert_eq!(
            worth(country, text, InternationalPlug),
            on_lead,
            "{country} {text}"
        );
    }
    let ek = find("EK").unwrap();
    assert_eq!(market("KR").worth(ek, WallPlug, 2009), Worth::Taken);
}
