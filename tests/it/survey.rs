//! The survey sheet: what is asked, in which order, which value decides, and the way of the answers back
//! into the definitions.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::input::SiteInput;
use cordwright::judgement::{Settings, Site};
use cordwright::sheet::{Answered, Missing, ValueTrials, answered, missing};
use cordwright::take_in::At;

use crate::site::{Files, judged, today};
use crate::world::World;

/// A hall whose supplies, circuits and strips are recorded in full, and whose devices have nothing but
/// names, models, nameplates, outlets and cord types.
fn half_known(racks: usize, watts: u32) -> String {
    let mut text = String::from(
        "\
site:
  name: Half known
  practice: iec
  country: GB
  ambient: 25 °C
  continuous-load: 80 %
  supply-tolerance: 10 %
  voltage-drop: {circuit: 3 %, cord: 1 %, total: 5 %}
  feeds: {A: {colour: blue}, B: {colour: red}}
zones:
  hall: {ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}
supplies:
  ups-a: {feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 60 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}
  ups-b: {feed: B, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 60 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}
pdu-models:
  strip-32:
    plug: IEC 60309 32 A 2P+E 6h
    rating: 32 A
    cord: {cordage: H07RN-F, conductor: 6 mm², length: 2 m}
    banks:
      B1: {between: L1-N, breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA, let-through: 12 kA²s}, outlets: {1-10: C13}}
    outlet-pitch: 28 mm
    first-outlet: 60 mm
cord-types:
  c13: {plug: C14, connector: C13, cordage: H05VV-F, conductor: 1.0 mm², length: 2 m}
device-models:
",
    );
    let _ = writeln!(
        text,
        "  box:\n    rating: {watts} W\n    inlets: {{psu1: C14, psu2: C14}}"
    );
    let (mut parts, mut cord) = ([(); 5].map(|()| String::new()), 0);
    for rack in 0..racks {
        let line = rack % 3 + 1;
        let _ = writeln!(parts[0], "  r{rack}: {{zone: hall, height: 42 U}}");
        for feed in ["a", "b"] {
            let _ = writeln!(
                parts[1],
                "  {feed}-{rack}: {{from: ups-{feed}, poles: [L{line}, N], breaker: {{rating: 32 A, curve: C, breaking-capacity: 6 kA, let-through: 20 kA²s}}, wiring: {{conductor: 6 mm², length: 10 m, insulation: pvc-70}}, receptacle: IEC 60309 32 A 2P+E 6h}}"
            );
            let _ = writeln!(
                parts[2],
                "  pdu-{rack}{feed}: {{model: strip-32, rack: r{rack}, from: {feed}-{rack}}}"
            );
        }
        for device in 0..10 {
            let _ = writeln!(
                parts[3],
                "  dev-{rack}-{device}: {{model: box, rack: r{rack}}}"
            );
            for (feed, inlet) in [("a", "psu1"), ("b", "psu2")] {
                cord += 1;
                let outlet = device + 1;
                let _ = writeln!(
                    parts[4],
                    "  W{cord}: {{type: c13, from: pdu-{rack}{feed}/{outlet}, to: dev-{rack}-{device}/{inlet}}}"
                );
            }
        }
    }
    for (section, part) in ["racks", "circuits", "pdus", "devices", "cords"]
        .iter()
        .zip(parts)
    {
        let _ = write!(text, "{section}:\n{part}");
    }
    text
}

fn site(text: &str) -> Files {
    vec![("cordwright.yaml".to_owned(), text.to_owned())]
}

fn input(files: &Files) -> SiteInput {
    let files = files.iter();
    SiteInput {
        files: files
            .map(|(path, text)| (path.clone(), text.as_bytes().to_vec()))
            .collect(),
        ..SiteInput::default()
    }
}

fn facts(files: &Files) -> Vec<Missing> {
    let settings = Settings::on(today());
    let judgement = Site::read(input(files)).judge(&settings);
    let mut facts = missing(&judgement.findings);
    ValueTrials::new(&judgement, &settings)
        .unwrap()
        .decide_within(&mut facts, &settings.budget);
    facts
}

fn of<'m>(facts: &'m [Missing], key: &str) -> &'m Missing {
    let mut facts = facts.iter();
    facts
        .find(|missing| missing.fact.key == key)
        .expect("such a fact is missing")
}

fn taken(files: &Files, rows: &[[&str; 4]]) -> Answered {
    let mut sheet = "thing,key,answer,day\n".to_owned();
    for row in rows {
        let cells = row.map(|cell| format!("\"{}\"", cell.replace('"', "\"\"")));
        let _ = writeln!(sheet, "{}", cells.join(","));
    }
    let settings = Settings::on(today());
    answered(input(files), &BTreeMap::new(), sheet.as_bytes(), &settings)
}

/// The text of the only file, once answers are written; nothing is refused.
fn written(text: &str, rows: &[[&str; 4]]) -> String {
    let answered = taken(&site(text), rows);
    assert_eq!(answered.remarks, [], "{rows:?}");
    match answered.changed.as_slice() {
        [(_, changed)] => changed.clone(),
        others => panic!("{others:?}"),
    }
}

#[test]
fn a_half_known_hall_of_a_hundred_devices_lacks_a_handful_of_facts_on_one_page() {
    let world = World::with(&[("cordwright.yaml", &half_known(10, 200))]);
    let sheet = world.run(&["survey"]).expect(0);
    assert!(sheet.lines().count() <= 60, "{sheet}");
    let check = world.run(&["check"]).expect(0);
    let told = check
        .lines()
        .filter(|line| line.starts_with("not decided: "))
        .count();
    assert!(told <= 10, "{check}");
    assert!(check.contains("\n  Decides "), "{check}");
    let facts = facts(&site(&half_known(10, 200)));
    assert_eq!(facts.len(), told);
    assert_eq!(
        facts[0].fact.to_string(),
        "`power-factor` of device model box"
    );
    assert!(facts[0].questions > 300);
}

#[test]
fn the_value_that_decides_passes_and_a_worse_one_does_not() {
    let text = half_known(1, 250);
    let decides = of(&facts(&site(&text)), "power-factor")
        .decides
        .clone()
        .unwrap();
    let value = decides.strip_suffix(" or better").expect("a value");
    let value: f64 = value.parse().unwrap();
    assert!((0.5..1.0).contains(&value), "{decides}");
    let worst_at = |factor: f64| {
        let factor = format!("{factor:.2}");
        let rows = [["device model box", "power-factor", factor.as_str(), ""]];
        let judgement = judged(&site(&written(&text, &rows)));
        let about_power = |f: &&Finding| f.verdict == Verdict::Broken && f.rule != "load-basis";
        judgement
            .findings
            .iter()
            .filter(about_power)
            .map(|f| f.level)
            .max()
    };
    assert_eq!(worst_at(value), None);
    assert!(worst_at(value - 0.02) >= Some(Level::Warning));
}

#[test]
fn trials_are_counted_by_all_that_a_judgement_is_work_for() {
    let mut text = half_known(1, 200);
    let settings = Settings::on(today());
    let circuits = |number: usize| {
        let circuit = |n| {
            format!(
                "  c{n}: {{from: ups-a, poles: [L1, N], breaker: {{rating: 16 A, curve: C}}, receptacle: IEC 60309 16 A 2P+E 6h}}\n"
            )
        };
        (0..number).map(circuit).collect::<String>()
    };
    let decided = |text: &str| {
        let judgement = Site::read(input(&site(text))).judge(&settings);
        let mut facts = missing(&judgement.findings);
        let values = ValueTrials::new(&judgement, &settings).unwrap();
        values.decide(&mut facts, 3_000);
        facts.iter().filter(|fact| fact.decides.is_some()).count()
    };
    assert!(decided(&text) > 0);
    let long = format!("{text}# {}\n", "long ".repeat(20_000));
    assert_eq!(decided(&long), 0);
    text = text.replacen("circuits:\n", &format!("circuits:\n{}", circuits(200)), 1);
    assert_eq!(decided(&text), 0);
}

#[test]
fn what_no_value_helps_is_found_though_the_power_factor_is_missing() {
    let files = site(&half_known(1, 350));
    let judgement = judged(&files);
    let overloaded = judgement
        .findings
        .iter()
        .find(|f| f.rule == "failover-overloaded" && f.verdict == Verdict::Broken);
    let overloaded =
        overloaded.expect("ten times 350 W at 207 V are more than 16 A at any power factor");
    assert!(
        overloaded
            .arithmetic
            .iter()
            .any(|line| line.contains("at the least")),
        "{overloaded:?}"
    );
}

const SMALL: &str = "\
site: {name: Small, practice: iec, country: GB, ambient: 25 °C, supply-tolerance: 10 %, voltage-drop: {total: 5 %}}
supplies:
  ups: {feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 40 kVA, earthing: TN-S, fault-current: 6 kA}
circuits:
  A-1:
    from: ups
    poles: [L1, N]
    breaker: 16 A
    receptacle: IEC 60309 16 A 2P+E 6h
pdu-models:
  strip:
    plug: IEC 60309 16 A 2P+E 6h
    rating: sixteen
    banks: {B1: {between: L1-N, outlets: {1-8: C13}}}
pdus:
  pdu-a: {model: strip, from: A-1}
device-models:
  lamp: {rating: 200 W, inlets: {in: C14}}
devices:
  lamp-1: {model: lamp}
cord-types:
  c13: {plug: C14, connector: C13, conductor: 1.0 mm², length: 2 m}
cords:
  W-1: {type: c13, from: pdu-a/1, to: lamp-1/in}
";

#[test]
fn answers_come_to_their_places_and_nothing_else_changes() {
    let rows = [
        ["circuit A-1", "breaker.breaking-capacity", "6 kA", ""],
        ["circuit A-1", "wiring.conductor", "2.5 mm²", ""],
        ["circuit A-1", "wiring.length", "12 m", ""],
        ["PDU model strip", "rating", "16 A", ""],
        ["device model lamp", "power-factor", "0.9", ""],
        ["cord type c13", "cordage", "H05VV-F", ""],
        ["cord type c13", "approvals", "BSI, KEMA", ""],
    ];
    let asked: Vec<(String, String)> = facts(&site(SMALL))
        .iter()
        .map(|m| (m.fact.whose(), m.fact.full_key()))
        .collect();
    let rows: Vec<[&str; 4]> = rows
        .into_iter()
        .filter(|row| {
            asked
                .iter()
                .any(|(thing, key)| thing == row[0] && key == row[1])
        })
        .collect();
    assert!(rows.len() == 7, "{asked:?}");
    let text = written(SMALL, &rows);
    for part in [
        "    breaker: {rating: 16 A, breaking-capacity: 6 kA}\n",
        "    wiring: {conductor: 2.5 mm², length: 12 m}\n    from: ups\n",
        "    rating: 16 A\n",
        "  lamp: {power-factor: 0.9, rating: 200 W,",
        "cordage: H05VV-F",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
    let before: Vec<&str> = SMALL.lines().collect();
    let kept = text.lines().filter(|line| before.contains(line)).count();
    assert!(kept >= before.len() - 6, "{text}");
    let left = facts(&site(&text));
    for row in rows {
        assert!(
            !left
                .iter()
                .any(|m| m.fact.whose() == row[0] && m.fact.full_key() == row[1]),
            "{row:?}\n{text}"
        );
    }
}

#[test]
fn ends_of_lines_are_kept_and_the_day_of_a_draw_is_written_with_it() {
    let text = SMALL
        .replace("lamp: {rating: 200 W, ", "lamp: {")
        .replace("  lamp-1: {model: lamp}\n", "  lamp-1:\n    model: lamp\n")
        .replace('\n', "\r\n");
    let text = written(&text, &[["device lamp-1", "draw", "180 W", "2026-11-20"]]);
    assert!(
        text.contains(
            "  lamp-1:\r\n    measured: 2026-11-20\r\n    draw: 180 W\r\n    model: lamp\r\n"
        ),
        "{text}"
    );
}

#[test]
fn of_a_draw_and_its_day_the_one_that_cannot_be_read_is_told_and_other_rows_are_taken() {
    let text = SMALL.replace("lamp: {rating: 200 W, ", "lamp: {");
    for (draw, day, told, like) in [
        ("quite a lot", "2026-11-20", "`draw`", "420 W"),
        ("180 W", "yesterday", "`measured`", "2026-11-20"),
        ("180 W", "2026-02-30", "`measured`", "2026-11-20"),
    ] {
        let rows = [
            ["device lamp-1", "draw", draw, day],
            ["PDU model strip", "rating", "16 A", ""],
        ];
        let answered = taken(&site(&text), &rows);
        let remarks: Vec<(At, bool)> = answered
            .remarks
            .iter()
            .map(|remark| {
                let is_helped = remark.advice.contains(like);
                (
                    remark.at.clone(),
                    remark.what.starts_with(told) && is_helped,
                )
            })
            .collect();
        assert_eq!(
            remarks,
            [(At::Rows(vec![2]), true)],
            "{:?}",
            answered.remarks
        );
        let [(_, changed)] = answered.changed.as_slice() else {
            panic!("{:?}", answered.changed);
        };
        assert_eq!(*changed, text.replace("sixteen", "16 A"));
    }
}

#[test]
fn what_is_no_answer_is_told_by_its_row_and_the_others_are_taken() {
    let files = site(SMALL);
    for hostile in [
        "quite a lot",
        "1}\nsite: {}",
        "0.9, rating: 1 W",
        "*x",
        "-1",
        "0.95 # x",
        "ab: {c",
        "\u{202e}1",
    ] {
        let rows = [
            ["device model lamp", "power-factor", hostile, ""],
            ["PDU model strip", "rating", "16 A", ""],
        ];
        let answered = taken(&files, &rows);
        let told: Vec<&At> = answered.remarks.iter().map(|remark| &remark.at).collect();
        assert_eq!(told, [&At::Rows(vec![2])], "{hostile}");
        let [(_, text)] = answered.changed.as_slice() else {
            panic!("{hostile}");
        };
        assert_eq!(*text, SMALL.replace("sixteen", "16 A"), "{hostile}");
    }
    let gone = taken(
        &files,
        &[
            ["cord type c13", "length", "3 m", ""],
            ["cord type other", "colour", "red", ""],
        ],
    );
    assert_eq!((gone.remarks.len(), gone.changed.len()), (2, 0));
}

#[test]
fn what_comes_by_an_alias_or_a_merge_is_left_to_a_person() {
    let text = SMALL.replace(
        "  lamp: {rating: 200 W, inlets: {in: C14}}\n",
        "  old: &old {rating: 200 W, inlets: {in: C14}}\n  lamp: {<<: *old}\n",
    );
    let answered = taken(
        &site(&text),
        &[["device model lamp", "power-factor", "0.9", ""]],
    );
    assert_eq!(answered.changed, []);
    assert!(
        answered.remarks[0].what.contains("alias"),
        "{:?}",
        answered.remarks
    );
    let text = SMALL.replace(
        "  lamp: {rating: 200 W, inlets: {in: C14}}\n",
        "  old: &old {rating: 200 W, inlets: {in: C14}}\n  lamp: *old\n",
    );
    let answered = taken(
        &site(&text),
        &[["device model lamp", "power-factor", "0.9", ""]],
    );
    assert_eq!(answered.changed, [], "{:?}", answered.remarks);
    assert_eq!(answered.remarks.len(), 1);
}

#[test]
fn a_name_with_dots_leads_no_answer_astray() {
    let text = SMALL.replace(
        "{B1: {between: L1-N, outlets",
        "{B.1: {between: L1-N, breaker: {rating: 16 A}, outlets",
    );
    let facts = facts(&site(&text));
    let of_bank = facts.iter().find(|m| m.fact.key.starts_with("banks."));
    let of_bank = of_bank.expect("the breaking capacity of the bank's breaker");
    let key = of_bank.fact.full_key();
    let answered = taken(&site(&text), &[["PDU model strip", &key, "6 kA", ""]]);
    for (_, changed) in &answered.changed {
        assert!(
            changed.contains("breaker: {breaking-capacity: 6 kA, rating: 16 A}"),
            "{changed}"
        );
    }
    assert_eq!(answered.changed.len(), 1, "{answered:?}");
}

#[test]
fn a_sheet_goes_from_the_command_and_back_through_it() {
    let world = World::with(&[("cordwright.yaml", SMALL)]);
    world
        .run(&["survey", "--format", "csv", "--output", "survey.csv"])
        .expect(0);
    let sheet = std::fs::read_to_string(world.at("survey.csv")).unwrap();
    let line = sheet
        .lines()
        .find(|line| line.contains("power-factor"))
        .unwrap();
    let filled = line
        .strip_suffix(",,")
        .expect("room for the answer")
        .to_owned()
        + ",0.9,";
    world.put("survey.csv", &sheet.replace(line, &filled));
    let shown = world
        .run(&["take-in", "survey.csv", "--of", "survey"])
        .expect(0);
    assert!(shown.contains("no file is changed yet"), "{shown}");
    assert_eq!(
        std::fs::read_to_string(world.at("cordwright.yaml")).unwrap(),
        SMALL
    );
    let shown = world
        .run(&["take-in", "survey.csv", "--of", "survey", "--write"])
        .expect(0);
    assert!(shown.contains("Wrote 1 answer"), "{shown}");
    let text = std::fs::read_to_string(world.at("cordwright.yaml")).unwrap();
    assert_eq!(
        text,
        SMALL.replace("lamp: {rating", "lamp: {power-factor: 0.9, rating")
    );
}

#[test]
fn a_rack_is_listed_outlet_by_outlet() {
    let world = World::with(&[("cordwright.yaml", &half_known(2, 200))]);
    let list = world.run(&["survey", "--rack", "r1"]).expect(0);
    assert!(
        list.contains("pdu-1a") && !list.contains("pdu-0a"),
        "{list}"
    );
    assert!(
        list.contains("W21") && list.contains("dev-1-0/psu1"),
        "{list}"
    );
    let all = world.run(&["survey", "--all"]).expect(0);
    assert!(all.contains("pdu-1a") && all.contains("pdu-0a"), "{all}");
    let none = world.run(&["survey", "--rack", "r9"]);
    assert_eq!(none.code, Some(2));
    assert!(
        none.errors.contains("no site here has a rack r9"),
        "{}",
        none.errors
    );
}
