//! Cordwright: an electrical-safety linter for power cords, couplers and circuits kept as YAML.

pub mod citation;
pub mod date;
pub mod failure;
pub mod finding;
pub mod host;
pub mod input;
pub mod quantity;
pub mod report;
pub mod source;
pub mod tables;
pub mod yaml;
