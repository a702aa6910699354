//! Tests from outside: the built command and the published library.
#![expect(
    clippy::disallowed_methods,
    reason = "tests make the files and environment that they need"
)]

mod commands;
mod example_repo;
mod pages;
mod reference;
mod site;
mod world;
