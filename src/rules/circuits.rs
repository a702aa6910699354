//! Rules of *circuits*: circuits, banks and supplies.

mod capacity;
mod contribution;
mod earth_currents;
mod missing;
mod moved;
mod overload;
mod redundancy;
mod way;

pub mod bank_overloaded;
pub mod circuit_overloaded;
pub mod earth_leakage;
pub mod failover_overloaded;
pub mod feed_shared;
pub mod input_chain_mismatch;
pub mod inrush;
pub mod line_overloaded;
pub mod neutral_overloaded;
pub mod outlet_unprotected;
pub mod pdu_in_series;
pub mod pdu_too_hot;
pub mod phase_imbalance;
pub mod rcd_leakage;
pub mod receptacle_shared;
pub mod single_corded;
pub mod supplies_insufficient;
pub mod supply_overloaded;
