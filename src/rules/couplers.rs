//! Rules of *couplers*: plugs, outlets, connectors and inlets.

mod catalogue;
mod halves;
mod stress;
mod unknown_load;

pub mod coupler_in_hot_air;
pub mod coupler_in_the_wet;
pub mod coupler_mismatch;
pub mod coupler_overloaded;
pub mod coupler_temperature;
pub mod earth_interrupted;
pub mod nameplate_above_inlets;
pub mod neutral_missing;
pub mod plug_below_connector;
pub mod plug_fuse;
pub mod polarity_unassured;
pub mod rating_foreign;
pub mod voltage_out_of_range;
