//! The country table against mains figures written here, and its names against the coupler tables.

use super::*;
use crate::citation::Confidence;
use crate::tables::marks;

fn volts(values: &[Voltage]) -> Vec<f64> {
    values.iter().map(|value| value.get::<volt>()).collect()
}

/// Countries on the harmonised 230/400 V at 50 Hz of IEC 60038.
const HARMONISED: [&str; 24] = [
    "AT", "AU", "BE", "CH", "CZ", "DE", "DK", "ES", "FI", "FR", "GB", "ID", "IE", "IL", "IN", "IT",
    "NL", "NO", "NZ", "PL", "SE", "SG", "TR", "ZA",
];

/// What other lists give of more countries.
const LISTS: &str = include_str!("../../../tests/reference/mains.txt");

/// Its lines by country: code, and what stands behind it.
fn lists() -> impl Iterator<Item = (&'static str, Vec<&'static str>)> {
    let lines = LISTS.lines().filter(|line| !line.starts_with('#'));
    lines.flat_map(|line| {
        let cells: Vec<&str> = line.split(" | ").collect();
        cells[0]
            .split(' ')
            .map(move |code| (code, cells[1..].to_vec()))
    })
}

fn numbers(cell: &str) -> Vec<f64> {
    cell.split(' ')
        .map(|number| number.parse().unwrap())
        .collect()
}

/// The kinds of plugs that go by a letter.
fn by_letter(letter: &str) -> &'static [&'static str] {
    match letter {
        "A" => &["NEMA 1-15"],
        "B" => &["NEMA 5-15"],
        "N" => &["NEMA *"],
        "C" => &["CEE 7/16"],
        "D" => &["BS 546 5 A"],
        "E" => &["CEE 7/6", "CEE 7/7"],
        "F" => &["CEE 7/4", "CEE 7/7"],
        "G" => &["BS 1363"],
        "I" => &["AS/NZS 3112 *"],
        "J" => &["SN 441011 T12"],
        "K" => &["DS 60884-2-D1"],
        "L" => &["CEI 23-50 S11", "CEI 23-50 S17"],
        "M" => &["BS 546 15 A"],
        _ => panic!("{letter} is no letter of a plug"),
    }
}

#[test]
fn every_country_is_held_against_another_list() {
    // 16 others are written out below.
    assert_eq!(all().count(), lists().count() + HARMONISED.len() + 16);
}

#[test]
fn more_countries_are_as_the_lists_have_them() {
    for (code, cells) in lists() {
        let country = country(code).unwrap();
        let three_phase = country.three_phase.as_ref().unwrap();
        assert_eq!(volts(&country.voltages.value), numbers(cells[0]), "{code}");
        assert_eq!(volts(&three_phase.value), numbers(cells[2]), "{code}");
        let frequencies = country.frequencies.value.iter();
        let frequencies: Vec<f64> = frequencies.map(|value| value.get::<hertz>()).collect();
        assert_eq!(frequencies, numbers(cells[1]), "{code}");
        let confidence = match cells[4] {
            "=" => Confidence::TwoCopies,
            "some" => Confidence::OneCopy,
            _ => Confidence::Disputed,
        };
        assert_eq!(country.voltages.citation.confidence, confidence, "{code}");
        // One list alone has voltages between lines.
        let of_lines = three_phase.citation.confidence;
        assert!(of_lines >= Confidence::OneCopy, "{code}");
        let is_open = confidence == Confidence::Disputed;
        assert!(!is_open || of_lines == confidence, "{code}");
        let kinds = &country.kinds_of_plugs;
        for kind in cells[3].split(' ').flat_map(by_letter) {
            assert!(kinds.iter().any(|own| own == kind), "{code}: {kind}");
        }
        let count = cells[3].split(' ').flat_map(by_letter);
        let count = count.collect::<std::collections::BTreeSet<_>>().len();
        // Liechtenstein has all the plugs of Switzerland, which go by one letter.
        let more = if code == "LI" { 6 } else { 0 };
        assert_eq!(kinds.len(), count + more, "{code}: {kinds:?}");
    }
}

/// What is weaker in the lists than the line says.
#[test]
fn weak_figures_are_told_as_such() {
    let confidence = |cited: &Cited<Vec<Voltage>>| cited.citation.confidence;
    let between_lines = |code| confidence(country(code).unwrap().three_phase.as_ref().unwrap());
    for (code, is) in [
        ("GE", Confidence::FromMemory),
        ("MO", Confidence::FromMemory),
        ("VE", Confidence::FromMemory),
        ("TZ", Confidence::Disputed),
        ("CO", Confidence::Disputed),
        ("ID", Confidence::OneCopy),
    ] {
        assert_eq!(between_lines(code), is, "{code}");
    }
    let plugs = |code| country(code).unwrap().wall_plugs.citation.confidence;
    assert_eq!(plugs("UZ"), Confidence::Disputed);
    assert_eq!(plugs("PK"), Confidence::OneCopy);
    assert_eq!(plugs("PT"), Confidence::TwoCopies);
    let indonesia = &country("ID").unwrap().voltages.citation;
    assert_eq!(indonesia.standard, "SPLN 1");
    // Networks of before: 127 V from line to neutral in Morocco; 380/220 V in Taiwan, beside its own.
    for (code, met) in [("MA", 220.0), ("TW", 380.0), ("BE", 230.0)] {
        let also_met = &country(code).unwrap().also_met;
        assert_eq!(volts(&also_met[0].value), [met], "{code}");
    }
}

#[test]
fn countries_without_marks_are_known() {
    let without = all().filter(|country| country.market().is_none());
    let without: Vec<&str> = without.map(|country| country.code.as_str()).collect();
    let expected = "AL AZ BA BD BN BO BW CI CR DO DZ ET GE GH GT IQ JM JO KE KH LA LB LK MA MD ME MK MM \
        MN MO MU NA NG NP PA PE PK PY RS SN TN TT TZ UG UY UZ VE ZM ZW";
    assert_eq!(without.join(" "), expected, "an open point in each");
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
fn names_that_mean_one_country_are_read() {
    for (text, code) in [
        ("AU", "AU"),
        ("au", "AU"),
        ("Australia", "AU"),
        ("UNITED KINGDOM", "GB"),
        ("UK", "GB"),
        ("U.K.", "GB"),
        ("Great Britain", "GB"),
        ("USA", "US"),
        ("United  States", "US"),
        ("Viet Nam", "VN"),
        ("Côte d’Ivoire", "CI"),
        ("Cote d'Ivoire", "CI"),
        ("Türkiye", "TR"),
        ("Turkey", "TR"),
        ("South Korea", "KR"),
        ("Niger", ""),
        ("Nigeria", "NG"),
        // There are two of them, and others have other names for it.
        ("Korea", ""),
        ("Guinea", ""),
        ("Deutschland", ""),
        ("America", ""),
        ("England", ""),
        ("XX", ""),
        ("", ""),
        ("UK-2", ""),
    ] {
        let meant = meant(text).map_or("", |country| country.code.as_str());
        assert_eq!(meant, code, "{text}");
    }
}

#[test]
fn no_name_means_two_countries() {
    let mut seen = std::collections::BTreeSet::new();
    for country in all() {
        let names = country
            .also_called
            .iter()
            .chain([&country.name, &country.code]);
        for name in names {
            let is_new = seen.insert(letters(name));
            assert!(
                is_new,
                "{name} is the name of two countries, or written twice"
            );
            assert_eq!(meant(name), Some(country), "{name}");
        }
    }
}

#[test]
fn disputed_mains_can_be_told() {
    let is_disputed = |code| {
        let voltages = &country(code).unwrap().voltages;
        voltages.citation.confidence == Confidence::Disputed
    };
    for code in ["SA", "MY", "RU", "BO"] {
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
        let mut marks = marks.iter().filter_map(|mark| marks::find(mark));
        assert_eq!(marks.any(|mark| market.takes(mark)), accepted, "{code}");
    }
    assert!(
        country("GH").unwrap().market().is_none(),
        "unknown, not approved"
    );
}

#[test]
fn every_country_is_plausible_and_sourced() {
    assert!(all().count() >= 120);
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
            three.into_iter().all(|v| (190.0..=600.0).contains(&v)),
            "{code}"
        );
        assert!(!country.frequencies.value.is_empty(), "{code}");
        assert!(!country.wall_plugs.value.is_empty(), "{code}");
        for name in &country.wall_plugs.value {
            let plug = couplers::find(name).unwrap_or_else(|| panic!("{code}: {name}"));
            assert_eq!(&plug.name, name, "{code}: not the canonical name");
            assert!(plug.role.may_be(Side::Pins), "{code}: {name} is no plug");
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
        assert!(!market.marks().is_empty(), "{}", market.name);
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
