//! Rules of *couplers*: plugs, outlets, connectors and inlets.

pub mod coupler_mismatch;
