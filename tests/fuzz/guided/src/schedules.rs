//! Runs the target `schedules`.
#![no_main]

#[path = "../../targets.rs"]
mod targets;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| targets::run("schedules", bytes));
