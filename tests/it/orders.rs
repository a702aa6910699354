//! Orders: one row for each thing that is really different, less what is there, and never silent about what stands
//! against it.

mod stands;

use crate::pages::bases;
use crate::world::World;

const DEVICES: &str = "\
device-models:
  recorder: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu1: C14}, inlets-needed: 1}
devices:
  rec-1: {model: recorder, rack: r1, at: U4, draw: 500 VA}
  rec-2: {model: recorder, rack: r1, at: U8, draw: 500 VA}
  rec-3: {model: recorder, rack: r1, at: U12, draw: 500 VA}
  rec-4: {model: recorder, rack: r1, at: U16, draw: 500 VA}
";

const PLAIN: &str = "plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]";

/// The order of four cords, each of a type and in a state, as rows of cells under their headings.
fn order(types: &[(&str, &str)], cords: [(&str, &str); 4]) -> (Vec<Vec<(String, String)>>, String) {
    let mut own = format!("{DEVICES}cord-types:\n");
    for (name, kind) in types {
        own += &format!("  {name}: {{{kind}}}\n");
    }
    own += "cords:\n";
    for (at, (kind, state)) in cords.iter().enumerate() {
        let number = at + 1;
        own += &format!(
            "  W-{number}: {{type: {kind}, from: pdu-a/{number}, to: rec-{number}/psu1{state}}}\n"
        );
    }
    rows(&own, &["--spares", "0"])
}

/// The order of a site with makes and offers, of four cords to fit.
fn offered(types: &str, cords: [&str; 4], more: &str) -> (Vec<Vec<(String, String)>>, String) {
    let mut own = format!("{DEVICES}{MAKES}cord-types:\n{types}cords:\n");
    for (at, kind) in cords.iter().enumerate() {
        let number = at + 1;
        own += &format!(
            "  W-{number}: {{type: {kind}, from: pdu-a/{number}, to: rec-{number}/psu1, state: to-fit}}\n"
        );
    }
    rows(&(own + more), &[])
}

const MAKES: &str = "\
cord-makes:
  m1: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, rating: 10 A, approvals: [BSI]}
";

const BLUE: &str = "  blue: {make: m1, length: 1.5 m, colour: blue}\n";

/// The rows of an order of a site, and what is told beside it.
fn rows(own: &str, options: &[&str]) -> (Vec<Vec<(String, String)>>, String) {
    let base = &bases()["base-iec.yaml"];
    let world = World::with(&[("site/cordwright.yaml", base), ("site/cords.yaml", own)]);
    let mut words = vec!["schedule", "order", "site", "--format", "csv"];
    words.extend(options);
    let ended = world.run(&words);
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
    (cells(&ended.output), ended.errors)
}

fn cell<'a>(row: &'a [(String, String)], heading: &str) -> &'a str {
    let found = row.iter().find(|(own, _)| own == heading);
    &found.unwrap_or_else(|| panic!("no {heading} in {row:?}")).1
}

#[test]
fn what_hangs_lies_in_store_or_is_on_order_is_not_ordered_again() {
    let cords = [
        ("t", ", state: to-fit"),
        ("t", ", state: on-order"),
        ("t", ", state: in-store"),
        ("t", ""),
    ];
    let (rows, told) = order(&[("t", PLAIN)], cords);
    let [row] = &rows[..] else {
        panic!("{rows:?}");
    };
    let numbers = ["needed", "fitted", "in store", "on order", "order"];
    assert_eq!(
        numbers.map(|heading| cell(row, heading)),
        ["4", "1", "1", "1", "1"]
    );
    assert!(!told.contains("NOT FOR ORDER"), "{told}");
}

/// Two types that are the same thing are one row; straight, angled, held, marked for 105 °C, halogen-free and longer
/// ones are not.
#[test]
fn what_differs_is_never_one_row_and_what_is_the_same_is() {
    let to_fit = |kind| (kind, ", state: to-fit");
    let alone = |more: &str, is_one: bool| {
        let other = match more.strip_prefix('=') {
            Some(whole) => whole.to_owned(),
            None => format!("{PLAIN}{more}"),
        };
        let types = [("a", PLAIN), ("b", other.as_str())];
        let (rows, _) = order(&types, [to_fit("a"), to_fit("b"), to_fit("a"), to_fit("a")]);
        assert_eq!(rows.len() == 1, is_one, "{more}: {rows:#?}");
    };
    alone("", true);
    for more in [
        ", angle: {connector: left}",
        ", retention: {plug: pin-grip, connector: pin-grip}",
        ", temperature: 60 °C",
        ", service: {halogen-free: yes}",
        ", cores: 3",
        ", fuse: 5 A, stand-out: {connector: 40 mm}, hot-air: {at: 60 °C, amperes: 6 A}",
        &format!("={}", PLAIN.replace("1.5 m,", "2 m,")),
        &format!("={}", PLAIN.replace("blue", "red")),
        &format!("={}", PLAIN.replace("[BSI]", "[VDE]")),
    ] {
        alone(more, false);
    }
    // Of what is not known nobody knows that it is the same.
    let bare = PLAIN.replace(", colour: blue", "");
    let types = [("a", bare.as_str()), ("b", bare.as_str())];
    let (rows, _) = order(&types, [to_fit("a"), to_fit("b"), to_fit("a"), to_fit("a")]);
    assert_eq!(rows.len(), 2, "{rows:#?}");
}

#[test]
fn a_row_that_something_stands_against_is_not_for_order() {
    let thin = PLAIN.replace("1.0 mm²", "0.5 mm²");
    let types = [("good", PLAIN), ("thin", thin.as_str())];
    let to_fit = |kind| (kind, ", state: to-fit");
    let (rows, told) = order(
        &types,
        [
            to_fit("good"),
            to_fit("thin"),
            to_fit("good"),
            to_fit("good"),
        ],
    );
    let stands: Vec<&str> = rows.iter().map(|row| cell(row, "stands")).collect();
    assert_eq!(stands[0], "");
    assert!(
        stands[1].starts_with("not for order: conductor-below-minimum"),
        "{stands:?}"
    );
    assert!(told.contains("NOT FOR ORDER"), "{told}");
}

fn numbers(row: &[(String, String)]) -> [&str; 6] {
    ["needed", "in store", "on order", "spares", "order", "buy"].map(|heading| cell(row, heading))
}

#[test]
fn packs_the_fewest_that_are_sold_and_the_price_of_the_quantity_are_heeded() {
    let offers = "offers:\n  O-1: {make: m1, supplier: east, lengths: [1.5 m], minimum: 12, multiple: 5, price: {1: 2.40 EUR, 15: 2.10 EUR}, lead: 2 weeks, part: 'K-{colour}-{length}', codes: {blue: BL, 1.5 m: '15'}, tolerance: -0/+50 mm, length-over: jacket, labels: yes}\n";
    let (rows, told) = offered(BLUE, ["blue"; 4], offers);
    let [row] = &rows[..] else { panic!("{rows:?}") };
    assert_eq!(numbers(row), ["4", "0", "0", "1", "5", "15"]);
    let bought = [
        "offer",
        "supplier",
        "part number",
        "made",
        "each",
        "sum",
        "lead",
        "labels to fit",
    ];
    assert_eq!(
        bought.map(|heading| cell(row, heading)),
        [
            "O-1",
            "east",
            "K-BL-15",
            "within -0/+50 mm, over the jacket",
            "2.10 EUR",
            "31.50 EUR",
            "14 days",
            "W-1, W-2, W-3, W-4"
        ]
    );
    assert!(told.contains("east: 1 row, 31.50 EUR."), "{told}");
}

#[test]
fn store_and_orders_count_and_nothing_is_counted_twice() {
    let there = "store: {blue: 2}\norders: {PO-1: {placed: 2026-11-20, lines: {blue: {ordered: 5, received: 4}}}}\n";
    let spares = "--spares";
    let own = |state: &str, there: &str| {
        let mut own = format!("{DEVICES}{MAKES}cord-types:\n{BLUE}cords:\n");
        for number in 1..=4 {
            own += &format!(
                "  W-{number}: {{type: blue, from: pdu-a/{number}, to: rec-{number}/psu1, state: {state}}}\n"
            );
        }
        own + there
    };
    let count = |state, there: &str| {
        let (rows, _) = rows(&own(state, there), &[spares, "100"]);
        let row = &rows[0];
        ["in store", "on order", "order"].map(|heading| cell(row, heading).to_owned())
    };
    assert_eq!(count("to-fit", there), ["2", "1", "5"]);
    // Those that lie in store by their state are those of the store.
    assert_eq!(count("in-store", there), ["4", "1", "3"]);
    assert_eq!(count("fitted", there), ["2", "1", "1"]);
    // What cannot be counted is no nought.
    assert_eq!(count("to-fit", "store: {blue: many}\n"), ["?", "0", "?"]);
    assert_eq!(count("to-fit", "store: [blue]\n"), ["?", "0", "?"]);
    let placed = own("to-fit", "store: {blue: {count: 2, at: shelf 3}}\n");
    let (placed, _) = rows(&placed, &[]);
    assert_eq!(cell(&placed[0], "note"), "in store at shelf 3");
    assert_eq!(
        count(
            "to-fit",
            "orders: {PO-1: {lines: {blue: {ordered: 5, received: 50}}}}\n"
        ),
        ["0", "?", "?"]
    );
    let garbled = "orders: {PO-1: {lines: [blue, 5]}}\n";
    assert_eq!(count("to-fit", garbled), ["0", "?", "?"]);
    // A type that lies in store and that nobody needs is told all the same.
    let more = "store: {old: 3}\n";
    let old = own("to-fit", more).replace(
        BLUE,
        &format!("{BLUE}  old: {{make: m1, length: 9 m, colour: grey}}\n"),
    );
    let (rows, _) = rows(&old, &[]);
    let row = rows.iter().find(|row| cell(row, "type") == "old").unwrap();
    assert_eq!(
        ["needed", "in store", "order"].map(|heading| cell(row, heading)),
        ["0", "3", "0"]
    );
}

#[test]
fn spares_are_those_that_the_site_asks_for() {
    let own = |said: &str| {
        let mut own = format!("{DEVICES}{MAKES}cord-types:\n{BLUE}cords:\n");
        for number in 1..=4 {
            own += &format!(
                "  W-{number}: {{type: blue, from: pdu-a/{number}, to: rec-{number}/psu1, state: to-fit}}\n"
            );
        }
        let base = bases()["base-iec.yaml"].clone();
        let base = base.replacen("site:\n", &format!("site:\n  spares: {said}\n"), 1);
        assert!(base.contains("spares:"));
        (base, own)
    };
    let spares = |said: &str, options: &[&str]| {
        let (base, own) = own(said);
        let world = World::with(&[("site/cordwright.yaml", &base), ("site/cords.yaml", &own)]);
        let mut words = vec!["schedule", "order", "site", "--format", "csv"];
        words.extend(options);
        let ended = world.run(&words);
        let mut reader = csv::Reader::from_reader(ended.output.as_bytes());
        let at = reader
            .headers()
            .unwrap()
            .iter()
            .position(|heading| heading == "spares")
            .unwrap();
        let row = reader.records().next().unwrap().unwrap();
        (row[at].to_owned(), ended.errors)
    };
    assert_eq!(spares("{share: 30 %}", &[]).0, "2");
    assert_eq!(spares("{share: 5 %, least: 3, per: type}", &[]).0, "3");
    assert_eq!(spares("{least: 2, per: rack}", &[]).0, "2");
    assert_eq!(spares("{share: 30 %}", &["--spares", "0"]).0, "0");
    let (unknown, told) = spares("{share: lots}", &[]);
    assert_eq!(unknown, "?");
    assert!(told.contains("cannot be read"), "{told}");
}

/// Why an offer does not serve is said, and the next one taken; what cannot be given back stands last.
#[test]
fn an_offer_serves_only_as_far_as_it_says() {
    let reason = |offer: &str| {
        let offers = format!("offers:\n  O-1: {{make: m1, {offer}}}\n");
        let (rows, _) = offered(BLUE, ["blue"; 4], &offers);
        (
            cell(&rows[0], "offer").to_owned(),
            cell(&rows[0], "note").to_owned(),
        )
    };
    for (offer, why) in [
        (
            "lengths: [1.5 m], valid-until: 2020-01-31",
            "it ended on 2020-01-31",
        ),
        (
            "lengths: [1.5 m], valid-until: soon",
            "nobody can read until when",
        ),
        ("lengths: [1 m, 2 m]", "not made in 1.5 m"),
        ("supplier: east", "not made in 1.5 m"),
        ("made-to: {from: 3 m, to: 1 m}", "not made in 1.5 m"),
        (
            "made-to: {from: 1 m, to: 3 m, step: 0.2 m}",
            "not made in 1.5 m",
        ),
        ("lengths: [1.5 m], colours: [red]", "not made in blue"),
        (
            "lengths: [1.5 m], minimum: few",
            "its minimum cannot be read",
        ),
    ] {
        let (offer, said) = reason(offer);
        assert_eq!(offer, "?", "{why}");
        assert!(
            said.contains(&format!("O-1: {why}")) || said.contains(why),
            "{said}"
        );
    }
    let (offer, said) = reason("lengths: [1.5 m], part: 'K-{size}'");
    assert!(
        offer == "O-1" && said.contains("lacks a code for {size}"),
        "{said}"
    );
    let offers = "offers:\n  O-1: {make: m1, supplier: east, lengths: [1.5 m], price: 3.00 EUR}\n  O-2: {make: m1, supplier: west, made-to: {from: 1 m, to: 3 m, step: 0.5 m, returns: no}, price: 2.00 EUR}\n  O-3: {make: m1, supplier: north, lengths: [1.5 m], price: 1.00 USD}\n";
    let types = format!(
        "{BLUE}  free: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: blue, approvals: [BSI]}}\n"
    );
    let (rows, told) = offered(&types, ["blue", "blue", "free", "blue"], offers);
    let types: Vec<&str> = rows.iter().map(|row| cell(row, "type")).collect();
    assert_eq!(types, ["free", "blue"]);
    assert!(cell(&rows[0], "note").contains("its type names no make"));
    assert_eq!(cell(&rows[1], "offer"), "O-2");
    for said in ["not taken back", "prices in several currencies"] {
        assert!(cell(&rows[1], "note").contains(said), "{rows:?}");
    }
    assert!(told.contains("west: 1 row, 8.00 EUR."), "{told}");
}

/// A price of 0 would be the cheapest of all: it counts as not known, in every step of a list.
#[test]
fn nobody_sells_for_nothing() {
    for price in ["0 EUR", "{1: 0 EUR}", "{1: 2.40 EUR, 100: 0.00 EUR}"] {
        let offers = format!("{MAKES}offers: {{O-1: {{make: m1, price: {price}}}}}\n");
        let base = &bases()["base-iec.yaml"];
        let world = World::with(&[
            ("site/cordwright.yaml", base),
            ("site/offers.yaml", &offers),
        ]);
        let ended = world.run(&["check", "site"]);
        assert!(
            ended.output.contains("is zero where it cannot be"),
            "{}",
            ended.output
        );
    }
}

/// A row that no offer is for says why, truly.
#[test]
fn a_make_that_is_not_there_is_told_apart_from_one_that_nobody_names() {
    let red = PLAIN.replace("blue", "red");
    let types =
        format!("  lost: {{make: m9, length: 1.5 m, colour: blue}}\n  own: {{{red}}}\n{BLUE}");
    let offers = "offers: {O-1: {make: m2, price: 1 EUR}}\n";
    let (rows, _) = offered(&types, ["lost", "own", "blue", "blue"], offers);
    let row = |kind: &str| rows.iter().find(|row| cell(row, "type") == kind).unwrap();
    let lost = row("lost");
    assert_eq!(
        cell(lost, "note"),
        "the make that its type names is not there"
    );
    assert_eq!([cell(lost, "plug"), cell(lost, "connector")], ["?", "?"]);
    assert!(cell(lost, "stands").contains("unknown-name"));
    assert!(cell(row("own"), "note").starts_with("its type names no make"));
    assert_eq!(cell(row("blue"), "note"), "nobody offers its make");
}

/// What a schedule of a site with makes, offers and orders says in one of the formats.
fn schedule(kind: &str, format: &str, types: &str, more: &str) -> String {
    let mut own = format!("{DEVICES}{MAKES}cord-types:\n{types}cords:\n");
    for (number, kind) in [(1, "blue"), (2, "blue"), (3, "red"), (4, "red")] {
        own += &format!(
            "  W-{number}: {{type: {kind}, from: pdu-a/{number}, to: rec-{number}/psu1, state: to-fit}}\n"
        );
    }
    own += more;
    let base = &bases()["base-iec.yaml"];
    let world = World::with(&[("site/cordwright.yaml", base), ("site/cords.yaml", &own)]);
    let ended = world.run(&["schedule", kind, "site", "--format", format]);
    assert_eq!(ended.code, Some(0), "{}", ended.errors);
    ended.output
}

const BOTH: &str = "  blue: {make: m1, length: 1.5 m, colour: blue}\n  red: {make: m1, length: 2 m, colour: red}\n";

/// The rows of a table in CSV, each cell under its heading.
fn cells(text: &str) -> Vec<Vec<(String, String)>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings = reader.headers().unwrap().clone();
    let rows = reader.records().map(|row| {
        let row = row.unwrap();
        let cells = headings.iter().zip(row.iter());
        cells
            .map(|(heading, cell)| (heading.to_owned(), cell.to_owned()))
            .collect()
    });
    rows.collect()
}

/// One block for a make, whatever its lengths and colours; each of these with how many, its earth and its labels.
#[test]
fn a_make_is_specified_once_with_all_its_lengths() {
    let offers = "offers:\n  O-1: {make: m1, lengths: [1.5 m, 2 m], tolerance: -0/+50 mm, length-over: couplers}\n";
    let rows = cells(&schedule("specification", "csv", BOTH, offers));
    assert!(rows.iter().all(|row| cell(row, "make") == "m1"));
    let is = |property: &str| {
        let row = rows.iter().find(|row| cell(row, "property") == property);
        cell(row.unwrap_or_else(|| panic!("{property}: {rows:?}")), "is").to_owned()
    };
    assert_eq!(is("cord"), "Cord set, C14 to C13, 1 mm², H05VV-F, 10 A");
    assert_eq!(is("drawing"), "[C14] ──── 1 mm², H05VV-F ──── [C13]");
    assert_eq!(is("length"), "within -0/+50 mm over the couplers");
    assert_eq!(is("1.5 m, blue"), "3 to be made (blue)");
    assert_eq!(is("2 m, red: labels"), "W-3, W-4");
    // IEC 60228 Table 3, coated: 20.0 Ω/km, and 0.1 Ω of the couplers.
    assert_eq!(is("1.5 m, blue: earth at 20 °C"), "at most 0.13 ohm");
    assert_eq!(is("2 m, red: earth at 20 °C"), "at most 0.14 ohm");
    // Without an offer nobody says how its length is measured.
    let rows = cells(&schedule("specification", "csv", BOTH, ""));
    let length = rows
        .iter()
        .find(|row| cell(row, "property") == "length")
        .unwrap();
    assert!(cell(length, "is").starts_with("? to be agreed"));
    let page = schedule("specification", "html", BOTH, offers);
    assert!(
        page.contains("<figure>") && page.contains("[C13]"),
        "{page}"
    );
}

/// Types of one make that say something of their own are not one cord to whoever makes them.
#[test]
fn cords_of_a_make_that_differ_are_specified_apart() {
    let types = "  blue: {make: m1, length: 1.5 m, colour: blue}\n  red: {make: m1, length: 2 m, colour: red, angle: {connector: left}}\n";
    let rows = cells(&schedule("specification", "csv", types, ""));
    let leaves = |make: &str| {
        let of = |row: &&Vec<_>| {
            cell(row, "make") == make && cell(row, "property") == "connector leaves"
        };
        let row = rows.iter().find(of);
        cell(row.unwrap_or_else(|| panic!("{make}: {rows:?}")), "is").to_owned()
    };
    assert_eq!(leaves("m1, as blue"), "straight");
    assert_eq!(leaves("m1, as red"), "left");
}

/// Angles, locks and legs are in the drawing, and a direction that nobody can read is no straight cord.
#[test]
fn a_drawing_shows_which_way_the_cord_leaves() {
    let drawn = |kind: &str| {
        let types = format!("  blue: {{{kind}}}\n  red: {{make: m1, length: 2 m, colour: red}}\n");
        let rows = cells(&schedule("specification", "csv", &types, ""));
        let drawing = rows
            .iter()
            .find(|row| cell(row, "property") == "drawing")
            .unwrap();
        cell(drawing, "is").to_owned()
    };
    let angled = format!("{PLAIN}, angle: {{plug: down, connector: left}}");
    assert!(drawn(&angled).starts_with("[C14 ↓]") && drawn(&angled).ends_with("[C13 ←]"));
    let unread = format!("{PLAIN}, angle: {{connector: sideways}}");
    assert!(drawn(&unread).ends_with("[C13?]"), "{}", drawn(&unread));
    let legs = PLAIN.replace("connector: C13, ", "").replace("1.5 m", "1 m, legs: {a: {connector: C13, length: 0.5 m, angle: up}, b: {connector: C13, length: 0.5 m}}");
    assert!(
        drawn(&legs).ends_with("[C13 (a) ↑] and [C13 (b)]"),
        "{}",
        drawn(&legs)
    );
}

#[test]
fn what_arrives_is_looked_at_and_what_has_come_is_not_waited_for() {
    let orders = "offers:\n  O-1: {make: m1, lengths: [1.5 m, 2 m], tolerance: -0/+50 mm}\norders:\n  PO-1: {placed: 2026-11-20, supplier: east, lines: {blue: {ordered: 60, received: 10, lot: 4626}, red: {ordered: 4, received: 4}, gone: 2}}\n";
    let rows = cells(&schedule("goods-in", "csv", BOTH, orders));
    let types: Vec<&str> = rows.iter().map(|row| cell(row, "type")).collect();
    assert_eq!(types, ["blue", "gone"]);
    let of = |heading| cell(&rows[0], heading);
    assert_eq!(
        [
            "order",
            "placed",
            "supplier",
            "to come",
            "look at",
            "length",
            "earth at 20 °C",
            "lot"
        ]
        .map(of),
        [
            "PO-1",
            "2026-11-20",
            "east",
            "50",
            "5",
            "1.5 m: 1.5 m to 1.55 m",
            "at most 0.13 ohm",
            "4626"
        ]
    );
    assert_eq!(cell(&rows[1], "plug"), "?");
    let unread = orders.replace("received: 10", "received: few");
    let rows = cells(&schedule("goods-in", "csv", BOTH, &unread));
    assert_eq!(
        ["to come", "look at"].map(|heading| cell(&rows[0], heading)),
        ["?", "?"]
    );
    // The offer of somebody else says nothing of what this supplier sends.
    let two = orders
        .replace(
            "offers:\n",
            "offers:\n  O-2: {make: m1, supplier: west, lengths: [1.5 m]}\n",
        )
        .replace("O-1: {make: m1,", "O-1: {make: m1, supplier: east,");
    let rows = cells(&schedule("goods-in", "csv", BOTH, &two));
    assert_eq!(cell(&rows[0], "length"), "1.5 m: 1.5 m to 1.55 m");
    let two_core = BOTH.replace(
        "blue: {make: m1,",
        "blue: {plug: C8, connector: C7, conductor: 0.75 mm², cordage: H03VVH2-F, rating: 2.5 A,",
    );
    let rows = cells(&schedule("goods-in", "csv", &two_core, orders));
    assert_eq!(cell(&rows[0], "earth at 20 °C"), "no earth");
    let without = orders.replace(", tolerance: -0/+50 mm", "");
    let rows = cells(&schedule("goods-in", "csv", BOTH, &without));
    assert_eq!(cell(&rows[0], "length"), "1.5 m; tolerance ?");
}

/// The example of the guide is what the command shows.
#[test]
fn the_guide_shows_what_is_ordered() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/lint-docs/guides/ordering.md");
    let guide = std::fs::read_to_string(path).unwrap();
    let between = |from: &str| {
        let start = guide.find(from).unwrap() + from.len();
        (start, start + guide[start..].find("```\n").unwrap())
    };
    let (start, end) = between("```yaml cords.yaml\n");
    let own = &guide[start..end];
    let base = &bases()["base-iec.yaml"];
    let world = World::with(&[("site/cordwright.yaml", base), ("site/cords.yaml", own)]);
    let shown = world
        .run(&["schedule", "order", "site", "--format", "csv"])
        .expect(0);
    let shown = shown.replace("\r\n", "\n");
    let check = world.run(&["check", "site"]);
    assert_eq!(check.code, Some(0), "{}", check.output);
    let (start, end) = between("```csv\n");
    if std::env::var_os("CORDWRIGHT_BLESS").is_some() {
        std::fs::write(path, format!("{}{shown}{}", &guide[..start], &guide[end..])).unwrap();
    } else {
        assert_eq!(guide[start..end], shown);
    }
}
