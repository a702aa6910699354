//! A hall of which nothing is known but models, positions and zones. All of it is invented.

use std::fmt::Write;

use crate::dice::Dice;

/// The hall in its numbers.
pub struct Hall {
    pub racks: usize,
    /// Outlets on each strip: of seven one is C19.
    pub outlets: usize,
    /// What a chassis draws.
    pub heavy: &'static str,
}

impl Default for Hall {
    fn default() -> Self {
        Self {
            racks: 8,
            outlets: 42,
            heavy: "1900 W",
        }
    }
}

const SITE: &str = "\
site:
  name: Lantern Mill computer hall
  practice: iec
  country: GB
  ambient: 27 °C
  continuous-load: 80 %
  supply-tolerance: 6 %
  voltage-drop: {circuit: 3 %, cord: 1 %, total: 5 %}
  feeds: {A: {colour: blue}, B: {colour: red}}
  label: \"W-[0-9]{4}\"
  stock-lengths: [0.5 m, 0.8 m, 1 m, 1.2 m, 1.5 m, 2 m]
";

const REST: &str = "\
zones:
  hall: {ambient: 27 °C, vibration: none, air: room, wet: no, oil: no}
device-models:
  node-1u: {height: 1 U, class: I, voltage: 200–240 V, rating: 800 W, power-factor: 0.98, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1, third-harmonic: 8 %}
  node-2u: {height: 2 U, class: I, voltage: 200–240 V, rating: 1100 W, power-factor: 0.98, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1, third-harmonic: 8 %}
  chassis: {height: 6 U, class: I, voltage: 200–240 V, rating: 3500 W, power-factor: 0.98, inlets: {psu1: C20, psu2: C20}, inlets-needed: 1, third-harmonic: 8 %}
  switch: {height: 1 U, class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.95, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1, third-harmonic: 8 %}
";

impl Hall {
    /// The `site` section alone.
    pub fn site(&self) -> String {
        SITE.to_owned()
    }

    /// All of it.
    pub fn yaml(&self) -> String {
        format!("{SITE}{}", self.rest())
    }

    /// All but the `site` section.
    pub fn rest(&self) -> String {
        let mut text = REST.to_owned();
        let out = &mut text;
        *out += "supplies:\n";
        for feed in ["A", "B"] {
            let name = feed.to_lowercase();
            writeln!(out, "  ups-{name}: {{feed: {feed}, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 160 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}}").unwrap();
        }
        *out += "circuits:\n";
        for rack in 1..=self.racks {
            for feed in ["a", "b"] {
                writeln!(out, "  {feed}-{rack}: {{from: ups-{feed}, poles: [L1, L2, L3, N], breaker: {{rating: 32 A, curve: C, breaking-capacity: 10 kA}}, wiring: {{conductor: 10 mm², length: 20 m, insulation: xlpe-90}}, receptacle: IEC 60309 32 A 3P+N+E 6h}}").unwrap();
            }
        }
        self.strips(out);
        self.devices(out);
        text
    }

    fn strips(&self, out: &mut String) {
        *out += "pdu-models:\n  strip:\n    plug: IEC 60309 32 A 3P+N+E 6h\n    rating: 32 A\n    cord: {cordage: H07RN-F, conductor: 6 mm², length: 3 m}\n    outlet-pitch: 40 mm\n    first-outlet: 60 mm\n    banks:\n";
        let mut outlet = 1;
        for bank in 0..6 {
            let line = bank % 3 + 1;
            let mut own = Vec::new();
            for place in 0..self.outlets / 6 {
                let coupler = if place == 6 { "C19" } else { "C13" };
                own.push(format!("{outlet}: {coupler}"));
                outlet += 1;
            }
            let own = own.join(", ");
            writeln!(out, "      B{}: {{between: L{line}-N, breaker: {{rating: 16 A, curve: C, breaking-capacity: 10 kA, let-through: 7 kA²s}}, outlets: {{{own}}}}}", bank + 1).unwrap();
        }
        *out += "racks:\n";
        for rack in 1..=self.racks {
            writeln!(
                out,
                "  r{rack}: {{zone: hall, height: 47 U, width: 800 mm, depth: 1200 mm}}"
            )
            .unwrap();
        }
        *out += "pdus:\n";
        for rack in 1..=self.racks {
            for (feed, side) in [("a", "rear-left"), ("b", "rear-right")] {
                writeln!(out, "  r{rack}-{feed}: {{model: strip, rack: r{rack}, from: {feed}-{rack}, mount: {{side: {side}, foot: U2, head: U42}}}}").unwrap();
            }
        }
    }

    /// Thirteen devices a rack, and one less in the eighth: 103 in all.
    fn devices(&self, out: &mut String) {
        *out += "devices:\n";
        let mut dice = Dice::new(7);
        for rack in 1..=self.racks {
            let (mut unit, count) = (1, if rack == 8 { 12 } else { 13 });
            for number in 1..=count {
                let (model, height, draw) = match number {
                    1 => ("switch", 1, "150 W".to_owned()),
                    6 if self.outlets == 42 => ("chassis", 6, self.heavy.to_owned()),
                    _ if dice.below(2) == 0 => {
                        ("node-1u", 1, format!("{} W", 250 + dice.below(350)))
                    }
                    _ => ("node-2u", 2, format!("{} W", 400 + dice.below(400))),
                };
                writeln!(out, "  d-{rack}-{number:02}: {{model: {model}, rack: r{rack}, at: U{unit}, draw: {draw}}}").unwrap();
                unit += height + 1;
            }
        }
    }
}
