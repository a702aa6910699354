//! A schedule for a terminal: a table where it fits, its widest cells in several lines if need be, else
//! a paragraph for each row.

use crate::report::{CAUTION, Look, columns, spelt, wrapped};

use super::table::{Column, Schedule};

/// Blanks between two columns.
const GAP: usize = 2;
/// The narrowest that a column of words is made.
const NARROWEST: usize = 10;

/// The schedule with its title, what to know about it, and the caution.
pub fn text(schedule: &Schedule, look: &Look) -> String {
    let spell = |words: &str| spelt(words, look.unicode);
    let rows: Vec<Vec<String>> = schedule
        .rows
        .iter()
        .map(|row| row.iter().map(|cell| spell(cell)).collect())
        .collect();
    let mut text = spell(&schedule.title) + "\n\n";
    if rows.is_empty() {
        text += "Nothing is defined that belongs here.\n";
    } else {
        text += &match widths(schedule.columns, &rows, look.width) {
            Some(widths) => table(schedule.columns, &rows, &widths),
            None => paragraphs(schedule.columns, &rows, look.width),
        };
    }
    for note in schedule.notes.iter().map(String::as_str).chain([CAUTION]) {
        text += "\n";
        text += &(wrapped(&spell(note), look.width).join("\n") + "\n");
    }
    text
}

/// The width of each column, the widest of words narrowed down to what fits; `None` if nothing does.
fn widths(all: &[Column], rows: &[Vec<String>], most: usize) -> Option<Vec<usize>> {
    let widest = |measure: fn(&str) -> usize| {
        let of = |(at, column): (usize, &Column)| {
            let cells = rows.iter().map(|row| measure(&row[at]));
            cells.chain([measure(column.name)]).max().unwrap_or(0)
        };
        all.iter().enumerate().map(of).collect::<Vec<usize>>()
    };
    let (mut widths, least) = (widest(columns), widest(longest_word));
    let gaps = GAP * widths.len().saturating_sub(1);
    while widths.iter().sum::<usize>() + gaps > most {
        let is_wide = |at: &usize| widths[*at] > least[*at].max(NARROWEST) && !all[*at].is_number;
        let widest = (0..widths.len()).filter(is_wide);
        let widest = widest.max_by_key(|&at| widths[at])?;
        widths[widest] -= 1;
    }
    Some(widths)
}

fn longest_word(text: &str) -> usize {
    text.split(' ').map(columns).max().unwrap_or(0)
}

fn table(all: &[Column], rows: &[Vec<String>], widths: &[usize]) -> String {
    let head: Vec<String> = all.iter().map(|column| column.name.to_owned()).collect();
    let rows = std::iter::once(&head).chain(rows);
    rows.map(|row| lines(all, row, widths)).collect()
}

/// A row in as many lines as its longest cell needs.
fn lines(all: &[Column], row: &[String], widths: &[usize]) -> String {
    let cells = row.iter().zip(all).zip(widths);
    let cells = cells.map(|((cell, column), &width)| match column.is_number {
        true => vec![cell.clone()],
        false => wrapped(cell, width),
    });
    let cells: Vec<Vec<String>> = cells.collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(0);
    let line = |number: usize| {
        let padded = cells.iter().zip(all).zip(widths);
        let padded = padded.map(|((lines, column), &width)| {
            let text = lines.get(number).map_or("", String::as_str);
            let blanks = " ".repeat(width.saturating_sub(columns(text)));
            match column.is_number {
                true => blanks + text,
                false => text.to_owned() + &blanks,
            }
        });
        let padded: Vec<String> = padded.collect();
        padded.join(&" ".repeat(GAP)).trim_end().to_owned() + "\n"
    };
    (0..height).map(line).collect()
}

/// The first cell of a row, and below it what the others say; empty ones say nothing.
fn paragraphs(all: &[Column], rows: &[Vec<String>], width: usize) -> String {
    let mut text = String::new();
    for row in rows {
        let said = all.iter().zip(row).skip(1);
        let said = said.filter(|(_, cell)| !cell.is_empty());
        let said: Vec<String> = said
            .map(|(column, cell)| format!("{}: {cell}", column.name))
            .collect();
        text += &format!("{}\n", row[0]);
        for line in wrapped(&said.join("; "), width.saturating_sub(GAP)) {
            text += &format!("{:GAP$}{line}\n", "");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schedule::table::{numbers, words};

    const COLUMNS: &[Column] = &[words("cord"), words("goes to"), numbers("A")];

    fn shown(width: usize) -> String {
        let row = |cells: [&str; 3]| cells.map(str::to_owned).to_vec();
        let rows = vec![
            row(["W-1", "the pump in the cellar", "2.10"]),
            row(["W-2", "a lamp", "10.00"]),
        ];
        let look = Look {
            width,
            color: false,
            unicode: true,
        };
        let text = text(&Schedule::new(COLUMNS, rows, &[]), &look);
        let table = text
            .split(CAUTION.split(' ').next().unwrap())
            .next()
            .unwrap();
        table.trim().to_owned()
    }

    #[test]
    fn a_table_gets_narrower_and_then_a_paragraph_for_each_row() {
        assert_eq!(
            shown(80),
            "cord  goes to                     A\n\
             W-1   the pump in the cellar   2.10\n\
             W-2   a lamp                  10.00"
        );
        assert_eq!(
            shown(24),
            "cord  goes to          A\n\
             W-1   the pump in   2.10\n      the cellar\n\
             W-2   a lamp       10.00"
        );
        assert_eq!(
            shown(20),
            "W-1\n  goes to: the pump\n  in the cellar; A:\n  2.10\nW-2\n  goes to: a lamp;\n  A: 10.00"
        );
    }
}
