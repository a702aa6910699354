//! A small invented site for the writers' tests: several files, CRLF, a byte-order mark, letters
//! beyond ASCII, control characters, an empty file.

use serde_json::Value;

use super::{Census, Departed, Format, Look, PassedOver, Report, RuleCard, SiteReport, Unread};
use crate::citation::{Citation, Confidence};
use crate::finding::{Edit, Finding, Level, Place, Remedy, Verdict};
use crate::input::Reason;
use crate::rules::Known;
use crate::source::{Source, Sources, Span};
use crate::tables::words::Words;

/// Everything that a report borrows.
#[derive(Debug)]
pub(super) struct Sample {
    pub sources: Sources,
    pub findings: Vec<Finding>,
    pub departed: Vec<Departed>,
    pub known: Vec<Known>,
    pub unread: Vec<Unread>,
    pub passed_over: Vec<PassedOver>,
    pub crashed: Vec<String>,
    pub root: &'static str,
}

const CIRCUITS: &str =
    "\u{feff}circuits:\r\n  A-12:\r\n    from: ups-a\r\n    breaker: {rating: 32 A, curve: C}\r\n";
const CORDS: &str = "\
cord-types:
  c14-c13: {plug: C14, connector: C13, conductor: 0.75 mm², cordage: H05VV-F, length: 1.5 m}
cords:
  W-0412: {type: c14-c13, from: løft-1-a/3, to: pump-01/psu1}
  W-0413: {type: c14-c13, from: løft-1-a/4, to: pump-02/psu1}\u{1b}[31m
";

/// A finding over two files, one of a single place, an open point at the end of a file.
pub(super) fn sample() -> Sample {
    let files = [
        ("circuits.yaml", CIRCUITS),
        ("cords.yaml", CORDS),
        ("empty.yaml", ""),
    ];
    let files = files.map(|(path, text)| Source::new(path, text));
    let sources = Sources::new(files.into());
    let mut findings = vec![underrated(&sources), unlabelled(&sources), open(&sources)];
    findings.sort_by(Finding::order);
    Sample {
        departed: vec![Departed {
            unbounded: false,
            finding: retention(&sources),
            reason: "replacement cord \"on order\" <soon>".into(),
            agreed_by: "site electrical engineer".into(),
            until: "2027-03-31".into(),
        }],
        known: Vec::new(),
        sources,
        findings,
        unread: Vec::new(),
        passed_over: vec![
            PassedOver {
                path: "drafts/".into(),
                why: Reason::LeftOut(vec!["drafts/**".into()]),
            },
            PassedOver {
                path: "empty.yaml".into(),
                why: Reason::NoSection,
            },
        ],
        crashed: Vec::new(),
        root: ".",
    }
}

impl Sample {
    /// The report over this one site.
    pub(super) fn report(&self) -> Report<'_> {
        Report {
            sites: vec![self.site()],
            rules: cards(),
            is_verbose: false,
            is_one_by_one: false,
        }
    }

    pub(super) fn site(&self) -> SiteReport<'_> {
        SiteReport {
            root: self.root,
            name: Some("Løft pumping station"),
            edition: None,
            words: Words::of(None),
            sources: &self.sources,
            findings: &self.findings,
            left_out: None,
            departed: &self.departed,
            assumed: &[],
            decides: &[],
            census: Census {
                files: 3,
                passed_over: 1,
                supplies: 1,
                circuits: 1,
                pdus: 1,
                devices: 2,
                cords: 2,
                to_fit: 0,
                to_pull: 0,
            },
            unread: &self.unread,
            passed_over: &self.passed_over,
            crashed: &self.crashed,
            comparison: None,
            known: &self.known,
        }
    }

    /// The site with nothing found in it.
    pub(super) fn clean(mut self) -> Self {
        self.findings.clear();
        self.departed.clear();
        self
    }

    /// The same site with a file that could not be read and a rule that broke down.
    pub(super) fn broken(mut self) -> Self {
        self.unread.push(Unread {
            path: "plan 2/über.yaml".into(),
            why: "not UTF-8 at byte 17".into(),
        });
        self.crashed.push("retention-missing".into());
        self
    }
}

/// A look without colour.
pub(super) fn look(width: usize, unicode: bool) -> Look {
    Look {
        width,
        color: false,
        unicode,
    }
}

/// What a writer makes of a report.
pub(super) fn written(report: &Report<'_>, format: Format, look: &Look) -> String {
    let written =
        super::written(report, format, look, u64::MAX).expect("every mark is in an excerpt");
    String::from_utf8(written.bytes().to_vec()).expect("reports are UTF-8")
}

/// Whether `document` keeps to a JSON Schema, formats included; else all that is wrong with it.
pub(super) fn valid(document: &Value, schema: &Value) -> Result<(), String> {
    let options = jsonschema::options().should_validate_formats(true);
    let validator = options.build(schema).expect("a JSON Schema");
    let errors: Vec<String> = validator
        .iter_errors(document)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    if errors.is_empty() {
        Ok(())
    } else {
        Err(errors.join("\n"))
    }
}

/// The place of `needle` in the file at `path`.
pub(super) fn place(sources: &Sources, path: &str, needle: &str, note: &str) -> Place {
    let file = sources.by_path(path).expect("a file of the sample");
    let lo = sources.file(file).text.find(needle).expect("in the file");
    Place {
        span: Span::new(file, lo, lo + needle.len()),
        note: note.into(),
        is_hop: true,
    }
}

/// A finding of one place, to be changed at will.
pub(super) fn plain(rule: &'static str, main: Place) -> Finding {
    Finding {
        rule,
        first_name: rule,
        level: Level::Error,
        own_level: Level::Error,
        verdict: Verdict::Broken,
        headline: "Something is wrong".into(),
        main,
        path: Vec::new(),
        main_position: 0,
        arithmetic: Vec::new(),
        basis: vec![Citation::common_practice("Invented for a test")],
        remedy: Remedy::default(),
        wants: Vec::new(),
        about: vec!["W-0412".into()],
        kind: "",
        sufferers: Vec::new(),
        suffers_at: Vec::new(),
        sites: Vec::new(),
        measure: None,
        since: crate::finding::Since::NotAsked,
        stage: None,
    }
}

fn underrated(sources: &Sources) -> Finding {
    let main = place(
        sources,
        "cords.yaml",
        "0.75 mm²",
        "bears 6 A at 35 °C in a bundle of five",
    );
    let edit = Edit {
        span: main.span,
        text: "1.5 mm²".into(),
    };
    Finding {
        headline: "Cord W-0412 may carry 9.7 A over a conductor that bears 6 A: its insulation \
                   softens, and whoever reaches into the bundle can be burnt or shocked"
            .into(),
        path: vec![
            place(
                sources,
                "circuits.yaml",
                "rating: 32 A",
                "lets 32 A pass before it trips",
            ),
            place(
                sources,
                "cords.yaml",
                "from: løft-1-a/3",
                "takes its load from outlet 3",
            ),
            place(sources, "cords.yaml", "pump-01/psu1", "draws 9.7 A"),
        ],
        main_position: 1,
        arithmetic: vec![
            "1950 W ÷ (207 V × 0.97) = 9.7 A".into(),
            "10 A × 0.91 × 0.66 = 6.0 A, and 9.7 A ≥ 6.0 A".into(),
        ],
        basis: vec![Citation::new(
            "IEC 60364-5-52",
            "Table B.52.14",
            "2009",
            Confidence::FromMemory,
        )],
        remedy: Remedy {
            advice: "Fit a cord of 1.5 mm², or move pump-01 to a circuit of its own.".into(),
            edits: vec![edit],
        },
        about: vec!["W-0412".into(), "pump-01".into()],
        ..plain("conductor-underrated", main)
    }
}

fn unlabelled(sources: &Sources) -> Finding {
    Finding {
        level: Level::Warning,
        headline: "Cord label [W-0413] is not\nby the site's pattern".into(),
        about: vec!["W-0413".into()],
        ..plain(
            "label-pattern",
            place(sources, "cords.yaml", "W-0413", "the label"),
        )
    }
}

fn open(sources: &Sources) -> Finding {
    let file = sources.by_path("circuits.yaml").expect("a file");
    let end = sources.file(file).text.len();
    let main = Place {
        span: Span::new(file, end, end),
        note: "a fault-current of ups-a is missing".into(),
        is_hop: false,
    };
    Finding {
        verdict: Verdict::Open,
        headline: "Whether breaker A-12 can break a short circuit is not known".into(),
        about: vec!["A-12".into()],
        ..plain("breaking-capacity", main)
    }
}

fn retention(sources: &Sources) -> Finding {
    let main = place(
        sources,
        "cords.yaml",
        "to: pump-02/psu1",
        "nothing holds it",
    );
    plain("retention-missing", main)
}

fn cards() -> Vec<RuleCard<'static>> {
    let card = |name, subject, level| RuleCard {
        name,
        former_names: if name == "label-pattern" {
            &["label-form"]
        } else {
            &[]
        },
        subject,
        level,
        summary: "One line on the hazard.",
        page: "# A page\n\nIts *words*.\n",
    };
    vec![
        card("breaking-capacity", "conductors", Level::Error),
        card("conductor-underrated", "conductors", Level::Error),
        card("label-pattern", "identity", Level::Warning),
        card("retention-missing", "retention", Level::Error),
    ]
}

/// Every form of a report.
pub(super) const FORMATS: [Format; 5] = [
    Format::Annotated,
    Format::Lines,
    Format::Json,
    Format::Sarif,
    Format::Junit,
];
