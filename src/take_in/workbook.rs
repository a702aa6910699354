//! Cells of a workbook (.xlsx), one by one: a file of a few kilobytes can ask for a grid, or unpack to a
//! text, that no memory holds.

use std::collections::BTreeMap;
use std::io::{Cursor, Read, copy, sink};
use std::panic::{AssertUnwindSafe, catch_unwind};

use calamine::{DataRef, Dimensions, ExcelDateTime, Reader, Xlsx, XlsxError};

use super::remark::{At, Remark};
use super::table::{Cell, Row, Shared, Table, letters};

/// Bytes that a workbook may unpack to: 100,000 rows of 20 cells are half as many.
const MOST_UNPACKED: u64 = 256 << 20;
/// Cells that are read: 100,000 rows of 20.
const MOST_CELLS: usize = 2_000_000;
/// Bytes of their texts together; a workbook keeps a text once that stands in many cells.
const MOST_TEXT: usize = 64 << 20;

type Book<'b> = Xlsx<Cursor<&'b [u8]>>;

/// The rows of a sheet: of the one that is named, or of the first.
pub(super) fn table(bytes: &[u8], sheet: Option<&str>) -> Table {
    if unpacks_to_too_much(bytes) {
        let what = format!(
            "the workbook unpacks to more than {} MB, so it is not read",
            MOST_UNPACKED >> 20
        );
        return Table::unread(
            what,
            "Take what is not of the cords out of it, or save the sheet as CSV.",
        );
    }
    // The library that reads it counts on rows and columns that there can be.
    let read = catch_unwind(AssertUnwindSafe(|| read(bytes, sheet)));
    match read {
        Ok(Ok(table)) => table,
        Ok(Err(error)) => unreadable(&error.to_string()),
        Err(_) => unreadable("a cell of it lies where no cell can be"),
    }
}

fn unreadable(why: &str) -> Table {
    let what = format!("the file is no workbook that can be read: {why}");
    Table::unread(
        what,
        "Open it, save it again as .xlsx, or save the sheet as CSV.",
    )
}

/// Counted while unpacking, for what the file says of its sizes may be wrong.
fn unpacks_to_too_much(bytes: &[u8]) -> bool {
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else {
        return false;
    };
    let mut left = MOST_UNPACKED + 1;
    for number in 0..archive.len() {
        // What cannot be unpacked cannot be read either, and is told then.
        let Ok(part) = archive.by_index(number) else {
            continue;
        };
        left -= copy(&mut part.take(left), &mut sink()).unwrap_or(0);
        if left == 0 {
            return true;
        }
    }
    false
}

fn read(bytes: &[u8], sheet: Option<&str>) -> Result<Table, XlsxError> {
    let mut book: Book<'_> = Xlsx::new(Cursor::new(bytes))?;
    let names = book.sheet_names();
    let listed = || format!("Sheets here: {}.", names.join(", "));
    let name = match sheet {
        Some(sheet) => names.iter().find(|name| *name == sheet),
        None => names.first(),
    };
    let Some(name) = name else {
        let what = format!(
            "there is no sheet `{}` in the workbook",
            sheet.unwrap_or_default()
        );
        return Ok(Table::unread(what, listed()));
    };
    let mut table = cells(&mut book, name)?;
    if sheet.is_none() && names.len() > 1 {
        let others = names.get(1..).unwrap_or_default().join(", ");
        let note =
            format!("Only the sheet \"{name}\" is read; --sheet NAME reads another: {others}.");
        table.notes.push(note);
    }
    table
        .shared
        .extend(merged(book.merge_cells_by_sheet_name(name)?));
    Ok(table)
}

fn cells(book: &mut Book<'_>, name: &str) -> Result<Table, XlsxError> {
    let mut reader = book.worksheet_cells_reader(name)?;
    let mut cells: BTreeMap<(u32, u32), Cell> = BTreeMap::new();
    let (mut remarks, mut seen, mut text) = (Vec::new(), 0, 0);
    while let Some(record) = reader.next_cell_with_formula_metadata()? {
        let (row, column) = record.pos;
        seen += 1;
        if seen > MOST_CELLS || text > MOST_TEXT {
            let what =
                "the sheet holds more than can be taken in at once, so nothing of it is read";
            let advice = format!(
                "Part it: at most {MOST_CELLS} cells, and {} MB of text.",
                MOST_TEXT >> 20
            );
            return Ok(Table::unread(what, advice));
        }
        let at = |what: &str, advice: &str| {
            let remark = Remark::of_row(row as usize + 1, what, advice);
            remark.in_column(&letters(column as usize))
        };
        match record.value {
            DataRef::Empty if record.formula.is_some() => remarks.push(at(
                "a formula stands here without its value, so nothing is taken",
                "Open the workbook in a spreadsheet program and save it, so that values are in it.",
            )),
            DataRef::Error(error) => remarks.push(at(
                &format!("`{error}` stands here, which is no value"),
                "Put the formula right, or write the value.",
            )),
            value => {
                if let Some(cell) = cell(value) {
                    text += cell.text.len();
                    cells.insert((row, column), cell);
                }
            }
        }
    }
    Ok(Table {
        rows: rows(cells),
        remarks,
        ..Table::default()
    })
}

fn rows(cells: BTreeMap<(u32, u32), Cell>) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for ((row, column), cell) in cells {
        let number = row as usize + 1;
        let cell = (column as usize, cell);
        match rows.last_mut().filter(|row| row.number == number) {
            Some(row) => row.cells.push(cell),
            None => rows.push(Row {
                number,
                cells: vec![cell],
            }),
        }
    }
    rows
}

fn cell(value: DataRef<'_>) -> Option<Cell> {
    let number = |text: String| {
        Some(Cell {
            text,
            is_number: true,
        })
    };
    match value {
        DataRef::Int(value) => number(value.to_string()),
        DataRef::Float(value) => number(shown(value)),
        DataRef::DateTime(value) if value.is_datetime() => Cell::typed(&date(value)),
        DataRef::DateTime(value) => number(shown(value.as_f64())),
        DataRef::Bool(value) => Cell::typed(if value { "yes" } else { "no" }),
        DataRef::SharedString(text) => Cell::typed(text),
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            Cell::typed(&text)
        }
        DataRef::Error(_) | DataRef::Empty => None,
    }
}

/// A number to the 15 digits that spreadsheets show: 1.1 × 3 is 3.3 there.
fn shown(value: f64) -> String {
    let rounded = format!("{value:.14e}").parse();
    rounded.unwrap_or(value).to_string()
}

fn date(value: ExcelDateTime) -> String {
    let (year, month, day, hour, minute, second, _) = value.to_ymd_hms_milli();
    match (hour, minute, second) {
        (0, 0, 0) => format!("{year:04}-{month:02}-{day:02}"),
        _ => format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}"),
    }
}

/// Cells that are merged hold their value once: in their first row and column.
fn merged(regions: Vec<Dimensions>) -> impl Iterator<Item = Shared> {
    regions.into_iter().filter_map(|region| {
        let [first, last] = [region.start.0, region.end.0].map(|row| row as usize + 1);
        let [left, right] = [region.start.1, region.end.1].map(|column| letters(column as usize));
        let (what, advice, cause) = if last > first {
            let what = format!(
                "rows {first} to {last} share one cell here, so what stands in it is taken for row {first} alone"
            );
            let advice = "Write it into each row, or name the column in a mapping file: `fill-down: [HEADING]`.";
            (what, advice, "rows share a cell")
        } else if left != right {
            let what = format!(
                "columns {left} to {right} share one cell here, so what stands in it is taken for column {left} alone"
            );
            (what, "Write it into each column that it holds for.", "columns share a cell")
        } else {
            return None;
        };
        let remark = Remark::new(At::Rows(vec![first]), what, advice);
        Some(Shared {
            last,
            remark: remark.in_column(&left).caused_by(cause),
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_those_that_a_spreadsheet_shows() {
        for (value, text) in [
            (1.5, "1.5"),
            (1.1 * 3.0, "3.3"),
            (16.0, "16"),
            (0.75, "0.75"),
            (1234.5, "1234.5"),
        ] {
            assert_eq!(shown(value), text);
        }
    }
}
