//! Cordages that the tables lack and the site describes itself: used by every rule like those of the tables, and
//! told at the exact bytes where what is said of them is not enough or cannot be meant.

use cordwright::finding::{Finding, Level, Verdict};

use super::found;

/// A supply, a strip and a device on a cord whose cordage is the site's own.
const ROOM: &str = "\
site:
  practice: iec
  country: GB
  ambient: 25 °C
  feeds: {A: {colour: blue}}
supplies:
  ups: {feed: A, system: \"1/N/PE ~ 230 V 50 Hz\", capacity: 20 kVA, earthing: TN-S, fault-current: 3 kA}
zones: {hall: {ambient: 25 °C, vibration: none, air: room}}
racks: {r1: {zone: hall, height: 42 U, width: 600 mm, depth: 1070 mm}}
circuits:
  A-1:
    from: ups
    poles: [L1, N]
    breaker: {rating: 16 A, curve: C, breaking-capacity: 10 kA}
    wiring: {conductor: 4 mm², length: 10 m, insulation: pvc-70}
    receptacle: IEC 60309 16 A 2P+E 6h
pdu-models:
  strip:
    plug: IEC 60309 16 A 2P+E 6h
    rating: 16 A
    breakers: none
    cord: {cordage: H05VV-F, conductor: 2.5 mm², length: 2 m}
    banks: {B: {between: L1-N, outlets: {1-4: C13}}}
pdus:
  strip-a: {model: strip, from: A-1, rack: r1}
device-models:
  box: {class: I, voltage: 100–240 V, rating: 300 W, power-factor: 0.97, inlets: {psu: C14}, inlets-needed: 1}
devices:
  box-1: {model: box, draw: 200 W, rack: r1}
cord-types:
  thin: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: own-flex, length: 1.5 m, rating: 10 A, approvals: [BSI]}
cords:
  W-1: {type: thin, from: strip-a/1, to: box-1/psu}
";

const WHOLE: &str = "\
cordage-types:
  own-flex:
    made-by: harmonised
    voltage: 500 V
    earth-voltage: 300 V
    temperature: 70 °C
    insulation: pvc-70
    sizes: [0.75 mm², 1.0 mm²]
    duty: ordinary
    halogen-free: no
    oil: no
    wet: no
    source: data sheet 7, 2025-02
";

const LIKE: &str = "\
cordage-types:
  own-flex: {like: H05VV-F, source: sheet 7}
";

/// What a rule says, but of the strip, whose own cord is one of the tables.
fn said(room: &str, types: &str, rule: &str) -> Vec<(Finding, String)> {
    let mut found = found(room, types);
    found.retain(|(found, _)| found.rule == rule && !found.headline.contains("strip"));
    found
}

fn only(types: &str, rule: &str) -> (Finding, String) {
    let found = said(ROOM, types, rule);
    assert_eq!(found.len(), 1, "{rule}\n{types}\n{found:#?}");
    found.into_iter().next().unwrap()
}

fn with(old: &str, new: &str) -> String {
    assert_eq!(WHOLE.matches(old).count(), 1, "{old}");
    WHOLE.replace(old, new)
}

/// The room says the same of a cordage of its own as of the same one by the name that the tables have.
#[test]
fn a_cordage_of_the_sites_own_is_judged_like_one_of_the_tables() {
    let rules = |found: Vec<(Finding, String)>| {
        let each = found.into_iter();
        let mut rules: Vec<_> = each.map(|(found, _)| (found.rule, found.verdict)).collect();
        rules.sort_unstable_by_key(|(rule, _)| *rule);
        rules
    };
    let listed = rules(found(&ROOM.replace("own-flex", "H05VV-F"), ""));
    assert_eq!(rules(found(ROOM, WHOLE)), listed);
    assert_eq!(rules(found(ROOM, LIKE)), listed);
}

#[test]
fn the_words_of_the_site_decide_and_say_whose_they_are() {
    let (found, _) = only(
        &with("500 V", "200 V").replace("300 V", "100 V"),
        "voltage-out-of-range",
    );
    assert_eq!(
        (found.verdict, found.level),
        (Verdict::Broken, Level::Error)
    );
    let sources: Vec<String> = found.basis.iter().map(ToString::to_string).collect();
    let wanted = "data sheet 7, 2025-02 (as given by the site)".to_owned();
    assert!(sources.contains(&wanted), "{sources:?}");
    // In air as hot as its conductors may get it carries nothing.
    let hot = ROOM.replace("ambient: 25 °C", "ambient: 60 °C");
    let too_hot = |types: &str| said(&hot, types, "jacket-too-hot").len();
    assert_eq!(too_hot(&with("70 °C", "55 °C")), 1);
    assert_eq!(too_hot(&with("70 °C", "90 °C")), 0);
    // A plenum and a wet room ask what a harmonised cord answers itself.
    let wet = ROOM.replace("air: room", "air: room, wet: yes");
    let unfit = |types: &str| said(&wet, types, "jacket-duty").len();
    assert_eq!(unfit(WHOLE), unfit(&with("wet: no", "wet: yes")) + 1);
    let smoke = ROOM.replace("air: room", "air: room, halogen-free: required");
    let smoking = |types: &str| said(&smoke, types, "jacket-smoke").len();
    assert_eq!(smoking(WHOLE), 1);
    assert_eq!(smoking(&with("halogen-free: no", "halogen-free: yes")), 0);
    let oily = ROOM.replace("air: room", "air: room, oil: yes");
    assert_eq!(said(&oily, &with("oil: no", "oil: yes"), "jacket-duty"), []);
    assert_eq!(said(&oily, WHOLE, "jacket-duty").len(), 1);
}

#[test]
fn only_the_sizes_that_its_maker_lists_are_made() {
    for (sizes, wanted) in [
        ("[0.75 mm², 1.0 mm²]", false),
        ("[0.75 mm², 1.5 mm²]", true),
        ("[1.5 mm²]", true),
    ] {
        let types = with("[0.75 mm², 1.0 mm²]", sizes);
        let told = said(ROOM, &types, "size-not-made");
        assert_eq!(told.len(), usize::from(wanted), "{sizes}: {told:#?}");
        let names_it = |text: &str| text.contains("own-flex is not made in 1 mm², but in");
        assert!(
            told.iter().all(|(found, _)| names_it(&found.headline)),
            "{told:#?}"
        );
    }
}

#[test]
fn what_is_missing_is_told_and_passes_nothing() {
    for key in [
        "made-by: harmonised",
        "voltage: 500 V",
        "earth-voltage: 300 V",
        "temperature: 70 °C",
        "insulation: pvc-70",
        "sizes: [0.75 mm², 1.0 mm²]",
        "duty: ordinary",
        "source: data sheet 7, 2025-02",
    ] {
        let without = with(&format!("    {key}\n"), "");
        let (found, at) = only(&without, "missing-key");
        let name = key.split(':').next().unwrap();
        assert_eq!(at, "own-flex");
        let wanted = format!("cordage type own-flex has no `{name}`");
        assert!(found.headline.starts_with(&wanted), "{}", found.headline);
        // The cordage is not known then: what turns on it is asked.
        let hot = ROOM.replace("ambient: 25 °C", "ambient: 60 °C");
        let open = said(&hot, &without, "jacket-too-hot");
        assert!(!open.is_empty(), "{key}");
        let unreadable = with(&format!("    {key}\n"), &format!("    {name}: [{{}}]\n"));
        assert!(
            !said(&hot, &unreadable, "jacket-too-hot").is_empty(),
            "{key}"
        );
    }
}

#[test]
fn an_answer_that_cannot_be_read_is_no_answer() {
    let smoke = ROOM.replace("air: room", "air: room, halogen-free: required");
    let like = "cordage-types:\n  own-flex: {like: H05Z1Z1-F, halogen-free: perhaps, source: s}\n";
    assert_eq!(
        said(
            &smoke,
            &like.replace("halogen-free: perhaps, ", ""),
            "jacket-smoke"
        ),
        []
    );
    let told = said(&smoke, like, "jacket-smoke");
    assert!(!told.is_empty());
}

#[test]
fn what_cannot_be_meant_is_told_at_its_bytes() {
    for (old, new, at, word) in [
        (
            "earth-voltage: 300 V",
            "earth-voltage: 600 V",
            "600 V",
            "more to earth",
        ),
        ("[0.75 mm², 1.0 mm²]", "[]", "[]", "no size"),
        ("[0.75 mm², 1.0 mm²]", "[0 mm², 1.0 mm²]", "0", "0"),
        ("pvc-70", "pvc-7", "pvc-7", "not an insulation"),
        ("duty: ordinary", "duty: rough", "rough", "not a duty"),
    ] {
        let (found, found_at) = only(&with(old, new), "bad-quantity");
        assert!(found_at.contains(at), "{found_at}: {}", found.headline);
        assert!(found.headline.contains(word), "{new}: {}", found.headline);
    }
    let more = |line: &str| format!("{LIKE}  {line}\n");
    for (line, at) in [
        ("H05VV-F: {like: H05VV-F, source: s}", "H05VV-F"),
        ("flex: {like: H05VV-F, source: s}", "flex"),
        ("own-: {like: H05VV-F, source: s}", "own-"),
        ("own-a: {like: own-a, source: s}", "own-a"),
        ("own-a: {like: own-flex, source: s}", "own-flex"),
    ] {
        let (found, found_at) = only(&more(line), "bad-quantity");
        assert_eq!(found_at, at, "{}", found.headline);
    }
}

#[test]
fn a_name_that_nobody_describes_is_told_with_the_nearest() {
    let (found, at) = only(&LIKE.replace("own-flex", "own-flax"), "unknown-name");
    assert_eq!(at, "own-flex");
    assert_eq!(found.remedy.advice, "Is `own-flax` meant?");
    let nobody = ROOM.replace("cordage: own-flex", "cordage: gutta-percha");
    let found = said(&nobody, "", "unknown-name");
    let (found, _) = found.first().unwrap();
    assert!(
        found.remedy.advice.contains("`cordage-types`"),
        "{}",
        found.remedy.advice
    );
}
