//! The form for people: each finding with its excerpts from supply to device, then the working, the
//! source of the limit, what would put it right and where to read on.

use std::io::{self, Write};

use codespan_reporting::diagnostic::{Diagnostic, Severity};
use codespan_reporting::files::Error;
use codespan_reporting::term::termcolor::{Buffer, Color, ColorSpec, WriteColor};
use codespan_reporting::term::{Chars, Config, Styles, StylesWriter, emit_to_write_style};

use super::excerpts::Excerpts;
use super::told::{Told, told};
use super::words::{columns, heading, rows, spelt, wrapped};
use super::{Look, Report, SiteReport, closing};
use crate::finding::{Finding, Level, Verdict};

/// Columns of the headings beside a finding's rows, with the space after them.
const MARGIN: usize = 11;
/// Columns before those headings.
const INDENT: usize = 2;

pub(super) fn write(report: &Report<'_>, look: &Look, out: &mut dyn Write) -> io::Result<()> {
    let pen = Pen::new(look);
    for site in &report.sites {
        if report.sites.len() > 1 {
            out.write_all(site_heading(site, look).as_bytes())?;
        }
        for told in told(site.findings) {
            out.write_all(pen.told(site, &told)?.as_slice())?;
        }
    }
    out.write_all(closing(report, look).as_bytes())
}

/// Which site the findings that follow belong to; only told where there are several.
fn site_heading(site: &SiteReport<'_>, look: &Look) -> String {
    let words = match site.name {
        Some(name) => format!("Site {} — {name}", site.root),
        None => format!("Site {}", site.root),
    };
    let words = spelt(&words, look.unicode);
    let rule = if look.unicode { "═" } else { "=" };
    let rule = rule.repeat(columns(&words).min(look.width));
    format!("{words}\n{rule}\n\n")
}

/// Everything that drawing findings needs.
struct Pen<'a> {
    look: &'a Look,
    styles: Styles,
    config: Config,
}

impl<'a> Pen<'a> {
    fn new(look: &'a Look) -> Self {
        let chars = match look.unicode {
            true => Chars::box_drawing(),
            false => Chars {
                snippet_start: "+-".into(),
                ..Chars::ascii()
            },
        };
        // The library has no word for a point that is not decided; its fifth severity lends its place.
        let open = ColorSpec::new().set_fg(Some(Color::Magenta)).clone();
        let styles = Styles {
            header_help: open.clone().set_bold(true).set_intense(true).clone(),
            primary_label_help: open,
            ..Styles::default()
        };
        Self {
            look,
            styles,
            config: Config {
                chars,
                ..Config::default()
            },
        }
    }

    fn ink(&self) -> Buffer {
        match self.look.color {
            true => Buffer::ansi(),
            false => Buffer::no_color(),
        }
    }

    fn told(&self, site: &SiteReport<'_>, told: &Told<'_>) -> io::Result<Buffer> {
        let finding = told.finding;
        let mut ink = self.ink();
        self.headline(finding, &mut ink)?;
        let picture = self.picture(site, finding).map_err(as_io)?;
        for line in picture.lines() {
            writeln!(ink, "{}", line.trim_end_matches(' '))?;
        }
        writeln!(ink)?;
        self.rows(told, &mut ink)?;
        writeln!(ink)?;
        Ok(ink)
    }

    /// The level's word, then the headline hanging beside it.
    fn headline(&self, finding: &Finding, ink: &mut Buffer) -> io::Result<()> {
        let word = format!("{}: ", heading(finding));
        let text = spelt(&finding.headline, self.look.unicode);
        let lines = wrapped(&text, self.look.width.saturating_sub(word.len()));
        let gap = format!("\n{:1$}", "", word.len());
        ink.set_color(self.styles.header(severity(finding)))?;
        write!(ink, "{word}")?;
        ink.set_color(&self.styles.header_message)?;
        write!(ink, "{}", lines.join(&gap))?;
        ink.reset()?;
        writeln!(ink)
    }

    /// The excerpts, drawn by the library. Its own header cannot wrap and is dropped: the first line.
    fn picture(&self, site: &SiteReport<'_>, finding: &Finding) -> Result<String, Error> {
        let excerpts = Excerpts::new(site, finding, self.look);
        let drawing = Diagnostic::new(severity(finding)).with_labels(excerpts.labels());
        let mut ink = self.ink();
        let mut styled = StylesWriter::new(&mut ink, &self.styles);
        emit_to_write_style(&mut styled, &self.config, &excerpts, &drawing)?;
        let text = String::from_utf8_lossy(ink.as_slice());
        let below_header = text.split_once('\n').map_or("", |(_, below)| below);
        Ok(below_header.trim_end().to_owned())
    }

    /// The rows under the excerpts, each heading said once.
    fn rows(&self, told: &Told<'_>, ink: &mut Buffer) -> io::Result<()> {
        let page = format!("cordwright cite {}", told.finding.rule);
        let open = told.also_open.iter().map(|other| {
            let words = format!("{} [{}]", other.headline, other.rule);
            ("Also open", words)
        });
        let rows = rows(told.finding).into_iter().chain([("Read on", page)]);
        let mut above = "";
        for (name, words) in rows.chain(open) {
            self.row(if name == above { "" } else { name }, &words, ink)?;
            above = name;
        }
        Ok(())
    }

    /// A row: a heading in the margin, the words wrapped beside it.
    fn row(&self, name: &str, words: &str, ink: &mut Buffer) -> io::Result<()> {
        let words = spelt(words, self.look.unicode);
        let lines = wrapped(&words, self.look.width.saturating_sub(INDENT + MARGIN));
        for (number, line) in lines.iter().enumerate() {
            let heading = if number == 0 { name } else { "" };
            ink.set_color(&self.styles.note_bullet)?;
            write!(ink, "{:INDENT$}{heading:MARGIN$}", "")?;
            ink.reset()?;
            writeln!(ink, "{line}")?;
        }
        Ok(())
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

/// Excerpts are made of the marks they are asked about, so only writing can fail.
fn as_io(error: Error) -> io::Error {
    match error {
        Error::Io(error) => error,
        other => io::Error::other(other),
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Sample, look, place, plain, sample, written};
    use super::super::words::columns;
    use super::super::{Format, Look, Report};

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
        let at = ["first", "second", "third", "fourth"].map(|word| text.find(word));
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
}
