//! A circuit simulator in small: reads a deck, solves it by nodal analysis with plain Gaussian elimination,
//! and holds what comes out against what the deck says should. It knows nothing of the program.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use num_complex::Complex64;
use regex::Regex;

/// Differences are relative to the value, but never to less than this: a neutral may cancel to nothing.
const FLOOR_AMPERES: f64 = 0.1;
const FLOOR_VOLTS: f64 = 1.0;
/// The deck gives seven digits.
const TOLERANCE: f64 = 1e-6;

/// A part of a circuit, between two nodes.
enum Kind {
    /// Volts.
    Source(Complex64),
    /// Ohms.
    Resistor(f64),
    /// Henries.
    Coil(f64),
}

struct Part {
    name: String,
    from: String,
    to: String,
    kind: Kind,
}

/// A deck, solved.
pub struct Redone {
    /// All comments as one text.
    pub said: String,
    amperes: BTreeMap<String, Complex64>,
    /// What was expected, by the words that print it.
    pub expected: usize,
    /// Complex power of every load, by its number.
    pub powers: BTreeMap<usize, Complex64>,
}

impl Redone {
    /// Current of a pole of an element towards the load.
    pub fn current(&self, element: usize, pole: &str) -> Option<Complex64> {
        let name = format!("Ve{element}_{}", pole.to_lowercase());
        self.amperes.get(&name).copied()
    }

    /// The number of an element, by its description.
    pub fn number(&self, what: &str) -> Option<usize> {
        let headings = self
            .said
            .lines()
            .filter_map(|line| line.strip_prefix('e')?.split_once(": "));
        let mut found = headings.filter(|(_, of)| *of == what);
        found.find_map(|(number, _)| number.parse().ok())
    }
}

/// A deck as it is read.
#[derive(Default)]
struct Read {
    said: String,
    parts: Vec<Part>,
    printed: Vec<String>,
    expected: Vec<(String, Vec<f64>)>,
    hertz: Option<f64>,
}

/// Reads a deck and solves it; whatever it says should come out does, and nothing in it is anything else than
/// it should be.
#[track_caller]
pub fn redone(deck: &str) -> Redone {
    let read = read(deck);
    let (volts, amperes) = read.solved();
    read.hold(&volts, &amperes);
    Redone {
        powers: powers(&read, &volts),
        amperes,
        expected: read.expected.len(),
        said: read.said,
    }
}

/// Solves a deck from nothing but the powers of its loads, as it says how: impedances are made from the voltages
/// that come out, again and again. It ends at what should come out.
#[track_caller]
pub fn anew(deck: &str) {
    let mut read = read(deck);
    let (volts, _) = read.solved();
    let powers = powers(&read, &volts);
    let nominal = read.parts.iter().filter_map(|part| match part.kind {
        Kind::Source(volts) => Some(volts.norm()),
        _ => None,
    });
    let nominal = nominal.fold(0.0, f64::max);
    read.remake(|number| (powers[&number], nominal));
    for _ in 0..60 {
        let (volts, _) = read.solved();
        let ends = read.loads();
        let across = |number: usize| {
            let (from, to, _) = &ends[&number];
            (volts[from] - volts[to]).norm()
        };
        read.remake(|number| (powers[&number], across(number)));
    }
    let (volts, amperes) = read.solved();
    read.hold(&volts, &amperes);
}

impl Read {
    fn hertz(&self) -> f64 {
        self.hertz.unwrap_or(50.0)
    }

    fn solved(&self) -> (Phasors, Phasors) {
        solved(&self.parts, self.hertz())
    }

    #[track_caller]
    fn hold(&self, volts: &Phasors, amperes: &Phasors) {
        for (name, value) in &self.expected {
            hold(name, value, volts, amperes);
        }
    }

    /// Both ends of every load, and its impedance.
    fn loads(&self) -> BTreeMap<usize, (String, String, Complex64)> {
        let mut loads = BTreeMap::new();
        for part in &self.parts {
            let number = part.name.get(2..).and_then(|number| number.parse().ok());
            match (part.name.get(..2), number, &part.kind) {
                (Some("Rz"), Some(number), Kind::Resistor(ohms)) => {
                    let ohms = Complex64::new(*ohms, 0.0);
                    loads.insert(number, (part.from.clone(), part.to.clone(), ohms));
                }
                (Some("Lz"), Some(number), Kind::Coil(henries)) => {
                    let load = loads.get_mut(&number).unwrap();
                    assert_eq!(load.1, part.from);
                    load.1.clone_from(&part.to);
                    load.2.im = std::f64::consts::TAU * self.hertz() * henries;
                }
                _ => {}
            }
        }
        loads
    }

    /// Makes the impedance of every load anew from its power and the voltage that it finds.
    fn remake(&mut self, of: impl Fn(usize) -> (Complex64, f64)) {
        let turn = std::f64::consts::TAU * self.hertz();
        for part in &mut self.parts {
            let Some(number) = part.name.get(2..).and_then(|number| number.parse().ok()) else {
                continue;
            };
            let impedance = || {
                let (power, volts) = of(number);
                volts * volts / power.conj()
            };
            match (&part.name[..2], &mut part.kind) {
                ("Rz", Kind::Resistor(ohms)) => *ohms = impedance().re,
                ("Lz", Kind::Coil(henries)) => *henries = impedance().im / turn,
                _ => {}
            }
        }
    }
}

#[track_caller]
fn read(deck: &str) -> Read {
    assert!(deck.is_ascii(), "{deck}");
    assert!(!deck.chars().any(|c| c.is_control() && c != '\n'), "{deck}");
    let (title, body) = deck.split_once('\n').unwrap();
    assert!(
        title.starts_with("Cordwright: the network behind "),
        "{title}"
    );
    let body = body.strip_suffix(".end\n").expect("the end");
    let mut read = Read::default();
    body.lines().for_each(|line| read.line(line));
    assert_eq!(read.hertz.is_some(), !read.parts.is_empty());
    let names = read.expected.iter().map(|(name, _)| name);
    assert_eq!(
        names.collect::<Vec<_>>(),
        read.printed.iter().collect::<Vec<_>>()
    );
    read
}

impl Read {
    #[track_caller]
    fn line(&mut self, line: &str) {
        if let Some(comment) = line.strip_prefix('*') {
            assert!(comment.is_empty() || comment.starts_with(' '), "{line}");
            let comment = comment.trim_start();
            self.said.push_str(comment);
            self.said.push('\n');
            self.expected.extend(expectation(comment));
        } else if let Some(words) = line.strip_prefix(".print ac ") {
            self.printed.extend(words.split(' ').map(str::to_owned));
        } else if let Some(range) = line.strip_prefix(".ac lin 1 ") {
            let (from, to) = range.split_once(' ').unwrap();
            assert_eq!(from, to);
            assert!(
                self.hertz.replace(from.parse().unwrap()).is_none(),
                "{line}"
            );
        } else {
            self.parts.push(part(line));
        }
    }
}

/// `i(Ve1_l1) = 2 A (1.6, -1.2)`, `vm(e1_l1) = 207 V`.
fn expectation(comment: &str) -> Option<(String, Vec<f64>)> {
    let (name, value) = comment.split_once(" = ")?;
    let is_printed = name.starts_with("i(V") || name.starts_with("vm(");
    let numbers = value.replace(['(', ')', ','], "");
    let numbers = numbers.split(' ').filter(|word| !["A", "V"].contains(word));
    is_printed.then(|| {
        (
            name.to_owned(),
            numbers.map(|word| word.parse().unwrap()).collect(),
        )
    })
}

#[track_caller]
fn part(line: &str) -> Part {
    static FORM: LazyLock<Regex> = LazyLock::new(|| {
        let node = r"(?:0|s[0-9]+_(?:l[123]|n)|m?e[0-9]+_(?:l[123]|n)(?:_[0-9]+)?|z[0-9]+)";
        Regex::new(&format!(r"^([VRL][a-z0-9_]+) ({node}) ({node}) (.*)$")).unwrap()
    });
    let words = FORM
        .captures(line)
        .unwrap_or_else(|| panic!("no card: {line:?}"));
    let number = |text: &str| text.parse::<f64>().unwrap_or_else(|_| panic!("{line:?}"));
    let kind = match &words[1][..1] {
        "R" => Kind::Resistor(number(&words[4])),
        "L" => Kind::Coil(number(&words[4])),
        _ => {
            let polar = words[4].strip_prefix("DC 0 AC ").unwrap();
            let (volts, angle) = polar.split_once(' ').unwrap_or((polar, "0"));
            let angle = number(angle).to_radians();
            Kind::Source(Complex64::from_polar(number(volts), angle))
        }
    };
    Part {
        name: words[1].to_owned(),
        from: words[2].to_owned(),
        to: words[3].to_owned(),
        kind,
    }
}

type Phasors = BTreeMap<String, Complex64>;

/// Voltage of every node against node 0, and current through every source from its first node to its second.
fn solved(parts: &[Part], hertz: f64) -> (Phasors, Phasors) {
    let mut places = BTreeMap::new();
    // The far ends come first: a tree that is cut down from its leaves stays one.
    for part in parts.iter().rev() {
        let nodes = [&part.from, &part.to]
            .into_iter()
            .filter(|node| *node != "0");
        let source = matches!(part.kind, Kind::Source(_)).then_some(&part.name);
        for unknown in source.into_iter().chain(nodes) {
            let next = places.len();
            places.entry(unknown.as_str()).or_insert(next);
        }
    }
    let count = places.len();
    let mut rows = vec![vec![Complex64::ZERO; count + 1]; count];
    for part in parts {
        let ends = [&part.from, &part.to].map(|node| places.get(node.as_str()).copied());
        match part.kind {
            Kind::Resistor(ohms) => admit(&mut rows, ends, Complex64::new(ohms, 0.0)),
            Kind::Coil(henries) => {
                let reactance = std::f64::consts::TAU * hertz * henries;
                admit(&mut rows, ends, Complex64::new(0.0, reactance));
            }
            Kind::Source(volts) => {
                let own = places[part.name.as_str()];
                for (end, sign) in ends.into_iter().zip([1.0, -1.0]) {
                    if let Some(end) = end {
                        rows[end][own] += sign;
                        rows[own][end] += sign;
                    }
                }
                rows[own][count] = volts;
            }
        }
    }
    let values = eliminated(rows);
    let (mut volts, mut amperes) = (Phasors::new(), Phasors::new());
    volts.insert("0".to_owned(), Complex64::ZERO);
    for (name, place) in places {
        let into = match name.starts_with('V') {
            true => &mut amperes,
            false => &mut volts,
        };
        into.insert(name.to_owned(), values[place]);
    }
    (volts, amperes)
}

fn admit(rows: &mut [Vec<Complex64>], ends: [Option<usize>; 2], ohms: Complex64) {
    for (end, other) in [(ends[0], ends[1]), (ends[1], ends[0])] {
        if let Some(end) = end {
            rows[end][end] += ohms.inv();
            if let Some(other) = other {
                rows[end][other] -= ohms.inv();
            }
        }
    }
}

/// Gaussian elimination with the largest pivot of each column.
fn eliminated(mut rows: Vec<Vec<Complex64>>) -> Vec<Complex64> {
    let count = rows.len();
    for column in 0..count {
        let size = |row: &usize| rows[*row][column].norm();
        let pivot = (column..count).max_by(|a, b| size(a).total_cmp(&size(b)));
        rows.swap(column, pivot.unwrap());
        let (above, below) = rows.split_at_mut(column + 1);
        let own = &above[column];
        assert!(own[column].norm() > 1e-12, "a node hangs in the air");
        for row in below
            .iter_mut()
            .filter(|row| row[column] != Complex64::ZERO)
        {
            let times = row[column] / own[column];
            for at in column..=count {
                row[at] -= times * own[at];
            }
        }
    }
    let mut values = vec![Complex64::ZERO; count];
    for row in (0..count).rev() {
        let known: Complex64 = (row + 1..count).map(|at| rows[row][at] * values[at]).sum();
        values[row] = (rows[row][count] - known) / rows[row][row];
    }
    values
}

#[track_caller]
fn hold(name: &str, expected: &[f64], volts: &Phasors, amperes: &Phasors) {
    let inner = name.split_once('(').unwrap().1.trim_end_matches(')');
    let near = |is: f64, should: f64, whole: f64, floor: f64| {
        let spare = TOLERANCE * whole.max(floor);
        assert!((is - should).abs() <= spare, "{name}: {is}, not {should}");
    };
    if name.starts_with("vm(") {
        let (from, to) = inner.split_once(',').unwrap_or((inner, "0"));
        let is = (volts[from] - volts[to]).norm();
        return near(is, expected[0], is, FLOOR_VOLTS);
    }
    let is = amperes[inner];
    let whole = is.norm();
    for (is, should) in [whole, is.re, is.im].into_iter().zip(expected) {
        near(is, *should, whole, FLOOR_AMPERES);
    }
}

/// What every load takes: V times the conjugate of I.
fn powers(read: &Read, volts: &Phasors) -> BTreeMap<usize, Complex64> {
    let loads = read.loads().into_iter();
    let power = |(number, (from, to, ohms)): (usize, (String, String, Complex64))| {
        let across = volts[&from] - volts[&to];
        (number, across * (across / ohms).conj())
    };
    loads.map(power).collect()
}

#[test]
fn two_resistors_in_a_row_share_the_voltage() {
    let deck = "Cordwright: the network behind hand arithmetic
Vs1_l1 s1_l1 0 DC 0 AC 10 90
Ve1_l1 s1_l1 me1_l1 DC 0 AC 0
Re1_l1 me1_l1 e1_l1 2
Rz1 e1_l1 0 3
.print ac i(Ve1_l1) vm(e1_l1)
* i(Ve1_l1) = 2 A (0, 2)
* vm(e1_l1) = 6 V
.ac lin 1 50 50
.end
";
    let redone = redone(deck);
    assert!((redone.powers[&1] - 12.0).norm() < 1e-12);
    let wrong = deck.replace("= 6 V", "= 6.0001 V");
    assert!(std::panic::catch_unwind(|| super::redone::redone(&wrong)).is_err());
}
