//! What a change made of a site, on the wire.

use serde::Serialize;

use super::super::SiteReport;
use crate::comparison::{Balance, ChangedKey, Comparison, Gone, Ledger, Tally, Watts};
use crate::finding::{Measure, Side, Verdict};
use crate::model::signed::Signed;

#[derive(Serialize)]
pub(super) struct WireComparison<'a> {
    revision: &'a str,
    tally: Tally,
    gone: Vec<WireGone<'a>>,
    balance: WireBalance<'a>,
    changed_keys: Vec<WireKey<'a>>,
    relaxations: usize,
    relaxations_hold: bool,
}

#[derive(Serialize)]
struct WireGone<'a> {
    rule: &'a str,
    level: &'a str,
    verdict: &'a str,
    headline: &'a str,
    file: &'a str,
    names: Vec<&'a str>,
    fingerprints: &'a [String],
}

#[derive(Serialize)]
struct WireBalance<'a> {
    things: Vec<WireLedger<'a>>,
    watts_before: WireWatts,
    watts_now: WireWatts,
    watts_gone: WireWatts,
    watts_come: WireWatts,
}

#[derive(Serialize)]
struct WireLedger<'a> {
    kind: &'a str,
    before: usize,
    now: usize,
    gone: Vec<&'a str>,
    come: Vec<&'a str>,
}

#[derive(Serialize)]
struct WireWatts {
    known: f64,
    devices_unknown: usize,
}

#[derive(Serialize)]
struct WireKey<'a> {
    key: &'a str,
    before: Option<&'a str>,
    now: Option<&'a str>,
}

/// A number and the limit that it lies beyond.
#[derive(Serialize)]
pub(super) struct WireMeasure {
    value: f64,
    limit: f64,
    unit: &'static str,
    worse: &'static str,
}

/// The number at which something was agreed.
#[derive(Serialize)]
pub(super) struct WireSigned {
    value: f64,
    limit: f64,
    unit: &'static str,
}

impl From<&Measure> for WireMeasure {
    fn from(measure: &Measure) -> Self {
        Self {
            value: finite(measure.value.number()),
            limit: finite(measure.limit.number()),
            unit: measure.value.unit(),
            worse: match measure.worse {
                Side::Above => "above",
                Side::Below => "below",
            },
        }
    }
}

impl From<Signed> for WireSigned {
    fn from(signed: Signed) -> Self {
        Self {
            value: finite(signed.value.number()),
            limit: finite(signed.limit.number()),
            unit: signed.value.unit(),
        }
    }
}

/// JSON has no endless numbers; the largest that it has is as far beyond every limit.
fn finite(number: f64) -> f64 {
    match number.is_nan() {
        true => f64::MAX,
        false => number.clamp(f64::MIN, f64::MAX),
    }
}

impl<'a> WireComparison<'a> {
    pub(super) fn of(site: &SiteReport<'a>, comparison: &'a Comparison) -> Self {
        Self {
            revision: &comparison.revision,
            tally: Tally::of(site.findings),
            gone: comparison.gone.iter().map(gone).collect(),
            balance: balance(&comparison.balance),
            changed_keys: comparison.changed_keys.iter().map(key).collect(),
            relaxations: comparison.relaxations,
            relaxations_hold: comparison.relaxations_hold,
        }
    }
}

fn gone(gone: &Gone) -> WireGone<'_> {
    WireGone {
        rule: gone.rule,
        level: gone.level.word(),
        verdict: match gone.verdict {
            Verdict::Broken => "broken",
            Verdict::Open => "open",
        },
        headline: &gone.headline,
        file: &gone.path,
        names: gone.names.iter().map(|name| name.as_str()).collect(),
        fingerprints: &gone.fingerprints,
    }
}

fn balance(balance: &Balance) -> WireBalance<'_> {
    WireBalance {
        things: balance.ledgers.iter().map(ledger).collect(),
        watts_before: watts(&balance.watts_before),
        watts_now: watts(&balance.watts_now),
        watts_gone: watts(&balance.watts_gone),
        watts_come: watts(&balance.watts_come),
    }
}

fn ledger(ledger: &Ledger) -> WireLedger<'_> {
    WireLedger {
        kind: ledger.one,
        before: ledger.before,
        now: ledger.now,
        gone: ledger.gone.iter().map(|name| name.as_str()).collect(),
        come: ledger.come.iter().map(|name| name.as_str()).collect(),
    }
}

fn watts(watts: &Watts) -> WireWatts {
    WireWatts {
        known: finite(watts.known),
        devices_unknown: watts.unknown,
    }
}

fn key(key: &ChangedKey) -> WireKey<'_> {
    WireKey {
        key: &key.key,
        before: key.before.as_deref(),
        now: key.now.as_deref(),
    }
}
