//! A sheet as SVG 1.1, without anything outside it.

use crate::ink::{Number, Plain, Written, Xml, wrapped};
use crate::report::CAUTION;

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
pub fn svg(sheet: &Sheet) -> Written<Xml> {
    let (width, height) = sheet.size();
    let width = (width + EDGE).max(NARROWEST);
    let notes = notes(sheet, width);
    let top = 2 * EDGE;
    let whole = top + height + EDGE + notes.len() as i32 * LINE + EDGE;
    let mut text = Written::new();
    text.ours("<svg xmlns=\"http://www.w3.org/2000/svg\"");
    put(&mut text, "width", width);
    put(&mut text, "height", whole);
    text.ours(" viewBox=\"0 0 ")
        .number(width)
        .ours(" ")
        .number(whole);
    text.ours("\" role=\"img\">\n<title>").theirs(&sheet.title);
    text.ours("</title>\n<style>").ours(STYLE);
    text.ours("</style>\n<rect class=\"paper\"");
    put(&mut text, "width", width);
    put(&mut text, "height", whole);
    text.ours("/>\n<text class=\"title\"");
    put_place(&mut text, (EDGE, 28));
    text.ours(">").theirs(&sheet.title);
    text.ours("</text>\n<g transform=\"translate(0 ")
        .number(top);
    text.ours(")\">\n");
    for shape in &sheet.shapes {
        write_shape(&mut text, shape);
    }
    text.ours("</g>\n");
    for (number, note) in notes.iter().enumerate() {
        let y = top + height + EDGE + LINE * (number as i32 + 1);
        text.ours("<text");
        put_place(&mut text, (EDGE, y));
        text.ours(">").theirs(note.as_str()).ours("</text>\n");
    }
    text.ours("</svg>\n");
    text
}

fn notes(sheet: &Sheet, width: i32) -> Vec<Written<Plain>> {
    let columns = ((width - 2 * EDGE) / LETTER).max(20) as usize;
    let notes = sheet.notes.iter().map(String::as_str).chain([CAUTION]);
    notes
        .flat_map(|note| wrapped(&Written::of(note), columns.min(120)))
        .collect()
}

fn write_shape(text: &mut Written<Xml>, shape: &Shape) {
    match shape {
        Shape::Line((x, y), (to_x, to_y)) => {
            text.ours("<line");
            let ends = [("x1", x), ("y1", y), ("x2", to_x), ("y2", to_y)];
            ends.into_iter().for_each(|(name, at)| put(text, name, *at));
            text.ours("/>\n");
        }
        Shape::Frame(at, (width, height), mark) => {
            text.ours("<rect").ours(class(*mark));
            put_place(text, *at);
            put(text, "width", *width);
            put(text, "height", *height);
            text.ours("/>\n");
        }
        Shape::Circle((x, y), radius, mark) => {
            text.ours("<circle").ours(class(*mark));
            put(text, "cx", *x);
            put(text, "cy", *y);
            put(text, "r", *radius);
            text.ours("/>\n");
        }
        Shape::Socket((x, y), radius) => {
            text.ours("<path d=\"M")
                .number(*x)
                .ours(" ")
                .number(y - radius);
            text.ours(" A").number(*radius).ours(" ").number(*radius);
            text.ours(" 0 0 0 ").number(*x).ours(" ").number(y + radius);
            text.ours("\"/>\n");
        }
        Shape::Words(at, words, anchor, mark) => {
            write_words(text, *at, words, *anchor, *mark, false)
        }
        Shape::Upright(at, words, mark) => {
            write_words(text, *at, words, Anchor::Middle, *mark, true);
        }
    }
}

fn write_words(
    text: &mut Written<Xml>,
    at: Point,
    words: &str,
    anchor: Anchor,
    mark: Mark,
    is_upright: bool,
) {
    text.ours("<text").ours(class(mark));
    put_place(text, at);
    text.ours(match anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
    });
    if is_upright {
        text.ours(" transform=\"rotate(-90 ").number(at.0);
        text.ours(" ").number(at.1).ours(")\"");
    }
    text.ours(">").theirs(words).ours("</text>\n");
}

/// Adds an attribute.
fn put(text: &mut Written<Xml>, name: &'static str, number: impl Number) {
    text.ours(" ").ours(name).ours("=\"");
    text.number(number).ours("\"");
}

fn put_place(text: &mut Written<Xml>, (x, y): Point) {
    put(text, "x", x);
    put(text, "y", y);
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
