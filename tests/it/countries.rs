//! A site with its country's own supply and wall plugs: nothing is foreign there, and what sources disagree
//! on is never more than open.

use cordwright::finding::{Finding, Verdict};
use cordwright::judgement::Settings;

use crate::site::{judged_with, today};
use crate::world::World;

/// What lists give of countries; what its columns are stands at its head.
const LISTS: &str = include_str!("../reference/mains.txt");

struct Country {
    code: &'static str,
    volts: Vec<f64>,
    hertz: &'static str,
    between_lines: Vec<f64>,
    plugs: Vec<&'static str>,
    are_mains_disputed: bool,
}

fn countries() -> impl Iterator<Item = Country> {
    let lines = LISTS.lines().filter(|line| !line.starts_with('#'));
    lines.flat_map(|line| {
        let cells: Vec<&str> = line.split(" | ").collect();
        cells[0].split(' ').map(move |code| Country {
            code,
            volts: numbers(cells[1]),
            hertz: cells[2],
            between_lines: numbers(cells[3]),
            plugs: cells[4].split(' ').flat_map(usual).copied().collect(),
            are_mains_disputed: cells[5] == "X",
        })
    })
}

fn numbers(cell: &str) -> Vec<f64> {
    let numbers = cell.split(' ').map(str::parse);
    numbers.map(Result::unwrap).collect()
}

/// Everyday wall plugs that go by a letter.
fn usual(letter: &str) -> &'static [&'static str] {
    match letter {
        "A" => &["NEMA 1-15"],
        "B" => &["NEMA 5-15"],
        "N" => &["NEMA 1-15", "NEMA 5-15", "NEMA 5-20", "NEMA L6-30"],
        "C" => &["CEE 7/16"],
        "D" => &["BS 546 5 A"],
        "E" => &["CEE 7/6", "CEE 7/7"],
        "F" => &["CEE 7/4", "CEE 7/7"],
        "G" => &["BS 1363"],
        "I" => &["AS/NZS 3112 10 A"],
        "J" => &["SN 441011 T12"],
        "K" => &["DS 60884-2-D1"],
        "L" => &["CEI 23-50 S11", "CEI 23-50 S17"],
        "M" => &["BS 546 15 A"],
        _ => panic!("{letter} is no letter of a plug"),
    }
}

/// What is foreign in a country: of a supply that is marked so, and of a strip on a wall circuit.
fn foreign(country: &str, marking: &str, plug: &str) -> Vec<Finding> {
    let text = format!(
        "site: {{practice: iec, country: \"{country}\", ambient: 25 °C}}
racks: {{r1: {{height: 42 U}}}}
supplies: {{u: {{system: {marking}}}}}
circuits: {{A: {{from: u, poles: [L1, N], breaker: 10 A, receptacle: {plug}}}}}
pdu-models: {{strip: {{plug: {plug}, rating: 10 A, banks: {{B1: {{between: L1-N, outlets: {{1-4: C13}}}}}}}}}}
pdus: {{p: {{model: strip, rack: r1, from: A}}}}
"
    );
    let mut settings = Settings::on(today());
    settings.only = ["supply-foreign", "plug-foreign"].map(String::from).into();
    judged_with(&vec![("cordwright.yaml".to_owned(), text)], &settings).findings
}

/// Markings of the supplies that a country has.
fn markings(country: &Country) -> Vec<String> {
    let hertz = country.hertz;
    let to_neutral = country.volts.iter();
    let mut markings: Vec<String> = to_neutral
        .map(|volts| format!("1/N/PE ~ {volts} V {hertz} Hz"))
        .collect();
    for lines in &country.between_lines {
        markings.push(format!("3/PE ~ {lines} V {hertz} Hz"));
        let is_star = |volts: &&f64| (lines / *volts / 3f64.sqrt() - 1.0).abs() < 0.03;
        let stars = country.volts.iter().filter(is_star);
        markings.extend(stars.map(|volts| format!("3/N/PE ~ {lines}/{volts} V {hertz} Hz")));
    }
    markings
}

#[test]
fn nothing_is_foreign_at_home() {
    for country in countries() {
        let code = country.code;
        for marking in markings(&country) {
            for plug in &country.plugs {
                assert_eq!(foreign(code, &marking, plug), [], "{code} {marking} {plug}");
            }
        }
    }
}

/// 480 V from line to neutral and a Korean plug are at home in none of them.
#[test]
fn what_lists_disagree_on_is_open_and_all_else_foreign_is_told() {
    for country in countries() {
        let marking = format!("1/N/PE ~ 480 V {} Hz", country.hertz);
        let said = foreign(country.code, &marking, "KS C 8305");
        let verdict = |rule: &str| {
            let found: Vec<&Finding> = said.iter().filter(|one| one.rule == rule).collect();
            assert_eq!(found.len(), 1, "{}: {said:?}", country.code);
            found[0].verdict
        };
        let is_open = verdict("supply-foreign") == Verdict::Open;
        // What lies between lines is disputed in two more of them.
        let expected = country.are_mains_disputed || ["TZ", "CO"].contains(&country.code);
        assert_eq!(is_open, expected, "{}", country.code);
        let is_open = verdict("plug-foreign") == Verdict::Open;
        assert_eq!(is_open, country.code == "UZ", "{}", country.code);
    }
}

/// A country by its English name is the country.
#[test]
fn a_country_is_read_by_its_name() {
    let (here, there) = ("1/N/PE ~ 230 V 50 Hz", "1/N/PE ~ 120 V 60 Hz");
    for name in ["GB", "gb", "UK", "United Kingdom", "Great Britain"] {
        assert_eq!(foreign(name, here, "BS 1363"), [], "{name}");
        let told = foreign(name, there, "NEMA 5-15");
        let headlines: Vec<&str> = told.iter().map(|one| one.headline.as_str()).collect();
        assert_eq!(told.len(), 3, "{headlines:?}");
        let knows = |headline: &&str| headline.contains("(United Kingdom)");
        assert!(headlines.iter().all(knows), "{headlines:?}");
    }
    for name in ["Korea", "England", "Deutschland"] {
        let told = foreign(name, here, "BS 1363");
        assert!(told.iter().all(|one| one.verdict == Verdict::Open));
        let advice = "Write the country by its two letters (ISO 3166-1), like `country: AU`.";
        assert!(
            told.iter().all(|one| one.remedy.advice == advice),
            "{told:?}"
        );
        assert_eq!(told.len(), 2, "{name}");
    }
}

/// Its mains and plugs are known, and the marks that it asks for are not.
#[test]
fn a_country_without_marks_is_an_open_point_of_approvals_alone() {
    let text = "site: {name: Quay, practice: iec, country: Kenya, ambient: 25 °C}
racks: {r1: {height: 42 U}}
supplies: {u: {system: 1/N/PE ~ 240 V 50 Hz}}
circuits: {A: {from: u, poles: [L1, N], breaker: 10 A, receptacle: BS 1363}}
pdu-models: {strip: {plug: BS 1363, rating: 10 A, banks: {B1: {between: L1-N, outlets: {1-4: C13}}}}}
pdus: {p: {model: strip, rack: r1, from: A}}
device-models: {box: {height: 2 U, inlets: {psu: C14}}}
devices: {d: {model: box, rack: r1}}
cord-types: {t: {plug: C14, connector: C13, approvals: [BSI]}}
cords: {W: {type: t, from: p/1, to: d/psu}}
";
    let mut settings = Settings::on(today());
    settings.only = ["supply-foreign", "plug-foreign", "approval-missing"]
        .map(String::from)
        .into();
    let files = vec![("cordwright.yaml".to_owned(), text.to_owned())];
    let said = judged_with(&files, &settings).findings;
    let [finding] = said.as_slice() else {
        panic!("{said:?}");
    };
    assert_eq!(
        (finding.rule, finding.verdict),
        ("approval-missing", Verdict::Open)
    );
    assert!(
        finding
            .headline
            .ends_with("the tables have no approval marks of Kenya")
    );
}

#[test]
fn a_country_is_cited_by_its_code_or_its_name() {
    let world = World::with(&[]);
    for name in ["GB", "uk", "united kingdom"] {
        let page = world.run(&["cite", name]);
        assert_eq!((page.code, page.errors.as_str()), (Some(0), ""));
        assert!(
            page.output.starts_with("GB, United Kingdom\n\n"),
            "{}",
            page.output
        );
        assert!(
            page.output
                .contains("\nWall plugs\nBS 1363. Source: IEC TR 60083")
        );
    }
    for name in ["XX", "Deutschland"] {
        let page = world.run(&["cite", name]);
        assert_eq!(page.code, Some(2));
        let advice = "No country of the tables goes by that name, either. Nor does a mark,";
        let told = page.errors.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(advice), "{told}");
    }
}
