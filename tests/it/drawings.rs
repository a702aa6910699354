//! Drawings: everything is on them, in its place, and they are whole documents whatever things are called.

use std::collections::BTreeMap;
use std::fs;

use assert_cmd::Command;
use quick_xml::Reader;
use quick_xml::events::Event;

/// What a drawing says, and its frames by left, top, width and height.
struct Drawing {
    words: Vec<String>,
    frames: Vec<[i32; 4]>,
    size: (i32, i32),
}

fn run(words: &[&str]) -> (Option<i32>, String, String) {
    let mut command = Command::cargo_bin("cordwright").unwrap();
    let output = command.arg("drawing").args(words).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code(),
        text(output.stdout),
        text(output.stderr),
    )
}

fn read(svg: &str) -> Drawing {
    let mut reader = Reader::from_str(svg);
    let mut drawing = Drawing {
        words: Vec::new(),
        frames: Vec::new(),
        size: (0, 0),
    };
    let mut is_text = false;
    loop {
        match reader.read_event().expect("a document that is well formed") {
            Event::Eof => return drawing,
            Event::Start(start) | Event::Empty(start) => {
                let attributes: BTreeMap<String, String> = start
                    .attributes()
                    .map(|attribute| attribute.unwrap())
                    .map(|attribute| {
                        let key = attribute.key.as_ref().to_owned();
                        (key, attribute.value.into_owned())
                    })
                    .collect();
                let number = |key: &str| attributes.get(key).map(|n| n.parse::<i32>().unwrap());
                is_text = start.name().as_ref() == "text";
                match start.name().as_ref() {
                    "svg" => drawing.size = (number("width").unwrap(), number("height").unwrap()),
                    "rect" => drawing.frames.extend(number("x").map(|x| {
                        [
                            x,
                            number("y").unwrap(),
                            number("width").unwrap(),
                            number("height").unwrap(),
                        ]
                    })),
                    _ => {}
                }
                if is_text {
                    drawing.words.push(String::new());
                }
            }
            Event::End(_) => is_text = false,
            Event::Text(text) if is_text => {
                drawing.words.last_mut().unwrap().push_str(&text);
            }
            Event::GeneralRef(entity) if is_text => {
                let entity = entity.to_string();
                drawing
                    .words
                    .last_mut()
                    .unwrap()
                    .push_str(&format!("&{entity};"));
            }
            _ => {}
        }
    }
}

fn example() -> String {
    format!("{}/example-repo", env!("CARGO_MANIFEST_DIR"))
}

fn names(section: &str) -> Vec<String> {
    let words: Vec<&str> = vec!["schedule", section, "--format", "csv"];
    let mut command = Command::cargo_bin("cordwright").unwrap();
    let output = command.args(words).arg(example()).output().unwrap();
    let mut reader = csv::Reader::from_reader(output.stdout.as_slice());
    let rows = reader.records().map(Result::unwrap);
    rows.map(|row| row[0].to_owned()).collect()
}

#[test]
fn every_cord_and_every_mistake_is_on_the_single_line_diagram() {
    let (code, svg, errors) = run(&["lines", &example()]);
    assert_eq!((code, errors.as_str()), (Some(0), ""));
    let drawing = read(&svg);
    for cord in names("cords") {
        let (own, leg) = cord
            .split_once('/')
            .map_or((&*cord, None), |(own, leg)| (own, Some(leg)));
        let has = |start: &str| drawing.words.iter().any(|words| words.starts_with(start));
        assert!(has(own), "{own} is missing");
        assert!(
            leg.is_none_or(|leg| has(&format!("leg {leg}"))),
            "{cord} is missing"
        );
    }
    let marked = drawing
        .words
        .iter()
        .filter(|words| words.contains("[error"));
    assert!(marked.count() >= 5, "errors are marked in words");
    assert!(
        drawing
            .words
            .iter()
            .any(|words| words.contains("licensed electrician"))
    );
    assert_eq!(
        svg,
        run(&["lines", &example()]).1,
        "the same bytes every time"
    );
}

#[test]
fn a_part_is_drawn_from_a_thing_on() {
    let (_, svg, _) = run(&["lines", &example(), "--below", "ph-1-a"]);
    let drawing = read(&svg);
    assert!(
        drawing
            .words
            .iter()
            .any(|words| words.starts_with("W-2101 "))
    );
    assert!(
        !drawing
            .words
            .iter()
            .any(|words| words.starts_with("W-1101 "))
    );
    let (code, _, errors) = run(&["lines", &example(), "--below", "ph-1-q"]);
    assert_eq!(code, Some(2));
    assert!(errors.contains("Did you mean \"ph-1-"), "{errors}");
    let (code, _, errors) = run(&["racks", &example(), "--below", "ph-1-a"]);
    assert_eq!((code, errors.contains("not to racks")), (Some(2), true));
}

const RACK: &str = "\
site: {name: Small}
racks:
  r<1>&: {height: 10 U}
device-models:
  two: {height: 2 U, inlets: {psu: C14}}
pdu-models:
  strip: {plug: C14, rating: 10 A, banks: {B: {between: L1-N, outlets: {1-2: C13}}}}
devices:
  low: {model: two, rack: r<1>&, at: U1}
  high: {model: two, rack: r<1>&, at: U9}
  adrift: {model: two, rack: r<1>&}
pdus:
  tall: {model: strip, rack: r<1>&, mount: {side: rear-left, foot: U1, head: U10}}
";

#[test]
fn things_are_drawn_in_their_rack_units() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("cordwright.yaml"), RACK).unwrap();
    let (_, svg, _) = run(&["racks", folder.path().to_str().unwrap()]);
    let drawing = read(&svg);
    // EIA-310: ten units stand one above the other, a thing of two units is as high as two of them.
    let of_height = |height: i32| {
        let frames = drawing
            .frames
            .iter()
            .filter(move |frame| frame[3] == height);
        frames.copied().collect::<Vec<_>>()
    };
    let heights: Vec<i32> = drawing.frames.iter().map(|frame| frame[3]).collect();
    let unit = *heights.iter().min().unwrap();
    let units = of_height(unit);
    assert_eq!(units.len(), 10);
    let (top, foot) = (
        units.iter().map(|u| u[1]).min().unwrap(),
        units.iter().map(|u| u[1] + u[3]).max().unwrap(),
    );
    assert_eq!(foot - top, 10 * unit);
    let mut twos: Vec<i32> = of_height(2 * unit).iter().map(|two| two[1]).collect();
    twos.sort_unstable();
    assert_eq!(
        twos,
        [top, foot - 2 * unit],
        "at U9 up to the head, at U1 on the foot"
    );
    let strips = of_height(10 * unit);
    assert_eq!(strips.len(), 1);
    assert!(strips[0][0] < units[0][0], "on the left, seen from behind");
    assert!(
        drawing
            .frames
            .iter()
            .all(|f| f[0] + f[2] <= drawing.size.0 && f[1] + f[3] <= drawing.size.1)
    );
    let has = |start: &str| drawing.words.iter().any(|words| words.starts_with(start));
    assert!(has("rack r&lt;1&gt;&amp;") && has("not placed:") && has("adrift"));
}

#[test]
fn several_sites_go_on_one_page() {
    let folder = tempfile::tempdir().unwrap();
    for site in ["one", "two"] {
        fs::create_dir(folder.path().join(site)).unwrap();
        fs::write(folder.path().join(site).join("cordwright.yaml"), RACK).unwrap();
    }
    let path = folder.path().to_str().unwrap();
    let (code, _, errors) = run(&["racks", path]);
    assert_eq!((code, errors.contains("--format html")), (Some(2), true));
    let (code, page, _) = run(&["racks", path, "--format", "html"]);
    assert_eq!((code, page.matches("<svg").count()), (Some(0), 2));
}
