//! A schedule to print: one page of HTML that needs nothing beside it.

use crate::ink::{Html, Written};
use crate::report::CAUTION;

use super::table::{Column, Holds, Schedule};

const STYLE: &str = "body{font:14px sans-serif;margin:2em}\
table{border-collapse:collapse;margin:1em 0}\
th,td{border:1px solid #888;padding:.2em .5em;text-align:left;vertical-align:top}\
tbody th{font-weight:normal}\
.name,.word{white-space:nowrap}\
.number{text-align:right;font-variant-numeric:tabular-nums}\
thead{display:table-header-group}tr{break-inside:avoid}";

/// The schedules of all sites on one page, each with its title and notes; below them the caution.
pub fn html(schedules: &[&Schedule]) -> Written<Html> {
    let title = schedules.first().map_or("", |first| &first.title);
    let mut page = Written::new();
    page.ours("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>");
    page.theirs(title).ours("</title>\n<style>").ours(STYLE);
    page.ours("</style>\n</head>\n<body>\n");
    for schedule in schedules {
        section(&mut page, schedule);
    }
    page.ours("<p><strong>").ours(CAUTION);
    page.ours("</strong></p>\n</body>\n</html>\n");
    page
}

fn section(page: &mut Written<Html>, schedule: &Schedule) {
    page.ours("<h1>").theirs(&schedule.title);
    page.ours("</h1>\n<table>\n<thead>\n<tr>");
    for column in schedule.columns {
        page.ours("<th scope=\"col\"").ours(class(column)).ours(">");
        page.ours(column.name).ours("</th>");
    }
    page.ours("</tr>\n</thead>\n<tbody>\n");
    for cells in &schedule.rows {
        page.ours("<tr>");
        for (at, (cell, column)) in cells.iter().zip(schedule.columns).enumerate() {
            // What a row is about stands in its first cell.
            let (begin, end) = match at {
                0 => ("<th scope=\"row\"", "</th>"),
                _ => ("<td", "</td>"),
            };
            page.ours(begin).ours(class(column)).ours(">");
            write_cell(page, column, cell);
            page.ours(end);
        }
        page.ours("</tr>\n");
    }
    page.ours("</tbody>\n</table>\n");
    for figure in &schedule.figures {
        figure.draw(page);
    }
    for note in &schedule.notes {
        page.ours("<p>").theirs(note).ours("</p>\n");
    }
}

fn class(column: &Column) -> &'static str {
    match column.holds {
        Holds::Words => "",
        Holds::Names => " class=\"name\"",
        Holds::Numbers => " class=\"number\"",
    }
}

/// Words may go on in a new line at blanks only: a browser would break `A-12` as well.
fn write_cell(page: &mut Written<Html>, column: &Column, cell: &str) {
    let cell = column.for_people(cell);
    if column.holds != Holds::Words {
        page.theirs(&cell);
        return;
    }
    for (number, word) in cell.split(' ').enumerate() {
        page.ours(if number > 0 { " " } else { "" });
        match word.chars().all(char::is_alphanumeric) {
            true => page.theirs(word),
            false => page
                .ours("<span class=\"word\">")
                .theirs(word)
                .ours("</span>"),
        };
    }
}
