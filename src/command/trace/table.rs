//! The path as a table that fits 80 columns.

use crate::ink::{Look, Page, Plain, Written, columns, short};
use crate::quantity::{Current, InUnits, show_pair, show_rounded};
use crate::report::CAUTION;
use crate::trace::{Hop, Path, Trace};

/// Widths of the columns behind the name.
const COLUMNS: usize = 41;
/// The narrowest the column of names may get.
const NARROWEST: usize = 16;

/// All paths, each hop with its currents and its limit, and below it what makes them.
pub(super) fn shown(traces: &[Trace], look: &Look) -> Written<Plain> {
    let mut table = Table {
        names: look.width.saturating_sub(COLUMNS + 2).clamp(NARROWEST, 40),
        page: Page::new(look),
    };
    for trace in traces {
        table.page.line(&Written::of(&short(&trace.title)));
        for path in &trace.paths {
            table.write_path(path, &trace.title);
        }
        if super::is_over(trace) {
            table.page.blank();
            table.page.paragraph(
                "A minus before the margin: the limit is passed, and something gets too hot or trips.",
            );
        }
    }
    table.page.blank();
    table.page.paragraph("Currents are those at the low end of the supply's tolerance. \"worst\" is over the normal state and every single loss.");
    table.page.paragraph(CAUTION);
    table.page.end()
}

struct Table<'a> {
    page: Page<'a>,
    /// Width of the column of names.
    names: usize,
}

impl Table<'_> {
    fn write_path(&mut self, path: &Path, title: &str) {
        if path.name != title {
            self.page.blank();
            self.line(&short(&path.name), "");
        }
        if let Some(unfed) = &path.unfed {
            return self.page.indented(4, unfed);
        }
        self.page.blank();
        let head = ["poles", "normal", "worst", "limit", "margin"].map(str::to_owned);
        self.line("", &in_columns(&head));
        for hop in &path.hops {
            self.write_hop(hop);
        }
    }

    fn write_hop(&mut self, hop: &Hop) {
        let what = format!(
            "{:depth$}{}",
            "",
            short(&hop.what),
            depth = hop.depth.min(6)
        );
        let poles: Vec<&str> = hop.poles.iter().map(|pole| pole.word()).collect();
        let poles = match poles.as_slice() {
            [first, .., last] if poles.len() > 2 => format!("{first}-{last}"),
            _ => poles.join("-"),
        };
        let current =
            |current: Option<Current>| current.map_or_else(|| "?".to_owned(), show_rounded);
        let (worst, limit) = match (hop.worst, hop.limit.as_ref()) {
            (Some(worst), Some(limit)) => show_pair(worst, limit.current),
            (worst, limit) => (
                current(worst),
                limit.map_or_else(String::new, |limit| current(Some(limit.current))),
            ),
        };
        let margin = hop.margin().map(show_rounded).unwrap_or_default();
        let numbers = [poles, current(hop.normal), worst, limit, margin];
        let (first, rest) = split(&what, self.names);
        self.line(first, &in_columns(&numbers));
        if !rest.is_empty() {
            self.line(&rest, "");
        }
        self.page.indented(6, &remarks(hop));
    }

    /// A name at the left, and behind its column what belongs to it.
    fn line(&mut self, name: &str, behind: &str) {
        let mut line = Written::new();
        line.blanks(2).filled(&self.page.words(name), self.names);
        line.push(&self.page.words(behind));
        self.page.line(&line);
    }
}

/// Poles and four numbers, each to the right of its column.
fn in_columns([poles, numbers @ ..]: &[String; 5]) -> String {
    let numbers: String = numbers
        .iter()
        .map(|number| format!("{number:>9}"))
        .collect();
    format!("{poles:>5}{numbers}")
}

/// A name that does not fit is broken at a blank.
fn split(what: &str, width: usize) -> (&str, String) {
    if columns(what) < width {
        return (what, String::new());
    }
    let depth = what.len() - what.trim_start().len();
    let mut blanks = what.match_indices(' ').map(|(at, _)| at);
    let fits = |at: &usize| *at > depth && columns(&what[..*at]) < width;
    match blanks.rfind(fits) {
        Some(at) => (&what[..at], format!("{:depth$}  {}", "", what[at..].trim())),
        None => (what, String::new()),
    }
}

fn remarks(hop: &Hop) -> String {
    let mut remarks = Vec::new();
    if let Some((power, capacity)) = &hop.power {
        let capacity = capacity.map_or_else(
            || "capacity is not given".to_owned(),
            |capacity| format!("capacity {}", show_rounded(capacity)),
        );
        remarks.push(format!(
            "delivers up to {}, {capacity}",
            show_rounded(*power)
        ));
    }
    if let Some(voltage) = hop.voltage {
        remarks.push(format!("{:.1} V at its end", voltage.in_volts()));
    }
    if hop.worst.is_some() {
        remarks.push(format!("worst {}", hop.when));
    }
    if let Some(limit) = &hop.limit {
        remarks.push(format!("limit: {}, {}", limit.what, limit.basis.join("; ")));
    }
    if hop.limit_unknown {
        remarks.push("not decided: some limit here is not known".into());
    }
    if let Some(device) = &hop.unknown {
        remarks.push(format!(
            "not decided: the load of {device} is not known, so the currents are too low"
        ));
    }
    remarks.join("; ")
}
