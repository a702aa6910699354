//! Rules of *jackets and markets*: what a cord's jacket bears, and what its country asks for.

mod market;
mod open_kinds;
mod replacement;
mod run;

pub mod approval_missing;
pub mod jacket_duty;
pub mod jacket_in_plenum;
pub mod jacket_smoke;
pub mod jacket_too_hot;
pub mod plug_foreign;
pub mod supply_foreign;
