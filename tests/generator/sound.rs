//! Sound sites: random, of both practices, with every section of the format in use, on which no rule
//! has anything to say.
//!
//! A site is sound by construction: loads are added only as long as breakers, strips and couplers bear
//! them even if one feed is lost, and conductors, capacities and lengths are then chosen from what is
//! needed. The ratings used here are typed anew from the standards and do not come from the tables
//! that the rules look into.

#[path = "sound/cords.rs"]
mod cords;
#[path = "sound/devices.rs"]
mod devices;
#[path = "sound/house.rs"]
mod house;
#[path = "sound/layout.rs"]
pub mod layout;
#[path = "sound/ratings.rs"]
pub mod ratings;
#[path = "sound/strips.rs"]
mod strips;
#[path = "sound/tree.rs"]
pub mod tree;
#[path = "sound/walls.rs"]
mod walls;
#[path = "sound/ways.rs"]
pub mod ways;

use std::collections::BTreeMap;

use super::dice::Dice;

use house::House;
use tree::{Node, map, words};

/// A sound site in the making.
pub struct Maker {
    /// What decides everything.
    pub dice: Dice,
    /// What holds everywhere.
    pub house: House,
    /// The definitions so far.
    pub site: Node,
    /// Current on each line of each supply if the other feed is lost: an upper bound, in amperes.
    pub drawn: BTreeMap<String, [f64; 3]>,
    /// Cords made so far: their labels are numbered.
    pub labels: usize,
}

/// The sound site of a seed.
pub fn site(seed: u64) -> Node {
    let mut dice = Dice::new(seed);
    let house = House::new(&mut dice);
    let mut maker = Maker {
        site: map([]),
        drawn: BTreeMap::new(),
        labels: 100 * dice.below(90),
        dice,
        house,
    };
    maker.places();
    maker.supplies();
    for rack in maker.section("racks") {
        maker.fill(&rack);
    }
    maker.walls();
    maker.drop_unused("device-models", "devices", "model");
    maker.capacities();
    maker.departure();
    maker.files();
    maker.site
}

impl Maker {
    /// One of several, all alike likely.
    pub fn pick<T: Clone>(&mut self, choices: &[T]) -> T {
        choices[self.dice.below(choices.len())].clone()
    }

    /// True once in so many times.
    pub fn once_in(&mut self, times: usize) -> bool {
        self.dice.below(times) == 0
    }

    /// Names of the things of a section.
    pub fn section(&self, section: &str) -> Vec<String> {
        let pairs = self.site.get(section).map(Node::pairs).unwrap_or_default();
        pairs.iter().map(|(name, _)| name.clone()).collect()
    }

    /// Adds a thing to a section.
    pub fn add(&mut self, section: &str, name: &str, thing: Node) {
        self.site.entry(section).set(name, thing);
    }

    /// The name of the thing in the section that is just like this one; it is added if there is none.
    pub fn shared(&mut self, section: &str, stem: &str, thing: Node) -> String {
        let things = self.site.entry(section);
        if let Some((name, _)) = things.pairs().iter().find(|(_, known)| *known == thing) {
            return name.clone();
        }
        let name = format!("{stem}-{}", things.pairs().len() + 1);
        things.set(&name, thing);
        name
    }

    /// The next label.
    pub fn label(&mut self) -> String {
        self.labels += 1 + self.dice.below(3);
        format!("W-{:04}", self.labels)
    }

    /// A device that nobody has measured, with a departure that says until when.
    fn departure(&mut self) {
        let devices = self.section("devices");
        if devices.is_empty() || !self.once_in(4) {
            return;
        }
        let device = self.pick(&devices);
        let model = self
            .site
            .at(&["devices", &device, "model"])
            .unwrap()
            .text()
            .to_owned();
        let draw = self.site.at(&["devices", &device, "draw"]).unwrap().clone();
        // Its nameplate counts now, so it gets one of its own that is no more than the draw was.
        let mut own = self.site.at(&["device-models", &model]).unwrap().clone();
        own.set("rating", draw);
        let own = self.shared("device-models", "unmeasured", own);
        let item = self.site.at_mut(&["devices", &device]).unwrap();
        item.set("model", own);
        item.remove("draw");
        item.remove("measured");
        self.drop_unused("device-models", "devices", "model");
        let departure = map([
            ("rule", "load-basis".into()),
            ("at", device.into()),
            (
                "reason",
                self.pick(&[
                    "meter on order",
                    "no clamp fits there",
                    "new, not switched on yet",
                ])
                .into(),
            ),
            (
                "agreed-by",
                self.pick(&["site electrical engineer", "shift lead"])
                    .into(),
            ),
            (
                "until",
                self.pick(&["2026-11-25", "2027-03-31", "2026-12-24"])
                    .into(),
            ),
        ]);
        self.site.set("departures", Node::List(vec![departure]));
    }

    /// A choice of files that means every one of them.
    fn files(&mut self) {
        if self.once_in(4) {
            let pattern = self.pick(&["**/*.y*ml", "./**/*.{yaml,yml}"]);
            let files = self.site.entry("site").entry("files");
            files.set("take-in", words([pattern]));
        }
    }

    /// Takes away what nothing names any more.
    fn drop_unused(&mut self, section: &str, users: &str, key: &str) {
        let users = self.site.get(users).map(Node::pairs).unwrap_or_default();
        let used: Vec<String> = users
            .iter()
            .map(|(_, user)| user.get(key).unwrap().text().to_owned())
            .collect();
        for name in self.section(section) {
            if !used.contains(&name) {
                self.site.entry(section).remove(&name);
            }
        }
    }

    /// Supplies are chosen when all that hangs on them is known.
    fn capacities(&mut self) {
        let volts = self.house.grid.to_neutral();
        let mut largest: f64 = 0.0;
        for (supply, lines) in self.drawn.clone() {
            let worst = lines.into_iter().fold(0.0, f64::max);
            largest = largest.max(lines.iter().sum::<f64>() / 3.0);
            let lines = self.house.grid.lines() as f64;
            let needed = worst * volts * lines / 1000.0 * 1.3;
            let sizes = [2, 3, 5, 8, 10, 15, 20, 30, 40, 60, 80, 120, 200, 400];
            let size = sizes
                .into_iter()
                .find(|size| f64::from(*size) > needed)
                .unwrap();
            let kilo = if self.once_in(5) {
                format!("{} VA", size * 1000)
            } else {
                format!("{size} kVA")
            };
            self.site
                .at_mut(&["supplies", &supply])
                .unwrap()
                .set("capacity", kilo);
        }
        // Below a floor of its own the site does not mind unequal phases.
        if largest >= 9.0 {
            let limits = map([("floor", format!("{} A", largest.ceil() + 1.0).into())]);
            self.site
                .at_mut(&["site"])
                .unwrap()
                .set("phase-imbalance", limits);
        } else if self.once_in(5) {
            let limits = map([("note", "15 %".into()), ("warning", "25 %".into())]);
            self.site
                .at_mut(&["site"])
                .unwrap()
                .set("phase-imbalance", limits);
        }
    }
}

/// A list of words.
fn list<'a>(items: impl IntoIterator<Item = &'a str>) -> Node {
    words(items)
}
