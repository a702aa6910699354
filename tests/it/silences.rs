//! What is missing, or left out, lets nothing pass: each of these was silent once.

mod plugs;
mod unread;

use std::collections::BTreeMap;

use cordwright::finding::{Finding, Level, Verdict};

use crate::pages::bases;
use crate::site::judged;

/// The IEC base site with some words of it replaced, and a file beside it.
fn found(edits: &[(&str, &str)], own: &str) -> Vec<Finding> {
    let mut base = bases()["base-iec.yaml"].clone();
    for (old, new) in edits {
        assert!(base.contains(old), "{old}");
        base = base.replace(old, new);
    }
    let files = BTreeMap::from([("base.yaml", base.as_str()), ("own.yaml", own)]);
    let files = files
        .into_iter()
        .map(|(path, text)| (path.into(), text.into()));
    let judgement = judged(&files.collect());
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement.findings
}

/// How often a rule found something broken, and how often it left something open.
fn count(findings: &[Finding], rule: &str) -> (usize, usize) {
    let of_rule = || findings.iter().filter(|finding| finding.rule == rule);
    let with = |verdict| {
        of_rule()
            .filter(|finding| finding.verdict == verdict)
            .count()
    };
    (with(Verdict::Broken), with(Verdict::Open))
}

/// A device of so many watts behind one cord on bank B1, whose limit is 80 % of 10 A.
fn one_load(watts: u32) -> String {
    format!(
        "\
device-models:
  recorder: {{height: 1 U, class: I, voltage: 100–240 V, rating: 2200 W, power-factor: 0.97, inlets: {{psu1: C14}}, inlets-needed: 1}}
devices:
  rec-1: {{model: recorder, rack: r1, at: U10, draw: {watts} W}}
cord-types:
  c14: {{plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, length: 1.5 m, rating: 10 A, colour: blue, approvals: [BSI]}}
cords:
  W-1: {{type: c14, from: pdu-a/1, to: rec-1/psu1}}
"
    )
}

#[test]
fn a_tolerance_that_is_not_written_or_cannot_be_read_is_not_none() {
    // 1700 W ÷ 0.97 are 7.62 A at 230 V and 8.47 A at 207 V, before the drop on the way.
    let load = one_load(1700);
    for tolerance in [
        "",
        "  supply-tolerance: some\n",
        "  supply-tolerance: 10 %\n",
    ] {
        let findings = found(&[("  supply-tolerance: 10 %\n", tolerance)], &load);
        assert_eq!(count(&findings, "bank-overloaded"), (1, 0), "{tolerance:?}");
    }
    let findings = found(&[("tolerance: 10 %", "tolerance: 1 %")], &load);
    assert_eq!(count(&findings, "bank-overloaded"), (0, 0));
}

/// Two inlets of one device, and 1700 W: 4.3 A on each bank, and 8.5 A where all of it is on one.
fn two_inlets(needed: u32) -> String {
    let text = one_load(1700)
        .replace("inlets: {psu1: C14}", "inlets: {psu1: C14, psu2: C14}")
        .replace("inlets-needed: 1", &format!("inlets-needed: {needed}"));
    text + "  W-2: {type: c14, from: pdu-b/1, to: rec-1/psu2}\n"
}

#[test]
fn a_load_does_not_vanish_because_its_device_is_recorded_to_stop() {
    let findings = found(&[], &two_inlets(1));
    assert_eq!(count(&findings, "failover-overloaded"), (2, 0));
    let findings = found(&[], &two_inlets(2));
    let doubtful: Vec<_> = findings
        .iter()
        .filter(|finding| finding.rule == "failover-overloaded")
        .collect();
    assert_eq!(doubtful.len(), 2, "{findings:#?}");
    for finding in doubtful {
        assert_eq!(finding.level, Level::Warning);
        assert!(
            finding.headline.starts_with("if rec-1 does not stop"),
            "{}",
            finding.headline
        );
    }
    // Where the record makes no difference, it is not doubted.
    let light = two_inlets(2).replace("draw: 1700 W", "draw: 300 W");
    assert_eq!(count(&found(&[], &light), "failover-overloaded"), (0, 0));
}

#[test]
fn a_feed_of_several_supplies_is_lost_as_a_whole() {
    // Two devices take over from two supplies of feed B at once; from either alone there is room.
    let more = "\
supplies:
  ups-b2: {feed: B, system: 3/N/PE ~ 400/230 V 50 Hz, capacity: 40 kVA, fault-current: 6 kA, earthing: TN-S, sequence-proved: yes}
circuits:
  B-2: {from: ups-b2, poles: [L1, N], breaker: {rating: 16 A, curve: C, breaking-capacity: 6 kA}, wiring: {conductor: 4 mm², length: 10 m, insulation: pvc-70}, receptacle: IEC 60309 16 A 2P+E 6h}
pdus:
  pdu-b2: {model: strip-16, rack: r1, from: B-2, mount: {side: rear-right, foot: U21, head: U40}}
";
    let one = two_inlets(1).replace("draw: 1700 W", "draw: 1000 W");
    let other = "  W-3: {type: c14, from: pdu-a/2, to: rec-2/psu1}\n  W-4: {type: c14, from: pdu-b2/1, to: rec-2/psu2}\n";
    let text = one.replace(
        "draw: 1000 W}\n",
        "draw: 1000 W}\n  rec-2: {model: recorder, rack: r1, at: U12, draw: 1000 W}\n",
    ) + other
        + more;
    let told = |edits: &[(&str, &str)]| {
        let findings = found(edits, &text).into_iter();
        let of_rule = findings.filter(|finding| finding.rule == "failover-overloaded");
        of_rule.map(|finding| finding.headline).collect::<Vec<_>>()
    };
    let headlines = told(&[]);
    assert_eq!(headlines.len(), 1, "{headlines:#?}");
    assert!(
        headlines[0].contains("feed B (supplies ups-b, ups-b2) and"),
        "{headlines:#?}"
    );
    // Without a label they are no feed.
    assert_eq!(
        told(&[("  ups-b:\n    feed: B\n", "  ups-b:\n")]),
        Vec::<String>::new()
    );
}

/// A splitter whose leg is of thinner stuff than its trunk: `conductor` and `cordage` of the leg.
fn split(conductor: &str, cordage: &str) -> String {
    one_load(1700)
        .replace(
            "  c14: {",
            &format!(
                "  y: {{plug: C14, conductor: 1.5 mm², cordage: H05VV-F, length: 1 m, rating: 10 A, colour: blue, approvals: [BSI], legs: {{a: {{connector: C13, length: 1 m, {conductor}{cordage}}}, b: {{connector: C13, length: 1 m}}}}}}\n  c14: {{"
            ),
        )
        .replace(
            "W-1: {type: c14, from: pdu-a/1, to: rec-1/psu1}",
            "W-1: {type: y, from: pdu-a/1, to: {a: rec-1/psu1}}",
        )
}

#[test]
fn what_cannot_be_read_of_a_leg_is_not_taken_from_its_trunk() {
    let rule = "conductor-underrated";
    assert_eq!(count(&found(&[], &split("", "")), rule), (0, 0));
    let told = count(&found(&[], &split("conductor: 0.75 mm², ", "")), rule);
    assert_eq!(told, (1, 0));
    let told = count(&found(&[], &split("conductor: thin, ", "")), rule);
    assert_eq!(told, (0, 1));
    let thin = "conductor: 0.75 mm², ";
    let told = count(&found(&[], &split(thin, "cordage: 'some stuff'")), rule);
    assert_ne!(told, (0, 0));
    // A leg goes by its own cordage.
    let findings = found(&[], &split(thin, "cordage: H05RR-F"));
    let told = findings
        .iter()
        .find(|finding| finding.rule == rule)
        .unwrap();
    let text = format!("{told:#?}");
    assert!(
        text.contains("H05RR-F") && !text.contains("H05VV-F"),
        "{text}"
    );
}

/// The IEC base site with this limit of its strips' model, in air of the hall and the site.
fn strips(limit: &str, hall: &str, site: &str) -> Vec<Finding> {
    let model = format!("    rating: 16 A\n{limit}");
    let zone = format!("hall: {{{hall}");
    let edits = [
        ("    rating: 16 A\n", model.as_str()),
        ("hall: {ambient: 25 °C, ", zone.as_str()),
        ("  ambient: 25 °C\n", site),
    ];
    found(&edits, "")
}

#[test]
fn a_strip_in_air_hotter_than_its_maker_allows_is_found() {
    let judged = |limit, hall, site| count(&strips(limit, hall, site), "pdu-too-hot");
    let limit = "    ambient-limit: 45 °C\n";
    let site = "  ambient: 25 °C\n";
    assert_eq!(judged(limit, "ambient: 45.1 °C, ", site), (2, 0));
    assert_eq!(judged(limit, "ambient: 45 °C, ", site), (0, 0));
    assert_eq!(judged(limit, "", "  ambient: 46 °C\n"), (2, 0));
    assert_eq!(judged("", "ambient: 60 °C, ", site), (0, 0));
    // One word for the zone of both strips.
    assert_eq!(judged(limit, "", ""), (0, 1));
    assert_eq!(judged(limit, "ambient: warm, ", site), (0, 1));
    assert_eq!(judged(limit, "", "  ambient: warm\n"), (0, 1));
    // And for the limit of both.
    let unreadable = "    ambient-limit: hot\n";
    assert_eq!(judged(unreadable, "ambient: 25 °C, ", site), (0, 1));
}

/// A load on bank B1 in air of the hall and the site, behind a cord with more keys.
fn in_air(watts: u32, (hall, site): (&str, &str), limit: &str, keys: &str) -> (usize, usize) {
    let zone = format!("hall: {{{hall}");
    let model = format!("    rating: 16 A\n{limit}");
    let edits = [
        ("hall: {ambient: 25 °C, ", zone.as_str()),
        ("  ambient: 25 °C\n", site),
        ("    rating: 16 A\n", model.as_str()),
    ];
    let load = one_load(watts).replace("length: 1.5 m", &format!("length: 1.5 m{keys}"));
    count(&found(&edits, &load), "coupler-in-hot-air")
}

#[test]
fn couplers_in_air_above_forty_degrees_are_found_whatever_they_carry() {
    let site = "  ambient: 25 °C\n";
    let limit = "    ambient-limit: 45 °C\n";
    let declared = ", hot-air: {at: 45 °C, amperes: 8 A}";
    // The appliance couplers of outlet and cord, and the pin-and-sleeve plugs of both strips.
    assert_eq!(in_air(100, ("ambient: 40.1 °C, ", site), "", ""), (2, 0));
    assert_eq!(in_air(100, ("ambient: 40 °C, ", site), "", ""), (0, 0));
    // Strip and cord must both be answered for.
    let hot = ("ambient: 45 °C, ", site);
    assert_eq!(in_air(100, hot, limit, ""), (1, 0));
    assert_eq!(in_air(100, hot, "", declared), (2, 0));
    assert_eq!(in_air(100, hot, limit, declared), (0, 0));
    assert_eq!(
        in_air(100, ("ambient: 45.1 °C, ", site), limit, declared),
        (2, 0)
    );
    // A declaration that is not whole answers for nothing; one that cannot be read is asked for.
    for (unclear, expected) in [
        ("hot-air: {at: hot, amperes: 8 A}", (0, 1)),
        ("hot-air: {at: 45 °C, amperes: many}", (0, 1)),
        ("hot-air: {at: 45 °C}", (1, 0)),
        ("hot-air: {amperes: 8 A}", (1, 0)),
        ("hot-air: yes", (0, 1)),
    ] {
        let keys = format!(", {unclear}");
        assert_eq!(in_air(100, hot, limit, &keys), expected, "{unclear}");
    }
}

/// No standard was found for them, so what the trade does stands in, and makes no error.
#[test]
fn nema_couplers_in_hot_air_are_told_of_too() {
    let base = bases()["base-nec.yaml"].clone();
    let at = |air: &str| {
        let mut hot = base.clone();
        for line in base.lines().filter(|line| line.contains("ambient: ")) {
            let at = line.find("ambient: ").unwrap();
            let end = line[at..]
                .find([',', '}'])
                .map_or(line.len(), |end| at + end);
            let new = format!("{}ambient: {air}{}", &line[..at], &line[end..]);
            hot = hot.replace(line, &new);
        }
        let judgement = judged(&vec![("cordwright.yaml".to_owned(), hot)]);
        let own = judgement.findings.into_iter();
        let own = own
            .filter(|found| found.rule == "coupler-in-hot-air" && found.headline.contains("NEMA"));
        own.map(|found| (found.level, found.verdict))
            .collect::<Vec<_>>()
    };
    assert_eq!(at("40 °C"), []);
    let told = at("45 °C");
    assert!(!told.is_empty());
    assert!(
        told.iter()
            .all(|told| *told == (Level::Warning, Verdict::Broken)),
        "{told:?}"
    );
}

#[test]
fn a_cord_carries_no_more_in_hot_air_than_its_maker_declares() {
    let hot = ("ambient: 45 °C, ", "  ambient: 25 °C\n");
    let limit = "    ambient-limit: 45 °C\n";
    let declared = |amperes: &str| format!(", hot-air: {{at: 55 °C, amperes: {amperes}}}");
    // 700 W ÷ (207 V × 0.97) are 3.5 A.
    assert_eq!(in_air(700, hot, limit, &declared("3 A")), (1, 0));
    assert_eq!(in_air(700, hot, limit, &declared("4 A")), (0, 0));
}

#[test]
fn where_nobody_says_how_hot_the_air_is_the_couplers_stay_open() {
    let none = ("", "");
    assert_eq!(in_air(100, none, "", ""), (0, 1));
    assert_eq!(
        in_air(100, ("ambient: warm, ", "  ambient: 25 °C\n"), "", ""),
        (0, 1)
    );
    // The zone says it; the receptacles are where their strips are.
    assert_eq!(in_air(100, ("ambient: 25 °C, ", ""), "", ""), (0, 0));
    assert_eq!(in_air(100, ("ambient: 45 °C, ", ""), "", "").0, 2);
}

/// A load on bank B1 in a hall that is wet or not, some words of the base site replaced.
fn in_the_wet(wet: &str, edits: &[(&str, &str)], cord: &str) -> (usize, usize) {
    let zone = format!("air: room{wet}, oil: no");
    let edits = [&[("air: room, wet: no, oil: no", zone.as_str())], edits].concat();
    let load = one_load(100).replace("length: 1.5 m", &format!("length: 1.5 m{cord}"));
    count(&found(&edits, &load), "coupler-in-the-wet")
}

/// Keys of the rack, and of the outlets of bank B1; those of the other bank are marked, too.
fn marked<'a>(rack: &'a str, outlet: &'a str) -> [(&'static str, &'a str); 3] {
    let other = ("{9-10: C19}", "{9-10: {coupler: C19, ip: IP44}}");
    [("depth: 1070 mm}", rack), ("{1-8: C13}", outlet), other]
}

#[test]
fn an_outlet_that_nothing_is_plugged_into_stands_open_in_the_wet() {
    let both = marked("depth: 1070 mm}", "{1-8: {coupler: C13, ip: IP44}}");
    let connector = ", connector-ip: IPX4";
    assert_eq!(in_the_wet(", wet: yes", &both, connector), (0, 0));
    // The outlets of the other bank are free, and bear no mark.
    assert_eq!(in_the_wet(", wet: yes", &both[..2], connector), (1, 0));
    assert_eq!(in_the_wet(", wet: no", &both[..2], connector), (0, 0));
    // A mark that cannot be read is asked for.
    let unread = [
        both[0],
        both[1],
        (both[2].0, "{9-10: {coupler: C19, ip: tight}}"),
    ];
    assert_eq!(in_the_wet(", wet: yes", &unread, connector), (0, 1));
}

#[test]
fn an_ordinary_coupler_in_a_wet_place_is_found_once_for_its_kind() {
    let (open_frame, plain) = ("depth: 1070 mm}", "{1-8: C13}");
    let housed = |ip: &str| format!("depth: 1070 mm, ip: {ip}}}");
    let none = &marked(open_frame, plain);
    assert_eq!(in_the_wet(", wet: yes", none, ""), (1, 0));
    assert_eq!(in_the_wet(", wet: no", none, ""), (0, 0));
    assert_eq!(in_the_wet("", none, ""), (0, 0));
    assert_eq!(in_the_wet(", wet: damp", none, ""), (0, 1));
    // The rack keeps splashes out, or does not, or nobody can tell.
    for (ip, said) in [
        ("IP54", (0, 0)),
        ("IPX4", (0, 0)),
        ("IP67", (0, 0)),
        ("IP53", (1, 0)),
        ("IP5X", (1, 0)),
        ("IP", (0, 1)),
        ("tight", (0, 1)),
    ] {
        let rack = housed(ip);
        let edits = marked(&rack, plain);
        assert_eq!(in_the_wet(", wet: yes", &edits, ""), said, "{ip}");
    }
    // Outlet and connector must both be marked.
    let outlet = marked(open_frame, "{1-8: {coupler: C13, ip: IP44}}");
    let connector = ", connector-ip: IPX4";
    assert_eq!(in_the_wet(", wet: yes", &outlet, ""), (1, 0));
    assert_eq!(in_the_wet(", wet: yes", none, connector), (1, 0));
    assert_eq!(in_the_wet(", wet: yes", &outlet, connector), (0, 0));
}

#[test]
fn what_is_known_of_household_plugs_from_memory_makes_no_error() {
    let plugs = [
        (
            "receptacle: IEC 60309 16 A 2P+E 6h",
            "receptacle: BS 1363RECEPTACLE",
        ),
        ("plug: IEC 60309 16 A 2P+E 6h", "plug: BS 1363"),
        ("wet: no", "wet: yes"),
        ("depth: 1070 mm}", "depth: 1070 mm, ip: IP54}"),
    ];
    // The rack does not keep the water from the receptacle that feeds it.
    for (mark, said) in [
        ("", Some((Level::Warning, Verdict::Broken))),
        ("\n    receptacle-ip: IP66", None),
        (
            "\n    receptacle-ip: wet",
            Some((Level::Error, Verdict::Open)),
        ),
    ] {
        let receptacle = plugs[0].1.replace("RECEPTACLE", mark);
        let mut edits = plugs;
        edits[0].1 = &receptacle;
        let findings = found(&edits, "");
        let own = findings.iter().find(|f| f.rule == "coupler-in-the-wet");
        assert_eq!(own.map(|f| (f.level, f.verdict)), said, "{mark}");
    }
}

#[test]
fn a_rack_that_is_housed_answers_for_no_other_in_its_zone() {
    let edits = [
        ("wet: no", "wet: yes"),
        ("depth: 1070 mm}", "depth: 1070 mm, ip: IP54}"),
    ];
    let open_frame = "\
racks:
  r2: {zone: hall, height: 42 U, width: 600 mm, depth: 1070 mm}
pdus:
  pdu-c: {model: strip-16, rack: r2, from: B-1, mount: {side: rear-left, foot: U2, head: U20}}
";
    let housed = one_load(100);
    let beside = housed
        .replace(
            "devices:\n",
            "devices:\n  rec-2: {model: recorder, rack: r2, at: U10, draw: 100 W}\n",
        )
        .replace(
            "cords:\n",
            "cords:\n  W-2: {type: c14, from: pdu-c/1, to: rec-2/psu1}\n",
        );
    let sufferers = |own: &str| {
        let findings = found(&edits, own);
        let wet = findings
            .into_iter()
            .find(|f| f.rule == "coupler-in-the-wet");
        wet.map(|finding| finding.sufferers.join(" "))
    };
    assert_eq!(sufferers(&housed), None);
    let both = format!("{open_frame}{beside}");
    assert_eq!(sufferers(&both).as_deref(), Some("W-2 pdu-c"));
}

#[test]
fn one_outlet_that_keeps_the_water_out_hides_no_other() {
    let wet = |outlets: &str| {
        let base = bases()["base-iec.yaml"].clone();
        let base = base.replacen("wet: no", "wet: yes", 1);
        let base = base.replacen("outlets: {1-8: C13}", outlets, 1);
        let base = base.replacen("outlets: {9-10: C19}", "outlets: {}", 1);
        let judgement = judged(&vec![("base-iec.yaml".to_owned(), base)]);
        crate::site::said(&judgement, "coupler-in-the-wet").len()
    };
    let marked = "outlets: {1: {coupler: C13, ip: IPX4}}";
    let both = "outlets: {1: {coupler: C13, ip: IPX4}, 2: C13}";
    let unread = "outlets: {1: {coupler: C13, ip: IPX4}, 2: {coupler: C13, ip: some}}";
    assert_eq!([wet(marked), wet(both), wet(unread)], [0, 1, 1]);
}
