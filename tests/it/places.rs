//! Where a finding is told: at its cause, and for whoever suffers it, in whichever file that lies.

use crate::pages::bases;
use crate::world::World;

const TYPES: &str = "\
cord-types:
  thin: {plug: C14, connector: C13, cordage: H05VV-F, conductor: 0.5 mm², length: 2 m, colour: blue, approvals: [BSI], retention: {plug: none, connector: none}}
";
const MODELS: &str = "\
device-models:
  lamp: {class: I, voltage: 100–240 V, rating: 100 W, power-factor: 0.95, earth-current: 0.5 mA, inlets: {in: C14}, height: 1 U}
";
const DEVICES: &str = "\
devices:
  lamp-1: {model: lamp, rack: r1, at: U4, draw: 90 W, measured: 2026-11-01}
";
const CORDS: &str = "\
cords:
  W-1: {type: thin, from: pdu-a/1, to: lamp-1/in}
";

fn world() -> World {
    let base = &bases()["base-iec.yaml"];
    World::with(&[
        ("cordwright.yaml", base),
        ("types.yaml", TYPES),
        ("models.yaml", MODELS),
        ("devices.yaml", DEVICES),
        ("cords.yaml", CORDS),
    ])
}

#[test]
fn a_fault_of_a_type_is_told_for_the_file_of_its_cord_and_for_no_other() {
    let world = world();
    let told = |file: &str| {
        world
            .run(&["check", file, "--format", "lines", "--on", "2026-11-28"])
            .output
    };
    for file in ["types.yaml", "cords.yaml"] {
        let lines = told(file);
        assert!(
            lines.contains("[conductor-below-minimum]"),
            "{file}: {lines}"
        );
        assert!(lines.starts_with("types.yaml:2:"), "{file}: {lines}");
    }
    for file in ["devices.yaml", "models.yaml"] {
        let lines = told(file);
        assert!(
            !lines.contains("conductor-below-minimum"),
            "{file}: {lines}"
        );
    }
}

#[test]
fn the_file_of_a_cord_has_not_passed_where_its_type_is_at_fault() {
    let xml = world().run(&["check", "--format", "junit"]).output;
    let suite = |name: &str| {
        let (_, rest) = xml
            .split_once(&format!("<testsuite name=\"{name}\""))
            .expect("a suite");
        rest.split_once("</testsuite>")
            .expect("its end")
            .0
            .to_owned()
    };
    let (types, cords) = (suite("types.yaml"), suite("cords.yaml"));
    assert_eq!(types.matches("<failure").count(), 1, "{types}");
    assert!(
        !cords.contains("<failure") && !cords.contains("nothing found"),
        "{cords}"
    );
    assert!(
        cords.contains("<skipped") && cords.contains("the cause is at types.yaml:2"),
        "{cords}"
    );
}
