//! The path as a table that fits 80 columns.

use crate::analysis::{Margin, Standing};
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
                "A minus before the margin: the limit named there is passed. Beyond a rating or code something gets too hot or trips; beyond a house rule nothing is left in reserve.",
            );
        }
    }
    table.page.blank();
    for said in traces.iter().filter_map(|trace| trace.in_no_sum.as_deref()) {
        table.page.paragraph(said);
    }
    table.page.paragraph("The limit is the lowest share of a rating that may be used, and the margin is up to it. ≥: more may flow. ≤: a load or a limit is not known, and less may be left.");
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
        let (first, rest) = split(&what, self.names);
        let rows = rows(hop);
        for number in 0..rows.len().max(1 + usize::from(!rest.is_empty())) {
            let name = [first, &rest].get(number).copied().unwrap_or_default();
            let numbers = rows.get(number).map(in_columns);
            self.line(name, &numbers.unwrap_or_default());
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

/// A row of two poles, which carry the same; one for each of more, so that nobody takes one for another.
fn rows(hop: &Hop) -> Vec<[String; 5]> {
    match hop.poles.as_slice() {
        [] | [_] | [_, _] => {
            let words: Vec<&str> = hop.poles.iter().map(|on| on.pole.word()).collect();
            vec![row(words.join("-"), &hop.standing)]
        }
        several => {
            let rows = several.iter();
            rows.map(|on| row(on.pole.word().to_owned(), &on.standing))
                .collect()
        }
    }
}

fn row(poles: String, standing: &Standing) -> [String; 5] {
    let worst = standing.worst.map(|worst| worst.current);
    let limit = standing.limit.as_ref().map(|limit| limit.current);
    let shown = worst
        .zip(limit)
        .map(|(worst, limit)| show_pair(worst, limit));
    let (shown_worst, shown_limit) = shown.unzip();
    let more = if standing.more_may_flow { "≥" } else { "" };
    let less = if standing.untold.is_empty() {
        ""
    } else {
        "≤"
    };
    let known = |current: Option<Current>, shown: Option<String>, mark: &str| {
        let shown = shown.or_else(|| current.map(show_rounded));
        shown.map(|shown| format!("{mark}{shown}"))
    };
    let unknown = || "?".to_owned();
    let limit = match standing.margin() {
        Margin::Unbounded => String::new(),
        _ => known(limit, shown_limit, less).unwrap_or_else(unknown),
    };
    let margin = match standing.margin() {
        Margin::Known(left) => show_rounded(left),
        Margin::AtMost(left) => format!("≤{}", show_rounded(left)),
        Margin::Unknown => unknown(),
        Margin::Unbounded => String::new(),
    };
    [
        poles,
        known(standing.normal, None, more).unwrap_or_else(unknown),
        known(worst, shown_worst, more).unwrap_or_else(unknown),
        limit,
        margin,
    ]
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
    if let Some(delivery) = &hop.delivery {
        let capacity = delivery.capacity.map_or_else(
            || "capacity is not given".to_owned(),
            |capacity| format!("capacity {}", show_rounded(capacity)),
        );
        let left = delivery.margin().words().unwrap_or_default();
        let power = show_rounded(delivery.worst);
        remarks.push(format!("delivers up to {power}, {capacity}, {left}"));
    }
    if let Some(voltage) = hop.voltage {
        let end = format!("{:.1} V at its end", voltage.in_volts());
        let lowest = hop.lowest.as_ref();
        let lower = lowest.filter(|(lowest, _)| voltage.in_volts() - lowest.in_volts() >= 0.05);
        remarks.push(match lower {
            Some((lowest, when)) => {
                format!("{end}, at the lowest {:.1} V {when}", lowest.in_volts())
            }
            None => end,
        });
    }
    if let Some(worst) = &hop.standing.worst {
        let on = match hop.poles.len() {
            0..=2 => String::new(),
            _ => format!("on {} ", worst.pole.word()),
        };
        remarks.push(format!("worst {on}{}", hop.when));
    }
    remarks.extend(hop.said_of_limits());
    remarks.join("; ")
}
