//! What is only planned is planned anew, and what hangs or is on its way stays.

use super::hall::Hall;
use crate::world::World;

fn cords(text: &str) -> Vec<&str> {
    let lines = text.lines().filter(|line| line.contains("from: r1-"));
    lines.collect()
}

#[test]
fn a_plan_is_made_anew_around_what_hangs() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let world = World::with(&[("site/cordwright.yaml", &hall.yaml())]);
    let ended = world.run(&["specify", "site", "--write"]);
    assert_eq!(ended.code, Some(0), "{}{}", ended.output, ended.errors);
    let path = world.at("site/cordwright.yaml");
    let text = std::fs::read_to_string(&path).unwrap();
    let planned = cords(&text);
    assert_eq!(planned.len(), 26);
    // One of them hangs by now, and a device draws more.
    let hangs = planned[3].replace("to-fit", "fitted");
    let text = text.replace(planned[3], &hangs);
    let text = text.replacen("draw: 150 W", "draw: 290 W", 1);
    std::fs::write(&path, &text).unwrap();
    // Without --all there is nothing to plan.
    let ended = world.run(&["specify", "site", "--write"]);
    assert_eq!(ended.code, Some(0));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    let ended = world.run(&["specify", "site", "--all", "--write"]);
    assert_eq!(ended.code, Some(0), "{}{}", ended.output, ended.errors);
    let anew = std::fs::read_to_string(&path).unwrap();
    assert_eq!(cords(&anew).len(), 26);
    assert!(anew.contains(&hangs), "{anew}");
    // Inlets that never had a cord keep nobody from writing the others anew.
    let far = "racks: {r9: {height: 42 U}}\ndevices: {far: {model: node-1u, rack: r9, at: U1, draw: 10 W}}\n";
    std::fs::write(world.at("site/far.yaml"), far).unwrap();
    let ended = world.run(&["specify", "site", "--all", "--write"]);
    assert_eq!(ended.code, Some(1), "{}{}", ended.output, ended.errors);
    assert!(ended.output.contains("Written into"), "{}", ended.output);
    std::fs::remove_file(world.at("site/far.yaml")).unwrap();
    let check = world.run(&["check", "site"]);
    assert_eq!(check.code, Some(0), "{}", check.output);
    // Of one device alone.
    let ended = world.run(&["specify", "site", "--all", "--device", "d-1-02"]);
    assert!(
        ended.output.contains("d-1-02") && !ended.output.contains("d-1-03"),
        "{}",
        ended.output
    );
}

/// A plan that would leave inlets bare that have planned cords is not written.
#[test]
fn a_worse_plan_does_not_take_the_place_of_another() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let world = World::with(&[("site/cordwright.yaml", &hall.yaml())]);
    world.run(&["specify", "site", "--write"]);
    let path = world.at("site/cordwright.yaml");
    let text = std::fs::read_to_string(&path).unwrap();
    // Nobody offers anything that could take the place of what is planned.
    let text = text
        .replace("c14-c13-10a", "old")
        .replace("c20-c19-16a", "big")
        + "cord-makes: {m: {plug: C14, connector: C13, conductor: 1.0 mm²}}\noffers: {O-1: {make: m, lengths: [9 m]}}\n";
    let text = text
        .replace("colour: blue, approvals", "colour: grey, approvals")
        .replace("colour: blue}", "colour: grey}");
    let text = text.replace("feeds: {A: {colour: grey}", "feeds: {A: {colour: blue}");
    std::fs::write(&path, &text).unwrap();
    let ended = world.run(&["specify", "site", "--all", "--write"]);
    assert_ne!(ended.code, Some(0), "{}{}", ended.output, ended.errors);
    assert!(
        ended.errors.contains("nothing is written") && ended.errors.contains("that had a cord"),
        "{}{}",
        ended.output,
        ended.errors
    );
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
}
