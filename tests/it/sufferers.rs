//! Who suffers what many share: of a type or a model that is at fault all that are of it, and of one
//! that is at fault in some places only those that are there.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use cordwright::analysis::{Analysis, TypeOrModel};
use cordwright::finding::{Finding, Verdict};
use cordwright::judgement::Site;
use cordwright::model::Model;
use cordwright::model::value::Name;

use crate::found::everything;
use crate::pages;
use crate::site::{Files, judged, today};

/// Rules that name a thing only because a line of theirs does, whatever is wrong with the line.
const OTHERS_WORDS: &[&str] = &["departure-lapsed", "departure-idle", "snag-idle"];

/// Rules that look at things where they lie, and why not all of a type or a model need suffer.
const IN_PLACE: &[(&str, &str)] = &[
    ("load-basis", "one that gives its own draw lacks nothing"),
    (
        "voltage-out-of-range",
        "one that is fed by nothing is at no voltage",
    ),
    ("earth-interrupted", "one that is earthed needs no class"),
    (
        "conductor-underrated",
        "one that is fed by nothing carries nothing",
    ),
    (
        "conductor-below-minimum",
        "a cord may have a length of its own",
    ),
    (
        "conductor-unprotected",
        "one behind a small breaker needs no fact",
    ),
    (
        "fault-withstand",
        "one behind a small breaker needs no fact",
    ),
    (
        "slow-disconnection",
        "one behind a residual current device needs no fact",
    ),
    (
        "breaking-capacity",
        "one that is fed by nothing breaks nothing",
    ),
    ("voltage-drop", "one that is fed by nothing loses nothing"),
    (
        "splitter-overloaded",
        "one that is fed by nothing carries nothing",
    ),
    ("retention-missing", "one that nothing shakes needs no hold"),
    ("jacket-too-hot", "one in cool air needs no fact"),
    (
        "jacket-smoke",
        "one in a zone that asks for nothing needs no fact",
    ),
    (
        "jacket-duty",
        "one in a zone that asks for nothing needs no fact",
    ),
    (
        "plug-foreign",
        "one that is plugged into no wall meets no receptacle",
    ),
    ("cord-too-short", "one without a way needs no length"),
    ("cord-over-limit", "one in another room has no limit"),
    ("angle-clash", "one with room to spare needs no size"),
    ("feed-colour", "one on a feed without a colour needs none"),
    ("bank-overloaded", "one that carries nothing needs no limit"),
    ("line-overloaded", "one that carries nothing needs no limit"),
    (
        "failover-overloaded",
        "one that carries nothing needs no limit",
    ),
    (
        "neutral-overloaded",
        "one that is on no neutral needs no fact",
    ),
    (
        "earth-leakage",
        "one on a circuit with few others needs no fact",
    ),
    ("rcd-leakage", "one behind no such device needs no fact"),
    ("inrush", "one behind a large breaker needs no fact"),
];

/// What a finding is about first, and who uses it; `None` if it is no type and no model.
fn users(analysis: &Analysis<'_>, finding: &Finding) -> Option<BTreeSet<Name>> {
    let about = finding.about.first()?;
    // A leg of a type, a bank of a model.
    let name = about
        .split_once('/')
        .map_or(about.as_str(), |(whole, _)| whole);
    if is_thing(analysis.model, name) {
        return None;
    }
    let sections = ["cord-types", "device-models", "pdu-models"].into_iter();
    let mut kinds = sections.filter_map(|section| TypeOrModel::find(analysis.model, section, name));
    let kind = kinds.next()?;
    assert!(kinds.next().is_none(), "{name} is two things");
    Some(match kind {
        TypeOrModel::CordType(id) => analysis.cords_of(id).cloned().collect(),
        TypeOrModel::DeviceModel(id) => analysis.devices_of(id).cloned().collect(),
        TypeOrModel::PduModel(id) => analysis.pdus_of(id).cloned().collect(),
    })
}

/// Whether something that suffers by itself goes by this name.
fn is_thing(model: &Model, name: &str) -> bool {
    model.cords.has(name)
        || model.devices.has(name)
        || model.pdus.has(name)
        || model.circuits.has(name)
        || model.supplies.has(name)
}

/// The things of a site that can suffer.
fn can_suffer(site: &Site, name: &str) -> bool {
    let own = name.split_once('/').map_or(name, |(whole, _)| whole);
    is_thing(&site.model, own)
}

#[test]
fn of_a_type_or_a_model_suffer_all_that_are_of_it() {
    let mut wrong = String::new();
    let (mut met, mut in_place) = (0, BTreeSet::new());
    for found in everything() {
        let (finding, analysis) = (&found.finding, found.site.analysis(today()));
        let Some(users) =
            users(&analysis, finding).filter(|_| !OTHERS_WORDS.contains(&finding.rule))
        else {
            continue;
        };
        let suffer: BTreeSet<Name> = finding.sufferers.iter().cloned().collect();
        let place = IN_PLACE.iter().position(|(rule, _)| *rule == finding.rule);
        let is_right = match place {
            None => suffer == users,
            Some(_) => suffer.is_empty() == users.is_empty() && suffer.is_subset(&users),
        };
        if !is_right {
            let (rule, headline) = (finding.rule, &finding.headline);
            writeln!(
                wrong,
                "{rule}: {headline}\n  {suffer:?} suffer, {users:?} use it"
            )
            .unwrap();
        }
        met += usize::from(!users.is_empty());
        in_place.extend(place);
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(met > 100, "{met} findings of things in use");
    let unmet = (0..IN_PLACE.len()).filter(|at| !in_place.contains(at));
    let unmet: Vec<&str> = unmet.map(|at| IN_PLACE[at].0).collect();
    assert!(
        unmet.is_empty(),
        "on the list, and never about a type or a model: {unmet:?}"
    );
}

#[test]
fn of_a_zone_or_a_rack_that_lacks_a_fact_suffer_the_cords_there() {
    let mut rules = BTreeSet::new();
    for found in everything() {
        let (finding, model) = (&found.finding, &found.site.model);
        let Some(name) = finding.about.first() else {
            continue;
        };
        let is_place = (model.zones.has(name) || model.racks.has(name)) && !is_thing(model, name);
        if is_place && finding.verdict == Verdict::Open {
            assert!(!finding.sufferers.is_empty(), "{}", finding.headline);
            rules.insert(finding.rule);
        }
    }
    assert!(rules.len() >= 3, "{rules:?}");
}

#[test]
fn who_suffers_is_named_once_and_in_order_and_is_a_thing_of_the_site() {
    for found in everything() {
        let (finding, site) = (&found.finding, &found.site);
        let names = &finding.sufferers;
        assert!(
            names.is_sorted_by(|a, b| a < b),
            "{}: {names:?}",
            finding.headline
        );
        let stranger = names.iter().find(|name| !can_suffer(site, name));
        assert_eq!(stranger, None, "{}", finding.headline);
    }
}

fn added(mut files: Files, path: &str, text: &str) -> Files {
    files.push((path.to_owned(), text.to_owned()));
    files
}

/// The names of the atoms of the one broken finding of a rule.
fn atoms(files: &Files, rule: &str) -> BTreeSet<String> {
    let judgement = judged(files);
    let mut own = judgement.findings.iter();
    let own = own
        .find(|f| f.rule == rule && f.verdict == Verdict::Broken)
        .unwrap();
    own.atoms().map(|atom| atom.fingerprint()).collect()
}

#[test]
fn ten_more_cords_of_a_type_at_fault_are_ten_more_faults() {
    let rule = "plug-below-connector";
    let before = pages::first_example(rule);
    let mut more = String::from("cords:\n");
    for number in 10..20 {
        writeln!(more, "  W-{number}: {{type: wall-2m, from: A-2}}").unwrap();
    }
    let (old, new) = (
        atoms(&before, rule),
        atoms(&added(before, "more.yaml", &more), rule),
    );
    assert_eq!((old.len(), new.len()), (1, 11));
    assert!(old.is_subset(&new), "the old one is still known");
}

#[test]
fn one_more_cord_behind_a_breaker_that_is_too_slow_is_one_more_fault() {
    let rule = "slow-disconnection";
    let before = pages::first_example(rule);
    // No longer than the other, so that the worst of them stays the same.
    let more = "devices:\n  rec-2: {model: recorder, rack: r1, at: U14, draw: 400 W}\n\
                cords:\n  W-2: {type: wall-c13, from: C-1, to: rec-2/psu1}\n";
    let (old, new) = (
        atoms(&before, rule),
        atoms(&added(before, "more.yaml", more), rule),
    );
    assert_eq!((old.len(), new.len()), (1, 2));
    assert!(old.is_subset(&new));
}

#[test]
fn a_cord_that_moves_to_where_its_type_is_at_fault_is_one_more_fault() {
    let suffering = |from: &str| -> Vec<Name> {
        let more = format!(
            "cord-types:\n  import: {{plug: CEE 7/7, connector: C13}}\n\
             cords:\n  W-1: {{type: import, from: A-2}}\n  W-2: {{type: import, from: {from}}}\n"
        );
        let files = added(pages::first_example("plug-foreign"), "more.yaml", &more);
        let judgement = judged(&files);
        let mut own = judgement.findings.into_iter();
        let own = own.find(|f| f.rule == "plug-foreign" && f.about[0] == "import");
        own.unwrap().sufferers
    };
    assert_eq!(suffering("pdu-a/1"), ["W-1"]);
    assert_eq!(suffering("A-2"), ["W-1", "W-2"]);
}

/// A type with thousands of faults is shared by thousands: all faults are told, and the first of
/// them name those who suffer.
#[test]
fn many_faults_of_a_type_that_many_share_do_not_multiply() {
    let mut text = String::from("cord-types:\n  c:\n    plug: C14\n    connector: C13\n");
    for number in 0..400 {
        writeln!(text, "    wrong-{number}: 1").unwrap();
    }
    text.push_str("cords:\n");
    for number in 0..3000 {
        writeln!(text, "  W-{number}: {{type: c}}").unwrap();
    }
    let findings = judged(&vec![("site.yaml".to_owned(), text)]).findings;
    let faults = || findings.iter().filter(|f| f.rule == "unknown-key");
    assert_eq!(faults().count(), 400);
    let naming = faults().filter(|f| f.sufferers.len() == 3000).count();
    assert_eq!(naming, 8);
    assert_eq!(faults().filter(|f| f.sufferers.is_empty()).count(), 392);
}
