//! A schedule to print: one page of HTML that needs nothing beside it.

use crate::report::{CAUTION, in_markup};

use super::table::Schedule;

const STYLE: &str = "body{font:14px sans-serif;margin:2em}\
table{border-collapse:collapse;margin:1em 0}\
th,td{border:1px solid #888;padding:.2em .5em;text-align:left;vertical-align:top}\
.n{text-align:right;font-variant-numeric:tabular-nums}\
thead{display:table-header-group}tr{break-inside:avoid}";

/// The schedules of all sites on one page, each with its title and notes; below them the caution.
pub fn html(schedules: &[&Schedule]) -> String {
    let title = schedules.first().map_or("", |first| &first.title);
    let body: String = schedules.iter().map(|schedule| section(schedule)).collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{body}<p><strong>{}</strong></p>\n</body>\n</html>\n",
        in_markup(title),
        in_markup(CAUTION)
    )
}

fn section(schedule: &Schedule) -> String {
    let class = |at: usize| match schedule.columns[at].is_number {
        true => " class=\"n\"",
        false => "",
    };
    let row = |tag: &str, cells: &mut dyn Iterator<Item = &str>| {
        let cells = cells.enumerate();
        let cells: String = cells
            .map(|(at, cell)| format!("<{tag}{}>{}</{tag}>", class(at), in_markup(cell)))
            .collect();
        format!("<tr>{cells}</tr>\n")
    };
    let head = row("th", &mut schedule.columns.iter().map(|column| column.name));
    let rows = schedule.rows.iter();
    let rows: String = rows
        .map(|cells| row("td", &mut cells.iter().map(String::as_str)))
        .collect();
    let notes = schedule.notes.iter();
    let notes: String = notes
        .map(|note| format!("<p>{}</p>\n", in_markup(note)))
        .collect();
    format!(
        "<h1>{}</h1>\n<table>\n<thead>\n{head}</thead>\n<tbody>\n{rows}</tbody>\n</table>\n{notes}",
        in_markup(&schedule.title)
    )
}
