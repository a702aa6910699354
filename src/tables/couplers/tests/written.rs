//! How people write couplers: each kind of spelling beside where it comes from, and what is not read.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::super::*;

fn name(text: &str) -> Option<&'static str> {
    find(text).map(|coupler| coupler.name.as_str())
}

fn reads(rows: &[(&str, &str)]) {
    for (text, expected) in rows {
        assert_eq!(name(text), Some(*expected), "{text}");
    }
}

/// NEC 406.3(D) and 250.146(D) for the isolated earth, UL 498 for hospital grade, NEC 406.9 and 406.12 for the
/// others: none changes the configuration of ANSI/NEMA WD 6.
#[test]
fn variants_are_the_plain_configuration() {
    reads(&[
        ("NEMA IG5-20R", "NEMA 5-20"),
        ("IG5-20R", "NEMA 5-20"),
        ("IG 5-20", "NEMA 5-20"),
        ("5-20R-IG", "NEMA 5-20"),
        ("IG-L5-20R", "NEMA L5-20"),
        ("NEMA 5-20 isolated ground", "NEMA 5-20"),
        ("HG5-15", "NEMA 5-15"),
        ("5-15R-HG", "NEMA 5-15"),
        ("NEMA 5-15 hospital grade", "NEMA 5-15"),
        ("NEMA 5-15P hospital-grade", "NEMA 5-15"),
        ("hospital grade 5-15R", "NEMA 5-15"),
        ("HG IG NEMA 5-20R", "NEMA 5-20"),
        ("IG5-20R-HG", "NEMA 5-20"),
        ("NEMA 5-20R TR WR", "NEMA 5-20"),
        ("WR5-20RTR", "NEMA 5-20"),
        ("6-20R-WR", "NEMA 6-20"),
        ("NEMA_IG5_20R", "NEMA 5-20"),
    ]);
    for (text, marks) in [
        ("NEMA IG5-20R", vec!["IG"]),
        ("IG5-20R-HG", vec!["HG", "IG"]),
        ("NEMA 5-20R", vec![]),
    ] {
        let found: Vec<&str> = variants_written(text)
            .iter()
            .map(|one| one.mark.as_str())
            .collect();
        assert_eq!(found, marks, "{text}");
    }
}

#[test]
fn no_variant_is_of_what_cannot_have_it() {
    for text in [
        // There is no earth contact to isolate.
        "IG1-15",
        "NEMA L18-20 IG",
        "HG 1-15",
        // A mark twice, a mark alone, a mark on what is no NEMA device.
        "NEMA IGIGIG5-15",
        "IG5-20R-IG",
        "NEMA NEMA 5-15",
        "IG",
        "NEMA IG",
        "IG C13",
        "BS 1363 HG",
        "IG CS8365",
    ] {
        assert_eq!(name(text), None, "{text}");
    }
}

/// The examples of a public schema of power equipment: wires, amperes, half, hour.
#[test]
fn trade_codes_are_read_by_their_parts() {
    for (text, expected, side) in [
        ("332P6W", "IEC 60309 32 A 2P+E 6h", Side::Pins),
        ("332p6", "IEC 60309 32 A 2P+E 6h", Side::Pins),
        ("316P6", "IEC 60309 16 A 2P+E 6h", Side::Pins),
        ("363B6W", "IEC 60309 63 A 2P+E 6h", Side::Pins),
        ("516P6", "IEC 60309 16 A 3P+N+E 6h", Side::Pins),
        ("563P6", "IEC 60309 63 A 3P+N+E 6h", Side::Pins),
        ("460P9W", "IEC 60309 60 A 3P+E 9h", Side::Pins),
        ("560C9W", "IEC 60309 60 A 3P+N+E 9h", Side::Contacts),
        ("360C6W", "IEC 60309 60 A 2P+E 6h", Side::Contacts),
        ("320R6W", "IEC 60309 20 A 2P+E 6h", Side::Contacts),
        ("5100R9W", "IEC 60309 100 A 3P+N+E 9h", Side::Contacts),
        ("5125P6", "IEC 60309 125 A 3P+N+E 6h", Side::Pins),
        ("IEC 60309 332P6W", "IEC 60309 32 A 2P+E 6h", Side::Pins),
        ("IEC_60309_560P9", "IEC 60309 60 A 3P+N+E 9h", Side::Pins),
    ] {
        assert_eq!(name(text), Some(expected), "{text}");
        assert_eq!(side_written(text), Some(side), "{text}");
    }
    for text in [
        "999P99W", "232P6W", "632P6W", "333P6W", "332P13W", "332P0W", "332P06", "032P6", "332P",
        "332X6W", "332P6WW", "332P5W", "P6W", "332 6W", "5100P",
    ] {
        assert_eq!(name(text), None, "{text}");
    }
}

/// IEC 60309-1 and -2, by the names that it had before and that its users have for it.
#[test]
fn pin_and_sleeve_is_read_by_what_is_written() {
    reads(&[
        ("CEE 32A 5p", "IEC 60309 32 A 3P+N+E"),
        ("CEE 32A 5-pin", "IEC 60309 32 A 3P+N+E"),
        ("CEE 32 A 5-polig 6h", "IEC 60309 32 A 3P+N+E 6h"),
        ("CEE 17 63A 5P", "IEC 60309 63 A 3P+N+E"),
        ("CEE 16A 3p blue", "IEC 60309 16 A 2P+E"),
        ("CEE blue 16A 3p", "IEC 60309 16 A 2P+E"),
        ("CEE 16A 3-pin", "IEC 60309 16 A 2P+E"),
        ("CEE 16A 3-pin 230V 6h", "IEC 60309 16 A 2P+E 6h"),
        ("CEE 32A 4-pin red", "IEC 60309 32 A 3P+E"),
        ("CEE 32A 4P+E", "IEC 60309 32 A 3P+N+E"),
        ("CEE 16A L+N+PE 6h", "IEC 60309 16 A 2P+E 6h"),
        ("IEC 309 32A 3P+N+E 6h", "IEC 60309 32 A 3P+N+E 6h"),
        ("BS EN 60309-2 16 A 2P+E 6h", "IEC 60309 16 A 2P+E 6h"),
        ("DIN EN 60309-2 32A 3P+N+PE 6h", "IEC 60309 32 A 3P+N+E 6h"),
        ("NEN-EN 60309 16A 2P+E 6h", "IEC 60309 16 A 2P+E 6h"),
        ("60309 32A 3P+N+E 6h", "IEC 60309 32 A 3P+N+E 6h"),
        ("IEC 60309-2 20 A 2P+E 6h", "IEC 60309 20 A 2P+E 6h"),
        ("IEC-60309-20A-2P+E-6h", "IEC 60309 20 A 2P+E 6h"),
        ("IEC 60309, 16 A, 2P+E, 6h", "IEC 60309 16 A 2P+E 6h"),
        ("IEC 60309 60A 4P5W 9h", "IEC 60309 60 A 3P+N+E 9h"),
        ("IEC 60309 30A 2P3W 6h 240V", "IEC 60309 30 A 2P+E 6h"),
        (
            "IEC 60309 32A 3L+N+E 230/400V 6h red",
            "IEC 60309 32 A 3P+N+E 6h",
        ),
        ("IEC 60309 60A 3P4W 9h", "IEC 60309 60 A 3P+E 9h"),
    ]);
}

/// What may mean several is read as none of them, and all are offered.
#[test]
fn what_may_mean_two_things_is_not_read() {
    for (text, meant) in [
        // Three lines, or two and their neutral.
        (
            "430P12W",
            vec!["IEC 60309 30 A 3P+E 12h", "IEC 60309 30 A 2P+N+E 12h"],
        ),
        (
            "IEC 60309 60A 3P4W 12h",
            vec!["IEC 60309 60 A 3P+E 12h", "IEC 60309 60 A 2P+N+E 12h"],
        ),
        // The earth counted, or not.
        (
            "CEE 16A 3p",
            vec!["IEC 60309 16 A 2P+E", "IEC 60309 16 A 3P+E"],
        ),
        (
            "CEE 32A 4p",
            vec!["IEC 60309 32 A 3P+E", "IEC 60309 32 A 3P+N+E"],
        ),
        (
            "CEE 32A 4p red",
            vec!["IEC 60309 32 A 3P+E", "IEC 60309 32 A 3P+N+E"],
        ),
        (
            "CEE 32A 3p red",
            vec!["IEC 60309 32 A 2P+E", "IEC 60309 32 A 3P+E"],
        ),
        (
            "IEC 60309 16A 3P blue",
            vec!["IEC 60309 16 A 2P+E", "IEC 60309 16 A 3P+E"],
        ),
        // National names and letters.
        ("SS 145", vec!["BS 1363"]),
        ("SS 145 13 A", vec!["BS 1363"]),
        ("MS 589", vec!["BS 1363"]),
        (
            "GB/T 11918 32 A 3P+N+E 6h",
            vec!["IEC 60309 32 A 3P+N+E 6h"],
        ),
        ("IS 1293 6 A / 16 A", vec!["IS 1293 6 A", "IS 1293 16 A"]),
        ("CEE 7 type E", vec!["CEE 7/5", "CEE 7/6", "CEE 7/7"]),
        ("Type F", vec!["CEE 7/3", "CEE 7/4", "CEE 7/7"]),
        (
            "type I",
            vec!["AS/NZS 3112 10 A", "GB 2099.1 10 A", "IRAM 2073 10 A"],
        ),
        ("sheet N", vec!["C15"]),
        ("L14-50R", vec!["CS 50 A 125/250 V 3P4W"]),
        ("NEMA L15-60", vec!["CS 50 A 250 V 3P4W"]),
    ] {
        assert_eq!(name(text), None, "{text}");
        let said = advice(text, None).unwrap_or_default();
        for one in &meant {
            assert!(said.contains(&format!("`{one}`")), "{text}: {said}");
        }
        assert_eq!(said.matches('`').count(), 2 * meant.len(), "{text}: {said}");
    }
}

/// Contradictions are no names, either.
#[test]
fn what_contradicts_itself_is_not_read() {
    for text in [
        "CEE 16A 3-pin 400V 6h",
        "CEE 32A 5p 6h blue",
        "CEE 32A 32A 5p",
        "CEE 32A 16A 5p",
        "CEE 16/32A 5p",
        "CEE 32A 5p 6h 9h",
        "CEE 32A 5p 2P+E",
        "CEE 32A",
        "CEE 5p",
        "CEE 5p 6h",
        "CEE 32A 6p",
        "CEE 32A 2p",
        "CEE 33A 5p",
        "CEE 32A 3P+N",
        "309 32A 5p",
        "32A 5p",
        "IEC 32A 5p",
        "CEE 32A 5p IP44",
    ] {
        assert_eq!(name(text), None, "{text}");
    }
}

#[test]
fn names_of_the_trade_are_read() {
    reads(&[
        // IEC 320 was renumbered to IEC 60320.
        ("IEC 320 C13", "C13"),
        ("320 C14", "C14"),
        ("IEC320 C19", "C19"),
        ("IEC_60320_C20", "C20"),
        // IEC 60320-2-2, withdrawn: its letters for the same faces.
        ("sheet F", "C13"),
        ("Sheet E", "C14"),
        ("IEC 60320-2-2 J", "C19"),
        ("IEC 60320-2-2 sheet I", "C20"),
        ("IEC 60320/E", "C14"),
        // ANSI/NEMA WD 6.
        ("L6-30", "NEMA L6-30"),
        ("L6-30P", "NEMA L6-30"),
        ("5-15P", "NEMA 5-15"),
        ("NEMA 5-15-R", "NEMA 5-15"),
        ("NEMA L6 30R", "NEMA L6-30"),
        ("NEMA_L21_30P", "NEMA L21-30"),
        // The 50 A locking family by its open part numbers; letters behind them say colour and finish.
        ("CS8365", "CS 50 A 250 V 3P4W"),
        ("CS8365C", "CS 50 A 250 V 3P4W"),
        ("CS-8264", "CS 50 A 250 V 2P3W"),
        ("California CS8265", "CS 50 A 250 V 2P3W"),
        // National standards.
        ("BS 1363 13 A", "BS 1363"),
        ("BS1363 13A", "BS 1363"),
        ("BS 1363 type G", "BS 1363"),
        ("KS C 8305 16 A", "KS C 8305"),
        ("SANS 164-1 16 A", "SANS 164-1"),
        ("SANS 164-2", "SANS 164-2"),
        ("IS 1293 6 A", "IS 1293 6 A"),
        ("IS 1293 16 A", "IS 1293 16 A"),
        ("JIS C 8303", "JIS C 8303"),
        ("SEV 1011 type 12", "SN 441011 T12"),
        ("CEE 7-7", "CEE 7/7"),
        ("CEE_7_7", "CEE 7/7"),
        ("CEE 7 / 7", "CEE 7/7"),
    ]);
}

/// Plug and outlet types as a public schema of power equipment lists them (in our words: what of them names a
/// coupler of the tables, what means several, and what names a place or a wiring and no coupler).
#[test]
fn types_of_a_public_schema_are_read() {
    let plugs = "NEMA_5_15P NEMA_L5_15P NEMA_5_20P NEMA_L5_20P NEMA_L5_30P NEMA_6_15P NEMA_L6_15P NEMA_6_20P NEMA_L6_20P NEMA_L6_30P NEMA_L14_20P NEMA_L14_30P NEMA_L15_20P NEMA_L15_30P NEMA_L21_20P NEMA_L21_30P NEMA_L22_20P NEMA_L22_30P IEC_60320_C14 IEC_60320_C20 IEC_60309_316P6 IEC_60309_332P6 IEC_60309_363P6 IEC_60309_516P6 IEC_60309_532P6 IEC_60309_563P6 IEC_60309_460P9 IEC_60309_560P9";
    for text in plugs.split(' ') {
        assert_eq!(side_written(text), Some(Side::Pins), "{text}");
    }
    let receptacles = "NEMA_5_15R NEMA_5_20R NEMA_L5_20R NEMA_L5_30R NEMA_L6_20R NEMA_L6_30R IEC_60320_C13 IEC_60320_C19";
    for text in receptacles.split(' ') {
        assert_eq!(side_written(text), Some(Side::Contacts), "{text}");
    }
    let faces =
        "California_CS8265 California_CS8365 SEV_1011_TYPE_12 SEV_1011_TYPE_23 BS_1363_Type_G";
    for text in faces.split(' ') {
        assert!(
            find(text).is_some() && side_written(text).is_none(),
            "{text}"
        );
    }
    for text in ["CEE_7_Type_E", "CEE_7_Type_F"] {
        assert_eq!(find(text), None, "{text}");
        let said = advice(text, None).unwrap();
        assert!(said.contains("`CEE 7/"), "{text}: {said}");
    }
    for text in [
        "Field_208V_3P4W_60A",
        "Field_400V_3P5W_32A",
        "BusConnection",
    ] {
        assert_eq!(find(text), None, "{text}");
    }
}

#[test]
fn a_standard_that_is_known_lists_its_names() {
    for (text, has, lacks) in [
        ("C31", "C13, ", "NEMA"),
        ("C114", "C1, C2, C3", "NEMA"),
        ("IEC 60320 C99", "C13, ", "NEMA"),
        (
            "NEMA 5-51",
            "NEMA series 5 the tables have NEMA 5-15, NEMA 5-20",
            "6-15",
        ),
        ("L6-35P", "NEMA series L6 the tables have NEMA L6-15", "L5"),
        ("IG5-51R", "NEMA series 5 ", "6-15"),
        ("NEMA 99-15", "the series 1, 2, 5, ", "5-20"),
        (
            "BS 1364",
            "BS 546 2 A, BS 546 5 A, BS 546 15 A, BS 546 30 A, BS 1363",
            "AS/NZS",
        ),
        ("BS 546", "Of BS 546 the tables have BS 546 2 A", "1363"),
        ("BS 546 6 A", "Of BS 546 the tables have BS 546 2 A", "1363"),
        (
            "AS/NZS 3112 12 A",
            "AS/NZS 3112 10 A, AS/NZS 3112 15 A",
            "BS",
        ),
        ("SANS 164-3", "SANS 164-1, SANS 164-2", "BS"),
        ("SN 441011 T14", "SN 441011 T11, SN 441011 T12", "BS"),
        ("T14", "SN 441011 T11", "BS"),
        ("SEV 1011 T14", "SN 441011 T11", "BS"),
        (
            "IEC 60309 33 A 2P+E",
            "amperes (16, 20, 30, 32, 60, 63, 100, 125)",
            "CEE",
        ),
        ("CEE 7/9", "CEE 7/7", "BS"),
        ("CS9999", "CS 50 A 250 V 3P4W", "NEMA"),
        ("GB/T 2099.2", "GB 2099.1 10 A", "BS"),
        ("AS/NZS 3123 32 A", "not those of AS/NZS 3112", "`"),
        ("KS 546 5 A", "KS C 8305", "BS"),
        ("CS8165", "480 V", "`"),
        ("IEC TS 62735-1", "direct current", "`"),
    ] {
        let nearest = nearest(text);
        assert_eq!((find(text), nearest), (None, None), "{text}");
        let said = advice(text, nearest).unwrap_or_default();
        assert!(
            said.contains(has) && !said.contains(lacks),
            "{text}: {said}"
        );
    }
    for text in ["gooseneck", "", "999P99W", "13", "\u{7}", "ß1-50"] {
        assert_eq!((find(text), advice(text, None)), (None, None), "{text:?}");
    }
}

/// A suggestion never changes a number, nor leads to another standard.
#[test]
fn no_suggestion_crosses_a_standard_or_a_rating() {
    for coupler in all() {
        let letters = coupler.name.char_indices();
        let slips = letters.map(|(at, letter)| {
            let mut text = coupler.name.clone();
            let other = match letter {
                '0'..='8' => char::from(letter as u8 + 1),
                '9' => '0',
                'A'..='Y' => char::from(letter as u8 + 1),
                _ => 'X',
            };
            text.replace_range(at..=at, &other.to_string());
            text
        });
        for text in slips.filter(|text| find(text).is_none()) {
            let Some(other) = nearest(&text) else {
                continue;
            };
            let figures =
                |text: &str| -> String { text.chars().filter(char::is_ascii_digit).collect() };
            assert_eq!(figures(&text), figures(other), "{text}: {other}");
            if let Some(standard) = standards::of(&text) {
                assert!(standard.has(find(other).unwrap()), "{text}: {other}");
            }
        }
    }
}

/// Every spelling that the tables have, in all that may differ without meaning.
#[test]
fn every_spelling_reads_back_and_means_one() {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for coupler in all() {
        for text in coupler.aliases().iter().chain([&coupler.name]) {
            let forms = [
                text.clone(),
                text.to_lowercase(),
                text.replace(' ', ""),
                text.replace(' ', "_"),
                text.replace('-', "\u{2013}"),
                format!(" {text} "),
            ];
            for form in forms {
                assert_eq!(find(&form), Some(coupler), "{form}");
                let other = seen.insert(form.clone(), &coupler.name);
                assert!(other.is_none_or(|other| other == coupler.name), "{form}");
            }
        }
        assert_eq!(find(&coupler.to_string()), Some(coupler));
        assert!(CATALOGUE.sleeves(&coupler.name).len() <= 1, "{coupler}");
        assert!(offered::offered(&coupler.name).is_none(), "{coupler}");
    }
}

/// Names that are offered are not read, and what they offer is.
#[test]
fn offers_lead_somewhere_and_are_sourced() {
    let text = include_str!("../../data/couplers-offered.yaml");
    for line in text
        .lines()
        .filter_map(|line| line.trim().strip_prefix("- written: ["))
    {
        for written in line.trim_end_matches(']').split(", ") {
            assert_eq!(name(written), None, "{written}");
            let (row, _) = offered::offered(written).unwrap_or_else(|| panic!("{written}"));
            assert!(!row.why.citation.standard.is_empty(), "{written}");
        }
    }
}

#[test]
fn hostile_texts_are_no_couplers_and_cost_little() {
    let long = "5-15".repeat(100_000);
    for text in [
        long.as_str(),
        &format!("C13{}", " ".repeat(100_000)),
        &format!("NEMA 5-15{}", "-IG".repeat(1000)),
        &format!("CEE{}", " 32A".repeat(1000)),
        "C13\0",
        "C13\u{1b}[31m",
        "\u{202e}31C",
        "C13\u{200b}",
        "NEMA 5-15\u{301}",
        "332P6W\u{7}",
        "С13",
        "ſS1-50",
        "/////",
        "-C13",
        "CEE 999999999999A 5p",
        "99999P999999999999999999W",
        "5 15",
        "5/15",
        "CEE 32A é",
        "é32P6",
    ] {
        let start: String = text.chars().take(20).collect();
        if start.starts_with("C13 ") {
            continue;
        }
        assert_eq!(name(text), None, "{start:?}");
        assert!(
            advice(text, None).is_none_or(|said| said.len() < 1000),
            "{start:?}"
        );
        assert_eq!(side_written(text), None, "{start:?}");
    }
}

proptest! {
    #[test]
    fn odd_words_of_the_trade_break_nothing(text in "(NEMA|IEC|CEE|CS|IG|HG|type|sheet|5|L6|-|_| |/|15|32|60309|320|P|R|6h|A|V|\\+|E|N|W|blue|é){1,12}") {
        let found = find(&text);
        prop_assert!(found.is_none_or(|coupler| find(&coupler.name) == Some(coupler)));
        prop_assert!(advice(&text, nearest(&text)).is_none_or(|said| said.len() < 2000));
        if let Some(side) = side_written(&text) {
            prop_assert!(found.unwrap().role.may_be(side));
        }
    }

    #[test]
    fn a_written_half_is_that_of_the_name_without_it(index in 0..800usize, side in "[PR]") {
        if let Some(coupler) = all().nth(index).filter(|one| one.name.starts_with("NEMA ")) {
            let text = format!("{coupler}{side}");
            prop_assert_eq!(find(&text), Some(coupler));
            let expected = if side == "P" { Side::Pins } else { Side::Contacts };
            prop_assert_eq!(side_written(&text), Some(expected));
        }
    }
}
