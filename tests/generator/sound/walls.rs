//! Equipment on wall receptacles, outside racks.

use super::Maker;
use super::tree::{Node, map};

impl Maker {
    /// A few devices on receptacles of circuits.
    pub fn walls(&mut self) {
        if self.house.grid.to_neutral() < 200.0 && !self.house.nec
            || self.house.grid == super::house::Grid::Delta208
        {
            return;
        }
        let zone = self.section("zones")[0].clone();
        for number in 0..self.dice.below(4) {
            self.wall(&zone, number);
        }
    }

    fn wall(&mut self, zone: &str, number: usize) {
        let feed = self.dice.below(2);
        let line = self.dice.below(self.house.grid.lines());
        let supply = ["ups-a", "ups-b"][feed];
        let shaken = self.is_shaken(zone);
        let national = self.house.wall.filter(|_| !shaken && !self.once_in(3));
        let industrial = if self.house.nec {
            "NEMA L5-20"
        } else {
            "IEC 60309 16 A 2P+E 6h"
        };
        let plug = national.unwrap_or(industrial);
        let amperes = match plug {
            "NEMA 5-15" => 15.0,
            "NEMA L5-20" => 20.0,
            _ => 16.0,
        };
        let watts = (40 + 20 * self.dice.below(20)) as f64;
        let volts = self.house.grid.to_neutral();
        let whole = watts / (volts * self.house.low * 0.96 * 0.9);
        // On a duplex receptacle there are two of them.
        let desks = if watts % 60.0 == 0.0 { 2 } else { 1 };
        let names = (0..desks).map(|at| format!("desk-{}{}", number + 1, ["", "b"][at]));
        let names: Vec<String> = names.collect();
        let all = whole * desks as f64;
        let model = map([
            ("class", "I".into()),
            (
                "voltage",
                if volts > 200.0 {
                    "200–240 V"
                } else {
                    "100–127 V"
                }
                .into(),
            ),
            ("rating", format!("{watts} W").into()),
            ("power-factor", "0.9".into()),
            ("inlets", map([("mains", "C14".into())])),
            ("inlets-needed", "1".into()),
            ("earth-current", "0.75 mA".into()),
            ("inrush", "10 A".into()),
            ("third-harmonic", "6 %".into()),
        ]);
        let model = self.shared("device-models", "desk", model);
        let device = map([
            ("model", model.into()),
            ("zone", zone.into()),
            ("draw", format!("{watts} W").into()),
        ]);
        for name in &names {
            self.add("devices", name, device.clone());
        }

        let mut circuit = map([
            ("from", supply.into()),
            ("poles", super::list([["L1", "L2", "L3"][line], "N"])),
            ("breaker", self.breaker(amperes, Some(4000.0))),
        ]);
        let leaks = 0.75 * desks as f64;
        self.guard(&mut circuit, supply, leaks, amperes, national.is_none());
        circuit.set(
            "wiring",
            self.wiring(amperes, all.max(amperes * 0.5), volts, false),
        );
        circuit.set(
            "receptacle",
            if plug == "CEE 7/6" { "CEE 7/5" } else { plug },
        );
        self.mark(&mut circuit, "receptacle-ip", zone);
        if desks > 1 || watts % 40.0 == 0.0 {
            circuit.set("receptacles", desks.to_string());
        }
        let from = format!("H-{}", number + 1);
        self.add("circuits", &from, circuit);
        self.drawn.get_mut(supply).unwrap()[line] += all;
        self.wall_cords(zone, feed, plug, whole, (&from, &names));
    }

    fn wall_cords(
        &mut self,
        zone: &str,
        feed: usize,
        plug: &'static str,
        whole: f64,
        (from, devices): (&str, &[String]),
    ) {
        let size = if self.house.nec { "14 AWG" } else { "1.5 mm²" };
        let mut kind = map([
            ("plug", plug.into()),
            ("connector", "C13".into()),
            ("conductor", size.into()),
            ("cordage", self.cordage(zone, false).into()),
            ("length", self.pick(&["1.5 m", "2 m", "2.5 m"]).into()),
            ("rating", "10 A".into()),
            ("approvals", self.approvals()),
        ]);
        if let Some(colours) = self.house.colours {
            kind.set("colour", colours[feed]);
        }
        if plug == "BS 1363" {
            let fuse = if whole < 2.7 {
                3.0
            } else if whole < 4.5 {
                5.0
            } else {
                13.0
            };
            kind.set("fuse", format!("{fuse} A"));
        }
        self.declare(&mut kind, zone, whole);
        self.mark(&mut kind, "connector-ip", zone);
        if self.is_shaken(zone) {
            kind.set(
                "retention",
                map([("plug", "none".into()), ("connector", "pin-grip".into())]),
            );
        }
        let kind = self.shared("cord-types", "wall", kind);
        let mut label = self.label();
        for (at, device) in devices.iter().enumerate() {
            if at > 0 {
                self.labels += 1;
                label = format!("W-{:04}", self.labels);
            }
            let cord = map([
                ("type", kind.as_str().into()),
                ("from", from.into()),
                ("to", Node::from(format!("{device}/mains"))),
            ]);
            self.add("cords", &label, cord);
        }
    }

    /// Fixed wiring that bears its breaker and loses little at so many amperes.
    pub fn wiring(&mut self, amperes: f64, worst: f64, volts: f64, three: bool) -> Node {
        use super::ratings::{GAUGE_WIRING, WIRING, ohms_per_metre};
        let metres = if volts > 200.0 {
            self.pick(&[6.0, 12.0, 18.0, 25.0])
        } else {
            self.pick(&[5.0, 8.0, 12.0])
        };
        let sizes = if self.house.nec {
            &GAUGE_WIRING
        } else {
            &WIRING
        };
        let grouped = self.once_in(6);
        let bears = if grouped { 0.7 } else { 1.0 };
        let most_lost = if self.house.nec { 0.015 } else { 0.025 };
        let does = |(_, area, most): &&(&str, f64, f64)| {
            // The way back counts too where there is but one line.
            let ways = if three { 1.8 } else { 2.0 };
            most * bears >= amperes
                && ways * ohms_per_metre(*area) * metres * worst
                    <= most_lost * volts * self.house.low
        };
        let (size, _, _) = sizes.iter().find(does).unwrap();
        let insulation = if self.house.nec {
            "thhn"
        } else {
            self.pick(&["pvc-70", "xlpe-90"])
        };
        let mut wiring = map([
            ("conductor", (*size).into()),
            ("length", format!("{metres} m").into()),
            ("insulation", insulation.into()),
        ]);
        if grouped {
            wiring.set("grouped", "2");
        }
        if self.once_in(8) {
            wiring.set("earth-conductor", *size);
        }
        wiring
    }
}
