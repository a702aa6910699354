//! Drawings: the single-line diagram of a site and the elevations of its racks, findings marked: what
//! `cordwright drawing` shows.
//!
//! A drawing is laid out as a [`Sheet`] of plain shapes first; only `svg.rs` knows how they are written.

mod html;
mod marks;
mod racks;
mod sheet;
mod single_line;
mod svg;

pub use html::html;
pub use marks::Marks;
pub use racks::racks;
pub use sheet::{Anchor, Mark, Shape, Sheet};
pub use single_line::single_line;
pub use svg::svg;
