//! A schedule for a page of notes: a Markdown table.

use crate::report::{CAUTION, one_line};

use super::table::{Column, Schedule};

/// The schedule under its title, with what to know about it and the caution.
pub fn markdown(schedule: &Schedule) -> String {
    let mut text = format!("## {}\n\n", escaped(&schedule.title));
    text += &line(schedule.columns.iter().map(|column| column.name.to_owned()));
    text += &line(schedule.columns.iter().map(rule));
    for row in &schedule.rows {
        text += &line(row.iter().map(|cell| escaped(cell)));
    }
    for note in &schedule.notes {
        text += &format!("\n{}\n", escaped(note));
    }
    text + &format!("\n{CAUTION}\n")
}

fn line(cells: impl Iterator<Item = String>) -> String {
    format!("| {} |\n", cells.collect::<Vec<_>>().join(" | "))
}

fn rule(column: &Column) -> String {
    if column.is_number { "---:" } else { "---" }.to_owned()
}

/// Letters that mean something to Markdown are taken as they are written.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in one_line(text).chars() {
        if matches!(
            c,
            '\\' | '|' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '~'
        ) {
            escaped.push('\\');
        }
        escaped.push(c);
    }
    escaped
}
