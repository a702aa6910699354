//! Words that differ by practice: at a NEC site people read ground, receptacle and enclosure, elsewhere earth,
//! socket and casing, in every output; and what a site calls its own things stays as it is.

use std::collections::BTreeSet;

use cordwright::drawing::{Shape, racks, single_line};
use cordwright::finding::Finding;
use cordwright::judgement::{Judgement, Site};
use cordwright::report::{one_by_one, wanted};
use cordwright::schedule::{Kind, Schedule, schedule};
use cordwright::tables::Practice;
use cordwright::tables::words::Words;
use cordwright::trace::{names, trace};
use cordwright::{drawing, sheet};
use rayon::prelude::*;
use serde_json::Value;

use crate::fuzz::example_repo;
use crate::pages::example_sites;
use crate::rooms::room_sites;
use crate::site::{Files, judged, read, today};

/// Said in the words of both, where no practice is known: these are left out before anything is looked for.
const BOTH: [&str; 5] = [
    "earth (ground)",
    "ground (earth)",
    "earthing (grounding)",
    "protective (equipment grounding)",
    "protective (grounding)",
];

/// The words of a practice that the other one does not have; that of a casing is everyday in both.
fn own_words(practice: Practice) -> Vec<String> {
    let words = Words::of(Some(practice));
    let mut own: Vec<String> = [
        words.earth,
        words.socket,
        words.protective_conductor,
        words.residual_device,
    ]
    .iter()
    .flat_map(|word| [(*word).to_owned(), format!("{word}s")])
    .collect();
    own.extend(["ed", "ing"].map(|ending| [words.earth, ending].concat()));
    own.extend([words.residual_rating.to_owned(), words.electrode.to_owned()]);
    own.extend(match practice {
        Practice::Iec => ["casing", "casings", "residual current"].map(str::to_owned),
        Practice::Nec => ["GFCI", "ground-fault", "duplex"].map(str::to_owned),
    });
    own
}

fn other(practice: Practice) -> Practice {
    match practice {
        Practice::Iec => Practice::Nec,
        Practice::Nec => Practice::Iec,
    }
}

fn key(practice: Practice) -> &'static str {
    match practice {
        Practice::Iec => "practice: iec",
        Practice::Nec => "practice: nec",
    }
}

/// The site under this practice; `None` if it does not say which one it has.
fn under(files: &Files, practice: Practice) -> Option<Files> {
    let is_said = files
        .iter()
        .any(|(_, text)| text.contains("practice: iec") || text.contains("practice: nec"));
    let turned = |text: &String| text.replace(key(other(practice)), key(practice));
    is_said.then(|| {
        let files = files.iter();
        files
            .map(|(path, text)| (path.clone(), turned(text)))
            .collect()
    })
}

/// What a finding says to people, apart from titles of standards.
fn said(finding: &Finding) -> Vec<String> {
    let mut said = vec![
        finding.headline.clone(),
        finding.main.note.clone(),
        finding.remedy.advice.clone(),
    ];
    said.extend(finding.path.iter().map(|place| place.note.clone()));
    said.extend(finding.arithmetic.iter().cloned());
    let own = finding.basis.iter().filter(|citation| {
        citation.clause.is_empty() && citation.confidence.remark() != "as given by the site"
    });
    said.extend(own.map(|citation| citation.standard.to_string()));
    said
}

fn of_findings(judgement: &Judgement, texts: &mut Vec<String>) {
    let findings = &judgement.findings;
    texts.extend(findings.iter().flat_map(said));
    let whole = one_by_one(findings);
    let facts = whole
        .iter()
        .filter_map(|piece| wanted(piece, judgement.words));
    texts.extend(facts.flat_map(|fact| said(&fact)));
}

fn of_schedule(schedule: Schedule, texts: &mut Vec<String>) {
    texts.extend(schedule.columns.iter().map(|column| column.name.to_owned()));
    // Keys of the format are what they are.
    let is_key = |at: usize| schedule.columns[at].name == "key";
    let cells = schedule
        .rows
        .into_iter()
        .flat_map(|row| row.into_iter().enumerate());
    texts.extend(cells.filter(|(at, _)| !is_key(*at)).map(|(_, cell)| cell));
    texts.extend(schedule.notes);
}

fn of_tables(site: &Site, judgement: &Judgement, texts: &mut Vec<String>) {
    let analysis = site.analysis(today());
    let kinds = [Kind::Cords, Kind::Order(None), Kind::Labels, Kind::Loads];
    for kind in kinds {
        of_schedule(schedule(&analysis, kind), texts);
    }
    let missing = sheet::missing(&judgement.findings);
    let called = (judgement.name.as_deref(), judgement.words);
    of_schedule(sheet::schedule(called, &missing, missing.len()), texts);
}

fn of_traces(site: &Site, texts: &mut Vec<String>) {
    let analysis = site.analysis(today());
    let traced = names(&analysis).filter_map(|name| trace(&analysis, name));
    for path in traced.flat_map(|trace| trace.paths) {
        texts.extend(path.unfed);
        let hops = path.hops.into_iter();
        texts
            .extend(hops.flat_map(|hop| [hop.said_of_limits(), vec![hop.what, hop.when]].concat()));
    }
}

fn of_drawings(site: &Site, judgement: &Judgement, texts: &mut Vec<String>) {
    let analysis = site.analysis(today());
    let marks = drawing::Marks::of(&judgement.findings);
    let sheets = [
        single_line(&analysis, &marks, None),
        racks(&analysis, &marks),
    ];
    let shapes = sheets.into_iter().flat_map(|sheet| sheet.shapes);
    texts.extend(shapes.filter_map(|shape| match shape {
        Shape::Words(_, words, ..) | Shape::Upright(_, words, _) => Some(words),
        _ => None,
    }));
}

/// All that people read of a site.
fn told(files: &Files) -> Vec<String> {
    let (judgement, site) = (judged(files), read(files));
    let mut texts = Vec::new();
    of_findings(&judgement, &mut texts);
    of_tables(&site, &judgement, &mut texts);
    of_traces(&site, &mut texts);
    of_drawings(&site, &judgement, &mut texts);
    texts
}

/// Words one blank apart, with one at either end, without what stands in backticks.
fn plain(text: &str) -> String {
    let unquoted: String = text.split('`').step_by(2).collect();
    let is_of_word = |c: char| c.is_alphanumeric() || c == '-';
    let words: Vec<&str> = unquoted
        .split(|c| !is_of_word(c))
        .filter(|word| !word.is_empty())
        .collect();
    format!(" {} ", words.join(" "))
}

fn holds(plain: &str, word: &str) -> bool {
    plain.contains(&format!(" {word} "))
}

/// Names and values of the site that hold one of these words among others.
fn own_names(files: &Files, words: &[String]) -> BTreeSet<String> {
    fn walk(value: &Value, names: &mut BTreeSet<String>) {
        match value {
            Value::String(text) => {
                names.insert(text.clone());
            }
            Value::Array(items) => items.iter().for_each(|item| walk(item, names)),
            Value::Object(pairs) => pairs.iter().for_each(|(key, value)| {
                names.insert(key.clone());
                walk(value, names);
            }),
            _ => {}
        }
    }
    let mut names = BTreeSet::new();
    let values = files
        .iter()
        .filter_map(|(_, text)| serde_yaml::from_str(text).ok());
    values.for_each(|value: Value| walk(&value, &mut names));
    names.retain(|name| {
        let is_key = words.contains(name);
        !is_key && words.iter().any(|word| holds(&plain(name), word))
    });
    names
}

/// Those of these texts of a site that hold a word of the other practice.
fn astray(texts: &BTreeSet<String>, files: &Files, practice: Practice) -> Vec<String> {
    let foreign = own_words(other(practice));
    let names = own_names(files, &foreign);
    let is_wrong = |text: &String| {
        let mut left = BOTH
            .iter()
            .fold(text.clone(), |text, both| text.replace(both, ""));
        for name in names.iter().rev() {
            left = left.replace(name.as_str(), "");
        }
        let left = plain(&left);
        foreign.iter().any(|word| holds(&left, word))
    };
    texts
        .iter()
        .filter(|text| is_wrong(text))
        .cloned()
        .collect()
}

/// Every site that is there: the examples of all pages, the rooms with their slips, the example site.
fn sites() -> Vec<Files> {
    let mut sites = example_sites();
    sites.extend(room_sites());
    sites.push(example_repo());
    sites
}

fn nothing_is_astray_under(practice: Practice) {
    let sites = sites();
    let turned: Vec<Files> = sites
        .iter()
        .filter_map(|site| under(site, practice))
        .collect();
    assert!(turned.len() > 400, "{} sites", turned.len());
    let found: Vec<(Vec<String>, BTreeSet<&str>)> = turned
        .par_iter()
        .map(|site| {
            let texts: BTreeSet<String> = told(site).into_iter().collect();
            let all: String = texts.iter().map(|text| plain(text)).collect();
            let said = all_words(practice).into_iter();
            let said = said.filter(|word| holds(&all, word));
            (astray(&texts, site, practice), said.collect())
        })
        .collect();
    let wrong: BTreeSet<&String> = found.iter().flat_map(|(wrong, _)| wrong).collect();
    assert_eq!(wrong, BTreeSet::new(), "{wrong:#?}");
    // Each word is met somewhere, so that its counterpart would have been.
    let said: BTreeSet<&str> = found.iter().flat_map(|(_, said)| said).copied().collect();
    assert_eq!(said, all_words(practice).into());
}

/// Every word of a practice that differs.
fn all_words(practice: Practice) -> [&'static str; 11] {
    let words = Words::of(Some(practice));
    [
        words.earth,
        words.an_earth,
        words.socket,
        words.double,
        words.casing,
        words.protective_conductor,
        words.a_protective_conductor,
        words.standing_current,
        words.residual_device,
        words.residual_rating,
        words.electrode,
    ]
}

#[test]
fn no_word_of_the_iec_is_said_at_a_site_of_the_nec() {
    nothing_is_astray_under(Practice::Nec);
}

#[test]
fn no_word_of_the_nec_is_said_at_a_site_of_the_iec() {
    nothing_is_astray_under(Practice::Iec);
}

/// A site of which nearly all that has two words is said, with the words themselves as names.
const NAMED: &str = "\
site: {name: Named, practice: iec, country: US, ambient: 25 °C}
zones:
  hall: {ambient: 25 °C}
racks:
  r1: {zone: hall, height: 42 U}
supplies:
  ground: {feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 40 kVA, fault-current: 6 kA, earthing: TT, electrode: 2000 ohm}
circuits:
  receptacle:
    from: ground
    poles: [L1, N]
    breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}
    rcd: 30 mA
    wiring: {conductor: 2.5 mm², length: 10 m, insulation: pvc-70}
  earth:
    from: ground
    poles: [L2, N]
    breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}
    receptacle: NEMA 5-20
    wiring: {conductor: 2.5 mm², length: 10 m, insulation: pvc-70}
pdu-models:
  strip:
    plug: IEC 60309 16 A 2P+E 6h
    rating: 16 A
    banks: {B1: {between: L1-N, outlets: {1-8: C13}}}
pdus:
  pdu-a: {model: strip, rack: r1, from: receptacle, mount: {side: rear-left, foot: U2}}
device-models:
  lamp: {rating: 200 VA, voltage: 100–240 V, class: I, inlets: {one: C14}}
  razor: {rating: 20 VA, voltage: 100–240 V, class: I, inlets: {one: C8}}
devices:
  earth-1: {model: lamp, rack: r1, at: U4}
  socket: {model: lamp, rack: r1, at: U5}
  casing: {model: razor, rack: r1, at: U6}
cord-types:
  c13: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m}
  c7: {plug: NEMA 1-15, connector: C7, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m}
cords:
  W-1: {type: c13, from: pdu-a/1, to: earth-1/one}
  W-2: {type: c13, from: pdu-a/2, to: socket/one}
  W-3: {type: c7, from: earth, to: casing/one}
";

fn named(practice: Practice) -> Files {
    let files = vec![("cordwright.yaml".to_owned(), NAMED.to_owned())];
    under(&files, practice).expect("a practice")
}

#[test]
fn names_that_a_site_gave_stay_as_they_are() {
    let texts = |practice| told(&named(practice)).join("\n");
    let (iec, nec) = (texts(Practice::Iec), texts(Practice::Nec));
    for text in [&iec, &nec] {
        for name in [
            "earth-1",
            "device casing",
            "socket/one",
            "supply ground",
            "circuit receptacle",
        ] {
            assert!(text.contains(name), "{name} is not in\n{text}");
        }
        assert!(!text.contains("ground-1") && !text.contains("receptacle/one"));
    }
    assert!(nec.contains("a ground fault on circuit receptacle may leave the enclosure at 60 V"));
    assert!(nec.contains("device casing (class I) is not grounded"));
    assert!(nec.contains("the receptacle of circuit earth"));
    assert!(iec.contains("an earth fault on circuit receptacle may leave the casing at 60 V"));
    assert!(iec.contains("device casing (class I) is not earthed"));
    assert!(iec.contains("the socket of circuit earth"));
}

#[test]
fn where_no_practice_can_be_read_the_words_are_those_of_the_iec() {
    let unknown = NAMED.replace(key(Practice::Iec), "practice: neither");
    let said = told(&vec![("cordwright.yaml".to_owned(), unknown)]).join("\n");
    assert!(said.contains("the socket of circuit earth"), "{said}");
    assert!(said.contains("is not earthed"), "{said}");
}
