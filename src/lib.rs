//! Cordwright: an electrical-safety linter for power cords, couplers and circuits kept as YAML.

pub mod quantity;
pub mod source;
