//! What holds everywhere at a site: practice, country, grid, feeds, zones and racks.

use super::tree::{Node, map};
use super::{Dice, Maker};

/// A kind of supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grid {
    /// 400/230 V, star.
    Star400,
    /// 208/120 V, star.
    Star208,
    /// 230 V, two conductors.
    Single230,
    /// 240/120 V, split phase.
    Split240,
    /// 208 V, delta.
    Delta208,
}

impl Grid {
    /// The marking of its supplies.
    pub fn marking(self, hertz: u32) -> String {
        match self {
            Self::Star400 => format!("3/N/PE ~ 400/230 V {hertz} Hz"),
            Self::Star208 => format!("3/N/PE ~ 208/120 V {hertz} Hz"),
            Self::Single230 => format!("1/N/PE ~ 230 V {hertz} Hz"),
            Self::Split240 => format!("2/N/PE ~ 240/120 V {hertz} Hz"),
            Self::Delta208 => format!("3/PE ~ 208 V {hertz} Hz"),
        }
    }

    /// How many lines it has.
    pub fn lines(self) -> usize {
        match self {
            Self::Star400 | Self::Star208 | Self::Delta208 => 3,
            Self::Split240 => 2,
            Self::Single230 => 1,
        }
    }

    /// Volts between line and neutral, or between line and star point.
    pub fn to_neutral(self) -> f64 {
        match self {
            Self::Star400 | Self::Single230 => 230.0,
            Self::Star208 | Self::Split240 | Self::Delta208 => 120.0,
        }
    }

    /// Volts between two lines.
    pub fn between(self) -> f64 {
        match self {
            Self::Star400 | Self::Single230 => 400.0,
            Self::Split240 => 240.0,
            Self::Star208 | Self::Delta208 => 208.0,
        }
    }
}

/// What holds everywhere.
#[derive(Clone, Debug)]
pub struct House {
    /// Whether the NEC binds; otherwise IEC practice.
    pub nec: bool,
    /// Its country.
    pub country: &'static str,
    /// An approval mark of that country.
    pub mark: &'static str,
    /// A wall plug of that country that goes in one way only.
    pub wall: Option<&'static str>,
    /// Its supplies.
    pub grid: Grid,
    /// Share of nominal voltage that is sure to be there.
    pub low: f64,
    /// Share of a breaker that a continuous load may take.
    pub continuous: f64,
    /// Colours of feeds A and B.
    pub colours: Option<[&'static str; 2]>,
    /// Whether routes are measured, and with how much surplus, in millimetres.
    pub surplus: Option<f64>,
    /// Service loop, connector bend, cross run where given, in millimetres, and rail slack.
    pub routing: Routing,
}

/// Constants of the way of a cord, in millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Routing {
    pub service_loop: f64,
    pub connector_bend: f64,
    pub cross_run: Option<f64>,
    pub rail_slack: f64,
    /// Whether the site gives them.
    pub given: bool,
}

const COUNTRIES: [(&str, &str, Option<&str>); 9] = [
    ("GB", "ASTA", Some("BS 1363")),
    ("GB", "BSI", Some("BS 1363")),
    ("IE", "NF", Some("BS 1363")),
    ("DE", "VDE", None),
    ("FR", "NF", Some("CEE 7/6")),
    ("SE", "SEMKO", None),
    ("NL", "KEMA", None),
    ("CH", "S+", None),
    ("NO", "NEMKO", None),
];

/// A country of IEC practice with 127 V from line to neutral, at 60 Hz.
const HOME_OF_STAR_208: (&str, &str, Option<&str>) = ("BR", "INMETRO", None);

impl House {
    /// The frequency of its supplies.
    fn hertz(&self) -> u32 {
        if self.nec || self.country == HOME_OF_STAR_208.0 {
            60
        } else {
            50
        }
    }

    /// A random house.
    pub fn new(dice: &mut Dice) -> Self {
        let nec = dice.below(5) < 2;
        let (country, mark, wall) = if nec {
            [
                ("US", "UL", Some("NEMA 5-15")),
                ("CA", "CSA", Some("NEMA 5-15")),
            ][dice.below(2)]
        } else {
            COUNTRIES[dice.below(COUNTRIES.len())]
        };
        let grids: &[Grid] = if nec {
            &[Grid::Star208, Grid::Star208, Grid::Split240, Grid::Delta208]
        } else {
            &[
                Grid::Star400,
                Grid::Star400,
                Grid::Star400,
                Grid::Single230,
                Grid::Star208,
            ]
        };
        let grid = grids[dice.below(grids.len())];
        let (country, mark, wall) = match grid {
            Grid::Star208 if !nec => HOME_OF_STAR_208,
            _ => (country, mark, wall),
        };
        let colours = [["blue", "red"], ["black", "white"], ["yellow", "violet"]];
        let given = dice.below(2) == 0;
        let length = |dice: &mut Dice, least: usize| (least + 10 * dice.below(10)) as f64;
        let routing = if given {
            Routing {
                service_loop: length(dice, 120),
                connector_bend: length(dice, 50),
                cross_run: (dice.below(2) == 0).then(|| length(dice, 250)),
                rail_slack: [1.1, 1.2, 1.5][dice.below(3)],
                given,
            }
        } else {
            Routing {
                service_loop: 150.0,
                connector_bend: 100.0,
                cross_run: None,
                rail_slack: 1.2,
                given,
            }
        };
        Self {
            nec,
            country,
            mark,
            wall: wall.filter(|_| grid.to_neutral() > 200.0 || nec && grid != Grid::Delta208),
            grid,
            low: 1.0 - [0.05, 0.06, 0.1][dice.below(3)],
            continuous: [0.8, 0.8, 0.9, 1.0][dice.below(4)],
            colours: (dice.below(5) > 0).then(|| colours[dice.below(colours.len())]),
            surplus: (given && dice.below(2) == 0).then(|| 600.0 + 100.0 * dice.below(5) as f64),
            routing,
        }
    }

    /// Share of a breaker's rating that loads here are planned with.
    pub fn planned(&self) -> f64 {
        let code = if self.nec { 0.8 } else { 1.0 };
        self.continuous.min(code) * 0.85
    }
}

impl Maker {
    /// The site as a whole, its zones and its racks.
    pub fn places(&mut self) {
        let site = self.site_section();
        self.site.set("site", site);
        let zones = ["hall", "pump-house", "loft"];
        let mut names = Vec::new();
        for zone in &zones[..1 + self.dice.below(2)] {
            let node = self.zone(*zone == "hall");
            self.add("zones", zone, node);
            names.push((*zone).to_owned());
        }
        for at in 0..names.len().max(1 + self.dice.below(3)) {
            let zone = names[at % names.len()].clone();
            let rack = self.rack(&zone);
            self.add("racks", &format!("r{}", at + 1), rack);
        }
    }

    fn site_section(&mut self) -> Node {
        let house = self.house.clone();
        let percent = |share: f64| Node::from(format!("{} %", (share * 100.0).round()));
        let mut site = map([
            (
                "name",
                self.pick(&["North light", "Kiln works", "Tide house 3"])
                    .into(),
            ),
            ("practice", if house.nec { "nec" } else { "iec" }.into()),
            ("country", house.country.into()),
            ("ambient", self.pick(&["25 °C", "30 °C", "22 C"]).into()),
            ("continuous-load", percent(house.continuous)),
            ("supply-tolerance", percent(1.0 - house.low)),
        ]);
        if !house.nec {
            site.set("rcds", map([("type", "A".into())]));
        }
        if house.surplus.is_some() {
            site.set("users", "instructed");
        }
        if !self.once_in(6) {
            let limits = map([
                ("circuit", "3 %".into()),
                ("cord", "1 %".into()),
                ("total", "5 %".into()),
            ]);
            site.set("voltage-drop", limits);
        }
        let colour = |at: usize| {
            house
                .colours
                .map_or(map([]), |colours| map([("colour", colours[at].into())]))
        };
        site.set("feeds", map([("A", colour(0)), ("B", colour(1))]));
        if !self.once_in(5) {
            site.set("label", "W-[0-9]{4}");
        }
        if house.surplus.is_some() || self.once_in(3) {
            let lengths = [
                "0.5 m", "1 m", "1.5 m", "2 m", "2.5 m", "3 m", "3.5 m", "4 m",
            ];
            site.set("stock-lengths", super::list(lengths));
        }
        if house.routing.given {
            site.set("routing", self.routing_section());
        }
        if self.once_in(5) {
            site.set("open-points", self.pick(&["block", "report"]));
        }
        if self.once_in(6) {
            let level = map([
                ("level", "note".into()),
                ("reason", "as it was before".into()),
            ]);
            site.set("levels", map([("load-basis", level)]));
        }
        if self.once_in(6) {
            site.set("files", map([("leave-out", super::list(["old/**"]))]));
        }
        site
    }

    fn routing_section(&self) -> Node {
        let routing = self.house.routing;
        let millimetres = |length: f64| Node::from(format!("{length} mm"));
        let mut section = map([
            ("service-loop", millimetres(routing.service_loop)),
            ("connector-bend", millimetres(routing.connector_bend)),
            (
                "rail-slack",
                format!("{} %", (routing.rail_slack * 100.0).round()).into(),
            ),
        ]);
        if let Some(cross_run) = routing.cross_run {
            section.set("cross-run", millimetres(cross_run));
        }
        if let Some(surplus) = self.house.surplus {
            section.set("surplus", millimetres(surplus));
        }
        section
    }

    fn zone(&mut self, plain: bool) -> Node {
        let mut zone = map([]);
        if !self.once_in(8) {
            zone.set(
                "ambient",
                self.pick(&[
                    "21 °C", "25 °C", "30 °C", "27 C", "35 °C", "40 °C", "77 °F", "45 °C",
                ]),
            );
        }
        let shaken = if plain {
            "none"
        } else {
            self.pick(&["none", "machinery", "seismic", "transport"])
        };
        zone.set("vibration", shaken);
        if shaken != "none" && self.once_in(2) || self.once_in(8) {
            zone.set("retention", "required");
        }
        zone.set("air", "room");
        if self.once_in(4) {
            zone.set("air", "underfloor");
        }
        if self.house.nec && (zone.get("air").unwrap().text() == "underfloor" || self.once_in(5)) {
            zone.set("article-645", "yes");
        }
        let hard = self.dice.below(8);
        if !self.house.nec && hard == 0 {
            zone.set("halogen-free", "required");
        }
        zone.set("wet", if hard == 1 { "yes" } else { "no" });
        zone.set("oil", if hard == 1 || hard == 2 { "yes" } else { "no" });
        if self.once_in(2) {
            zone.set(
                "duty",
                if hard == 3 {
                    "heavy"
                } else {
                    self.pick(&["light", "ordinary"])
                },
            );
        }
        zone
    }

    fn rack(&mut self, zone: &str) -> Node {
        let mut rack = map([
            ("zone", zone.into()),
            ("height", self.pick(&["24 U", "42 U", "45 U"]).into()),
            ("width", self.pick(&["600 mm", "80 cm"]).into()),
            ("depth", self.pick(&["1070 mm", "1.2 m", "800 mm"]).into()),
        ]);
        self.mark(&mut rack, "ip", zone);
        rack
    }

    /// A supply for each feed. Their capacities come last.
    pub fn supplies(&mut self) {
        let hertz = self.house.hertz();
        let fault = self.pick(&["3 kA", "4500 A", "6 kA", "9 kA"]);
        for feed in ["A", "B"] {
            let earthing = self.pick(&["TN-S", "TN-S", "TN-C-S", "TT"]);
            let marking = self.house.grid.marking(hertz);
            let is_bare = feed == "B" && fault == "6 kA";
            let marking = match is_bare {
                true => marking.replace("/PE", ""),
                false => marking,
            };
            let mut supply = map([
                ("feed", feed.into()),
                ("system", marking.into()),
                ("capacity", "1 kVA".into()),
                ("fault-current", fault.into()),
                (
                    "earthing",
                    if self.house.nec { "TN-S" } else { earthing }.into(),
                ),
                ("sequence-proved", self.pick(&["yes", "yes", "no"]).into()),
            ]);
            // Some run on a bypass or a generator as well, which drive no less than others do alone.
            if fault == "4500 A" {
                let earthing = supply.get("earthing").cloned();
                supply.remove("fault-current");
                supply.set("modes", modes(feed, fault, earthing.unwrap()));
            }
            // Where the marking should name a protective conductor and does not, somebody has looked.
            if is_bare && !self.house.nec && earthing != "TT" {
                supply.set("protective-conductor", "yes");
            }
            let name = format!("ups-{}", feed.to_lowercase());
            self.drawn.insert(name.clone(), [0.0; 3]);
            self.add("supplies", &name, supply);
        }
    }

    /// Degrees of the air in a zone.
    pub fn celsius(&self, zone: &str) -> f64 {
        let own = self.site.at(&["zones", zone, "ambient"]);
        let ambient = own.or(self.site.at(&["site", "ambient"])).unwrap();
        match ambient.text().ends_with('F') {
            true => (ambient.number() - 32.0) / 1.8,
            false => ambient.number(),
        }
    }

    /// Marks what stands in a wet zone as keeping water out, by a key of it.
    pub fn mark(&mut self, thing: &mut Node, key: &str, zone: &str) {
        if self.zone_says(zone, "wet", "yes") {
            thing.set(key, self.pick(&["IP54", "IPX4", "IP66", "IP44"]));
        }
    }

    /// What a cord's maker declares for so many amperes in a zone hotter than couplers are rated for.
    pub fn declare(&mut self, kind: &mut Node, zone: &str, amperes: f64) {
        if self.celsius(zone) > 40.0 {
            let hot_air = map([
                ("at", self.pick(&["45 °C", "55 °C"]).into()),
                ("amperes", format!("{} A", (amperes * 1.05).ceil()).into()),
            ]);
            kind.set("hot-air", hot_air);
        }
    }

    /// Whether a zone asks for something.
    pub fn zone_says(&self, zone: &str, key: &str, word: &str) -> bool {
        self.site
            .at(&["zones", zone, key])
            .is_some_and(|value| value.text() == word)
    }

    /// Whether couplers must be held in a zone.
    pub fn is_shaken(&self, zone: &str) -> bool {
        !self.zone_says(zone, "vibration", "none") || self.zone_says(zone, "retention", "required")
    }
}

/// The modes of a supply, each with what a fault draws in it.
fn modes(feed: &str, fault: &str, earthing: Node) -> Node {
    let two_ends = map([("largest", fault.into()), ("smallest", "3 kA".into())]);
    let network = map([("fault-current", two_ends)]);
    if feed == "B" {
        let mains = map([("fault-current", fault.into())]);
        return map([("mains", mains), ("bypass", network)]);
    }
    let generator = map([
        ("largest", "3 kA".into()),
        ("smallest", "3000 A".into()),
        ("earth", "3.5 kA".into()),
        ("lasts", "10 s".into()),
    ]);
    let generator = map([("fault-current", generator), ("earthing", earthing)]);
    map([("mains", network), ("generator", generator)])
}
