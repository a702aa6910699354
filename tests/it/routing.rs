//! Ways of cords, computed by hand, turned about, and at their limits.

use cordwright::finding::{Finding, Level, Verdict};
use cordwright::input::SiteInput;
use cordwright::judgement::{Settings, Site};
use cordwright::quantity::InUnits;
use proptest::prelude::*;

use crate::site::{judged_with, today};

/// A site of one rack, one strip, one device of 2 U and one cord.
#[derive(Clone, Copy, Debug)]
struct Rack {
    routing: &'static str,
    side: &'static str,
    foot: &'static str,
    outlet: u32,
    at: u32,
    inlet_side: Option<&'static str>,
    rail_travel: Option<&'static str>,
    length: &'static str,
}

const HOUSE: &str = "{service-loop: 120 mm, connector-bend: 90 mm, cross-run: 280 mm, rail-slack: 150 %, surplus: 300 mm}";

const PLAIN: Rack = Rack {
    routing: HOUSE,
    side: "rear-left",
    foot: "U3",
    outlet: 4,
    at: 20,
    inlet_side: None,
    rail_travel: None,
    length: "2 m",
};

impl Rack {
    fn text(&self) -> String {
        let Self {
            routing,
            side,
            foot,
            outlet,
            at,
            length,
            ..
        } = self;
        let inlet = match self.inlet_side {
            Some(side) => format!("{{coupler: C14, side: {side}}}"),
            None => "C14".into(),
        };
        let rails = self
            .rail_travel
            .map_or_else(String::new, |travel| format!("rail-travel: {travel}, "));
        format!(
            "site: {{practice: iec, country: GB, ambient: 25 °C, routing: {routing}}}
zones: {{hall: {{air: room}}}}
racks: {{r1: {{zone: hall, width: 700 mm, depth: 1000 mm}}}}
supplies: {{u: {{system: 3/N/PE ~ 400/230 V 50 Hz}}}}
circuits: {{A: {{from: u, poles: [L1, N], breaker: 16 A, receptacle: IEC 60309 16 A 2P+E 6h}}}}
pdu-models:
  strip: {{plug: IEC 60309 16 A 2P+E 6h, rating: 16 A, outlet-pitch: 30 mm, first-outlet: 50 mm,
    banks: {{B1: {{between: L1-N, outlets: {{1-12: C13}}}}}}}}
pdus: {{p: {{model: strip, rack: r1, from: A, mount: {{side: {side}, foot: {foot}}}}}}}
device-models: {{box: {{height: 2 U, {rails}inlets: {{psu: {inlet}}}}}}}
devices: {{d: {{model: box, rack: r1, at: U{at}}}}}
cord-types: {{t: {{plug: C14, connector: C13, conductor: 1 mm², length: {length}}}}}
cords: {{W: {{type: t, from: p/{outlet}, to: d/psu}}}}
"
        )
    }

    /// Length of the way, in millimetres.
    fn way(&self) -> f64 {
        let files = vec![("cordwright.yaml".to_owned(), self.text().into_bytes())];
        let site = Site::read(SiteInput {
            files,
            ..SiteInput::default()
        });
        let analysis = site.analysis(today());
        let (cord, _) = analysis.model.cords.iter().next().expect("a cord");
        let end = analysis.graph.links.cord_ends(cord)[0].at;
        let route = analysis.route(cord, end).expect("a cord in one rack");
        route
            .expect("everything is given")
            .length()
            .in_millimetres()
    }

    /// What a rule says of the site.
    fn says(&self, rule: &str) -> Vec<Finding> {
        let mut settings = Settings::on(today());
        settings.only = vec![rule.to_owned()];
        judged_with(
            &vec![("cordwright.yaml".to_owned(), self.text())],
            &settings,
        )
        .findings
    }
}

fn assert_near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-6, "{found} is not {expected}");
}

/// Outlet 4: (3 − 1) × 44.45 + 50 + 3 × 30 = 228.9 mm above the foot of U1.
/// Inlet at U20, 2 U high: (20 − 1 + 2 ÷ 2) × 44.45 = 889.0 mm.
/// Up: 889.0 − 228.9 = 660.1 mm. Across: 280 mm. Connectors: 2 × 90 = 180 mm. Loop: 120 mm.
/// Sum: 660.1 + 280 + 180 + 120 = 1240.1 mm.
#[test]
fn a_way_computed_by_hand() {
    assert_near(PLAIN.way(), 1240.1);
}

/// As above, with 600 mm of travel × 150 % = 900 mm more.
#[test]
fn rails_take_their_slack() {
    let sliding = Rack {
        rail_travel: Some("600 mm"),
        ..PLAIN
    };
    assert_near(sliding.way(), 1240.1 + 900.0);
}

/// A rack of 700 mm, a panel of 482.6 mm: its edges lie (700 − 482.6) ÷ 2 = 108.7 mm and 591.3 mm from
/// the left. From a strip on the left edge: 108.7, 350 or 591.3 mm instead of the 280 mm of the house.
#[test]
fn the_side_of_the_inlet_counts_before_the_figure_of_the_house() {
    for (side, across) in [("left", 108.7), ("middle", 350.0), ("right", 591.3)] {
        let rack = Rack {
            inlet_side: Some(side),
            ..PLAIN
        };
        assert_near(rack.way(), 1240.1 - 280.0 + across);
    }
}

#[test]
fn left_and_right_are_alike_when_both_are_turned() {
    for (side, mirrored) in [("left", "right"), ("middle", "middle"), ("right", "left")] {
        let rack = Rack {
            inlet_side: Some(side),
            ..PLAIN
        };
        let mirror = Rack {
            side: "rear-right",
            inlet_side: Some(mirrored),
            ..PLAIN
        };
        assert_near(rack.way(), mirror.way());
        // In front, left and right change places seen from behind, and the depth of 1 m is added.
        let front = Rack {
            side: "front-right",
            ..rack
        };
        assert_near(front.way(), rack.way() + 1000.0);
    }
}

/// Outlet 1 of a strip with its foot at U13 is at 12 × 44.45 + 50 = 583.4 mm, 305.6 mm below the inlet
/// at 889.0 mm; with its foot at U27 it is at 26 × 44.45 + 50 = 1205.7 mm, 316.7 mm above it.
#[test]
fn up_and_down_are_alike() {
    let below = Rack {
        outlet: 1,
        foot: "U13",
        ..PLAIN
    };
    let above = Rack {
        outlet: 1,
        foot: "U27",
        ..PLAIN
    };
    assert_near(below.way(), 305.6 + 580.0);
    assert_near(above.way(), 316.7 + 580.0);
}

/// Half units: U3.5 is 22.225 mm above U3.
#[test]
fn half_units_count() {
    let half = Rack {
        foot: "U3.5",
        ..PLAIN
    };
    assert_near(half.way(), 1240.1 - 22.225);
}

/// Across the rack: outlet 4 is half a unit up, 50 + 90 = 140 mm along a panel that begins 108.7 mm from
/// the left, so 248.7 mm; the inlet in the middle is at 350 mm. Up: 889.0 − 2.5 × 44.45 = 777.875.
#[test]
fn a_strip_across_the_rack() {
    let lying = Rack {
        side: "horizontal",
        inlet_side: Some("middle"),
        ..PLAIN
    };
    assert_near(lying.way(), 777.875 + (350.0 - 248.7) + 180.0 + 120.0);
}

/// The defaults are those that the page gives: 350 mm to the middle of a rack of 700 mm, 2 × 100 mm,
/// 150 mm, and 120 % of the travel.
#[test]
fn what_the_site_leaves_out_is_common_practice_and_no_error() {
    let bare = Rack {
        routing: "{surplus: 300 mm}",
        rail_travel: Some("500 mm"),
        length: "1.2 m",
        ..PLAIN
    };
    assert_near(bare.way(), 660.1 + 350.0 + 200.0 + 150.0 + 600.0);
    let said = bare.says("cord-too-short");
    assert_eq!(said.len(), 1);
    assert_eq!(
        (said[0].level, said[0].verdict),
        (Level::Warning, Verdict::Broken)
    );
    // 0.66 m is below the height alone, which no allowance can mend.
    let hopeless = Rack {
        length: "0.66 m",
        ..bare
    };
    assert_eq!(hopeless.says("cord-too-short")[0].level, Level::Error);
}

#[test]
fn a_cord_as_long_as_its_way_is_long_enough() {
    for (length, found) in [
        ("1240.1 mm", 0),
        ("1240.09 mm", 1),
        ("1240.11 mm", 0),
        ("1.25 m", 0),
        ("1.24 m", 1),
    ] {
        let said = Rack { length, ..PLAIN }.says("cord-too-short");
        assert_eq!(said.len(), found, "{length}");
        assert!(said.iter().all(|finding| finding.level == Level::Error));
    }
}

/// The site allows 300 mm over 1240.1 mm.
#[test]
fn a_surplus_at_its_limit_is_allowed() {
    for (length, found) in [
        ("1540.1 mm", 0),
        ("1540.09 mm", 0),
        ("1540.11 mm", 1),
        ("2 m", 1),
    ] {
        let said = Rack { length, ..PLAIN }.says("cord-too-long");
        assert_eq!(said.len(), found, "{length}");
    }
    let silent = Rack {
        routing: "{service-loop: 120 mm}",
        length: "5 m",
        ..PLAIN
    };
    assert!(silent.says("cord-too-long").is_empty());
}

proptest! {
    /// A device that moves away from its outlet never needs a shorter cord, whatever else holds.
    #[test]
    fn moving_a_device_further_never_shortens_its_way(
        outlet in 1u32..=12,
        near in 1u32..=40,
        far in 1u32..=40,
        side in prop::sample::select(vec!["rear-left", "rear-right", "front-left", "horizontal"]),
        inlet_side in prop::option::of(prop::sample::select(vec!["left", "middle", "right"])),
        rail_travel in prop::option::of(Just("400 mm")),
    ) {
        let rack = Rack { foot: "U20", outlet, side, inlet_side, rail_travel, ..PLAIN };
        // How far half of 2 U at `at` is from the outlet, in millimetres, by the definition.
        let along = if side == "horizontal" { 22.225 } else { 50.0 + 30.0 * f64::from(outlet - 1) };
        let apart = |at: u32| (f64::from(at) * 44.45 - (19.0 * 44.45 + along)).abs();
        let (near, far) = if apart(near) <= apart(far) { (near, far) } else { (far, near) };
        let way = |at: u32| Rack { at, ..rack }.way();
        prop_assert!(way(near) <= way(far) + 1e-9);
        prop_assert!((way(far) - way(near) - (apart(far) - apart(near))).abs() < 1e-6);
    }
}

/// Devices of two racks, each with its model and place; who shares units with whom, and who is meant.
fn sharing(devices: &[(&str, &str)]) -> Vec<Vec<String>> {
    let mut text = "site: {practice: iec, country: GB, ambient: 25 °C}
zones: {hall: {air: room}}
racks: {r1: {zone: hall}, r2: {zone: hall}}
device-models: {low: {height: 1 U, inlets: {}}, high: {height: 2 U, inlets: {}}, half: {height: 1.5 U, inlets: {}}, vague: {inlets: {}}}
devices:
"
    .to_owned();
    for (name, rest) in devices {
        text.push_str(&format!("  {name}: {{{rest}}}\n"));
    }
    let mut settings = Settings::on(today());
    settings.only = vec!["space-shared".to_owned()];
    let said = judged_with(&vec![("cordwright.yaml".to_owned(), text)], &settings).findings;
    let about = said.iter().map(|finding| {
        assert_eq!(finding.level, Level::Note);
        assert_eq!(finding.verdict, Verdict::Broken);
        finding.about.iter().map(ToString::to_string).collect()
    });
    about.collect()
}

/// Units are counted by hand: `at` is the lowest, so 2 U from U10 take U10 and U11.
#[test]
fn units_of_a_rack_are_taken_once() {
    let high = ("a", "model: high, rack: r1, at: U10");
    let nobody: Vec<Vec<String>> = Vec::new();
    for (other, shares) in [
        ("model: low, rack: r1, at: U9", false),
        ("model: high, rack: r1, at: U9", true),
        ("model: half, rack: r1, at: U8.5", false),
        ("model: half, rack: r1, at: U9", true),
        ("model: low, rack: r1, at: U10", true),
        ("model: low, rack: r1, at: U11", true),
        ("model: low, rack: r1, at: U12", false),
        ("model: low, rack: r2, at: U10", false),
        // A unit is taken for sure; more is not known.
        ("model: vague, rack: r1, at: U11", true),
        ("model: vague, rack: r1, at: U9", false),
        ("model: unheard-of, rack: r1, at: U10", true),
        // Nobody knows where these stand.
        ("model: low, rack: r1", false),
        ("model: low, at: U10", false),
        ("model: low, rack: r9, at: U10", false),
    ] {
        let said = sharing(&[high, ("b", other)]);
        assert_eq!(!said.is_empty(), shares, "{other}: {said:?}");
    }
    // A tall device below does not hide the next behind a low one.
    let chain = [
        ("a", "model: high, rack: r1, at: U10"),
        ("b", "model: low, rack: r1, at: U10"),
        ("c", "model: low, rack: r1, at: U11"),
        ("d", "model: low, rack: r1, at: U12"),
    ];
    assert_eq!(sharing(&chain), [["c", "a", "b"]]);
    assert_eq!(sharing(&[]), nobody);
}
