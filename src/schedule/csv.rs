//! A schedule for spreadsheets and label printers (RFC 4180): the headings, then the rows, nothing else.

use crate::ink::{Csv, Rows, Written};

use super::table::Schedule;

/// The rows of several sites under one heading, each behind the folder of its site where there are
/// several. What to know about them, and the caution, has to be told beside it.
pub fn csv(schedules: &[(String, Schedule)]) -> Written<Csv> {
    let mut rows = Rows::new();
    let is_many = schedules.len() > 1;
    let before = |site| is_many.then_some(site).into_iter();
    if let Some((_, first)) = schedules.first() {
        let names = first.columns.iter().map(|column| column.name);
        rows.row(before("site").chain(names));
    }
    for (site, schedule) in schedules {
        for row in &schedule.rows {
            rows.row(before(site.as_str()).chain(row.iter().map(String::as_str)));
        }
    }
    rows.end()
}
