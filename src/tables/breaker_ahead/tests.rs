//! Held against the rules of each country, typed anew.

use super::*;
use crate::tables::countries;
use crate::tables::couplers;

/// How the rules of a country stand to a socket behind a device.
fn stands(country: &str, practice: Practice, place: Place, socket: &str, device: f64) -> String {
    let coupler = couplers::find(socket).unwrap();
    let behind = Behind {
        place,
        coupler,
        rated: coupler.rated(practice).current.as_ref().unwrap().value,
        is_shared: true,
    };
    let country = (!country.is_empty()).then_some(country);
    match ahead(country, practice, &behind, amperes(device)) {
        Ahead::Allowed(_) => "allowed".to_owned(),
        Ahead::UpTo(most, _) => format!("up to {}", most.in_amperes()),
        Ahead::Unsettled(None) => "open".to_owned(),
        Ahead::Unsettled(Some(cited)) => format!("perhaps {}", cited.value.in_amperes()),
    }
}

/// Typed from the rules of each country as they were read: socket, device, what is said.
#[test]
fn sockets_stand_behind_larger_breakers_as_their_country_has_it() {
    for (country, socket, device, said) in [
        ("AU", "AS/NZS 3112 10 A", 16.0, "allowed"),
        ("AU", "AS/NZS 3112 10 A", 20.0, "allowed"),
        ("NZ", "AS/NZS 3112 15 A", 20.0, "allowed"),
        ("AU", "AS/NZS 3112 10 A", 25.0, "perhaps 32"),
        ("AU", "AS/NZS 3112 10 A", 40.0, "up to 20"),
        ("AU", "AS/NZS 3112 15 A", 25.0, "up to 20"),
        ("GB", "BS 1363", 32.0, "allowed"),
        ("SG", "BS 1363", 20.0, "allowed"),
        ("GB", "BS 1363", 40.0, "up to 32"),
        ("GB", "IEC 60309 16 A 2P+E 6h", 20.0, "up to 16"),
        ("DE", "IEC 60309 16 A 2P+E 6h", 20.0, "up to 16"),
        ("FR", "CEE 7/5", 20.0, "allowed"),
        ("FR", "CEE 7/5", 25.0, "up to 20"),
        ("BE", "CEE 7/5", 20.0, "perhaps 20"),
        ("PL", "CEE 7/5", 20.0, "open"),
        ("PL", "CEE 7/5", 32.0, "up to 16"),
        ("DE", "CEE 7/3", 20.0, "up to 16"),
        ("ZA", "SANS 164-2", 20.0, "allowed"),
        ("ZA", "SANS 164-1", 25.0, "up to 20"),
        ("ZA", "IEC 60309 32 A 2P+E 6h", 40.0, "allowed"),
        ("ZA", "IEC 60309 32 A 2P+E 6h", 50.0, "up to 40"),
        ("ZA", "IEC 60309 16 A 2P+E 6h", 20.0, "up to 16"),
        ("CH", "SN 441011 T13", 13.0, "perhaps 13"),
        ("CH", "SN 441011 T13", 16.0, "up to 13"),
        ("CH", "SN 441011 T13", 20.0, "up to 13"),
        ("CH", "SN 441011 T23", 20.0, "open"),
        ("IT", "CEI 23-50 P11", 16.0, "perhaps 16"),
        ("IT", "CEI 23-50 P11", 20.0, "up to 16"),
        ("IN", "IS 1293 16 A", 20.0, "perhaps 20"),
        ("", "AS/NZS 3112 10 A", 20.0, "open"),
        ("", "BS 1363", 32.0, "allowed"),
    ] {
        let stands = stands(country, Practice::Iec, Place::Receptacle, socket, device);
        assert_eq!(stands, said, "{country}: {socket} behind {device} A");
    }
}

/// NEC 2023 Table 210.21(B)(3), (B)(1); CE Code Rule 26-700(2).
#[test]
fn receptacles_stand_on_larger_circuits_as_the_codes_of_north_america_have_it() {
    for (country, place, socket, device, said) in [
        ("US", Place::Receptacle, "NEMA 5-15", 20.0, "allowed"),
        ("US", Place::Receptacle, "NEMA 5-15", 30.0, "up to 20"),
        ("CA", Place::Receptacle, "NEMA 5-15", 20.0, "up to 15"),
        ("CA", Place::Outlet, "NEMA 5-15", 20.0, "allowed"),
        ("US", Place::Receptacle, "NEMA 5-20", 30.0, "up to 20"),
        ("US", Place::Receptacle, "NEMA L6-30", 40.0, "up to 30"),
        ("US", Place::Outlet, "C13", 20.0, "allowed"),
        ("US", Place::Outlet, "C13", 30.0, "up to 20"),
        ("US", Place::Outlet, "C19", 20.0, "allowed"),
    ] {
        let stands = stands(country, Practice::Nec, place, socket, device);
        assert_eq!(stands, said, "{country}: {socket} behind {device} A");
    }
    let alone = Behind {
        place: Place::Receptacle,
        coupler: couplers::find("NEMA 5-15").unwrap(),
        rated: amperes(15.0),
        is_shared: false,
    };
    let stands = ahead(Some("US"), Practice::Nec, &alone, amperes(20.0));
    assert_eq!(stands, Ahead::UpTo(amperes(15.0), None));
}

/// Article 149 of the Japanese interpretation: 15 A on a breaker of 20 A, 20 A on one of 30 A.
#[test]
fn sockets_of_japan_stand_behind_the_breakers_of_article_149() {
    for practice in [Practice::Iec, Practice::Nec] {
        let stands = |device| stands("JP", practice, Place::Receptacle, "JIS C 8303", device);
        assert_eq!(stands(20.0), "allowed");
        assert_eq!(stands(30.0), "up to 20");
    }
}

#[test]
fn strips_of_iec_countries_have_outlets_behind_16_amperes() {
    let stands = |place, socket, device| stands("DE", Practice::Iec, place, socket, device);
    assert_eq!(stands(Place::Outlet, "C13", 16.0), "allowed");
    assert_eq!(stands(Place::Outlet, "C13", 20.0), "up to 16");
    assert_eq!(stands(Place::Outlet, "C19", 20.0), "up to 16");
    assert_eq!(stands(Place::Plug, "C14", 16.0), "up to 10");
}

#[test]
fn rows_speak_of_what_there_is_and_of_more_than_a_rating() {
    for row in &TABLE.rows {
        TABLE.cite(&row.from);
        assert!(row.device.is_some() != row.percent.is_some(), "{row:?}");
        let of_country = !row.countries.is_empty();
        assert!(of_country != row.practice.is_some(), "{row:?}");
        let sizes = row.device.zip(row.amperes);
        let is_larger = sizes.is_none_or(|(device, own)| device > own);
        assert!(is_larger || row.bars, "{row:?}");
        for code in &row.countries {
            assert!(countries::country(code).is_some(), "{code}");
        }
        for pattern in &row.couplers {
            let mut all = couplers::all();
            assert!(all.any(|it| is_meant(pattern, &it.name)), "{pattern}");
        }
    }
}
