//! The form for people: each finding with its excerpts from supply to device, then the working, the
//! source of the limit, what would put it right and where to read on.

use std::io;

use codespan_reporting::diagnostic::Severity;
use codespan_reporting::files::Error;

use super::excerpts::Excerpts;
use super::folded::{Fold, Folded, folded, one_by_one};
use super::length::{NotWritten, Room};
use super::pieces;
use super::words::{heading, rows};
use super::{Look, Report, SiteReport, closing};
use crate::finding::{Finding, Level, Verdict};
use crate::ink::{ExcerptPainter, Plain, Written, columns, short, wrapped};

/// Columns of the headings beside a finding's rows, with the space after them.
const MARGIN: usize = 11;
/// Columns before those headings.
const INDENT: usize = 2;

pub(super) fn written(
    report: &Report<'_>,
    look: &Look,
    room: Room,
) -> Result<Written<Plain>, NotWritten> {
    let mut sheet = Sheet {
        look,
        painter: ExcerptPainter::new(look),
        text: Written::new(),
    };
    for site in &report.sites {
        if report.sites.len() > 1 {
            sheet.site_heading(site);
        }
        let pieces = match report.is_one_by_one {
            true => one_by_one(site.findings),
            false => folded(site.findings),
        };
        for piece in pieces {
            sheet.piece(site, &piece)?;
            room.holds(&sheet.text)?;
        }
    }
    sheet.text.push(&closing(report, look));
    Ok(sheet.text)
}

/// Where findings are drawn.
struct Sheet<'a> {
    look: &'a Look,
    painter: ExcerptPainter<'a>,
    text: Written<Plain>,
}

impl Sheet<'_> {
    /// Which site the findings that follow belong to; only told where there are several.
    fn site_heading(&mut self, site: &SiteReport<'_>) {
        let words = match site.name {
            Some(name) => format!("Site {} — {}", short(site.root), short(name)),
            None => format!("Site {}", short(site.root)),
        };
        let words = Written::of(&words).spelt(self.look.unicode);
        self.text.push(&words).ours("\n");
        for _ in 0..columns(words.as_str()).min(self.look.width) {
            self.text.ours(if self.look.unicode { "═" } else { "=" });
        }
        self.text.ours("\n\n");
    }

    fn piece(&mut self, site: &SiteReport<'_>, piece: &Folded<'_>) -> io::Result<()> {
        match piece.fact() {
            Some(fact) => {
                let whole = pieces::of_fact(piece, fact, site.words);
                let questions = pieces::questions(piece).into_iter();
                let rows = pieces::decides(site, piece).into_iter().chain(questions);
                let rows = rows.chain(pieces::wanted_at(site, piece));
                self.finding(site, &whole, rows.collect())
            }
            None => {
                let others = match piece.by {
                    Fold::Kind => pieces::also_at(site, piece),
                    Fold::Fact(_) | Fold::Facts(_) => {
                        pieces::decides(site, piece).into_iter().collect()
                    }
                    Fold::Place => pieces::also_open(piece),
                };
                self.finding(site, piece.lead, others)
            }
        }
    }

    /// A finding with its places and rows, and what is told besides.
    fn finding(
        &mut self,
        site: &SiteReport<'_>,
        finding: &Finding,
        besides: Vec<(&'static str, String)>,
    ) -> io::Result<()> {
        self.headline(finding);
        let excerpts = Excerpts::new(site, finding, self.look);
        let picture = self
            .painter
            .excerpts(severity(finding), &excerpts, excerpts.marks());
        self.text.push(&picture.map_err(as_io)?).ours("\n");
        self.rows(finding, besides);
        self.text.ours("\n");
        Ok(())
    }

    /// The level's word, then the headline hanging beside it.
    fn headline(&mut self, finding: &Finding) {
        let mut word = Written::new();
        word.ours(heading(finding)).ours(": ");
        let mut headline = Written::new();
        for (number, line) in self.lines(&finding.headline, word.len()).iter().enumerate() {
            if number > 0 {
                headline.ours("\n").blanks(word.len());
            }
            headline.push(line);
        }
        let headline = self.painter.headline(severity(finding), &word, &headline);
        self.text.push(&headline).ours("\n");
    }

    /// The rows under the excerpts, each heading said once.
    fn rows(&mut self, finding: &Finding, besides: Vec<(&'static str, String)>) {
        let page = format!("cordwright cite {}", finding.rule);
        let own = rows(finding).into_iter().chain([("Read on", page)]);
        let mut above = "";
        for (name, words) in own.chain(besides) {
            self.row(if name == above { "" } else { name }, &words);
            above = name;
        }
    }

    /// A row: a heading in the margin, the words wrapped beside it.
    fn row(&mut self, name: &'static str, words: &str) {
        let lines = self.lines(words, INDENT + MARGIN);
        for (number, line) in lines.iter().enumerate() {
            let mut heading = Written::new();
            heading.ours(if number == 0 { name } else { "" });
            let mut margin = Written::new();
            margin.blanks(INDENT).filled(&heading, MARGIN);
            self.text.push(&self.painter.margin(&margin));
            self.text.push(line).ours("\n");
        }
    }

    /// Words in lines that leave so many columns free.
    fn lines(&self, words: &str, free: usize) -> Vec<Written<Plain>> {
        let words = Written::of(words).spelt(self.look.unicode);
        wrapped(&words, self.look.width.saturating_sub(free))
    }
}

fn severity(finding: &Finding) -> Severity {
    match (finding.verdict, finding.level) {
        (Verdict::Open, _) => Severity::Help,
        (Verdict::Broken, Level::Error) => Severity::Error,
        (Verdict::Broken, Level::Warning) => Severity::Warning,
        (Verdict::Broken, Level::Note) => Severity::Note,
    }
}

/// Excerpts are made of the marks they are asked about, so this does not come about.
fn as_io(error: Error) -> io::Error {
    match error {
        Error::Io(error) => error,
        other => io::Error::other(other),
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Sample, look, place, plain, sample, written};
    use super::super::{Format, Look, Report};
    use crate::ink::columns;

    fn drawn(sample: &Sample, look: &Look) -> String {
        written(&sample.report(), Format::Annotated, look)
    }

    #[test]
    fn a_report_looks_as_it_was_drawn() {
        let sample = sample();
        let expected = [
            (
                80,
                true,
                include_str!("../../tests/reports/annotated-80.txt"),
            ),
            (
                60,
                true,
                include_str!("../../tests/reports/annotated-60.txt"),
            ),
            (
                80,
                false,
                include_str!("../../tests/reports/annotated-80-ascii.txt"),
            ),
            (
                60,
                false,
                include_str!("../../tests/reports/annotated-60-ascii.txt"),
            ),
        ];
        for (width, unicode, text) in expected {
            assert_eq!(
                drawn(&sample, &look(width, unicode)),
                text,
                "{width} {unicode}"
            );
        }
    }

    #[test]
    fn no_line_runs_over_the_edge() {
        for width in [60, 72, 80, 100, 132] {
            let text = drawn(&sample().broken(), &look(width, true));
            let widest = text.lines().map(columns).max().unwrap_or(0);
            assert!(
                widest <= width && widest > width - 12,
                "{widest} of {width}\n{text}"
            );
        }
    }

    #[test]
    fn colour_adds_nothing_but_colour() {
        let coloured = Look {
            color: true,
            ..look(80, true)
        };
        let text = drawn(&sample(), &coloured);
        assert!(text.contains("\u{1b}["));
        let escapes = regex::Regex::new("\u{1b}\\[[0-9;]*m").expect("a pattern");
        let bare = escapes.replace_all(&text, "");
        let bare: Vec<&str> = bare.lines().map(|line| line.trim_end()).collect();
        let plain = drawn(&sample(), &look(80, true));
        assert_eq!(bare, plain.lines().collect::<Vec<_>>());
    }

    #[test]
    fn nothing_of_the_source_can_steer_the_terminal() {
        assert!(
            sample()
                .sources
                .file(crate::source::FileId(1))
                .text
                .contains('\u{1b}')
        );
        assert!(!drawn(&sample(), &look(80, true)).contains('\u{1b}'));
    }

    #[test]
    fn places_stand_in_electrical_order_even_up_the_file() {
        let mut sample = sample();
        let sources = &sample.sources;
        let mut finding = plain(
            "power-loop",
            place(sources, "cords.yaml", "W-0413", "second"),
        );
        finding.path = vec![
            place(sources, "cords.yaml", "W-0412", "third"),
            place(sources, "cords.yaml", "c14-c13", "fourth"),
            place(sources, "circuits.yaml", "A-12", "first"),
        ];
        finding.path.rotate_right(1);
        finding.main_position = 1;
        sample.findings = vec![finding];
        let text = drawn(&sample, &look(80, true));
        let numbered = ["① first", "② second", "③ third", "④ fourth"];
        let at = numbered.map(|word| text.find(word));
        assert!(at.iter().all(Option::is_some) && at.is_sorted(), "{text}");
    }

    #[test]
    fn several_sites_are_told_apart() {
        let (one, two) = (
            sample(),
            Sample {
                root: "b/site",
                ..sample()
            },
        );
        let report = Report {
            sites: vec![one.site(), two.site()],
            ..one.report()
        };
        let text = written(&report, Format::Annotated, &look(80, false));
        let heading = "Site b/site - Løft pumping station\n==================================\n";
        assert!(text.contains(heading), "{text}");
        assert!(text.contains("+- b/site/cords.yaml:2:51"));
        assert!(text.contains("Found 2 errors and 2 warnings."));
    }

    #[test]
    fn one_place_is_no_path_and_a_long_path_is_numbered_to_its_end() {
        let mut sample = sample();
        let main = place(&sample.sources, "cords.yaml", "W-0413", "");
        sample.findings = vec![plain("power-loop", main.clone())];
        assert!(!drawn(&sample, &look(80, true)).contains('①'));
        sample.findings[0].path = vec![main; 21];
        let text = drawn(&sample, &look(80, true));
        for sign in ["①", "②", "⑳", "(21)", "(22)"] {
            assert_eq!(text.matches(sign).count(), 1, "{sign}\n{text}");
        }
        assert!(drawn(&sample, &look(80, false)).contains("(1)"));
    }
}
