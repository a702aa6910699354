//! A schedule for a page of notes: a Markdown table.

use crate::ink::{Markdown, Written};
use crate::report::CAUTION;

use super::table::{Column, Holds, Schedule};

/// The schedule under its title, with what to know about it and the caution.
pub fn markdown(schedule: &Schedule) -> Written<Markdown> {
    let mut text = Written::new();
    text.ours("## ").theirs(&schedule.title).ours("\n\n|");
    for column in schedule.columns {
        text.ours(" ").ours(column.name).ours(" |");
    }
    text.ours("\n|");
    for column in schedule.columns {
        text.ours(rule(column));
    }
    text.ours("\n");
    for row in &schedule.rows {
        text.ours("|");
        for (cell, column) in row.iter().zip(schedule.columns) {
            text.ours(" ").theirs(&column.for_people(cell)).ours(" |");
        }
        text.ours("\n");
    }
    for note in &schedule.notes {
        text.ours("\n").theirs(note).ours("\n");
    }
    text.ours("\n").ours(CAUTION).ours("\n");
    text
}

fn rule(column: &Column) -> &'static str {
    match column.holds {
        Holds::Numbers => " ---: |",
        Holds::Words | Holds::Names => " --- |",
    }
}
