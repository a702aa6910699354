//! How long a report may get. One that would be longer than its bound is not begun where that can be
//! seen beforehand, and not gone on with elsewhere.

use std::io;

use super::{Format, Report, SiteReport};
use crate::finding::Finding;
use crate::ink::Written;

/// Why a report is not written.
#[derive(Debug)]
pub enum NotWritten {
    /// It has more bytes than it may have.
    TooLong,
    /// An excerpt cannot be drawn.
    Undrawn(io::Error),
}

impl From<io::Error> for NotWritten {
    fn from(error: io::Error) -> Self {
        Self::Undrawn(error)
    }
}

/// Bytes that a report may have.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room(pub u64);

impl Room {
    /// Refuses a text that is too long already.
    pub fn holds<K>(self, text: &Written<K>) -> Result<(), NotWritten> {
        self.holds_bytes(text.len() as u64)
    }

    /// Refuses so many bytes if they are too many.
    pub fn holds_bytes(self, bytes: u64) -> Result<(), NotWritten> {
        match bytes > self.0 {
            true => Err(NotWritten::TooLong),
            false => Ok(()),
        }
    }
}

/// No report of a format has fewer bytes than these. What is written piece by piece is measured there.
pub(super) fn least(report: &Report<'_>, format: Format) -> u64 {
    let of_an_atom = match format {
        Format::Annotated | Format::Lines => return 0,
        Format::Json => 60,
        Format::Sarif => 600,
        Format::Junit => 40,
    };
    let findings = report.sites.iter().flat_map(all);
    let atoms = |finding: &Finding| finding.sufferers.len().max(1) as u64;
    findings
        .map(|finding| finding.headline.len() as u64 + of_an_atom * atoms(finding))
        .sum()
}

fn all<'a>(site: &SiteReport<'a>) -> impl Iterator<Item = &'a Finding> + use<'a> {
    let departed = site.departed.iter().map(|departed| &departed.finding);
    let known = site.known.iter().map(|known| &known.finding);
    site.findings.iter().chain(departed).chain(known)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{FORMATS, look, sample};
    use super::super::written;
    use super::*;

    #[test]
    fn a_report_that_fits_is_written_and_one_byte_less_is_refused() {
        let (sample, look) = (sample(), look(80, true));
        let report = sample.report();
        for format in FORMATS {
            let text = written(&report, format, &look, u64::MAX).expect("a report");
            let bytes = text.bytes().len() as u64;
            assert!(least(&report, format) <= bytes, "{format:?}");
            assert!(written(&report, format, &look, bytes).is_ok(), "{format:?}");
            let cut = written(&report, format, &look, bytes - 1);
            assert!(matches!(cut, Err(NotWritten::TooLong)), "{format:?}");
        }
    }

    #[test]
    fn what_many_suffer_is_refused_before_it_is_written() {
        let mut sample = sample();
        let names = (0..100_000).map(|number| format!("W-{number}").into());
        sample.findings[0].sufferers = names.collect();
        for format in [Format::Json, Format::Sarif, Format::Junit] {
            let least = least(&sample.report(), format);
            assert!(least > 4_000_000, "{format:?} {least}");
        }
    }
}
