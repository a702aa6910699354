//! Rules of *circuits*: circuits, banks and supplies.

pub mod bank_overloaded;
mod capacity;
pub mod circuit_overloaded;
mod contribution;
mod earth_currents;
pub mod failover_overloaded;
mod limit;
pub mod line_overloaded;
mod missing;
pub mod neutral_overloaded;
pub mod outlet_unprotected;
mod overload;
pub mod phase_imbalance;
mod phasor;
mod redundancy;
mod relief;
pub mod supply_overloaded;
mod way;

pub mod earth_leakage;
pub mod feed_shared;
pub mod input_chain_mismatch;
pub mod inrush;
pub mod pdu_in_series;
pub mod rcd_leakage;
pub mod single_corded;
pub mod supplies_insufficient;
