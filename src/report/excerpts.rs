//! The excerpts of a finding: its places in electrical order, ready to be drawn.
//!
//! The drawing library groups marks by file and sorts them by line. Here each excerpt is a small
//! text of its own with the true path, line numbers and columns, so that the order stays electrical;
//! places that follow each other down one file share an excerpt. Where there are several, their notes
//! are numbered along the path.

use std::ops::Range;

use codespan_reporting::files::{Error, Files, Location};

use super::clip::{Shown, shown_line};
use super::place::{Unit, position};
use super::{Look, SiteReport};
use crate::finding::{Finding, Place};
use crate::ink::{Excerpted, Plain, Written, columns, wrapped};
use crate::source::{FileId, LineColumn};

/// The excerpts of one finding.
pub(super) struct Excerpts {
    excerpts: Vec<Excerpt>,
    /// Columns of the widest line number.
    digits: usize,
    /// Columns of a terminal line, and the glyph that runs down an excerpt's side.
    width: usize,
    border: &'static str,
}

/// Lines of one file with their marks.
struct Excerpt {
    file: FileId,
    name: Written<Plain>,
    text: Written<Plain>,
    lines: Vec<Line>,
}

/// A line as it is shown.
struct Line {
    /// Its place in the file, from 0.
    index: usize,
    /// Its bytes in the excerpt's text, the line feed included.
    range: Range<usize>,
    /// Whether something was cut off.
    clipped: bool,
    marks: Vec<Mark>,
}

/// A place on a line.
struct Mark {
    /// Bytes in the excerpt's text.
    range: Range<usize>,
    /// Where it lies in the file.
    at: LineColumn,
    note: Written<Plain>,
    is_main: bool,
}

impl Excerpts {
    /// Cuts the excerpts of `finding` out of its site's files.
    pub(super) fn new(site: &SiteReport<'_>, finding: &Finding, look: &Look) -> Self {
        let digits = finding
            .places()
            .map(|(place, _)| line_number(site, place).to_string().len())
            .max()
            .unwrap_or(1);
        let mut excerpts = Self {
            excerpts: Vec::new(),
            digits,
            width: look.width,
            border: if look.unicode { " │ " } else { " | " },
        };
        let is_path = !finding.path.is_empty();
        for (number, (place, is_main)) in finding.places().enumerate() {
            let mut note = Written::new();
            if is_path {
                put_number(number + 1, look.unicode, &mut note);
            }
            note.push(&Written::of(&place.note).spelt(look.unicode));
            excerpts.add(site, place, note.trimmed(), is_main, look.unicode);
        }
        excerpts
    }

    /// The marks, in electrical order, each with its note laid out.
    pub(super) fn marks(&self) -> Vec<Excerpted> {
        let mut marks = Vec::new();
        for (excerpt, of) in self.excerpts.iter().enumerate() {
            for line in &of.lines {
                let is_alone = line.marks.len() == 1;
                marks.extend(line.marks.iter().map(|mark| Excerpted {
                    excerpt,
                    range: mark.range.clone(),
                    note: match is_alone {
                        true => self.laid_out(&of.text.as_str()[line.range.clone()], line, mark),
                        false => mark.note.clone(),
                    },
                    is_main: mark.is_main,
                }));
            }
        }
        marks
    }

    /// Columns for source text beside the gutter.
    fn room(&self) -> usize {
        self.width.saturating_sub(self.digits + 3).max(20)
    }

    fn add(
        &mut self,
        site: &SiteReport<'_>,
        place: &Place,
        note: Written<Plain>,
        is_main: bool,
        unicode: bool,
    ) {
        let source = site.sources.file(place.span.file);
        let index = line_number(site, place) - 1;
        let shown = shown_line(source, index, &place.span.range(), self.room(), unicode);
        let lo = place.span.lo as usize;
        let mark = Mark {
            range: shown.mark.clone(),
            at: position(source, lo, Unit::Chars),
            note,
            is_main,
        };
        match self.follows(place.span.file, index, &shown, &mark) {
            Following::SameLine => self.add_to_line(mark),
            Following::LaterLine { bridge } => {
                if let Some(between) = bridge {
                    let nothing = 0..0;
                    let line = shown_line(source, between, &nothing, self.room(), unicode);
                    self.add_line(between, &line, None);
                }
                self.add_line(index, &shown, Some(mark));
            }
            Following::Elsewhere => {
                self.excerpts.push(Excerpt {
                    file: place.span.file,
                    name: address(&site.shown(&source.path)),
                    text: Written::new(),
                    lines: Vec::new(),
                });
                self.add_line(index, &shown, Some(mark));
            }
        }
    }

    /// How a mark follows the one before it.
    fn follows(&self, file: FileId, index: usize, shown: &Shown, mark: &Mark) -> Following {
        let Some(excerpt) = self.excerpts.last().filter(|last| last.file == file) else {
            return Following::Elsewhere;
        };
        let Some(line) = excerpt.lines.last() else {
            return Following::Elsewhere;
        };
        match index.checked_sub(line.index) {
            None => Following::Elsewhere,
            Some(0) if self.has_room_for(line, shown, mark) => Following::SameLine,
            Some(0) => Following::Elsewhere,
            // The drawing library shows a single line between two marked ones.
            Some(2) => Following::LaterLine {
                bridge: Some(index - 1),
            },
            Some(_) => Following::LaterLine { bridge: None },
        }
    }

    /// Whether a further mark can stand on `line`: nothing is cut off, it lies right of the others,
    /// and no note runs over the edge.
    fn has_room_for(&self, line: &Line, shown: &Shown, mark: &Mark) -> bool {
        if line.clipped || shown.clipped {
            return false;
        }
        let offset = line.range.start;
        let column = |byte: usize| columns(&shown.text.as_str()[..byte]);
        let others = &line.marks;
        let right_of_all = others
            .iter()
            .all(|m| m.range.end.max(m.range.start + 1) - offset <= mark.range.start);
        let notes_fit = others
            .iter()
            .all(|m| column(m.range.start - offset) + columns(m.note.as_str()) <= self.room());
        let own_fits = column(mark.range.end) + 1 + columns(mark.note.as_str()) <= self.room();
        right_of_all && notes_fit && own_fits
    }

    fn add_to_line(&mut self, mut mark: Mark) {
        let line = self.excerpts.last_mut().and_then(|e| e.lines.last_mut());
        if let Some(line) = line {
            mark.range = shifted(&mark.range, line.range.start);
            line.marks.push(mark);
        }
    }

    fn add_line(&mut self, index: usize, shown: &Shown, mark: Option<Mark>) {
        let Some(excerpt) = self.excerpts.last_mut() else {
            return;
        };
        let start = excerpt.text.len();
        excerpt.text.push(&shown.text).ours("\n");
        let marks = mark.into_iter().map(|mark| Mark {
            range: shifted(&mark.range, start),
            ..mark
        });
        excerpt.lines.push(Line {
            index,
            range: start..excerpt.text.len(),
            clipped: shown.clipped,
            marks: marks.collect(),
        });
    }

    /// A lone mark's note: beside the mark if there is room, else below it, as far right as it fits.
    fn laid_out(&self, text: &str, line: &Line, mark: &Mark) -> Written<Plain> {
        let local = |byte: usize| columns(&text[..(byte - line.range.start).min(text.len())]);
        let note = columns(mark.note.as_str());
        let end = local(mark.range.end).max(local(mark.range.start) + 1);
        if end + 1 + note <= self.room() {
            return mark.note.clone();
        }
        let indent = local(mark.range.start).min(self.room().saturating_sub(note));
        let mut below = Written::new();
        for words in wrapped(&mark.note, self.room() - indent) {
            below.ours("\n").blanks(self.digits).ours(self.border);
            below.blanks(indent).push(&words);
        }
        below
    }
}

/// The numbers of places along a path, as far as there are signs for them.
const NUMBERS: [&str; 20] = [
    "①", "②", "③", "④", "⑤", "⑥", "⑦", "⑧", "⑨", "⑩", "⑪", "⑫", "⑬", "⑭", "⑮", "⑯", "⑰", "⑱", "⑲",
    "⑳",
];

/// Adds the number of a place along the electrical path, by which the places can be read as one way.
fn put_number(number: usize, unicode: bool, note: &mut Written<Plain>) {
    match NUMBERS.get(number - 1).filter(|_| unicode) {
        Some(sign) => note.ours(sign).ours(" "),
        None => note.ours("(").number(number).ours(") "),
    };
}

/// A path, whole: readers go by it.
fn address(path: &str) -> Written<Plain> {
    let mut address = Written::new();
    address.whole(path);
    address
}

/// Where a mark goes, seen from the one before it.
enum Following {
    SameLine,
    LaterLine { bridge: Option<usize> },
    Elsewhere,
}

fn shifted(range: &Range<usize>, by: usize) -> Range<usize> {
    range.start + by..range.end + by
}

fn line_number(site: &SiteReport<'_>, place: &Place) -> usize {
    let source = site.sources.file(place.span.file);
    source.line_of(place.span.lo as usize) + 1
}

impl<'a> Files<'a> for Excerpts {
    type FileId = usize;
    type Name = &'a Written<Plain>;
    type Source = &'a Written<Plain>;

    fn name(&'a self, id: usize) -> Result<&'a Written<Plain>, Error> {
        self.excerpt(id).map(|excerpt| &excerpt.name)
    }

    fn source(&'a self, id: usize) -> Result<&'a Written<Plain>, Error> {
        self.excerpt(id).map(|excerpt| &excerpt.text)
    }

    fn line_index(&'a self, id: usize, byte: usize) -> Result<usize, Error> {
        let lines = &self.excerpt(id)?.lines;
        let after = lines.partition_point(|line| line.range.start <= byte);
        let line = lines.get(after.saturating_sub(1));
        line.map(|line| line.index).ok_or(Error::FileMissing)
    }

    fn location(&'a self, id: usize, byte: usize) -> Result<Location, Error> {
        let marks = self.excerpt(id)?.lines.iter().flat_map(|line| &line.marks);
        let mark = marks.into_iter().find(|mark| mark.range.start == byte);
        mark.map(|mark| Location {
            line_number: mark.at.line,
            column_number: mark.at.column,
        })
        .ok_or(Error::FileMissing)
    }

    fn line_range(&'a self, id: usize, index: usize) -> Result<Range<usize>, Error> {
        let lines = &self.excerpt(id)?.lines;
        let line = lines.iter().find(|line| line.index == index);
        let too_large = Error::LineTooLarge {
            given: index,
            max: lines.last().map_or(0, |line| line.index),
        };
        line.map(|line| line.range.clone()).ok_or(too_large)
    }
}

impl Excerpts {
    fn excerpt(&self, id: usize) -> Result<&Excerpt, Error> {
        self.excerpts.get(id).ok_or(Error::FileMissing)
    }
}
