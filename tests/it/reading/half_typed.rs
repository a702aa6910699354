//! Things whose text breaks off while they are typed: the finding about the text is all that is said.

use cordwright::input::SiteInput;
use cordwright::judgement::{Judgement, Settings, judge};

use super::{found, judged, path_of};
use crate::pages::bases;
use crate::site::today;

/// A site with a cord that is half typed, and one behind it.
fn with_cord(cord: &str) -> Judgement {
    judged(
        format!("cords:\n  W-1: {cord}\n  W-2: {{type: c, from: pdu-a/1, to: d/p}}\n").as_bytes(),
    )
}

#[test]
fn of_a_half_typed_thing_only_its_text_is_told_and_what_it_lacks() {
    for (cord, lacks) in [
        ("{", "which does not give `type`, `from` and `to`"),
        ("{ty", "which does not give `type`, `from` and `to`"),
        ("{type:", "which does not give `from` and `to`"),
        ("{from: pdu-a/1", "which does not give `type` and `to`"),
        (
            "{frmo: pdu-a/1, rating: 16",
            "which does not give `type`, `from` and `to`",
        ),
        ("{from: pdu-a/1}}", "which does not give `type` and `to`"),
        (
            "{from: pdu-a/1, bundle: [x, to: d/p}",
            "which does not give `type` and `to`",
        ),
        (
            "{type: c from: pdu-a/1, to: d/p}",
            "which does not give `from` and `to`",
        ),
        ("type: c, from: pdu-a/1, to: d/p}", "said of `W-1`."),
        (
            "\n    from: pdu-a/1\n   to: d/p",
            "which does not give `type` and `to`",
        ),
        (
            "\n    from: pdu-a/1\n    ty",
            "which does not give `type` and `to`",
        ),
    ] {
        let judgement = with_cord(cord);
        let here = judgement.findings.iter();
        let here: Vec<_> = here
            .filter(|f| path_of(&judgement, f) == "more.yaml")
            .collect();
        let [told] = here[..] else {
            panic!("{cord}: {here:#?}")
        };
        assert_eq!(told.rule, "unreadable-file");
        let advice = &told.remedy.advice;
        assert!(advice.contains(lacks), "{cord}: {advice}");
        assert!(
            advice.contains("nothing else is said of `W-1`"),
            "{cord}: {advice}"
        );
        assert_eq!(judgement.unread.len(), 1, "{cord}");
    }
}

#[test]
fn a_thing_that_is_whole_is_judged_though_the_text_breaks_off_behind_it() {
    let rules = |text: &str| {
        let judgement = judged(text.as_bytes());
        let found = found(&judgement);
        found
            .iter()
            .map(|f| (f.rule, f.remedy.advice.contains("Until then")))
            .collect::<Vec<_>>()
    };
    let whole = [
        ("missing-key", false),
        ("missing-key", false),
        ("unreadable-file", false),
    ];
    assert_eq!(rules("cords:\n  W-1: {from: pdu-a/1}\n  W-2\n"), whole);
    // Whether indented text goes on cannot be seen: what is missed is then not told, and the rest is.
    let misspelt = "cords:\n  W-1:\n    from: pdu-q/1\n    tpye: c\nracks\n";
    assert_eq!(
        rules(misspelt),
        [
            ("unknown-name", false),
            ("unknown-key", false),
            ("unreadable-file", false)
        ]
    );
    // Brackets go on over lines that begin where nothing of the thing could stand.
    assert_eq!(
        rules("cords:\n  W-1: {from: pdu-a/1\na: 1\n"),
        [("unreadable-file", true)]
    );
    // Two documents, the first of which breaks off.
    let two = rules("cords:\n  W-1: {from\n---\ncords:\n  W-2: {from: pdu-a/1}\n");
    let two_wanted = [
        ("unreadable-file", true),
        ("missing-key", false),
        ("missing-key", false),
    ];
    assert_eq!(two, two_wanted);
}

#[test]
fn what_is_said_of_a_half_typed_thing_stays_where_its_text_is_not_told() {
    let base = bases()["base-iec.yaml"].clone();
    let files = vec![
        ("cordwright.yaml".to_owned(), base.into_bytes()),
        (
            "more.yaml".to_owned(),
            b"cords:\n  W-1: {from: pdu-a/1}}\n".to_vec(),
        ),
    ];
    let input = SiteInput {
        files,
        ..SiteInput::default()
    };
    let settings = Settings {
        only: vec!["missing-key".to_owned()],
        ..Settings::on(today())
    };
    let judgement = judge(input, &settings);
    assert_eq!(judgement.findings.len(), 2, "{:#?}", judgement.findings);
}
