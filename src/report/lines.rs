//! One physical line per place, in the error form of the GNU Coding Standards:
//! `path:line:column: level: headline [rule]`, then `path:line:column: note: …` for the other places
//! along the electrical path. Lines and columns count from 1, columns in characters (a byte-order
//! mark is none). Always UTF-8: editors and build servers read it, not terminals.

use std::borrow::Cow;

use super::folded::one_by_one;
use super::length::{NotWritten, Room};
use super::place::{Unit, position};
use super::words::sites;
use super::{Report, SiteReport, pieces};
use crate::finding::{Finding, Place, Verdict};
use crate::ink::{Line, Written};

pub(super) fn written(report: &Report<'_>, room: Room) -> Result<Written<Line>, NotWritten> {
    let mut lines = Written::new();
    for site in &report.sites {
        for finding in told(site) {
            write_finding(site, &finding, &mut lines);
            room.holds(&lines)?;
        }
    }
    Ok(lines)
}

/// What is told, in order of its places: a fact once that is missing for several questions, and
/// everything else one by one. What was there before a change is counted in the closing words: a line
/// would be marked anew.
fn told<'a>(site: &SiteReport<'a>) -> Vec<Cow<'a, Finding>> {
    let pieces = one_by_one(site.findings);
    let told = pieces.iter().flat_map(|piece| match piece.fact() {
        Some(fact) => vec![Cow::Owned(pieces::of_fact(piece, fact, site.words))],
        None => piece.all().map(Cow::Borrowed).collect(),
    });
    let mut told: Vec<Cow<'a, Finding>> = told.collect();
    told.sort_by(|a, b| a.order(b));
    told
}

fn write_finding(site: &SiteReport<'_>, finding: &Finding, lines: &mut Written<Line>) {
    write_place(site, &finding.main, lines);
    lines.ours(level(finding)).ours(": ");
    lines.theirs(&since(finding)).theirs(&finding.headline);
    if let Some(sites) = sites(finding) {
        lines.ours(" (").theirs(&sites).ours(")");
    }
    lines.ours(" [").ours(finding.rule).ours("]\n");
    for place in &finding.path {
        write_place(site, place, lines);
        lines.ours("note: ").theirs(&place.note).ours("\n");
    }
}

fn level(finding: &Finding) -> &'static str {
    match finding.verdict {
        Verdict::Open => "note: not decided",
        Verdict::Broken => finding.level.word(),
    }
}

/// `worse (10.2 A against 10 A before): `; nothing where no change was judged.
fn since(finding: &Finding) -> String {
    match (finding.since.word(), finding.since.earlier()) {
        (Some(word), Some(earlier)) => format!("{word} ({} before): ", earlier.show()),
        (Some(word), None) => format!("{word}: "),
        (None, _) => String::new(),
    }
}

fn write_place(site: &SiteReport<'_>, place: &Place, lines: &mut Written<Line>) {
    let source = site.sources.file(place.span.file);
    let at = position(source, place.span.lo as usize, Unit::Chars);
    let path = site.shown(&source.path);
    lines.place(&path, at.line, at.column).ours(": ");
}

#[cfg(test)]
mod tests {
    use super::super::Format;
    use super::super::sample::{Sample, look, sample, written};

    #[test]
    fn every_place_is_one_physical_line() {
        let sample = Sample {
            root: "sites/løft/",
            ..sample()
        };
        let text = written(&sample.report(), Format::Lines, &look(60, false));
        let expected = "\
sites/løft/circuits.yaml:5:1: note: not decided: Whether breaker A-12 can break a short circuit is not known [breaking-capacity]
sites/løft/cords.yaml:2:51: error: Cord W-0412 may carry 9.7 A over a conductor that bears 6 A: its insulation softens, and whoever reaches into the bundle can be burnt or shocked [conductor-underrated]
sites/løft/circuits.yaml:4:15: note: lets 32 A pass before it trips
sites/løft/cords.yaml:4:27: note: takes its load from outlet 3
sites/løft/cords.yaml:4:49: note: draws 9.7 A
sites/løft/cords.yaml:5:3: warning: Cord label [W-0413] is not by the site's pattern [label-pattern]
";
        assert_eq!(text, expected);
    }

    #[test]
    fn nothing_found_is_no_line() {
        let text = written(&sample().clean().report(), Format::Lines, &look(80, true));
        assert_eq!(text, "");
    }
}
