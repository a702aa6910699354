//! The path as a table that fits 80 columns.

use crate::quantity::{Current, InUnits, show_pair, show_rounded};
use crate::report::{CAUTION, Look, spelt, wrapped};
use crate::trace::{Hop, Path, Trace};

/// Widths of the columns behind the name.
const COLUMNS: usize = 41;
/// The narrowest the column of names may get.
const NARROWEST: usize = 16;

/// All paths, each hop with its currents and its limit, and below it what makes them.
pub(super) fn shown(traces: &[Trace], look: &Look) -> String {
    let mut text = String::new();
    for trace in traces {
        text += &format!("{}\n", trace.title);
        for path in &trace.paths {
            write_path(&mut text, path, &trace.title, look);
        }
        if super::is_over(trace) {
            text += "\n";
            push(
                &mut text,
                "A minus before the margin: the limit is passed, and something gets too hot or trips.",
                0,
                look,
            );
        }
    }
    text += "\n";
    let basis = "Currents are those at the low end of the supply's tolerance. \"worst\" is over the normal state and every single loss.";
    push(&mut text, basis, 0, look);
    push(&mut text, CAUTION, 0, look);
    text
}

fn write_path(text: &mut String, path: &Path, title: &str, look: &Look) {
    let names = look.width.saturating_sub(COLUMNS + 2).clamp(NARROWEST, 40);
    if path.name != title {
        *text += &format!("\n  {}\n", path.name);
    }
    if let Some(unfed) = &path.unfed {
        return push(text, unfed, 4, look);
    }
    *text += &format!(
        "\n  {:names$}{:>5}{:>9}{:>9}{:>9}{:>9}\n",
        "", "poles", "normal", "worst", "limit", "margin"
    );
    for hop in &path.hops {
        write_hop(text, hop, names, look);
    }
}

fn write_hop(text: &mut String, hop: &Hop, names: usize, look: &Look) {
    let what = format!("{:depth$}{}", "", hop.what, depth = hop.depth.min(6));
    let poles: Vec<&str> = hop.poles.iter().map(|pole| pole.word()).collect();
    let poles = match poles.as_slice() {
        [first, .., last] if poles.len() > 2 => format!("{first}-{last}"),
        _ => poles.join("-"),
    };
    let current = |current: Option<Current>| current.map_or_else(|| "?".to_owned(), show_rounded);
    let (worst, limit) = match (hop.worst, hop.limit.as_ref()) {
        (Some(worst), Some(limit)) => show_pair(worst, limit.current),
        (worst, limit) => (
            current(worst),
            limit.map_or_else(String::new, |limit| current(Some(limit.current))),
        ),
    };
    let margin = hop.margin().map(show_rounded).unwrap_or_default();
    let (first, rest) = split(&what, names);
    *text += spelt(
        &format!(
            "  {first:names$}{poles:>5}{:>9}{worst:>9}{limit:>9}{margin:>9}",
            current(hop.normal)
        ),
        look.unicode,
    )
    .trim_end();
    *text += "\n";
    if !rest.is_empty() {
        *text += &format!("  {rest}\n");
    }
    push(text, &remarks(hop), 6, look);
}

/// A name that does not fit is broken at a blank.
fn split(what: &str, width: usize) -> (&str, String) {
    if what.chars().count() < width {
        return (what, String::new());
    }
    let depth = what.len() - what.trim_start().len();
    let at = what
        .char_indices()
        .filter(|(at, c)| *c == ' ' && *at > depth && *at < width)
        .map(|(at, _)| at)
        .next_back();
    match at {
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

fn push(text: &mut String, words: &str, indent: usize, look: &Look) {
    for line in wrapped(
        &spelt(words, look.unicode),
        look.width.saturating_sub(indent),
    ) {
        *text += &format!("{:indent$}{line}\n", "");
    }
}
