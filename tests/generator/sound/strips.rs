//! Strips, and the circuits that feed them: one of feed A and one of feed B in every rack.

use super::house::Grid;
use super::ratings::{Conductor, GAUGES, METRIC, air_factor};
use super::tree::{Node, map};
use super::{Maker, list};

/// A kind of strip.
#[derive(Clone, Copy, Debug)]
struct Kind {
    grid: Grid,
    nec: bool,
    /// Its plug, and the receptacle.
    plug: &'static str,
    /// Rating of plug and breaker in amperes.
    amperes: f64,
    /// Lines and neutral of the plug.
    lines: usize,
    neutral: bool,
    /// What its banks may hang between, by the poles of the plug.
    pairs: &'static [&'static str],
    /// Whether the plug stays in by its shape.
    holds: bool,
}

const ONE: &[&str] = &["L1-N"];
const BETWEEN: &[&str] = &["L1-L2"];
const STAR: &[&str] = &["L1-N", "L2-N", "L3-N"];
const DELTA: &[&str] = &["L1-L2", "L2-L3", "L3-L1"];
const BOTH: &[&str] = &["L1-N", "L2-N", "L3-N", "L1-L2", "L2-L3", "L3-L1"];
const SPLIT: &[&str] = &["L1-N", "L2-N", "L1-L2"];

const fn iec(
    grid: Grid,
    plug: &'static str,
    amperes: f64,
    lines: usize,
    neutral: bool,
    pairs: &'static [&'static str],
) -> Kind {
    Kind {
        grid,
        nec: false,
        plug,
        amperes,
        lines,
        neutral,
        pairs,
        holds: true,
    }
}

const fn nec(
    grid: Grid,
    plug: &'static str,
    amperes: f64,
    lines: usize,
    neutral: bool,
    pairs: &'static [&'static str],
) -> Kind {
    Kind {
        grid,
        nec: true,
        plug,
        amperes,
        lines,
        neutral,
        pairs,
        holds: true,
    }
}

const KINDS: [Kind; 25] = [
    iec(Grid::Star400, "IEC 60309 16 A 2P+E 6h", 16.0, 1, true, ONE),
    iec(Grid::Star400, "IEC 60309 32 A 2P+E 6h", 32.0, 1, true, ONE),
    iec(
        Grid::Star400,
        "IEC 60309 16 A 3P+N+E 6h",
        16.0,
        3,
        true,
        STAR,
    ),
    iec(
        Grid::Star400,
        "IEC 60309 32 A 3P+N+E 6h",
        32.0,
        3,
        true,
        STAR,
    ),
    iec(
        Grid::Single230,
        "IEC 60309 16 A 2P+E 6h",
        16.0,
        1,
        true,
        ONE,
    ),
    iec(
        Grid::Single230,
        "IEC 60309 32 A 2P+E 6h",
        32.0,
        1,
        true,
        ONE,
    ),
    iec(
        Grid::Star208,
        "IEC 60309 16 A 3P+N+E 9h",
        16.0,
        3,
        true,
        BOTH,
    ),
    iec(
        Grid::Star208,
        "IEC 60309 32 A 3P+N+E 9h",
        32.0,
        3,
        true,
        BOTH,
    ),
    iec(
        Grid::Star208,
        "IEC 60309 16 A 2P+E 6h",
        16.0,
        2,
        false,
        BETWEEN,
    ),
    iec(
        Grid::Star208,
        "IEC 60309 16 A 3P+E 9h",
        16.0,
        3,
        false,
        DELTA,
    ),
    nec(Grid::Star208, "NEMA L5-20", 20.0, 1, true, ONE),
    Kind {
        holds: false,
        ..nec(Grid::Star208, "NEMA 5-20", 20.0, 1, true, ONE)
    },
    nec(Grid::Star208, "NEMA L5-30", 30.0, 1, true, ONE),
    nec(Grid::Star208, "NEMA L6-20", 20.0, 2, false, BETWEEN),
    nec(Grid::Star208, "NEMA L6-30", 30.0, 2, false, BETWEEN),
    nec(Grid::Star208, "NEMA L15-30", 30.0, 3, false, DELTA),
    nec(Grid::Star208, "NEMA L21-30", 30.0, 3, true, BOTH),
    nec(Grid::Star208, "NEMA L21-20", 20.0, 3, true, STAR),
    nec(Grid::Split240, "NEMA L5-20", 20.0, 1, true, ONE),
    nec(Grid::Split240, "NEMA L6-20", 20.0, 2, false, BETWEEN),
    nec(Grid::Split240, "NEMA L6-30", 30.0, 2, false, BETWEEN),
    nec(Grid::Split240, "NEMA L14-30", 30.0, 2, true, SPLIT),
    nec(Grid::Delta208, "NEMA L6-30", 30.0, 2, false, BETWEEN),
    nec(Grid::Delta208, "NEMA L15-20", 20.0, 3, false, DELTA),
    nec(Grid::Delta208, "NEMA L15-30", 30.0, 3, false, DELTA),
];

/// A bank of a strip as it fills up.
#[derive(Clone, Debug)]
pub struct Bank {
    /// Lines of the plug that it hangs on.
    pub lines: Vec<usize>,
    /// Volts of its outlets.
    pub volts: f64,
    /// Rating of the device ahead of its outlets, in amperes.
    pub ahead: f64,
    /// Whether what that device lets through is known, in A²s.
    pub let_through: Option<f64>,
    /// Amperes that may still be added, if the other feed is lost.
    pub room: f64,
    /// Amperes of inrush that its breaker still holds.
    pub inrush: f64,
    /// Free outlets: name, place on the strip, coupler.
    pub free: Vec<(String, usize, &'static str)>,
}

/// A strip as it fills up.
#[derive(Clone, Debug)]
pub struct Strip {
    pub name: String,
    pub rack: String,
    pub zone: String,
    pub feed: usize,
    pub banks: Vec<Bank>,
    /// Lines of the supply, by the lines of the plug.
    pub lines: Vec<usize>,
    /// Amperes that each line still bears.
    pub room: Vec<f64>,
    /// Amperes of inrush that the circuit's breaker still holds on each line.
    pub inrush: Vec<f64>,
    /// Milliamperes of earth current so far.
    pub earth: f64,
    /// What holds a plug in its outlets.
    pub latch: Option<&'static str>,
    /// Ways a plug may leave without pressing on the next.
    pub angles: &'static [&'static str],
}

impl Maker {
    /// Strips, circuits and devices of a rack.
    pub fn fill(&mut self, rack: &str) {
        let zone = self
            .site
            .at(&["racks", rack, "zone"])
            .unwrap()
            .text()
            .to_owned();
        let (grid, nec, shaken) = (self.house.grid, self.house.nec, self.is_shaken(&zone));
        let kinds: Vec<Kind> = KINDS
            .into_iter()
            .filter(|kind| kind.grid == grid && kind.nec == nec && (kind.holds || !shaken))
            .collect();
        let kind = self.pick(&kinds);
        let (model, strip) = self.model(kind, &zone);
        let first = self.dice.below(3);
        let mut strips: Vec<Strip> = Vec::new();
        for feed in 0..2 {
            strips.push(self.strip(kind, &model, strip.clone(), (rack, &zone), feed, first));
        }
        let mut strips: [Strip; 2] = strips.try_into().unwrap();
        self.devices(&mut strips, rack);
        for strip in &strips {
            self.circuit(kind, strip);
        }
    }

    /// A strip of a feed, plugged into a circuit of its own.
    fn strip(
        &mut self,
        kind: Kind,
        model: &str,
        blank: Strip,
        (rack, zone): (&str, &str),
        feed: usize,
        first: usize,
    ) -> Strip {
        let name = format!("{rack}-{}", ["a", "b"][feed]);
        let height = self.site.at(&["racks", rack, "height"]).unwrap().number();
        let foot = 2 + self.dice.below(2);
        let side = self.side(zone, feed);
        let head = if side == "horizontal" {
            foot
        } else {
            (height as usize).min(foot + 18 + self.dice.below(20))
        };
        let mount = map([
            ("side", side.into()),
            ("foot", format!("U{foot}").into()),
            ("head", format!("U{head}").into()),
        ]);
        let pdu = map([
            ("model", model.into()),
            ("rack", rack.into()),
            ("from", format!("{}-{rack}", ["A", "B"][feed]).into()),
            ("mount", mount),
        ]);
        self.add("pdus", &name, pdu);
        let of_grid = self.house.grid.lines();
        let lines: Vec<usize> = (0..kind.lines).map(|at| (first + at) % of_grid).collect();
        let lines = if kind.lines == of_grid {
            (0..of_grid).collect()
        } else {
            lines
        };
        Strip {
            name,
            rack: rack.into(),
            zone: zone.into(),
            feed,
            lines,
            ..blank
        }
    }

    fn side(&mut self, zone: &str, feed: usize) -> &'static str {
        let long = !self.zone_says(zone, "article-645", "yes");
        match self.dice.below(10) {
            0 if long => ["front-left", "front-right"][feed],
            1 => "horizontal",
            _ => ["rear-left", "rear-right"][feed],
        }
    }

    /// A model of this kind for a zone, and a strip of it with nothing plugged in.
    fn model(&mut self, kind: Kind, zone: &str) -> (String, Strip) {
        let banks = self.banks(kind);
        let share = if self.house.nec { 0.8 } else { 1.0 };
        let rating = kind.amperes * share;
        let latch = if self.is_shaken(zone) {
            Some(self.pick(&["outlet-latch", "outlet-latch", "pin-grip"]))
        } else {
            None
        };
        let earth = self.pick(&[None, Some("up"), Some("down"), Some("left"), Some("right")]);
        let mut model = map([
            ("plug", kind.plug.into()),
            ("rating", format!("{rating} A").into()),
            ("cord", self.input_cord(kind, zone)),
        ]);
        if !kind.holds && self.once_in(3) {
            model.set("retention", "none");
        }
        model.set("banks", bank_nodes(&banks, kind, latch));
        model.set("outlet-pitch", self.pick(&["28 mm", "40 mm", "5 cm"]));
        model.set("first-outlet", self.pick(&["60 mm", "45 mm"]));
        if let Some(earth) = earth {
            model.set("outlet-earth", earth);
        }
        if self.celsius(zone) > 40.0 || self.once_in(3) {
            model.set("ambient-limit", self.pick(&["45 °C", "50 °C"]));
        }
        let angles: &[&str] = match earth {
            Some("up" | "down") => &["straight", "left", "right"],
            Some(_) => &["straight", "up", "down"],
            None => &["straight"],
        };
        let planned = self.house.planned().min(0.9);
        let strip = Strip {
            name: String::new(),
            rack: String::new(),
            zone: zone.into(),
            feed: 0,
            banks: banks.into_iter().map(|(_, _, bank)| bank).collect(),
            lines: Vec::new(),
            room: vec![rating.min(kind.amperes * planned) * 0.95; kind.lines],
            inrush: vec![kind.amperes * 3.0; kind.lines],
            earth: 0.0,
            latch,
            angles,
        };
        (self.shared("pdu-models", "strip", model), strip)
    }

    /// Banks with their keys and breakers.
    fn banks(&mut self, kind: Kind) -> Vec<(String, &'static str, Bank)> {
        let (small, large) = if self.house.nec {
            (15.0, 20.0)
        } else {
            (10.0, 16.0)
        };
        // A strip whose circuit is small enough for its outlets may do without breakers of its own.
        let bare = kind.amperes <= large && self.once_in(4);
        let many = kind.pairs.len().max(1 + self.dice.below(3));
        let mut banks = Vec::new();
        let mut place = 0;
        for at in 0..many {
            let pair = kind.pairs[at % kind.pairs.len()];
            let lines: Vec<usize> = pair
                .split('-')
                .filter_map(|pole| pole.strip_prefix('L')?.parse::<usize>().ok())
                .map(|line| line - 1)
                .collect();
            let volts = if lines.len() == 1 {
                self.house.grid.to_neutral()
            } else {
                self.house.grid.between()
            };
            let is_large = self.once_in(3);
            let ahead = if bare {
                kind.amperes
            } else if is_large {
                large
            } else {
                small
            };
            let coupler = match (is_large, self.house.nec && volts < 200.0) {
                (false, true) if self.once_in(2) => "NEMA 5-15",
                (true, _) if !bare || self.once_in(2) => "C19",
                _ => "C13",
            };
            let count = if coupler == "C19" {
                2
            } else {
                3 + self.dice.below(5)
            };
            let free = (0..count)
                .map(|step| ((place + step + 1).to_string(), place + step, coupler))
                .collect();
            place += count;
            let let_through =
                (bare || self.once_in(2)).then(|| self.pick(&[2500.0, 3000.0, 4000.0]));
            let planned = self.house.planned();
            let bank = Bank {
                lines,
                volts,
                ahead,
                let_through,
                room: ahead * planned,
                inrush: ahead * 3.0,
                free,
            };
            banks.push((format!("B{}", at + 1), if bare { "" } else { pair }, bank));
        }
        banks
    }

    /// The input cord of a strip.
    fn input_cord(&mut self, kind: Kind, zone: &str) -> Node {
        let factor = air_factor(self.celsius(zone));
        // A loaded neutral counts as a third or fourth conductor.
        let loaded = |size: &&Conductor| {
            let bears = if kind.lines == 1 {
                size.two
            } else {
                size.three
            };
            let four = if kind.lines == 3 && kind.neutral {
                0.8
            } else {
                1.0
            };
            bears * factor * four >= kind.amperes && size.area >= 1.5
        };
        let sizes = if self.house.nec { &GAUGES } else { &METRIC };
        let size = sizes.iter().find(loaded).unwrap();
        let harsh = self.zone_says(zone, "oil", "yes") || self.zone_says(zone, "wet", "yes");
        let heavy = self.zone_says(zone, "duty", "heavy");
        let clean = self.zone_says(zone, "halogen-free", "required");
        let cordage = match (self.house.nec, size.area) {
            (true, area) if heavy || harsh || area > 5.3 => "STOOW",
            (true, _) => self.pick(&["SJT", "ST", "SJTOW"]),
            (false, _) if clean => "H07ZZ-F",
            (false, area) if heavy || harsh || area > 4.0 => "H07RN-F",
            (false, _) => self.pick(&["H05VV-F", "H07RN-F", "H05V2V2-F"]),
        };
        map([
            ("cordage", cordage.into()),
            ("conductor", size.marking.into()),
            ("length", self.pick(&["2 m", "3 m", "1.8 m"]).into()),
        ])
    }
}

fn bank_nodes(banks: &[(String, &'static str, Bank)], kind: Kind, latch: Option<&str>) -> Node {
    let mut nodes = map([]);
    for (at, (key, pair, bank)) in banks.iter().enumerate() {
        let between = if pair.is_empty() {
            kind.pairs[at % kind.pairs.len()]
        } else {
            pair
        };
        let mut node = map([("between", between.into())]);
        if !pair.is_empty() {
            let curve = if kind.nec {
                "inverse-time"
            } else {
                ["C", "B", "C"][at % 3]
            };
            let mut breaker = map([
                ("rating", format!("{} A", bank.ahead).into()),
                ("curve", curve.into()),
                ("breaking-capacity", "10 kA".into()),
            ]);
            if let Some(heat) = bank.let_through {
                breaker.set("let-through", format!("{heat} A²s"));
            }
            node.set("breaker", breaker);
        }
        node.set("outlets", outlets(bank, latch));
        nodes.set(key, node);
    }
    nodes
}

fn outlets(bank: &Bank, latch: Option<&str>) -> Node {
    let (first, last) = (&bank.free[0].0, &bank.free[bank.free.len() - 1].0);
    let range = if first == last {
        first.clone()
    } else {
        format!("{first}-{last}")
    };
    let coupler = bank.free[0].2;
    let outlet = match latch {
        Some(latch) => map([("coupler", coupler.into()), ("latch", latch.into())]),
        None => coupler.into(),
    };
    Node::Map(vec![(range, outlet)])
}

impl Maker {
    /// The circuit of a strip, chosen when all that hangs on the strip is known.
    fn circuit(&mut self, kind: Kind, strip: &Strip) {
        let supply = ["ups-a", "ups-b"][strip.feed];
        let mut poles: Vec<String> = strip
            .lines
            .iter()
            .map(|line| format!("L{}", line + 1))
            .collect();
        if kind.neutral {
            poles.push("N".into());
        }
        let least = self.least_let_through(strip);
        let worst = kind.amperes * self.house.planned();
        let volts = self.house.grid.to_neutral();
        let mut circuit = map([
            ("from", supply.into()),
            ("poles", list(poles.iter().map(String::as_str))),
            ("breaker", self.breaker(kind.amperes, least)),
        ]);
        self.guard(
            &mut circuit,
            supply,
            strip.earth,
            kind.amperes,
            kind.plug.starts_with("IEC"),
        );
        let is_three = kind.lines > 1;
        circuit.set("wiring", self.wiring(kind.amperes, worst, volts, is_three));
        circuit.set("receptacle", kind.plug);
        self.mark(&mut circuit, "receptacle-ip", &strip.zone);
        if strip.feed == 0 {
            circuit.set("receptacles", "1");
        }
        self.add(
            "circuits",
            &format!("{}-{}", ["A", "B"][strip.feed], strip.rack),
            circuit,
        );
        for (at, line) in strip.lines.iter().enumerate() {
            let rating = if self.house.nec {
                kind.amperes * 0.8
            } else {
                kind.amperes
            };
            let used =
                rating.min(kind.amperes * self.house.planned().min(0.9)) * 0.95 - strip.room[at];
            self.drawn.get_mut(supply).unwrap()[*line] += used;
        }
    }

    /// What a circuit's breaker may let through: all of its strip's outlets may hang on it.
    fn least_let_through(&mut self, strip: &Strip) -> Option<f64> {
        let bare = strip.banks.iter().all(|bank| bank.let_through.is_some());
        bare.then(|| self.pick(&[3000.0, 4000.0]))
    }

    /// A breaker of a circuit.
    pub fn breaker(&mut self, amperes: f64, let_through: Option<f64>) -> Node {
        let curve = if self.house.nec {
            "inverse-time"
        } else {
            self.pick(&["C", "C", "B"])
        };
        let mut breaker = map([
            ("rating", format!("{amperes} A").into()),
            ("curve", curve.into()),
            ("breaking-capacity", self.pick(&["10 kA", "15 kA"]).into()),
        ]);
        if let Some(heat) = let_through {
            breaker.set("let-through", format!("{} kA²s", heat / 1000.0));
        }
        if self.house.continuous <= 0.9 && self.once_in(8) {
            breaker.set("continuous", "80 %");
        }
        breaker
    }

    /// Residual current device and protective conductor, by the earth current of all that hangs there.
    pub fn guard(
        &mut self,
        circuit: &mut Node,
        supply: &str,
        earth: f64,
        amperes: f64,
        industrial: bool,
    ) {
        let earthing = self
            .site
            .at(&["supplies", supply, "earthing"])
            .unwrap()
            .text()
            .to_owned();
        if !self.house.nec && (earthing == "TT" || !industrial || self.once_in(5)) {
            let rating = [30.0, 100.0, 300.0, 500.0]
                .into_iter()
                .find(|rating| rating * 0.3 >= earth)
                .unwrap();
            let rated = format!("{rating} mA");
            let device = match rating > 30.0 {
                true => map([("rated", rated.into()), ("type", "F".into())]),
                false => rated.into(),
            };
            circuit.set("rcd", device);
        }
        if !self.house.nec && (earth > 10.0 || self.once_in(8)) {
            circuit.set("high-integrity-earth", "yes");
        }
        debug_assert!(amperes > 0.0);
    }
}
