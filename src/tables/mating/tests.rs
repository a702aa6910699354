//! The mating tables against a matrix written here from the standards, cell by cell.

use std::collections::BTreeSet;

use uom::si::thermodynamic_temperature::degree_celsius;

use super::rules::Rule;
use super::*;
use crate::tables::couplers::{Family, find};
use crate::tables::words::Words;

mod national;

fn coupler(name: &str) -> &'static Coupler {
    find(name).unwrap_or_else(|| panic!("{name} is not in the tables"))
}

fn mate(contacts: &str, pins: &str) -> Mate {
    mates(coupler(contacts), coupler(pins))
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Cell {
    /// Fits, earth made.
    Earthed,
    /// Fits, earth not made.
    Unearthed,
    No,
    Undecided,
}
use Cell::{Earthed, No, Undecided, Unearthed};

fn cell(mate: &Mate) -> Cell {
    match mate {
        Mate::Fits {
            earth: EarthMade::Yes,
            ..
        } => Earthed,
        Mate::Fits {
            earth: EarthMade::No,
            ..
        } => Unearthed,
        Mate::DoesNotFit { .. } => No,
        Mate::Unknown { .. } | Mate::Fits { .. } => Undecided,
    }
}

fn check(standard: &str, cells: &[(&str, &str, Cell)]) {
    for &(contacts, pins, expected) in cells {
        let mate = mate(contacts, pins);
        assert_eq!(
            cell(&mate),
            expected,
            "{standard}: {pins} into {contacts}: {mate:?}"
        );
    }
}

#[test]
fn iec_60320_sheets() {
    check(
        "IEC 60320-1 and -3, standard sheets",
        &[
            ("C1", "C2", Unearthed),
            ("C5", "C6", Earthed),
            ("C7", "C8", Unearthed),
            ("C9", "C10", Unearthed),
            ("C5", "C8", No),
            ("C7", "C6", No),
            ("C7 polarised", "C8 polarised", Unearthed),
            ("C7 polarised", "C8", Undecided),
            ("C7", "C8 polarised", Unearthed),
            ("C13", "C14", Earthed),
            ("C13", "C16", No),
            ("C13", "C16A", No),
            ("C13", "C18", Unearthed),
            ("C13", "C20", No),
            ("C15", "C14", Earthed),
            ("C15", "C16", Earthed),
            ("C15", "C16A", No),
            ("C15", "C18", Undecided),
            ("C15A", "C16A", Earthed),
            ("C15A", "C16", Earthed),
            ("C15A", "C14", Earthed),
            ("C17", "C18", Unearthed),
            ("C17", "C14", No),
            ("C17", "C16", No),
            ("C19", "C20", Earthed),
            ("C19", "C22", No),
            ("C19", "C14", No),
            ("C19", "C16", No),
            ("C19", "C18", No),
            ("C19", "C24", Undecided),
            ("C21", "C22", Earthed),
            ("C21", "C20", Earthed),
            ("C23", "C24", Unearthed),
            ("C23", "C20", No),
            ("C23", "C22", No),
            ("IEC 60320 F", "IEC 60320 E", Earthed),
            ("IEC 60320 J", "IEC 60320 I", Earthed),
            ("IEC 60320 F", "IEC 60320 I", No),
            ("IEC 60320 J", "IEC 60320 E", No),
        ],
    );
}

#[test]
fn nema_configurations() {
    check(
        "ANSI/NEMA WD 6",
        &[
            ("NEMA 5-15", "NEMA 1-15", Unearthed),
            ("NEMA 5-20", "NEMA 1-15", Unearthed),
            ("NEMA 5-15", "NEMA 5-15", Earthed),
            ("NEMA 5-20", "NEMA 5-15", Earthed),
            ("NEMA 5-15", "NEMA 5-20", No),
            ("NEMA 6-15", "NEMA 6-15", Earthed),
            ("NEMA 6-20", "NEMA 6-15", Earthed),
            ("NEMA 6-15", "NEMA 6-20", No),
            ("NEMA 6-15", "NEMA 5-15", No),
            ("NEMA 5-15", "NEMA 6-15", No),
            ("NEMA 6-20", "NEMA 5-20", No),
            ("NEMA 5-30", "NEMA 5-20", No),
            ("NEMA L6-30", "NEMA L6-20", No),
            ("NEMA 5-15", "NEMA L5-15", No),
            ("NEMA L5-15", "NEMA 5-15", No),
            ("NEMA L6-30", "NEMA L5-20", No),
            ("NEMA L6-30", "NEMA L6-30", Earthed),
            ("NEMA L21-30", "NEMA L22-30", No),
            ("NEMA 5-20", "NEMA 5-30", No),
            ("NEMA 6-20", "NEMA 6-30", No),
            ("NEMA 6-30", "NEMA 6-20", No),
            ("NEMA 1-15", "NEMA 5-15", No),
            ("NEMA TT-30", "NEMA TT-30", Earthed),
            ("NEMA TT-30", "NEMA 5-15", No),
            ("NEMA TT-30", "NEMA 14-30", No),
            ("NEMA 10-30", "NEMA 10-30", Unearthed),
            ("NEMA L11-30", "NEMA L15-30", No),
        ],
    );
    check(
        "UL 498, the 50 A locking family",
        &[
            ("CS8269", "CS8265", Earthed),
            ("CS8369", "CS8365", Earthed),
            ("CS6369", "CS6365", Earthed),
            ("CS8369", "CS6365", No),
            ("CS6369", "CS8365", No),
            ("CS8269", "CS8365", No),
            ("CS8369", "NEMA L15-30", No),
            ("NEMA L6-30", "CS8265", No),
            ("NEMA 14-50", "CS6365", No),
        ],
    );
}

#[test]
fn pin_and_sleeve() {
    check(
        "IEC 60309-2",
        &[
            ("IEC 60309 32 A 2P+E", "IEC 60309 32 A 2P+E", Earthed),
            (
                "IEC 60309 32 A 3P+N+E 6h",
                "IEC 60309 32 A 3P+N+E 6h",
                Earthed,
            ),
            ("IEC 60309 32 A 3P+N+E 6h", "IEC 60309 32 A 3P+N+E", Earthed),
            (
                "IEC 60309 32 A 3P+N+E 9h",
                "IEC 60309 32 A 3P+N+E",
                Undecided,
            ),
            ("IEC 60309 32 A 3P+N+E 6h", "IEC 60309 32 A 3P+N+E 9h", No),
            ("IEC 60309 32 A 3P+N+E", "IEC 60309 32 A 3P+E", No),
            ("IEC 60309 32 A 2P+E", "IEC 60309 16 A 2P+E", No),
            ("IEC 60309 16 A 2P+E", "IEC 60309 32 A 2P+E", No),
            (
                "IEC 60309 32 A 2P+E 6h",
                "IEC 60309 30 A 2P+E 6h",
                Undecided,
            ),
            ("IEC 60309 32 A 2P+E 6h", "IEC 60309 20 A 2P+E 6h", No),
            ("IEC 60309 60 A 2P+N+E 12h", "IEC 60309 60 A 3P+E 9h", No),
        ],
    );
}

#[test]
fn national_plugs() {
    check(
        "CEE 7, EN 50075",
        &[
            ("CEE 7/3", "CEE 7/4", Earthed),
            ("CEE 7/3", "CEE 7/7", Earthed),
            ("CEE 7/3", "CEE 7/16", Unearthed),
            ("CEE 7/5", "CEE 7/4", No),
            ("CEE 7/5", "CEE 7/6", Earthed),
            ("CEE 7/5", "CEE 7/7", Earthed),
            ("CEE 7/5", "CEE 7/16", Unearthed),
        ],
    );
    check(
        "DS 60884-2-D1",
        &[
            ("DS 60884-2-D1", "CEE 7/4", Unearthed),
            ("DS 60884-2-D1", "CEE 7/7", Unearthed),
            ("DS 60884-2-D1", "DS 60884-2-D1", Earthed),
            ("DS 60884-2-D1", "DS 60884-2-D1 13 A", Earthed),
            ("DS 60884-2-D1 13 A", "DS 60884-2-D1", Earthed),
            ("DS 60884-2-D1 13 A", "CEE 7/7", Unearthed),
            ("DS 60884-2-D1 data", "DS 60884-2-D1 13 A", No),
            ("DS 60884-2-D1", "DS 60884-2-D1 data", Earthed),
            ("DS 60884-2-D1 data", "DS 60884-2-D1", No),
        ],
    );
    check(
        "SN 441011",
        &[
            ("T13", "T12", Earthed),
            ("T15", "T12", Earthed),
            ("T23", "T12", Earthed),
            ("T25", "T12", Earthed),
            ("T23", "T23", Earthed),
            ("T25", "T23", Earthed),
            ("T13", "T23", No),
            ("T13", "CEE 7/16", Unearthed),
            ("CEE 7/3", "T23", No),
        ],
    );
    check(
        "CEI 23-50",
        &[
            ("CEI 23-50 P11", "CEI 23-50 S11", Earthed),
            ("CEI 23-50 P17", "CEI 23-50 S17", Earthed),
            ("CEI 23-50 P17", "CEI 23-50 S11", No),
            ("CEI 23-50 P11", "CEI 23-50 S17", No),
            ("CEI 23-50 P17/11", "CEI 23-50 S11", Earthed),
            ("CEI 23-50 P17/11", "CEI 23-50 S17", Earthed),
            ("CEI 23-50 P11", "CEE 7/16", Unearthed),
        ],
    );
    check(
        "BS 1363, BS 546, SANS 164",
        &[
            ("BS 1363", "BS 1363", Earthed),
            ("BS 1363", "CEE 7/7", No),
            ("CEE 7/3", "BS 1363", No),
            ("BS 546 5 A", "BS 546 15 A", No),
            ("BS 546 15 A", "BS 546 5 A", No),
            ("BS 546 15 A", "SANS 164-1", Earthed),
            ("SANS 164-2", "T12", No),
        ],
    );
    check(
        "AS/NZS 3112, GB 2099.1, IRAM 2073",
        &[
            ("AS/NZS 3112 15 A", "AS/NZS 3112 10 A", Earthed),
            ("AS/NZS 3112 10 A", "AS/NZS 3112 15 A", No),
            ("AS/NZS 3112 32 A", "AS/NZS 3112 25 A", Earthed),
            ("AS/NZS 3112 20 A", "AS/NZS 3112 32 A", No),
            ("GB 2099.1 10 A", "AS/NZS 3112 10 A", Undecided),
            ("GB 2099.1 10 A", "GB 2099.1 16 A", No),
            ("IRAM 2073 10 A", "AS/NZS 3112 10 A", Earthed),
        ],
    );
    check(
        "JIS C 8303",
        &[
            ("JIS C 8303 2P+E", "NEMA 5-15", Earthed),
            ("JIS C 8303 2P+E", "JIS C 8303 2P", Unearthed),
            ("JIS C 8303 2P", "JIS C 8303 2P+E", No),
            ("JIS C 8303", "NEMA 5-15", Undecided),
            ("JIS C 8303", "JIS C 8303", Undecided),
            ("NEMA 5-15", "JIS C 8303 2P+E", Earthed),
        ],
    );
}

/// IEC 60320-1: the pair bears the lower of the two classes.
#[test]
fn a_hot_connector_in_a_colder_inlet_is_limited_to_the_inlet() {
    for (contacts, pins, celsius) in [
        ("C15", "C14", 70.0),
        ("C15", "C16", 120.0),
        ("C15A", "C16", 120.0),
        ("C15A", "C16A", 155.0),
        ("C21", "C20", 70.0),
        ("C13/C19 dual", "C14", 70.0),
    ] {
        let Mate::Fits {
            pair_temperature, ..
        } = mate(contacts, pins)
        else {
            panic!("{contacts} does not take {pins}");
        };
        let pair = pair_temperature.unwrap().get::<degree_celsius>();
        assert!((pair - celsius).abs() < 1e-6, "{contacts} {pins}: {pair}");
    }
}

#[test]
fn polarity_follows_the_pair() {
    for (contacts, pins, expected) in [
        ("CEE 7/3", "CEE 7/7", Polarity::NotAssured),
        ("CEE 7/5", "CEE 7/7", Polarity::Kept),
        ("C13", "C14", Polarity::Kept),
        ("C7", "C8 polarised", Polarity::NotAssured),
        ("NEMA 5-15", "NEMA 5-15", Polarity::Kept),
        ("NEMA 5-15", "NEMA 1-15", Polarity::NotAssured),
        ("BS 1363", "BS 1363", Polarity::Kept),
        ("IRAM 2073 10 A", "AS/NZS 3112 10 A", Polarity::Reversed),
        ("AS/NZS 3112 10 A", "IRAM 2073 10 A", Polarity::Reversed),
    ] {
        let Mate::Fits { polarity, .. } = mate(contacts, pins) else {
            panic!("{contacts} does not take {pins}");
        };
        assert_eq!(polarity, expected, "{contacts} {pins}");
    }
}

#[test]
fn two_halves_of_one_kind_never_mate() {
    for (contacts, pins) in [
        ("C13", "C13"),
        ("C14", "C14"),
        ("C14", "C13"),
        ("CEE 7/4", "CEE 7/3"),
    ] {
        let mate = mate(contacts, pins);
        assert!(
            matches!(mate, Mate::DoesNotFit { .. }),
            "{pins} into {contacts}: {mate:?}"
        );
    }
}

/// Over every pair there is: roles are kept, families stay apart, the earth is never made out of nothing,
/// and every answer has a source.
#[test]
fn no_pair_is_nonsense() {
    for contacts in couplers::all() {
        for pins in couplers::all() {
            let mate = mates(contacts, pins);
            assert!(
                !mate.citation().standard.is_empty(),
                "{pins} into {contacts}"
            );
            let Mate::Fits {
                earth,
                pair_temperature,
                ..
            } = mate
            else {
                continue;
            };
            assert!(contacts.role.may_be(Side::Contacts) && pins.role.may_be(Side::Pins));
            assert!(same_world(contacts, pins), "{pins} into {contacts}");
            if earth == EarthMade::Yes {
                let both = [contacts, pins].map(|half| half.earth);
                assert_eq!(both, [Earth::Contact; 2], "{pins} into {contacts}");
            }
            if let Some(pair) = pair_temperature {
                let inlet = pins.pin_temperature.as_ref().unwrap().value;
                assert!(pair == inlet, "{contacts} is colder than {pins}");
            }
        }
    }
}

/// The Japanese faces are those of NEMA 1-15 and 5-15, and Thai sockets take these; no other families meet.
fn same_world(contacts: &Coupler, pins: &Coupler) -> bool {
    let of = |coupler: &Coupler, standard: &str| coupler.name.starts_with(standard);
    let nema = |coupler: &Coupler| coupler.family == Family::Nema;
    contacts.family == pins.family
        || ((of(contacts, "JIS") || of(contacts, "TIS")) && nema(pins))
        || (nema(contacts) && of(pins, "JIS"))
}

/// NEMA allows exactly three plugs in a foreign receptacle, and none of them the other way.
#[test]
fn nema_has_no_exceptions_but_the_known() {
    let nema = || couplers::all().filter(|coupler| coupler.family == Family::Nema);
    let mut exceptions = BTreeSet::new();
    for contacts in nema() {
        for pins in nema().filter(|pins| pins.name != contacts.name) {
            if mates(contacts, pins).fits() {
                exceptions.insert((pins.name.as_str(), contacts.name.as_str()));
            }
        }
    }
    let known = [
        ("NEMA 1-15", "NEMA 5-15"),
        ("NEMA 1-15", "NEMA 5-20"),
        ("NEMA 5-15", "NEMA 5-20"),
        ("NEMA 6-15", "NEMA 6-20"),
    ];
    assert_eq!(exceptions, BTreeSet::from(known));
}

#[test]
fn suitable_halves_come_surest_first() {
    let names = |couplers: Vec<&'static Coupler>| -> Vec<&str> {
        couplers
            .into_iter()
            .map(|coupler| coupler.name.as_str())
            .collect()
    };
    let for_c14 = names(suitable_for_inlet(coupler("C14")));
    assert_eq!(for_c14, ["C13", "C15", "C13/C19 dual", "C15A"]);
    assert_eq!(names(suitable_for_inlet(coupler("C16A"))), ["C15A"]);
    let for_receptacle = names(suitable_plugs_for(coupler("NEMA 5-20")));
    assert_eq!(for_receptacle[0], "NEMA 5-20");
    assert!(for_receptacle.contains(&"NEMA 5-15"));
    assert_eq!(
        names(suitable_plugs_for(coupler("C14"))),
        Vec::<&str>::new()
    );
}

#[test]
fn every_rule_has_words_and_a_source() {
    for rule in Rule::ALL {
        assert!(!rule.why().said_in(Words::of(None)).is_empty(), "{rule:?}");
        assert!(!rule.citation().standard.is_empty(), "{rule:?}");
    }
}
