//! Catalogues that sites share: read with each, told of once, and never read where they may not lie.

use std::process::Command as Program;

use serde_json::Value;

use crate::world::World;

/// A site in a folder of its own that fits cords of a shared type; its other parts are sound.
const SITE: &str = "\
site:
  name: NAME
  practice: iec
  country: GB
  ambient: 25 °C
  files: {catalogues: [../catalogue]}
supplies:
  ups: {system: 1/N/PE ~ 230 V 50 Hz, capacity: 10 kVA, fault-current: 3 kA, earthing: TN-S}
zones:
  hall: {ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}
circuits:
  A-1:
    from: ups
    poles: [L1, N]
    breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}
    wiring: {conductor: 2.5 mm², length: 10 m, insulation: pvc-70}
    receptacle: IEC 60309 16 A 1P+N+E 6h
racks:
  R1: {zone: hall, height: 42 U, width: 600 mm, depth: 1000 mm}
pdus:
  P1: {model: upright, rack: R1, from: A-1, mount: {side: rear-left, foot: U2, head: U20}}
devices:
  D1: {model: server, rack: R1, at: U4, draw: 220 W}
cords:
  W-1: {type: short, from: P1/1, to: D1/psu}
";

/// Strips, equipment and cords for all of them, and a type that neither uses.
pub const CATALOGUE: &str = "\
pdu-models:
  upright:
    plug: IEC 60309 16 A 1P+N+E 6h
    rating: 16 A
    cord: {cordage: H05VV-F, conductor: 2.5 mm², length: 3 m}
    outlet-pitch: 28 mm
    first-outlet: 60 mm
    banks:
      B1: {between: L1-N, breaker: {rating: 10 A, curve: C, breaking-capacity: 6 kA, let-through: 9000 A²s}, outlets: {1-8: C13}}
device-models:
  server:
    height: 1 U
    class: I
    voltage: 100–240 V
    rating: 400 W
    power-factor: 0.97
    earth-current: 0.5 mA
    third-harmonic: 10 %
    inlets: {psu: C14}
    inlets-needed: 1
cord-types:
  short: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, approvals: [BSI]}
  spare: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 3 m, rating: 10 A, approvals: [BSI]}
";

/// The catalogue with a conductor that no cord may have.
fn thin() -> String {
    CATALOGUE.replacen("conductor: 1.0 mm²", "conductor: 0.5 mm²", 1)
}

/// Two sites that share one catalogue.
pub fn world(catalogue: &str) -> World {
    let [quay, tower] = ["Quay", "Tower"].map(|name| SITE.replace("NAME", name));
    World::with(&[
        ("sites/quay/cordwright.yaml", &quay),
        ("sites/tower/cordwright.yaml", &tower),
        ("sites/catalogue/all.yaml", catalogue),
    ])
}

fn lines(world: &World, words: &[&str], code: i32) -> String {
    let words = [&["check", "--format", "lines", "--on", "2026-11-25"], words].concat();
    world.run(&words).expect(code)
}

fn commit(world: &World) {
    let git = |words: &[&str]| {
        let name = ["-c", "user.name=N", "-c", "user.email=n@n"];
        let mut git = Program::new("git");
        let ended = git
            .current_dir(world.at("."))
            .args(name)
            .args(words)
            .output();
        assert!(ended.unwrap().status.success(), "{words:?}");
    };
    git(&["init", "-q", "-b", "main"]);
    git(&["add", "-A"]);
    git(&["commit", "-q", "-m", "a"]);
}

/// The site of the quay alone, with these folders for catalogues.
fn naming(catalogues: &str) -> String {
    SITE.replace("[../catalogue]", catalogues)
}

#[test]
fn two_sound_sites_share_a_catalogue_in_silence() {
    let world = world(CATALOGUE);
    assert_eq!(lines(&world, &["sites"], 0), "");
    // What is not used at one site is there for others.
    assert_eq!(lines(&world, &["sites/quay"], 0), "");
}

#[test]
fn a_fault_in_a_catalogue_is_told_once_with_the_sites_that_suffer_it() {
    let world = world(&thin());
    let told = lines(&world, &["sites"], 1);
    let own: Vec<&str> = told
        .lines()
        .filter(|line| line.contains("all.yaml"))
        .collect();
    let main: Vec<&&str> = own.iter().filter(|line| line.ends_with(']')).collect();
    assert!(!main.is_empty(), "{told}");
    for line in &main {
        assert!(line.starts_with("sites/catalogue/all.yaml:"), "{line}");
        assert!(line.contains("(sites/quay and sites/tower) ["), "{line}");
    }
    let mut once = main.clone();
    once.dedup();
    assert_eq!(once, main);
    let text = world
        .run(&["check", "sites", "--on", "2026-11-25"])
        .expect(1);
    assert!(
        text.contains("Suffer it  sites/quay and sites/tower"),
        "{text}"
    );
}

#[test]
fn programs_get_it_at_every_site_and_no_address_climbs() {
    let world = world(&thin());
    let json = world.run(&["check", "sites", "--format", "json"]).expect(1);
    let json: Value = serde_json::from_str(&json).unwrap();
    for site in json["sites"].as_array().unwrap() {
        let findings = site["findings"].as_array().unwrap();
        let shared = findings
            .iter()
            .filter(|f| f["sites"].as_array().unwrap().len() == 2);
        assert!(shared.count() > 0, "{site}");
    }
    for (words, base) in [
        (["check", "sites"], "WORKING-FOLDER"),
        (["check", "sites/quay"], "WORKING-FOLDER"),
    ] {
        let sarif = world
            .run(&[&words[..], &["--format", "sarif"]].concat())
            .expect(1);
        assert!(
            sarif.contains("\"uri\": \"sites/catalogue/all.yaml\""),
            "{sarif}"
        );
        assert!(sarif.contains(base) && !sarif.contains("../"), "{sarif}");
    }
    let mut inside = world.command(&["check", "--format", "sarif"]);
    let inside = crate::world::ended(inside.current_dir(world.at("sites/quay"))).expect(1);
    assert!(
        inside.contains("ABOVE-1") && inside.contains("\"catalogue/all.yaml\""),
        "{inside}"
    );
    let junit = world
        .run(&["check", "sites", "--format", "junit"])
        .expect(1);
    assert!(
        junit.contains("testsuite name=\"sites/catalogue/all.yaml\""),
        "{junit}"
    );
}

#[test]
fn a_file_of_a_catalogue_judges_the_sites_that_read_it() {
    let world = world(&thin());
    let all = lines(&world, &["sites"], 1);
    assert_eq!(lines(&world, &["sites/catalogue/all.yaml"], 1), all);
    assert_eq!(lines(&world, &["sites/catalogue"], 1), all);
    let within = lines(&world, &["sites", "--in", "sites/catalogue/all.yaml"], 1);
    assert!(within.lines().count() > 0 && all.contains(within.lines().next().unwrap()));
    world.put("sites/catalogue/notes.txt", "x");
    world.put("elsewhere/all.yaml", CATALOGUE);
    for nobodys in ["sites/catalogue/notes.txt", "elsewhere/all.yaml"] {
        assert_eq!(world.run(&["check", nobodys]).code, Some(2), "{nobodys}");
    }
    let mut buffer = world.command(&["check", "--stdin-as", "sites/catalogue/all.yaml"]);
    let ended = crate::world::ended(buffer.write_stdin(CATALOGUE));
    assert_eq!(ended.code, Some(0), "{}{}", ended.output, ended.errors);
}

#[test]
fn in_a_repository_readers_are_found_wherever_they_lie() {
    let world = world(&thin());
    world.put("types/all.yaml", &thin());
    world.put("sites/quay/cordwright.yaml", &naming("[../../types]"));
    commit(&world);
    let told = lines(&world, &["types/all.yaml"], 1);
    assert!(
        told.contains("types/all.yaml:") && !told.contains("tower"),
        "{told}"
    );
}

#[test]
fn a_change_of_a_catalogue_is_a_change_of_its_sites() {
    let world = world(CATALOGUE);
    commit(&world);
    world.put("sites/catalogue/all.yaml", &thin());
    let told = lines(&world, &["sites", "--compare", "main"], 1);
    assert!(told.contains(": error: new"), "{told}");
    commit(&world);
    assert_eq!(lines(&world, &["sites", "--compare", "main"], 0), "");
}

#[test]
fn a_catalogue_that_a_site_gives_up_is_not_out_of_sight() {
    let world = world(CATALOGUE);
    commit(&world);
    world.put("sites/quay/cordwright.yaml", &naming("[]"));
    world.put(
        "sites/quay/types.yaml",
        &CATALOGUE.replace("  spare: {", "  W-spare: {"),
    );
    let told = lines(&world, &["sites/quay", "--compare", "main"], 0);
    assert!(!told.contains("sight-lost"), "{told}");
}

#[test]
fn what_cannot_be_a_catalogue_is_told_where_it_is_named() {
    let world = world(CATALOGUE);
    world.put("sites/quay/types/a.yaml", "# nothing\n");
    world.put("sites/empty/a.yaml", "# nothing\n");
    world.put("sites/file", "x");
    world.put("sites/.hidden/a.yaml", CATALOGUE);
    world.put("outside/a.yaml", CATALOGUE);
    for (named, why, level) in [
        ("../../../../../../../etc", "without a repository", "error"),
        ("../../outside", "without a repository", "error"),
        ("/etc", "no way", "error"),
        ("..", "the site itself lies in it", "error"),
        ("../tower", "the folder of a site", "error"),
        ("../nowhere", "no such folder", "error"),
        ("../file", "no folder", "error"),
        ("../.hidden", "dot", "error"),
        ("../empty", "no file in it", "error"),
        (".", "own folder", "note"),
        ("types", "own folder", "note"),
        ("../quay/types", "own folder", "note"),
    ] {
        let own = naming(&format!("[../catalogue, {named}]"));
        world.put("sites/quay/cordwright.yaml", &own);
        let code = i32::from(level == "error");
        let told = lines(&world, &["sites/quay"], code);
        let [line] = told.lines().collect::<Vec<_>>()[..] else {
            panic!("{named}: {told}");
        };
        let at = format!("sites/quay/cordwright.yaml:6:38: {level}: ");
        assert!(
            line.starts_with(&at) && line.contains(why),
            "{named}: {line}"
        );
        assert!(line.ends_with("[catalogue-unread]"), "{line}");
    }
    for again in [
        "../catalogue",
        "../catalogue/",
        "../catalogue/inner",
        "../tower/../catalogue",
    ] {
        world.put("sites/catalogue/inner/a.yaml", "# nothing\n");
        world.put(
            "sites/quay/cordwright.yaml",
            &naming(&format!("[../catalogue, {again}]")),
        );
        let told = lines(&world, &["sites/quay"], 0);
        assert!(
            told.contains("note: ") && told.lines().count() == 1,
            "{again}: {told}"
        );
    }
}

#[test]
fn a_catalogue_never_lies_outside_of_the_repository_and_may_lie_anywhere_in_it() {
    let world = World::with(&[
        ("catalogue/a.yaml", CATALOGUE),
        ("repo/types/a.yaml", CATALOGUE),
        ("repo/sites/quay/cordwright.yaml", &naming("[../../types]")),
    ]);
    Program::new("git")
        .args(["init", "-q"])
        .arg(world.at("repo"))
        .output()
        .unwrap();
    assert_eq!(lines(&world, &["repo"], 0), "");
    world.put(
        "repo/sites/quay/cordwright.yaml",
        &naming("[../../../catalogue]"),
    );
    let told = lines(&world, &["repo"], 1);
    assert!(told.contains("outside of the repository"), "{told}");
}

#[cfg(unix)]
#[test]
fn links_lead_no_catalogue_out_of_where_it_may_lie() {
    use std::os::unix::fs::symlink;
    let world = world(CATALOGUE);
    world.put("outside/a.yaml", "cord-types: {short: {}}\n");
    symlink(world.at("outside"), world.at("sites/linked")).unwrap();
    world.put(
        "sites/quay/cordwright.yaml",
        &naming("[../catalogue, ../linked]"),
    );
    let told = lines(&world, &["sites/quay"], 1);
    assert!(
        told.contains("over a link") && told.lines().count() == 1,
        "{told}"
    );
    world.put("sites/quay/cordwright.yaml", &naming("[../catalogue]"));
    symlink(
        world.at("outside/a.yaml"),
        world.at("sites/catalogue/b.yaml"),
    )
    .unwrap();
    let ended = world.run(&["check", "sites/quay"]);
    assert_eq!(ended.code, Some(2));
    let why = "sites/catalogue/b.yaml: could not be judged: a link to a file outside the site, so it is not followed";
    assert!(ended.output.contains(&why[..60]), "{}", ended.output);
}

#[test]
fn what_belongs_to_one_site_is_not_read_in_a_catalogue() {
    let more = format!("{CATALOGUE}racks:\n  R9: {{height: nonsense}}\nsite: {{practice: nec}}\n");
    let world = world(&more);
    let told = lines(&world, &["sites"], 1);
    let unread: Vec<&str> = told
        .lines()
        .filter(|l| l.ends_with("[catalogue-unread]"))
        .collect();
    assert_eq!((unread.len(), told.lines().count()), (2, 2), "{told}");
    assert!(
        unread[0].contains("`racks` stands in a catalogue"),
        "{told}"
    );
    assert!(unread[1].contains("`site` stands in a catalogue"), "{told}");
}

#[test]
fn a_misspelt_key_does_not_drop_the_catalogue_unseen() {
    let world = world(CATALOGUE);
    let own = SITE.replace("catalogues:", "catalogue:");
    world.put("sites/quay/cordwright.yaml", &own);
    let told = lines(&world, &["sites/quay"], 1);
    assert!(
        told.contains("[unknown-key]") && told.contains("[unknown-name]"),
        "{told}"
    );
}

#[test]
fn a_name_in_the_catalogue_and_the_site_is_told() {
    let world = world(CATALOGUE);
    world.put(
        "sites/quay/more.yaml",
        "cord-types:\n  short: {plug: C14, connector: C13}\n",
    );
    let told = lines(&world, &["sites/quay"], 1);
    let at = "sites/quay/more.yaml:2:3: error:";
    assert!(
        told.contains(at) && told.contains("[duplicate-name]"),
        "{told}"
    );
}

#[test]
fn what_cannot_be_decoded_in_a_catalogue_is_told() {
    let world = world(CATALOGUE);
    std::fs::write(
        world.at("sites/catalogue/bad.yaml"),
        b"cord-types: {\xff\xfe: {}}\n",
    )
    .unwrap();
    let ended = world.run(&["check", "sites", "--format", "lines"]);
    assert_eq!(ended.code, Some(2));
    assert!(
        ended.output.contains("sites/catalogue/bad.yaml:1:"),
        "{}",
        ended.output
    );
}

#[test]
fn a_catalogue_is_never_written() {
    let slip = CATALOGUE.replace(
        "cordage: H05VV-F, length: 1.5 m",
        "cordage: H05VV-F, lenght: 1.5 m",
    );
    let world = world(&slip);
    let ended = world.run(&["remedy", "sites", "--write", "--on", "2026-11-25"]);
    let text = std::fs::read_to_string(world.at("sites/catalogue/all.yaml")).unwrap();
    assert_eq!(text, slip);
    let told: String = ended
        .output
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(told.contains("To correct by hand: 1 slip"), "{told}");
    assert!(
        told.contains("sites/catalogue/all.yaml:22") && told.contains("`lenght` becomes `length`"),
        "{told}"
    );
    let over = [
        "schedule",
        "sites/quay",
        "--output",
        "sites/catalogue/all.yaml",
    ];
    assert_eq!(world.run(&over).code, Some(2));
}

#[test]
fn a_snag_of_one_site_pardons_no_other() {
    let world = world(&thin());
    world
        .run(&["snags", "sites/quay", "--on", "2026-11-25"])
        .expect(0);
    let told = lines(&world, &["sites/quay"], 0);
    assert!(!told.contains(": error:"), "{told}");
    let told = lines(&world, &["sites"], 1);
    let errors = told.lines().filter(|line| line.contains(": error:"));
    let errors: Vec<&str> = errors.collect();
    assert!(
        !errors.is_empty() && errors.iter().all(|line| line.contains("(sites/tower) [")),
        "{told}"
    );
    assert!(!world.at("sites/catalogue/cordwright-snags.txt").exists());
}
