//! Rules of *circuits*: circuits, banks and supplies.

pub mod bank_overloaded;
mod capacity;
pub mod circuit_overloaded;
mod contribution;
pub mod failover_overloaded;
mod limit;
pub mod line_overloaded;
mod missing;
pub mod neutral_overloaded;
pub mod outlet_unprotected;
mod overload;
pub mod phase_imbalance;
mod phasor;
mod relief;
pub mod supply_overloaded;
mod way;
