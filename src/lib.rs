//! Cordwright: an electrical-safety linter for power cords, couplers and circuits kept as YAML.

pub mod citation;
pub mod command;
pub mod date;
pub mod departure;
pub mod drawing;
pub mod editor;
pub mod failure;
pub mod finding;
pub mod flow;
pub mod graph;
pub mod host;
pub mod input;
pub mod judgement;
pub mod model;
pub mod quantity;
pub mod remedy;
pub mod report;
pub mod rules;
pub mod schedule;
pub mod source;
pub mod spelling;
pub mod survey;
pub mod tables;
pub mod take_in;
pub mod trace;
pub mod yaml;
