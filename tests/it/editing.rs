//! A site that is being edited shows at once what a whole judgement of the same texts finds.

use cordwright::date::Date;
use cordwright::editor::{OpenSite, Task};
use cordwright::finding::{Finding, Remedy};
use cordwright::ink::Markdown;
use cordwright::input::SiteInput;
use cordwright::judgement::Settings;
use cordwright::source::FileId;

use crate::dice::Dice;
use crate::racks;

fn settings() -> Settings {
    Settings::on(Date::new(2026, 11, 25).unwrap())
}

fn judged(files: Vec<(String, Vec<u8>)>) -> OpenSite {
    let input = SiteInput {
        files,
        ..SiteInput::default()
    };
    let whole = Task::read(input, &[], settings()).judge(|| true);
    OpenSite::new(whole.unwrap())
}

/// A site of two islands: racks 0 to 19, and rack 20.
fn site() -> OpenSite {
    let files = racks::site(21).into_iter();
    judged(
        files
            .map(|(path, text)| (path, text.into_bytes()))
            .collect(),
    )
}

/// What is shown, but for the remedy: where there is room elsewhere, and which name is the nearest,
/// only the whole site tells.
fn shown(site: &OpenSite) -> Vec<Finding> {
    let files = site.files().iter();
    let shown = files.flat_map(|file| site.findings(file.id()));
    let without = shown.cloned().map(|mut finding| {
        finding.remedy = Remedy::default();
        finding
    });
    without.collect()
}

/// The site with the same texts, judged as a whole.
fn anew(site: &OpenSite) -> OpenSite {
    let files = site.files().iter().map(|file| {
        let now = file.now();
        (now.path.clone(), now.text.as_bytes().to_vec())
    });
    judged(files.collect())
}

fn edit(site: &mut OpenSite, file: &str, old: &str, new: &str) {
    let id = site.by_path(file).unwrap();
    let text = site.source(id).text.replacen(old, new, 1);
    assert_ne!(*text, *site.source(id).text, "no {old} in {file}");
    site.edit(id, &text);
}

fn assert_same(site: &OpenSite, what: &str) {
    let fresh = anew(site);
    let (shown, wanted) = (shown(site), shown(&fresh));
    let missing: Vec<_> = wanted.iter().filter(|f| !shown.contains(f)).collect();
    let surplus: Vec<_> = shown.iter().filter(|f| !wanted.contains(f)).collect();
    assert!(
        missing.is_empty() && surplus.is_empty(),
        "{what}: missing {missing:#?}, surplus {surplus:#?}"
    );
}

const RACK: &str = "racks/r0020.yaml";

#[test]
fn edits_of_one_island_show_at_once_what_the_whole_would() {
    let mut site = site();
    let steps = [
        ("a load", "draw: 1", "draw: 91"),
        ("and back", "draw: 91", "draw: 1"),
        (
            "a comment",
            "devices:",
            "# counted in spring\ndevices: # all",
        ),
        (
            "a smaller breaker",
            "breaker: {rating: 32 A",
            "breaker: {rating: 6 A",
        ),
        (
            "a cord that leads nowhere",
            "to: r0020-d03/psu1",
            "to: r0020-d99/psu1",
        ),
        ("a cord taken twice", "from: r0020-A/2,", "from: r0020-A/1,"),
        ("another name", "  r0020-d07:", "  pump-7:"),
        ("a key that nobody knows", "draw: 1", "drow: 1"),
        (
            "a device less",
            "r0020-d09:\n    model: recorder",
            "r0020-d09:",
        ),
        (
            "a cord from another island",
            "from: r0020-B/5,",
            "from: r0003-B/42,",
        ),
        ("another supply", "from: ups-1-A", "from: ups-0-A"),
    ];
    for (what, old, new) in steps {
        edit(&mut site, RACK, old, new);
        assert_same(&site, what);
    }
}

#[test]
fn an_edit_of_no_meaning_needs_no_judgement_and_moves_what_is_shown() {
    let mut site = site();
    edit(&mut site, RACK, "to: r0020-d03/psu1", "to: r0020-d99/psu1");
    let due = site.task(settings());
    site.take(due.judge(|| true).unwrap()).unwrap();
    assert!(site.is_settled());
    edit(
        &mut site,
        RACK,
        "devices:",
        "
# a remark

devices:",
    );
    edit(&mut site, RACK, "cords:", "cords:   # another");
    assert!(site.is_settled());
    assert_same(&site, "a remark");
}

#[test]
fn a_file_that_breaks_off_adds_one_finding_and_changes_no_other() {
    let mut site = site();
    edit(&mut site, RACK, "to: r0020-d03/psu1", "to: r0020-d99/psu1");
    let before = shown(&site);
    edit(&mut site, RACK, "cords:\n", "cords:\n  W-0020: {type: \n");
    let now = shown(&site);
    assert_eq!(now.len(), before.len() + 1);
    assert!(now.iter().any(|finding| finding.rule == "unreadable-file"));
    // What was shown is where it was, two lines apart.
    let text = |site: &OpenSite, finding: &Finding| {
        site.source(finding.main.span.file)
            .slice(finding.main.span.range())
            .to_owned()
    };
    let lost = now
        .iter()
        .find(|finding| finding.rule == "unknown-name")
        .unwrap();
    assert_eq!(text(&site, lost), "r0020-d99");
    edit(&mut site, RACK, "  W-0020: {type: \n", "");
    assert_same(&site, "whole again");
}

#[test]
fn a_judgement_of_older_texts_is_not_taken_in() {
    let mut site = site();
    let old = site.task(settings()).judge(|| true).unwrap();
    edit(&mut site, RACK, "to: r0020-d03/psu1", "to: r0020-d99/psu1");
    assert!(site.take(old).is_none());
    assert!(!site.is_settled());
    assert!(site.task(settings()).judge(|| false).is_none());
    let new = site.task(settings()).judge(|| true).unwrap();
    assert!(site.take(new).is_some());
    assert!(site.is_settled());
    assert_same(&site, "the newer");
}

/// What slips in while somebody types.
const SLIPS: [&str; 12] = [
    "", "x", "\n", "  ", ": ", "{", "}", "- ", "&a ", "*a", "\"", "ü𝔸",
];

#[test]
fn nothing_that_is_typed_or_asked_breaks_the_server_down() {
    let mut dice = Dice::new(7);
    let files = racks::site(1).into_iter();
    let mut site = judged(
        files
            .map(|(path, text)| (path, text.into_bytes()))
            .collect(),
    );
    let count = site.files().len();
    for _ in 0..150 {
        let id = FileId(dice.below(count) as u32);
        let text = site.source(id).text.to_string();
        let mut boundary = || {
            let mut at = dice.below(text.len() + 1);
            while !text.is_char_boundary(at) {
                at -= 1;
            }
            at
        };
        let (at, other) = (boundary(), boundary());
        let end = if other < at + 20 { other.max(at) } else { at };
        let slip = SLIPS[dice.below(SLIPS.len())];
        let typed = format!("{}{slip}{}", &text[..at], &text[end..]);
        site.edit(id, &typed);
        let byte = at + slip.len();
        site.hover::<Markdown>(id, byte, settings().today);
        site.offers(id, byte);
        if let Some(target) = site.target(id, byte) {
            site.definitions(&target);
            let _ = site.rename(&target, "other-1");
        }
        for finding in site.findings(id).take(3) {
            site.fixes(finding);
        }
        for finding in shown(&site) {
            let source = site.source(finding.main.span.file);
            assert!(finding.main.span.range().end <= source.text.len());
        }
        // Now and then nobody types, and the whole is judged.
        if dice.below(8) == 0 {
            let whole = site.task(settings()).judge(|| true).unwrap();
            assert!(site.take(whole).is_some());
        }
    }
}

/// Makes, offers, orders and the store, in files of their own.
#[test]
fn edits_of_what_is_bought_show_at_once_what_the_whole_would() {
    let base = crate::pages::bases()["base-iec.yaml"].clone();
    let makes = "cord-makes:\n  m: {plug: C14, connector: C13, conductor: 1.0 mm², cordage: H05VV-F, rating: 10 A, approvals: [BSI]}\n  other: {plug: C14, connector: C13, conductor: 1.5 mm², rating: 10 A, approvals: [BSI]}\n";
    let types = "cord-types:\n  blue: {make: m, length: 1.5 m, colour: blue}\n  red: {make: m, length: 1.5 m, colour: red}\ncords:\n  W-1: {type: blue, from: pdu-a/1, to: rec-1/psu1}\n  W-2: {type: red, from: pdu-b/1, to: rec-1/psu2}\n";
    let devices = "device-models:\n  recorder: {height: 2 U, class: I, voltage: 220–240 V, rating: 6 A, inlets: {psu1: C14, psu2: C14}, inlets-needed: 1}\ndevices:\n  rec-1: {model: recorder, rack: r1, at: U10, draw: 1300 VA}\n";
    let bought = "offers: {O-1: {make: m, lengths: [1.5 m]}}\norders: {P-1: {lines: {blue: 3}}}\nstore: {red: 2}\n";
    let files = [
        ("base.yaml", base.as_str()),
        ("bought.yaml", bought),
        ("devices.yaml", devices),
        ("makes.yaml", makes),
        ("types.yaml", types),
    ];
    let files = files.map(|(path, text)| (path.to_owned(), text.as_bytes().to_vec()));
    let mut site = judged(files.to_vec());
    let steps = [
        ("a thinner make", "makes.yaml", "1.0 mm²", "0.5 mm²"),
        ("and back", "makes.yaml", "0.5 mm²", "1.0 mm²"),
        ("a key less", "makes.yaml", "rating: 10 A, ", ""),
        (
            "another make",
            "types.yaml",
            "blue: {make: m,",
            "blue: {make: other,",
        ),
        (
            "no such make",
            "types.yaml",
            "red: {make: m,",
            "red: {make: n,",
        ),
        (
            "said twice",
            "types.yaml",
            "make: other,",
            "make: other, plug: C14,",
        ),
        (
            "an offer of nothing",
            "bought.yaml",
            "{make: m,",
            "{make: gone,",
        ),
        (
            "an order of nothing",
            "bought.yaml",
            "{blue: 3}",
            "{green: 3}",
        ),
        ("nothing in store", "bought.yaml", "{red: 2}", "{grey: two}"),
    ];
    for (what, file, old, new) in steps {
        edit(&mut site, file, old, new);
        assert_same(&site, what);
    }
}
