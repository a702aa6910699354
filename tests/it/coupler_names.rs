//! Couplers as people write them, in sites and on the command line.

use cordwright::finding::{Finding, Level};

use crate::pages::bases;
use crate::site::judged;
use crate::world::World;

/// What rules say of a site with one more file.
fn found(more: &str, rule: &str) -> Vec<Finding> {
    let base = ("base-iec.yaml".to_owned(), bases()["base-iec.yaml"].clone());
    let findings = judged(&vec![base, ("more.yaml".to_owned(), more.to_owned())]).findings;
    findings
        .into_iter()
        .filter(|finding| finding.rule == rule)
        .collect()
}

/// The same parts in every place that holds a coupler: where they are, and with the half that is theirs.
#[test]
fn the_half_that_does_not_belong_is_told_in_every_place() {
    let places = [
        (
            "circuits:\n  A-9: {from: ups-a, poles: [L1, N], receptacle: ~}\n",
            "R",
            "a socket",
        ),
        (
            "cord-types:\n  t: {plug: ~, connector: C13}\n",
            "P",
            "a plug",
        ),
        (
            "cord-types:\n  outlets: {plug: C14, connector: ~}\n",
            "R",
            "a connector",
        ),
        (
            "cord-types:\n  t: {plug: C14, legs: {plug: {connector: ~}}}\n",
            "R",
            "a connector",
        ),
        ("pdu-models:\n  m: {plug: ~}\n", "P", "a plug"),
        (
            "pdu-models:\n  m: {plug: C14, banks: {B1: {outlets: {plug: ~}}}}\n",
            "R",
            "an outlet",
        ),
        (
            "pdu-models:\n  m: {plug: C14, banks: {B1: {outlets: {1: {coupler: ~}}}}}\n",
            "R",
            "an outlet",
        ),
        (
            "device-models:\n  m: {inlets: {outlets: ~}}\n",
            "P",
            "an inlet",
        ),
        (
            "device-models:\n  m: {inlets: {psu1: {coupler: ~}}}\n",
            "P",
            "an inlet",
        ),
    ];
    for (site, right, place) in places {
        let wrong = if right == "P" { "R" } else { "P" };
        for (name, half) in [("NEMA L6-30", wrong), ("L6-30", wrong), ("IG5-20", wrong)] {
            let text = site.replace('~', &format!("{name}{half}"));
            let told = found(&text, "bad-quantity");
            let told: Vec<_> = told
                .iter()
                .filter(|one| one.headline.contains("wrong half"))
                .collect();
            assert_eq!(told.len(), 1, "{text}");
            assert!(told[0].headline.contains(place), "{}", told[0].headline);
            assert_eq!(told[0].level, Level::Warning);
            let advice = told[0].remedy.advice.as_str();
            assert!(advice.contains(&format!("{right}`")), "{advice}");
        }
        for name in [
            "NEMA L6-30".to_owned(),
            "L6-30".to_owned(),
            format!("L6-30{right}"),
        ] {
            let text = site.replace('~', &name);
            let told = found(&text, "bad-quantity");
            assert!(
                !told.iter().any(|one| one.headline.contains("wrong half")),
                "{text}"
            );
        }
    }
    // Codes of pin-and-sleeve couplers have four letters for two halves.
    for (code, is_told) in [
        ("332R6W", false),
        ("332C6W", false),
        ("332P6W", true),
        ("332B6W", true),
    ] {
        let text = places[0].0.replace('~', code);
        assert_eq!(!found(&text, "bad-quantity").is_empty(), is_told, "{code}");
    }
}

/// The advice of what no table knows: what may be meant, or what the standard has; never another standard.
#[test]
fn what_no_table_knows_is_answered_by_its_standard() {
    for (name, has, lacks) in [
        ("AS/NZS 3123", "not those of AS/NZS 3112", "Write `"),
        ("C31", "Of IEC 60320 the tables have C1, C2", "meant"),
        (
            "NEMA 5-51",
            "Of NEMA series 5 the tables have NEMA 5-15",
            "meant",
        ),
        ("NEM L6-30", "Is `NEMA L6-30` meant?", "6-20"),
        ("430P12W", "`IEC 60309 30 A 2P+N+E 12h`", "meant"),
        ("SS 145", "(from memory, verify). Write `BS 1363`", "meant"),
        ("gooseneck", "described under `coupler-types`", "meant"),
    ] {
        let text = format!("cord-types:\n  t: {{plug: \"{name}\", connector: C13}}\n");
        let told = found(&text, "unknown-name");
        assert_eq!(told.len(), 1, "{name}");
        let advice = told[0].remedy.advice.clone();
        assert!(
            advice.contains(has) && !advice.contains(lacks),
            "{name}: {advice}"
        );
        assert!(told[0].remedy.edits.is_empty(), "{name}");
    }
}

#[test]
fn parts_and_systems_are_cited_by_any_of_their_names() {
    let world = World::with(&[]);
    for (word, says) in [
        ("C13", vec!["C13\n", "10 A", "Takes", "Source: IEC 60320-1"]),
        ("iec 320 c13", vec!["C13\n"]),
        ("NEMA L6-30", vec!["NEMA L6-30\n", "turns to lock"]),
        ("IG5-20R", vec!["NEMA 5-20\n", "orange triangle"]),
        (
            "332P6W",
            vec!["IEC 60309 32 A 2P+E 6h\n", "plug or inlet", "does not go"],
        ),
        (
            "SJT",
            vec!["SJT\n", "Hard usage", "(one copy read, verify)"],
        ),
        ("h05vvf", vec!["H05VV-F\n"]),
        // A country and a cordage.
        ("SE", vec!["SE, Sweden", "extra-hard usage"]),
        (
            "3/N/PE ~ 400/230 V",
            vec!["3/N/PE ~ 400/230 V\n", "between lines"],
        ),
    ] {
        let page = world.run(&["cite", word]).expect(0).to_owned();
        let folded = page
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .to_lowercase();
        for words in says {
            let words = words.trim_end().to_lowercase();
            assert!(folded.contains(&words), "{word}: {words}\n{page}");
        }
    }
    for (word, says) in [
        ("SS 145", "Write `BS 1363`"),
        ("C31", "Of IEC 60320 the tables have"),
        ("coupler-mismacht", "coupler-mismatch"),
        ("\u{1b}[31mC13", "no rule"),
    ] {
        let ended = world.run(&["cite", word]);
        assert_eq!(ended.code, Some(2), "{word}");
        let said = ended
            .errors
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(said.contains(says), "{word}: {said}");
    }
}
