//! Our own JSON: the whole report as data, under a versioned schema (`report.schema.json`).
//!
//! The wire types stand here alone, so that the inner ones may change without the format.

mod change;

use serde::Serialize;

use super::place::{Unit, position};
use super::{CAUTION, Counts, Departed, Known, NOT_CHECKED, Report, SiteReport};
use crate::citation::{Citation, Confidence};
use crate::finding::{Atom, Fact, FactState, Finding, Place, Remedy, Verdict};
use crate::ink::{Json, Written};
use crate::model::stage::Stage;
use crate::source::{LineColumn, Span};

use change::{WireComparison, WireMeasure, WireSigned};

/// Moves when a reader of the old form would misread the new one.
const SCHEMA: u32 = 2;

/// The JSON Schema (draft-07) of the JSON report.
pub fn schema() -> &'static str {
    include_str!("report.schema.json")
}

pub(super) fn written(report: &Report<'_>) -> Written<Json> {
    let wire = WireReport {
        cordwright: env!("CARGO_PKG_VERSION"),
        schema: SCHEMA,
        caution: CAUTION,
        not_checked: NOT_CHECKED,
        sites: report.sites.iter().map(site).collect(),
        counts: Counts::of(report),
    };
    Written::document(&wire)
}

#[derive(Serialize)]
struct WireReport<'a> {
    cordwright: &'a str,
    schema: u32,
    caution: &'a str,
    not_checked: &'a str,
    sites: Vec<WireSite<'a>>,
    counts: Counts,
}

#[derive(Serialize)]
struct WireSite<'a> {
    root: &'a str,
    name: Option<&'a str>,
    edition: Option<&'a str>,
    complete: bool,
    census: WireCensus,
    assumed: Vec<WireAssumed>,
    findings: Vec<WireFinding<'a>>,
    departed: Vec<WireDeparted<'a>>,
    unread: Vec<WireUnread<'a>>,
    crashed: &'a [String],
    known: Vec<WireKnown<'a>>,
    comparison: Option<WireComparison<'a>>,
}

/// A key that is silent, and how many things rest on what is taken for it.
#[derive(Serialize)]
struct WireAssumed {
    key: &'static str,
    things: usize,
}

#[derive(Serialize)]
struct WireCensus {
    files: usize,
    passed_over: usize,
    supplies: usize,
    circuits: usize,
    pdus: usize,
    devices: usize,
    cords: usize,
    to_fit: usize,
    to_pull: usize,
}

#[derive(Serialize)]
struct WireFinding<'a> {
    rule: &'a str,
    level: &'a str,
    verdict: &'a str,
    headline: &'a str,
    fingerprint: String,
    places: Vec<WirePlace<'a>>,
    arithmetic: &'a [String],
    basis: Vec<WireBasis<'a>>,
    remedy: WireRemedy<'a>,
    about: Vec<&'a str>,
    sites: Vec<&'a str>,
    wants: Vec<WireFact<'a>>,
    atoms: Vec<WireAtom<'a>>,
    measure: Option<WireMeasure>,
    since: Option<&'a str>,
    earlier: Option<WireMeasure>,
    stage: Option<&'static str>,
}

/// A fact for want of which a point is not decided.
#[derive(Serialize)]
struct WireFact<'a> {
    kind: &'a str,
    name: &'a str,
    key: String,
    state: &'static str,
    file: &'a str,
    bytes: [u32; 2],
}

#[derive(Serialize)]
struct WireAtom<'a> {
    fingerprint: String,
    at: Option<&'a str>,
}

#[derive(Serialize)]
struct WireKnown<'a> {
    finding: WireFinding<'a>,
    signed_at: Option<WireSigned>,
}

#[derive(Serialize)]
struct WirePlace<'a> {
    file: &'a str,
    bytes: [u32; 2],
    start: WirePosition,
    end: WirePosition,
    note: &'a str,
    main: bool,
}

#[derive(Serialize)]
struct WirePosition {
    line: usize,
    column: usize,
}

#[derive(Serialize)]
struct WireBasis<'a> {
    standard: &'a str,
    clause: &'a str,
    edition: &'a str,
    confidence: &'a str,
}

#[derive(Serialize)]
struct WireRemedy<'a> {
    advice: &'a str,
    edits: Vec<WireEdit<'a>>,
}

#[derive(Serialize)]
struct WireEdit<'a> {
    file: &'a str,
    bytes: [u32; 2],
    text: &'a str,
}

#[derive(Serialize)]
struct WireDeparted<'a> {
    finding: WireFinding<'a>,
    reason: &'a str,
    agreed_by: &'a str,
    until: &'a str,
    unbounded: bool,
}

#[derive(Serialize)]
struct WireUnread<'a> {
    path: &'a str,
    why: &'a str,
}

fn site<'a>(site: &SiteReport<'a>) -> WireSite<'a> {
    let census = &site.census;
    WireSite {
        root: site.root,
        name: site.name,
        edition: site.edition,
        complete: site.complete(),
        census: WireCensus {
            files: census.files,
            passed_over: census.passed_over,
            supplies: census.supplies,
            circuits: census.circuits,
            pdus: census.pdus,
            devices: census.devices,
            cords: census.cords,
            to_fit: census.to_fit,
            to_pull: census.to_pull,
        },
        assumed: site
            .assumed
            .iter()
            .map(|row| WireAssumed {
                key: row.key,
                things: row.things,
            })
            .collect(),
        findings: site.findings.iter().map(|f| finding(site, f)).collect(),
        departed: site.departed.iter().map(|d| departed(site, d)).collect(),
        unread: site
            .unread
            .iter()
            .map(|u| WireUnread {
                path: &u.path,
                why: &u.why,
            })
            .collect(),
        crashed: site.crashed,
        known: site.known.iter().map(|k| known(site, k)).collect(),
        comparison: site
            .comparison
            .map(|comparison| WireComparison::of(site, comparison)),
    }
}

fn known<'a>(site: &SiteReport<'a>, known: &'a Known) -> WireKnown<'a> {
    WireKnown {
        finding: finding(site, &known.finding),
        signed_at: known.signed.map(WireSigned::from),
    }
}

fn finding<'a>(site: &SiteReport<'a>, finding: &'a Finding) -> WireFinding<'a> {
    WireFinding {
        rule: finding.rule,
        level: finding.level.word(),
        verdict: match finding.verdict {
            Verdict::Broken => "broken",
            Verdict::Open => "open",
        },
        headline: &finding.headline,
        fingerprint: finding.fingerprint(),
        places: finding
            .places()
            .map(|(p, main)| place(site, p, main))
            .collect(),
        arithmetic: &finding.arithmetic,
        basis: finding.basis.iter().map(basis).collect(),
        remedy: remedy(site, &finding.remedy),
        about: finding.about.iter().map(|name| name.as_str()).collect(),
        sites: finding.sites.iter().map(|name| name.as_str()).collect(),
        wants: finding.wants.iter().map(|f| fact(site, f)).collect(),
        atoms: finding.atoms().map(|atom| wire_atom(&atom)).collect(),
        measure: finding.measure.as_ref().map(WireMeasure::from),
        since: finding.since.word(),
        earlier: finding.since.earlier().map(WireMeasure::from),
        stage: finding.stage.map(Stage::word),
    }
}

fn fact<'a>(site: &SiteReport<'a>, fact: &'a Fact) -> WireFact<'a> {
    WireFact {
        kind: fact.kind,
        name: &fact.owner,
        key: fact.full_key(),
        state: match fact.state {
            FactState::Absent => "absent",
            FactState::Unreadable => "unreadable",
            FactState::Written => "written",
        },
        file: &site.sources.file(fact.span.file).path,
        bytes: bytes(fact.span),
    }
}

fn wire_atom<'a>(atom: &Atom<'a>) -> WireAtom<'a> {
    WireAtom {
        fingerprint: atom.fingerprint(),
        at: atom.sufferer().map(|name| name.as_str()),
    }
}

fn departed<'a>(site: &SiteReport<'a>, departed: &'a Departed) -> WireDeparted<'a> {
    WireDeparted {
        finding: finding(site, &departed.finding),
        reason: &departed.reason,
        agreed_by: &departed.agreed_by,
        until: &departed.until,
        unbounded: departed.unbounded,
    }
}

fn place<'a>(site: &SiteReport<'a>, place: &'a Place, main: bool) -> WirePlace<'a> {
    let source = site.sources.file(place.span.file);
    let at = |byte: u32| wire_position(position(source, byte as usize, Unit::Chars));
    WirePlace {
        file: &source.path,
        bytes: bytes(place.span),
        start: at(place.span.lo),
        end: at(place.span.hi),
        note: &place.note,
        main,
    }
}

fn basis(citation: &Citation) -> WireBasis<'_> {
    WireBasis {
        standard: &citation.standard,
        clause: &citation.clause,
        edition: &citation.edition,
        confidence: match citation.confidence {
            Confidence::TwoCopies => "two-copies",
            Confidence::OneCopy => "one-copy",
            Confidence::Computed => "computed",
            Confidence::GivenBySite => "given-by-site",
            Confidence::CommonPractice => "common-practice",
            Confidence::FromMemory => "from-memory",
            Confidence::Disputed => "disputed",
        },
    }
}

fn remedy<'a>(site: &SiteReport<'a>, remedy: &'a Remedy) -> WireRemedy<'a> {
    let edits = remedy.edits.iter().map(|edit| WireEdit {
        file: &site.sources.file(edit.span.file).path,
        bytes: bytes(edit.span),
        text: &edit.text,
    });
    WireRemedy {
        advice: &remedy.advice,
        edits: edits.collect(),
    }
}

fn bytes(span: Span) -> [u32; 2] {
    [span.lo, span.hi]
}

fn wire_position(at: LineColumn) -> WirePosition {
    WirePosition {
        line: at.line,
        column: at.column,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::super::Format;
    use super::super::sample::{Sample, look, sample, valid, written};
    use super::*;

    fn told(sample: &Sample) -> Value {
        let text = written(&sample.report(), Format::Json, &look(80, true));
        serde_json::from_str(&text).expect("JSON")
    }

    fn against_schema(report: &Value) -> Result<(), String> {
        valid(report, &serde_json::from_str(schema()).expect("JSON"))
    }

    #[test]
    fn every_report_keeps_to_the_schema() {
        for sample in [sample(), sample().clean(), sample().broken()] {
            assert_eq!(against_schema(&told(&sample)), Ok(()));
        }
    }

    #[test]
    fn the_schema_says_no_to_what_is_missing_or_wrong() {
        let report = told(&sample());
        let broken = [
            ("/caution", Value::Null),
            ("/schema", json!(1)),
            ("/sites/0/findings/0/places", json!([])),
            ("/sites/0/findings/0/verdict", json!("passed")),
            ("/sites/0/findings/0/places/0/start/column", json!(0)),
            ("/sites/0/findings/0/basis/0/confidence", json!("certain")),
            ("/sites/0/findings/0/places/0/main", json!(false)),
        ];
        for (pointer, value) in broken {
            let mut report = report.clone();
            *report.pointer_mut(pointer).expect("a member") = value;
            assert!(against_schema(&report).is_err(), "{pointer}");
        }
    }

    #[test]
    fn a_finding_is_told_in_full() {
        let report = told(&sample());
        let finding = &report["sites"][0]["findings"][1];
        assert_eq!(finding["rule"], "conductor-underrated");
        assert_eq!(finding["about"], json!(["W-0412", "pump-01"]));
        let mains: Vec<_> = finding["places"].as_array().into_iter().flatten().collect();
        let mains: Vec<_> = mains.iter().map(|place| &place["main"]).collect();
        assert_eq!(mains, [false, true, false, false]);
        let main = json!({
            "file": "cords.yaml",
            "bytes": [62, 71],
            "start": {"line": 2, "column": 51},
            "end": {"line": 2, "column": 59},
            "note": "bears 6 A at 35 °C in a bundle of five",
            "main": true,
        });
        assert_eq!(finding["places"][1], main);
        let edit = json!([{"file": "cords.yaml", "bytes": [62, 71], "text": "1.5 mm²"}]);
        assert_eq!(finding["remedy"]["edits"], edit);
    }

    #[test]
    fn what_is_on_the_snag_list_stands_apart() {
        let mut sample = sample();
        sample.known = vec![Known::at_what_it_is(sample.findings.remove(1))];
        let report = told(&sample);
        assert_eq!(against_schema(&report), Ok(()));
        let site = &report["sites"][0];
        assert_eq!(site["known"][0]["finding"]["rule"], "conductor-underrated");
        assert_eq!(report["counts"]["known"], 1);
        assert_eq!(report["counts"]["errors"], 0);
    }

    #[test]
    fn counts_hold_open_points_apart() {
        let counts = json!({
            "errors": 1, "warnings": 1, "notes": 0, "open": 1, "departed": 1, "known": 0,
        });
        assert_eq!(told(&sample())["counts"], counts);
        assert_eq!(told(&sample().broken())["sites"][0]["complete"], false);
    }
}
