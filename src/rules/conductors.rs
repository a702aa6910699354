//! Conductors and their protection: what each may carry, what stands ahead of it, and what a fault does.

mod allowance;
mod gaps;
mod naming;
mod remedy;
mod source_lack;

pub(crate) mod breaking_capacity;
pub(crate) mod conductor_below_minimum;
pub(crate) mod conductor_underrated;
pub(crate) mod conductor_unprotected;
pub(crate) mod fault_withstand;
pub(crate) mod size_not_made;
pub(crate) mod slow_disconnection;
pub(crate) mod voltage_drop;
