//! JUnit XML, for build servers that read only that: a suite per file, a case per finding.
//!
//! Errors are failures; warnings and notes are passing cases with their words as output; open points,
//! departures, findings on the snag list and files that are not the site's are skipped cases; what
//! could not be judged is an error.

use std::collections::BTreeMap;

use super::place::{Unit, position};
use super::words::rows;
use super::{CAUTION, Departed, Known, Report, SiteReport};
use crate::finding::{Atom, Finding, Level, Verdict};
use crate::ink::{Line, Number, Written, Xml};
use crate::source::FileId;

pub(super) fn written(report: &Report<'_>) -> Written<Xml> {
    let suites: Vec<Suite> = report.sites.iter().flat_map(suites).collect();
    let cases = || suites.iter().flat_map(|suite| &suite.cases);
    let mut xml = Written::new();
    xml.ours("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    xml.ours("<testsuites name=\"Cordwright\"");
    count(&mut xml, "tests", cases().count());
    count(&mut xml, "failures", tally(cases(), "failure"));
    count(&mut xml, "errors", tally(cases(), "error"));
    xml.ours(">\n");
    suites.iter().for_each(|suite| suite.write(&mut xml));
    xml.ours("</testsuites>\n");
    xml
}

/// A file and its cases.
struct Suite {
    name: String,
    cases: Vec<Case>,
}

/// What is told goes through the kind of lines first: whoever reads the report prints it into a log.
struct Case {
    name: String,
    outcome: Outcome,
}

/// What a case came to.
enum Outcome {
    Passed,
    /// Passed, with something to say.
    Told(Written<Line>),
    /// Not passed: the element's name, its type, its message and its text.
    Marked {
        element: &'static str,
        kind: &'static str,
        message: Written<Line>,
        text: Written<Line>,
    },
}

impl Case {
    fn marked(element: &'static str, name: String, kind: &'static str, message: &str) -> Self {
        let outcome = Outcome::Marked {
            element,
            kind,
            message: Written::of(message),
            text: Written::new(),
        };
        Self { name, outcome }
    }

    fn is(&self, name: &str) -> bool {
        matches!(&self.outcome, Outcome::Marked { element, .. } if *element == name)
    }
}

fn tally<'a>(cases: impl IntoIterator<Item = &'a Case>, element: &str) -> usize {
    cases.into_iter().filter(|case| case.is(element)).count()
}

/// The suites of a site in order of path, then one for rules that broke down.
fn suites(site: &SiteReport<'_>) -> Vec<Suite> {
    let paths = site.sources.iter().map(|(_, source)| source.path.as_str());
    let mut by_path: BTreeMap<&str, Vec<Case>> = paths.map(|path| (path, Vec::new())).collect();
    for finding in site.findings {
        let cases = by_path.entry(path(site, finding)).or_default();
        cases.extend(
            finding
                .atoms()
                .enumerate()
                .map(|atom| found(site, finding, &atom)),
        );
    }
    for (path, case) in site.findings.iter().flat_map(|f| suffering(site, f)) {
        by_path.entry(path).or_default().push(case);
    }
    for departed in site.departed {
        let cases = by_path.entry(path(site, &departed.finding)).or_default();
        cases.extend(departed.finding.atoms().map(|atom| agreed(departed, &atom)));
    }
    for Known { finding, .. } in site.known {
        let message = "known: on the snag list of the site";
        let case = |atom| Case::marked("skipped", case_name(finding, &atom), finding.rule, message);
        let cases = by_path.entry(path(site, finding)).or_default();
        cases.extend(finding.atoms().map(case));
    }
    for unread in site.unread {
        let message = format!("could not be judged: {}", unread.why);
        let case = Case::marked("error", "can be judged".into(), "not-judged", &message);
        by_path.entry(&unread.path).or_default().push(case);
    }
    // Only what was read has a suite: of the rest, nothing was to be tried.
    for one in site.passed_over {
        if let Some(cases) = by_path.get_mut(one.path.as_str()) {
            let message = format!("not judged: {}", one.why);
            let name = "belongs to the site".into();
            cases.push(Case::marked("skipped", name, "passed-over", &message));
        }
    }
    let files = by_path.into_iter().map(|(path, cases)| Suite {
        name: site.shown(path),
        cases: or_passed(cases),
    });
    files.chain(broken_rules(site)).collect()
}

/// A file without any finding still counts: one case, passed.
fn or_passed(mut cases: Vec<Case>) -> Vec<Case> {
    if cases.is_empty() {
        cases.push(Case {
            name: "nothing found to put right".into(),
            outcome: Outcome::Passed,
        });
    }
    cases
}

fn broken_rules(site: &SiteReport<'_>) -> Option<Suite> {
    let cases = site.crashed.iter().map(|rule| {
        let message = "this rule broke down, so what it looks for was not judged";
        Case::marked("error", rule.clone(), "rule-broke-down", message)
    });
    (!site.crashed.is_empty()).then(|| Suite {
        name: format!("rules over {}", site.root),
        cases: cases.collect(),
    })
}

/// A case for every atom: the first one tells it in full, for all else of the others is the same.
fn found(site: &SiteReport<'_>, finding: &Finding, (number, atom): &(usize, Atom<'_>)) -> Case {
    let details = |site, finding| match number {
        0 => details(site, finding),
        _ => Written::of(CAUTION),
    };
    let marked = |element, message: &str| Outcome::Marked {
        element,
        kind: finding.rule,
        message: Written::of(message),
        text: details(site, finding),
    };
    let outcome = match (finding.verdict, finding.level) {
        _ if finding.since.is_old() => marked("skipped", &since(finding)),
        (Verdict::Open, _) => marked("skipped", &format!("not decided: {}", finding.headline)),
        (Verdict::Broken, Level::Error) => marked("failure", &finding.headline),
        (Verdict::Broken, level) => {
            let mut text = Written::new();
            text.ours(level.word()).ours(": ").theirs(&finding.headline);
            text.ours("\n").push(&details(site, finding));
            Outcome::Told(text)
        }
    };
    Case {
        name: case_name(finding, atom),
        outcome,
    }
}

/// Who suffers a fault has not passed, though it fails elsewhere, once: a case for each file of theirs.
fn suffering<'a>(
    site: &SiteReport<'a>,
    finding: &'a Finding,
) -> impl Iterator<Item = (&'a str, Case)> {
    let own = path(site, finding);
    let mut files: Vec<FileId> = finding.suffers_at.iter().map(|span| span.file).collect();
    files.dedup();
    let line = position(
        site.sources.file(finding.main.span.file),
        finding.main.span.lo as usize,
        Unit::Chars,
    )
    .line;
    let message = format!(
        "not passed: {}; the cause is at {}:{line}",
        finding.headline,
        site.shown(own)
    );
    let name = finding.atoms().next().map(|atom| case_name(finding, &atom));
    let name = format!("{} (suffered here)", name.unwrap_or_default());
    let paths = files
        .into_iter()
        .map(|file| site.sources.file(file).path.as_str());
    paths.filter(move |path| *path != own).map(move |path| {
        let case = Case::marked("skipped", name.clone(), finding.rule, &message);
        (path, case)
    })
}

/// `unchanged: …`, `better (12.2 A against 10 A before): …`.
fn since(finding: &Finding) -> String {
    let word = finding.since.word().unwrap_or_default();
    match finding.since.earlier() {
        Some(earlier) => format!("{word} ({} before): {}", earlier.show(), finding.headline),
        None => format!("{word}: {}", finding.headline),
    }
}

fn agreed(departed: &Departed, atom: &Atom<'_>) -> Case {
    let message = format!(
        "departure: {} (agreed by {}, until {})",
        departed.reason, departed.agreed_by, departed.until
    );
    let finding = &departed.finding;
    Case::marked("skipped", case_name(finding, atom), finding.rule, &message)
}

/// Names the fault the same from run to run, so that servers can follow it.
fn case_name(finding: &Finding, atom: &Atom<'_>) -> String {
    let about: Vec<&str> = atom.names().collect();
    let kind = match finding.kind {
        "" => String::new(),
        kind => format!(" ({kind})"),
    };
    format!("{}: {}{kind}", finding.rule, about.join(", "))
}

/// Places and rows, a line each.
fn details(site: &SiteReport<'_>, finding: &Finding) -> Written<Line> {
    let mut text = Written::new();
    for (place, _) in finding.places() {
        let source = site.sources.file(place.span.file);
        let at = position(source, place.span.lo as usize, Unit::Chars);
        text.place(&site.shown(&source.path), at.line, at.column);
        text.ours(": ").theirs(&place.note).ours("\n");
    }
    for (name, row) in rows(finding) {
        text.ours(name).ours(": ").theirs(&row).ours("\n");
    }
    text.ours(CAUTION);
    text
}

/// A name, whole: servers follow it from run to run.
fn named(name: &str) -> Written<Line> {
    let mut named = Written::new();
    named.whole(name);
    named
}

fn path<'a>(site: &SiteReport<'a>, finding: &Finding) -> &'a str {
    &site.sources.file(finding.main.span.file).path
}

impl Suite {
    fn write(&self, xml: &mut Written<Xml>) {
        xml.ours("  <testsuite name=\"")
            .whole(&self.name)
            .ours("\"");
        count(xml, "tests", self.cases.len());
        count(xml, "failures", tally(&self.cases, "failure"));
        count(xml, "errors", tally(&self.cases, "error"));
        count(xml, "skipped", tally(&self.cases, "skipped"));
        xml.ours(">\n");
        self.cases
            .iter()
            .for_each(|case| case.write(&self.name, xml));
        xml.ours("  </testsuite>\n");
    }
}

impl Case {
    fn write(&self, suite: &str, xml: &mut Written<Xml>) {
        xml.ours("    <testcase classname=\"").lines(&named(suite));
        xml.ours("\" name=\"").lines(&named(&self.name)).ours("\">");
        match &self.outcome {
            Outcome::Passed => {}
            Outcome::Told(text) => {
                xml.ours("<system-out>").lines(text).ours("</system-out>");
            }
            Outcome::Marked {
                element,
                kind,
                message,
                text,
            } => {
                xml.ours("<").ours(element).ours(" type=\"").ours(kind);
                xml.ours("\" message=\"").lines(message).ours("\">");
                xml.lines(text).ours("</").ours(element).ours(">");
            }
        }
        xml.ours("</testcase>\n");
    }
}

/// Adds an attribute that counts.
fn count(xml: &mut Written<Xml>, name: &'static str, number: impl Number) {
    xml.ours(" ").ours(name).ours("=\"");
    xml.number(number).ours("\"");
}

#[cfg(test)]
mod tests {
    use quick_xml::events::{BytesStart, Event};
    use quick_xml::reader::Reader;

    use super::super::Format;
    use super::super::sample::{Sample, look, sample, written};
    use super::*;

    fn told(sample: &Sample) -> String {
        written(&sample.report(), Format::Junit, &look(80, true))
    }

    /// Every element of a well-formed text: its name and attributes.
    fn elements(xml: &str) -> Vec<(String, BTreeMap<String, String>)> {
        let mut reader = Reader::from_str(xml);
        let mut elements = Vec::new();
        loop {
            match reader.read_event().expect("well formed") {
                Event::Start(start) | Event::Empty(start) => elements.push(element(&start)),
                Event::Eof => return elements,
                _ => {}
            }
        }
    }

    fn element(start: &BytesStart<'_>) -> (String, BTreeMap<String, String>) {
        let attributes = start.attributes().map(|attribute| {
            let attribute = attribute.expect("well formed");
            let value = quick_xml::escape::unescape(&attribute.value).expect("known entities");
            (attribute.key.as_ref().to_owned(), value.into_owned())
        });
        (start.name().as_ref().to_owned(), attributes.collect())
    }

    #[test]
    fn a_suite_per_file_with_counts_that_are_right() {
        let xml = told(&sample());
        let all = elements(&xml);
        let suites = all.iter().filter(|(name, _)| name == "testsuite");
        let counted: Vec<_> = suites
            .map(|(_, a)| {
                ["name", "tests", "failures", "errors", "skipped"].map(|key| a[key].as_str())
            })
            .collect();
        let expected = [
            ["circuits.yaml", "1", "0", "0", "1"],
            ["cords.yaml", "3", "1", "0", "1"],
            ["empty.yaml", "1", "0", "0", "1"],
        ];
        assert_eq!(counted, expected);
        let total = &all[0].1;
        assert_eq!(
            ["tests", "failures", "errors"].map(|key| total[key].as_str()),
            ["5", "1", "0"]
        );
        let number = |name: &str| all.iter().filter(|(n, _)| n == name).count();
        assert_eq!(number("testcase"), 5);
        assert_eq!(number("failure"), 1);
        assert_eq!(number("skipped"), 3);
        assert_eq!(number("system-out"), 1);
    }

    #[test]
    fn open_points_and_departures_are_skipped_with_their_reason() {
        let all = elements(&told(&sample()));
        let skipped = all.iter().filter(|(name, _)| name == "skipped");
        let messages: Vec<_> = skipped.map(|(_, a)| a["message"].as_str()).collect();
        let expected = [
            "not decided: Whether breaker A-12 can break a short circuit is not known",
            "departure: replacement cord \"on order\" <soon> (agreed by site electrical engineer, until 2027-03-31)",
            "not judged: holds no section of a site",
        ];
        assert_eq!(messages, expected);
    }

    #[test]
    fn what_is_on_the_snag_list_is_skipped() {
        let mut sample = sample();
        sample.known = vec![Known::at_what_it_is(sample.findings.remove(1))];
        let all = elements(&told(&sample));
        assert_eq!(all[0].1["failures"], "0");
        let skipped = all.iter().filter(|(name, _)| name == "skipped");
        let messages: Vec<_> = skipped.map(|(_, a)| a["message"].as_str()).collect();
        assert!(messages.contains(&"known: on the snag list of the site"));
    }

    #[test]
    fn a_file_with_nothing_to_put_right_has_passed_unless_it_was_passed_over() {
        let mut sample = sample().clean();
        sample.passed_over.retain(|one| one.path != "empty.yaml");
        let all = elements(&told(&sample));
        let cases = all.iter().filter(|(name, _)| name == "testcase");
        let names: Vec<_> = cases.map(|(_, a)| a["name"].as_str()).collect();
        assert_eq!(names, ["nothing found to put right"; 3]);
        assert!(all.iter().all(|(name, _)| name != "skipped"));
    }

    #[test]
    fn what_could_not_be_judged_is_an_error() {
        let all = elements(&told(&sample().clean().broken()));
        assert_eq!(all[0].1["errors"], "2");
        let suites = all.iter().filter(|(name, _)| name == "testsuite");
        let names: Vec<_> = suites.map(|(_, a)| a["name"].as_str()).collect();
        let expected = [
            "circuits.yaml",
            "cords.yaml",
            "empty.yaml",
            "plan 2/über.yaml",
            "rules over .",
        ];
        assert_eq!(names, expected);
    }

    #[test]
    fn names_hold_from_run_to_run() {
        let all = elements(&told(&sample()));
        let cases = all.iter().filter(|(name, _)| name == "testcase");
        let names: Vec<_> = cases.map(|(_, a)| a["name"].as_str()).collect();
        let expected = [
            "breaking-capacity: A-12",
            "conductor-underrated: W-0412, pump-01",
            "label-pattern: W-0413",
            "retention-missing: W-0412",
            "belongs to the site",
        ];
        assert_eq!(names, expected);
    }
}
