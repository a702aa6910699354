//! Devices in a rack, as many as its strips bear.

use super::Maker;
use super::cords::Need;
use super::strips::Strip;
use super::tree::{Node, map};

/// What a device is, before it finds outlets.
struct Plan {
    /// Feeds of its inlets.
    feeds: Vec<usize>,
    /// Its inlets.
    inlet: &'static str,
    /// Watts that it draws.
    watts: f64,
    /// Watts on its nameplate.
    nameplate: f64,
    factor: f64,
    earth: f64,
    inrush: f64,
    critical: bool,
}

/// An outlet found for an inlet: strip, bank and place in the list of free ones.
type Found = (usize, usize);

impl Plan {
    /// Watts that one inlet bears at the lowest of these voltages, in tens.
    fn most(&self, volts: &[f64]) -> f64 {
        let amperes = if self.inlet == "C20" { 16.0 } else { 10.0 };
        let lowest = volts.iter().copied().fold(f64::INFINITY, f64::min);
        (amperes * lowest * self.factor / 10.0).floor() * 10.0
    }
}

impl Maker {
    /// Devices of a rack.
    pub fn devices(&mut self, strips: &mut [Strip; 2], rack: &str) {
        let height = self.site.at(&["racks", rack, "height"]).unwrap().number() as usize;
        let mut unit = 3 + self.dice.below(3);
        let wanted = 2 + self.dice.below(7);
        for number in 0..wanted {
            if unit + 4 > height {
                break;
            }
            if self.once_in(6) {
                unit += self.splitter(strips, rack, unit, number);
            } else {
                unit += self.device(strips, rack, unit, number);
            }
            unit += self.dice.below(2);
        }
    }

    /// One device; how many rack units it takes.
    fn device(&mut self, strips: &mut [Strip; 2], rack: &str, unit: usize, number: usize) -> usize {
        let mut plan = self.plan();
        let Some(found) = self.outlets(strips, &plan) else {
            return 0;
        };
        let tall = 1 + self.dice.below(2);
        let volts: Vec<f64> = found
            .iter()
            .map(|(strip, bank)| strips[*strip].banks[*bank].volts)
            .collect();
        plan.nameplate = plan.nameplate.min(plan.most(&volts));
        let name = format!("{rack}-{}-{number}", self.pick(&["rec", "store", "gate"]));
        let zone = strips[0].zone.clone();
        let (model, inlets) = self.device_model(&plan, tall, &volts, &zone);
        let mut device = map([
            ("model", model.clone().into()),
            ("rack", rack.into()),
            ("at", format!("U{unit}").into()),
            ("draw", watts(plan.watts, self.once_in(3)).into()),
        ]);
        if self.once_in(2) {
            device.set(
                "measured",
                self.pick(&["2026-06-18", "2025-11-25", "2026-11-25"]),
            );
        }
        if plan.critical {
            device.set("critical", "yes");
        }
        let inlet = ["device-models", &model, "inlets", "psu1", "share"];
        if self.site.at(&inlet).is_none() && self.once_in(10) {
            let reason = self.pick(&["module not fitted", "kept for the next extension"]);
            let spare = map([("spare", map([("unused", reason.into())]))]);
            device.set("inlets", spare);
            let mut own = self.site.at(&["device-models", &model]).unwrap().clone();
            let inlet = own.at(&["inlets", "psu1"]).unwrap().clone();
            own.entry("inlets").set("spare", inlet);
            device.set("model", self.shared("device-models", "open", own));
        }
        self.add("devices", &name, device);
        for (inlet, (strip, bank)) in inlets.iter().zip(found) {
            let whole = current(&plan, strips[strip].banks[bank].volts * self.house.low);
            let (outlet, need) = self.need(&mut strips[strip], bank, &plan, inlet, whole);
            let end = format!("{name}/{}", inlet.name);
            self.cord(
                &strips[strip].clone(),
                &outlet,
                &need,
                Node::from(end),
                &[(name.as_str(), inlet.side)],
            );
        }
        tall
    }

    fn plan(&mut self) -> Plan {
        let feeds = match self.dice.below(10) {
            0 | 1 => vec![self.dice.below(2)],
            2 => vec![0, 0, 1],
            3 => vec![0, 0, 1, 1],
            _ => vec![0, 1],
        };
        let inlet = match self.dice.below(10) {
            0 | 1 => "C20",
            2 => "C18",
            3 => "C16",
            _ => "C14",
        };
        let light = self.dice.below(3) > 0;
        let watts = if light {
            20 + 10 * self.dice.below(50)
        } else {
            600 + 50 * self.dice.below(20)
        };
        let watts = watts as f64;
        let nameplate = (watts * self.pick(&[1.0, 1.1, 1.3, 2.0]) / 10.0).ceil() * 10.0;
        let earth = if inlet == "C18" {
            0.0
        } else {
            self.pick(&[0.25, 0.5, 0.75, 1.5])
        };
        let critical = feeds.len() > 1 && self.once_in(3);
        Plan {
            feeds,
            inlet,
            watts,
            nameplate,
            factor: self.pick(&[0.9, 0.95, 0.97, 1.0]),
            earth,
            inrush: self.pick(&[5.0, 8.0, 12.0]),
            critical,
        }
    }

    /// Outlets for all inlets of a device, if there are any that bear it.
    fn outlets(&mut self, strips: &mut [Strip; 2], plan: &Plan) -> Option<Vec<Found>> {
        let before = strips.clone();
        let mut found = Vec::new();
        for feed in &plan.feeds {
            // Two inlets of one device may land on one bank.
            let inlets = plan.feeds.iter().filter(|own| *own == feed).count();
            let many = strips[*feed].banks.len();
            let first = self.dice.below(many);
            let bank = (0..many)
                .map(|at| (first + at) % many)
                .find(|bank| self.bears(&strips[*feed], *bank, plan, inlets));
            let Some(bank) = bank else {
                *strips = before;
                return None;
            };
            let strip = &mut strips[*feed];
            let whole = current(plan, strip.banks[bank].volts * self.house.low);
            strip.take(bank, whole, plan.inrush, plan.earth);
            found.push((*feed, bank));
        }
        Some(found)
    }

    /// Whether a bank bears as many inlets of a device.
    fn bears(&self, strip: &Strip, bank: usize, plan: &Plan, inlets: usize) -> bool {
        let times = inlets as f64;
        let item = &strip.banks[bank];
        let whole = current(plan, item.volts * self.house.low);
        let couplers: &[&str] = match plan.inlet {
            "C20" => &["C19"],
            _ => &["C13", "C19", "NEMA 5-15"],
        };
        let most = if plan.inlet == "C20" { 11.0 } else { 7.0 };
        let has_outlet = item
            .free
            .iter()
            .filter(|(_, _, coupler)| couplers.contains(coupler))
            .count();
        let (amperes, inrush) = (times * whole, times * plan.inrush);
        has_outlet >= 2
            && whole <= most
            && item.room >= amperes
            && item.inrush >= inrush
            && item
                .lines
                .iter()
                .all(|line| strip.room[*line] >= amperes && strip.inrush[*line] >= inrush)
    }

    /// What the cord at an outlet of a bank must be.
    fn need(
        &mut self,
        strip: &mut Strip,
        bank: usize,
        plan: &Plan,
        inlet: &Inlet,
        whole: f64,
    ) -> ((String, usize), Need) {
        let item = &mut strip.banks[bank];
        let at = self.dice.below(item.free.len());
        let (outlet, place, coupler) = item.free.remove(at);
        let need = Need {
            plug: plug_of(coupler),
            connector: connector_of(plan.inlet),
            amperes: whole,
            nameplate: whole * plan.nameplate / plan.watts * 1.02,
            ahead: item.ahead,
            let_through: item.let_through,
            volts: item.volts * self.house.low,
            holds: inlet.holds,
            clearance: inlet.clearance,
            rails: inlet.rails,
            is_splitter: false,
        };
        ((outlet, place), need)
    }

    /// The model of a device, and its inlets.
    fn device_model(
        &mut self,
        plan: &Plan,
        tall: usize,
        volts: &[f64],
        zone: &str,
    ) -> (String, Vec<Inlet>) {
        let clearance = self.pick(&[None, None, Some(90.0), Some(45.0)]);
        let rails = if self.once_in(6) {
            Some(self.pick(&[400.0, 700.0]))
        } else {
            None
        };
        let rails = rails.filter(|_| !self.zone_says(zone, "article-645", "yes"));
        let declared = plan.feeds.len() > 1 && self.once_in(2);
        let given = self.dice.below(3) == 0;
        let shared = self.once_in(6);
        let mut inlets = Vec::new();
        let mut nodes = map([]);
        for (at, feed) in plan.feeds.iter().enumerate() {
            let holds = self.pick(&[None, None, Some("shroud-latch"), Some("bail")]);
            let side = self.pick(&[None, Some("left"), Some("middle"), Some("right")]);
            let name = format!("psu{}", at + 1);
            let mut node = map([("coupler", plan.inlet.into())]);
            if declared {
                node.set("feed", ["A", "B"][*feed]);
            }
            if given && plan.feeds.len() > 1 {
                node.set("capacity", format!("{} W", plan.nameplate));
            }
            if let Some(holds) = holds {
                node.set("retention", holds);
            }
            if let Some(side) = side {
                node.set("side", side);
            }
            if self.once_in(8) {
                // As the plain sheet has it.
                node.set("rating", if plan.inlet == "C20" { "16 A" } else { "10 A" });
            }
            if plan.feeds.len() == 2 && shared {
                node.set("share", "50 %");
            }
            let plain = node.pairs().len() == 1 && self.once_in(2);
            nodes.set(&name, if plain { plan.inlet.into() } else { node });
            inlets.push(Inlet {
                name,
                holds,
                side,
                clearance,
                rails,
            });
        }
        let mut model = map([
            ("height", format!("{tall} U").into()),
            ("class", if plan.inlet == "C18" { "II" } else { "I" }.into()),
            ("voltage", self.voltages(volts).into()),
            ("rating", watts(plan.nameplate, self.once_in(4)).into()),
            ("power-factor", plan.factor.to_string().into()),
            ("inlets", nodes),
            ("inlets-needed", "1".into()),
            ("third-harmonic", self.pick(&["5 %", "8 %"]).into()),
            ("inrush", format!("{} A", plan.inrush).into()),
        ]);
        if plan.inlet != "C18" {
            model.set("earth-current", format!("{} mA", plan.earth));
        }
        if self.once_in(3) {
            model.set("sharing", self.pick(&["equal", "standby"]));
        }
        if let Some(clearance) = clearance {
            model.set("rear-clearance", format!("{clearance} mm"));
        }
        if let Some(rails) = rails {
            model.set("rail-travel", format!("{rails} mm"));
        }
        (self.shared("device-models", "kind", model), inlets)
    }

    /// A range in which all of these voltages lie.
    fn voltages(&mut self, volts: &[f64]) -> &'static str {
        let high = volts.iter().all(|volts| *volts > 190.0);
        let low = volts.iter().all(|volts| *volts < 130.0);
        match (high, low) {
            (true, _) => self.pick(&["100–240 V", "200–240 V", "180-264 V"]),
            (_, true) => self.pick(&["100–240 V", "100–127 V", "110-120 V"]),
            _ => "100–240 V",
        }
    }

    /// Two devices of one inlet on a splitter; how many rack units they take.
    fn splitter(
        &mut self,
        strips: &mut [Strip; 2],
        rack: &str,
        unit: usize,
        number: usize,
    ) -> usize {
        let mut plan = self.plan();
        plan.feeds = vec![self.dice.below(2)];
        plan.inlet = "C14";
        plan.critical = false;
        plan.watts = plan.watts.min(200.0);
        plan.nameplate = plan.nameplate.min(plan.watts * 1.5);
        let feed = plan.feeds[0];
        let many = strips[feed].banks.len();
        let fits = |bank: &usize| {
            let coupler = strips[feed].banks[*bank]
                .free
                .first()
                .map(|(_, _, coupler)| *coupler);
            coupler.is_some_and(|coupler| coupler != "NEMA 5-15")
                && self.bears(&strips[feed], *bank, &plan, 2)
        };
        let Some(bank) = (0..many).find(fits) else {
            return 0;
        };
        let zone = strips[feed].zone.clone();
        let volts = strips[feed].banks[bank].volts;
        let (model, inlets) = self.device_model(&plan, 1, &[volts], &zone);
        let whole = current(&plan, volts * self.house.low);
        let mut ends = map([]);
        let mut names = Vec::new();
        for (at, leg) in ["a", "b"].into_iter().enumerate() {
            strips[feed].take(bank, whole, plan.inrush, plan.earth);
            let name = format!("{rack}-gauge-{number}{leg}");
            let device = map([
                ("model", model.clone().into()),
                ("rack", rack.into()),
                ("at", format!("U{}", unit + at).into()),
                ("draw", watts(plan.watts, false).into()),
            ]);
            self.add("devices", &name, device);
            ends.set(leg, format!("{name}/{}", inlets[0].name));
            names.push(name);
        }
        let (outlet, mut need) = self.need(&mut strips[feed], bank, &plan, &inlets[0], whole);
        need.amperes = 2.0 * whole;
        need.is_splitter = true;
        let ways: Vec<(&str, Option<&'static str>)> = names
            .iter()
            .map(|name| (name.as_str(), inlets[0].side))
            .collect();
        self.cord(&strips[feed].clone(), &outlet, &need, ends, &ways);
        2
    }
}

/// An inlet of a device.
pub struct Inlet {
    pub name: String,
    pub holds: Option<&'static str>,
    pub side: Option<&'static str>,
    pub clearance: Option<f64>,
    pub rails: Option<f64>,
}

/// Amperes that a device draws through one inlet, if it must, with some volts lost on the way.
fn current(plan: &Plan, volts: f64) -> f64 {
    plan.watts / (volts * 0.96 * plan.factor)
}

fn watts(watts: f64, kilo: bool) -> String {
    if kilo {
        format!("{} kW", watts / 1000.0)
    } else {
        format!("{watts} W")
    }
}

/// The plug that enters an outlet.
pub fn plug_of(outlet: &str) -> &'static str {
    match outlet {
        "C13" => "C14",
        "C19" => "C20",
        _ => "NEMA 5-15",
    }
}

/// The connector that enters an inlet.
pub fn connector_of(inlet: &str) -> &'static str {
    match inlet {
        "C20" => "C19",
        "C18" => "C17",
        "C16" => "C15",
        _ => "C13",
    }
}

impl Strip {
    /// Counts a load in.
    fn take(&mut self, bank: usize, amperes: f64, inrush: f64, earth: f64) {
        let lines = self.banks[bank].lines.clone();
        self.banks[bank].room -= amperes;
        self.banks[bank].inrush -= inrush;
        for line in lines {
            self.room[line] -= amperes;
            self.inrush[line] -= inrush;
        }
        self.earth += earth;
    }
}
