//! Tests from outside: the built command and the published library.
#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "tests make the files and environment that they need"
)]

mod commands;
mod flow_properties;
mod inputs;
mod example_repo;
mod pages;
mod redundancy;
mod reference;
mod site;
mod trace;
mod world;

#[path = "../generator/dice.rs"]
mod dice;
#[path = "../generator/small.rs"]
mod small;
