//! A sound site on the bench: what hangs where, and how to change one thing without its likes.

use super::super::dice::Dice;
use super::super::sound::ratings::air_factor;
use super::super::sound::tree::Node;

/// A site and the dice that decide where the mistake goes.
pub struct Bench {
    pub site: Node,
    pub dice: Dice,
}

/// A cord, as far as mistakes need to know it.
#[derive(Clone, Debug)]
pub struct Cord {
    pub label: String,
    pub kind: String,
    /// The strip and the outlet; the circuit and nothing for a cord from a wall receptacle.
    pub from: (String, Option<String>),
    /// Device and inlet at the end of each leg.
    pub ends: Vec<(String, String)>,
}

impl Cord {
    /// Whether it is no splitter.
    pub fn is_plain(&self) -> bool {
        self.ends.len() == 1
    }

    /// Whether it starts at a strip.
    pub fn is_from_strip(&self) -> bool {
        self.from.1.is_some()
    }

    /// The device at its first end.
    pub fn device(&self) -> &str {
        &self.ends[0].0
    }

    /// The inlet at its first end.
    pub fn inlet(&self) -> &str {
        &self.ends[0].1
    }
}

impl Bench {
    /// The text at a path.
    pub fn text(&self, path: &[&str]) -> String {
        self.site
            .at(path)
            .unwrap_or_else(|| panic!("nothing at {path:?}"))
            .text()
            .to_owned()
    }

    /// Whether the text at a path is this.
    pub fn says(&self, path: &[&str], word: &str) -> bool {
        self.site.at(path).is_some_and(|node| node.text() == word)
    }

    /// Whether there is anything at a path.
    pub fn has(&self, path: &[&str]) -> bool {
        self.site.at(path).is_some()
    }

    /// Puts a value at a path; what leads to it is made where it is missing.
    pub fn set(&mut self, path: &[&str], value: impl Into<Node>) {
        let (last, above) = path.split_last().unwrap();
        let mut node = &mut self.site;
        for step in above {
            node = match node {
                Node::List(items) => &mut items[step.parse::<usize>().unwrap()],
                map => map.entry(step),
            };
        }
        node.set(last, value);
    }

    /// Names of the things of a section.
    pub fn names(&self, section: &str) -> Vec<String> {
        let pairs = self.site.get(section).map(Node::pairs).unwrap_or_default();
        pairs.iter().map(|(name, _)| name.clone()).collect()
    }

    /// One of several, if there is any.
    pub fn pick<T: Clone>(&mut self, choices: &[T]) -> Option<T> {
        (!choices.is_empty()).then(|| choices[self.dice.below(choices.len())].clone())
    }

    /// Whether the NEC binds.
    pub fn is_nec(&self) -> bool {
        self.says(&["site", "practice"], "nec")
    }

    /// All cords.
    pub fn cords(&self) -> Vec<Cord> {
        let pairs = self.site.get("cords").map(Node::pairs).unwrap_or_default();
        pairs
            .iter()
            .map(|(label, cord)| read(label, cord))
            // One that another cord is plugged into has no end of its own, and one that comes from equipment or
            // from a cord was planted.
            .filter(|cord| !cord.ends.is_empty())
            .filter(|cord| {
                let is_of = |section: &str| self.has(&[section, cord.from.0.as_str()]);
                is_of("pdus") || is_of("circuits")
            })
            .collect()
    }

    /// One of the cords that will do.
    pub fn cord(&mut self, does: impl Fn(&Self, &Cord) -> bool) -> Option<Cord> {
        let cords: Vec<Cord> = self
            .cords()
            .into_iter()
            .filter(|cord| does(self, cord))
            .collect();
        self.pick(&cords)
    }

    /// The key of the bank and of the range of outlets that an outlet is in.
    pub fn bank(&self, strip: &str, outlet: &str) -> (String, String) {
        let model = self.text(&["pdus", strip, "model"]);
        let banks = self.site.at(&["pdu-models", &model, "banks"]).unwrap();
        for (name, bank) in banks.pairs() {
            for (range, _) in bank.get("outlets").unwrap().pairs() {
                if numbers(range).contains(&outlet.parse().unwrap_or(0)) || range == outlet {
                    return (name.clone(), range.clone());
                }
            }
        }
        panic!("{strip} has no outlet {outlet}")
    }

    /// The circuit that a cord hangs on.
    pub fn circuit(&self, cord: &Cord) -> String {
        match &cord.from {
            (strip, Some(_)) => self.text(&["pdus", strip, "from"]),
            (circuit, None) => circuit.clone(),
        }
    }

    /// The feed of a circuit: A or B.
    pub fn feed(&self, circuit: &str) -> String {
        let supply = self.text(&["circuits", circuit, "from"]);
        self.text(&["supplies", &supply, "feed"])
    }

    /// The model of a device.
    pub fn model(&self, device: &str) -> String {
        self.text(&["devices", device, "model"])
    }

    /// The zone of a device.
    pub fn zone(&self, device: &str) -> String {
        match self.site.at(&["devices", device, "rack"]) {
            Some(rack) => self.text(&["racks", rack.text(), "zone"]),
            None => self.text(&["devices", device, "zone"]),
        }
    }

    /// Whether couplers must be held in a zone.
    pub fn is_shaken(&self, zone: &str) -> bool {
        !self.says(&["zones", zone, "vibration"], "none") || self.is_strict(zone)
    }

    /// Whether a zone requires every coupler to be held.
    pub fn is_strict(&self, zone: &str) -> bool {
        self.says(&["zones", zone, "retention"], "required")
    }

    /// Volts of the outlet of a cord.
    pub fn volts(&self, cord: &Cord) -> f64 {
        let circuit = self.circuit(cord);
        let supply = self.text(&["circuits", &circuit, "from"]);
        let system = self.text(&["supplies", &supply, "system"]);
        let volts = system.split(' ').nth(2).unwrap();
        let (between, neutral) = volts.split_once('/').unwrap_or((volts, volts));
        let has_neutral = match &cord.from {
            (strip, Some(outlet)) => {
                let (bank, _) = self.bank(strip, outlet);
                let model = self.text(&["pdus", strip, "model"]);
                self.text(&["pdu-models", &model, "banks", &bank, "between"])
                    .contains('N')
            }
            (_, None) => true,
        };
        if has_neutral { neutral } else { between }.parse().unwrap()
    }

    /// Amperes that the whole load of a device makes at the outlet of a cord, no voltage lost on the way.
    pub fn whole(&self, cord: &Cord) -> f64 {
        cord.ends
            .iter()
            .map(|(device, _)| self.load(device) / (self.volts(cord) * self.low()))
            .sum()
    }

    /// Share of the nominal voltage that is sure to be there.
    pub fn low(&self) -> f64 {
        1.0 - self
            .site
            .at(&["site", "supply-tolerance"])
            .unwrap()
            .number()
            / 100.0
    }

    /// Volt-amperes of a device: its draw, or its nameplate if it has none.
    fn load(&self, device: &str) -> f64 {
        let model = self.model(device);
        let own = self.site.at(&["devices", device, "draw"]);
        let load =
            own.unwrap_or_else(|| self.site.at(&["device-models", &model, "rating"]).unwrap());
        let factor = self
            .site
            .at(&["device-models", &model, "power-factor"])
            .unwrap()
            .number();
        let kilo = if load.text().ends_with("kW") {
            1000.0
        } else {
            1.0
        };
        load.number() * kilo / factor
    }

    /// Cords that lead to a device.
    pub fn cords_of(&self, device: &str) -> Vec<Cord> {
        let leads = |cord: &Cord| cord.ends.iter().any(|(own, _)| own == device);
        self.cords().into_iter().filter(leads).collect()
    }

    /// Other cords on the wall receptacles of the same circuit.
    pub fn beside(&self, cord: &Cord) -> Vec<Cord> {
        let is_beside = |other: &Cord| {
            !cord.is_from_strip() && other.from == cord.from && other.label != cord.label
        };
        self.cords().into_iter().filter(is_beside).collect()
    }

    /// Amperes that the conductors of a cord bear in the air of its zone, two of them loaded.
    pub fn bears(&self, cord: &Cord) -> f64 {
        use super::super::sound::ratings::{GAUGES, METRIC};
        let size = self.text(&["cord-types", &cord.kind, "conductor"]);
        let sizes = METRIC.iter().chain(&GAUGES);
        let size = sizes
            .into_iter()
            .find(|known| known.marking == size)
            .unwrap();
        size.two * air_factor(self.celsius(&self.zone(cord.device())))
    }

    /// Degrees of the air in a zone.
    pub fn celsius(&self, zone: &str) -> f64 {
        let own = self.site.at(&["zones", zone, "ambient"]);
        let ambient = own.or(self.site.at(&["site", "ambient"])).unwrap();
        if ambient.text().ends_with('F') {
            (ambient.number() - 32.0) / 1.8
        } else {
            ambient.number()
        }
    }

    /// Metres of a cord.
    pub fn metres(&self, cord: &Cord) -> f64 {
        let own = self.site.at(&["cords", &cord.label, "length"]);
        let length = own
            .or(self.site.at(&["cord-types", &cord.kind, "length"]))
            .unwrap();
        if length.text().ends_with("cm") {
            length.number() / 100.0
        } else {
            length.number()
        }
    }

    /// Amperes of the overcurrent device ahead of a cord.
    pub fn ahead(&self, cord: &Cord) -> f64 {
        let circuit = self.circuit(cord);
        let own = cord.from.1.as_ref().and_then(|outlet| {
            let (bank, _) = self.bank(&cord.from.0, outlet);
            let model = self.text(&["pdus", &cord.from.0, "model"]);
            self.site
                .at(&["pdu-models", &model, "banks", &bank, "breaker", "rating"])
        });
        own.or(self.site.at(&["circuits", &circuit, "breaker", "rating"]))
            .unwrap()
            .number()
    }

    /// Gives the cord a type of its own, and says its name.
    pub fn own_kind(&mut self, cord: &Cord) -> String {
        self.own("cord-types", "cords", &cord.label, "type")
    }

    /// Gives the device a model of its own, and says its name.
    pub fn own_model(&mut self, device: &str) -> String {
        self.own("device-models", "devices", device, "model")
    }

    /// Gives the strip a model of its own, and says its name.
    pub fn own_strip(&mut self, strip: &str) -> String {
        self.own("pdu-models", "pdus", strip, "model")
    }

    /// Sets a key of the breaker of the bank that a cord is plugged into, for that strip alone.
    pub fn set_bank_breaker(
        &mut self,
        cord: &Cord,
        key: &str,
        value: impl Into<Node>,
    ) -> Option<()> {
        let (bank, _) = self.bank(&cord.from.0, cord.from.1.as_ref()?);
        let model = self.own_strip(&cord.from.0);
        self.set(
            &["pdu-models", &model, "banks", &bank, "breaker", key],
            value,
        );
        Some(())
    }

    fn own(&mut self, section: &str, users: &str, user: &str, key: &str) -> String {
        let name = self.text(&[users, user, key]);
        let things = self.site.get(users).unwrap().pairs();
        let count = things
            .iter()
            .filter(|(_, thing)| thing.get(key).is_some_and(|used| used.text() == name))
            .count();
        if count == 1 {
            return name;
        }
        let taken = self.names(section);
        let mut names = (1..).map(|number| format!("one-off-{number}"));
        let own = names.find(|name| !taken.contains(name)).unwrap();
        let copy = self.site.at(&[section, &name]).unwrap().clone();
        self.set(&[section, &own], copy);
        self.set(&[users, user, key], own.as_str());
        own
    }

    /// Gives an outlet a definition of its own, in its place among the others, and says where it stands.
    pub fn own_outlet(
        &mut self,
        strip: &str,
        outlet: &str,
        change: impl Fn(&mut Node),
    ) -> Vec<String> {
        let (bank, range) = self.bank(strip, outlet);
        let model = self.own_strip(strip);
        let outlets = self
            .site
            .at_mut(&["pdu-models", &model, "banks", &bank, "outlets"])
            .unwrap();
        let number: u32 = outlet.parse().unwrap();
        let (first, last) = (numbers(&range)[0], *numbers(&range).last().unwrap());
        let pairs = outlets.pairs_mut();
        let at = pairs.iter().position(|(own, _)| *own == range).unwrap();
        let (_, plain) = pairs.remove(at);
        let mut changed = match &plain {
            Node::Word(coupler) => Node::Map(vec![("coupler".into(), Node::Word(coupler.clone()))]),
            other => other.clone(),
        };
        change(&mut changed);
        let mut parts = Vec::new();
        if first < number {
            parts.push((named(first, number - 1), plain.clone()));
        }
        parts.push((outlet.to_owned(), changed));
        if number < last {
            parts.push((named(number + 1, last), plain));
        }
        pairs.splice(at..at, parts);
        ["pdu-models", &model, "banks", &bank, "outlets", outlet]
            .map(ToOwned::to_owned)
            .to_vec()
    }

    /// Outlets of a strip with nothing plugged in: number and coupler.
    pub fn free(&self, strip: &str) -> Vec<(String, String)> {
        let model = self.text(&["pdus", strip, "model"]);
        let banks = self
            .site
            .at(&["pdu-models", &model, "banks"])
            .unwrap()
            .pairs();
        let used: Vec<String> = self
            .cords()
            .into_iter()
            .filter(|cord| cord.from.0 == strip)
            .filter_map(|cord| cord.from.1)
            .collect();
        let mut free = Vec::new();
        for (_, bank) in banks {
            for (range, outlet) in bank.get("outlets").unwrap().pairs() {
                let coupler = outlet.get("coupler").unwrap_or(outlet).text();
                let open = numbers(range)
                    .into_iter()
                    .map(|number| number.to_string())
                    .filter(|number| !used.contains(number));
                free.extend(open.map(|number| (number, coupler.to_owned())));
            }
        }
        free
    }

    /// Puts a desk device into a zone of its own, like its old one but for a change, and says its name.
    pub fn own_zone(&mut self, device: &str, key: &str, word: &str) -> String {
        let zone = self.zone(device);
        let copy = self
            .site
            .at(&["zones", &zone])
            .unwrap()
            .clone()
            .with(key, word);
        self.set(&["zones", "annex"], copy);
        self.set(&["devices", device, "zone"], "annex");
        "annex".into()
    }
}

fn read(label: &str, cord: &Node) -> Cord {
    let from = cord.get("from").unwrap().text();
    let from = from
        .split_once('/')
        .map_or((from.to_owned(), None), |(strip, outlet)| {
            (strip.to_owned(), Some(outlet.to_owned()))
        });
    let end = |node: &Node| {
        node.text()
            .split_once('/')
            .map(|(device, inlet)| (device.to_owned(), inlet.to_owned()))
    };
    let ends = match cord.get("to") {
        // Another cord is plugged into its connector.
        None => Vec::new(),
        Some(Node::Map(legs)) => legs.iter().filter_map(|(_, node)| end(node)).collect(),
        Some(node) => end(node).into_iter().collect(),
    };
    Cord {
        label: label.to_owned(),
        kind: cord.get("type").unwrap().text().to_owned(),
        from,
        ends,
    }
}

/// The outlets of a range like `3-7`.
fn numbers(range: &str) -> Vec<u32> {
    let (first, last) = range.split_once('-').unwrap_or((range, range));
    match (first.parse(), last.parse()) {
        (Ok(first), Ok(last)) => (first..=last).collect(),
        _ => Vec::new(),
    }
}

fn named(first: u32, last: u32) -> String {
    if first == last {
        first.to_string()
    } else {
        format!("{first}-{last}")
    }
}
