//! What stands in no section and was meant to is told; files of other tools never are.

use std::fs;
use std::path::Path;

use cordwright::finding::{Finding, Verdict};
use cordwright::input::{PassedOver, Reason};
use cordwright::judgement::Judgement;

use crate::pages::bases;
use crate::site::{Files, judged};

/// The base site with one more file.
fn with(path: &str, text: &str) -> Judgement {
    let mut files: Files = vec![("cordwright.yaml".into(), bases()["base-iec.yaml"].clone())];
    files.push((path.into(), text.into()));
    judged(&files)
}

/// Findings in the file that is added.
fn found<'j>(judgement: &'j Judgement, path: &str) -> Vec<&'j Finding> {
    let is_there = |f: &&Finding| judgement.sources.file(f.main.span.file).path == path;
    judgement.findings.iter().filter(is_there).collect()
}

/// The one finding of `unknown-key`: the text that it points at, its advice and its edits.
#[track_caller]
fn told(text: &str) -> (String, String, Vec<String>) {
    let judgement = with("more.yaml", text);
    let found = found(&judgement, "more.yaml");
    let [finding] = found.as_slice() else {
        panic!("{text:?}: {found:#?}");
    };
    assert_eq!(
        (finding.rule, finding.verdict),
        ("unknown-key", Verdict::Broken),
        "{text:?}"
    );
    assert!(judgement.passed_over.is_empty() && judgement.unread.is_empty());
    let edits = finding.remedy.edits.iter().map(|edit| edit.text.clone());
    (
        judgement.sources.text(finding.main.span).to_owned(),
        finding.remedy.advice.clone(),
        edits.collect(),
    )
}

const CORD: &str = "{W-1: {type: c14-1.5m, from: pdu-a/1, to: rec-1/psu1}}";

#[test]
fn a_section_with_a_misspelt_name_is_told_in_a_file_of_its_own() {
    for (key, section) in [
        ("Cords", "cords"),
        ("CORDS", "cords"),
        ("coords", "cords"),
        ("cord", "cords"),
        ("c\u{43e}rds", "cords"),
        ("\u{ff43}\u{ff4f}\u{ff52}\u{ff44}\u{ff53}", "cords"),
        ("cords\u{200b}", "cords"),
        ("\"cords \"", "cords"),
    ] {
        let (at, advice, edits) = told(&format!("{key}: {CORD}\n"));
        assert_eq!(at, key);
        assert!(advice.contains(&format!("`{section}`")), "{key}: {advice}");
        assert_eq!(edits, [section], "{key}: {advice}");
    }
    for (text, at) in [
        ("pdu: {p: {model: strip-16, rack: r1, from: A-1}}", "pdu"),
        ("device: {d: {model: recorder, rack: r1, at: U3}}", "device"),
        ("pdu: {p: {model: strip-16, from: A-1}}", "pdu"),
        ("Supplies: {s: {feed: A}}", "Supplies"),
        // In a file with a section, any other key.
        ("racks:\nkabel: {a: 1}", "kabel"),
        ("rack: {r2: {zone: hall, height: 42 U}}", "rack"),
        ("zone: {yard: {ambient: 30 °C}}", "zone"),
        ("cord_types: {t: {plug: C14}}", "cord_types"),
        ("cordTypes: {t: {plug: C14}}", "cordTypes"),
        ("circiuts: {A-9: {from: ups-a, poles: [L1, N]}}", "circiuts"),
        ("Devices: {d: {modell: recorder}}", "Devices"),
        (
            "coords: [{type: c14-1.5m, from: pdu-a/1, to: rec-1/psu1}]",
            "coords",
        ),
        ("pdu: {model: strip-16, rack: r1}", "pdu"),
        ("notes: {a: 1}\nCords: {W-1: {}}\nmore: 1", "Cords"),
        ("a: 1\n---\nCords: {W-1: {}}", "Cords"),
    ] {
        assert_eq!(told(&format!("{text}\n")).0, at, "{text}");
    }
}

#[test]
fn letters_that_deceive_the_eye_are_named() {
    let (_, advice, _) = told(&format!("c\u{43e}rds: {CORD}\n"));
    assert_eq!(
        advice,
        "Write `cords`? `\u{43e}` (U+043E) only looks like `o`."
    );
    // In a file with sections of ours as well.
    let judgement = with("more.yaml", &format!("racks:\ncords\u{a0}: {CORD}\n"));
    let advice = &found(&judgement, "more.yaml")[0].remedy.advice;
    assert!(advice.contains("U+00A0"), "{advice}");
}

#[test]
fn things_of_ours_in_no_section_are_told() {
    for (text, at, section) in [
        (format!("kabel: {CORD}"), "kabel", "cords"),
        (format!("power: {{cords: {CORD}}}"), "cords", "cords"),
        (format!("- cords: {CORD}"), "cords", "cords"),
        (
            "W-1: {type: c14-1.5m, from: pdu-a/1, to: rec-1/psu1}".to_owned(),
            "W-1",
            "cords",
        ),
        (
            "- {type: c14-1.5m, from: pdu-a/1, to: rec-1/psu1}".to_owned(),
            "type",
            "cords",
        ),
        (
            "machines: {d: {model: recorder, rack: r1, at: U3}}".to_owned(),
            "machines",
            "devices",
        ),
        (
            "leads: {t: {plug: C14, connector: C13, conductor: 1 mm², length: 2 m}}".to_owned(),
            "leads",
            "cord-types",
        ),
        (
            "breakers: {A-9: {from: ups-a, poles: [L1, N], breaker: 16 A}}".to_owned(),
            "breakers",
            "circuits",
        ),
        (
            "base: &b {type: c14-1.5m}\nleads: {W-1: {<<: *b, from: A-1, to: rec-1/psu1}}"
                .to_owned(),
            "leads",
            "cords",
        ),
    ] {
        let (shown, advice, edits) = told(&format!("{text}\n"));
        assert_eq!(shown, at, "{text}");
        assert!(
            advice.contains(&format!("`{section}:`")),
            "{text}: {advice}"
        );
        assert!(advice.contains("leave-out"), "{text}: {advice}");
        assert!(edits.is_empty(), "{text}");
    }
}

#[test]
fn what_a_misspelt_section_may_hold_is_an_open_point() {
    let missing = "devices: {d: {model: recorder}}\ncord-types: {}\n";
    let judgement = with(
        "more.yaml",
        &format!("{missing}device-modles: {{recorder: {{inlets: {{psu1: C14}}}}}}\n"),
    );
    let of_model = judgement.findings.iter().find(|f| f.rule == "unknown-name");
    assert_eq!(of_model.map(|f| f.verdict), Some(Verdict::Open));
}

#[test]
fn files_of_other_tools_are_never_told() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/foreign");
    let mut seen = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let text = fs::read_to_string(&path).unwrap();
        let judgement = with("other.yaml", &text);
        let said = found(&judgement, "other.yaml");
        assert!(said.is_empty(), "{}: {said:#?}", path.display());
        assert!(
            judgement.unread.is_empty(),
            "{}: {:?}",
            path.display(),
            judgement.unread
        );
        assert_eq!(judgement.passed_over.len(), 1, "{}", path.display());
        seen += 1;
    }
    assert!(seen >= 12, "{seen}");
}

/// The only file besides the base is passed over for this reason.
#[track_caller]
fn assert_passed_over(text: &str, why: Reason) {
    let judgement = with("other.yaml", text);
    assert!(found(&judgement, "other.yaml").is_empty(), "{text:?}");
    assert!(
        judgement.unread.is_empty(),
        "{text:?}: {:?}",
        judgement.unread
    );
    let path = "other.yaml".to_owned();
    assert_eq!(
        judgement.passed_over,
        [PassedOver { path, why }],
        "{text:?}"
    );
}

#[test]
fn what_is_wrong_with_other_peoples_files_is_their_affair() {
    assert_passed_over("a: !env HOME\nb: !!set {c}\n", Reason::NoSection);
    assert_passed_over("a: *nowhere\n", Reason::NoSection);
    assert_passed_over("a: 1\na: 2\n", Reason::NoSection);
    assert_passed_over("", Reason::NoSection);
    assert_passed_over("services: [web\nb: 1\n", Reason::Garbled);
    assert_passed_over(
        "{{ range .devices }}\nkind: x\n{{ end }}\n",
        Reason::Garbled,
    );
    assert_passed_over("a: \"x\nb: y\"\n", Reason::Garbled);
}

/// The file cannot be read and may hold ours: it is told, and the run is not complete.
#[track_caller]
fn assert_told_as_unread(text: &str) {
    let judgement = with("other.yaml", text);
    let said = found(&judgement, "other.yaml");
    assert!(said.iter().any(|f| f.rule == "unreadable-file"), "{text:?}");
    assert_eq!(judgement.unread.len(), 1, "{text:?}");
    assert!(judgement.passed_over.is_empty(), "{text:?}");
}

#[test]
fn a_file_that_cannot_be_read_and_may_hold_sections_is_told() {
    for text in [
        "a: [\ncords:\n  W-1: {}\n",
        "a: [\nCord:\n  W-1: {}\n",
        "{a: [}, cords: {}\n",
        // What was read before the break looks like ours.
        "kabel:\n  W-1: {type: t, from: p/1, to: d/psu1}\n  W-2: [\n",
        // Packed, encrypted or in another encoding.
        "\u{1}\u{2}locked\u{0}",
        "note: \"x\ncords:\n  W-1: \"\n",
    ] {
        assert_told_as_unread(text);
    }
}

#[test]
fn a_tag_in_a_section_is_told_and_the_rest_is_judged() {
    let judgement = with(
        "more.yaml",
        "a: !env A\n---\nracks: !ours {r2: {zone: !env ZONE, height: 42}}\n--- !x\nb: 1\n",
    );
    let said: Vec<_> = found(&judgement, "more.yaml")
        .iter()
        .map(|f| (f.rule, judgement.sources.text(f.main.span)))
        .collect();
    let expected = [
        ("unreadable-file", "!ours"),
        ("unreadable-file", "!env"),
        ("bad-quantity", "42"),
    ];
    for one in expected {
        assert!(said.contains(&one), "{one:?} in {said:?}");
    }
    assert_eq!(
        said.iter().filter(|one| one.0 == "unreadable-file").count(),
        2
    );
}

#[test]
fn a_note_in_the_place_of_a_file_is_told() {
    for host in ["git-lfs.github.com", "hawser.github.com"] {
        let text = format!("version https://{host}/spec/v1\noid sha256:4d7a21\nsize 12345\n");
        let judgement = with("stock.yaml", &text);
        let said = found(&judgement, "stock.yaml");
        assert_eq!(said.len(), 1, "{said:#?}");
        assert_eq!(said[0].rule, "unreadable-file");
        assert!(said[0].headline.contains("git LFS"), "{}", said[0].headline);
        assert!(said[0].remedy.advice.contains("git lfs pull"));
        assert_eq!(judgement.unread.len(), 1);
    }
    // The same words elsewhere are no such note.
    assert_passed_over(
        "a: version https://git-lfs.github.com/spec/v1\n",
        Reason::NoSection,
    );
}

#[test]
fn a_hostile_number_of_tags_is_cut_off() {
    let tags = "!a x, ".repeat(3_000);
    let judgement = with(
        "more.yaml",
        &format!("cord-types: {{t: {{approvals: [{tags}]}}}}\n"),
    );
    let said = found(&judgement, "more.yaml");
    let tags = said.iter().filter(|f| f.headline.contains("tag"));
    assert_eq!(tags.count(), 1_001);
}
