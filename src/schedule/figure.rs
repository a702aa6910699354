//! A cord drawn from end to end: its couplers, the way it leaves them, and what lies between.

use crate::ink::{Html, Written, short};
use crate::model::cords::{Angle, CordLeg, CordType};
use crate::model::value::{Named, Spanned};
use crate::source::Span;

use super::order::thing;
use super::table::{UNKNOWN, given};

/// A cord from end to end.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Figure {
    /// Whose drawing it is.
    title: String,
    plug: End,
    /// What lies between.
    cordage: String,
    /// The connector, or one for each leg.
    far: Vec<End>,
}

#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct End {
    name: String,
    /// Which way the cord leaves it; `None` where that cannot be read.
    angle: Option<&'static str>,
}

impl Figure {
    /// The drawing of a cord of some kind.
    pub(super) fn of(title: &str, kind: &CordType) -> Self {
        let plug = End::new(given(&kind.plug), kind.plug_angle());
        let far = match kind.legs.items() {
            [] => vec![End::new(given(&kind.connector), kind.connector_angle(None))],
            legs => {
                let legs = legs.iter();
                let name = |leg: &Named<CordLeg>| {
                    format!("{} ({})", given(&leg.connector), leg.name.value)
                };
                legs.map(|leg| End::new(name(leg), kind.connector_angle(Some(leg))))
                    .collect()
            }
        };
        Self {
            title: title.to_owned(),
            plug,
            cordage: format!("{}, {}", thing::conductor(kind), thing::cordage(kind)),
            far,
        }
    }

    /// The same in one line of text.
    pub(super) fn line(&self) -> String {
        let far: Vec<String> = self.far.iter().map(End::text).collect();
        format!(
            "{} ──── {} ──── {}",
            self.plug.text(),
            self.cordage,
            far.join(" and ")
        )
    }

    /// The drawing as SVG within a page.
    pub(super) fn draw(&self, page: &mut Written<Html>) {
        let count = i32::try_from(self.far.len())
            .unwrap_or(1)
            .clamp(1, MOST_DRAWN);
        let height = TOP + count * STEP;
        let middle = TOP + (count - 1) * STEP / 2;
        page.ours("<figure>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"640\" height=\"");
        page.number(height)
            .ours("\" viewBox=\"0 0 640 ")
            .number(height);
        page.ours("\" role=\"img\"><title>")
            .theirs(&short(&self.title));
        page.ours("</title>\n<g fill=\"none\" stroke=\"#111\">\n<rect x=\"10\" y=\"");
        page.number(middle - 14)
            .ours("\" width=\"130\" height=\"28\"/>\n");
        for at in 0..count {
            let y = TOP + at * STEP;
            page.ours("<path d=\"M140 ")
                .number(middle)
                .ours("H360L400 ")
                .number(y);
            page.ours("H480\"/>\n<rect x=\"480\" y=\"").number(y - 14);
            page.ours("\" width=\"150\" height=\"28\"/>\n");
        }
        page.ours("</g>\n<g font-family=\"sans-serif\" font-size=\"12\" fill=\"#111\">\n");
        text(page, (18, middle + 4), &self.plug.text());
        text(page, (150, middle - 8), &self.cordage);
        for (at, end) in (0..count).zip(&self.far) {
            text(page, (488, TOP + at * STEP + 4), &end.text());
        }
        page.ours("</g>\n</svg>\n<figcaption>")
            .theirs(&short(&self.title));
        page.ours("</figcaption>\n</figure>\n");
    }
}

/// Where the first connector is drawn, and how far below it each next one.
const TOP: i32 = 30;
const STEP: i32 = 40;
/// More legs than any splitter has.
const MOST_DRAWN: i32 = 24;
/// Letters that a box or the line between holds.
const LONGEST: usize = 30;

fn text(page: &mut Written<Html>, (x, y): (i32, i32), words: &str) {
    let mut shown: String = words.chars().take(LONGEST).collect();
    if words.chars().nth(LONGEST).is_some() {
        shown.pop();
        shown.push('…');
    }
    page.ours("<text x=\"").number(x).ours("\" y=\"").number(y);
    page.ours("\">").theirs(&shown).ours("</text>\n");
}

/// Which way the cord leaves, seen with the earth pin uppermost.
fn arrow(angle: Angle) -> &'static str {
    match angle {
        Angle::Straight => "",
        Angle::Up => " ↑",
        Angle::Down => " ↓",
        Angle::Left => " ←",
        Angle::Right => " →",
    }
}

impl End {
    fn new(name: String, angle: Result<Option<&Spanned<Angle>>, Span>) -> Self {
        let angle = angle.map(|angle| angle.map_or(Angle::Straight, |angle| angle.value));
        Self {
            name,
            angle: angle.ok().map(arrow),
        }
    }

    /// `[C13 ←]`
    fn text(&self) -> String {
        format!("[{}{}]", self.name, self.angle.unwrap_or(UNKNOWN))
    }
}
