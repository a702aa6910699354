//! What a run has to tell, and the writers that tell it.
//!
//! [`Report`] is plain data, sorted by its maker; each writer turns the same data into one format.
//! A writer touches nothing but its report: no clock, no environment, no file, so that the same report
//! is the same bytes everywhere. What comes from outside goes into a text as words only (`crate::ink`).

pub use crate::agreed::Departed;
use crate::analysis::Resting;
use crate::comparison::Comparison;
use crate::finding::{Fact, Finding, Level, Verdict};
use crate::ink::Output;
use crate::input::joined;
pub use crate::input::{PassedOver, Unread};
pub use crate::rules::{Known, RuleCard};
use crate::source::Sources;
use crate::tables::words::Words;

mod annotated;
mod caution;
mod change;
mod clip;
mod closing;
mod excerpts;
mod folded;
mod gravest;
mod json;
mod junit;
mod length;
mod lines;
mod pieces;
mod place;
#[cfg(test)]
mod sample;
mod sarif;
mod shared;
mod snags;
mod words;

pub use crate::ink::Look;
pub use caution::{ADVICE, CAUTION, NOT_CHECKED};
pub use closing::closing;
pub use folded::one_by_one;
pub use gravest::{Gravest, LeftOut};
pub use json::schema;
pub use length::NotWritten;
use length::Room;
pub use pieces::wanted;
pub use shared::{FoundAt, told_once};
pub use snags::snag_list;
pub(crate) use words::count;

/// How much was judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Census {
    /// Files that hold a section of ours.
    pub files: usize,
    /// YAML files without one.
    pub passed_over: usize,
    /// Supplies.
    pub supplies: usize,
    /// Circuits.
    pub circuits: usize,
    /// PDUs.
    pub pdus: usize,
    /// Devices.
    pub devices: usize,
    /// Cords, as planned.
    pub cords: usize,
    /// Those of them that are still to be fitted.
    pub to_fit: usize,
    /// Cords that are still to be pulled.
    pub to_pull: usize,
}

/// One site's part of a report.
#[derive(Clone, Debug)]
pub struct SiteReport<'a> {
    /// The site's folder as the user gave it, `.` when it is the working folder; shown paths begin with it.
    pub root: &'a str,
    /// The site's name, where it gives one.
    pub name: Option<&'a str>,
    /// The edition of the wiring rules by which it was judged, where it names one.
    pub edition: Option<&'a str>,
    /// What things are called at it.
    pub words: &'static Words,
    /// The site's files.
    pub sources: &'a Sources,
    /// What was found, in [`Finding::order`].
    pub findings: &'a [Finding],
    /// What was found besides and is only counted, so that people can read the rest.
    pub left_out: Option<&'a LeftOut>,
    /// What was found and departed from.
    pub departed: &'a [Departed],
    /// How much was judged.
    pub census: Census,
    /// What is taken for granted because the definitions are silent.
    pub assumed: &'a [Resting],
    /// Of facts that are missing the values that decide, as far as they were looked for.
    pub decides: &'a [(Fact, String)],
    /// What could not be judged.
    pub unread: &'a [Unread],
    /// What is not judged because it is not the site's.
    pub passed_over: &'a [PassedOver],
    /// Rules that broke down.
    pub crashed: &'a [String],
    /// What a change made of the site; `None` where none was judged.
    pub comparison: Option<&'a Comparison>,
    /// Findings that the snag list accepts as known.
    pub known: &'a [Known],
}

impl<'a> SiteReport<'a> {
    /// These findings of a site and nothing else.
    pub fn of_findings(
        root: &'a str,
        (name, words): (Option<&'a str>, &'static Words),
        sources: &'a Sources,
        findings: &'a [Finding],
        census: Census,
    ) -> Self {
        Self {
            root,
            name,
            edition: None,
            words,
            sources,
            findings,
            left_out: None,
            departed: &[],
            census,
            assumed: &[],
            decides: &[],
            unread: &[],
            passed_over: &[],
            crashed: &[],
            comparison: None,
            known: &[],
        }
    }
}

/// A run over one site or several.
#[derive(Clone, Debug)]
pub struct Report<'a> {
    /// The sites, in order of their folder.
    pub sites: Vec<SiteReport<'a>>,
    /// Every rule, in the index's order.
    pub rules: Vec<RuleCard<'a>>,
    /// Whether the closing words name what is not judged because it is not the site's.
    pub is_verbose: bool,
    /// Whether people are told every finding in full, not the worst of each kind.
    pub is_one_by_one: bool,
}

/// The ways to write a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// For people: excerpts along the electrical path, arithmetic, source, remedy.
    Annotated,
    /// One line per place, in the GNU Coding Standards' error form.
    Lines,
    /// Our own versioned JSON.
    Json,
    /// SARIF 2.1.0.
    Sarif,
    /// JUnit XML, a suite per file.
    Junit,
}

/// `report` as it is written. The annotated form ends with [`closing()`]; for the others the caller shows
/// that on standard error.
///
/// # Errors
/// An excerpt that cannot be drawn, or a report of more than `most` bytes.
pub fn written(
    report: &Report<'_>,
    format: Format,
    look: &Look,
    most: u64,
) -> Result<Output, NotWritten> {
    let room = Room(most);
    room.holds_bytes(length::least(report, format))?;
    let output: Output = match format {
        Format::Annotated => annotated::written(report, look, room)?.into(),
        Format::Lines => lines::written(report, room)?.into(),
        Format::Json => json::written(report).into(),
        Format::Sarif => sarif::written(report).into(),
        Format::Junit => junit::written(report).into(),
    };
    room.holds_bytes(output.bytes().len() as u64)?;
    Ok(output)
}

impl SiteReport<'_> {
    /// `path` as it is shown: from the folder in which the command runs.
    fn shown(&self, path: &str) -> String {
        joined(self.root, path)
    }

    /// Whether every file was read and every rule ran.
    fn complete(&self) -> bool {
        self.unread.is_empty() && self.crashed.is_empty()
    }
}

/// Findings by weight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
struct Counts {
    errors: usize,
    warnings: usize,
    notes: usize,
    open: usize,
    departed: usize,
    known: usize,
}

impl Counts {
    /// Counts over all sites.
    fn of(report: &Report<'_>) -> Self {
        let mut counts = Self::default();
        for site in &report.sites {
            let told = site
                .findings
                .iter()
                .filter(|finding| !finding.since.is_old());
            told.for_each(|finding| counts.add(finding));
            let others = site.left_out.iter();
            others.for_each(|others| counts.join(&others.counts));
            counts.departed += site.departed.len();
            counts.known += site.known.len();
        }
        counts
    }

    /// Adds the findings that others have counted.
    fn join(&mut self, other: &Self) {
        self.errors += other.errors;
        self.warnings += other.warnings;
        self.notes += other.notes;
        self.open += other.open;
    }

    fn add(&mut self, finding: &Finding) {
        let count = match (finding.verdict, finding.level) {
            (Verdict::Open, _) => &mut self.open,
            (Verdict::Broken, Level::Error) => &mut self.errors,
            (Verdict::Broken, Level::Warning) => &mut self.warnings,
            (Verdict::Broken, Level::Note) => &mut self.notes,
        };
        *count += 1;
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::sample::{FORMATS, Sample, look, plain, sample, written};
    use super::*;
    use crate::comparison::{ChangedKey, Gone};
    use crate::finding::Place;
    use crate::input::Reason;
    use crate::source::{FileId, Source, Span};

    #[test]
    fn the_order_in_which_findings_were_made_never_shows() {
        let straight = sample();
        let mut turned = sample();
        turned.findings.reverse();
        turned.findings.sort_by(Finding::order);
        for format in FORMATS {
            let [one, other] = [&straight, &turned]
                .map(|sample| written(&sample.report(), format, &look(80, true)));
            assert_eq!(one, other);
        }
    }

    /// Words that a stranger may have chosen.
    fn words() -> impl Strategy<Value = String> {
        prop_oneof![
            "\\PC{0,90}",
            "[a-z:#/`|<>&\"'=\\-\\[\\] \r\n\t\u{1b}\u{202e}\u{2028}\u{ffff}é電]{0,60}",
            "(::|##)[a-z]{1,9}(::|\\[).{0,20}",
        ]
    }

    /// A site of arbitrary text with places anywhere in it, even where no place can be, and of arbitrary
    /// names.
    fn anything() -> impl Strategy<Value = Sample> {
        let text = prop_oneof![
            "\\PC{0,40}",
            "[a-z:\\-\\t \r\n\u{feff}\u{202e}\u{1b}é電𝔸]{0,200}",
            words(),
        ];
        let texts = proptest::collection::vec(text, 1..3);
        let spans = proptest::collection::vec((0..3usize, 0..220usize, 0..220usize), 1..6);
        let roots = proptest::sample::select(vec![".", "::error::x", "a\u{1b}[2J", "sites/`b`"]);
        let told = proptest::collection::vec(words(), 4);
        (texts, spans, told, roots).prop_map(|(texts, spans, told, root)| {
            let [path, note, headline, name] = told.try_into().expect("four");
            let names = [format!("a{path}"), format!("b{path}"), format!("c{path}")];
            let files: Vec<Source> = std::iter::zip(names, texts)
                .map(|(name, text)| Source::new(name, text))
                .collect();
            let last = files.len() - 1;
            let mut places = spans.into_iter().map(|(file, lo, hi)| Place {
                span: Span::new(FileId(file.min(last) as u32), lo, hi),
                note: note.clone(),
                is_hop: false,
            });
            let main = places.next().expect("one at least");
            let finding = Finding {
                headline: headline.clone(),
                path: places.collect(),
                main_position: 1,
                arithmetic: vec![note.clone()],
                about: vec![name.as_str().into()],
                ..plain("power-loop", main)
            };
            let departed = Departed {
                finding: finding.clone(),
                reason: name.clone(),
                agreed_by: note.clone(),
                until: headline,
                unbounded: true,
            };
            let passed_over = PassedOver {
                path: format!("e{path}"),
                why: Reason::LeftOut(vec![note.as_str().into()]),
            };
            let unread = Unread {
                path: format!("d{path}"),
                why: note,
            };
            Sample {
                sources: Sources::new(files),
                known: vec![Known::at_what_it_is(finding.clone())],
                findings: vec![finding],
                departed: vec![departed],
                unread: vec![unread],
                passed_over: vec![passed_over],
                crashed: vec![name],
                root,
            }
        })
    }

    /// Nothing that steers, and no line that is a command to a build server.
    fn is_tame(text: &str) -> bool {
        let steers = |c: char| {
            c.is_control() && c != '\n' || matches!(c, '\u{2028}'..='\u{202e}' | '\u{feff}')
        };
        let is_command = |line: &str| {
            let begins = line.trim_start().strip_prefix("::");
            begins.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_alphabetic()))
        };
        let anywhere = regex::Regex::new("##[a-zA-Z0-9-]*\\[").expect("a pattern");
        !text.contains(steers) && !text.lines().any(is_command) && !anywhere.is_match(text)
    }

    /// Whether a text is a whole document of the elements that the writer of JUnit knows.
    fn is_junit(xml: &str) -> bool {
        use quick_xml::events::Event;
        let ours = [
            "testsuites",
            "testsuite",
            "testcase",
            "failure",
            "skipped",
            "error",
            "system-out",
        ];
        let mut reader = quick_xml::Reader::from_str(xml);
        loop {
            match reader.read_event() {
                Ok(Event::Eof) => return true,
                Ok(Event::Start(start) | Event::Empty(start))
                    if !ours.contains(&start.name().as_ref()) =>
                {
                    return false;
                }
                Ok(Event::Comment(_) | Event::CData(_) | Event::DocType(_)) | Err(_) => {
                    return false;
                }
                Ok(_) => {}
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn any_place_in_any_text_can_be_written(sample in anything(), width in 0..120usize) {
            let name = &sample.crashed[0];
            let comparison = Comparison {
                revision: name.clone(),
                gone: vec![Gone::of(&sample.sources, sample.findings[0].clone())],
                changed_keys: vec![ChangedKey {
                    key: name.clone(),
                    before: Some(name.clone()),
                    now: None,
                }],
                ..Comparison::default()
            };
            let (mut report, look) = (sample.report(), look(width, true));
            report.sites[0].comparison = Some(&comparison);
            report.is_verbose = true;
            for format in FORMATS {
                let text = written(&report, format, &look);
                prop_assert!(text.ends_with('\n'));
                let is_whole = match format {
                    Format::Annotated => is_tame(&text),
                    // A line for each place, and nothing between them.
                    Format::Lines => {
                        is_tame(&text) && text.lines().count() == sample.findings[0].path.len() + 1
                    }
                    Format::Json | Format::Sarif => {
                        let is_json = serde_json::from_str::<serde_json::Value>(&text).is_ok();
                        is_json && !text.contains(['\u{1b}', '\u{202e}', '\u{2028}'])
                    }
                    Format::Junit => is_junit(&text),
                };
                prop_assert!(is_whole, "{format:?}\n{text}");
            }
            prop_assert!(is_tame(closing(&report, &look).as_str()));
            let list = snag_list(&sample.known);
            prop_assert!(is_tame(list.as_str()), "{list}");
            let header = list.as_str().lines().filter(|line| line.starts_with('#')).count();
            prop_assert_eq!(list.as_str().lines().count(), header + 1, "{}", list);
        }
    }
}
