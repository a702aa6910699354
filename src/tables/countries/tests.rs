//! The country table against mains figures written here, and its names against the coupler tables.

use super::*;
use crate::citation::Confidence;

fn volts(values: &[Voltage]) -> Vec<f64> {
    values.iter().map(|value| value.get::<volt>()).collect()
}

/// Countries on the harmonised 230/400 V at 50 Hz of IEC 60038.
const HARMONISED: [&str; 22] = [
    "AT", "AU", "BE", "CH", "CZ", "DE", "DK", "ES", "FI", "FR", "GB", "IE", "IL", "IN", "IT", "NL",
    "NO", "NZ", "PL", "SE", "SG", "ZA",
];

#[test]
fn every_country_is_held_against_another_list() {
    // 18 others are written out below.
    assert_eq!(all().count(), HARMONISED.len() + 18);
    let without = all().filter(|country| country.market().is_none());
    let without: Vec<&str> = without.map(|country| country.code.as_str()).collect();
    assert_eq!(
        without,
        ["HK"],
        "no mark is known of, which is an open point"
    );
}

/// IEC 60038 nominal voltages and the national frequencies: code, V, Hz.
#[test]
fn mains_are_those_of_the_country() {
    for (code, mains, frequency) in [
        ("US", vec![120.0], vec![60.0]),
        ("CA", vec![120.0], vec![60.0]),
        ("MX", vec![127.0], vec![60.0]),
        ("BR", vec![127.0, 220.0], vec![60.0]),
        ("JP", vec![100.0], vec![50.0, 60.0]),
        ("TW", vec![110.0], vec![60.0]),
        ("KR", vec![220.0], vec![60.0]),
        ("PH", vec![220.0], vec![60.0]),
        ("CN", vec![220.0], vec![50.0]),
        ("AR", vec![220.0], vec![50.0]),
        ("CL", vec![220.0], vec![50.0]),
        ("HK", vec![220.0], vec![50.0]),
        // Lists differ, or an older voltage is still found beside the newer one.
        ("AE", vec![220.0, 230.0], vec![50.0]),
        ("TH", vec![220.0, 230.0], vec![50.0]),
        ("TR", vec![220.0, 230.0], vec![50.0]),
        ("ID", vec![220.0, 230.0], vec![50.0]),
        ("SA", vec![220.0, 230.0], vec![60.0]),
        ("MY", vec![230.0, 240.0], vec![50.0]),
    ]
    .into_iter()
    .chain(HARMONISED.map(|code| (code, vec![230.0], vec![50.0])))
    {
        let country = country(code).unwrap();
        assert_eq!(volts(&country.voltages.value), mains, "{code}");
        let read: Vec<f64> = country
            .frequencies
            .value
            .iter()
            .map(|f| f.get::<hertz>())
            .collect();
        assert_eq!(read, frequency, "{code}");
    }
    assert_eq!(country("gb"), country("GB"));
    assert_eq!(country("UK"), None, "not an ISO 3166-1 code");
}

#[test]
fn disputed_mains_can_be_told() {
    let is_disputed = |code| {
        let voltages = &country(code).unwrap().voltages;
        voltages.citation.confidence == Confidence::Disputed
    };
    for code in ["TR", "SA", "MY", "ID"] {
        assert!(is_disputed(code), "{code}");
    }
    assert!(!is_disputed("DE"));
}

#[test]
fn plugs_stand_to_the_country_as_the_trade_knows_them() {
    for (code, plug, standing) in [
        ("GB", "BS 1363", Standing::Usual),
        ("GB", "CEE 7/7", Standing::Foreign),
        ("DE", "CEE 7/7", Standing::Usual),
        ("FR", "CEE 7/4", Standing::Foreign),
        ("US", "NEMA L6-30", Standing::Usual),
        ("DE", "NEMA 5-15", Standing::Foreign),
        ("US", "BS 1363", Standing::Foreign),
        ("JP", "JIS C 8303 2P+E", Standing::Usual),
        ("AU", "AS/NZS 3112 15 A", Standing::Usual),
        ("GB", "IEC 60309 32 A 2P+E", Standing::International),
        ("GB", "C14", Standing::International),
    ] {
        let plug = couplers::find(plug).unwrap();
        assert_eq!(
            country(code).unwrap().standing(plug),
            standing,
            "{code} {plug}"
        );
    }
    let clips = couplers::find("CEE 7/4").unwrap();
    assert_eq!(country("DE").unwrap().standing(clips), Standing::Usual);
}

#[test]
fn marks_are_any_one_of_the_markets_list() {
    for (code, marks, accepted) in [
        ("US", &["UL"][..], true),
        ("US", &["NRTL"], true),
        ("US", &["VDE"], false),
        ("DE", &["CE"], false),
        ("DE", &["CE", "vde"], true),
        ("FR", &["NEMKO"], true),
        ("GB", &["ASTA"], true),
        ("GB", &["VDE"], false),
        ("CN", &["CCC"], true),
        ("IN", &["SABS"], false),
    ] {
        let market = country(code).unwrap().market().unwrap();
        assert_eq!(
            market.accepts(marks.iter().copied()),
            accepted,
            "{code} {marks:?}"
        );
    }
    assert!(country("DE").unwrap().market().unwrap().is_not_enough("CE"));
    assert!(
        country("HK").unwrap().market().is_none(),
        "unknown, not approved"
    );
}

#[test]
fn every_country_is_plausible_and_sourced() {
    assert!(all().count() >= 35);
    let mut before = "";
    for country in all() {
        let code = country.code.as_str();
        assert!(code > before && code.len() == 2, "{code}");
        before = code;
        let mains = volts(&country.voltages.value);
        assert!(
            !mains.is_empty() && mains.iter().all(|v| (100.0..=240.0).contains(v)),
            "{code}"
        );
        let three = country
            .three_phase
            .iter()
            .flat_map(|cited| volts(&cited.value));
        assert!(
            three.into_iter().all(|v| (200.0..=600.0).contains(&v)),
            "{code}"
        );
        assert!(!country.frequencies.value.is_empty(), "{code}");
        assert!(!country.wall_plugs.value.is_empty(), "{code}");
        for name in &country.wall_plugs.value {
            let plug = couplers::find(name).unwrap_or_else(|| panic!("{code}: {name}"));
            assert_eq!(&plug.name, name, "{code}: not the canonical name");
            assert!(
                plug.role.may_be(couplers::Side::Pins),
                "{code}: {name} is no plug"
            );
        }
        for citation in [&country.voltages.citation, &country.wall_plugs.citation] {
            assert!(
                !citation.standard.is_empty() && !citation.edition.is_empty(),
                "{code}"
            );
        }
    }
}

#[test]
fn every_market_names_countries_of_the_table() {
    for market in approvals::all() {
        assert!(!market.marks.is_empty(), "{}", market.name);
        for code in &market.countries {
            let found = country(code).and_then(Country::market);
            assert_eq!(
                found,
                Some(market),
                "{code} stands in two markets or in no row"
            );
        }
    }
}
