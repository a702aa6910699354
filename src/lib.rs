//! Cordwright: an electrical-safety linter for power cords, couplers and circuits kept as YAML.
//!
//! Somebody types `cordwright check`. This is what happens, room by room:
//!
//! [`command`] understands the words, and [`host`] alone touches files, clock, terminal and git: it hands
//! over the bytes of a site ([`input`]), within what the [`budget`] allows.
//!
//! [`judgement`] goes the whole way from there. [`yaml`] makes each text ([`source`]) a tree in which every
//! node knows its bytes. [`model`] fills the things of the format from it: every key is given, absent or
//! unreadable, and never a default. [`graph`] turns names into a forest from supply to device. [`flow`]
//! computes what flows in it, as it stands and after every loss. [`analysis`] puts the three together and
//! answers once what many ask: what a thing is made of, what bounds it, how its current stands to that.
//! The [`rules`] ask it, with [`tables`] of ratings beside them, in [`quantity`]s that know their dimension
//! and with a [`citation`] for each number, and say what they found: a [`finding`] is broken, or open.
//!
//! [`policy`] is what the site asks of its judgement; [`agreed`] parts what is told from what was signed
//! for, and [`comparison`] holds one state of a site against another. [`report`] writes what is left, and
//! through [`ink`] only, where a stranger's text is a word and never a command.
//!
//! The other outputs stand on the same rooms: [`trace`], [`schedule`], [`drawing`], the survey [`sheet`],
//! the [`remedy`] that tries corrections on the whole site, [`take_in`], and the [`editor`], which judges
//! while somebody types. [`spelling`], [`date`] and [`failure`] are small and help all.
//!
//! A room never uses one further on; a test holds the order.

pub mod agreed;
pub mod analysis;
pub(crate) mod budget;
pub(crate) mod citation;
pub mod command;
pub(crate) mod comparison;
pub mod date;
pub mod drawing;
pub mod editor;
pub(crate) mod failure;
pub mod finding;
pub mod flow;
pub mod graph;
pub mod host;
pub mod ink;
pub mod input;
pub mod judgement;
pub mod model;
pub mod plan;
pub mod policy;
pub mod quantity;
pub mod remedy;
pub mod report;
pub mod rules;
pub mod schedule;
pub mod sheet;
pub mod source;
pub(crate) mod spelling;
pub mod tables;
pub mod take_in;
pub mod trace;
pub mod yaml;
