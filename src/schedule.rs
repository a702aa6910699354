//! Schedules: what stands in the definitions, and what flows, as tables to order, lay, label and check
//! by: what `cordwright schedule` shows.
//!
//! Nothing is judged here. What the definitions do not give is `?`, never a blank and never zero.

mod cords;
mod csv;
mod figure;
mod goods_in;
mod html;
mod labels;
mod loads;
mod markdown;
mod order;
mod spare;
mod specification;
mod table;
mod text;

use crate::analysis::Analysis;
use crate::ink::short;

pub use self::csv::csv;
pub use cords::far_ends;
pub use html::html;
pub use markdown::markdown;
pub use order::Held;
pub use table::{Column, Holds, Row, Schedule};
pub(crate) use table::{names, numbers, words};
pub use text::text;
pub(crate) use text::write;

/// What a schedule is of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Every cord with its two ends: the cable schedule.
    Cords,
    /// What to buy, by type and length, with so many spares in a hundred; by what the site says, or a tenth, where
    /// nobody asks for any.
    Order(Option<u32>),
    /// The specification sheet of each make of cord, as one sends it to a maker.
    Specification(Option<u32>),
    /// What to look at when cords arrive.
    GoodsIn,
    /// The labels of both ends of every cord.
    Labels,
    /// Currents by supply, circuit, PDU, bank and pole.
    Loads,
    /// Free outlets, and what everything can still take: of some racks alone where they are named.
    Spare(Vec<String>),
}

/// The schedule of a site.
pub fn schedule(analysis: &Analysis<'_>, kind: Kind) -> Schedule {
    schedule_held(analysis, kind, &Held::default())
}

/// The same; rows of an order say what stands against them.
pub fn schedule_held(analysis: &Analysis<'_>, kind: Kind, held: &Held) -> Schedule {
    let (what, mut schedule) = match kind {
        Kind::Cords => ("Cord schedule", cords::cords(analysis)),
        Kind::Order(spares) => ("Order list", order::order(analysis, spares, held)),
        Kind::Specification(spares) => (
            "Cord specification",
            specification::specification(analysis, spares, held),
        ),
        Kind::GoodsIn => ("Goods-in sheet", goods_in::goods_in(analysis)),
        Kind::Labels => ("Label schedule", labels::labels(analysis)),
        Kind::Loads => ("Load schedule", loads::loads(analysis)),
        Kind::Spare(racks) => ("Room", spare::spare(analysis, &racks)),
    };
    schedule.title = match analysis.model.site.name.known() {
        Some(site) => format!("{what} of {}", short(site)),
        None => what.to_owned(),
    };
    if analysis.model.is_incomplete {
        let gap = "A part of the definitions could not be read: what stands there is missing here.";
        schedule.notes.insert(0, gap.to_owned());
    }
    schedule
}
