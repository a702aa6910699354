//! The networks as a deck in the syntax that circuit simulators share.
//!
//! Nodes and parts of the deck have names made of numbers and poles; what they stand for is said in
//! comments, into which names go through their escaping.

use std::f64::consts::TAU;

use num_complex::Complex64;

use crate::ink::{Deck as Spice, Plain, Written, digits_of, wrapped};
use crate::model::circuits::Pole;
use crate::report::CAUTION;
use crate::trace::deck::{Deck, Element, End, Load, Part, Source, Wire};

/// Columns of a comment.
const WIDTH: usize = 76;
/// Digits of what is solved with.
const EXACT: usize = 12;
/// Digits of what should come out.
const EXPECTED: usize = 7;
/// Where no supply is marked with a frequency: it bears on nothing.
const HERTZ: f64 = 50.0;

/// What holds of every deck.
const READING: [&str; 6] = [
    "Solve it with any circuit simulator, as with: ngspice -b FILE. Below each .print stands what should come out of it, to seven digits. i(V...) is the current towards the load: some simulators print its magnitude, others its real and imaginary part. Nodes eN_l1, eN_n are the far ends of the conductors of element N, named above its lines; node 0 is the neutral point of the supplies, which one without a neutral has on paper alone. Volts and amperes are r.m.s.",
    "Conductors have resistance alone, one way and hot: there is no reactance, and no impedance ahead of a supply, which holds its voltage. A conductor is taken at the highest temperature of its insulation, and at 90 C where that is not known.",
    "Loads take constant power, and are written as the impedance that this is at the voltage they find: Z = |V|^2 / conj(S). To check: where the voltage that comes out at a load is the |V| that its Z was made with, the load takes S = V * conj(I) and the network is solved. To do it all anew: begin each load with its nominal voltage, solve, make each Z again from the |V| that came out, and go on until nothing moves.",
    "Third harmonics: this deck is the fundamental. Those of single loads are in phase on a shared neutral, so that they are added up as plain numbers, and the sum to the fundamental as the root of the squares; where there are any, a comment at the neutral says so.",
    "What this proves is the arithmetic: given these resistances, voltages and loads, these are the currents. Whether the room is as recorded it cannot say.",
    CAUTION,
];

/// All networks.
pub(super) fn shown(deck: &Deck) -> Written<Spice> {
    let mut page = Page(Written::new());
    page.0
        .ours("Cordwright: the network behind ")
        .theirs(&deck.title)
        .ours("\n");
    if deck.parts.iter().any(|part| !part.unknown.is_empty()) {
        page.0.ours("*\n");
        page.say("KNOWN LOADS AND RESISTANCES ALONE: not all below is known, and what is not is listed at the head of its part. True currents are other ones, and mostly larger.");
    }
    for said in READING {
        page.0.ours("*\n");
        page.say(said);
    }
    for said in &deck.in_no_sum {
        page.0.ours("*\n");
        page.say(said);
    }
    let hertz = deck.frequency.unwrap_or(HERTZ);
    for (at, part) in deck.parts.iter().enumerate() {
        page.part(part, at + 1, hertz);
    }
    if deck.parts.iter().any(|part| !part.sources.is_empty()) {
        page.0.ours("*\n");
        page.say(
            "The frequency bears on nothing but how a reactance X is written: L = X / (2 pi f).",
        );
        page.0.ours(".ac lin 1 ").value(hertz, EXACT).ours(" ");
        page.0.value(hertz, EXACT).ours("\n");
    }
    page.0.ours(".end\n");
    page.0
}

struct Page(Written<Spice>);

impl Page {
    fn say(&mut self, said: &str) {
        for line in wrapped(&Written::<Plain>::of(said), WIDTH) {
            self.0.comment(line.as_str());
        }
    }

    fn part(&mut self, part: &Part, number: usize, hertz: f64) {
        self.0
            .ours("*\n* ---- Part ")
            .number(number)
            .ours(" ----\n");
        part.about.iter().for_each(|said| self.say(said));
        self.unknown(part);
        if !part.elements.is_empty() && part.sources.is_empty() {
            self.say("Nothing here takes anything that is known: there is nothing to solve.");
        }
        for source in &part.sources {
            self.source(source, number);
        }
        for element in &part.elements {
            self.element(element, number, hertz);
        }
    }

    fn unknown(&mut self, part: &Part) {
        if part.unknown.is_empty() {
            return;
        }
        self.say("Not known, and not in the sums as it should be:");
        for said in &part.unknown {
            self.say(&format!("- {said}."));
        }
    }

    fn source(&mut self, source: &Source, part: usize) {
        let name = Node::new(End::Source(source.pole), part);
        self.0.ours("V").push(&name.0).ours(" ").push(&name.0);
        self.0.ours(" 0 DC 0 AC ").value(source.volts.norm(), EXACT);
        self.0
            .ours(" ")
            .value(degrees(source.volts), EXACT)
            .ours("\n");
    }

    fn element(&mut self, element: &Element, part: usize, hertz: f64) {
        self.0.ours("*\n");
        self.say(&format!("e{}: {}", element.number, element.what));
        element.said.iter().for_each(|said| self.say(said));
        for wire in &element.conductors {
            self.wire(wire, part);
        }
        if let Some(load) = &element.load {
            self.load(load, element.number, part, hertz);
        }
        if !element.conductors.is_empty() {
            self.expected(&element.conductors, part);
        }
    }

    /// A source of 0 V as ammeter, and the resistance if there is one.
    fn wire(&mut self, wire: &Wire, part: usize) {
        let (from, end) = (Node::new(wire.from, part), Node::new(wire.end, part));
        self.0.ours("V").push(&end.0).ours(" ").push(&from.0);
        if wire.ohms == 0.0 {
            self.0.ours(" ").push(&end.0).ours(" DC 0 AC 0\n");
            return;
        }
        self.0.ours(" m").push(&end.0).ours(" DC 0 AC 0\n");
        self.0.ours("R").push(&end.0).ours(" m").push(&end.0);
        self.0.ours(" ").push(&end.0).ours(" ");
        self.0.value(wire.ohms, EXACT).ours("\n");
    }

    fn load(&mut self, load: &Load, number: usize, part: usize, hertz: f64) {
        load.said.iter().for_each(|said| self.say(said));
        let (from, to) = (Node::new(load.from, part), Node::new(load.to, part));
        let Complex64 { re: ohms, im } = load.impedance;
        self.0.ours("Rz").number(number).ours(" ").push(&from.0);
        if im == 0.0 {
            self.0.ours(" ").push(&to.0).ours(" ").value(ohms, EXACT);
            self.0.ours("\n");
            return;
        }
        self.0.ours(" z").number(number).ours(" ");
        self.0.value(ohms, EXACT).ours("\nLz").number(number);
        self.0.ours(" z").number(number).ours(" ").push(&to.0);
        self.0.ours(" ").value(im / (TAU * hertz), EXACT).ours("\n");
    }

    /// What is printed of an element, and what should come out. Between two conductors stands what their
    /// load finds; of more, each stands against the neutral point.
    fn expected(&mut self, wires: &[Wire], part: usize) {
        let mut asked = Written::new();
        let mut expected = Written::new();
        for wire in wires {
            let mut name = Written::<Spice>::new();
            name.ours("i(V")
                .push(&Node::new(wire.end, part).0)
                .ours(")");
            asked.ours(" ").push(&name);
            expected.ours("* ").push(&name).ours(" = ");
            put_current(&mut expected, wire.current);
        }
        for (name, volts) in voltages(wires, part) {
            asked.ours(" ").push(&name);
            expected.ours("* ").push(&name).ours(" = ");
            expected.value(volts, EXPECTED).ours(" V\n");
        }
        self.0.ours(".print ac").push(&asked).ours("\n");
        self.0.push(&expected);
    }
}

fn put_current(written: &mut Written<Spice>, current: Complex64) {
    written.value(current.norm(), EXPECTED).ours(" A (");
    written.value(current.re, EXPECTED).ours(", ");
    written.value(current.im, EXPECTED).ours(")\n");
}

/// The voltages of an element, by the words that print them.
fn voltages(wires: &[Wire], part: usize) -> Vec<(Written<Spice>, f64)> {
    let node = |wire: &Wire| Node::new(wire.end, part).0;
    let mut name = Written::<Spice>::new();
    if let [from, to] = wires {
        name.ours("vm(").push(&node(from)).ours(",");
        name.push(&node(to)).ours(")");
        return vec![(name, (from.voltage - to.voltage).norm())];
    }
    let to_neutral = wires.iter().map(|wire| {
        let mut name = Written::new();
        name.ours("vm(").push(&node(wire)).ours(")");
        (name, wire.voltage.norm())
    });
    to_neutral.collect()
}

/// The name of a node: `e7_l1`, `s1_n`.
struct Node(Written<Spice>);

impl Node {
    fn new(end: End, part: usize) -> Self {
        let mut name = Written::new();
        match end {
            End::Source(pole) => {
                name.ours("s").number(part).ours("_").ours(word(pole));
            }
            End::Of(number, pole, twins) => {
                name.ours("e").number(number).ours("_").ours(word(pole));
                if twins > 0 {
                    name.ours("_").number(twins);
                }
            }
        }
        Self(name)
    }
}

/// Some simulators know no capitals.
fn word(pole: Pole) -> &'static str {
    match pole {
        Pole::L1 => "l1",
        Pole::L2 => "l2",
        Pole::L3 => "l3",
        Pole::N => "n",
    }
}

/// The angle of a source; a third of a turn is one, not a little less.
fn degrees(volts: Complex64) -> f64 {
    let digits = digits_of(volts.arg().to_degrees(), 10);
    digits.parse().unwrap_or(0.0)
}
