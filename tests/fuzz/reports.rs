//! Findings → every form of a report.

use cordwright::judgement::Judgement;
use cordwright::report::{self, Format, Look, Report, SiteReport, closing, snag_list};
use cordwright::rules;

use super::laid_out::{found, judged, site, whole_char};

const LOOKS: [Look; 2] = [
    Look {
        width: 80,
        color: false,
        unicode: true,
    },
    Look {
        width: 0,
        color: false,
        unicode: false,
    },
];

/// Programs can read what is for programs, and nothing of the site commands a terminal.
pub fn run(bytes: &[u8]) {
    let judgement = judged(site(bytes));
    let report = report(&judgement);
    for look in &LOOKS {
        for format in [Format::Annotated, Format::Lines] {
            assert_harmless(&written(&report, format, look));
        }
        assert_harmless(closing(&report, look).as_str());
    }
    for format in [Format::Json, Format::Sarif] {
        let text = written(&report, format, &LOOKS[0]);
        assert_harmless(&text);
        serde_json::from_str::<serde_json::Value>(&text).expect("JSON");
    }
    let junit = written(&report, Format::Junit, &LOOKS[0]);
    assert_harmless(&junit);
    assert_xml(&junit);
    assert_harmless(snag_list(&judgement.known).as_str());
}

/// What `check` would hand to the writers, with the pages of those rules only that have a say.
fn report(judgement: &Judgement) -> Report<'_> {
    let told: Vec<&str> = found(judgement).map(|finding| finding.rule).collect();
    let mut rules = rules::cards();
    rules.retain(|card| told.contains(&card.name));
    Report {
        sites: vec![SiteReport {
            edition: judgement.edition.as_deref(),
            departed: &judgement.departed,
            unread: &judgement.unread,
            passed_over: &judgement.passed_over,
            crashed: &judgement.crashed,
            known: &judgement.known,
            ..SiteReport::of_findings(
                "sites/quay",
                (judgement.name.as_deref(), judgement.words),
                &judgement.sources,
                &judgement.findings,
                judgement.census,
            )
        }],
        rules,
        is_verbose: true,
        is_one_by_one: true,
    }
}

fn written(report: &Report<'_>, format: Format, look: &Look) -> String {
    let output =
        report::written(report, format, look, u64::MAX).expect("every excerpt can be drawn");
    String::from_utf8(output.bytes().to_vec()).expect("reports are UTF-8")
}

/// No character but line feeds and tabs that a terminal would obey.
pub fn assert_harmless(text: &str) {
    let bad = text
        .char_indices()
        .find(|(_, c)| c.is_control() && !matches!(c, '\n' | '\t'));
    if let Some((at, c)) = bad {
        let lo = whole_char(text, at.saturating_sub(80));
        panic!("{c:?} behind {:?}", &text[lo..at]);
    }
}

/// XML that can be read to its end.
pub fn assert_xml(text: &str) {
    let mut reader = quick_xml::Reader::from_str(text);
    reader.config_mut().check_end_names = true;
    let mut open = 0_i64;
    loop {
        use quick_xml::events::Event;
        match reader
            .read_event()
            .unwrap_or_else(|why| panic!("{why} in {text}"))
        {
            Event::Start(_) => open += 1,
            Event::End(_) => open -= 1,
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(open, 0, "something is never closed");
    let allowed = |c: char| matches!(c, '\t' | '\n' | '\r' | '\u{20}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    assert!(text.chars().all(allowed), "no character of XML 1.0");
}
