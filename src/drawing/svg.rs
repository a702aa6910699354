//! A sheet as SVG 1.1, without anything outside it.

use std::fmt::Write as _;

use crate::report::{CAUTION, in_markup, wrapped};

use super::sheet::{Anchor, LETTER, Mark, Point, Shape, Sheet};

/// Height of a line of notes.
const LINE: i32 = 16;
/// From the edge of the sheet.
const EDGE: i32 = 20;
/// The narrowest that the notes are set.
const NARROWEST: i32 = 560;

const STYLE: &str = "\
text{font:12px sans-serif;fill:#111}line,rect,circle,path{stroke:#111;fill:none}\
rect,circle{fill:#fff}rect.faint{fill:#f4f4f4;stroke:#bbb}text.faint{fill:#555;font-size:11px}\
text.open{fill:#5b2c83}text.note{fill:#1b4f8a}text.warning{fill:#8a4b00}text.error{fill:#a3001b;font-weight:bold}\
rect.open,circle.open{fill:#f1e6fa;stroke:#5b2c83}rect.note,circle.note{fill:#e3eefb;stroke:#1b4f8a}\
rect.warning,circle.warning{fill:#fdeed7;stroke:#8a4b00}rect.error,circle.error{fill:#fbdfe3;stroke:#a3001b;stroke-width:2}\
text.title{font-size:18px}rect.paper{stroke:none;fill:#fff}";

/// The sheet under its title, with its notes and the caution below.
pub fn svg(sheet: &Sheet) -> String {
    let (width, height) = sheet.size();
    let width = (width + EDGE).max(NARROWEST);
    let notes = notes(sheet, width);
    let title = 2 * EDGE;
    let whole = title + height + EDGE + notes.len() as i32 * LINE + EDGE;
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{whole}\" viewBox=\"0 0 {width} {whole}\" role=\"img\">\n<title>{0}</title>\n<style>{STYLE}</style>\n<rect class=\"paper\" width=\"{width}\" height=\"{whole}\"/>\n<text class=\"title\" x=\"{EDGE}\" y=\"28\">{0}</text>\n<g transform=\"translate(0 {title})\">\n",
        in_markup(&sheet.title)
    );
    for shape in &sheet.shapes {
        write_shape(&mut text, shape);
    }
    text += "</g>\n";
    for (number, note) in notes.iter().enumerate() {
        let y = title + height + EDGE + LINE * (number as i32 + 1);
        let _ = writeln!(
            text,
            "<text x=\"{EDGE}\" y=\"{y}\">{}</text>",
            in_markup(note)
        );
    }
    text + "</svg>\n"
}

fn notes(sheet: &Sheet, width: i32) -> Vec<String> {
    let columns = ((width - 2 * EDGE) / LETTER).max(20) as usize;
    let notes = sheet.notes.iter().map(String::as_str).chain([CAUTION]);
    notes
        .flat_map(|note| wrapped(note, columns.min(120)))
        .collect()
}

fn write_shape(text: &mut String, shape: &Shape) {
    // Writing into a text cannot fail.
    let _ = match shape {
        Shape::Line((x, y), (to_x, to_y)) => {
            writeln!(
                text,
                "<line x1=\"{x}\" y1=\"{y}\" x2=\"{to_x}\" y2=\"{to_y}\"/>"
            )
        }
        Shape::Frame((x, y), (width, height), mark) => writeln!(
            text,
            "<rect{} x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>",
            class(*mark)
        ),
        Shape::Circle((x, y), radius, mark) => {
            writeln!(
                text,
                "<circle{} cx=\"{x}\" cy=\"{y}\" r=\"{radius}\"/>",
                class(*mark)
            )
        }
        Shape::Socket((x, y), radius) => writeln!(
            text,
            "<path d=\"M{x} {} A{radius} {radius} 0 0 0 {x} {}\"/>",
            y - radius,
            y + radius
        ),
        Shape::Words(at, words, anchor, mark) => words_at(text, *at, words, *anchor, *mark, ""),
        Shape::Upright((x, y), words, mark) => {
            let turned = format!(" transform=\"rotate(-90 {x} {y})\"");
            words_at(text, (*x, *y), words, Anchor::Middle, *mark, &turned)
        }
    };
}

fn words_at(
    text: &mut String,
    (x, y): Point,
    words: &str,
    anchor: Anchor,
    mark: Mark,
    turned: &str,
) -> std::fmt::Result {
    let anchor = match anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
    };
    let (class, words) = (class(mark), in_markup(words));
    writeln!(
        text,
        "<text{class} x=\"{x}\" y=\"{y}\"{anchor}{turned}>{words}</text>"
    )
}

fn class(mark: Mark) -> &'static str {
    match mark {
        Mark::Plain => "",
        Mark::Faint => " class=\"faint\"",
        Mark::Open => " class=\"open\"",
        Mark::Note => " class=\"note\"",
        Mark::Warning => " class=\"warning\"",
        Mark::Error => " class=\"error\"",
    }
}
