//! A schedule for a terminal: a table where it fits, its widest cells in several lines if need be, else
//! a paragraph for each row.

use crate::ink::{Look, Page, Plain, Written, columns, wrapped};
use crate::report::CAUTION;

use super::table::{Column, Holds, Schedule};

/// Blanks between two columns.
const GAP: usize = 2;
/// The narrowest that a column of words is made.
const NARROWEST: usize = 8;

/// A cell as it is shown.
type Cell = Written<Plain>;

/// The schedule with its title, what to know about it, and the caution.
pub fn text(schedule: &Schedule, look: &Look) -> Written<Plain> {
    let mut page = Page::new(look);
    write(schedule, look, &mut page);
    page.blank();
    page.paragraph(CAUTION);
    page.end()
}

/// The schedule with its title and what to know about it, on a page that goes on.
pub(crate) fn write(schedule: &Schedule, look: &Look, page: &mut Page<'_>) {
    page.line(&page.words(&schedule.title));
    page.blank();
    let rows: Vec<Vec<Cell>> = schedule
        .rows
        .iter()
        .map(|row| cells(schedule, row, page))
        .collect();
    if rows.is_empty() {
        page.paragraph("There is nothing to list.");
    } else {
        match widths(schedule.columns, &rows, look.width) {
            Some(widths) => write_table(schedule.columns, &rows, &widths, page),
            None => write_paragraphs(schedule, &rows, page),
        }
    }
    for note in &schedule.notes {
        page.blank();
        page.paragraph(note);
    }
}

fn cells(schedule: &Schedule, row: &[String], page: &Page<'_>) -> Vec<Cell> {
    let cells = row.iter().zip(schedule.columns);
    let cells = cells.map(|(cell, column)| page.words(&column.for_people(cell)));
    cells.collect()
}

/// The width of each column, the widest narrowed down to what fits: words first, names only where
/// nothing else fits. `None` if nothing does.
fn widths(all: &[Column], rows: &[Vec<Cell>], most: usize) -> Option<Vec<usize>> {
    let whole_names = narrowed(all, rows, most, |column| column.holds == Holds::Words);
    whole_names.or_else(|| narrowed(all, rows, most, |column| column.holds != Holds::Numbers))
}

fn narrowed(
    all: &[Column],
    rows: &[Vec<Cell>],
    most: usize,
    may_narrow: fn(&Column) -> bool,
) -> Option<Vec<usize>> {
    let widest = |measure: fn(&str) -> usize| {
        let of = |(at, column): (usize, &Column)| {
            let cells = rows.iter().map(|row| measure(row[at].as_str()));
            cells.chain([measure(column.name)]).max().unwrap_or(0)
        };
        all.iter().enumerate().map(of).collect::<Vec<usize>>()
    };
    let (mut widths, least) = (widest(columns), widest(longest_word));
    let gaps = GAP * widths.len().saturating_sub(1);
    while widths.iter().sum::<usize>() + gaps > most {
        let is_wide = |at: &usize| widths[*at] > least[*at].max(NARROWEST) && may_narrow(&all[*at]);
        let widest = (0..widths.len()).filter(is_wide);
        let widest = widest.max_by_key(|&at| widths[at])?;
        widths[widest] -= 1;
    }
    Some(widths)
}

fn longest_word(text: &str) -> usize {
    text.split(' ').map(columns).max().unwrap_or(0)
}

fn write_table(all: &[Column], rows: &[Vec<Cell>], widths: &[usize], page: &mut Page<'_>) {
    let head: Vec<Cell> = all.iter().map(|column| Cell::of(column.name)).collect();
    for row in std::iter::once(&head).chain(rows) {
        write_row(all, row, widths, page);
    }
}

/// A row in as many lines as its longest cell needs.
fn write_row(all: &[Column], row: &[Cell], widths: &[usize], page: &mut Page<'_>) {
    let cells = row.iter().zip(all).zip(widths);
    let cells = cells.map(|((cell, column), &width)| match column.holds {
        Holds::Numbers => vec![cell.clone()],
        Holds::Words | Holds::Names => wrapped(cell, width),
    });
    let cells: Vec<Vec<Cell>> = cells.collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(0);
    let nothing = Cell::new();
    for number in 0..height {
        let mut line = Cell::new();
        for (at, ((lines, column), &width)) in cells.iter().zip(all).zip(widths).enumerate() {
            line.blanks(if at > 0 { GAP } else { 0 });
            let cell = lines.get(number).unwrap_or(&nothing);
            match column.holds {
                Holds::Numbers => line.to_the_right(cell, width),
                Holds::Words | Holds::Names => line.filled(cell, width),
            };
        }
        page.line(&line);
    }
}

/// The first cell of a row that says anything, and below it what the others say; empty ones say nothing.
fn write_paragraphs(schedule: &Schedule, rows: &[Vec<Cell>], page: &mut Page<'_>) {
    for row in rows {
        let said = schedule.columns.iter().zip(row);
        let mut said = said.filter(|(_, cell)| !cell.is_empty());
        if let Some((_, head)) = said.next() {
            page.line(head);
        }
        let said: Vec<String> = said
            .map(|(column, cell)| format!("{}: {cell}", column.name))
            .collect();
        page.indented(GAP, &said.join("; "));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schedule::table::{names, numbers, words};

    const COLUMNS: &[Column] = &[words("cord"), words("goes to"), numbers("A")];

    fn shown(width: usize) -> String {
        let row = |cells: [&str; 3]| cells.map(str::to_owned).to_vec();
        let rows = vec![
            row(["W-1", "the pump in the cellar", "2.10"]),
            row(["W-2", "a lamp", "10.00"]),
            row(["", "a fan", "1.00"]),
        ];
        let look = Look {
            width,
            color: false,
            unicode: true,
        };
        let text = text(&Schedule::new(COLUMNS, rows, &[]), &look);
        let table = text
            .as_str()
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
             W-2   a lamp                  10.00\n\
             \x20     a fan                    1.00"
        );
        assert_eq!(
            shown(24),
            "cord  goes to          A\n\
             W-1   the pump in   2.10\n      the cellar\n\
             W-2   a lamp       10.00\n\
             \x20     a fan         1.00"
        );
        assert_eq!(
            shown(20),
            "W-1\n  goes to: the pump\n  in the cellar; A:\n  2.10\nW-2\n  goes to: a lamp;\n  A: 10.00\na fan\n  A: 1.00"
        );
    }

    #[test]
    fn a_name_stays_in_one_line_until_nothing_else_fits() {
        const COLUMNS: &[Column] = &[names("cord"), words("goes to")];
        let row = ["W 11 to the left", "the pump in the cellar"].map(str::to_owned);
        let schedule = Schedule::new(COLUMNS, vec![row.to_vec()], &[]);
        let shown = |width| {
            let look = Look {
                width,
                color: false,
                unicode: true,
            };
            let text = text(&schedule, &look).into_string();
            text.lines().skip(3).take(2).collect::<Vec<_>>().join("\n")
        };
        assert_eq!(
            shown(32),
            "W 11 to the left  the pump in\n                  the cellar"
        );
        assert_eq!(
            shown(24),
            "W 11 to the  the pump in\nleft         the cellar"
        );
    }
}
