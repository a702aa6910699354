//! Mistakes with colours, feeds and labels.

use super::bench::Bench;
use super::{Mutator, Planted, key, value};

pub const ALL: &[Mutator] = &[
    Mutator {
        rule: "feed-colour",
        what: "the other feed's colour",
        also: &[],
        plant: colour,
    },
    Mutator {
        rule: "wrong-feed",
        what: "an inlet declared for the other feed",
        also: &[],
        plant: feed,
    },
    Mutator {
        rule: "label-pattern",
        what: "a label of another pattern",
        also: &[],
        plant: label,
    },
];

fn other(feed: &str) -> &'static str {
    if feed == "A" { "B" } else { "A" }
}

fn colour(bench: &mut Bench) -> Option<Planted> {
    let cord = bench.cord(|_, _| true)?;
    let feed = bench.feed(&bench.circuit(&cord));
    let colour = bench
        .site
        .at(&["site", "feeds", other(&feed), "colour"])?
        .clone();
    let kind = bench.own_kind(&cord);
    bench.set(&["cord-types", &kind, "colour"], colour);
    Some(value(&["cords", &cord.label, "type"]).warning())
}

fn feed(bench: &mut Bench) -> Option<Planted> {
    let cord =
        bench.cord(|bench, cord| cord.is_plain() && bench.cords_of(cord.device()).len() == 1)?;
    let feed = bench.feed(&bench.circuit(&cord));
    if bench.dice.below(2) == 0 {
        bench.set(
            &["devices", cord.device(), "inlets", cord.inlet(), "feed"],
            other(&feed),
        );
    } else {
        let model = bench.own_model(cord.device());
        let inlet = super::couplers::coupler(bench, &model, cord.inlet());
        bench.set(
            &["device-models", &model, "inlets", cord.inlet()],
            inlet.with("feed", other(&feed)),
        );
    }
    Some(value(&["cords", &cord.label, "from"]).error())
}

fn label(bench: &mut Bench) -> Option<Planted> {
    if !bench.has(&["site", "label"]) {
        return None;
    }
    let cord = bench.cord(|_, _| true)?;
    let pairs = bench.site.at_mut(&["cords"])?.pairs_mut();
    let (label, _) = pairs.iter_mut().find(|(label, _)| *label == cord.label)?;
    "W-12".clone_into(label);
    Some(key(&["cords", "W-12"]).warning())
}
