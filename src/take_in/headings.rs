//! Which rows of a spreadsheet hold its headings.

use super::Things;
use super::columns::{is_name, meaning};
use super::mapping::Mapping;
use super::remark::{At, Remark};
use super::table::{Row, Table};

/// The headings, by their columns from 0 on, and the rows below them.
#[derive(Debug, Default)]
pub(super) struct Headings {
    pub cells: Vec<(usize, String)>,
    /// The lowest row that holds any of them; 1 where there is none.
    pub row: usize,
    pub rows: Vec<Row>,
    pub notes: Vec<String>,
    pub remarks: Vec<Remark>,
}

/// Rows at the top among which the headings are looked for.
const LOOKED_AT: usize = 10;

/// Parts the rows of a table: titles, headings, and what is below.
pub(super) fn headings(things: Things, mapping: &Mapping, table: &mut Table) -> Headings {
    let rows = std::mem::take(&mut table.rows);
    let numbers = match mapping.headings.as_slice() {
        [] => likely(things, mapping, &rows).into_iter().collect(),
        named => named.to_vec(),
    };
    let mut found = Headings {
        row: numbers.iter().copied().max().unwrap_or(1),
        ..Headings::default()
    };
    let (mut holding, mut above) = (Vec::new(), Vec::new());
    for row in rows {
        match row.number {
            number if numbers.contains(&number) => holding.push(row),
            number if number > found.row => found.rows.push(row),
            number => above.push(number),
        }
    }
    if let Some(missing) = numbers
        .iter()
        .find(|n| holding.iter().all(|row| row.number != **n))
    {
        let what = format!("row {missing} holds no headings: nothing stands in it");
        let remark = Remark::new(At::Whole, what, "Correct `headings` in the mapping file.");
        found.remarks.push(remark);
    }
    found.cells = joined(&holding);
    found.notes.extend(match above.as_slice() {
        [] => None,
        [row] => Some(format!(
            "Row {row} stands above the headings, and is not taken."
        )),
        [first, .., last] => Some(format!(
            "What stands in rows {first} to {last}, above the headings, is not taken."
        )),
    });
    drop_repeated(&mut found);
    found
}

/// The first row with a heading for the name; else the first of those with the most cells.
fn likely(things: Things, mapping: &Mapping, rows: &[Row]) -> Option<usize> {
    let names = |row: &&Row| {
        let mut cells = row.cells.iter();
        cells.any(|(_, cell)| is_name(things, &meaning(things, mapping, &cell.text)))
    };
    let top = || rows.iter().take(LOOKED_AT);
    let widest = || top().rev().max_by_key(|row| row.cells.len());
    let row = top().find(names).or_else(widest);
    row.map(|row| row.number)
}

/// Headings of several rows put together: one that stands over several columns counts for each of them.
fn joined(rows: &[Row]) -> Vec<(usize, String)> {
    let mut columns: Vec<usize> = Vec::new();
    for row in rows {
        columns.extend(row.cells.iter().map(|(at, _)| *at));
    }
    columns.sort_unstable();
    columns.dedup();
    let mut over = vec![""; rows.len()];
    let mut all = Vec::new();
    for at in columns {
        let own: Vec<&str> = rows.iter().map(|row| row.text(at)).collect();
        let mut words = Vec::new();
        for (level, word) in own.iter().enumerate() {
            let has_below = own.iter().skip(level + 1).any(|below| !below.is_empty());
            let Some(over) = over.get_mut(level) else {
                continue;
            };
            if !word.is_empty() {
                *over = if has_below { word } else { "" };
                words.push(*word);
            } else if has_below && !over.is_empty() {
                words.push(over);
            }
        }
        all.push((at, words.join(" ")));
    }
    all
}

/// A printed list may have its headings on every page.
fn drop_repeated(found: &mut Headings) {
    let mut repeated = Vec::new();
    let cells = &found.cells;
    let repeats = |row: &Row| {
        row.cells.len() > 1
            && row.cells.len() == cells.len()
            && cells.iter().all(|(at, heading)| row.text(*at) == heading)
    };
    found.rows.retain(|row| {
        let is_repeated = repeats(row);
        repeated.extend(is_repeated.then_some(row.number));
        !is_repeated
    });
    if let [first, ..] = repeated.as_slice() {
        let times = repeated.len();
        let note = format!(
            "The headings stand again further down, first in row {first}: {times} such rows are passed over."
        );
        found.notes.push(note);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::take_in::separated;

    #[test]
    fn two_rows_of_headings_are_one() {
        let rows = separated::rows("Kabel;von;;nach;;Farbe\n;PDU;Dose;Gerät;Netzteil;\n");
        let joined: Vec<String> = joined(&rows).into_iter().map(|(_, word)| word).collect();
        assert_eq!(
            joined,
            [
                "Kabel",
                "von PDU",
                "von Dose",
                "nach Gerät",
                "nach Netzteil",
                "Farbe"
            ]
        );
        // What stands over one column alone is no heading of the next.
        let rows = separated::rows("Kabel;;nach\n;Farbe;Gerät\n");
        let words: Vec<String> = super::joined(&rows)
            .into_iter()
            .map(|(_, word)| word)
            .collect();
        assert_eq!(words, ["Kabel", "Farbe", "nach Gerät"]);
    }
}
