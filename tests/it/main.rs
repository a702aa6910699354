//! Tests from outside: the built command and the published library.
#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "tests make the files and environment that they need"
)]

mod action;
mod assumed;
mod astray;
mod bad_input;
mod bounds;
mod breakers;
mod budgets;
mod catalogue;
mod change;
mod circuits;
mod commands;
mod compare;
mod conductors;
mod countries;
mod coupler_names;
mod couplers;
mod decks;
mod drawings;
mod dual_marks;
mod editing;
mod editions;
mod electrodes;
mod example_repo;
mod facts;
mod faults;
mod fits;
mod flow_properties;
mod formats;
mod found;
mod fuzz;
mod house_rules;
mod ignored;
mod inherited;
mod inputs;
mod instantaneous;
mod jacket_colours;
mod jackets;
mod keys;
mod landlord;
mod language_server;
mod larger_conductors;
mod legs;
mod levels;
mod lines;
mod makes;
mod marks;
mod measures;
mod missing;
mod modes;
mod notes;
mod one_limit;
mod one_supply;
mod orders;
mod own_parts;
mod pages;
mod places;
mod plans_measured;
mod power_through;
mod published;
mod reading;
mod receptacles;
mod records;
mod redundancy;
mod reference;
mod relief;
mod remedy;
mod repository;
mod residual_devices;
mod retention;
mod retyped;
mod revisions;
mod rings;
mod room_slips;
mod rooms;
mod routing;
mod schedules;
mod schema;
mod shared;
mod silences;
mod site;
mod slips;
mod snags;
mod sockets;
mod sources_ahead;
mod spare;
mod special_supplies;
mod specify;
mod splitters;
mod stages;
mod start;
mod strangers;
#[cfg(unix)]
mod strangers_tree;
mod strip_fuses;
mod sufferers;
#[cfg(unix)]
mod survey;
mod take_in;
mod three_lines;
mod trace;
mod trade_words;
mod transfers;
mod walk;
mod worked_examples;
mod world;
mod writing;

#[path = "../generator/dice.rs"]
mod dice;
#[path = "../fuzz/targets.rs"]
mod fuzz_targets;
#[path = "../generator/mistakes.rs"]
mod mistakes;
#[expect(dead_code, reason = "the benches count cords too")]
#[path = "../generator/racks.rs"]
mod racks;
#[expect(dead_code, reason = "the bench runs their commands")]
#[path = "../shapes/shapes.rs"]
mod shapes;
#[path = "../generator/small.rs"]
mod small;
#[path = "../generator/sound.rs"]
mod sound;
