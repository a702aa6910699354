//! Conductors and their protection: what each may carry, what stands ahead of it, and what a fault does.

mod gaps;
mod naming;
mod remedy;
mod section;

pub mod breaking_capacity;
pub mod conductor_below_minimum;
pub mod conductor_underrated;
pub mod conductor_unprotected;
pub mod fault_withstand;
pub mod slow_disconnection;
pub mod voltage_drop;
