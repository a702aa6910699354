//! The elevations of the racks, seen from behind, where the cords are: what is in which rack unit.

use crate::analysis::Analysis;
use crate::graph::ElementKind;
use crate::ink::short;
use crate::model::devices::Device;
use crate::model::pdus::{MountSide, Pdu};
use crate::model::places::Rack;
use crate::model::value::Id;
use crate::quantity::RackUnits;

use super::marks::Marks;
use super::sheet::{Anchor, LETTER, Mark, Point, Shape, Sheet, width_of};

/// Height of a rack unit.
const UNIT: i32 = 18;
/// From the edge of the sheet, and between racks.
const EDGE: i32 = 30;
/// Room for the numbers of the units.
const NUMBERS: i32 = 4 * LETTER;
/// Width of a strip that stands upright.
const STRIP: i32 = 22;
/// The narrowest that a device is drawn.
const NARROWEST: i32 = 200;
/// Racks in one row of the sheet.
const IN_A_ROW: usize = 4;

/// Draws every rack.
pub fn racks(analysis: &Analysis<'_>, marks: &Marks) -> Sheet {
    let mut sheet = Sheet::default();
    let all: Vec<Elevation> = analysis
        .model
        .racks
        .iter()
        .map(|(rack, _)| Elevation::of(analysis, rack))
        .collect();
    let mut top = EDGE;
    for row in all.chunks(IN_A_ROW) {
        let mut left = EDGE;
        let height = row.iter().map(Elevation::height).max().unwrap_or(0);
        for elevation in row {
            left += elevation.draw(analysis, marks, &mut sheet, (left, top)) + EDGE;
        }
        top += height + EDGE;
    }
    if all.is_empty() {
        sheet.words((EDGE, EDGE), "No rack is defined.", Mark::Plain);
    }
    sheet.notes = [
        "Seen from behind. A strip in front of the rack is marked (front).",
        "Not placed: the definitions do not say in which rack unit.",
    ]
    .map(str::to_owned)
    .to_vec();
    sheet
}

/// What is in a rack.
struct Elevation {
    rack: Id<Rack>,
    units: i32,
    /// Whether nobody gives its height: then it is as high as what is in it.
    is_guessed: bool,
    devices: Vec<Placed<Device>>,
    strips: Vec<(Placed<Pdu>, MountSide)>,
    not_placed: Vec<String>,
}

/// A thing with its lowest rack unit and its height, in half units from the foot of U1.
struct Placed<T> {
    thing: Id<T>,
    foot: i32,
    height: i32,
}

impl<T> Placed<T> {
    fn head(&self) -> i32 {
        self.foot + self.height
    }

    /// From its foot to its head.
    fn span(&self) -> (i32, i32) {
        (self.foot, self.head())
    }
}

impl Elevation {
    fn of(analysis: &Analysis<'_>, rack: Id<Rack>) -> Self {
        let links = &analysis.graph.links;
        let mut elevation = Self {
            rack,
            units: 0,
            is_guessed: false,
            devices: Vec::new(),
            strips: Vec::new(),
            not_placed: Vec::new(),
        };
        for (device, item) in analysis.model.devices.iter() {
            if links.device_racks[device.index()] == Some(rack) {
                match place_of_device(analysis, device) {
                    Some(placed) => elevation.devices.push(placed),
                    None => elevation.not_placed.push(item.name.value.to_string()),
                }
            }
        }
        for (pdu, item) in analysis.model.pdus.iter() {
            if links.pdu_racks[pdu.index()] == Some(rack) {
                match place_of_strip(analysis, pdu) {
                    Some(placed) => elevation.strips.push(placed),
                    None => elevation.not_placed.push(item.name.value.to_string()),
                }
            }
        }
        let devices = elevation.devices.iter().map(Placed::head);
        let strips = elevation.strips.iter().map(|(strip, _)| strip.head());
        let needed = (devices.chain(strips).max().unwrap_or(0) + 1) / 2;
        let given = analysis.model.racks[rack].height.known().copied();
        elevation.is_guessed = given.is_none();
        elevation.units = given
            .map_or(needed, |height| i32::from(height.halves()) / 2)
            .max(needed);
        elevation
    }

    /// With its name above, and what is not placed below.
    fn height(&self) -> i32 {
        UNIT * (self.units
            + 2
            + self.not_placed.len() as i32
            + i32::from(!self.not_placed.is_empty()))
    }

    /// Draws the rack; its width.
    fn draw(&self, analysis: &Analysis<'_>, marks: &Marks, sheet: &mut Sheet, at: Point) -> i32 {
        let rack = &analysis.model.racks[self.rack];
        let name = &rack.name.value;
        let guessed = match self.is_guessed {
            true => " (height not given)",
            false => "",
        };
        let title = format!("rack {}{guessed}{}", short(name), marks.words(name));
        sheet.words(at, title.clone(), marks.mark(name));
        let devices = self.devices.iter();
        let devices = devices.map(|placed| {
            let name = &analysis.model.devices[placed.thing].name.value;
            (
                format!("{}{}", short(name), marks.words(name)),
                marks.mark(name),
                placed.span(),
            )
        });
        let strips = self.strips.iter().map(|(placed, side)| {
            let name = &analysis.model.pdus[placed.thing].name.value;
            let above = above(analysis, placed.thing);
            let front = match side {
                MountSide::FrontLeft | MountSide::FrontRight => " (front)",
                _ => "",
            };
            let words = format!("{}{front}{}{above}", short(name), marks.words(name));
            let mark = match above.is_empty() {
                true => marks.mark(name),
                false => marks.mark(name).max(Mark::Warning),
            };
            (*side, (words, mark, placed.span()))
        });
        let (across, upright): (Vec<_>, Vec<_>) =
            strips.partition(|(side, _)| *side == MountSide::Horizontal);
        let across = devices.chain(across.into_iter().map(|(_, strip)| strip));
        let across: Vec<Block> = across.collect();
        let (left, right): (Vec<_>, Vec<_>) =
            upright.into_iter().partition(|(side, _)| is_left(*side));
        let widest = across
            .iter()
            .map(|(words, ..)| width_of(words) + 2 * LETTER);
        let first = at.0 + NUMBERS + left.len() as i32 * STRIP;
        let width = widest.max().unwrap_or(0).max(NARROWEST);
        let foot = at.1 + UNIT / 2 + self.units * UNIT;
        self.draw_units(sheet, at.0, (first, foot), width);
        for block in &across {
            draw_across(sheet, block, (first, foot), width);
        }
        for (number, (_, block)) in left.iter().enumerate() {
            draw_upright(sheet, block, (at.0 + NUMBERS + number as i32 * STRIP, foot));
        }
        for (number, (_, block)) in right.iter().enumerate() {
            draw_upright(sheet, block, (first + width + number as i32 * STRIP, foot));
        }
        self.name_not_placed(sheet, marks, (at.0, foot));
        let whole = first + width + right.len() as i32 * STRIP - at.0;
        whole.max(width_of(&title))
    }

    /// The empty units, each with its number.
    fn draw_units(&self, sheet: &mut Sheet, left: i32, (first, foot): Point, width: i32) {
        for unit in 0..self.units {
            let head = foot - (unit + 1) * UNIT;
            sheet.words(
                (left, head + UNIT - 4),
                format!("U{}", unit + 1),
                Mark::Faint,
            );
            let frame = Shape::Frame((first, head), (width, UNIT), Mark::Faint);
            sheet.shapes.push(frame);
        }
    }

    fn name_not_placed(&self, sheet: &mut Sheet, marks: &Marks, (left, foot): (i32, i32)) {
        if self.not_placed.is_empty() {
            return;
        }
        sheet.words((left, foot + UNIT), "not placed:", Mark::Plain);
        for (number, name) in self.not_placed.iter().enumerate() {
            let at = (left + LETTER, foot + UNIT * (number as i32 + 2));
            let words = format!("{}{}", short(name), marks.words(name));
            sheet.words(at, words, marks.mark(name));
        }
    }
}

/// What of a strip passes its limit, for behind its name: itself, or its banks.
fn above(analysis: &Analysis<'_>, pdu: Id<Pdu>) -> String {
    let Some(id) = analysis.graph.pdu(pdu) else {
        return String::new();
    };
    let banks = analysis.graph.children(id);
    let banks = banks.filter(|&bank| matches!(analysis.graph.kind(bank), ElementKind::Bank(..)));
    let above = std::iter::once(id)
        .chain(banks)
        .filter(|&part| analysis.held(part).is_above());
    let parts = above.map(|part| match part == id {
        true => "input".to_owned(),
        false => format!("bank {}", short(&analysis.name(part).value)),
    });
    let parts: Vec<String> = parts.collect();
    match parts.is_empty() {
        true => String::new(),
        false => format!(" [above its limit: {}]", parts.join(", ")),
    }
}

/// A thing in a rack: its words, its mark, and its foot and head in half units above the foot of U1.
type Block = (String, Mark, (i32, i32));

/// Seen from behind, left and right of the front change places.
fn is_left(side: MountSide) -> bool {
    matches!(side, MountSide::RearLeft | MountSide::FrontRight)
}

/// Where a thing begins on the sheet, and how high it is drawn.
fn drawn_height(foot: i32, (from, to): (i32, i32)) -> (i32, i32) {
    (foot - to * UNIT / 2, (to - from) * UNIT / 2)
}

fn draw_across(sheet: &mut Sheet, (words, mark, span): &Block, (left, foot): Point, width: i32) {
    let (top, height) = drawn_height(foot, *span);
    sheet
        .shapes
        .push(Shape::Frame((left, top), (width, height), *mark));
    let middle = (left + width / 2, top + height / 2 + 4);
    let words = Shape::Words(middle, words.clone(), Anchor::Middle, *mark);
    sheet.shapes.push(words);
}

fn draw_upright(sheet: &mut Sheet, (words, mark, span): &Block, (left, foot): Point) {
    let (top, height) = drawn_height(foot, *span);
    sheet
        .shapes
        .push(Shape::Frame((left, top), (STRIP, height), *mark));
    let middle = (left + STRIP / 2 + 4, top + height / 2);
    sheet
        .shapes
        .push(Shape::Upright(middle, words.clone(), *mark));
}

fn place_of_device(analysis: &Analysis<'_>, device: Id<Device>) -> Option<Placed<Device>> {
    let model = analysis.graph.device_model(analysis.model, device)?;
    let at = analysis.model.devices[device].at.known().copied()?;
    Some(Placed {
        thing: device,
        foot: halves_below(at),
        height: i32::from(model.height.known().copied()?.halves()),
    })
}

fn place_of_strip(analysis: &Analysis<'_>, pdu: Id<Pdu>) -> Option<(Placed<Pdu>, MountSide)> {
    let mount = analysis.model.pdus[pdu].mount.known()?;
    let (side, foot) = (
        mount.side.known().copied()?,
        halves_below(mount.foot.known().copied()?),
    );
    let height = match (side, mount.head.known().copied()) {
        (MountSide::Horizontal, None) => 2,
        (_, head) => halves_below(head?) + 2 - foot,
    };
    let placed = Placed {
        thing: pdu,
        foot,
        height: height.max(1),
    };
    Some((placed, side))
}

/// Half units below a position: none below U1.
fn halves_below(position: RackUnits) -> i32 {
    i32::from(position.halves()) - 2
}
