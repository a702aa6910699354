//! Rules of *circuits*: circuits, banks and supplies.

mod capacity;
mod contribution;
mod earth_currents;
mod missing;
mod moved;
mod national;
mod overload;
mod redundancy;
mod way;

pub(crate) mod bank_overloaded;
pub(crate) mod breaker_in_hot_air;
pub(crate) mod breakers_not_selective;
pub(crate) mod circuit_overloaded;
pub(crate) mod earth_leakage;
pub(crate) mod failover_overloaded;
pub(crate) mod feed_shared;
pub(crate) mod input_chain_mismatch;
pub(crate) mod inrush;
pub(crate) mod line_overloaded;
pub(crate) mod neutral_overloaded;
pub(crate) mod outlet_unprotected;
pub(crate) mod pdu_in_series;
pub(crate) mod pdu_too_hot;
pub(crate) mod phase_imbalance;
pub(crate) mod rcd_leakage;
pub(crate) mod rcd_type_unfit;
pub(crate) mod receptacle_shared;
pub(crate) mod single_corded;
pub(crate) mod socket_without_rcd;
pub(crate) mod supplies_insufficient;
pub(crate) mod supply_overloaded;
pub(crate) mod transfer_too_slow;
