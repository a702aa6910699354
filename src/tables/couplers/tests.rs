//! The coupler tables against figures written here from the standards.

use std::collections::BTreeSet;

use proptest::prelude::*;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::*;
use crate::citation::Confidence;

mod written;

fn coupler(name: &str) -> &'static Coupler {
    find(name).unwrap_or_else(|| panic!("{name} is not in the tables"))
}

fn amperes(figure: Option<&Cited<Current>>) -> Option<f64> {
    figure.map(|figure| figure.value.get::<ampere>())
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

/// IEC 60320-1, standard sheets: connector, inlet, rated current in A, pin temperature in °C, earth contact.
#[rustfmt::skip]
const SHEETS: &[(&str, &str, f64, f64, bool)] = &[
    ("C1", "C2", 0.2, 70.0, false),
    ("C3", "C4", 2.5, 70.0, false),
    ("C5", "C6", 2.5, 70.0, true),
    ("C7", "C8", 2.5, 70.0, false),
    ("C9", "C10", 6.0, 70.0, false),
    ("C11", "C12", 10.0, 70.0, false),
    ("C13", "C14", 10.0, 70.0, true),
    ("C15", "C16", 10.0, 120.0, true),
    ("C15A", "C16A", 10.0, 155.0, true),
    ("C17", "C18", 10.0, 70.0, false),
    ("C19", "C20", 16.0, 70.0, true),
    ("C21", "C22", 16.0, 155.0, true),
    ("C23", "C24", 16.0, 70.0, false),
];

#[test]
fn sheets_have_the_ratings_of_iec_60320_1() {
    for &(connector, inlet, current, celsius, earth) in SHEETS {
        for (name, role) in [(connector, Role::Contacts), (inlet, Role::Pins)] {
            let coupler = coupler(name);
            assert_eq!(coupler.role, role, "{name}");
            let rated = coupler.rated(Practice::Iec);
            assert_eq!(amperes(rated.current.as_ref()), Some(current), "{name}");
            assert_eq!(rated.only_where_marked, None, "{name}");
            let pins = coupler.pin_temperature.as_ref().unwrap();
            assert!(near(pins.value.get::<degree_celsius>(), celsius), "{name}");
            assert_eq!(coupler.earth == Earth::Contact, earth, "{name}");
            let voltage = coupler.voltage.as_ref().unwrap().value;
            assert!(near(voltage.highest.get::<volt>(), 250.0), "{name}");
            assert_eq!(coupler.poles.count(), 2, "{name}");
        }
    }
}

/// UL 60320-1: 10 A becomes 15 A and 16 A becomes 20 A, and only for a part so marked.
#[test]
fn north_american_ratings_hold_only_where_marked() {
    for (name, plain, marked) in [
        ("C13", 10.0, Some(15.0)),
        ("C14", 10.0, Some(15.0)),
        ("C19", 16.0, Some(20.0)),
        ("C20", 16.0, Some(20.0)),
        ("C9", 6.0, None),
    ] {
        let rated = coupler(name).rated(Practice::Nec);
        assert_eq!(amperes(rated.current.as_ref()), Some(plain), "{name}");
        assert_eq!(amperes(rated.only_where_marked.as_ref()), marked, "{name}");
    }
}

#[test]
fn disputed_north_american_ratings_fall_back_to_the_lower_figure() {
    for (name, lower, marked) in [("C5", 2.5, 10.0), ("C7", 2.5, 10.0), ("C15", 10.0, 15.0)] {
        let rated = coupler(name).rated(Practice::Nec);
        let current = rated.current.as_ref().unwrap();
        assert!(near(current.value.get::<ampere>(), lower), "{name}");
        assert_eq!(current.citation.confidence, Confidence::Disputed, "{name}");
        // The mark on the part is believed; that it exists is known from memory or disputed.
        let own = rated.only_where_marked.as_ref().unwrap();
        assert!(near(own.value.get::<ampere>(), marked), "{name}");
        assert!(!own.citation.confidence.is_firm(), "{name}");
    }
    let withdrawn = coupler("C11");
    assert!(withdrawn.withdrawn);
    assert_eq!(
        withdrawn.rated(Practice::Nec).current,
        None,
        "unknown, not zero"
    );
}

/// Configuration, A, V between lines, V to neutral, poles, earth, locking.
type Configuration = (&'static str, f64, f64, Option<f64>, u8, bool, bool);

/// ANSI/NEMA WD 6.
#[rustfmt::skip]
const NEMA: &[Configuration] = &[
    ("NEMA 1-15", 15.0, 125.0, None, 2, false, false),
    ("NEMA 5-15", 15.0, 125.0, None, 2, true, false),
    ("NEMA 5-20", 20.0, 125.0, None, 2, true, false),
    ("NEMA 5-30", 30.0, 125.0, None, 2, true, false),
    ("NEMA 6-15", 15.0, 250.0, None, 2, true, false),
    ("NEMA 6-20", 20.0, 250.0, None, 2, true, false),
    ("NEMA 6-30", 30.0, 250.0, None, 2, true, false),
    ("NEMA 7-20", 20.0, 277.0, None, 2, true, false),
    ("NEMA L5-20", 20.0, 125.0, None, 2, true, true),
    ("NEMA L5-30", 30.0, 125.0, None, 2, true, true),
    ("NEMA L6-20", 20.0, 250.0, None, 2, true, true),
    ("NEMA L6-30", 30.0, 250.0, None, 2, true, true),
    ("NEMA L14-30", 30.0, 250.0, Some(125.0), 3, true, true),
    ("NEMA 14-50", 50.0, 250.0, Some(125.0), 3, true, false),
    ("NEMA L15-30", 30.0, 250.0, None, 3, true, true),
    ("NEMA L21-20", 20.0, 208.0, Some(120.0), 4, true, true),
    ("NEMA L21-30", 30.0, 208.0, Some(120.0), 4, true, true),
    ("NEMA L22-30", 30.0, 480.0, Some(277.0), 4, true, true),
    ("NEMA L1-15", 15.0, 125.0, None, 2, false, true),
    ("NEMA 2-20", 20.0, 250.0, None, 2, false, false),
    ("NEMA 2-30", 30.0, 250.0, None, 2, false, false),
    ("NEMA L2-20", 20.0, 250.0, None, 2, false, true),
    ("NEMA 10-30", 30.0, 250.0, Some(125.0), 3, false, false),
    ("NEMA 10-50", 50.0, 250.0, Some(125.0), 3, false, false),
    ("NEMA L10-20", 20.0, 250.0, Some(125.0), 3, false, true),
    ("NEMA 11-15", 15.0, 250.0, None, 3, false, false),
    ("NEMA L11-30", 30.0, 250.0, None, 3, false, true),
    ("NEMA L12-20", 20.0, 480.0, None, 3, false, true),
    ("NEMA L13-30", 30.0, 600.0, None, 3, false, true),
    ("NEMA L19-30", 30.0, 480.0, Some(277.0), 4, false, true),
    ("NEMA 24-20", 20.0, 347.0, None, 2, true, false),
    ("NEMA L24-20", 20.0, 347.0, None, 2, true, true),
    ("NEMA TT-30", 30.0, 125.0, None, 2, true, false),
    ("NEMA ML-1", 15.0, 125.0, None, 2, false, true),
    ("NEMA ML-2", 15.0, 125.0, None, 2, true, true),
    ("NEMA ML-3", 15.0, 250.0, Some(125.0), 3, false, true),
    ("NEMA SS1-50", 50.0, 125.0, None, 2, true, true),
    ("NEMA SS2-50", 50.0, 250.0, Some(125.0), 3, true, true),
    // The 50 A family that NEMA never took up: UL 498, and data sheets of its parts.
    ("CS8265", 50.0, 250.0, None, 2, true, true),
    ("CS8365", 50.0, 250.0, None, 3, true, true),
    ("CS6364", 50.0, 250.0, Some(125.0), 3, true, true),
    ("CS6361", 50.0, 125.0, None, 2, true, true),
];

#[test]
fn nema_configurations_follow_wd_6() {
    for &(name, current, highest, to_neutral, poles, earth, locking) in NEMA {
        let coupler = coupler(name);
        for practice in [Practice::Iec, Practice::Nec] {
            let rated = coupler.rated(practice).current.as_ref();
            assert_eq!(amperes(rated), Some(current), "{name}");
        }
        let voltage = coupler.voltage.as_ref().unwrap().value;
        assert!(near(voltage.highest.get::<volt>(), highest), "{name}");
        let neutral = voltage.to_neutral.map(|value| value.get::<volt>());
        assert_eq!(neutral, to_neutral, "{name}");
        assert_eq!(coupler.poles.count(), poles, "{name}");
        assert_eq!(coupler.earth == Earth::Contact, earth, "{name}");
        assert_eq!(coupler.locking, locking, "{name}");
    }
}

/// IEC 60309-2: size, poles and hour against volts (Table 104), rated current by series.
#[test]
fn pin_and_sleeve_ratings_follow_iec_60309_2() {
    for (name, iec, nec, volts) in [
        ("IEC 60309 16 A 2P+E 6h", 16.0, 16.0, Some((200.0, 250.0))),
        ("IEC 60309 32 A 2P+E 6h", 32.0, 30.0, Some((200.0, 250.0))),
        ("IEC 60309 32 A 3P+N+E 6h", 32.0, 30.0, Some((346.0, 415.0))),
        ("IEC 60309 63 A 3P+E 6h", 63.0, 60.0, Some((380.0, 415.0))),
        ("IEC 60309 60 A 3P+N+E 9h", 60.0, 60.0, Some((208.0, 250.0))),
        ("IEC 60309 125 A 3P+N+E", 125.0, 100.0, None),
        ("IEC 60309 20 A 2P+E 5h", 16.0, 20.0, Some((277.0, 277.0))),
        (
            "IEC 60309 60 A 2P+N+E 12h",
            60.0,
            60.0,
            Some((240.0, 250.0)),
        ),
        ("IEC 60309 32 A 2P+E 3h", 32.0, 30.0, None),
        ("IEC 60309 16 A 3P+E 10h", 16.0, 16.0, None),
    ] {
        let coupler = coupler(name);
        let rated = |practice| amperes(coupler.rated(practice).current.as_ref());
        assert_eq!(rated(Practice::Iec), Some(iec), "{name}");
        assert_eq!(rated(Practice::Nec), Some(nec), "{name}");
        let range = coupler.voltage.as_ref().map(|voltage| {
            let lowest = voltage.value.lowest.unwrap().get::<volt>();
            (lowest, voltage.value.highest.get::<volt>())
        });
        assert_eq!(range, volts, "{name}");
    }
}

/// National standards: name, A, whether the plug is fused.
#[test]
fn national_couplers_have_the_ratings_of_their_standards() {
    for (name, current, fused) in [
        ("CEE 7/7", 16.0, false),
        ("CEE 7/16", 2.5, false),
        ("BS 1363", 13.0, true),
        ("BS 546 5 A", 5.0, false),
        ("AS/NZS 3112", 10.0, false),
        ("AS/NZS 3112 15 A", 15.0, false),
        ("JIS C 8303", 15.0, false),
        ("SN 441011 T12", 10.0, false),
        ("SN 441011 T23", 16.0, false),
        ("CEI 23-50 S17", 16.0, false),
        ("NBR 14136 20 A", 20.0, false),
        ("IS 1293", 6.0, false),
        ("DS 60884-2-D1", 10.0, false),
        ("DS 60884-2-D1 13 A", 13.0, false),
        ("DS 60884-2-D1 data", 13.0, false),
        ("CEI 23-50 P17/11", 16.0, false),
        ("NBR 14136 10 A 2P", 10.0, false),
        ("GB 1002 2P", 2.5, false),
        ("GB 1002 10 A 2P", 10.0, false),
        ("SN 441011 T26", 2.5, false),
        ("DS 60884-2-D1 medical", 16.0, false),
        ("CEE 7/1", 10.0, false),
        ("CEE 7/17", 16.0, false),
        ("CEI 23-50 S10", 10.0, false),
        ("CEI 23-50 S16", 16.0, false),
        ("CEI 23-50 P30", 16.0, false),
        ("CEI 23-50 P40", 16.0, false),
        ("SN 441011 T11", 10.0, false),
        ("SN 441011 T21", 16.0, false),
        ("BS 546 2 A", 2.0, false),
        ("BS 546 30 A", 30.0, false),
        ("IS 1293 2.5 A", 2.5, false),
        ("IS 1293 10 A", 10.0, false),
        ("JIS C 8303 20 A 2P+E", 20.0, false),
        ("JIS C 8303 30 A 250 V 3P+E", 30.0, false),
        ("KS C 8305 16 A", 16.0, false),
        ("SI 32", 16.0, false),
        ("TIS 166-2549", 10.0, false),
    ] {
        let coupler = coupler(name);
        let rated = coupler.rated(Practice::Iec).current.as_ref();
        assert_eq!(amperes(rated), Some(current), "{name}");
        assert_eq!(coupler.fused, fused, "{name}");
    }
}

/// Two lines and neutral of 120/240 V are one form of series II only, and its 5 h is its own: 277 V.
#[test]
fn series_ii_has_positions_of_its_own() {
    let form = coupler("IEC 60309 30 A 2P+N+E 12h");
    assert_eq!((form.poles.lines, form.poles.neutral), (2, Neutral::Own));
    assert_eq!(find("IEC 60309 30 A 2P+N+E"), Some(form));
    for text in ["IEC 60309 32 A 2P+N+E", "IEC 60309 32 A 2P+E 5h"] {
        assert_eq!(find(text), None, "{text}");
    }
    let far = coupler("IEC 60309 60 A 3P+N+E 9h")
        .voltage
        .as_ref()
        .unwrap();
    assert_eq!(far.citation.confidence, Confidence::FromMemory);
    let near = coupler("IEC 60309 63 A 3P+N+E 9h")
        .voltage
        .as_ref()
        .unwrap();
    assert_eq!(near.citation.confidence, Confidence::OneCopy);
}

#[test]
fn an_outlet_for_two_faces_has_the_rating_of_the_plug_in_it() {
    let outlet = coupler("C13/C19 dual");
    for (plug, current) in [("C14", 10.0), ("C20", 16.0)] {
        let rated = outlet.rated_with(coupler(plug), Practice::Iec);
        assert_eq!(amperes(rated.current.as_ref()), Some(current), "{plug}");
    }
    let empty = outlet.rated(Practice::Iec);
    assert_eq!(amperes(empty.current.as_ref()), Some(10.0));
}

#[test]
fn every_spelling_leads_to_the_canonical_name() {
    for (text, name) in [
        ("C13", "C13"),
        ("c13", "C13"),
        (" C 19 ", "C19"),
        ("C15a", "C15A"),
        ("IEC 60320 C13", "C13"),
        ("IEC C14", "C14"),
        ("C-20", "C20"),
        ("IEC 60320 E", "C14"),
        ("IEC 60320 F", "C13"),
        ("IEC 60320 I", "C20"),
        ("IEC 60320 J", "C19"),
        ("C13/C19", "C13/C19 dual"),
        ("NEMA 5-15", "NEMA 5-15"),
        ("NEMA 5-15R", "NEMA 5-15"),
        ("nema 5-15p", "NEMA 5-15"),
        ("NEMA 5–15", "NEMA 5-15"),
        ("L6-30P", "NEMA L6-30"),
        ("NEMA L6-30", "NEMA L6-30"),
        ("NEMA L21-30R", "NEMA L21-30"),
        ("IEC 60309 32 A 2P+E", "IEC 60309 32 A 2P+E"),
        ("IEC 60309 32 A 3P+N+E", "IEC 60309 32 A 3P+N+E"),
        ("IEC 60309 32A 3P+N+PE 6h", "IEC 60309 32 A 3P+N+E 6h"),
        ("EN 60309-2 6h 16 A 1P+N+E", "IEC 60309 16 A 2P+E 6h"),
        ("iec60309 63a 3p+e 9 h", "IEC 60309 63 A 3P+E 9h"),
        ("CEE 7/7", "CEE 7/7"),
        ("cee7/4", "CEE 7/4"),
        ("BS 1363", "BS 1363"),
        ("BS1363", "BS 1363"),
        ("AS/NZS 3112", "AS/NZS 3112 10 A"),
        ("JIS C 8303", "JIS C 8303"),
        ("SEV 1011 T23", "SN 441011 T23"),
    ] {
        assert_eq!(
            find(text).map(|found| found.name.as_str()),
            Some(name),
            "{text}"
        );
    }
}

#[test]
fn what_is_no_coupler_is_not_found() {
    let wrong = [
        "",
        " ",
        "C",
        "C12A",
        "C99",
        "E",
        "NEMA",
        "NEMA 5-16",
        "IEC 60309",
        "IEC 60309 32 A",
        "IEC 60309 33 A 2P+E",
        "IEC 60309 32 A 2P+E 13h",
        "IEC 60309 32 2P+E",
        "CEE 7",
        "BS 1364",
    ];
    for text in wrong {
        assert_eq!(find(text), None, "{text}");
    }
}

#[test]
fn a_misspelt_name_is_led_to_the_nearest() {
    for (text, name) in [
        ("NEM L6-30", Some("NEMA L6-30")),
        ("IEC 60309 32 A 3P+M+E", Some("IEC 60309 32 A 3P+N+E")),
        ("XS 1363", Some("BS 1363")),
        ("DNV 14136 20 A", Some("NBR 14136 20 A")),
        // Another number is another rating or standard.
        ("C114", None),
        ("C31", None),
        ("NEMA 5-51", None),
        ("BS 1364", None),
        ("AS/NZS 3123", None),
        // Another letter may be another part, and another word is another standard.
        ("NEMA K5-15", None),
        ("CEI 23-50 X11", None),
        ("AS 1363", None),
        ("gooseneck", None),
    ] {
        assert_eq!(nearest(text), name, "{text}");
    }
}

#[test]
fn the_spelling_says_which_half_it_means() {
    for (text, side) in [
        ("NEMA 5-15P", Some(Side::Pins)),
        ("L6-30r", Some(Side::Contacts)),
        ("NEMA 5-15", None),
        ("C13", Some(Side::Contacts)),
        ("C14", Some(Side::Pins)),
        ("BS 1363", None),
        ("nothing", None),
    ] {
        assert_eq!(side_written(text), side, "{text}");
    }
}

#[test]
fn every_coupler_is_plausible_and_sourced() {
    let mut names = BTreeSet::new();
    for coupler in all() {
        let name = &coupler.name;
        assert!(names.insert(name), "{name} stands twice");
        assert_eq!(
            find(name).map(Coupler::index),
            Some(coupler.index()),
            "{name}"
        );
        sourced(name, &coupler.citation);
        for practice in [Practice::Iec, Practice::Nec] {
            let rated = coupler.rated(practice);
            for figure in [&rated.current, &rated.only_where_marked] {
                let Some(figure) = figure else { continue };
                let current = figure.value.get::<ampere>();
                assert!((0.2..=125.0).contains(&current), "{name}: {current} A");
                sourced(name, &figure.citation);
            }
            let (plain, marked) = (&rated.current, &rated.only_where_marked);
            if let (Some(plain), Some(marked)) = (plain, marked) {
                assert!(marked.value > plain.value, "{name}");
            }
        }
        if let Some(voltage) = &coupler.voltage {
            let range = voltage.value;
            assert!(
                (100.0..=690.0).contains(&range.highest.get::<volt>()),
                "{name}"
            );
            assert!(
                range.to_neutral.is_none_or(|value| value < range.highest),
                "{name}"
            );
            assert!(
                range.lowest.is_none_or(|value| value <= range.highest),
                "{name}"
            );
            sourced(name, &voltage.citation);
        }
        assert!((2..=4).contains(&coupler.poles.count()), "{name}");
        for other in &coupler.accepts {
            assert!(
                find(other).is_some_and(|other| other.role.may_be(Side::Pins)),
                "{name}"
            );
        }
    }
    assert!(names.iter().is_sorted());
}

fn sourced(name: &str, citation: &Citation) {
    assert!(!citation.standard.is_empty(), "{name}");
    assert!(!citation.clause.is_empty(), "{name}");
    assert!(!citation.edition.is_empty(), "{name}");
}

/// Odd sheets are connectors, even ones inlets, in the whole of IEC 60320.
#[test]
fn odd_sheets_have_contacts_and_even_ones_pins() {
    for coupler in all().filter(|coupler| coupler.family == Family::Iec60320) {
        if !coupler.accepts.is_empty() {
            continue;
        }
        let digits: String = coupler.name.chars().filter(char::is_ascii_digit).collect();
        let odd = digits.parse::<u32>().unwrap() % 2 == 1;
        let role = if odd { Role::Contacts } else { Role::Pins };
        assert_eq!(coupler.role, role, "{coupler}");
    }
}

proptest! {
    #[test]
    fn no_text_is_too_odd(text in "\\PC*") {
        let found = find(&text);
        prop_assert!(found.is_none_or(|coupler| find(&coupler.name) == Some(coupler)));
        side_written(&text);
        prop_assert!(nearest(&text).is_none_or(|name| find(name).is_some()));
    }

    #[test]
    fn no_near_miss_of_a_pin_and_sleeve_name_is_too_odd(text in "(IEC|EN) ?60309[ 0-9AHPNE+h-]{0,24}") {
        prop_assert!(find(&text).is_none_or(|coupler| coupler.family == Family::Iec60309));
    }
}
