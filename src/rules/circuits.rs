//! Rules of *circuits*: circuits, banks and supplies.

mod earth_currents;
mod redundancy;

pub mod earth_leakage;
pub mod feed_shared;
pub mod input_chain_mismatch;
pub mod inrush;
pub mod pdu_in_series;
pub mod rcd_leakage;
pub mod single_corded;
pub mod supplies_insufficient;
