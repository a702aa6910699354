//! Shapes of the definitions: names, types, departures, snags, spreadsheets.

use super::{Files, HEAD, devices, each, site, strip};

/// One strip, a device on every outlet, and a cord between of the type that is said.
fn cords(count: usize, cord: impl Fn(usize) -> String) -> String {
    let strips = strip(count) + "pdus:\n  p: {model: strip, rack: r1, from: A1}\n";
    let cord = |n: usize| format!("  W-{n}: {{type: {}, from: p/{n}, to: d{n}/psu1}}", cord(n));
    HEAD.to_owned()
        + &strips
        + &devices(count, "recorder", "0.1 W")
        + "cords:\n"
        + &each(count, cord)
}

/// One name for all cords.
pub fn same_cords(count: usize) -> Files {
    let cord = |n: usize| format!("  W-1: {{type: blue, from: A1, to: d{n}/psu1}}");
    site(HEAD.to_owned() + "cords:\n" + &each(count, cord))
}

/// Circuits that nothing hangs on, each without facts of its breaker.
pub fn half_recorded(count: usize) -> Files {
    let circuit = |n: usize| {
        format!(
            "  c{n}: {{from: ups, poles: [L1, N], breaker: {{rating: 16 A, curve: C}}, receptacle: \
             IEC 60309 16 A 2P+E 6h}}"
        )
    };
    site(HEAD.to_owned() + "---\ncircuits:\n" + &each(count, circuit))
}

/// One name for all zones.
pub fn same_zones(count: usize) -> Files {
    site(HEAD.to_owned() + "---\nzones:\n" + &each(count, |_| "  z: {air: room}".to_owned()))
}

/// One name for all outlets of a strip.
pub fn same_outlets(count: usize) -> Files {
    let banks = each(count, |n| {
        format!("      B{n}: {{between: L1-N, outlets: {{1: C13}}}}")
    });
    site(
        HEAD.to_owned()
            + "pdu-models:\n  strip:\n    plug: IEC 60309 32 A 3P+N+E 6h\n    rating: 32 A\n    banks:\n"
            + &banks,
    )
}

/// Devices, and cords to devices that are nearly those.
pub fn near_names(count: usize) -> Files {
    let device = |n: usize| format!("  server-{n:06}-left: {{model: recorder, rack: r1}}");
    let cord = |n: usize| format!("  W-{n}: {{type: blue, from: A1, to: sevrer-{n:06}-left/psu1}}");
    site(HEAD.to_owned() + "devices:\n" + &each(count, device) + "cords:\n" + &each(count, cord))
}

/// Types, and cords of types that are nearly those.
pub fn near_types(count: usize) -> Files {
    let kind = |n: usize| {
        format!("  type-{n:05}: {{plug: C14, connector: C13, conductor: 1.0 mm², length: 2 m}}")
    };
    let cord = |n: usize| format!("  W-{n}: {{type: tpye-{n:05}, from: A1, to: d{n}/psu1}}");
    site(HEAD.to_owned() + &each(count, kind) + "cords:\n" + &each(count, cord))
}

/// Couplers and cordage that no table has.
pub fn unknown_words(count: usize) -> Files {
    let kind = |n: usize| {
        format!(
            "  t{n}: {{plug: C{}x{n}, connector: IEC 60309 32 A {n}P, cordage: H05VV-{n}, conductor: 1.0 mm², length: 2 m}}",
            n % 20
        )
    };
    site(HEAD.to_owned() + &each(count, kind))
}

/// A rack in a zone of its own.
pub fn places(count: usize) -> Files {
    let zones = each(count, |n| {
        format!("  z{n}: {{ambient: 25 °C, vibration: none, air: room, wet: no, oil: no}}")
    });
    let racks = each(count, |n| {
        format!("  k{n}: {{zone: z{n}, height: 45 U, width: 600 mm, depth: 1070 mm}}")
    });
    let head = HEAD.replacen("zones: {hall: {vibration: low, air: room}}\nracks: {r1: {zone: hall, height: 45 U, width: 600 mm, depth: 1070 mm}}\n", "", 1);
    site(head + "zones:\n" + &zones + "racks:\n" + &racks)
}

/// Levels of rules that are not there.
pub fn levels(count: usize) -> Files {
    let levels = each(count, |n| {
        format!("    unknown-keys{n}: {{level: note, reason: so}}")
    });
    site(format!(
        "notes:\n  all: &levels\n{levels}{}",
        HEAD.replacen("site: {", "site: {levels: *levels, ", 1)
    ))
}

/// Feeds of one colour.
pub fn feeds(count: usize) -> Files {
    let feeds = each(count, |n| format!("    F{n}: {{colour: blue}}"));
    let supplies = each(count, |n| {
        format!("  s{n}: {{feed: F{n}, system: 3/N/PE ~ 400/230 V 50 Hz}}")
    });
    let head = HEAD.replacen(
        "feeds: {A: {colour: blue}, B: {colour: red}}",
        "feeds: *feeds",
        1,
    );
    let head = head.replacen("supplies: {ups: {feed: A,", "supplies: {ups: {feed: F1,", 1);
    site(format!(
        "notes:\n  all: &feeds\n{feeds}{head}---\nsupplies:\n{supplies}"
    ))
}

/// A departure for every finding.
pub fn departures(count: usize) -> Files {
    let departure = |n: usize| {
        format!(
            "  - {{rule: idle-definition, at: t{n}, reason: spare, agreed-by: me, until: 2099-01-01}}"
        )
    };
    let kinds = idle_types(count).remove(0).1;
    site(kinds + "departures:\n" + &each(count, departure))
}

/// Departures that nothing is found for, beside findings that nobody departed from.
pub fn idle_departures(count: usize) -> Files {
    let departure = |n: usize| {
        format!(
            "  - {{rule: idle-definition, at: u{n}, reason: spare, agreed-by: me, until: 2099-01-01}}"
        )
    };
    let kinds = idle_types(count).remove(0).1;
    site(kinds + "departures:\n" + &each(count, departure))
}

/// Departures of long ago.
pub fn lapsed_departures(count: usize) -> Files {
    let departure = |n: usize| {
        format!(
            "  - {{rule: idle-definition, at: t{n}, reason: spare, agreed-by: me, until: 2001-01-01}}"
        )
    };
    let kinds = idle_types(count).remove(0).1;
    site(kinds + "departures:\n" + &each(count, departure))
}

/// One departure, as often as there are findings.
pub fn same_departure(count: usize) -> Files {
    let departure = |_: usize| {
        "  - {rule: idle-definition, at: t1, reason: spare, agreed-by: me, until: 2099-01-01}"
            .to_owned()
    };
    let kinds = idle_types(count).remove(0).1;
    site(kinds + "departures:\n" + &each(count, departure))
}

/// Lines of the snag list that stand for nothing.
pub fn idle_snags(count: usize) -> Files {
    let mut files = idle_types(count);
    let snags = each(count, |n| format!("{n:016x} warning idle-definition u{n}"));
    files.push(("cordwright-snags.txt".to_owned(), snags));
    files
}

/// One line of the snag list, again and again.
pub fn same_snag(count: usize) -> Files {
    let mut files = idle_types(count);
    let snags = each(count, |_| {
        "0123456789abcdef warning idle-definition t1".to_owned()
    });
    files.push(("cordwright-snags.txt".to_owned(), snags));
    files
}

/// Types of cord that are on the shelf.
pub fn idle_types(count: usize) -> Files {
    let kind = |n: usize| {
        format!(
            "  t{n}: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: blue}}"
        )
    };
    site(HEAD.to_owned() + &each(count, kind))
}

/// Lengths that a cord can be cut to, none of them right.
pub fn stock_lengths(count: usize) -> Files {
    let lengths: Vec<String> = (1..=count).map(|n| format!("{n} m")).collect();
    let stock = format!("site: {{stock-lengths: [{}], ", lengths.join(", "));
    site(cords(20, |_| "grey".to_owned()).replacen("site: {", &stock, 1))
}

/// All cords too thin in the same way.
pub fn wrong_type(count: usize) -> Files {
    site(cords(count, |_| "grey".to_owned()))
}

/// Every cord too thin, each in its own way.
pub fn wrong_types(count: usize) -> Files {
    let kind = |n: usize| {
        format!(
            "  t{n}: {{plug: C14, connector: C13, conductor: 0.5 mm², cordage: H05VV-F, length: {} m, rating: {} A, colour: grey}}",
            n + 10,
            n + 10
        )
    };
    let text = cords(count, |n| format!("t{n}"));
    site(text.replacen("pdu-models:\n", &(each(count, kind) + "pdu-models:\n"), 1))
}

/// Cords with a key that is not known, to devices that are not there.
pub fn broken_cords(count: usize) -> Files {
    let text = cords(count, |_| "blue, lenght: 2 m".to_owned());
    site(text.replace("to: d", "to: e"))
}

/// Devices in the same rack units.
pub fn one_place(count: usize) -> Files {
    let device = |n: usize| format!("  d{n}: {{model: recorder, rack: r1, at: U7, draw: 1 W}}");
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// Devices of models that are not there.
pub fn unknown_models(count: usize) -> Files {
    let device = |n: usize| format!("  d{n}: {{model: m{n}, rack: k{n}, draw: {n}}}");
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// Slips of spelling that can be put right.
pub fn slips(count: usize) -> Files {
    site(cords(count, |_| "blue, lenght: 2 m".to_owned()))
}

const HEADINGS: &str = "name,type,from,to,length\n";

fn sheet(rows: String) -> Files {
    vec![("rows.csv".to_owned(), HEADINGS.to_owned() + &rows)]
}

/// Rows that are well.
pub fn rows(count: usize) -> Files {
    sheet(each(count, |n| format!("W-{n},blue,p/{n},d{n}/psu1,2 m")))
}

/// Rows with a cell that cannot be read.
pub fn bad_rows(count: usize) -> Files {
    sheet(each(count, |n| format!("W-{n},blue,p/{n},,{n} apples")))
}

/// Rows of one name.
pub fn same_rows(count: usize) -> Files {
    sheet(each(count, |n| format!("W-1,blue,p/{n},d{n}/psu1,2 m")))
}

/// Columns that nobody knows.
pub fn columns(count: usize) -> Files {
    let more =
        |cell: &str| (1..=count).fold(String::new(), |row, n| row + "," + cell + &n.to_string());
    vec![(
        "rows.csv".to_owned(),
        format!("name{}\nW-1{}\n", more("lenght"), more("x")),
    )]
}

/// Cords of a type whose connector enters no inlet here.
pub fn misfits(count: usize) -> Files {
    let text = cords(count, |_| "grey".to_owned());
    site(text.replacen(
        "grey: {plug: C14, connector: C13",
        "grey: {plug: C14, connector: C19",
        1,
    ))
}

/// The same, each cord of a type of its own.
pub fn many_misfits(count: usize) -> Files {
    let text = wrong_types(count).remove(0).1;
    site(text.replace(
        ": {plug: C14, connector: C13, conductor: 0.5",
        ": {plug: C14, connector: C19, conductor: 0.5",
    ))
}

/// Cords of types without a mark, each of its own.
pub fn unapproved(count: usize) -> Files {
    let kind = |n: usize| {
        format!(
            "  t{n}: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 2 m, rating: 10 A, colour: blue}}"
        )
    };
    let text = cords(count, |n| format!("t{n}"));
    site(text.replacen("pdu-models:\n", &(each(count, kind) + "pdu-models:\n"), 1))
}

/// Slips in one type, and cords of that type: as many of one as of the other.
pub fn shared_slips(count: usize) -> Files {
    let slips: Vec<String> = (1..=count).map(|n| format!("key-{n}: {n}")).collect();
    let text = cords(count, |_| "grey".to_owned());
    let slipped = format!("grey: {{{}, plug: C14", slips.join(", "));
    site(text.replacen("grey: {plug: C14", &slipped, 1))
}

/// A departure for every cord of one wrong type, by the name of the cord.
pub fn departures_of_users(count: usize) -> Files {
    let departure = |n: usize| {
        format!(
            "  - {{rule: approval-missing, at: W-{n}, reason: spare, agreed-by: me, until: 2099-{:02}-01}}",
            n % 12 + 1
        )
    };
    let text = cords(count, |_| "grey".to_owned());
    let text = text.replacen("colour: grey, approvals: [BSI]", "colour: grey", 1);
    site(text + "departures:\n" + &each(count, departure))
}

/// Strips of one kind whose outlets are all of a foreign rating.
pub fn foreign_outlets(count: usize) -> Files {
    let outlets: Vec<String> = (1..=count)
        .map(|n| format!("{n}: {{coupler: C13, rating: {} A}}", n % 90 + 20))
        .collect();
    let kind = format!(
        "pdu-models:\n  strip: {{plug: IEC 60309 32 A 3P+N+E 6h, rating: 32 A, cord: {{cordage: H07RN-F, conductor: 6 mm², length: 3 m}}, banks: {{B1: {{between: L1-N, outlets: {{{}}}}}}}}}\n",
        outlets.join(", ")
    );
    let strips = each(count, |n| {
        format!("  p{n}: {{model: strip, from: A1, rack: r1}}")
    });
    site(HEAD.to_owned() + &kind + "pdus:\n" + &strips)
}

/// Couplers of the site's own, and as many that are asked for by a name nearly theirs.
pub fn own_couplers(count: usize) -> Files {
    let own =
        |n: usize| format!("  own-round-{n}: {{like: C13, mates: [own-rund-{n}], source: s}}");
    site(HEAD.replacen("cord-types:", "coupler-types:", 1) + &each(count, own))
}

/// One coupler of the site's own that goes with ever so many.
pub fn many_mates(count: usize) -> Files {
    let mates: Vec<String> = (0..count).map(|n| format!("own-m{n}")).collect();
    let own = format!(
        "  own-round: {{like: C13, mates: [{}], source: s}}\n",
        mates.join(", ")
    );
    site(HEAD.replacen("cord-types:", "coupler-types:", 1) + &own)
}
