//! `breakers-not-selective`: does the breaker of a bank open alone where somebody counts on it?
//!
//! Two breakers in a row are mostly not selective on a short circuit, and every ordinary strip drops then as a whole.
//! So it is looked at only where it is claimed, or where the code asks for it.

mod claim;
mod pair;
mod words;

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::finding::{Fact, Finding};
use crate::flow::fault::Source;
use crate::graph::{ElementId, ElementKind};
use crate::model::pdus::PduModel;
use crate::model::sources::End;
use crate::model::value::Id;
use crate::quantity::{Current, InUnits};
use crate::rules::illegible::Illegible;
use crate::rules::rule;

use claim::{Claim, is_critical};
use pair::{Pair, Verdict};

rule!(
    "breakers-not-selective",
    Circuits,
    Warning,
    "A bank whose breaker is counted on to open alone, and may not: a short at one cord drops the whole strip."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut illegible = Illegible::default();
    let is_critical = is_critical(analysis, &mut illegible);
    let mut met: BTreeMap<Key, Vec<Case<'_>>> = BTreeMap::new();
    for (id, _) in analysis.graph.elements() {
        let ElementKind::Bank(pdu, bank) = analysis.graph.kind(id) else {
            continue;
        };
        let claim = match Claim::of(analysis, id, is_critical) {
            Ok(None) => continue,
            Ok(Some(claim)) => claim,
            Err(fact) => {
                ask(&mut illegible, analysis, id, &fact);
                continue;
            }
        };
        let Some(model) = analysis.graph.links.pdu_models[pdu.index()] else {
            continue;
        };
        let Some(pair) = Pair::at(analysis, id) else {
            continue;
        };
        // What has no breaker of its own opens nothing, and the code asks nothing of it.
        if claim.by_code && pair.own.breaker.is_absent() {
            continue;
        }
        let fault = largest_fault(analysis, id);
        let verdict = match (
            pair.verdict(&claim, fault),
            analysis.flows.fault_loops.undescribed(id),
        ) {
            // Nothing is counted for what is not described, which may hold the current down.
            (Verdict::Table { .. } | Verdict::NoTable { holds: Some(_) }, Some(at)) => {
                Verdict::NoWay { at }
            }
            (verdict, _) => verdict,
        };
        if !matches!(verdict, Verdict::Selective) {
            let key = Key::of(model, bank, &pair, &verdict);
            let case = Case {
                id,
                claim,
                pair,
                fault,
                verdict,
            };
            met.entry(key).or_default().push(case);
        }
    }
    findings.extend(met.into_values().map(|cases| words::told(analysis, cases)));
    findings.extend(illegible.findings());
}

/// A bank that is not known to be selective.
struct Case<'a> {
    id: ElementId,
    claim: Claim<'a>,
    pair: Pair<'a>,
    /// The largest current that a short circuit behind it draws; `None` where the source does not say.
    fault: Option<Current>,
    verdict: Verdict,
}

/// What makes cases one: the bank of a model behind breakers of one kind, for one reason.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    model: usize,
    bank: u32,
    ahead: Option<(u64, u8)>,
    verdict: u8,
}

impl Key {
    fn of(model: Id<PduModel>, bank: u32, pair: &Pair<'_>, verdict: &Verdict) -> Self {
        let ahead = pair.ahead.breaker.known();
        let ahead = ahead.and_then(|ahead| {
            let milliamperes = (ahead.rating.known()?.in_amperes() * 1000.0).round() as u64;
            let curve = ahead.curve.known().map_or(0, |curve| *curve as u8 + 1);
            Some((milliamperes, curve))
        });
        Self {
            model: model.index(),
            bank,
            ahead,
            verdict: verdict.number(),
        }
    }
}

/// The largest current that a short circuit just behind a bank draws, in whichever state of its supply; `None`
/// where one of them is not known.
fn largest_fault(analysis: &Analysis<'_>, id: ElementId) -> Option<Current> {
    let graph = analysis.graph;
    let strip = graph.element(id).feeder?;
    let way = analysis.flows.fault_loops.cold(strip);
    let supply = &analysis.model.supplies[graph.supply_of(id)?];
    let drawn = supply.states().map(|state| {
        let source = Source::behind(analysis.model, graph, (id, &state), End::Largest)?;
        Some(source.short_circuit(graph.poles(id), way.line).largest())
    });
    let drawn: Option<Vec<Current>> = drawn.collect();
    let drawn = drawn?.into_iter();
    drawn.max_by(|one, other| one.in_amperes().total_cmp(&other.in_amperes()))
}

fn ask(illegible: &mut Illegible, analysis: &Analysis<'_>, id: ElementId, fact: &Fact) {
    let question = || format!("does {} open alone on a fault", analysis.describe(id));
    let told = illegible.ask(&RULE, fact, question);
    if let Some(pdu) = analysis.graph.pdu_of(id) {
        told.suffered_by([analysis.model.pdus[pdu].name.value.clone()]);
    }
}
