//! What a run has to tell, and the writers that tell it.
//!
//! [`Report`] is plain data, sorted by its maker; each writer turns the same data into one format.
//! A writer touches nothing but the output it is given: no clock, no environment, no file, so that
//! the same report is the same bytes everywhere.

use std::io;

pub use crate::departure::Departed;
use crate::finding::{Finding, Level, Verdict};
pub use crate::input::Unread;
pub use crate::rules::RuleCard;
use crate::source::Sources;

mod annotated;
mod caution;
mod clip;
mod closing;
mod excerpts;
mod gravest;
mod json;
mod junit;
mod lines;
mod place;
#[cfg(test)]
mod sample;
mod sarif;
mod snags;
mod told;
mod words;

pub use caution::{ADVICE, CAUTION, NOT_CHECKED};
pub use closing::closing;
pub use gravest::{Gravest, LeftOut};
pub use json::schema;
pub use snags::snag_list;
pub(crate) use words::{columns, count, in_markup, one_line, spelt, wrapped};

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
    /// Cords.
    pub cords: usize,
}

/// One site's part of a report.
#[derive(Clone, Debug)]
pub struct SiteReport<'a> {
    /// The site's folder as the user gave it, `.` when it is the working folder; shown paths begin with it.
    pub root: &'a str,
    /// The site's name, where it gives one.
    pub name: Option<&'a str>,
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
    /// What could not be judged.
    pub unread: &'a [Unread],
    /// Rules that broke down.
    pub crashed: &'a [String],
    /// Findings gone since the revision compared with; `None` without a comparison.
    pub put_right: Option<usize>,
    /// Findings that the snag list accepts as known.
    pub known: &'a [Finding],
}

impl<'a> SiteReport<'a> {
    /// These findings of a site and nothing else.
    pub fn of_findings(
        root: &'a str,
        name: Option<&'a str>,
        sources: &'a Sources,
        findings: &'a [Finding],
        census: Census,
    ) -> Self {
        Self {
            root,
            name,
            sources,
            findings,
            left_out: None,
            departed: &[],
            census,
            unread: &[],
            crashed: &[],
            put_right: None,
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
}

/// The terminal's look, found out by the caller.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// Columns to wrap prose at.
    pub width: usize,
    /// Whether to colour.
    pub color: bool,
    /// Whether our own words and lines may use more than ASCII; source text is shown as it is.
    pub unicode: bool,
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

/// Writes `report` to `out`. The annotated form ends with [`closing`]; for the others the caller
/// shows that on standard error.
///
/// # Errors
/// Whatever `out` reports.
pub fn write(
    report: &Report<'_>,
    format: Format,
    look: &Look,
    out: &mut dyn io::Write,
) -> io::Result<()> {
    match format {
        Format::Annotated => annotated::write(report, look, out),
        Format::Lines => lines::write(report, out),
        Format::Json => json::write(report, out),
        Format::Sarif => sarif::write(report, out),
        Format::Junit => junit::write(report, out),
    }
}

impl SiteReport<'_> {
    /// `path` as it is shown: from the folder in which the command runs.
    fn shown(&self, path: &str) -> String {
        match self.root.trim_end_matches('/') {
            "." => path.to_owned(),
            "" if !self.root.starts_with('/') => path.to_owned(),
            root => format!("{root}/{path}"),
        }
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
            site.findings.iter().for_each(|finding| counts.add(finding));
            site.left_out
                .iter()
                .for_each(|others| counts.join(&others.counts));
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

    use super::sample::{Sample, look, plain, sample, written};
    use super::*;
    use crate::finding::Place;
    use crate::source::{FileId, Source, Span};

    const FORMATS: [Format; 5] = [
        Format::Annotated,
        Format::Lines,
        Format::Json,
        Format::Sarif,
        Format::Junit,
    ];

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

    /// A site of arbitrary text with places anywhere in it, even where no place can be.
    fn anything() -> impl Strategy<Value = Sample> {
        let text = prop_oneof![
            "\\PC{0,40}",
            "[a-z:\\-\\t \r\n\u{feff}\u{202e}\u{1b}é電𝔸]{0,200}",
        ];
        let texts = proptest::collection::vec(text, 1..3);
        let spans = proptest::collection::vec((0..3usize, 0..220usize, 0..220usize), 1..6);
        (texts, spans, "\\PC{0,90}").prop_map(|(texts, spans, words)| {
            let names = ["a.yaml", "b.yaml", "c.yaml"];
            let files: Vec<Source> = std::iter::zip(names, texts)
                .map(|(name, text)| Source::new(name, text))
                .collect();
            let last = files.len() - 1;
            let mut places = spans.into_iter().map(|(file, lo, hi)| Place {
                span: Span::new(FileId(file.min(last) as u32), lo, hi),
                note: words.clone(),
            });
            let main = places.next().expect("one at least");
            let finding = Finding {
                headline: words.clone(),
                path: places.collect(),
                main_position: 1,
                ..plain("power-loop", main)
            };
            Sample {
                sources: Sources::new(files),
                findings: vec![finding],
                ..sample().clean()
            }
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn any_place_in_any_text_can_be_written(sample in anything(), width in 0..120usize) {
            for format in FORMATS {
                let text = written(&sample.report(), format, &look(width, true));
                prop_assert!(!text.contains('\u{1b}'), "{format:?} passes an escape on");
                prop_assert!(text.ends_with('\n'));
            }
        }
    }
}
