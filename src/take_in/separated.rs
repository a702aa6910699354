//! Cells of a text with commas, semicolons or tabs between them.

use std::collections::BTreeMap;

use super::remark::Remark;
use super::table::{Cell, Row};

/// Marks that may stand between cells; of equally good ones the first. Commas stand in cells, too.
const MARKS: [u8; 3] = [b'\t', b';', b','];
/// Bytes at the front by which the mark is found.
const LOOKED_AT: usize = 64 << 10;

/// The rows that hold anything, each with its number as a spreadsheet shows it.
pub(super) fn rows(text: &str) -> Vec<Row> {
    let (named, text) = named_mark(text);
    let mark = named.unwrap_or_else(|| likely_mark(text));
    let mut rows: Vec<Row> = Vec::new();
    let (mut number, mut broken) = (0, 0);
    for record in records(text, mark) {
        let start = record.position().map_or(0, |at| at.byte() as usize);
        number += breaks_around(text, start, broken) + usize::from(number == 0);
        broken = start;
        let cells = record.iter().enumerate();
        let cells = cells.filter_map(|(at, cell)| Some((at, Cell::typed(cell)?)));
        let cells: Vec<_> = cells.collect();
        if !cells.is_empty() {
            rows.push(Row { number, cells });
        }
    }
    rows
}

/// What is to be said where a quotation mark at the front of a cell is never closed: all that follows it is then
/// one cell, over the ends of rows.
pub(super) fn left_open(text: &str) -> Option<Remark> {
    let (named, text) = named_mark(text);
    let mark = named.unwrap_or_else(|| likely_mark(text));
    // Within quotes a mark is written twice, and one that closes a cell ends it.
    let mut open: Option<usize> = None;
    let (mut row, mut is_front) = (1, true);
    let mut bytes = text.bytes().peekable();
    while let Some(byte) = bytes.next() {
        let is_end = byte == b'\n' || byte == b'\r' && bytes.peek() != Some(&b'\n');
        match (open, byte) {
            (None, b'"') if is_front => open = Some(row),
            (Some(_), b'"') if bytes.next_if_eq(&b'"').is_none() => open = None,
            _ => {}
        }
        is_front = open.is_none() && (byte == mark || byte == b'\n' || byte == b'\r');
        row += usize::from(is_end);
    }
    let row = open?;
    let what = "a quotation mark at the front of a cell is not closed, so all that stands below is one cell with it";
    let advice = "Close it, or write it twice within quotation marks: `\"19\"\" shelf\"`.";
    Some(Remark::of_row(row, what, advice))
}

fn records(text: &str, mark: u8) -> impl Iterator<Item = csv::StringRecord> {
    let reader = csv::ReaderBuilder::new()
        .delimiter(mark)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    // The text is UTF-8, and rows may be of any length: nothing is left that could go wrong.
    reader.into_records().filter_map(Result::ok)
}

/// Ends of rows between the record that ended before `start` and the one that begins after it: the reader
/// passes over empty rows, and people count them.
fn breaks_around(text: &str, start: usize, before: usize) -> usize {
    let is_break = |byte: &&u8| matches!(byte, b'\r' | b'\n');
    let bytes = text.as_bytes();
    let (ahead, behind) = bytes.split_at_checked(start).unwrap_or((bytes, &[]));
    let ahead = ahead.get(before..).unwrap_or_default();
    let begin = start - ahead.iter().rev().take_while(is_break).count();
    let end = start + behind.iter().take_while(is_break).count();
    let gap = bytes.get(begin..end).unwrap_or_default();
    let pairs = gap.windows(2).filter(|pair| *pair == b"\r\n").count();
    gap.len() - pairs
}

/// The mark that a first line `sep=;` names, and the text behind that line, which spreadsheets show as no
/// row.
fn named_mark(text: &str) -> (Option<u8>, &str) {
    let named = text.trim_start_matches('"').strip_prefix("sep=");
    let Some(mark) = named
        .and_then(|rest| rest.bytes().next())
        .filter(u8::is_ascii)
    else {
        return (None, text);
    };
    let line = text.find('\n').map_or(text.len(), |end| end + 1);
    match text.get(..line).unwrap_or_default().trim_end().len() <= "\"sep=;\"".len() {
        true => (Some(mark), text.get(line..).unwrap_or_default()),
        false => (None, text),
    }
}

/// The mark that parts the largest share of the rows into equally many cells.
fn likely_mark(text: &str) -> u8 {
    let mut end = LOOKED_AT.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let head = &text[..end];
    let shares = MARKS.map(|mark| (share(head, mark), mark));
    let best = shares.into_iter().rev().max_by_key(|(share, _)| *share);
    best.filter(|(share, _)| *share > 0)
        .map_or(b',', |(_, mark)| mark)
}

/// Of a thousand rows, how many have the number of cells that most have; rows of one cell show nothing.
fn share(head: &str, mark: u8) -> usize {
    let mut counts = BTreeMap::<usize, usize>::new();
    for record in records(head, mark).take(200) {
        *counts.entry(record.len()).or_default() += 1;
    }
    let all: usize = counts.values().sum();
    let parted = counts.iter().filter(|(cells, _)| **cells > 1);
    let most = parted.map(|(_, rows)| *rows).max().unwrap_or(0);
    most * 1000 / all.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<(usize, Vec<String>)> {
        let rows = rows(text).into_iter();
        rows.map(|row| {
            let cells = row.cells.into_iter().map(|(_, cell)| cell.text);
            (row.number, cells.collect())
        })
        .collect()
    }

    #[test]
    fn marks_are_told_apart_though_cells_hold_others() {
        for (text, mark) in [
            ("a,b\n1,2\n", b','),
            ("a;b\n1,5;2,5\n3,5;4,5\n", b';'),
            ("a\tb;c\td\n1\t2\t3\n", b'\t'),
            ("Kabel, Nr;Länge\nW-1;1,5\n", b';'),
            ("Kabelliste\n\nNr,Länge\nW-1,2\n", b','),
            ("a,b,c\n\"x;y;z;u\",2,3\n", b','),
            ("name\nW-1\n", b','),
            ("", b','),
        ] {
            assert_eq!(likely_mark(text), mark, "{text}");
        }
        let cells = |text| read(text).remove(0).1;
        assert_eq!(cells("sep=|\na|b;c\n"), ["a", "b;c"]);
        assert_eq!(cells("\"sep=;\"\r\na;b,c\r\n"), ["a", "b,c"]);
        assert_eq!(cells("sep=parate,b\n"), ["sep=parate", "b"]);
    }

    #[test]
    fn rows_are_counted_as_spreadsheets_count_them() {
        for ends in ["\n", "\r\n", "\r"] {
            let text = ["a;b", "", "1;\"x", "y\"", "", "", ";", "2;z", ""].join(ends);
            let numbers: Vec<usize> = read(&text).into_iter().map(|(number, _)| number).collect();
            assert_eq!(numbers, [1, 3, 7], "{text:?}");
        }
        assert_eq!(read("\n\na;b\n")[0].0, 3);
        assert_eq!(read("sep=;\na;b\n")[0].0, 1);
    }

    #[test]
    fn a_quotation_mark_that_is_never_closed_is_told() {
        for (text, row) in [
            ("a;b\n1;\"x\ny\"\n2;z\n", None),
            ("a;b\n1;19\" shelf\n2;z\n", None),
            ("a;b\n1;\"19\"\" shelf\"\n2;z\n", None),
            ("a;b\n1;\"19 shelf\n2;z\n", Some(2)),
            ("a;b\r\n1;x\r\n2;\"y\r\n3;z\r\n", Some(3)),
            ("", None),
            ("\"", Some(1)),
        ] {
            let told = left_open(text).map(|remark| remark.told());
            let expected = row.map(|row| format!("row {row}: a quotation mark"));
            assert_eq!(told.is_some(), row.is_some(), "{text}: {told:?}");
            if let (Some(told), Some(expected)) = (told, expected) {
                assert!(told.starts_with(&expected), "{told}");
            }
        }
    }
}
