//! The corpus of shapes: sites that no designer draws, and that must still cost no more than their size.
//!
//! A shape is one line in [`SHAPES`]: a name, the words of the command that meets it, and a function
//! that makes it for a number of things. `cargo bench --bench complexity` measures each of them at three
//! sizes; `tests/it/budgets.rs` counts the work of some of them.

use std::fmt::Write as _;

mod changes;
mod definitions;
mod power;
mod supplies;
mod texts;

/// Path and text of every file.
pub type Files = Vec<(String, String)>;

/// A kind of site that grows.
#[derive(Clone, Copy)]
pub struct Shape {
    /// What grows.
    pub name: &'static str,
    /// The command line, run in the folder of the files.
    pub words: &'static [&'static str],
    /// The files for a number of the things that it is made of.
    pub make: fn(usize) -> Files,
    /// What they were at the revision that they are compared with.
    pub before: Option<fn(usize) -> Files>,
}

const CHECK: &[&str] = &["check"];
const REMEDY: &[&str] = &["remedy"];
const TAKE_IN: &[&str] = &["take-in", "rows.csv", "--of", "cords"];
const SCHEDULE: &[&str] = &["schedule", "cords"];
const SURVEY: &[&str] = &["survey"];
const TRACE: &[&str] = &["trace", "W-1"];

const fn shape(
    name: &'static str,
    words: &'static [&'static str],
    make: fn(usize) -> Files,
) -> Shape {
    Shape {
        name,
        words,
        make,
        before: None,
    }
}

const fn change(name: &'static str, before: fn(usize) -> Files, now: fn(usize) -> Files) -> Shape {
    Shape {
        before: Some(before),
        ..shape(name, &["check", "--compare", "HEAD"], now)
    }
}

/// All shapes.
#[rustfmt::skip]
pub const SHAPES: &[Shape] = &[
    // What a text can be.
    shape("unknown keys in one cord", CHECK, texts::unknown_keys),
    shape("near keys in one cord", CHECK, texts::near_keys),
    shape("one key again and again", CHECK, texts::repeated_keys),
    shape("cords on one line", CHECK, texts::one_line),
    shape("bad cords on one line", CHECK, texts::one_bad_line),
    shape("one name by alias", CHECK, texts::long_name_by_alias),
    shape("one name of a page by alias", CHECK, texts::page_long_name_by_alias),
    shape("one draw by alias", CHECK, texts::long_draw_by_alias),
    shape("a chain of merges", CHECK, texts::merge_chain),
    shape("a list of merges", CHECK, texts::merge_list),
    shape("cords merged from one", CHECK, texts::merged_cords),
    shape("bad cords merged from one", CHECK, texts::bad_merged_cords),
    shape("anchors", CHECK, texts::anchors),
    shape("aliases of nothing", CHECK, texts::lost_aliases),
    shape("brackets in brackets", CHECK, texts::brackets),
    shape("steps to the right", CHECK, texts::steps),
    shape("documents", CHECK, texts::documents),
    shape("documents that break", CHECK, texts::broken_documents),
    shape("a comment", CHECK, texts::comment),
    shape("comments", CHECK, texts::comments),
    shape("a block of text", CHECK, texts::block),
    shape("escapes", CHECK, texts::escapes),
    shape("bytes that are no text", CHECK, texts::controls),
    shape("a name of one line", CHECK, texts::long_name),
    shape("long names of cords", CHECK, texts::long_names),
    shape("tags", CHECK, texts::tags),
    shape("keys that are lists", CHECK, texts::list_keys),
    shape("nothing after the colon", CHECK, texts::nothing),
    shape("empty cords", CHECK, texts::empty_cords),
    shape("empty cords as lines", &["check", "--format", "lines"], texts::empty_cords),
    shape("empty cords as JSON", &["check", "--format", "json"], texts::empty_cords),
    shape("empty cords as SARIF", &["check", "--format", "sarif"], texts::empty_cords),
    shape("empty cords as JUnit", &["check", "--format", "junit"], texts::empty_cords),
    shape("names that others misread", CHECK, texts::traps),
    shape("files", CHECK, texts::files),
    shape("patterns of files", CHECK, texts::patterns),
    shape("a pattern of labels", CHECK, texts::label_pattern),
    shape("a pattern that is hard to match", CHECK, texts::hard_pattern),
    // What definitions can be.
    shape("cords of one name", CHECK, definitions::same_cords),
    shape("zones of one name", CHECK, definitions::same_zones),
    shape("outlets of one name", CHECK, definitions::same_outlets),
    shape("names nearly right", CHECK, definitions::near_names),
    shape("types nearly right", CHECK, definitions::near_types),
    shape("words of no table", CHECK, definitions::unknown_words),
    shape("zones and racks", CHECK, definitions::places),
    shape("levels", CHECK, definitions::levels),
    shape("feeds", CHECK, definitions::feeds),
    shape("departures of findings", CHECK, definitions::departures),
    shape("departures of nothing", CHECK, definitions::idle_departures),
    shape("departures past", CHECK, definitions::lapsed_departures),
    shape("one departure again", CHECK, definitions::same_departure),
    shape("snags of nothing", CHECK, definitions::idle_snags),
    shape("one snag again", CHECK, definitions::same_snag),
    shape("types that nobody uses", CHECK, definitions::idle_types),
    shape("couplers of the site's own", CHECK, definitions::own_couplers),
    shape("one coupler of many mates", CHECK, definitions::many_mates),
    shape("stock lengths", REMEDY, definitions::stock_lengths),
    shape("cords of one wrong type", CHECK, definitions::wrong_type),
    shape("the same as lines", &["check", "--format", "lines"], definitions::wrong_type),
    shape("the same as JSON", &["check", "--format", "json"], definitions::wrong_type),
    shape("the same as SARIF", &["check", "--format", "sarif"], definitions::wrong_type),
    shape("the same as JUnit", &["check", "--format", "junit"], definitions::wrong_type),
    shape("cords of many wrong types", CHECK, definitions::wrong_types),
    shape("cords that do not fit", CHECK, definitions::misfits),
    shape("cords of many types that do not fit", CHECK, definitions::many_misfits),
    shape("types without approval", CHECK, definitions::unapproved),
    shape("circuits half recorded", CHECK, definitions::half_recorded),
    shape("a survey of circuits", SURVEY, definitions::half_recorded),
    shape("broken cords", CHECK, definitions::broken_cords),
    shape("devices in one place", CHECK, definitions::one_place),
    shape("devices that nobody knows", CHECK, definitions::unknown_models),
    shape("remedies of slips", REMEDY, definitions::slips),
    shape("remedies of one wrong type", REMEDY, definitions::wrong_type),
    shape("remedies of wrong types", REMEDY, definitions::wrong_types),
    shape("rows taken in", TAKE_IN, definitions::rows),
    shape("bad rows taken in", TAKE_IN, definitions::bad_rows),
    shape("rows of one name", TAKE_IN, definitions::same_rows),
    shape("columns", TAKE_IN, definitions::columns),
    // What hangs on what.
    shape("cords on one strip", CHECK, power::one_strip),
    shape("cords in one bundle", CHECK, power::one_bundle),
    shape("bundles", CHECK, power::bundles),
    shape("cords on one circuit", CHECK, power::one_circuit),
    shape("strips on one circuit", CHECK, power::strips_on_one_circuit),
    shape("strips of three banks", CHECK, power::three_banks),
    shape("strips in a row", CHECK, power::strips_in_a_row),
    shape("strips in a row as JSON", &["check", "--format", "json"], power::strips_in_a_row),
    shape("devices on strips in a row", CHECK, power::devices_in_a_row),
    shape("a ring of strips", CHECK, power::ring),
    shape("rings of strips", CHECK, power::rings),
    shape("strips behind cords", CHECK, power::strips_behind_cords),
    shape("strips behind one cord", CHECK, power::strips_behind_one_cord),
    shape("supplies fed from one", CHECK, supplies::supplies_on_one),
    shape("supplies fed in pairs", CHECK, supplies::supplies_in_pairs),
    shape("supplies fed in a row", CHECK, supplies::supplies_in_a_row),
    shape("transfer switches", CHECK, power::switches),
    shape("transfer switches behind each other", CHECK, power::switches_behind_each_other),
    shape("transfer switches in circles", CHECK, power::switches_in_circles),
    shape("lines of three cords", CHECK, power::cords_in_line),
    shape("one line of cords", CHECK, power::one_line_of_cords),
    shape("inlets of one device", CHECK, power::one_device),
    shape("inlets of one device unfed", CHECK, power::one_bare_device),
    shape("inlets times devices", CHECK, power::inlets_times_devices),
    shape("banks of one strip", CHECK, power::banks),
    shape("banks times strips", CHECK, power::banks_times_strips),
    shape("outlets by range", CHECK, power::outlet_ranges),
    shape("outlets by range in many files", CHECK, power::outlet_files),
    shape("legs of one splitter", CHECK, power::legs),
    shape("legs times splitters", CHECK, power::legs_times_splitters),
    shape("voltage that collapses", CHECK, power::collapse),
    shape("voltage that collapses far away", CHECK, power::collapse_on_one_loss),
    shape("strips that collapse", CHECK, power::collapse_over_strips),
    shape("circuits of two that collapse", CHECK, power::two_circuits),
    shape("circuits", CHECK, power::circuits),
    shape("overloaded strips in one rack", CHECK, power::overloaded_rack),
    shape("supplies", CHECK, power::supplies),
    shape("circuits that take over", CHECK, power::take_over),
    shape("circuits that take over too much", CHECK, power::take_over_too_much),
    shape("one device on all circuits", CHECK, power::device_on_all_circuits),
    shape("cords at one outlet", CHECK, power::one_outlet),
    shape("cords at one inlet", CHECK, power::one_inlet),
    shape("harmonics", CHECK, power::harmonics),
    shape("loads that nobody knows", CHECK, power::unknown_loads),
    shape("schedule of one circuit", SCHEDULE, power::one_circuit),
    shape("trace through a row", TRACE, power::devices_in_a_row),
    shape("drawing of one circuit", &["drawing", "lines"], power::one_circuit),
    shape("drawing of racks", &["drawing", "racks"], power::one_circuit),
    shape("labels of one circuit", &["schedule", "labels"], power::one_circuit),
    shape("orders of many types", &["schedule", "order"], definitions::wrong_types),
    shape("loads of one circuit", &["schedule", "loads"], power::one_circuit),
    shape("snag list of all", &["snags"], definitions::wrong_type),
    // What many share.
    shape("slips that many share", CHECK, definitions::shared_slips),
    shape("slips that many share as lines", &["check", "--format", "lines"], definitions::shared_slips),
    shape("slips that many share as JSON", &["check", "--format", "json"], definitions::shared_slips),
    shape("slips that many share as SARIF", &["check", "--format", "sarif"], definitions::shared_slips),
    shape("slips that many share as JUnit", &["check", "--format", "junit"], definitions::shared_slips),
    shape("snag list of slips that many share", &["snags"], definitions::shared_slips),
    shape("departures of who shares a type", CHECK, definitions::departures_of_users),
    shape("outlets of a foreign rating", CHECK, definitions::foreign_outlets),
    // What was changed.
    change("a change of one line", definitions::wrong_type, changes::remarked),
    change("a change of all cords", definitions::wrong_type, definitions::many_misfits),
    change("a change back", definitions::many_misfits, definitions::wrong_type),
    change("a limit taken out", definitions::many_misfits, changes::unlimited),
    change("a new site", texts::empty_file, definitions::wrong_type),
    change("slips that come", definitions::wrong_type, definitions::shared_slips),
    change("slips that stay", definitions::shared_slips, definitions::shared_slips),
    change("slips that go", definitions::shared_slips, definitions::wrong_type),
    change("departures that come", definitions::idle_types, definitions::departures),
    change("departures that stay", definitions::departures_of_users, definitions::departures_of_users),
    change("departures for longer", definitions::departures, changes::longer_departures),
    change("one departure for longer", definitions::same_departure, changes::longer_departure),
    change("snags that come", definitions::idle_types, definitions::idle_snags),
    change("snags that get graver", changes::snags, changes::graver_snags),
    change("files out of sight", texts::files, changes::hidden_files),
    change("files gone, others out of sight", texts::files, changes::hidden_other_files),
    change("keys below a long name", changes::keys_below_a_long_name, changes::other_keys_below_a_long_name),
    change("strips in a row, before", power::strips_in_a_row, power::one_circuit),
    change("voltage that collapses, before", power::collapse, power::collapse_over_strips),
];

/// The file at the root.
fn site(text: String) -> Files {
    vec![("cordwright.yaml".to_owned(), text)]
}

/// `line` for every number from 1.
fn each(count: usize, mut line: impl FnMut(usize) -> String) -> String {
    (1..=count).fold(String::new(), |mut text, number| {
        writeln!(text, "{}", line(number)).expect("a line");
        text
    })
}

/// A site with a supply, a circuit and types, for things to be hung on.
const HEAD: &str = "\
site: {name: Shape, practice: iec, country: GB, ambient: 25 °C, continuous-load: 80 %, supply-tolerance: 10 %, voltage-drop: {cord: 1 %, total: 5 %}, feeds: {A: {colour: blue}, B: {colour: red}}}
zones: {hall: {vibration: none, air: room}}
racks: {r1: {zone: hall, height: 45 U, width: 600 mm, depth: 1070 mm}}
supplies: {ups: {feed: A, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 400 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}}
circuits:
  A1: {from: ups, poles: [L1, L2, L3, N], breaker: {rating: 32 A, curve: C, breaking-capacity: 10 kA}, wiring: {conductor: 6 mm², length: 10 m, insulation: xlpe-90}, receptacle: IEC 60309 32 A 3P+N+E 6h}
  A2: {from: ups, poles: [L1, L2, L3, N], breaker: {rating: 32 A, curve: C, breaking-capacity: 10 kA}, wiring: {conductor: 6 mm², length: 10 m, insulation: xlpe-90}, receptacle: IEC 60309 32 A 3P+N+E 6h}
device-models:
  recorder: {height: 1 U, class: I, voltage: 100–240 V, rating: 400 W, power-factor: 0.97, inlets: {psu1: {coupler: C14, feed: A}}, inlets-needed: 1}
  pair: {height: 1 U, class: I, voltage: 100–240 V, rating: 400 W, power-factor: 0.97, inlets: {psu1: {coupler: C14}, psu2: {coupler: C14}}, inlets-needed: 1}
cord-types:
  blue: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: blue, approvals: [BSI]}
  red: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: red, approvals: [BSI]}
  grey: {plug: C14, connector: C13, conductor: 0.5 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: grey, approvals: [BSI]}
";

/// A kind of strip with this many outlets on one bank.
fn strip(outlets: usize) -> String {
    let ranges = (0..outlets.div_ceil(100)).map(|hundred| {
        let (first, last) = (hundred * 100 + 1, outlets.min(hundred * 100 + 100));
        match first < last {
            true => format!("{first}-{last}: C13"),
            false => format!("{first}: C13"),
        }
    });
    let ranges: Vec<String> = ranges.collect();
    format!(
        "pdu-models:\n  strip: {{plug: IEC 60309 32 A 3P+N+E 6h, rating: 32 A, cord: {{cordage: H07RN-F, conductor: 6 mm², length: 3 m}}, banks: {{B1: {{between: L1-N, breaker: {{rating: 16 A, curve: C, breaking-capacity: 6 kA}}, outlets: {{{}}}}}}}}}\n",
        ranges.join(", ")
    )
}

/// Devices that take so much each.
fn devices(count: usize, model: &str, draw: &str) -> String {
    "devices:\n".to_owned()
        + &each(count, |n| {
            format!("  d{n}: {{model: {model}, rack: r1, draw: {draw}}}")
        })
}
