//! Plans: from inlets without cords to cords, each plan judged here once more by other means.

use std::collections::{BTreeMap, BTreeSet};

use cordwright::finding::Finding;
use cordwright::input::SiteInput;
use cordwright::judgement::{Settings, Site};
use cordwright::plan::{Asked, Objective, Plan, inserted, plan};
use cordwright::remedy::applied;
use rayon::prelude::*;

use crate::dice::Dice;
use crate::site::{Files, judged, today};
use crate::sound::layout::write;
use crate::world::World;

mod anew;
mod hall;
mod offers;
mod places;

use hall::Hall;

fn input(files: &Files) -> SiteInput {
    let bytes = files.iter();
    let bytes = bytes.map(|(path, text)| (path.clone(), text.clone().into_bytes()));
    let mut files: Vec<_> = bytes.collect();
    files.sort();
    SiteInput {
        files,
        ..SiteInput::default()
    }
}

fn planned(files: &Files, asked: &Asked) -> Plan {
    plan(&input(files), asked, &Settings::on(today()))
}

fn plan_of(yaml: String) -> Plan {
    planned(&vec![("cordwright.yaml".into(), yaml)], &Asked::default())
}

/// The files with the plan beside them.
fn with(files: &Files, plan: &Plan) -> Files {
    let mut files = files.clone();
    files.push(("zz-plan.yaml".into(), plan.definitions.as_str().to_owned()));
    files
}

fn prints(findings: &[Finding]) -> BTreeSet<(&'static str, String)> {
    let told = findings.iter().filter(|f| f.rule != "unfed-inlet");
    told.map(|f| (f.rule, f.fingerprint())).collect()
}

/// What is told of a plan's cords, and was not told before.
fn news(files: &Files, plan: &Plan) -> Vec<(&'static str, String)> {
    let before = prints(&judged(files).findings);
    let after = prints(&judged(&with(files, plan)).findings);
    let mut open = prints(&plan.open);
    open.extend(prints(&plan.uneven));
    let new = after.into_iter().filter(|print| !before.contains(print));
    new.filter(|print| !open.contains(print)).collect()
}

/// A hall of eight racks of which nothing is known but models, positions and zones.
#[test]
fn a_hall_becomes_a_plan_that_all_rules_pass() {
    let hall = Hall::default();
    let files = vec![("cordwright.yaml".to_owned(), hall.yaml())];
    let plan = planned(&files, &Asked::default());
    assert_eq!(plan.untried, None);
    assert_eq!(plan.unplanned, []);
    assert_eq!(plan.cords.len(), 206);
    let judgement = judged(&with(&files, &plan));
    let told: Vec<_> = judgement.findings.iter().map(|f| &f.headline).collect();
    assert!(told.is_empty(), "{told:#?}");
    // No outlet twice, every cord long enough, both cords of a device on both feeds.
    let outlets: BTreeSet<&str> = plan.cords.iter().map(|cord| cord.from.as_str()).collect();
    assert_eq!(outlets.len(), 206);
    let mut feeds: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for cord in &plan.cords {
        let device = cord.to.split('/').next().unwrap();
        let strip = cord.from.split('/').next().unwrap();
        feeds
            .entry(device)
            .or_default()
            .insert(&strip[strip.len() - 1..]);
    }
    assert!(feeds.values().all(|feeds| feeds.len() == 2));
    for load in &plan.strips {
        let (top, least) = (load.top.value, load.least.value);
        assert!(top <= least * 1.08, "{load:?}");
    }
}

/// Written into the files that there are, a plan is the same plan.
#[test]
fn a_written_plan_is_the_plan() {
    let files = vec![("cordwright.yaml".to_owned(), Hall::default().yaml())];
    let plan = planned(&files, &Asked::default());
    let site = Site::read(input(&files));
    let edits = inserted(&plan, &site).unwrap().edits;
    let changed: Files = applied(&site.sources, &edits);
    let judgement = judged(&changed);
    assert!(judgement.findings.is_empty(), "{:?}", judgement.findings);
    assert_eq!(judgement.census.cords, 206);
    assert_eq!(judgement.census.to_fit, 206);
    let again = planned(&changed, &Asked::default());
    assert_eq!(again.cords, []);
}

/// Random sound sites lose cords: what is planned in their place is sound on the whole site, by the judgement
/// of a second reading.
#[test]
fn plans_of_random_sites_leave_nothing_new_to_be_told() {
    let counts = (0..24_u64).into_par_iter().map(|seed| {
        let mut site = crate::sound::site(seed);
        let mut dice = Dice::new(seed ^ 0x91a);
        let cords = site
            .get("cords")
            .map(|cords| cords.pairs().to_vec())
            .unwrap_or_default();
        let names = cords.into_iter().map(|(name, _)| name);
        let lost: Vec<String> = names.filter(|_| dice.below(3) == 0).collect();
        for cord in &lost {
            site.entry("cords").remove(cord);
        }
        let files: Files = write(&site, seed).files.into_iter().collect();
        let plan = planned(&files, &Asked::default());
        assert_eq!(plan.untried, None, "seed {seed}");
        let new = news(&files, &plan);
        assert!(new.is_empty(), "seed {seed}: {new:#?}");
        (plan.cords.len(), lost.len())
    });
    let counts: Vec<_> = counts.collect();
    let planned: usize = counts.iter().map(|(planned, _)| planned).sum();
    let lost: usize = counts.iter().map(|(_, lost)| lost).sum();
    assert!(lost > 80, "{lost}");
    // Wall cords, splitters and cords without a measurable way are for people to choose.
    assert!(planned * 2 > lost, "{planned} of {lost}");
}

/// The same input, the same plan: whatever the order of the files and the number of threads.
#[test]
fn a_plan_is_the_same_on_any_number_of_threads() {
    let hall = Hall::default();
    let halves: Vec<Files> = vec![
        vec![
            ("a.yaml".into(), hall.site()),
            ("b.yaml".into(), hall.rest()),
        ],
        vec![
            ("b.yaml".into(), hall.rest()),
            ("a.yaml".into(), hall.site()),
        ],
    ];
    let texts = halves.iter().zip([1, 3]).map(|(files, threads)| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| planned(files, &Asked::default()).definitions.into_string())
    });
    let texts: Vec<String> = texts.collect();
    assert!(texts[0] == texts[1] && texts[0].contains("W-0206"));
}

#[test]
fn more_inlets_than_outlets_are_told_with_what_would_make_room() {
    let hall = Hall {
        racks: 1,
        outlets: 12,
        ..Hall::default()
    };
    let plan = plan_of(hall.yaml());
    assert_eq!(plan.untried, None);
    assert!(!plan.unplanned.is_empty() && !plan.cords.is_empty());
    let first = &plan.unplanned[0];
    assert!(
        first.why.contains("other inlets take all outlets"),
        "{first:?}"
    );
    assert!(first.wanted.contains("free outlet"), "{first:?}");
}

#[test]
fn loads_that_no_bank_bears_are_told_with_the_bank_and_the_number() {
    let hall = Hall {
        racks: 1,
        heavy: "3400 W",
        ..Hall::default()
    };
    let plan = plan_of(hall.yaml());
    let told: Vec<_> = plan
        .unplanned
        .iter()
        .map(|left| left.why.as_str())
        .collect();
    assert!(
        told.iter()
            .any(|why| why.contains("of PDU r1-a carries 16.2 A, and its breaker is rated 16 A")),
        "{told:?}"
    );
}

#[test]
fn what_is_missing_is_asked_for_and_never_guessed() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let without = |what: &str| {
        let yaml = hall.yaml();
        assert!(yaml.contains(what), "{what}");
        plan_of(yaml.replace(what, ""))
    };
    let plan = without(", mount: {side: rear-left, foot: U2, head: U42}");
    let why = &plan.unplanned[0].why;
    assert!(why.contains("`mount` of PDU r1-a is missing"), "{why}");
    assert_eq!(
        plan.cords
            .iter()
            .filter(|cord| cord.from.starts_with("r1-a"))
            .count(),
        0
    );
    let plan = without(" at: U1,");
    assert!(
        plan.unplanned[0].why.contains("is missing"),
        "{:?}",
        plan.unplanned
    );
    assert_eq!(without("  practice: iec\n").cords, []);
    assert_eq!(
        without("  practice: iec\n").untried.unwrap(),
        "the site does not say which practice binds"
    );
    // A fault current that nobody knows is no reason not to plan, and no pass.
    let plan = without("fault-current: 6 kA, ");
    assert!(!plan.cords.is_empty());
    let plan = plan_of(
        hall.yaml()
            .replace("rack: r1, at: U1,", "rack: nowhere, at: U1,"),
    );
    assert!(
        plan.unplanned[0].why.contains("no rack"),
        "{:?}",
        plan.unplanned
    );
}

#[test]
fn labels_are_of_the_sites_pattern_or_nothing_is_planned() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let with_label = |label: &str| plan_of(hall.yaml().replace("\"W-[0-9]{4}\"", label));
    assert_eq!(with_label("'C[0-9]{3}[AB]'").cords[0].name, "C001A");
    let none = with_label("'[a-z]+'");
    assert!(none.untried.unwrap().contains("site.label"));
    // Ten cords at most are of this pattern.
    let few = with_label("'K[0-9]'");
    assert!(few.untried.unwrap().contains("site.label"));
}

/// A type that the site has is taken before a new one is made.
#[test]
fn types_of_the_site_come_first() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let types = "cord-types:\n  ours-blue: {plug: C14, connector: C13, conductor: 1.5 mm², cordage: H05Z1Z1-F, length: 2 m, rating: 10 A, colour: blue, approvals: [BSI]}\n  ours-thin: {plug: C14, connector: C13, conductor: 0.75 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: red, approvals: [BSI]}\n";
    let yaml = hall.yaml().replace(
        "  stock-lengths: [0.5 m, 0.8 m, 1 m, 1.2 m, 1.5 m, 2 m]\n",
        "",
    );
    let plan = plan_of(format!("{yaml}{types}"));
    assert!(
        plan.cords
            .iter()
            .any(|cord| cord.kind == "ours-blue" && !cord.is_new)
    );
    // A thinner one than the couplers bear is none: cords outlive servers.
    assert!(
        plan.cords.iter().all(|cord| cord.kind != "ours-thin"),
        "{:?}",
        plan.unplanned
    );
}

#[test]
fn objectives_are_kept() {
    let yaml = Hall {
        racks: 1,
        ..Hall::default()
    }
    .yaml();
    let files = vec![("cordwright.yaml".to_owned(), yaml)];
    let with = |objective| {
        let asked = Asked {
            objective,
            ..Asked::default()
        };
        let plan = planned(&files, &asked);
        assert!(
            plan.unplanned.is_empty(),
            "{objective:?}: {:?}",
            plan.unplanned
        );
        assert_eq!(news(&files, &plan), [], "{objective:?}");
        plan
    };
    let lengths = |plan: &Plan| {
        let all = plan.cords.iter().map(|cord| cord.bought.clone());
        all.collect::<BTreeSet<_>>().len()
    };
    let balanced = with(Objective::Balanced);
    let fewest = with(Objective::FewestTypes);
    assert_eq!(lengths(&fewest), 1);
    let shortest = with(Objective::Shortest);
    assert!(shortest.length.0 <= balanced.length.0);
    let cheapest = with(Objective::Cheapest);
    let conductor = |plan: &Plan| {
        let all = plan.cords.iter().flat_map(|cord| &cord.why);
        let own = all.filter(|why| why.property == "conductor");
        own.map(|why| why.is.clone()).collect::<BTreeSet<_>>()
    };
    assert!(
        conductor(&balanced).contains("1 mm²"),
        "{:?}",
        conductor(&balanced)
    );
    assert!(
        conductor(&cheapest).contains("0.75 mm²"),
        "{:?}",
        conductor(&cheapest)
    );
    let tops = |plan: &Plan| plan.strips.iter().map(|load| load.top.value).sum::<f64>();
    assert!(tops(&with(Objective::MostHeadroom)) <= tops(&balanced) * 1.005);
}

#[test]
fn the_command_plans_writes_and_says_what_is_left() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let yaml = hall.yaml();
    let world = World::with(&[("site/cordwright.yaml", &yaml)]);
    let shown = world.run(&["specify", "site", "--why"]).expect(0);
    assert!(
        shown.contains("c14-c13-10a-") && shown.contains("1 mm²: a C13 set of 10 A"),
        "{shown}"
    );
    assert!(shown.contains("Advice only"));
    let written = world.run(&["specify", "site", "--write"]).expect(0);
    let words = written.split_whitespace().collect::<Vec<_>>().join(" ");
    let files = "Written into cordwright.yaml, as `state: to-fit`.";
    assert!(words.contains(files), "{written}");
    world.run(&["check", "site"]).expect(0);
    let text = std::fs::read_to_string(world.at("site/cordwright.yaml")).unwrap();
    assert!(text.starts_with(&yaml) && text.contains("state: to-fit"));
    // A further device, and one for which there is no room.
    let added = [
        "specify", "site", "--add", "node-1u", "--rack", "r1", "--draw", "300 W",
    ];
    let more = world
        .run(&[&added[..], &["--at", "U44"]].concat())
        .expect(0);
    assert!(
        more.contains("node-1u-new/psu1") && more.contains("W-0027"),
        "{more}"
    );
    world
        .run(&["specify", "site", "--add", "node-1u"])
        .expect(2);
    let nowhere = world.run(&added);
    assert_eq!(nowhere.code, Some(2));
    assert!(nowhere.errors.contains("--at U12"), "{}", nowhere.errors);
    further_devices(&world, &added);
    let stranger = world.run(&["specify", "site", "--device", "d-1-O1"]);
    assert_eq!(stranger.code, Some(2));
    assert!(
        stranger.errors.contains("Did you mean \"d-1-01\"?"),
        "{}",
        stranger.errors
    );
    let nothing = world.run(&["specify", "site"]).expect(0);
    assert!(nothing.contains("No cord is planned"), "{nothing}");
}

/// A device that is added is written with its cords, and never where it cannot be.
fn further_devices(world: &World, added: &[&str]) {
    let path = world.at("site/cordwright.yaml");
    let before = std::fs::read_to_string(&path).unwrap();
    let run = |more: &[&str]| world.run(&[added, more].concat());
    for (more, told) in [
        (&["--at", "U55"][..], "is outside rack r1"),
        (&["--at", "12"], "`at` of `node-1u-new`"),
        (&["--at", "U44", "--named", "d-1-01"], "there already"),
    ] {
        let ended = run(more);
        assert_eq!(ended.code, Some(2), "{}", ended.output);
        assert!(ended.errors.contains(told), "{}", ended.errors);
    }
    let shared = run(&["--at", "U1"]);
    assert!(
        shared.output.contains("Look there first"),
        "{}",
        shared.output
    );
    run(&["--at", "U44", "--output", "plan.yaml"]).expect(0);
    let plan = std::fs::read_to_string(world.at("plan.yaml")).unwrap();
    assert!(
        plan.starts_with("devices:\n  node-1u-new: {model: node-1u, rack: r1, at: U44"),
        "{plan}"
    );
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    run(&["--at", "U44", "--write"]).expect(0);
    let after = std::fs::read_to_string(&path).unwrap();
    assert!(
        after.contains("\n  node-1u-new: {model: node-1u, rack: r1, at: U44"),
        "{after}"
    );
    world.run(&["check", "site"]).expect(0);
    std::fs::write(&path, before).unwrap();
}

/// What a stranger writes goes into the definitions as words.
#[test]
fn hostile_names_stay_names() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let yaml = hall.yaml().replace("d-1-01:", "'d: {x}, #1':");
    let files = vec![("cordwright.yaml".to_owned(), yaml)];
    let plan = planned(&files, &Asked::default());
    assert_eq!(plan.unplanned, []);
    assert_eq!(news(&files, &plan), []);
}

/// The example of the guide is what the command shows.
#[test]
fn the_guide_shows_what_is_planned() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/lint-docs/guides/planning.md");
    let guide = std::fs::read_to_string(path).unwrap();
    let between = |from: &str, to: &str| {
        let start = guide.find(from).unwrap() + from.len();
        let end = start + guide[start..].find(to).unwrap();
        (start, end)
    };
    let (start, end) = between("```yaml devices.yaml\n", "```\n");
    let devices = guide[start..end].to_owned();
    let base = &crate::pages::bases()["base-iec.yaml"];
    let world = World::with(&[
        ("site/cordwright.yaml", base),
        ("site/devices.yaml", &devices),
    ]);
    let shown = world.run(&["specify", "site", "--why"]).expect(0);
    let shown = shown.split("\n\nAdvice only").next().unwrap().to_owned() + "\n";
    let (start, end) = between("```text\n", "```\n");
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        std::fs::write(path, format!("{}{shown}{}", &guide[..start], &guide[end..])).unwrap();
    } else {
        assert_eq!(guide[start..end], shown);
    }
}

/// The editor offers the cords of a device that has none, and what it writes is sound.
#[test]
fn the_editor_plans_cords_for_a_bare_inlet() {
    use cordwright::editor::{OpenSite, Task};
    let yaml = Hall {
        racks: 1,
        ..Hall::default()
    }
    .yaml();
    let files = vec![("cordwright.yaml".to_owned(), yaml)];
    let task = Task::read(input(&files), &[], Settings::on(today()));
    let site = OpenSite::new(task.judge(|| true).unwrap());
    let mut found = site.findings(site.files()[0].id());
    let bare = found.find(|f| f.rule == "unfed-inlet" && f.about[0] == "d-1-03");
    let fixes = site.fixes(bare.unwrap());
    let plans: Vec<_> = fixes
        .iter()
        .filter(|fix| fix.title.starts_with("Plan "))
        .collect();
    let [fix] = plans[..] else {
        panic!("{fixes:?}");
    };
    assert!(
        fix.title.contains("d-1-03/psu1") && fix.title.contains("d-1-03/psu2"),
        "{}",
        fix.title
    );
    let mut text = files[0].1.clone();
    let mut edits = fix.edits.clone();
    edits.sort();
    for edit in edits.iter().rev() {
        text.replace_range(edit.span.range(), &edit.text);
    }
    let after = judged(&vec![("cordwright.yaml".to_owned(), text)]);
    let bare = after.findings.iter().filter(|f| f.rule == "unfed-inlet");
    assert_eq!(bare.count(), 12);
    assert_eq!(after.findings.len(), 12);
}

/// A rack of thousands of inlets is no rack: it is told, and takes no memory.
#[test]
fn a_rack_that_is_none_is_not_planned() {
    let hall = Hall {
        racks: 1,
        ..Hall::default()
    };
    let inlets: Vec<String> = (0..30).map(|inlet| format!("i{inlet}: C14")).collect();
    let many = format!(
        "voltage: 200–240 V, rating: 800 W, power-factor: 0.98, inlets: {{{}}}",
        inlets.join(", ")
    );
    let mut yaml = hall.yaml().replace(
        "voltage: 200–240 V, rating: 800 W, power-factor: 0.98, inlets: {psu1: C14, psu2: C14}",
        &many,
    );
    for device in 0..90 {
        yaml += &format!("  x-{device}: {{model: node-1u, rack: r1, at: U40, draw: 10 W}}\n");
    }
    let plan = plan_of(yaml);
    assert_eq!(plan.cords, []);
    let told = &plan.unplanned[0];
    assert!(told.why.contains("more inlets and outlets"), "{told:?}");
}
