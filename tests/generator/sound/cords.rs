//! Cords: conductors, lengths, jackets and locks by what their place asks for.

use super::ratings::{Conductor, GAUGES, METRIC, air_factor, ohms_per_metre};
use super::strips::Strip;
use super::tree::{Node, map};
use super::{Maker, list};

/// What a cord must be.
#[derive(Clone, Debug)]
pub struct Need {
    pub plug: &'static str,
    pub connector: &'static str,
    /// What it carries if the other feed is lost.
    pub amperes: f64,
    /// What its equipment may take by its nameplate.
    pub nameplate: f64,
    /// Rating of the overcurrent device ahead, in amperes.
    pub ahead: f64,
    /// What that device lets through, where known, in A²s.
    pub let_through: Option<f64>,
    /// Volts at the outlet.
    pub volts: f64,
    /// What the inlet offers to hold a connector.
    pub holds: Option<&'static str>,
    /// Free depth behind the inlet, in millimetres.
    pub clearance: Option<f64>,
    /// How far the device slides out, in millimetres.
    pub rails: Option<f64>,
    pub is_splitter: bool,
}

/// Share of its current that a cord bears in a bundle of up to four.
const BUNDLED: f64 = 0.65;

/// Lengths that cords are made in, in metres.
const LENGTHS: [f64; 14] = [
    0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 7.0,
];

impl Maker {
    /// A cord from an outlet to its ends; `ways` are the devices there and the sides of their inlets.
    pub fn cord(
        &mut self,
        strip: &Strip,
        (outlet, place): &(String, usize),
        need: &Need,
        ends: Node,
        ways: &[(&str, Option<&'static str>)],
    ) {
        let longest = ways
            .iter()
            .map(|(device, side)| self.way(strip, *place, device, *side, need.rails))
            .fold(0.0, f64::max);
        let shortest = ways
            .iter()
            .map(|(device, side)| self.way(strip, *place, device, *side, need.rails))
            .fold(f64::MAX, f64::min);
        debug_assert!(longest - shortest < 300.0);
        let mut at = LENGTHS
            .iter()
            .position(|length| length * 1000.0 >= longest)
            .unwrap();
        let is_room = self.zone_says(&strip.zone, "article-645", "yes");
        if self.house.surplus.is_none() && self.once_in(3) && !(is_room && LENGTHS[at] >= 4.0) {
            at += 1;
        }
        let metres = LENGTHS[at];
        let own_length = self.once_in(8) && !need.is_splitter && metres < 4.5;
        let of_type = if own_length { metres + 0.5 } else { metres };
        let cordage = self.cordage(&strip.zone, need.connector == "C15");
        let factor = air_factor(self.celsius(&strip.zone));
        let in_bundle = self.conductor(need, of_type, factor * BUNDLED, cordage);
        let in_bundle = in_bundle.filter(|_| !need.is_splitter && self.once_in(6));
        let bundled = in_bundle.is_some();
        let size = in_bundle.or_else(|| self.conductor(need, of_type, factor, cordage));
        let size = size.unwrap_or_else(|| panic!("no conductor for {need:?} of {metres} m"));
        let kind = self.cord_type(strip, need, of_type, (cordage, size));
        let kind = self.shared("cord-types", "set", kind);
        let mut cord = map([
            ("type", kind.into()),
            ("from", format!("{}/{outlet}", strip.name).into()),
            ("to", ends),
        ]);
        if own_length {
            cord.set("length", format!("{metres} m"));
        }
        if bundled {
            cord.set("bundle", format!("{}-{}", strip.name, place / 3));
        }
        if self.once_in(6) {
            cord.set("surplus", self.pick(&["hung", "folded"]));
        }
        let label = self.label();
        self.add("cords", &label, cord);
    }

    fn cord_type(
        &mut self,
        strip: &Strip,
        need: &Need,
        metres: f64,
        (cordage, size): (&str, Conductor),
    ) -> Node {
        let mut kind = map([("plug", need.plug.into())]);
        if !need.is_splitter {
            kind.set("connector", need.connector);
        }
        kind.set("conductor", size.marking);
        kind.set("cordage", cordage);
        if self.once_in(8) {
            kind.set("cores", if need.connector == "C17" { "2" } else { "3" });
        }
        if self.house.nec && self.once_in(6) {
            kind.set("temperature", "60 °C");
        }
        if let Some(rating) = self.rating(need, size) {
            kind.set("rating", format!("{rating} A"));
        }
        if need.is_splitter {
            // Trunk and leg together are as long as the way.
            let trunk = 0.3;
            kind.set("length", format!("{trunk} m"));
            let leg = map([
                ("connector", need.connector.into()),
                ("conductor", size.marking.into()),
                ("length", format!("{:.1} m", metres - trunk).into()),
            ]);
            kind.set("legs", map([("a", leg.clone()), ("b", leg)]));
        } else {
            kind.set("length", self.metres(metres));
        }
        let colour = self.house.colours.map(|colours| colours[strip.feed]);
        if let Some(colour) = colour.or(self.once_in(2).then_some("grey")) {
            kind.set("colour", colour);
        }
        kind.set("approvals", self.approvals());
        self.declare(&mut kind, &strip.zone, need.amperes);
        self.ends(&mut kind, strip, need);
        kind
    }

    /// Plain, or in another unit of the same length.
    fn metres(&mut self, metres: f64) -> String {
        if self.once_in(5) {
            format!("{} cm", metres * 100.0)
        } else {
            format!("{metres} m")
        }
    }

    /// Marks of the country, and others that do no harm.
    pub fn approvals(&mut self) -> Node {
        let mark = self.house.mark;
        match self.dice.below(4) {
            0 => list([mark, if self.house.nec { "cULus" } else { "HAR" }]),
            1 => list(["PSE", mark]),
            _ => list([mark]),
        }
    }

    /// A cordage for a zone.
    pub fn cordage(&mut self, zone: &str, hot: bool) -> &'static str {
        let says = |key: &str, word: &str| self.zone_says(zone, key, word);
        let harsh = says("oil", "yes") || says("wet", "yes");
        let heavy = says("duty", "heavy");
        let clean = says("halogen-free", "required");
        let named = self.site.at(&["zones", zone, "duty"]).is_some();
        match (self.house.nec, hot) {
            (true, true) if heavy => "SO",
            (true, true) if harsh => "SJOOW",
            (true, true) => "SJO",
            (true, false) if heavy => "ST",
            (true, false) if harsh => "SJTOW",
            (true, false) if named => self.pick(&["SJT", "SJTO", "ST"]),
            (true, false) => self.pick(&["SJT", "SJTO", "SJ"]),
            (false, _) if heavy => "H07RN-F",
            (false, _) if harsh => "H05RN-F",
            (false, true) if clean => "H07ZZ-F",
            (false, false) if clean => "H05Z1Z1-F",
            (false, true) => self.pick(&["H05RR-F", "H05RN-F", "H05V2V2-F"]),
            (false, false) => self.pick(&["H05VV-F", "H05VV-F", "H05V2V2-F", "H05RN-F"]),
        }
    }

    /// The thinnest conductor that will do, or the next.
    fn conductor(
        &mut self,
        need: &Need,
        metres: f64,
        factor: f64,
        cordage: &str,
    ) -> Option<Conductor> {
        let least = least_area(self.house.nec, need, metres);
        let listed = self.house.nec;
        let does = |size: &Conductor| {
            let bears = size.two * factor;
            let heat = (if self.house.nec { 78.0 } else { 90.0 } * size.area).powi(2);
            let is_guarded = bears >= need.ahead;
            // Behind a larger device a short circuit at the far end must still be large.
            let is_large = !listed || metres <= 2.5 && (need.ahead <= 15.0 || need.volts > 190.0);
            let is_limited = !need.is_splitter && is_large && (listed || bears >= need.nameplate);
            bears >= need.amperes * 1.02
                && (is_guarded || is_limited && need.let_through.is_some())
                && need.let_through.is_none_or(|through| heat >= through)
                && size.area >= least
                && 2.0 * ohms_per_metre(size.area) * metres * need.amperes <= 0.008 * need.volts
                && is_made(cordage, size.area)
        };
        let sizes = if self.house.nec {
            &GAUGES[..5]
        } else {
            &METRIC[..5]
        };
        let fitting: Vec<Conductor> = sizes.iter().copied().filter(does).collect();
        let next = fitting.get(1).filter(|_| self.dice.below(4) == 0);
        next.or(fitting.first()).copied()
    }

    /// The rating marked on the set, if there is one.
    fn rating(&mut self, need: &Need, size: Conductor) -> Option<f64> {
        if self.once_in(4) {
            return None;
        }
        let plain = if need.connector == "C19" && need.plug != "C14" {
            16.0
        } else {
            10.0
        };
        let marked: f64 = match size.marking {
            _ if need.connector == "C19" => plain,
            "16 AWG" => 13.0,
            "14 AWG" => 15.0,
            _ => plain,
        };
        // C15 and C17 sets are not marked for more here.
        Some(if need.connector == "C13" {
            marked
        } else {
            plain
        })
    }

    /// Locks and angles at both ends.
    fn ends(&mut self, kind: &mut Node, strip: &Strip, need: &Need) {
        let shaken = self.is_shaken(&strip.zone);
        let plug = match strip.latch {
            Some("outlet-latch") => "outlet-latch",
            _ => "none",
        };
        let connector = match need.holds {
            Some("shroud-latch") => "shroud-latch",
            Some("bail") => "bail",
            _ if shaken || self.once_in(3) => "pin-grip",
            _ => "none",
        };
        if shaken || self.once_in(2) {
            kind.set(
                "retention",
                map([("plug", plug.into()), ("connector", connector.into())]),
            );
        }
        let tight = need.clearance.is_some_and(|clearance| clearance < 80.0);
        let leaves = if need.is_splitter {
            "straight"
        } else {
            self.pick(strip.angles)
        };
        let connects = if tight {
            self.pick(&["left", "right", "up"])
        } else {
            self.pick(&["straight", "straight", "down", "left"])
        };
        if tight || leaves != "straight" || self.once_in(3) {
            kind.set(
                "angle",
                map([("plug", leaves.into()), ("connector", connects.into())]),
            );
        }
        if tight {
            kind.set("stand-out", map([("connector", "40 mm".into())]));
        }
    }
}

/// Whether a cordage is made in a size of so many mm².
fn is_made(cordage: &str, area: f64) -> bool {
    match cordage {
        "H05RN-F" => area <= 2.5,
        "H07RN-F" | "H07ZZ-F" => area >= 1.0,
        _ => true,
    }
}

/// The least section of a cord set, in mm²: IEC 60799 Table 1, and UL 817 by the plain rating.
fn least_area(nec: bool, need: &Need, metres: f64) -> f64 {
    match (nec, need.connector == "C19", metres > 2.0) {
        (true, true, _) => 3.3,
        (true, false, _) => 0.82,
        (false, true, true) => 1.5,
        (false, true, false) | (false, false, true) => 1.0,
        (false, false, false) => 0.75,
    }
}
