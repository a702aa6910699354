//! Sheets on one page of HTML that needs nothing beside it.

use super::sheet::Sheet;
use super::svg::svg;
use crate::ink::{Html, Written};

/// The sheets one below the other, each with its notes and the caution.
pub fn html(sheets: &[Sheet]) -> Written<Html> {
    let title = sheets.first().map_or("", |sheet| &sheet.title);
    let mut page = Written::new();
    page.ours("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>");
    page.theirs(title).ours("</title>\n");
    page.ours("<style>figure{margin:0 0 2em;overflow:auto}</style>\n</head>\n<body>\n");
    for sheet in sheets {
        page.ours("<figure>\n")
            .drawing(&svg(sheet))
            .ours("</figure>\n");
    }
    page.ours("</body>\n</html>\n");
    page
}
