//! Rules of *jackets and markets*: what a cord's jacket bears, and what its country asks for.

mod market;
mod open_kinds;
mod replacement;
mod run;

pub(crate) mod approval_missing;
pub(crate) mod jacket_duty;
pub(crate) mod jacket_in_plenum;
pub(crate) mod jacket_smoke;
pub(crate) mod jacket_too_hot;
pub(crate) mod plug_foreign;
pub(crate) mod supply_foreign;
