//! Small sites made of texts, judged as the command would judge them.

use cordwright::date::Date;
use cordwright::finding::Finding;
use cordwright::graph::ElementId;
use cordwright::input::SiteInput;
use cordwright::judgement::{Before, Judgement, Settings, Site, judge};
use cordwright::model::value::{Name, Spanned};
use cordwright::policy::Policy;
use cordwright::report::{Format, Look, Report, SiteReport, closing, written};
use cordwright::rules::{self, LostFile};

/// Files of a site: paths and texts.
pub type Files = Vec<(String, String)>;

/// The day on which all tests judge.
pub fn today() -> Date {
    Date::new(2026, 11, 25).unwrap()
}

/// Judges files under all rules.
pub fn judged(files: &Files) -> Judgement {
    judged_with(files, &Settings::on(today()))
}

/// Judges files as `settings` ask.
pub fn judged_with(files: &Files, settings: &Settings) -> Judgement {
    judge(input(files), settings)
}

/// Reads files without judging them.
pub fn read(files: &Files) -> Site {
    Site::read(input(files))
}

fn input(files: &Files) -> SiteInput {
    let mut files: Vec<(String, Vec<u8>)> = files
        .iter()
        .map(|(path, text)| (path.clone(), text.clone().into_bytes()))
        .collect();
    files.sort();
    SiteInput {
        files,
        ..SiteInput::default()
    }
}

/// Judges files as a change of others; `lost` are earlier files that are out of sight, with their fate.
pub fn judged_as_change(now: &Files, before: &Files, lost: Vec<(String, String)>) -> Judgement {
    let before = read(before);
    let things = |path: &str| {
        let in_it = |name: &&Spanned<Name>| before.sources.file(name.span.file).path == path;
        let names = before.model.names().filter(in_it);
        let mut names: Vec<Name> = names.map(|name| name.value.clone()).collect();
        names.sort();
        names
    };
    let lost: Vec<LostFile> = lost
        .into_iter()
        .map(|(path, fate)| LostFile {
            things: things(&path),
            path,
            fate,
        })
        .collect();
    let earlier = Before {
        site: Some(&before),
        revision: "main",
        policy: Policy::of(&before.model),
        lost: &lost,
        left_out: &[],
        relaxations_hold: false,
    };
    read(now).judge_change(&Settings::on(today()), &earlier)
}

/// The findings as people see them, 80 columns wide, without the closing words.
pub fn annotated(judgement: &Judgement, findings: &[Finding]) -> String {
    let (text, end) = reported(judgement, findings, Format::Annotated);
    text.strip_suffix(end.as_str())
        .expect("the closing comes last")
        .trim()
        .to_owned()
        + "\n"
}

/// A report of these findings in a format, and the closing words.
pub fn reported(judgement: &Judgement, findings: &[Finding], format: Format) -> (String, String) {
    let called = (judgement.name.as_deref(), judgement.words);
    let site = SiteReport::of_findings(".", called, &judgement.sources, findings, judgement.census);
    let report = Report {
        sites: vec![site],
        rules: rules::cards(),
        is_verbose: false,
        is_one_by_one: false,
    };
    let look = Look {
        width: 80,
        color: false,
        unicode: true,
    };
    let output = written(&report, format, &look, u64::MAX).unwrap();
    let text = std::str::from_utf8(output.bytes()).unwrap();
    (text.to_owned(), closing(&report, &look).as_str().to_owned())
}

/// The findings of a rule.
pub fn said<'a>(judgement: &'a Judgement, rule: &str) -> Vec<&'a Finding> {
    let own = judgement.findings.iter();
    own.filter(|found| found.rule == rule).collect()
}

/// The bytes that a finding is about.
pub fn at<'a>(judgement: &'a Judgement, found: &Finding) -> &'a str {
    let span = found.main.span;
    &judgement.sources.file(span.file).text[span.range()]
}

/// The element of this full name.
pub fn element(site: &Site, name: &str) -> ElementId {
    let analysis = site.analysis(today());
    let mut all = site.graph.elements().map(|(id, _)| id);
    all.find(|id| analysis.full_name(*id) == name).unwrap()
}
