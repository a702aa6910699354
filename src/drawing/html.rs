//! Sheets on one page of HTML that needs nothing beside it.

use super::sheet::Sheet;
use super::svg::svg;
use crate::report::in_markup;

/// The sheets one below the other, each with its notes and the caution.
pub fn html(sheets: &[Sheet]) -> String {
    let title = sheets.first().map_or("", |sheet| &sheet.title);
    let drawings = sheets
        .iter()
        .map(|sheet| format!("<figure>\n{}</figure>\n", svg(sheet)));
    let drawings: String = drawings.collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{}</title>\n<style>figure{{margin:0 0 2em;overflow:auto}}</style>\n</head>\n<body>\n{drawings}</body>\n</html>\n",
        in_markup(title)
    )
}
