//! Reading whatever a repository may hold: the right finding at the right bytes, and the rest of the
//! site judged as if nothing had happened.

mod half_typed;

use cordwright::finding::{Finding, Verdict};
use cordwright::input::SiteInput;
use cordwright::judgement::{Judgement, Settings, judge};

use crate::pages::bases;
use crate::site::{annotated, today};

/// A fault in a file of its own, which must be found whatever another file holds.
const PLANTED: &str = "racks: {r9: {zone: hall, height: 42}}\n";

/// Judges the base site, the planted fault and one more file.
fn judged(file: &[u8]) -> Judgement {
    let base = bases()["base-iec.yaml"].clone();
    site(&[
        ("cordwright.yaml", base.as_bytes()),
        ("more.yaml", file),
        ("planted.yaml", PLANTED.as_bytes()),
    ])
}

fn site(files: &[(&str, &[u8])]) -> Judgement {
    let files = files
        .iter()
        .map(|(path, bytes)| ((*path).to_owned(), bytes.to_vec()));
    let input = SiteInput {
        files: files.collect(),
        ..SiteInput::default()
    };
    let judgement = judge(input, &Settings::on(today()));
    assert!(judgement.crashed.is_empty(), "{:?}", judgement.crashed);
    judgement
}

fn path_of<'j>(judgement: &'j Judgement, finding: &Finding) -> &'j str {
    &judgement.sources.file(finding.main.span.file).path
}

/// What was found in `more.yaml` by rules of the records on how it is written; the planted fault
/// must be there as well.
#[track_caller]
fn found(judgement: &Judgement) -> Vec<&Finding> {
    let planted = judgement
        .findings
        .iter()
        .any(|f| f.rule == "bad-quantity" && path_of(judgement, f) == "planted.yaml");
    assert!(planted, "the planted fault is not found");
    let written = [
        "unreadable-file",
        "unknown-key",
        "missing-key",
        "bad-quantity",
        "duplicate-name",
        "unknown-name",
    ];
    let here = judgement
        .findings
        .iter()
        .filter(|f| path_of(judgement, f) == "more.yaml" && written.contains(&f.rule));
    here.collect()
}

/// The findings of `file` are these: each a rule, and the bytes it points at, with `«»` around them
/// in `marked`.
#[track_caller]
fn assert_found(marked: &str, rules: &[&str]) {
    let (mut text, mut places) = (String::new(), Vec::new());
    let mut rest = marked;
    while let Some((before, after)) = rest.split_once('«') {
        let (inside, after) = after.split_once('»').expect("a mark that is closed");
        text += before;
        places.push(text.len()..text.len() + inside.len());
        text += inside;
        rest = after;
    }
    text += rest;
    let judgement = judged(text.as_bytes());
    let seen: Vec<_> = found(&judgement)
        .iter()
        .map(|f| (f.rule, f.main.span.range()))
        .collect();
    let expected: Vec<_> = rules.iter().copied().zip(places).collect();
    assert_eq!(seen, expected, "{:#?}", found(&judgement));
}

/// The edits of all findings, made; what is then found.
fn mended(text: &str) -> Vec<String> {
    let judgement = judged(text.as_bytes());
    let mut edits: Vec<_> = found(&judgement)
        .iter()
        .flat_map(|f| f.remedy.edits.clone())
        .collect();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.span));
    assert!(
        !edits.is_empty(),
        "no edit is offered: {:#?}",
        found(&judgement)
    );
    let mut mended = text.to_owned();
    for edit in edits {
        mended.replace_range(edit.span.range(), &edit.text);
    }
    let judgement = judged(mended.as_bytes());
    found(&judgement)
        .iter()
        .map(|f| f.headline.clone())
        .collect()
}

#[test]
fn marks_line_ends_and_letters_do_not_shift_the_bytes() {
    assert_found("\u{feff}racks: {r7: {zone: «hal»}}\n", &["unknown-name"]);
    assert_found(
        "racks:\r\n  r7:\r\n    zone: hall\r\n    «hight»: 42 U\r\n",
        &["unknown-key"],
    );
    assert_found(
        "\u{feff}# Übergabe\r\nracks: {Größe-é: {zone: hall, width: «600»}}\r\n",
        &["bad-quantity"],
    );
    assert_found(
        r#"{"racks": {"r7": {"zone": "«hal»", «"deepth"»: "1 m"}}}"#,
        &["unknown-name", "unknown-key"],
    );
    assert_found(
        "racks:\n  r7: {zone: «\"ha\\u006c\"», height: 42 U}\n  \"r\\x38\": {zone: hall, height: '42 «V»'}\n",
        &["unknown-name", "bad-quantity"],
    );
}

#[test]
fn an_alias_is_told_at_the_definition_and_shows_the_use() {
    let text = "racks:\n  r7: &rack {zone: hall, «height»: 42}\n  r8: *rack\n  r6:\n    <<: *rack\n    zone: hal\n";
    let text = text.replace(['«', '»'], "");
    let judgement = judged(text.as_bytes());
    let seen = found(&judgement);
    let rules: Vec<_> = seen.iter().map(|f| f.rule).collect();
    assert_eq!(rules, ["bad-quantity", "unknown-name"], "{seen:#?}");
    let places: Vec<&str> = seen[0]
        .places()
        .map(|(place, _)| judgement.sources.text(place.span))
        .collect();
    assert_eq!(places, ["42", "r8", "r6"], "the definition, then both uses");
}

#[test]
fn merged_keys_stand_back_behind_written_ones() {
    assert_found(
        "racks:\n  r7: &a {zone: hall, width: «600»}\n  r8: {<<: *a, width: 600 mm}\n  r6: {<<: [*a, {depth: 1 m}], zone: «hal»}\n",
        &["bad-quantity", "unknown-name"],
    );
    assert_found(
        "racks: {r7: &a {zone: hall}, r8: {<<: *a}, r6: {<<: «all»}}\n",
        &["bad-quantity"],
    );
    // What a thing of another kind has, and this one does not, is told where it is written.
    assert_found(
        "zones: {yard: &a {ambient: 25 °C, «wet»: no}}\nracks: {r7: {zone: yard, height: 42 U}}\ndevice-models: {m: {inlets: {p: C14}, <<: {«wett»: no}}}\n"
            .replacen("«wet»", "wet", 1)
            .as_str(),
        &["unknown-key"],
    );
}

#[test]
fn an_anchor_set_twice_counts_from_there_on() {
    assert_found(
        "racks:\n  r6: &a {zone: «hal»}\n  r7: &a {zone: hall}\n  r8: *a\n",
        &["unknown-name"],
    );
}

#[test]
fn every_document_of_a_file_is_read() {
    assert_found(
        "racks: {r7: {zone: «hal»}}\n---\n# nothing\n---\nracks: {r8: {zone: «hol»}}\n",
        &["unknown-name", "unknown-name"],
    );
    // The next document is read as usual after one that breaks off.
    let judgement = judged(b"racks: {r7: [1, 2}\n---\nracks: {r8: {zone: hall, width: 600}}\n");
    let rules: Vec<_> = found(&judgement).iter().map(|f| f.rule).collect();
    assert_eq!(rules, ["unreadable-file", "bad-quantity"]);
    assert_eq!(judgement.unread.len(), 1);
}

#[test]
fn files_that_say_nothing_are_no_fault() {
    for file in [
        "",
        "\n",
        "\u{feff}",
        "# only words\n",
        "---\n---\n",
        "other: {a: 1}\n",
    ] {
        let judgement = judged(file.as_bytes());
        assert!(found(&judgement).is_empty(), "{file:?}");
        assert!(judgement.unread.is_empty(), "{file:?}");
    }
}

/// The file cannot be read: one finding at `at`, and the run says that it was not complete.
#[track_caller]
fn assert_unreadable(file: &[u8], at: std::ops::Range<usize>) {
    let judgement = judged(file);
    let seen = found(&judgement);
    let first = seen.first().expect("a finding");
    assert_eq!(
        (first.rule, first.main.span.range()),
        ("unreadable-file", at)
    );
    assert_eq!(judgement.unread.len(), 1, "{:?}", judgement.unread);
}

#[test]
fn files_that_are_no_text_are_named_at_the_byte() {
    assert_unreadable(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 0..1);
    let latin = b"racks: {r7: {zone: hall}} # caf\xe9\n";
    let at = latin.iter().position(|&byte| byte == 0xe9).unwrap();
    assert_unreadable(latin, at..at + 1);
    let wide: Vec<u8> = "racks: {r7: {zone: hal}}\n"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    assert_unreadable(&[b"\xff\xfe".as_slice(), &wide].concat(), 0..2);
    assert_unreadable(b"racks: {r7: \"zone\n", 12..13);
}

#[test]
fn a_file_that_is_no_text_is_called_so() {
    for bytes in [
        b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".as_slice(),
        b"\x01\0\x02\0\x03\0\x04\0",
        b"\0asm\x01\0\0\0",
    ] {
        let judgement = judged(bytes);
        let [told] = found(&judgement)[..] else {
            panic!("{:#?}", found(&judgement))
        };
        assert!(told.headline.contains("not text"), "{}", told.headline);
        assert_eq!(judgement.unread.len(), 1, "{:?}", judgement.unread);
    }
}

#[test]
fn files_made_to_exhaust_are_given_up() {
    let deep = format!("racks: {}", "[".repeat(100_000));
    let judgement = judged(deep.as_bytes());
    assert_eq!(found(&judgement)[0].rule, "unreadable-file");
    let mut bomb = String::from("racks:\n  a0: &a0 {zone: hall}\nx0: &x0 [*a0, *a0]\n");
    for n in 1..60 {
        let all = vec![format!("*x{}", n - 1); 20].join(", ");
        bomb += &format!("x{n}: &x{n} [{all}]\n");
    }
    bomb += "departures: *x59\nsite: {stock-lengths: *x59}\n";
    let judgement = judged(bomb.as_bytes());
    assert!(found(&judgement).len() < 200, "told once, not without end");
    let mut merges = String::from("racks:\n  a0: &m0 {zone: hall}\n");
    for n in 1..40 {
        let all = vec![format!("*m{}", n - 1); 20].join(", ");
        merges += &format!("  a{n}: &m{n} {{<<: [{all}]}}\n");
    }
    let judgement = judged(merges.as_bytes());
    let seen = found(&judgement);
    assert!(seen.iter().any(|f| f.headline.contains("repeat too much")));
    assert_eq!(judgement.unread.len(), 1, "the run was not complete");
}

#[test]
fn what_is_half_typed_lacks_nothing() {
    for base in bases().values() {
        let ends = base.char_indices().map(|(at, _)| at);
        for end in ends.filter(|at| at % 3 == 0) {
            let judgement = site(&[("cordwright.yaml", &base.as_bytes()[..end])]);
            let lacking = judgement
                .findings
                .iter()
                .find(|f| f.rule == "missing-key" && f.verdict == Verdict::Broken);
            // That there is nothing to judge yet is another matter.
            let is_cut = judgement
                .unread
                .iter()
                .any(|u| !u.why.contains("no supply"));
            if let Some(lacking) = lacking.filter(|_| is_cut) {
                panic!("{}\n{}", &base[..end], lacking.headline);
            }
        }
    }
}

#[test]
fn nothing_and_a_foreign_tag_are_no_value() {
    assert_found("racks: {r7: {zone: «~»}}\n", &["bad-quantity"]);
    assert_found(
        "racks: {r7: {zone: «null», height: 42 U}}\n",
        &["bad-quantity"],
    );
    assert_found(
        "racks: {r7: {zone: hall, height: «!env» HEIGHT}}\n",
        &["unreadable-file"],
    );
    assert_found("racks: {r7: {zone: !!str hall, height: !!str 42 U}}\n", &[]);
    assert_found(
        "departures: [{rule: load-basis, at: W-1, reason: «~», agreed-by: A. Other, until: 2027-03-31}]\n",
        &["bad-quantity"],
    );
    assert_found("zones: ~\nracks:\n", &[]);
}

#[test]
fn traps_are_told_and_safe_edits_mend_them() {
    for (text, words) in [
        ("zones: {yard: {wet: on}}", "is not yes or no"),
        (
            "zones: {yard: {vibration: NONE}}",
            "is not a kind of vibration",
        ),
        ("racks: {012: {zone: hall}}", "10 or 12"),
        ("racks: {r7: {zone: hall, width: '1,5 m'}}", "`1,5`"),
        ("site: {feeds: {NO: {colour: blue}}}", "take it for false"),
        ("devices: {d: {model: 1.10}}", "the number 1.1"),
        ("devices: {d: {model: 12:30}}", "the number 750"),
        (
            "cord-types: {t: {plug: C14, conductor: 1 mm², length: 1 m, cores: 03}}",
            "`03`",
        ),
        ("racks: {r7: {zone: hall, hieght: 42 U}}", "`hieght`"),
        ("pdus: {p: {model: stirp-16, from: pdu-b/1}}", "`stirp-16`"),
        (
            "device-models: {sensor: {height: 1 U}}\ndevices: {d: {model: 'senosr', rack: r1}}",
            "`senosr`",
        ),
    ] {
        let judgement = judged(text.as_bytes());
        let said: Vec<_> = found(&judgement)
            .iter()
            .map(|f| f.headline.clone())
            .collect();
        let with_words = |all: &[String]| all.iter().filter(|one| one.contains(words)).count();
        assert!(with_words(&said) > 0, "{text}: {said:#?}");
        let left = mended(text);
        assert_eq!(with_words(&left), 0, "{text}: {left:#?}");
    }
}

#[test]
fn what_opposite_a_slip_could_mean_is_never_offered() {
    let judgement = judged(b"zones: {yard: {wet: on}}");
    let edits: Vec<_> = found(&judgement)
        .iter()
        .flat_map(|f| f.remedy.edits.iter().map(|edit| edit.text.clone()))
        .collect();
    assert_eq!(edits, ["yes"], "`on` is one slip from `no`");
}

/// What is said of how to put each finding right, and the edits that do it.
fn remedies(text: &str) -> Vec<(String, Vec<String>)> {
    let judgement = judged(text.as_bytes());
    let remedies = found(&judgement).into_iter().map(|f| &f.remedy);
    let each = remedies.map(|remedy| {
        let edits = remedy.edits.iter().map(|edit| edit.text.clone());
        (remedy.advice.clone(), edits.collect())
    });
    each.collect()
}

#[test]
fn a_misspelt_word_is_mended_and_another_thing_is_asked_about() {
    let devices = "device-models: {sensor: {height: 1 U}}\n\
        devices: {server-01: {model: sensor}, server-left: {model: sensor}}\n";
    for (text, word, is_sure) in [
        ("cords: {W: {to: server-03}}", "server-01", false),
        ("cords: {W: {to: sevrer-01}}", "server-01", true),
        ("cords: {W: {to: Server_left}}", "server-left", true),
        ("cords: {W: {from: pdu-q/1}}", "pdu-a", false),
        ("pdus: {p: {from: 'pdu-b/1O'}}", "1", false),
        ("racks: {r7: {weight: 42 U}}", "height", false),
        ("cord-types: {t: {plug: XS 1363}}", "BS 1363", false),
        ("cord-types: {t: {cordage: SVTO0}}", "SVTO", false),
        (
            "departures: [{rule: cuopler-mismach}]",
            "coupler-mismatch",
            true,
        ),
        ("zones: {yard: {vibration: siesmic}}", "seismic", true),
        ("supplies: {s: {earthing: TN-X}}", "TN-S", false),
    ] {
        let remedies = remedies(&format!("{devices}{text}"));
        let (asked, edits) = match is_sure {
            true => (format!("Write `{word}`?"), vec![word.to_owned()]),
            false => (format!("Is `{word}` meant?"), Vec::new()),
        };
        let said = |(advice, made): &(String, _)| advice.starts_with(&asked) && *made == edits;
        assert!(remedies.iter().any(said), "{text}: {remedies:#?}");
    }
}

#[test]
fn a_count_that_can_be_read_in_two_ways_is_not_mended() {
    for (count, right) in [("03", Some("3")), ("08", Some("8")), ("012", None)] {
        let remedies = remedies(&format!("cord-types: {{t: {{cores: {count}}}}}"));
        let mut of_count = remedies
            .iter()
            .filter(|(advice, _)| advice.contains("digits only"));
        let (_, edits) = of_count.next().expect("a count that is told");
        assert_eq!(edits.first().map(String::as_str), right, "{count}");
    }
}

#[test]
fn a_site_that_does_not_say_its_practice_is_asked_for_it() {
    let base = bases()["base-iec.yaml"].clone();
    let without_site = base.split_once("zones:").unwrap().1;
    let without_site = format!("zones:{without_site}");
    for (text, key) in [
        (base.replace("  practice: iec\n", ""), "`practice`"),
        (without_site, "`site`"),
        (String::new(), "`site`"),
    ] {
        let judgement = site(&[
            ("a.yaml", b"# first of all\n"),
            ("cordwright.yaml", text.as_bytes()),
        ]);
        let missing: Vec<_> = judgement
            .findings
            .iter()
            .filter(|f| f.rule == "missing-key")
            .map(|f| (path_of(&judgement, f), f.headline.contains(key)))
            .collect();
        assert_eq!(missing, [("cordwright.yaml", true)], "{key}");
    }
}

#[test]
fn a_label_pattern_that_cannot_be_used_is_told() {
    let base = bases()["base-iec.yaml"].clone();
    let text = base.replace("  country: GB\n", "  country: GB\n  label: \"W-[0-9\"\n");
    let judgement = site(&[("cordwright.yaml", text.as_bytes())]);
    let said: Vec<_> = judgement
        .findings
        .iter()
        .filter(|f| f.verdict == Verdict::Broken)
        .map(|f| (f.rule, judgement.sources.text(f.main.span)))
        .collect();
    assert_eq!(said, [("bad-quantity", "\"W-[0-9\"")]);
}

/// A small fixed source of random numbers (a linear congruential generator of full period; the
/// constants are Knuth's MMIX ones): the same damage on every run.
struct Random(u64);

impl Random {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end.max(1)
    }
}

fn damaged(base: &[u8], random: &mut Random) -> Vec<u8> {
    let mut bytes = base.to_vec();
    for _ in 0..=random.below(4) {
        let at = random.below(bytes.len());
        match random.below(5) {
            0 => bytes[at] = random.below(256) as u8,
            1 => drop(bytes.remove(at)),
            2 => bytes.insert(at, b"[]{}:,-&*!|>'\"#%@`\n\t 0"[random.below(22)]),
            3 => {
                let end = (at + random.below(40)).min(bytes.len());
                bytes.drain(at..end);
            }
            _ => {
                let end = (at + random.below(80)).min(bytes.len());
                let piece = bytes[at..end].to_vec();
                let to = random.below(bytes.len());
                bytes.splice(to..to, piece);
            }
        }
    }
    bytes
}

#[test]
fn damaged_sites_are_judged_and_reported_without_breaking_down() {
    let load = include_str!("reading/load.yaml");
    for base in bases().values() {
        let whole = format!("{base}\n{load}");
        for seed in 0..400 {
            let bytes = damaged(whole.as_bytes(), &mut Random(seed));
            let judgement = site(&[("cordwright.yaml", &bytes)]);
            let text = annotated(&judgement, &judgement.findings);
            assert_eq!(judgement.findings.is_empty(), text.trim().is_empty());
        }
    }
}
