//! Sites of shapes that no designer draws and that a check must still take in its stride: each with a
//! given number of cords, so that the time per cord shows what grows faster than the site.

use std::fmt::Write as _;

use super::racks;

/// Path and text of every file.
type Files = Vec<(String, String)>;
/// The name of a shape and how it is made for a number of cords.
pub type Shape = (&'static str, fn(usize) -> Files);

/// All shapes.
pub const SHAPES: [Shape; 7] = [
    ("one strip", |cords| one_strip(cords, "")),
    ("one bundle", |cords| one_strip(cords, ", bundle: all")),
    ("one circuit", one_circuit),
    ("one file", one_file),
    ("in a row", in_a_row),
    ("merged cords", merged),
    ("broken cords", broken),
];

const HEAD: &str = "\
site: {name: Shape, practice: iec, country: GB, ambient: 25 °C, supply-tolerance: 10 %, voltage-drop: {cord: 1 %, total: 5 %}, feeds: {A: {colour: blue}}}
zones: {hall: {vibration: low, air: room}}
racks: {r1: {zone: hall, height: 45 U, width: 600 mm, depth: 1070 mm}}
supplies: {ups: {feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 400 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}}
circuits:
  A1: {from: ups, poles: [L1, L2, L3, N], breaker: {rating: 32 A, curve: C, breaking-capacity: 10 kA}, wiring: {conductor: 6 mm², length: 10 m, insulation: xlpe-90}, receptacle: IEC 60309 32 A 3P+N+E 6h}
device-models:
  recorder: {height: 1 U, class: I, voltage: 100–240 V, rating: 400 W, power-factor: 0.97, inlets: {psu1: {coupler: C14, feed: A}}, inlets-needed: 1}
cord-types:
  blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: blue, approvals: [BSI]}
";

fn strip(outlets: usize) -> String {
    format!(
        "pdu-models:\n  strip: {{plug: IEC 60309 32 A 3P+N+E 6h, rating: 32 A, cord: {{cordage: H05VV-F, conductor: 6 mm², length: 3 m}}, banks: {{B1: {{between: L1-N, breaker: {{rating: 16 A, curve: C, breaking-capacity: 6 kA}}, outlets: {{1-{outlets}: C13}}}}}}}}\npdus:\n"
    )
}

fn one_text(text: String) -> Files {
    vec![("cordwright.yaml".to_owned(), text)]
}

/// All devices on one strip.
fn one_strip(cords: usize, of_cord: &str) -> Files {
    let mut text = HEAD.to_owned() + &strip(cords);
    text.push_str("  p: {model: strip, rack: r1, from: A1}\n");
    text.push_str(&devices(cords));
    text.push_str("cords:\n");
    for n in 1..=cords {
        writeln!(
            text,
            "  W-{n}: {{type: blue, from: p/{n}, to: d{n}/psu1{of_cord}}}"
        )
        .unwrap();
    }
    one_text(text)
}

/// All devices on strips of forty outlets, all of them on one circuit.
fn one_circuit(cords: usize) -> Files {
    let strips = cords.div_ceil(40);
    let mut text = HEAD.to_owned() + &strip(41);
    for n in 0..strips {
        writeln!(text, "  p{n}: {{model: strip, rack: r1, from: A1}}").unwrap();
    }
    text.push_str(&devices(cords));
    text.push_str("cords:\n");
    for n in 1..=cords {
        let (strip, outlet) = ((n - 1) / 40, (n - 1) % 40 + 1);
        writeln!(
            text,
            "  W-{n}: {{type: blue, from: p{strip}/{outlet}, to: d{n}/psu1}}"
        )
        .unwrap();
    }
    one_text(text)
}

fn devices(count: usize) -> String {
    let mut text = String::from("devices:\n");
    for n in 1..=count {
        writeln!(text, "  d{n}: {{model: recorder, rack: r1, draw: 0.1 W}}").unwrap();
    }
    text
}

/// A usual site in a single file.
fn one_file(cords: usize) -> Files {
    let mut sections: Vec<(String, String)> = Vec::new();
    for (_, text) in racks::site(cords.div_ceil(racks::CORDS)) {
        for (key, body) in sections_of(&text) {
            match sections.iter_mut().find(|(known, _)| *known == key) {
                Some((_, all)) => all.push_str(&body),
                None => sections.push((key, body)),
            }
        }
    }
    let text = sections
        .iter()
        .fold(String::new(), |mut text, (key, body)| {
            writeln!(text, "{key}\n{body}").unwrap();
            text
        });
    one_text(text)
}

/// Top-level keys with the lines below them.
fn sections_of(text: &str) -> Vec<(String, String)> {
    let mut sections: Vec<(String, String)> = Vec::new();
    for line in text.lines() {
        match sections.last_mut() {
            Some((_, body)) if line.starts_with(' ') => {
                body.push_str(line);
                body.push('\n');
            }
            _ => sections.push((line.to_owned(), String::new())),
        }
    }
    sections
}

/// Strips of forty outlets, each plugged into the one before.
fn in_a_row(cords: usize) -> Files {
    let files = one_circuit(cords);
    let text = files[0].1.lines().map(|line| match line.split_once(": ") {
        Some((name, _)) if name.starts_with("  p") && name != "  p0" => {
            let number: usize = name[3..].parse().unwrap_or(1);
            let from = format!("from: p{}/41", number - 1);
            line.replace("from: A1", &from) + "\n"
        }
        _ => format!("{line}\n"),
    });
    one_text(text.collect())
}

/// Every cord merges its keys from an anchor.
fn merged(cords: usize) -> Files {
    let files = one_strip(cords, "");
    let text = files[0].1.replace("{type: blue, ", "{<<: *all, ");
    let text = text.replacen("{<<: *all, ", "&all {type: blue, ", 1);
    one_text(text)
}

/// Every cord has a key that is not known, and a device that is not there.
fn broken(cords: usize) -> Files {
    let files = one_strip(cords, ", lenght: 2 m");
    one_text(files[0].1.replace("to: d", "to: e"))
}
