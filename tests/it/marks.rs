//! Approval marks: ordinary cords are let be, and the wrong mark is found.

use cordwright::finding::{FactState, Finding, Level, Verdict};
use cordwright::judgement::Settings;

use crate::site::{judged_with, today};
use crate::world::World;

/// What a rule says of a site whose one cord is of a type with these keys.
fn said(rule: &str, site: &str, kind: &str) -> Vec<Finding> {
    let text = format!(
        "site: {{{site}, ambient: 25 °C}}
racks: {{r1: {{height: 42 U}}}}
supplies: {{u: {{system: 3/N/PE ~ 208/120 V 60 Hz}}}}
circuits: {{A: {{from: u, poles: [L1, N], breaker: 20 A, receptacle: NEMA 5-20}}}}
pdu-models:
  strip: {{plug: NEMA 5-20, rating: 16 A, cord: {{cordage: SJT, length: 1 m, conductor: 12 AWG}},
    banks: {{B1: {{between: L1-N, outlets: {{1-12: C13}}}}}}}}
pdus: {{p: {{model: strip, rack: r1, from: A}}}}
device-models: {{box: {{height: 2 U, inlets: {{psu: C14}}}}}}
devices: {{d: {{model: box, rack: r1, draw: 100 W}}}}
cord-types: {{t: {{connector: C13, conductor: 18 AWG, cordage: SJT, length: 1 m, {kind}}}}}
cords: {{W: {{type: t, from: p/1, to: d/psu}}}}
"
    );
    let mut settings = Settings::on(today());
    settings.only = vec![rule.to_owned()];
    judged_with(&vec![("cordwright.yaml".to_owned(), text)], &settings).findings
}

/// What is said of the approvals of a cord type in a country.
fn of_approvals(country: &str, kind: &str) -> Vec<Finding> {
    let site = format!("practice: iec, country: \"{country}\"");
    said("approval-missing", &site, kind)
}

fn verdict(country: &str, plug: &str, marks: &str) -> Option<Verdict> {
    let said = of_approvals(country, &format!("plug: {plug}, approvals: {marks}"));
    assert!(said.len() < 2, "{said:?}");
    let finding = said.first()?;
    assert_eq!(finding.level, Level::Warning);
    Some(finding.verdict)
}

// ——— Missing, unreadable and hostile ———

/// Nothing that is missing, cannot be read or is not known is a pass, and nothing of it is a fault.
#[test]
fn what_is_missing_unreadable_or_unknown_is_asked() {
    for marks in [
        "[]",
        "[~]",
        "~",
        "\"\"",
        "[\"\"]",
        "{VDE: yes}",
        "[{VDE: yes}]",
        "[[BSI]]",
        "none",
        "[none]",
        "[Foo Bar]",
        "[CE, Foo]",
        "[HAR, Foo]",
        "[{a: b}, CE]",
        "[CE, [BSI]]",
        "[42]",
        "[yes]",
        "\", ; ,\"",
        "!mark BSI",
        "[!mark BSI, CE]",
        "\"\\u202EISB\"",
        "\"BSI\\u0000\"",
    ] {
        for plug in ["BS 1363", "C14"] {
            let is_found = verdict("GB", plug, marks);
            // A right-to-left mark or a control character is no letter: what is left is still no BSI.
            let expected = match marks.contains("u0000") {
                true => None,
                false => Some(Verdict::Open),
            };
            assert_eq!(is_found, expected, "{plug} {marks}");
        }
    }
}

#[test]
fn what_cannot_be_read_is_wanted_where_it_stands() {
    let said = of_approvals("GB", "plug: BS 1363, approvals: [CE, {BSI: yes}]");
    let wants = &said[0].wants;
    assert_eq!((wants.len(), wants[0].state), (1, FactState::Unreadable));
    assert!(
        said[0].headline.ends_with("its marks cannot be read"),
        "{said:?}"
    );
    let said = of_approvals("GB", "plug: BS 1363");
    assert_eq!(said[0].wants[0].state, FactState::Absent);
    let said = of_approvals("GB", "plug: BS 1363, approvals: [Foo]");
    assert_eq!(said[0].wants[0].state, FactState::Written);
}

/// Thousands of marks, and marks of thousands of letters, are told in a few words.
#[test]
fn hostile_numbers_of_marks_are_told_briefly() {
    for marks in [
        format!("[{}]", "Foo, ".repeat(20_000)),
        format!("[{}]", "CE, ".repeat(20_000)),
        format!("\"{}\"", "Foo,".repeat(900)),
        format!("[{}]", "x".repeat(3_900)),
    ] {
        let said = of_approvals("GB", &format!("plug: BS 1363, approvals: {marks}"));
        assert_eq!(said.len(), 1);
        assert!(format!("{:?}", said[0]).len() < 8_000);
    }
}

/// Without its plug it is not known whether a mark of another country will do.
#[test]
fn a_plug_that_is_not_known_leaves_open_what_turns_on_it() {
    for plug in ["", "plug: Foo 7, ", "plug: [C14], "] {
        let said = |marks: &str| {
            let said = of_approvals("GB", &format!("{plug}approvals: [{marks}]"));
            said.into_iter().next()
        };
        assert!(said("BSI").is_none(), "{plug}");
        let open = said("VDE").unwrap();
        assert_eq!(open.verdict, Verdict::Open);
        assert_eq!(open.wants[0].key, "plug");
        assert_eq!(said("CE").unwrap().verdict, Verdict::Broken, "{plug}");
    }
}

// ——— How they are written ———

#[test]
fn a_bare_mark_is_a_list_of_one_and_commas_part_marks() {
    for marks in [
        "BSI",
        "bsi kitemark",
        "\"BSI\"",
        "CE, BSI",
        "[CE, BSI]",
        "[\"CE, BSI\"]",
        "CE; BSI",
    ] {
        let text = format!("plug: BS 1363, approvals: {}", quoted(marks));
        assert!(of_approvals("GB", &text).is_empty(), "{marks}");
    }
    let said = of_approvals("GB", "plug: BS 1363, approvals: \"CE; UKCA\"");
    assert_eq!(said[0].verdict, Verdict::Broken);
    assert_eq!(
        said[0].main.note,
        "CE is the maker's own word, not an approval"
    );
}

/// Within brackets a bare text ends at a comma.
fn quoted(marks: &str) -> String {
    match marks.starts_with(['[', '"']) {
        true => marks.to_owned(),
        false => format!("\"{marks}\""),
    }
}

// ——— The three states ———

/// A wall plug with a mark of its country, and a lead as the trade there has it.
const ORDINARY: &[(&str, &str, &[&str], &[&str])] = &[
    (
        "GB",
        "BS 1363",
        &["BSI", "ASTA", "[BSI, CE, UKCA]", "Nemko"],
        &["VDE", "UL", "<HAR>, ÖVE", "ENEC 10", "PSE"],
    ),
    (
        "IE",
        "BS 1363",
        &["BSI", "NSAI", "NF"],
        &["KEMA-KEUR", "cULus"],
    ),
    (
        "DE",
        "CEE 7/7",
        &["VDE", "GS", "ENEC 10", "[CE, KEMA-KEUR]"],
        &["S", "D", "UL Listed"],
    ),
    ("FR", "CEE 7/6", &["NF", "NF-USE", "LCIE", "VDE"], &["IMQ"]),
    ("NL", "CEE 7/7", &["KEMA", "kema keur", "DEKRA"], &["BBJ"]),
    ("SE", "CEE 7/7", &["S", "SEMKO", "Intertek S"], &["FI"]),
    ("NO", "CEE 7/7", &["\"N\"", "Nemko"], &["VDE"]),
    ("PL", "CEE 7/6", &["BBJ", "B", "VDE"], &["TÜV Rheinland"]),
    ("IT", "CEI 23-50 S17", &["IMQ"], &["IMQ"]),
    ("DK", "DS 60884-2-D1", &["D", "UL Demko"], &["VDE"]),
    (
        "CH",
        "SN 441011 T12",
        &["S+", "SEV", "ESTI"],
        &["VDE", "ENEC 05"],
    ),
    ("LI", "SN 441011 T12", &["S+"], &["VDE"]),
    (
        "US",
        "NEMA 5-15",
        &[
            "UL",
            "UL Listed",
            "c(UL)us",
            "ETL Listed",
            "cETLus",
            "MET",
            "CSA C/US",
            "NRTL",
        ],
        &["cULus"],
    ),
    (
        "CA",
        "NEMA 5-15",
        &["CSA", "cUL", "cETL", "cCSAus", "cMETus"],
        &["cULus"],
    ),
    ("PR", "NEMA 5-15", &["UL"], &["UL"]),
    ("MX", "NEMA 5-15", &["NOM", "ANCE"], &["NOM"]),
    (
        "AU",
        "AS/NZS 3112 10 A",
        &["RCM", "N12345", "SAA 123456"],
        &["V1234"],
    ),
    ("NZ", "AS/NZS 3112 10 A", &["RCM"], &["SAA"]),
    (
        "JP",
        "NEMA 1-15",
        &["<PS>E", "PSE diamond", "PSE"],
        &["PSE"],
    ),
    ("KR", "CEE 7/7", &["KC"], &["KC"]),
    ("CN", "AS/NZS 3112 10 A", &["CCC", "3C"], &["CCC"]),
    ("TW", "NEMA 5-15", &["BSMI"], &["BSMI"]),
    (
        "IN",
        "BS 546 5 A",
        &["ISI", "BIS", "CM/L-1234567"],
        &["ISI"],
    ),
    ("SG", "BS 1363", &["Safety Mark"], &["VDE"]),
    ("HK", "BS 1363", &["BSI", "ASTA"], &["VDE"]),
    ("ZA", "BS 546 15 A", &["SABS", "NRCS LOA"], &["SABS"]),
    ("BR", "CEE 7/16", &["INMETRO"], &["INMETRO"]),
    ("AR", "AS/NZS 3112 10 A", &["IRAM", "S-mark"], &["S-mark"]),
    ("QA", "BS 1363", &["G-mark"], &["G-mark"]),
];

#[test]
fn ordinary_cords_of_many_countries_are_let_be() {
    assert!(ORDINARY.len() >= 20);
    for (country, plug, of_plug, of_lead) in ORDINARY {
        let cords = of_plug.iter().map(|marks| (*plug, marks));
        let leads = of_lead.iter().map(|marks| ("C14", marks));
        for (plug, marks) in cords.chain(leads) {
            let marks = quoted(marks);
            assert_eq!(
                verdict(country, plug, &marks),
                None,
                "{country} {plug} {marks}"
            );
        }
    }
}

/// The maker's own word, a mark of the cordage or of another thing is no approval anywhere.
#[test]
fn what_is_no_approval_is_found_in_every_country() {
    for (country, plug, ..) in ORDINARY {
        for marks in [
            "CE",
            "[CE, UKCA]",
            "[HAR, CE]",
            "RoHS",
            "CE 0123",
            "UL Recognized Component",
            "\"(PS)E\"",
        ] {
            for plug in [*plug, "C14"] {
                assert_eq!(
                    verdict(country, plug, marks),
                    Some(Verdict::Broken),
                    "{country} {plug} {marks}"
                );
            }
        }
    }
}

#[test]
fn the_mark_of_another_country_is_found_and_not_called_untested() {
    for (country, plug, marks) in [
        ("GB", "BS 1363", "VDE"),
        ("GB", "BS 1363", "[VDE, CE]"),
        ("CH", "SN 441011 T12", "VDE"),
        ("DE", "CEE 7/7", "UL"),
        ("US", "NEMA 5-15", "CSA"),
        ("US", "NEMA 5-15", "VDE"),
        ("US", "C14", "VDE"),
        ("CA", "NEMA 5-15", "UL"),
        ("JP", "NEMA 1-15", "UL"),
        ("JP", "C14", "VDE"),
        ("AU", "AS/NZS 3112 10 A", "CCC"),
        ("CN", "C14", "VDE"),
        ("IN", "BS 546 5 A", "BSI"),
    ] {
        let said = of_approvals(country, &format!("plug: {plug}, approvals: {marks}"));
        assert_eq!(said[0].verdict, Verdict::Broken, "{country} {marks}");
        let headline = &said[0].headline;
        assert!(
            headline.contains("was tested for other countries"),
            "{headline}"
        );
    }
    for (country, plug, marks) in [
        // What is asked for there is from memory, or not known of such cords.
        ("BR", "CEE 7/16", "VDE"),
        ("TW", "C14", "UL"),
        ("IN", "C14", "VDE"),
        // One of several marks; one that was replaced.
        ("US", "NEMA 5-15", "TÜV"),
        ("US", "NEMA 5-15", "GS"),
        ("US", "C14", "[VDE, Nemko]"),
        ("KR", "CEE 7/7", "EK"),
        ("JP", "NEMA 1-15", "\"<T>\""),
    ] {
        assert_eq!(
            verdict(country, plug, marks),
            Some(Verdict::Open),
            "{country} {marks}"
        );
    }
}

/// Whatever level the site sets, what is from memory alone makes no error.
#[test]
fn what_is_from_memory_makes_no_error() {
    let said = |country: &str, marks: &str| {
        let site =
            format!("practice: iec, country: {country}, levels: {{approval-missing: error}}");
        let kind = format!("plug: C14, approvals: {marks}");
        said("approval-missing", &site, &kind).remove(0)
    };
    assert_eq!(said("BR", "VDE").verdict, Verdict::Open);
    assert_eq!(said("US", "VDE").verdict, Verdict::Broken);
}

// ——— The listing of the NEC ———

/// Listing marks let a larger breaker stand ahead; what may be one is asked, a declaration is none.
#[test]
fn a_listing_of_the_table_protects_a_cord_set_under_the_nec() {
    let of = |marks: &str| {
        let kind = format!("plug: C14, approvals: {marks}");
        let said = said("conductor-unprotected", "practice: nec, country: US", &kind);
        let of_cord = said.into_iter().find(|f| {
            let about = f.about.first().map(ToString::to_string);
            about.is_some_and(|name| name == "t" || name == "W")
        });
        of_cord.map(|finding| finding.verdict)
    };
    for marks in [
        "UL",
        "UL Listed",
        "c(UL)us",
        "cETLus",
        "ETL Listed",
        "MET",
        "cCSAus",
        "CSA",
        "QPS",
        "NRTL",
        "[CE, BACL]",
        "[Foo, UL]",
        "[{a: b}, UL]",
    ] {
        assert_eq!(of(marks), None, "{marks}");
    }
    for marks in [
        "[]",
        "~",
        "Foo",
        "[CE, Foo]",
        "{UL: yes}",
        "[CE, {UL: yes}]",
        "TÜV",
        "GS",
        "[VDE, Nemko]",
    ] {
        assert_eq!(of(marks), Some(Verdict::Open), "{marks}");
    }
    for marks in ["CE", "UKCA", "[CE, RoHS]", "UR", "HAR", "VDE", "CCC", "PSE"] {
        assert_eq!(of(marks), Some(Verdict::Broken), "{marks}");
    }
}

// ——— On the command line ———

#[test]
fn a_mark_is_cited_by_any_spelling() {
    let world = World::with(&[]);
    for (name, words) in [
        ("VDE", "certification body (Germany)"),
        ("kema-keur", "KEMA is a test"),
        ("<PS>E", "Given since 2001"),
        ("MET", "from memory, verify"),
        ("ce", "the maker's own word"),
        // A country goes by the same letters: both are shown.
        ("FI", "FIMKO is a test"),
        ("FI", "Finland"),
    ] {
        let page = world.run(&["cite", name]);
        assert_eq!((page.code, page.errors.as_str()), (Some(0), ""), "{name}");
        let text = page.output.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains(words), "{name}: {text}");
    }
    let none = world.run(&["cite", "Foo Bar"]);
    assert_eq!(none.code, Some(2));
    assert!(none.errors.contains("Nor does a mark"), "{}", none.errors);
}
