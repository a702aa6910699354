//! Schedules: the same facts in every format, sums that can be done by hand, and nothing unknown as a number.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use assert_cmd::Command;

fn cordwright(words: &[&str]) -> Command {
    let mut command = Command::cargo_bin("cordwright").unwrap();
    command.args(words).env_remove("COLUMNS");
    command
}

fn example() -> String {
    format!("{}/example-repo", env!("CARGO_MANIFEST_DIR"))
}

/// The rows of a schedule by their headings, as a spreadsheet would read them.
fn rows(words: &[&str]) -> Vec<BTreeMap<String, String>> {
    let words: Vec<&str> = ["schedule"].iter().chain(words).copied().collect();
    let output = cordwright(&words)
        .args(["--format", "csv"])
        .output()
        .unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains("licensed electrician"), "no caution: {told}");
    let mut reader = csv::Reader::from_reader(output.stdout.as_slice());
    reader.deserialize().map(Result::unwrap).collect()
}

/// Two heaters of 230 W and 460 W and a lamp of 23 W on one bank, a cord that leads to a wrong name, and
/// two lengths of one type: all sums can be done by hand.
const SITE: &str = "\
site: {name: <Bench> & Co, practice: iec, ambient: 20 °C, supply-tolerance: 0 %}
supplies:
  mains: {system: 1/N/PE ~ 230 V 50 Hz, capacity: 10 kVA}
circuits:
  C1: {from: mains, poles: [L1, N], breaker: {rating: 16 A, curve: C}, receptacle: IEC 60309 16 A 1P+N+E 6h}
pdu-models:
  strip:
    plug: IEC 60309 16 A 1P+N+E 6h
    rating: 16 A
    banks:
      B1: {between: L1-N, breaker: {rating: 10 A, curve: C}, outlets: {1-4: C13}}
      B2: {between: L1-N, outlets: {5-8: C13}}
pdus:
  P1: {model: strip, from: C1}
device-models:
  heater: {voltage: 230 V, power-factor: 1, inlets: {mains: C14}}
devices:
  H1: {model: heater, draw: 230 W}
  H2: {model: heater, draw: 460 W}
  H3: {model: heater, draw: 23 W}
cord-types:
  black: {plug: C14, connector: C13, conductor: 1 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, resistance: 0.000001 ohm}
cords:
  W1: {type: black, from: P1/1, to: H1/mains}
  W2: {type: black, from: P1/2, to: H2/mains}
  W3: {type: black, from: P1/5, to: H9/mains}
  W4: {type: black, length: 2 m, from: P1/3, to: H3/mains}
";

fn site(text: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("cordwright.yaml"), text).unwrap();
    folder
}

fn of(folder: &Path, words: &[&str]) -> Vec<BTreeMap<String, String>> {
    let path = folder.to_str().unwrap();
    rows(&[words, &[path]].concat())
}

fn find<'r>(
    rows: &'r [BTreeMap<String, String>],
    cells: &[(&str, &str)],
) -> &'r BTreeMap<String, String> {
    let is_meant =
        |row: &&BTreeMap<String, String>| cells.iter().all(|(key, value)| row[*key] == *value);
    rows.iter()
        .find(is_meant)
        .unwrap_or_else(|| panic!("no row {cells:?} in {rows:#?}"))
}

#[test]
fn loads_are_the_sums_of_what_hangs_below() {
    let folder = site(SITE);
    let loads = of(folder.path(), &["loads"]);
    // 230 W + 460 W + 23 W at 230 V: 1 A + 2 A + 0.1 A; nothing worth naming is lost in the cords.
    let bank = find(&loads, &[("what", "bank B1 of PDU P1"), ("pole", "L1-N")]);
    assert_eq!((&*bank["normal"], &*bank["worst"]), ("3.10", "3.10"));
    assert_eq!(
        (&*bank["limit"], &*bank["limit of"], &*bank["margin"]),
        ("10.00", "breaker, marking", "6.90")
    );
    assert_eq!(bank["lost at worst"], "");
    // Where W3 leads to is not known: above it, more may flow, and less may be left.
    let circuit = find(&loads, &[("what", "circuit C1"), ("pole", "L1-N")]);
    assert_eq!(
        (&*circuit["normal"], &*circuit["limit"], &*circuit["margin"]),
        ("≥ 3.10", "16.00", "≤ 12.90")
    );
    let supply = find(&loads, &[("what", "supply mains"), ("pole", "all")]);
    assert_eq!(
        (&*supply["normal"], &*supply["unit"], &*supply["limit"]),
        ("≥ 0.71", "kVA", "10.00")
    );
}

#[test]
fn a_cord_that_leads_nowhere_known_carries_an_unknown_current() {
    let folder = site(SITE);
    let cords = of(folder.path(), &["cords"]);
    assert_eq!(cords.len(), 4);
    let known = find(&cords, &[("cord", "W2")]);
    assert_eq!(
        (&*known["worst A"], &*known["may carry A"]),
        ("2.00", "10.00")
    );
    let lost = find(&cords, &[("cord", "W3")]);
    assert_eq!(
        (&*lost["to"], &*lost["worst A"], &*lost["to rack"]),
        ("H9/mains", "?", "?")
    );
    assert_eq!(find(&cords, &[("cord", "W4")])["length"], "2 m");
    assert_eq!(known["colour"], "?");
}

#[test]
fn an_order_counts_by_type_and_length() {
    let folder = site(SITE);
    let order = of(folder.path(), &["order"]);
    let lines: Vec<[&str; 4]> = order
        .iter()
        .map(|row| ["length", "needed", "spares", "order"].map(|key| row[key].as_str()))
        .collect();
    // Cords without a state are fitted: what is left to buy is spares.
    assert_eq!(lines, [["1 m", "3", "1", "1"], ["2 m", "1", "1", "1"]]);
    let half = of(folder.path(), &["order", "--spares", "50"]);
    assert_eq!((&*half[0]["spares"], &*half[1]["spares"]), ("2", "1"));
    let none = of(folder.path(), &["order", "--spares", "0"]);
    assert_eq!(none[0]["order"], "0");
}

#[test]
fn every_cord_of_the_example_has_a_label_at_each_end() {
    let (cords, labels) = (rows(&["cords", &example()]), rows(&["labels", &example()]));
    let plugs = labels.iter().filter(|label| label["end"] == "plug").count();
    assert_eq!(labels.len() - plugs, cords.len());
    for cord in &cords {
        let ends = [("this end", &cord["to"]), ("other end", &cord["from"])];
        let label = find(&labels, &[("cord", &cord["cord"]), ("end", "connector")]);
        assert!(
            ends.iter().all(|(key, end)| label[*key] == **end),
            "{cord:?} {label:?}"
        );
    }
    let order = rows(&["order", &example()]);
    let ordered: usize = order
        .iter()
        .map(|line| line["needed"].parse::<usize>().unwrap())
        .sum();
    assert_eq!(ordered, plugs, "every cord is in one line of the order");
}

#[test]
fn names_do_no_harm_in_markdown_and_html() {
    let folder = site(&SITE.replace("black", "'a|b *c*'"));
    let path = folder.path().to_str().unwrap();
    let page = |format| {
        let output = cordwright(&["schedule", "cords", path, "--format", format]).output();
        String::from_utf8(output.unwrap().stdout).unwrap()
    };
    let html = page("html");
    assert!(
        html.contains("Cord schedule of &lt;Bench&gt; &amp; Co"),
        "{html}"
    );
    let markdown = page("markdown");
    assert!(markdown.contains("a\\|b \\*c\\*"), "{markdown}");
    for text in [html, markdown, page("table")] {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains("a licensed electrician prevail"), "{text}");
    }
}

#[test]
fn a_page_says_what_its_headings_head_and_breaks_no_name() {
    let unbroken = regex::Regex::new("<span class=\"word\">[^<]*</span>").unwrap();
    for kind in ["cords", "order", "labels", "loads", "spare"] {
        let output = cordwright(&["schedule", kind, &example(), "--format", "html"]).output();
        let page = String::from_utf8(output.unwrap().stdout).unwrap();
        let (head, body) = page.split_once("<tbody>").unwrap();
        let columns = head.matches("<th").count() - head.matches("<thead").count();
        assert_eq!(head.matches("<th scope=\"col\"").count(), columns, "{head}");
        let rows = body.matches("<tr>").count();
        assert_eq!(
            body.matches("<tr><th scope=\"row\"").count(),
            rows,
            "{body}"
        );
        assert!(page.contains(".name,.word{white-space:nowrap}"));
        // A word with a hyphen stands in a cell or a part of one that is not broken.
        for cell in body.split("<td>").skip(1) {
            let cell = cell.split("</td>").next().unwrap();
            assert!(!unbroken.replace_all(cell, "").contains('-'), "{cell}");
        }
    }
    let output = cordwright(&["schedule", "labels", &example(), "--format", "html"]).output();
    let page = String::from_utf8(output.unwrap().stdout).unwrap();
    assert!(
        page.contains("<th scope=\"row\" class=\"name\">W-1101</th>"),
        "{page}"
    );
}

#[test]
fn a_schedule_of_half_a_site_is_no_success() {
    let folder = site(&format!("{SITE}  W5: {{type: black, from"));
    let path = folder.path().to_str().unwrap();
    let file = folder.path().join("cords.csv");
    let output = cordwright(&["schedule", "cords", path, "--format", "csv", "--output"])
        .arg(&file)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains("the schedule is not whole"), "{told}");
    assert!(fs::read_to_string(&file).unwrap().contains("W2,P1/2"));
}

#[test]
fn spares_are_for_orders_alone() {
    let output = cordwright(&["schedule", "loads", "--spares", "5"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(
        String::from_utf8(output.stderr)
            .unwrap()
            .contains("--spares belongs to an order")
    );
}
