//! Small random sites for the properties of the power flow: every arrangement of supplies, line-to-line
//! and line-to-neutral banks, splitters, devices of one to four inlets, every way of sharing.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::dice::Dice;

mod fed;

pub use fed::Fed;

/// A supply: its marking, its lines, whether it has a neutral, and how its banks may hang.
struct System {
    marking: &'static str,
    poles: &'static str,
    pairs: &'static [&'static str],
}

const SYSTEMS: [System; 5] = [
    System {
        marking: "3/N/PE ~ 400/230 V 50 Hz",
        poles: "L1, L2, L3, N",
        pairs: &["L1-N", "L2-N", "L3-N"],
    },
    System {
        marking: "3/N/PE ~ 208/120 V 60 Hz",
        poles: "L1, L2, L3, N",
        pairs: &["L1-N", "L1-L2", "L2-L3", "L3-L1"],
    },
    System {
        marking: "3/PE ~ 208 V 60 Hz",
        poles: "L1, L2, L3",
        pairs: &["L1-L2", "L2-L3", "L3-L1"],
    },
    System {
        marking: "2/N/PE ~ 240/120 V 60 Hz",
        poles: "L1, L2, N",
        pairs: &["L1-N", "L2-N", "L1-L2"],
    },
    System {
        marking: "1/N/PE ~ 230 V 50 Hz",
        poles: "L1, N",
        pairs: &["L1-N"],
    },
];

/// A device of a plan.
#[derive(Clone, Debug)]
pub struct Device {
    /// Watts of the whole device.
    pub watts: f64,
    factor: f64,
    /// Third-harmonic share of its current, in per cent.
    harmonic: usize,
    needed: usize,
    sharing: &'static str,
    /// Cord of each inlet.
    pub cords: Vec<String>,
    /// Of a transfer switch the inlet that it prefers.
    prefers: Option<usize>,
}

/// A cord of a plan; a leg of a splitter goes by the splitter's name.
#[derive(Clone, Debug)]
pub struct Cord {
    /// Its name.
    pub name: String,
    pdu: usize,
    bank: usize,
    /// Device and inlet that it hangs on instead, by an outlet of the device; of a transfer switch the inlet is
    /// the one that it prefers.
    through: Option<(usize, usize)>,
    ohms: f64,
    /// Device and inlet of each leg; a plain cord has one.
    ends: Vec<(usize, usize)>,
    /// A leg that is pulled.
    pulled: Option<usize>,
}

/// A random site, as a plan that can be changed before it is written down.
#[derive(Clone, Debug)]
pub struct Plan {
    systems: Vec<(usize, bool)>,
    /// What each supply is fed from.
    pub fed: Vec<Option<Fed>>,
    /// Supply and resistance of each circuit.
    circuits: Vec<(usize, f64)>,
    /// Circuit of each PDU.
    pdus: Vec<usize>,
    /// Devices.
    pub devices: Vec<Device>,
    /// Cords.
    pub cords: Vec<Cord>,
}

/// The feed that a supply belongs to.
fn feed_of(supply: usize) -> usize {
    supply % 2
}

/// What a plan can lose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Loss {
    /// A feed of several supplies.
    Feed(usize),
    /// A supply.
    Supply(usize),
    /// A circuit.
    Circuit(usize),
    /// A PDU.
    Pdu(usize),
    /// A bank of a PDU.
    Bank(usize, usize),
    /// A cord.
    Cord(usize),
    /// A leg of a splitter.
    Leg(usize, usize),
    /// A transfer switch itself.
    Switch(usize),
    /// A line of a supply that has more than one.
    SupplyLine(usize, &'static str),
    /// The same of a circuit.
    CircuitLine(usize, &'static str),
}

impl Plan {
    /// The plan of a seed.
    pub fn new(seed: u64) -> Self {
        let mut dice = Dice::new(seed);
        let systems: Vec<(usize, bool)> = (0..2 + dice.below(2))
            .map(|_| (dice.below(SYSTEMS.len()), dice.below(2) == 0))
            .collect();
        let circuits: Vec<(usize, f64)> = (0..3 + dice.below(3))
            .map(|at| (at % systems.len(), 0.02 + dice.below(200) as f64 / 1000.0))
            .collect();
        let pdus: Vec<usize> = (0..circuits.len() + dice.below(2))
            .map(|at| at % circuits.len())
            .collect();
        let mut plan = Self {
            fed: vec![None; systems.len()],
            systems,
            circuits,
            pdus,
            devices: Vec::new(),
            cords: Vec::new(),
        };
        for _ in 0..3 + dice.below(8) {
            plan.add_device(&mut dice);
        }
        plan
    }

    /// The plan of a seed in which about every other cord is plugged into a device that stands before all that
    /// it feeds.
    pub fn passing_on(seed: u64) -> Self {
        let (mut plan, mut dice) = (Self::new(seed), Dice::new(seed + 1_000_000));
        for at in 0..plan.cords.len() {
            let devices = plan.cords[at].ends.iter().map(|(device, _)| *device);
            let before = devices.min().unwrap_or(0);
            if before > 0 && dice.below(2) == 0 {
                let device = dice.below(before);
                let inlet = dice.below(plan.devices[device].cords.len());
                plan.cords[at].through = Some((device, inlet));
            }
        }
        plan
    }

    /// The plan of a seed in which devices of two inlets are transfer switches, and about every other cord is
    /// plugged into one that stands before all that it feeds.
    pub fn transferring(seed: u64) -> Self {
        let (mut plan, mut dice) = (Self::new(seed), Dice::new(seed + 2_000_000));
        for device in plan
            .devices
            .iter_mut()
            .filter(|device| device.cords.len() == 2)
        {
            device.prefers = Some(dice.below(2));
        }
        for at in 0..plan.cords.len() {
            let devices = plan.cords[at].ends.iter().map(|(device, _)| *device);
            let before = devices.min().unwrap_or(0);
            let switches = plan.devices[..before].iter().enumerate();
            let switches: Vec<(usize, usize)> = switches
                .filter_map(|(device, switch)| Some((device, switch.prefers?)))
                .collect();
            if !switches.is_empty() && dice.below(2) == 0 {
                plan.cords[at].through = Some(switches[dice.below(switches.len())]);
            }
        }
        plan
    }

    /// The marking of a supply.
    pub fn marking(&self, supply: usize) -> &'static str {
        SYSTEMS[self.systems[supply].0].marking
    }

    /// The cords that a cord may hang on by a device, the usual one first.
    fn above(&self, cord: &Cord) -> Vec<usize> {
        let Some((device, inlet)) = cord.through else {
            return Vec::new();
        };
        let other = self.devices[device]
            .prefers
            .map(|prefers| (device, 1 - prefers));
        let ways = [Some((device, inlet)), other].into_iter().flatten();
        let feeds = |way: (usize, usize)| {
            self.cords.iter().position(|cord| {
                let at = cord.ends.iter().position(|end| *end == way);
                at.is_some_and(|at| cord.pulled != Some(at))
            })
        };
        ways.filter_map(feeds).collect()
    }

    fn pairs(&self, pdu: usize) -> &'static [&'static str] {
        let (supply, _) = self.circuits[self.pdus[pdu]];
        SYSTEMS[self.systems[supply].0].pairs
    }

    fn add_device(&mut self, dice: &mut Dice) {
        let inlets = 1 + dice.below(4);
        let device = self.devices.len();
        let first = dice.below(self.pdus.len());
        let mut cords = Vec::new();
        for inlet in 0..inlets {
            // Now and then the next inlet goes to the second leg of a splitter.
            let open = self.cords.iter().position(|cord| {
                cord.ends.len() == 1 && cord.name.starts_with('Y') && cord.ends[0].0 != device
            });
            match open.filter(|_| dice.below(3) == 0) {
                Some(splitter) => {
                    self.cords[splitter].ends.push((device, inlet));
                    cords.push(self.cords[splitter].name.clone());
                }
                None => cords.push(self.add_cord(
                    dice,
                    device,
                    inlet,
                    (first + inlet) % self.pdus.len(),
                )),
            }
        }
        let watts = 50 + dice.below(700);
        self.devices.push(Device {
            watts: watts as f64,
            factor: [1.0, 0.97, 0.9, 0.8][dice.below(4)],
            harmonic: [0, 0, 10, 60, 100][watts % 5],
            needed: 1 + dice.below(inlets),
            sharing: ["equal", "standby", "equal"][dice.below(3)],
            cords,
            prefers: None,
        });
    }

    fn add_cord(&mut self, dice: &mut Dice, device: usize, inlet: usize, pdu: usize) -> String {
        let letter = if dice.below(4) == 0 { 'Y' } else { 'W' };
        let name = format!("{letter}-{:03}", self.cords.len());
        let bank = dice.below(self.pairs(pdu).len());
        let ohms = 0.01 + dice.below(80) as f64 / 1000.0;
        self.cords.push(Cord {
            name: name.clone(),
            pdu,
            bank,
            through: None,
            ohms,
            ends: vec![(device, inlet)],
            pulled: None,
        });
        name
    }

    /// Everything that can be lost, one at a time.
    pub fn losses(&self) -> Vec<Loss> {
        let banks = self
            .cords
            .iter()
            .filter(|cord| cord.through.is_none())
            .map(|cord| Loss::Bank(cord.pdu, cord.bank))
            .collect::<BTreeSet<_>>();
        let supplies = (0..self.systems.len()).map(Loss::Supply);
        let makes = |feed: usize| (0..self.systems.len()).filter(move |at| feed_of(*at) == feed);
        let is_all = |feed: usize| {
            self.cords.iter().all(|cord| {
                let mut ways = self.ways(self.circuits[self.pdus[cord.pdu]].0);
                ways.any(|at| feed_of(at) == feed)
            })
        };
        let feeds = (0..2).filter(|feed| makes(*feed).count() > 1 && !is_all(*feed));
        let circuits = (0..self.circuits.len()).map(Loss::Circuit);
        let pdus = (0..self.pdus.len()).map(Loss::Pdu);
        let cords = (0..self.cords.len()).map(Loss::Cord);
        let legs = self.cords.iter().enumerate().flat_map(|(at, cord)| {
            let has_several = cord.ends.len() > 1;
            let legs = (0..cord.ends.len()).filter(move |_| has_several);
            legs.map(move |leg| Loss::Leg(at, leg))
        });
        let switches = (0..self.devices.len()).filter(|at| self.devices[*at].prefers.is_some());
        let switches = switches.map(Loss::Switch);
        let supply_lines = (0..self.systems.len())
            .flat_map(|at| self.lines(at).map(move |line| Loss::SupplyLine(at, line)));
        let circuit_lines = (0..self.circuits.len()).flat_map(|at| {
            let lines = self.lines(self.circuits[at].0);
            lines.map(move |line| Loss::CircuitLine(at, line))
        });
        feeds
            .map(Loss::Feed)
            .chain(supplies)
            .chain(circuits)
            .chain(pdus)
            .chain(banks)
            .chain(cords)
            .chain(legs)
            .chain(switches)
            .chain(supply_lines)
            .chain(circuit_lines)
            .collect()
    }

    /// The lines of a supply, where one can be lost alone.
    fn lines(&self, supply: usize) -> impl Iterator<Item = &'static str> + use<> {
        let poles = SYSTEMS[self.systems[supply].0].poles;
        let is_split = poles.split(", ").count() > 2;
        let lines = poles.split(", ").filter(|pole| *pole != "N");
        lines.filter(move |_| is_split)
    }

    /// The plan after a loss: the cords below it are gone, and with them the feeds of their inlets.
    pub fn without(&self, loss: Loss) -> Self {
        let is_its_own = |at: usize, cord: &Cord| {
            let circuit = self.pdus[cord.pdu];
            let hangs_on = |line: &str| {
                self.pairs(cord.pdu)[cord.bank]
                    .split('-')
                    .any(|at| at == line)
            };
            match loss {
                Loss::Feed(feed) => {
                    let mut ways = self.ways(self.circuits[circuit].0);
                    ways.any(|at| feed_of(at) == feed)
                }
                Loss::Supply(supply) => self.ways(self.circuits[circuit].0).any(|at| at == supply),
                Loss::Circuit(lost) => circuit == lost,
                Loss::Pdu(pdu) => cord.pdu == pdu,
                Loss::Bank(pdu, bank) => (cord.pdu, cord.bank) == (pdu, bank),
                Loss::Cord(lost) => at == lost,
                Loss::Leg(..) | Loss::Switch(_) => false,
                Loss::SupplyLine(supply, line) => {
                    let mut boards = self.boards(self.circuits[circuit].0);
                    boards.any(|at| at == supply) && hangs_on(line)
                }
                Loss::CircuitLine(lost, line) => circuit == lost && hangs_on(line),
            }
        };
        let mut pulled = self.clone();
        if let Loss::Leg(splitter, leg) = loss {
            pulled.cords[splitter].pulled = Some(leg);
        }
        let is_switched_off = |cord: &Cord| match loss {
            Loss::Switch(lost) => cord.through.is_some_and(|(device, _)| device == lost),
            _ => false,
        };
        let is_itself = |at: usize| loss == Loss::Cord(at) || is_switched_off(&self.cords[at]);
        let is_lost = |at: usize| pulled.is_dead(at, &is_itself, &is_its_own);
        let mut plan = self.clone();
        plan.cords = self
            .cords
            .iter()
            .enumerate()
            .filter(|(at, _)| !is_lost(*at))
            .map(|(at, cord)| Cord {
                pulled: match loss {
                    Loss::Leg(splitter, leg) => Some(leg).filter(|_| splitter == at),
                    _ => None,
                },
                ..cord.clone()
            })
            .collect();
        plan
    }

    /// Whether a cord is dead, where some are lost by themselves and others by what they hang on.
    fn is_dead(
        &self,
        at: usize,
        is_lost: &dyn Fn(usize) -> bool,
        is_its_own: &dyn Fn(usize, &Cord) -> bool,
    ) -> bool {
        let cord = &self.cords[at];
        if is_lost(at) {
            return true;
        }
        match cord.through {
            None => is_its_own(at, cord),
            Some(_) => {
                let above = self.above(cord);
                above
                    .into_iter()
                    .all(|above| self.is_dead(above, is_lost, is_its_own))
            }
        }
    }

    /// Every load times a factor, every resistance divided by it: all currents grow by the factor.
    pub fn scaled(&self, factor: f64) -> Self {
        let mut plan = self.clone();
        plan.devices
            .iter_mut()
            .for_each(|device| device.watts *= factor);
        plan.cords.iter_mut().for_each(|cord| cord.ohms /= factor);
        plan.circuits
            .iter_mut()
            .for_each(|(_, ohms)| *ohms /= factor);
        plan
    }

    /// The definitions; `order` turns the lists round, which must not matter.
    pub fn definitions(&self, reversed: bool) -> String {
        let mut yaml =
            String::from("site: {practice: iec, ambient: 25 °C, supply-tolerance: 10 %}\n");
        self.supply_side(&mut yaml);
        let mut types = String::from("cord-types:\n");
        let mut cords = Vec::new();
        for cord in &self.cords {
            self.cord(cord, &mut types, &mut cords);
        }
        let (mut models, mut devices) = (Vec::new(), Vec::new());
        for (at, device) in self.devices.iter().enumerate() {
            let inlets: Vec<String> = (0..device.cords.len())
                .map(|inlet| format!("i{inlet}: C14"))
                .collect();
            let mut outlets: Vec<String> = self
                .cords
                .iter()
                .enumerate()
                .filter_map(|(number, cord)| {
                    let (_, inlet) = cord.through.filter(|(device, _)| *device == at)?;
                    Some(match device.prefers {
                        Some(_) => format!("o{number}: C13"),
                        None => format!("o{number}: {{coupler: C13, inlet: i{inlet}}}"),
                    })
                })
                .collect();
            // It stays a switch when all that hangs on it is gone.
            outlets.extend(device.prefers.map(|_| "spare: C13".to_owned()));
            let transfer = device.prefers.map_or(String::new(), |inlet| {
                format!(", transfer: {{kind: automatic, preferred: i{inlet}}}")
            });
            models.push(format!(
                "  m{at}: {{power-factor: {}, third-harmonic: {} %, inlets-needed: {}, sharing: {}, inlets: {{{}}}, outlets: {{{}}}{transfer}}}\n",
                device.factor,
                device.harmonic,
                device.needed,
                device.sharing,
                inlets.join(", "),
                outlets.join(", ")
            ));
            devices.push(format!(
                "  d{at}: {{model: m{at}, draw: {} W}}\n",
                device.watts
            ));
        }
        if reversed {
            [&mut cords, &mut models, &mut devices]
                .into_iter()
                .for_each(|list| list.reverse());
        }
        yaml + &types
            + "device-models:\n"
            + &models.concat()
            + "devices:\n"
            + &devices.concat()
            + "cords:\n"
            + &cords.concat()
    }

    fn supply_side(&self, yaml: &mut String) {
        writeln!(yaml, "supplies:").unwrap();
        for (at, (system, proved)) in self.systems.iter().enumerate() {
            let proved = if *proved { "yes" } else { "no" };
            writeln!(
                yaml,
                "  s{at}: {{feed: F{}, system: {}, sequence-proved: {proved}{}}}",
                feed_of(at),
                SYSTEMS[*system].marking,
                self.fed[at].map_or(String::new(), fed::written)
            )
            .unwrap();
        }
        writeln!(yaml, "circuits:").unwrap();
        for (at, (supply, ohms)) in self.circuits.iter().enumerate() {
            let poles = SYSTEMS[self.systems[*supply].0].poles;
            writeln!(
                yaml,
                "  c{at}: {{from: s{supply}, poles: [{poles}], breaker: 63 A, wiring: {{conductor: 16 mm², length: 10 m, insulation: pvc-70, resistance: {ohms} ohm}}}}"
            )
            .unwrap();
        }
        writeln!(yaml, "pdu-models:").unwrap();
        for pdu in 0..self.pdus.len() {
            writeln!(
                yaml,
                "  p{pdu}: {{plug: IEC 60309 63 A 3P+N+E, rating: 63 A, banks: {{"
            )
            .unwrap();
            for (bank, pair) in self.pairs(pdu).iter().enumerate() {
                writeln!(yaml, "    b{bank}: {{between: {pair}, outlets: {{").unwrap();
                (0..self.cords.len().max(1))
                    .for_each(|cord| write!(yaml, "b{bank}.{cord}: C13, ").unwrap());
                writeln!(yaml, "}}}},").unwrap();
            }
            writeln!(yaml, "  }}}}").unwrap();
        }
        writeln!(yaml, "pdus:").unwrap();
        for (pdu, circuit) in self.pdus.iter().enumerate() {
            writeln!(yaml, "  u{pdu}: {{model: p{pdu}, from: c{circuit}}}").unwrap();
        }
    }

    fn cord(&self, cord: &Cord, types: &mut String, cords: &mut Vec<String>) {
        let name = &cord.name;
        let outlet = self
            .cords
            .iter()
            .position(|other| other.name == *name)
            .unwrap();
        let from = match cord.through {
            Some((device, _)) => format!("d{device}/o{outlet}"),
            None => format!("u{}/b{}.{outlet}", cord.pdu, cord.bank),
        };
        let common = format!(
            "plug: C14, conductor: 1.0 mm², length: 1 m, resistance: {} ohm",
            cord.ohms
        );
        if name.starts_with('W') {
            let (device, inlet) = cord.ends[0];
            writeln!(types, "  t{name}: {{{common}, connector: C13}}").unwrap();
            cords.push(format!(
                "  {name}: {{type: t{name}, from: {from}, to: d{device}/i{inlet}}}\n"
            ));
            return;
        }
        let legs: Vec<String> = (0..cord.ends.len())
            .map(|leg| format!("l{leg}: {{connector: C13}}"))
            .collect();
        writeln!(
            types,
            "  t{name}: {{{common}, legs: {{{}}}}}",
            legs.join(", ")
        )
        .unwrap();
        let ends: Vec<String> = cord
            .ends
            .iter()
            .enumerate()
            .filter(|(leg, _)| cord.pulled != Some(*leg))
            .map(|(leg, (device, inlet))| format!("l{leg}: d{device}/i{inlet}"))
            .collect();
        cords.push(format!(
            "  {name}: {{type: t{name}, from: {from}, to: {{{}}}}}\n",
            ends.join(", ")
        ));
    }
}
