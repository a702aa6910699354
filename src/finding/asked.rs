//! Where the answer to each fact is found, and how it is written: what somebody needs who goes and looks.

use super::Fact;
use crate::tables::words::Phrase;

/// Where one must go for a fact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Whereabouts {
    /// It is the site's own to decide.
    Decision,
    /// The nameplate of the equipment.
    Nameplate,
    /// The maker's data sheet.
    DataSheet,
    /// The marks printed or moulded on a cord and its couplers.
    Part,
    /// The panel that a circuit comes from.
    Panel,
    /// Papers of the installation: the cable schedule, the test certificate, the utility's letter.
    Papers,
    /// The room: seen, counted or measured there with a rule.
    Room,
    /// A meter.
    Meter,
}

impl Whereabouts {
    /// The place in plain words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Decision => "to decide",
            Self::Nameplate => "nameplate",
            Self::DataSheet => "data sheet",
            Self::Part => "marks on the part",
            Self::Panel => "panel",
            Self::Papers => "papers of the installation",
            Self::Room => "room",
            Self::Meter => "meter",
        }
    }
}

/// What is asked for by a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Where one must go.
    pub at: Whereabouts,
    /// What to read there.
    pub read: Phrase,
    /// An answer as it is written.
    pub like: &'static str,
}

/// One line of the list: whose key it is, and what it asks for.
type Line = (
    &'static str,
    &'static str,
    Whereabouts,
    &'static str,
    &'static str,
);

use Whereabouts::{DataSheet, Decision, Meter, Nameplate, Panel, Papers, Part, Room};

/// By kind of thing and key; a key within a bank, a leg or an inlet stands here without its name.
#[rustfmt::skip]
const ASKED: &[Line] = &[
    ("site", "practice", Decision, "which practice binds here", "iec"),
    ("site", "edition", Papers, "the edition of the wiring rules that the installation must keep to", "BS 7671:2018+A2:2022"),
    ("site", "country", Decision, "the country, by its two letters", "GB"),
    ("site", "ambient", Meter, "the hottest air at the cords", "30 °C"),
    ("site", "rcds.type", Panel, "the type of the residual current devices: their letters, or their sign", "A"),
    ("site", "critical-operations", Papers, "whether the site is a critical operations data system", "no"),
    ("site", "users", Decision, "who uses the sockets: ordinary, instructed or skilled people", "instructed"),
    ("site", "label", Decision, "the pattern that labels follow", "W-[0-9]{4}"),
    ("site", "routing", Decision, "lengths that cords take besides their way", "service-loop: 200 mm"),
    ("site", "voltage-drop", Decision, "how much of the voltage may be lost", "{circuit: 3 %, cord: 1 %, total: 5 %}"),
    ("site", "voltage-drop.circuit", Decision, "how much of the voltage may be lost along a circuit", "3 %"),
    ("site", "voltage-drop.cord", Decision, "how much of the voltage may be lost along a cord", "1 %"),
    ("site", "voltage-drop.total", Decision, "how much of the voltage may be lost altogether", "5 %"),
    ("site", "positions", Room, "where strips, outlets and devices are in their racks", ""),
    ("feed", "colour", Decision, "the jacket colour of the feed", "blue"),
    ("zone", "ambient", Meter, "the hottest air on the hot side of the racks", "35 °C"),
    ("zone", "users", Decision, "who uses the sockets there: ordinary, instructed or skilled people", "instructed"),
    ("zone", "vibration", Room, "what shakes the racks", "none"),
    ("zone", "retention", Decision, "whether every coupler must be held", "required"),
    ("zone", "wet", Room, "whether it is wet there", "no"),
    ("zone", "oil", Room, "whether oil reaches the cords", "no"),
    ("zone", "duty", Room, "how hard the cords are used", "ordinary"),
    ("zone", "air", Room, "what air the cords lie in", "room"),
    ("zone", "halogen-free", Decision, "whether cordage must be halogen-free", "required"),
    ("zone", "article-645", Papers, "whether the room meets every condition of NEC 645.4", "yes"),
    ("rack", "zone", Room, "the zone that the rack stands in", "hall"),
    ("rack", "depth", Room, "the depth of the rack", "1070 mm"),
    ("supply", "feed", Papers, "the feed that the supply makes", "A"),
    ("supply", "system", Nameplate, "phases, voltages and frequency", "3/N/PE ~ 400/230 V 50 Hz"),
    ("supply", "public", Papers, "whether it has the voltages and the frequency of the public supply; no where others are made on purpose", "no"),
    ("supply", "capacity", Nameplate, "what it can deliver", "40 kVA"),
    ("supply", "from", Papers, "the supply that it is fed from", "tr-1"),
    ("supply", "efficiency", DataSheet, "what it delivers of what it takes, at the load that it has; 100 % for a switchboard", "95 %"),
    ("supply", "recharge", DataSheet, "what it takes besides to charge its battery; 0 W where it has none", "4 kW"),
    ("supply", "input-power-factor", DataSheet, "the power factor at its input", "0.99"),
    ("supply", "fault-current", Papers, "the prospective fault current there: measured, or by the utility or the maker of the UPS", "6 kA"),
    ("supply", "earthing", Papers, "the kind of {earth}ing", "TN-S"),
    ("supply", "fault-current.prospective", Papers, "the prospective fault current there: measured, or by the utility or the maker of the UPS", "6 kA"),
    ("supply", "fault-current.largest", Papers, "the largest prospective fault current there: declared by the utility, or from the study", "16 kA"),
    ("supply", "fault-current.smallest", Papers, "the smallest prospective fault current there, which must open breakers: from the study or the data sheet", "1.2 kA"),
    ("supply", "fault-current.of", Papers, "whether the fault current was declared, computed or measured", "computed"),
    ("supply", "fault-current.lasts", DataSheet, "for how long the source drives a fault", "300 ms"),
    ("supply", "modes", Papers, "the modes that the supply runs in, with the fault current of each", "{bypass: {fault-current: 6 kA}}"),
    ("supply", "modes.fault-current", Papers, "the prospective fault current in this mode: from the study, or the maker of the UPS or generator", "6 kA"),
    ("supply", "modes.fault-current.prospective", Papers, "the prospective fault current in this mode: from the study, or the maker of the UPS or generator", "6 kA"),
    ("supply", "modes.fault-current.largest", Papers, "the largest fault current in this mode: from the study, or the maker of the UPS or generator", "6 kA"),
    ("supply", "modes.fault-current.smallest", Papers, "the smallest fault current in this mode, which must open breakers: from the study, or the maker of the UPS or generator", "54 A"),
    ("supply", "modes.fault-current.earth", DataSheet, "the largest current that the generator drives from a line to {earth}", "900 A"),
    ("supply", "modes.fault-current.of", Papers, "whether the fault current was declared, computed or measured", "computed"),
    ("supply", "modes.fault-current.lasts", DataSheet, "for how long the source drives a fault in this mode", "300 ms"),
    ("supply", "modes.earthing", Papers, "the kind of {earth}ing in this mode: whether the neutral stays bonded", "TN-S"),
    ("supply", "insulation-monitor", Panel, "whether an insulation monitor watches it and tells people of a first {earth} fault", "yes"),
    ("circuit", "from", Panel, "the supply that feeds the circuit", "ups-a"),
    ("circuit", "breaker.rating", Panel, "the rated current on the breaker", "16 A"),
    ("supply", "electrode", Papers, "the resistance of the {electrode}, by the test record", "20 ohm"),
    ("circuit", "breaker.instantaneous", DataSheet, "the current from which on the breaker is sure to open at once", "200 A"),
    ("circuit", "breaker.curve", Panel, "the letter before the rated current", "C"),
    ("circuit", "breaker.breaking-capacity", Panel, "its breaking capacity: the number in a box on it, in amperes, or the interrupting rating printed on it", "6 kA"),
    ("circuit", "breaker.let-through", DataSheet, "what the breaker lets through at the fault current", "12 kA²s"),
    ("circuit", "breaker.trip", Panel, "what opens the breaker on an overload", "thermal"),
    ("circuit", "breaker.calibrated-at", Panel, "the air in which the breaker carries its rated current", "40 °C"),
    ("circuit", "breaker.ambient", Meter, "the hottest air in the panel", "40 °C"),
    ("circuit", "rcd", Panel, "the {residual_rating}", "30 mA"),
    ("circuit", "rcd.rated", Panel, "the {residual_rating}", "30 mA"),
    ("circuit", "rcd.type", Panel, "the type of the residual current device: its letters, or its sign", "A"),
    ("circuit", "rcd.delay", Panel, "whether the residual current device bears an S in a square", "S"),
    ("circuit", "risk-assessment", Papers, "the paper in which it was weighed that the {socket} may do without a residual current device", "RA-2026-04"),
    ("circuit", "purpose", Decision, "whether the {socket} is for one piece of equipment alone, and marked so", "dedicated"),
    ("circuit", "receptacle", Room, "the kind of its {socket}", "IEC 60309 16 A 2P+E 6h"),
    ("circuit", "receptacle.coupler", Room, "the kind of its {socket}", "IEC 60309 16 A 2P+E 6h"),
    ("circuit", "receptacle.ip", Part, "the degree of protection marked on its {socket}", "IP44"),
    ("circuit", "receptacle-ip", Part, "the degree of protection marked on its {socket}", "IP44"),
    ("circuit", "receptacles", Room, "how many {socket}s the circuit has", "1"),
    ("circuit", "at-receptacle.fault-current", Papers, "the largest prospective fault current at the landlord's {socket}: measured, or by the landlord", "2.1 kA"),
    ("circuit", "at-receptacle.earth-loop", Papers, "the impedance of the {earth}-fault loop at the landlord's {socket}: measured, or by the landlord", "0.6 ohm"),
    ("circuit", "at-receptacle.voltage", Meter, "the voltage at the landlord's {socket} under the contracted current", "228 V"),
    ("circuit", "at-receptacle.contracted", Papers, "the current that the contract with the landlord allows", "12 A"),
    ("circuit", "wiring.conductor", Papers, "the size of the conductors", "4 mm²"),
    ("circuit", "wiring.length", Papers, "the length of the wiring", "15 m"),
    ("circuit", "wiring.terminals", Part, "what breaker and {socket} are both marked for at their terminals", "75 °C"),
    ("circuit", "wiring.insulation", Papers, "the insulation of the wiring", "pvc-70"),
    ("PDU model", "plug", Part, "the plug of the strip", "IEC 60309 16 A 2P+E 6h"),
    ("PDU model", "fuse", Part, "the rating of the fuse in the plug of the strip", "13 A"),
    ("PDU model", "rating", Nameplate, "the rated current of the strip", "16 A"),
    ("PDU model", "ambient-limit", DataSheet, "the hottest air that its maker allows", "45 °C"),
    ("PDU model", "cord.conductor", Part, "the size printed on its input cord", "2.5 mm²"),
    ("PDU model", "cord.cordage", Part, "the kind of cord printed on its input cord", "H05VV-F"),
    ("PDU model", "cord.listed", Nameplate, "whether the strip is listed with its cord and plug, and both are as they came", "yes"),
    ("PDU model", "cord.length", Room, "the length of its input cord", "3 m"),
    ("PDU model", "retention", Part, "what holds its plug", "none"),
    ("PDU model", "banks.breaker", Nameplate, "whether the bank has a breaker of its own, and its rated current; if the strip has none at all, write breakers: none", "16 A"),
    ("PDU model", "breakers", Nameplate, "whether the strip has breakers of its own", "none"),
    ("PDU model", "banks.breaker.rating", Nameplate, "the rated current of the bank's breaker", "16 A"),
    ("PDU model", "banks.breaker.instantaneous", DataSheet, "the current from which on the bank's breaker is sure to open at once", "200 A"),
    ("PDU model", "banks.breaker.curve", DataSheet, "the curve of the bank's breaker", "C"),
    ("PDU model", "banks.breaker.breaking-capacity", DataSheet, "what the bank's breaker can break", "6 kA"),
    ("PDU model", "banks.breaker.trip", DataSheet, "what opens the bank's breaker on an overload", "thermal"),
    ("PDU model", "banks.breaker.calibrated-at", DataSheet, "the air in which the bank's breaker carries its rated current", "40 °C"),
    ("PDU model", "banks.breaker.ambient", Meter, "the hottest air at the bank's breaker", "45 °C"),
    ("PDU model", "banks.selective", DataSheet, "whether the bank's breaker opens alone", "yes"),
    ("PDU model", "banks.selective-up-to", DataSheet, "up to which fault current the bank's breaker opens alone, by the maker's table for the device ahead", "1.2 kA"),
    ("PDU model", "banks.breaker.let-through", DataSheet, "what the bank's breaker lets through at the fault current", "12 kA²s"),
    ("PDU model", "outlet-pitch", Room, "from one outlet to the next", "28 mm"),
    ("PDU model", "first-outlet", Room, "from the foot of the strip to its first outlet", "60 mm"),
    ("PDU model", "outlet-earth", Room, "where the {earth} contacts lie, the foot at the bottom", "left"),
    ("PDU", "model", Room, "the model of the strip", "strip-16"),
    ("PDU", "rack", Room, "the rack that it is in", "r1"),
    ("PDU", "from", Room, "what it is plugged into", "A-1"),
    ("PDU", "mount", Room, "where it is mounted", "{side: rear-left, foot: U2}"),
    ("PDU", "mount.foot", Room, "the rack unit of its foot", "U2"),
    ("PDU", "mount.side", Room, "the side of the rack, seen from behind", "rear-left"),
    ("device model", "rating", Nameplate, "watts, volt-amperes or amperes", "750 W"),
    ("device model", "power-factor", DataSheet, "the power factor at the load it runs at", "0.95"),
    ("device model", "voltage", Nameplate, "the range of voltage", "100–240 V"),
    ("device model", "class", Nameplate, "two squares, one in the other, are class II; else class I", "I"),
    ("device model", "inlets-needed", DataSheet, "how many power supplies carry it", "1"),
    ("device model", "inlets.capacity", Nameplate, "what the power supply behind the inlet delivers", "800 W"),
    ("device model", "outlets.inlet", DataSheet, "the inlet whose power the outlet passes on", "psu1"),
    ("device model", "transfer.kind", Nameplate, "whether it transfers by itself", "automatic"),
    ("device model", "transfer.time", DataSheet, "the longest time without voltage while it transfers", "12 ms"),
    ("device model", "ride-through", DataSheet, "the hold-up time of its power supply at the load it runs at", "10 ms"),
    ("device model", "outlets.breaker", DataSheet, "the breaker or fuse that the equipment has ahead of the outlet", "10 A"),
    ("device model", "outlets.rating", Nameplate, "what may be drawn from the outlet, marked beside it", "3 A"),
    ("device model", "earth-current", DataSheet, "the {standing_current} of each inlet", "0.75 mA"),
    ("device model", "inrush", DataSheet, "the peak inrush current of each inlet", "30 A"),
    ("device model", "third-harmonic", DataSheet, "the third harmonic of its current, in percent of it", "10 %"),
    ("device model", "height", DataSheet, "its height", "2 U"),
    ("device model", "rail-travel", Room, "how far it slides out", "700 mm"),
    ("device", "model", Room, "the model of the device", "node"),
    ("device", "draw", Meter, "its load at the highest, all its cords together", "420 W"),
    ("device", "measured", Meter, "the day on which its draw was measured", "2026-11-20"),
    ("device", "rack", Room, "the rack that it is in", "r1"),
    ("device", "zone", Room, "the zone that it stands in", "hall"),
    ("device", "critical", Decision, "whether people depend on it", "yes"),
    ("device", "at", Room, "the lowest rack unit that it takes", "U12"),
    ("device", "inlets.feed", Decision, "the feed that the inlet must be on", "A"),
    ("cord type", "length", Part, "its length from plug to connector", "2 m"),
    ("cord type", "conductor", Part, "the size printed on the jacket", "1.0 mm²"),
    ("cord type", "cordage", Part, "the kind of cord printed on the jacket", "H05VV-F"),
    ("cord type", "cores", Part, "how many cores the cordage has", "3"),
    ("cord type", "rating", Part, "the rated current moulded on the connector", "10 A"),
    ("cord type", "approvals", Part, "the marks on plug, connector and jacket", "[BSI]"),
    ("cord type", "colour", Part, "the colour of the jacket", "blue"),
    ("cord type", "fuse", Part, "the rating of the fuse in the plug", "13 A"),
    ("cord type", "retention", Part, "what holds its ends", "{connector: none}"),
    ("cord type", "stand-out.connector", Room, "from the back of the device to the outside of the bend", "60 mm"),
    ("cord type", "legs.length", Part, "the length of the leg", "0.5 m"),
    ("cord type", "legs.conductor", Part, "the size printed on the leg", "1.0 mm²"),
    ("cord type", "legs.cordage", Part, "the kind of cord printed on the leg", "H05VV-F"),
    ("cord", "type", Room, "the type of the cord", "c13-2m"),
    ("cord", "length", Room, "its length from plug to connector", "2 m"),
    ("cord", "surplus", Room, "how its surplus lies", "coiled"),
    ("cord", "from", Room, "the outlet that it is plugged into", "pdu-a/3"),
    ("cord", "to", Room, "what it feeds", "rec-1/psu1"),
];

impl Fact {
    /// Where its answer is found, and how it is written; `None` for a key that no rule asks for.
    pub fn asked(&self) -> Option<Asked> {
        let mut lines = ASKED.iter();
        let line = lines.find(|(kind, key, ..)| *kind == self.kind && *key == self.key);
        line.map(|&(_, _, at, read, like)| Asked {
            at,
            read: Phrase::new(read),
            like,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::words::Words;

    #[test]
    fn what_is_asked_for_names_words_only() {
        for (kind, key, _, read, _) in ASKED {
            let said = Phrase::new(read).said_in(Words::of(None));
            assert!(!said.contains('{'), "{kind} {key}: {said}");
        }
    }
}
