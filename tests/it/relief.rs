//! The advice on overloads: load goes only where it can be plugged in.

use cordwright::finding::Verdict;

use crate::site::judged;

/// A full bank beside an empty one: load moves there only where its cords find outlets of their kind.
#[test]
fn load_moves_only_to_outlets_of_its_kind() {
    let advice = |outlet: &str| {
        let site = format!(
            "site: {{practice: iec, supply-tolerance: 0 %}}
supplies: {{s: {{feed: A, system: \"3/N/PE ~ 400/230 V 50 Hz\", capacity: 100 kVA}}}}
circuits: {{c: {{from: s, poles: [L1, N], breaker: {{rating: 32 A}}}}}}
pdu-models:
  m:
    rating: 32 A
    banks:
      B1: {{between: L1-N, breaker: {{rating: 10 A}}, outlets: {{1-3: C13}}}}
      B2: {{between: L1-N, breaker: {{rating: 10 A}}, outlets: {{4-6: {outlet}}}}}
pdus: {{p: {{model: m, from: c}}}}
device-models: {{d: {{voltage: 100–240 V, inlets: {{psu: C14}}}}}}
devices: {{x: {{model: d, draw: 920 VA}}, y: {{model: d, draw: 920 VA}}, z: {{model: d, draw: 920 VA}}}}
cord-types: {{t: {{plug: C14, connector: C13}}}}
cords: {{W-1: {{type: t, from: p/1, to: x/psu}}, W-2: {{type: t, from: p/2, to: y/psu}}, W-3: {{type: t, from: p/3, to: z/psu}}}}
"
        );
        let found = judged(&vec![("cordwright.yaml".to_owned(), site)]).findings;
        let mut found = found.iter().filter(|f| f.rule == "bank-overloaded");
        let finding = found.next().expect("the full bank");
        finding.remedy.advice.clone()
    };
    let (same, other) = (advice("C13"), advice("C19"));
    // 12 A stand behind 10 A.
    assert!(
        same.starts_with("Move at least 2 A of load to bank B2"),
        "{same}"
    );
    assert!(
        other.starts_with("Take off at least 2 A of load"),
        "{other}"
    );
}

/// Pseudo-random numbers with a fixed beginning, so that every run sees the same sites.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = self.0.wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

/// What a cord that moves must not bring about.
const REDUNDANCY: [&str; 3] = ["feed-shared", "supplies-insufficient", "single-corded"];

const OVERLOADS: [&str; 5] = [
    "bank-overloaded",
    "circuit-overloaded",
    "line-overloaded",
    "failover-overloaded",
    "supply-overloaded",
];

/// A rack with strips on two feeds, most of its load on few of the banks; every cord with its outlet.
struct Site {
    head: String,
    cords: Vec<(String, String, String)>,
}

impl Site {
    fn new(seed: u64) -> Self {
        let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15));
        let is_delta = dice.below(3) == 0;
        let (system, banks) = if is_delta {
            ("3/PE ~ 208 V 60 Hz", ["L1-L2", "L2-L3", "L3-L1"])
        } else {
            ("3/N/PE ~ 400/230 V 50 Hz", ["L1-N", "L2-N", "L3-N"])
        };
        let poles = if is_delta {
            "L1, L2, L3"
        } else {
            "L1, L2, L3, N"
        };
        let (breaker, circuit) = (10 + 6 * dice.below(2), 20 + 12 * dice.below(2));
        let mut head = format!(
            "site: {{practice: iec, ambient: 25 °C, supply-tolerance: 10 %, continuous-load: {} %}}
zones: {{z: {{air: room}}}}
racks: {{r1: {{zone: z}}, r2: {{zone: z}}}}
supplies:
  a: {{feed: A, system: \"{system}\", capacity: 100 kVA, sequence-proved: yes}}
  b: {{feed: B, system: \"{system}\", capacity: 100 kVA, sequence-proved: yes}}
pdu-models:
  m:
    rating: {circuit} A
    cord: {{conductor: 10 mm², cordage: H07RN-F, length: 3 m}}
    banks:
",
            80 + 10 * dice.below(3)
        );
        for (number, between) in banks.iter().enumerate() {
            let first = 1 + 8 * number;
            head.push_str(&format!(
                "      B{}: {{between: {between}, breaker: {breaker} A, outlets: {{{first}-{}: C13, {}-{}: C19}}}}\n",
                number + 1,
                first + 5,
                first + 6,
                first + 7
            ));
        }
        let mut circuits = String::from("circuits:\n");
        let mut pdus = String::from("pdus:\n");
        let strips = 1 + dice.below(2);
        for feed in ["a", "b"] {
            for strip in 0..strips {
                let rack = 1 + dice.below(4) / 3;
                circuits.push_str(&format!(
                    "  c-{feed}{strip}: {{from: {feed}, poles: [{poles}], breaker: {circuit} A, wiring: {{conductor: 10 mm², insulation: pvc-70, length: 20 m}}}}\n"
                ));
                pdus.push_str(&format!(
                    "  p-{feed}{strip}: {{model: m, rack: r{rack}, from: c-{feed}{strip}}}\n"
                ));
            }
        }
        let mut devices = String::from(
            "device-models:
  one: {voltage: 100–240 V, power-factor: 0.95, inlets: {psu1: C14}, inlets-needed: 1}
  two: {voltage: 100–240 V, power-factor: 0.95, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}
  big: {voltage: 100–240 V, power-factor: 0.95, inlets: {psu1: C20, psu2: C20}, inlets-needed: 1}
cord-types:
  c13: {plug: C14, connector: C13, conductor: 1.5 mm², length: 2 m}
  c19: {plug: C20, connector: C19, conductor: 2.5 mm², length: 2 m}
devices:
",
        );
        let mut cords = Vec::new();
        let mut used = std::collections::BTreeSet::new();
        for number in 0..4 + dice.below(10) {
            let model = ["one", "two", "two", "big", "two"][dice.below(5) as usize];
            let own_feed = ["a", "b"][dice.below(2) as usize];
            // Some have both inlets on one feed, on different strips where there are two.
            let is_on_one = dice.below(4) == 0;
            let draw = 100 + 50 * dice.below(if model == "big" { 40 } else { 14 });
            devices.push_str(&format!(
                "  d{number}: {{model: {model}, rack: r1, draw: {draw} W}}\n"
            ));
            for (inlet, feed) in
                ["a", "b"]
                    .into_iter()
                    .enumerate()
                    .take(if model == "one" { 1 } else { 2 })
            {
                let (feed, strip) = if is_on_one {
                    (own_feed, inlet as u64 % strips)
                } else {
                    (feed, dice.below(strips))
                };
                // Mostly the first bank.
                let bank = dice.below(3) * dice.below(2);
                let (first, several, kind) = if model == "big" {
                    (7, 2, "c19")
                } else {
                    (1, 6, "c13")
                };
                let outlet = format!("p-{feed}{strip}/{}", 8 * bank + first + dice.below(several));
                if used.insert(outlet.clone()) {
                    let end = format!("d{number}/psu{}", inlet + 1);
                    cords.push((kind.to_owned(), outlet, end));
                }
            }
        }
        Self {
            head: head + &circuits + &pdus + &devices,
            cords,
        }
    }

    fn overloads(&self) -> (Vec<Overload>, Vec<String>) {
        let mut text = self.head.clone() + "cords:\n";
        for (number, (kind, from, to)) in self.cords.iter().enumerate() {
            text.push_str(&format!(
                "  W-{number}: {{type: {kind}, from: {from}, to: {to}}}\n"
            ));
        }
        let found = judged(&vec![("cordwright.yaml".to_owned(), text)]).findings;
        let overloads = found.iter().filter(|finding| {
            finding.verdict == Verdict::Broken && OVERLOADS.contains(&finding.rule)
        });
        let told = overloads.map(|finding| Overload {
            of: finding.about[0].to_string(),
            line: ["L1", "L2", "L3"]
                .into_iter()
                .find(|line| finding.headline.contains(&format!(" A on {line}"))),
            is_slight: is_slight(&finding.headline),
            advice: finding.remedy.advice.clone(),
        });
        let told = told.collect();
        let shared = found
            .iter()
            .filter(|finding| REDUNDANCY.contains(&finding.rule));
        let shared = shared.map(|finding| format!("{} {}", finding.rule, finding.about[0]));
        (told, shared.collect())
    }
}

/// What is overloaded, on which line where it has several, and what is advised.
struct Overload {
    of: String,
    line: Option<&'static str>,
    is_slight: bool,
    advice: String,
}

/// The moves that an advice names: `cord W-1 (4.2 A) to outlet p-a0/9`.
fn named_moves(advice: &str) -> Vec<(usize, String)> {
    let parts = advice.split("cord W-").skip(1);
    let moves = parts.filter_map(|part| {
        let (cord, outlet) = part.split_once(" A) to outlet ")?;
        let number = cord.split(' ').next().unwrap().parse().unwrap();
        let outlet = outlet.split([' ', ',', '.']).next().unwrap();
        Some((number, outlet.to_owned()))
    });
    moves.collect()
}

/// Whether a headline tells of an overload by less than half a per cent: as much as a neighbour at its limit
/// gains where the voltage drop changes a little.
fn is_slight(headline: &str) -> bool {
    let words: Vec<&str> = headline.split([' ', ',', ':']).collect();
    let amperes = words.windows(2).filter(|two| two[1] == "A");
    let amperes: Vec<f64> = amperes.filter_map(|two| two[0].parse().ok()).collect();
    amperes[0] < 1.005 * amperes[1]
}

/// What is advised is done, and the site judged again: the overload is gone, and nothing else has come.
#[test]
fn moves_that_are_named_put_the_overload_right() {
    let (mut alone, mut spread) = (0, 0);
    for seed in 0..600 {
        let site = Site::new(seed);
        let (before, shared) = site.overloads();
        for told in &before {
            let advice = &told.advice;
            let moves = named_moves(advice);
            if moves.is_empty() {
                continue;
            }
            if advice.contains("together") {
                spread += 1;
            } else {
                alone += 1;
            }
            let mut after = Site {
                head: site.head.clone(),
                cords: site.cords.clone(),
            };
            for (cord, outlet) in &moves {
                let taken = site.cords.iter().any(|(_, from, _)| from == outlet);
                assert!(!taken, "seed {seed}: {outlet} is taken: {advice}");
                after.cords[*cord].1.clone_from(outlet);
            }
            let (after, shared_after) = after.overloads();
            for now in &shared_after {
                let is_known = shared.contains(now);
                assert!(is_known, "seed {seed}: {now} came with: {advice}");
            }
            for left in after {
                // Of several lines that are overloaded the worst is told.
                let stands = left.of == told.of && left.line == told.line;
                assert!(!stands, "seed {seed}: {} stands after: {advice}", left.of);
                let is_known = left.is_slight || before.iter().any(|known| known.of == left.of);
                assert!(is_known, "seed {seed}: {} came with: {advice}", left.of);
            }
        }
    }
    assert!(alone >= 50 && spread >= 20, "{alone} and {spread} only");
}

/// A bank beside the full one has two free outlets: the cord is moved to the one that it reaches, and if it
/// reaches none, nothing is moved. Outlets lie 50 mm apart from 60 mm above U1 on, the inlet of `y` in the
/// middle of U1: from outlet 9 up or down 460 − 22.2 mm, across 300 mm, bends 200 mm, loop 150 mm: 1.088 m.
#[test]
fn a_cord_moves_only_as_far_as_it_reaches() {
    let advice = |length: &str, taken: &str| {
        let site = format!(
            "site: {{practice: iec}}
zones: {{z: {{air: room}}}}
racks: {{r: {{zone: z, height: 42 U, width: 600 mm}}}}
supplies: {{s: {{feed: A, system: \"3/N/PE ~ 400/230 V 50 Hz\", capacity: 100 kVA}}}}
circuits: {{c: {{from: s, poles: [L1, N], breaker: 32 A}}}}
pdu-models:
  m:
    rating: 32 A
    banks:
      B1: {{between: L1-N, breaker: 10 A, outlets: {{1-8: C13}}}}
      B2: {{between: L1-N, breaker: 10 A, outlets: {{9-20: C13}}}}
    outlet-pitch: 50 mm
    first-outlet: 60 mm
pdus: {{p: {{model: m, rack: r, from: c, mount: {{side: rear-left, foot: U1, head: U30}}}}}}
device-models: {{d: {{height: 1 U, voltage: 100–240 V, inlets: {{psu: C14}}}}}}
devices:
  x: {{model: d, rack: r, at: U2, draw: 1840 VA}}
  y: {{model: d, rack: r, at: U1, draw: 920 VA}}
  z: {{model: d, rack: r, at: U3, draw: 2 VA}}
cord-types: {{t: {{plug: C14, connector: C13, length: 2 m}}}}
cords:
  W-1: {{type: t, from: p/1, to: x/psu}}
  W-2: {{type: t, length: {length}, from: p/2, to: y/psu}}
  W-3: {{type: t, from: p/{taken}, to: z/psu}}
"
        );
        let found = judged(&vec![("cordwright.yaml".to_owned(), site)]).findings;
        let mut found = found.iter().filter(|f| f.rule == "bank-overloaded");
        found.next().expect("the full bank").remedy.advice.clone()
    };
    let near = advice("1.10 m", "20");
    assert_eq!(named_moves(&near), [(2, "p/9".to_owned())], "{near}");
    // Only from outlet 10 on, 50 mm further away.
    let far = advice("1.15 m", "9");
    assert_eq!(named_moves(&far), [(2, "p/10".to_owned())], "{far}");
    // Too short for either: only the larger load could move.
    for (length, taken) in [("1.08 m", "20"), ("1.10 m", "9")] {
        let other = advice(length, taken);
        assert_ne!(
            named_moves(&other).first().map(|(cord, _)| *cord),
            Some(2),
            "{other}"
        );
    }
}
