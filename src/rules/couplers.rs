//! Rules of *couplers*: plugs, outlets, connectors and inlets.

mod catalogue;
mod halves;
mod stress;
mod unknown_load;

pub(crate) mod coupler_in_hot_air;
pub(crate) mod coupler_in_the_wet;
pub(crate) mod coupler_mismatch;
pub(crate) mod coupler_overloaded;
pub(crate) mod coupler_temperature;
pub(crate) mod earth_interrupted;
pub(crate) mod nameplate_above_inlets;
pub(crate) mod neutral_missing;
pub(crate) mod plug_below_connector;
pub(crate) mod plug_fuse;
pub(crate) mod polarity_unassured;
pub(crate) mod rating_foreign;
pub(crate) mod voltage_out_of_range;
