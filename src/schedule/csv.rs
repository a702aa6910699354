//! A schedule for spreadsheets and label printers (RFC 4180): the headings, then the rows, nothing else.

use super::table::Schedule;

/// The rows of several sites under one heading, each behind the folder of its site where there are
/// several. What to know about them, and the caution, has to be told beside it.
pub fn csv(schedules: &[(String, Schedule)]) -> String {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let is_many = schedules.len() > 1;
    let mut write = |site: &str, cells: Vec<&str>| {
        let site = is_many.then_some(site);
        // A writer into memory cannot fail, and all rows are as long as the headings.
        let _ = writer.write_record(site.into_iter().chain(cells).map(inert));
    };
    if let Some((_, first)) = schedules.first() {
        write(
            "site",
            first.columns.iter().map(|column| column.name).collect(),
        );
    }
    for (site, schedule) in schedules {
        for row in &schedule.rows {
            write(site, row.iter().map(String::as_str).collect());
        }
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// A spreadsheet runs what begins like a formula; with a quote before it, it is a text.
fn inert(cell: &str) -> String {
    let is_formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if is_formula && cell.parse::<f64>().is_err() {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_made_texts_and_numbers_stay() {
        for (cell, expected) in [
            ("=1+1", "'=1+1"),
            ("@x", "'@x"),
            ("-5", "-5"),
            ("-x", "'-x"),
            ("W-1", "W-1"),
        ] {
            assert_eq!(inert(cell), expected);
        }
    }
}
