//! The way of a cord from outlet to inlet, measured anew from what the definitions say.

use super::Maker;
use super::strips::Strip;
use super::tree::Node;

/// Height of a rack unit, in millimetres (EIA-310).
const UNIT: f64 = 44.45;
/// Width of a 19-inch panel, in millimetres (EIA-310).
const PANEL: f64 = 482.6;

/// Millimetres of a length as written.
pub fn millimetres(length: &Node) -> f64 {
    let factor = match length.text().split(' ').nth(1).unwrap() {
        "m" => 1000.0,
        "cm" => 10.0,
        "mm" => 1.0,
        other => panic!("{other}"),
    };
    length.number() * factor
}

fn unit(place: &Node) -> f64 {
    place.text().trim_start_matches('U').parse().unwrap()
}

impl Maker {
    /// Millimetres that a cord must have from an outlet of a strip to a device.
    pub fn way(
        &self,
        strip: &Strip,
        place: usize,
        device: &str,
        side: Option<&str>,
        rails: Option<f64>,
    ) -> f64 {
        let routing = self.house.routing;
        let mount = self.site.at(&["pdus", &strip.name, "mount"]).unwrap();
        let mounted = mount.get("side").unwrap().text();
        let lies = mounted == "horizontal";
        let along = self.along(strip, place);
        let foot = unit(mount.get("foot").unwrap()) - 1.0;
        let outlet = if lies {
            (foot + 0.5) * UNIT
        } else {
            foot * UNIT + along
        };
        let item = self.site.at(&["devices", device]).unwrap();
        let model = item.get("model").unwrap().text();
        let tall = self
            .site
            .at(&["device-models", model, "height"])
            .unwrap()
            .number();
        let inlet = (unit(item.get("at").unwrap()) - 1.0 + tall / 2.0) * UNIT;
        let rack = self.site.at(&["racks", &strip.rack]).unwrap();
        let width = millimetres(rack.get("width").unwrap());
        let column = match mounted {
            "rear-left" | "front-right" => 0.0,
            "horizontal" => (width - PANEL) / 2.0 + along,
            _ => width,
        };
        let level = match (side, routing.cross_run) {
            (Some("left"), _) => (column - (width - PANEL) / 2.0).abs(),
            (Some("middle"), _) => (column - width / 2.0).abs(),
            (Some(_), _) => (column - (width + PANEL) / 2.0).abs(),
            (None, Some(cross_run)) => cross_run,
            (None, None) => (column - width / 2.0).abs(),
        };
        let depth = if mounted.starts_with("front") {
            millimetres(rack.get("depth").unwrap())
        } else {
            0.0
        };
        let rails = rails.map_or(0.0, |travel| travel * routing.rail_slack);
        (outlet - inlet).abs()
            + level
            + depth
            + 2.0 * routing.connector_bend
            + routing.service_loop
            + rails
    }

    fn along(&self, strip: &Strip, place: usize) -> f64 {
        let model = self
            .site
            .at(&["pdus", &strip.name, "model"])
            .unwrap()
            .text();
        let model = self.site.at(&["pdu-models", model]).unwrap();
        let length = |key: &str| millimetres(model.get(key).unwrap());
        length("first-outlet") + length("outlet-pitch") * place as f64
    }
}
