//! The single-line diagram: supplies on the left, what they feed to the right of them, a row for each end.
//!
//! Symbols follow IEC 60617 (from memory, verify): a circle with a wave for a source, a cross at an open
//! contact for a circuit-breaker, strokes across a line for its conductors, half a circle for an outlet.

use crate::analysis::{Analysis, Delivery};
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::ink::short;
use crate::model::value::Field;
use crate::quantity::{Quantity, show_pair, show_rounded};

use super::marks::Marks;
use super::sheet::{Anchor, Mark, Point, Shape, Sheet, width_of};

/// From one row to the next.
const ROW: i32 = 36;
/// From the edge of the sheet.
const EDGE: i32 = 20;
/// Width of a symbol, and from the line that branches off to the next one.
const STUB: i32 = 26;
/// Between a symbol and its words.
const GAP: i32 = 6;

/// Draws all that hangs on an element, or on all supplies.
pub fn single_line(analysis: &Analysis<'_>, marks: &Marks, below: Option<ElementId>) -> Sheet {
    let heads = analysis.graph.elements();
    let heads = heads.filter(|(_, element)| element.feeder.is_none());
    let heads: Vec<ElementId> = match below {
        Some(head) => vec![head],
        None => heads.map(|(id, _)| id).collect(),
    };
    let nodes = heads
        .into_iter()
        .map(|head| Node::of(analysis, marks, head));
    let nodes: Vec<Node> = nodes.collect();
    let mut levels = Vec::new();
    nodes.iter().for_each(|node| node.widen(0, &mut levels));
    let mut drawing = Drawing {
        analysis: *analysis,
        marks,
        sheet: Sheet::default(),
        left: lefts(&levels),
        row: 0,
    };
    for node in &nodes {
        drawing.node(node, 0);
    }
    if nodes.is_empty() {
        let nothing = "No supply is defined, so nothing hangs on one.";
        drawing.sheet.words((EDGE, EDGE), nothing, Mark::Plain);
    }
    drawing.sheet.notes = [
        "Strokes across a line: its conductors. Currents: the worst of the normal state and every single loss, of the lowest share of a rating that may be used.",
        "≥: a load is not known, so that more may flow. ≤: a limit is not known, and may be lower. ?: not known.",
    ]
    .map(str::to_owned)
    .to_vec();
    drawing.sheet
}

/// An element with its words.
struct Node {
    id: ElementId,
    /// Its name, where it leads to, and what is found there.
    title: String,
    /// What it is made for and what it carries.
    facts: String,
    children: Vec<Node>,
}

impl Node {
    fn of(analysis: &Analysis<'_>, marks: &Marks, id: ElementId) -> Self {
        let found = marks.words(&analysis.full_name(id));
        let children = analysis.graph.children(id);
        Self {
            id,
            title: format!("{}{found}", title(analysis, id)),
            facts: facts(analysis, id),
            children: children
                .map(|child| Self::of(analysis, marks, child))
                .collect(),
        }
    }

    /// Makes each level as wide as its longest words.
    fn widen(&self, level: usize, levels: &mut Vec<i32>) {
        if levels.len() <= level {
            levels.push(0);
        }
        let own = width_of(&self.title).max(width_of(&self.facts));
        levels[level] = levels[level].max(own);
        for child in &self.children {
            child.widen(level + 1, levels);
        }
    }
}

/// Where each level begins.
fn lefts(levels: &[i32]) -> Vec<i32> {
    let mut left = EDGE;
    let lefts = levels.iter().map(|width| {
        let own = left;
        left += STUB + GAP + width + STUB;
        own
    });
    lefts.collect()
}

struct Drawing<'a, 'm> {
    analysis: Analysis<'a>,
    marks: &'m Marks,
    sheet: Sheet,
    left: Vec<i32>,
    /// The next row that is free.
    row: i32,
}

impl Drawing<'_, '_> {
    /// Draws an element and what hangs on it; the height of its line.
    fn node(&mut self, node: &Node, level: usize) -> i32 {
        let at = (self.left[level], EDGE + self.row * ROW + ROW / 2);
        self.symbol(node.id, at);
        if level > 0 {
            self.strokes(self.analysis.graph.conductors_of(node.id).len(), at);
        }
        let x = at.0 + STUB + GAP;
        let mark = self.marks.mark(&self.analysis.full_name(node.id));
        self.sheet.words((x, at.1 - 4), node.title.clone(), mark);
        self.sheet
            .words((x, at.1 + 12), node.facts.clone(), Mark::Faint);
        if node.children.is_empty() {
            self.row += 1;
            return at.1;
        }
        let next = self.left[level + 1];
        let (branch, mut last) = (next - STUB, at.1);
        for child in &node.children {
            last = self.node(child, level + 1);
            self.sheet.line((branch, last), (next, last));
        }
        self.sheet.line((at.0 + STUB, at.1), (branch, at.1));
        self.sheet.line((branch, at.1), (branch, last));
        at.1
    }

    fn symbol(&mut self, id: ElementId, at: Point) {
        let graph = self.analysis.graph;
        let mark = self.marks.mark(&self.analysis.full_name(id));
        let (left, right) = (at, (at.0 + STUB, at.1));
        match graph.kind(id) {
            ElementKind::Supply(_) => {
                let middle = (at.0 + STUB / 2, at.1);
                self.sheet.shapes.push(Shape::Circle(middle, 10, mark));
                let wave = Shape::Words((middle.0, middle.1 + 4), "~".into(), Anchor::Middle, mark);
                self.sheet.shapes.push(wave);
            }
            ElementKind::Pdu(_) => {
                let frame = Shape::Frame((at.0, at.1 - 7), (STUB, 14), mark);
                self.sheet.shapes.push(frame);
            }
            ElementKind::Circuit(_) | ElementKind::Bank(..)
                if self.analysis.breaker_rating(id).is_some() =>
            {
                self.breaker(at);
            }
            ElementKind::Cord(_) | ElementKind::Leg(..) if graph.children(id).next().is_none() => {
                let socket = (at.0 + STUB - 6, at.1);
                self.sheet.line(left, (socket.0 - 6, at.1));
                self.sheet.shapes.push(Shape::Socket(socket, 6));
            }
            _ => self.sheet.line(left, right),
        }
    }

    /// A contact that opens, with a cross where it is fixed.
    fn breaker(&mut self, at: Point) {
        let (x, y) = (at.0 + 8, at.1);
        self.sheet.line(at, (x, y));
        self.sheet.line((x - 3, y - 3), (x + 3, y + 3));
        self.sheet.line((x - 3, y + 3), (x + 3, y - 3));
        self.sheet.line((x + 14, y), (x + 1, y - 7));
        self.sheet.line((x + 14, y), (at.0 + STUB, y));
    }

    /// A stroke for each conductor, on the line that leads to the symbol.
    fn strokes(&mut self, conductors: usize, at: Point) {
        for number in 0..conductors as i32 {
            let x = at.0 - 14 + number * 3;
            self.sheet.line((x - 2, at.1 + 4), (x + 2, at.1 - 4));
        }
    }
}

/// `A-12`, `bank B1`, `W-0412 → tide-01/psu1`.
fn title(analysis: &Analysis<'_>, id: ElementId) -> String {
    let name = short(&analysis.name(id).value);
    let leads_to = |id| match analysis.graph.receiver(id) {
        Some(Receiver::Inlet(inlet)) => {
            let link = &analysis.graph.links.inlets[*inlet as usize];
            format!(" → {}", short(&analysis.inlet_name(link)))
        }
        Some(Receiver::Unknown) => " → ?".to_owned(),
        Some(Receiver::Pdu(_) | Receiver::Cord(_)) | None => String::new(),
    };
    match analysis.graph.kind(id) {
        ElementKind::Bank(..) => format!("bank {name}"),
        ElementKind::Leg(..) => format!("leg {name}{}", leads_to(id)),
        ElementKind::Cord(_) => format!("{name}{}", leads_to(id)),
        _ => name.to_string(),
    }
}

/// What it is made for, and what it carries: `16 A C · 13.7 A of 16 A`.
fn facts(analysis: &Analysis<'_>, id: ElementId) -> String {
    let own = match analysis.graph.kind(id) {
        ElementKind::Supply(supply) => {
            let own = &analysis.model.supplies[supply];
            let system = own.system.known();
            let system = system.map_or_else(|| "?".to_owned(), Quantity::show);
            match own.from.written() {
                Ok(None) => system,
                Ok(Some(from)) => format!("{system} · from {}", short(&from.value)),
                Err(_) => format!("{system} · from ?"),
            }
        }
        ElementKind::Circuit(_) | ElementKind::Bank(..) => {
            let rating = analysis.breaker_rating(id);
            rating.map_or_else(String::new, |rating| rating.value.show())
        }
        ElementKind::Pdu(pdu) => shown_or_unknown(&analysis.model.pdus[pdu].model),
        ElementKind::Cord(cord) => shown_or_unknown(&analysis.model.cords[cord].cord_type),
        ElementKind::Leg(..) => String::new(),
    };
    let parts = [own, poles(analysis, id), carried(analysis, id)];
    let parts = parts.into_iter().filter(|part| !part.is_empty());
    parts.collect::<Vec<_>>().join(" · ")
}

fn shown_or_unknown<T: ToString>(field: &Field<T>) -> String {
    let shown = field.known().map(ToString::to_string);
    shown.map_or_else(|| "?".to_owned(), |name| short(&name).into_owned())
}

fn poles(analysis: &Analysis<'_>, id: ElementId) -> String {
    match analysis.graph.kind(id) {
        ElementKind::Circuit(_) | ElementKind::Bank(..) => {
            let poles = analysis.graph.poles(id).map(|pole| pole.word());
            poles.collect::<Vec<_>>().join("-")
        }
        _ => String::new(),
    }
}

/// `13.7 A of 12.8 A (80 % of breaker, house rule), 0.9 A above it`; of a supply its apparent power and
/// capacity.
fn carried(analysis: &Analysis<'_>, id: ElementId) -> String {
    if let Some(delivery) = analysis.delivery(id) {
        return delivered(&delivery);
    }
    let held = analysis.held(id);
    let standing = held.lines();
    let more = if standing.more_may_flow { "≥ " } else { "" };
    let less = if standing.untold.is_empty() {
        ""
    } else {
        "≤ "
    };
    let Some(worst) = standing.worst else {
        return "? A".to_owned();
    };
    let above_too = match held.is_above() && standing.passed.is_none() {
        true => ", its neutral above its limit",
        false => "",
    };
    match (&standing.limit, standing.margin().words()) {
        (Some(limit), Some(left)) => {
            let words = limit.said_in(analysis.words());
            let (worst, limit) = show_pair(worst.current, limit.current);
            format!("{more}{worst} of {less}{limit} ({words}), {left}{above_too}")
        }
        (None, Some(_)) => format!("{more}{} of ?{above_too}", show_rounded(worst.current)),
        (_, None) => format!("{more}{}{above_too}", show_rounded(worst.current)),
    }
}

fn delivered(delivery: &Delivery) -> String {
    let more = if delivery.more_may_flow { "≥ " } else { "" };
    let line = delivery.line_above.map_or_else(String::new, |pole| {
        format!(", {} above its part of it", pole.word())
    });
    match (delivery.capacity, delivery.margin().words()) {
        (Some(capacity), Some(left)) => {
            let (worst, capacity) = show_pair(delivery.worst, capacity);
            format!("{more}{worst} of {capacity}, {left}{line}")
        }
        _ => format!("{more}{} of ?", show_rounded(delivery.worst)),
    }
}
