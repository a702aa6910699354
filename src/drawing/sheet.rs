//! What is on a sheet: shapes in whole points, from the upper left corner.

use crate::ink::columns;

/// A drawing, laid out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sheet {
    /// What it shows.
    pub title: String,
    /// Its shapes, the later above the earlier.
    pub shapes: Vec<Shape>,
    /// What to know about it, below the drawing.
    pub notes: Vec<String>,
}

/// A place on the sheet: to the right, and down.
pub type Point = (i32, i32);

/// Something drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A line between two places.
    Line(Point, Point),
    /// A rectangle: its upper left corner, width and height.
    Frame(Point, (i32, i32), Mark),
    /// A circle: its middle and radius.
    Circle(Point, i32, Mark),
    /// The half of a circle that is open to the left: its middle and radius.
    Socket(Point, i32),
    /// Words that run up, by their middle.
    Upright(Point, String, Mark),
    /// Words in one line, at the foot of their letters.
    Words(Point, String, Anchor, Mark),
}

/// Where the words stand to their place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// They begin there.
    Start,
    /// It is their middle.
    Middle,
}

/// What is said of a thing, the gravest last.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// Less important than the rest.
    Faint,
    /// Nothing.
    #[default]
    Plain,
    /// A point that could not be decided.
    Open,
    /// A note.
    Note,
    /// A warning.
    Warning,
    /// An error.
    Error,
}

/// Points that a letter takes, about: the fonts are not known here.
pub(super) const LETTER: i32 = 7;

/// Points that words take, about.
pub(super) fn width_of(words: &str) -> i32 {
    columns(words) as i32 * LETTER
}

impl Sheet {
    /// Adds words that begin at a place.
    pub(super) fn words(&mut self, at: Point, words: impl Into<String>, mark: Mark) {
        let words = Shape::Words(at, words.into(), Anchor::Start, mark);
        self.shapes.push(words);
    }

    /// Adds a line.
    pub(super) fn line(&mut self, from: Point, to: Point) {
        self.shapes.push(Shape::Line(from, to));
    }

    /// Width and height that hold all shapes.
    pub fn size(&self) -> (i32, i32) {
        let corner = |shape: &Shape| match shape {
            Shape::Line(from, to) => (from.0.max(to.0), from.1.max(to.1)),
            Shape::Frame(at, size, _) => (at.0 + size.0, at.1 + size.1),
            Shape::Circle(at, radius, _) | Shape::Socket(at, radius) => {
                (at.0 + radius, at.1 + radius)
            }
            Shape::Upright(at, ..) => *at,
            Shape::Words(at, words, Anchor::Start, _) => (at.0 + width_of(words), at.1),
            Shape::Words(at, words, Anchor::Middle, _) => (at.0 + width_of(words) / 2, at.1),
        };
        let corners = self.shapes.iter().map(corner);
        corners.fold((0, 0), |most, at| (most.0.max(at.0), most.1.max(at.1)))
    }
}
