//! `outlet-unprotected`: is an outlet rated below the overcurrent device ahead of it?
//!
//! The device ahead is the bank's own breaker or, where the bank has none, the circuit's.

mod passed_on;
mod verdict;
mod words;

use rustc_hash::FxHashMap;

use crate::analysis::Analysis;
use crate::finding::{Fact, Finding};
use crate::graph::{ElementId, ElementKind};
use crate::model::pdus::{Bank, PduModel};
use crate::model::value::{Id, Spanned};
use crate::quantity::Current;
use crate::rules::rule;
use crate::tables::Practice;

use passed_on::PassedOn;
use verdict::{Verdict, judge};
use words::{Bare, finding, no_breaker_on_record, open, unread};

rule!(
    "outlet-unprotected",
    Circuits,
    Error,
    "An outlet rated below the breaker ahead of it: it can burn long before that breaker trips."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let Some(practice) = analysis.practice() else {
        return;
    };
    let mut looked = FxHashMap::default();
    for (id, element) in analysis.graph.elements() {
        if let ElementKind::Pdu(_) = element.kind {
            findings.extend(strip(analysis, practice, id, &mut looked));
        }
    }
    let mut passed_on = PassedOn::default();
    for (device, _) in analysis.model.devices.iter() {
        passed_on.look_at(analysis, practice, device);
    }
    findings.extend(passed_on.findings());
}

/// A bank of a model behind a device of so many amperes: many strips are alike.
type Alike = (Id<PduModel>, usize, u64);

/// The outlets of a bank that were found first: one that the device ahead does not protect, and one of which
/// that is not settled.
#[derive(Clone, Copy, Default)]
struct Looked {
    bare: Option<usize>,
    undecided: Option<usize>,
}

impl Looked {
    fn at(
        analysis: &Analysis<'_>,
        practice: Practice,
        bank: &Bank,
        ahead: &Spanned<Current>,
    ) -> Self {
        let mut looked = Self::default();
        for (at, outlet) in bank.outlets.as_written().enumerate() {
            match judge(analysis, practice, outlet, ahead) {
                Verdict::Protected => {}
                Verdict::Bare { .. } => {
                    looked.bare.get_or_insert(at);
                }
                Verdict::Unknown(_) | Verdict::Unsettled { .. } => {
                    looked.undecided.get_or_insert(at);
                }
            }
        }
        looked
    }
}

/// The first outlet of a strip that its breaker does not protect; one finding for each strip.
fn strip(
    analysis: &Analysis<'_>,
    practice: Practice,
    id: ElementId,
    looked: &mut FxHashMap<Alike, Looked>,
) -> Option<Finding> {
    let ElementKind::Pdu(pdu) = analysis.graph.kind(id) else {
        return None;
    };
    let model = analysis.graph.links.pdu_models[pdu.index()]?;
    let (mut undecided, mut blind, mut unsaid) = (None, None, None);
    let banks = analysis.model.pdu_models[model].banks.items();
    for (at, bank) in banks.iter().enumerate() {
        let Some(ahead) = ahead(analysis, id, bank) else {
            blind = blind.or_else(|| illegible(analysis, id, at));
            continue;
        };
        let alike = (model, at, ahead.value.value.to_bits());
        let looked = looked.entry(alike);
        let looked = *looked.or_insert_with(|| Looked::at(analysis, practice, bank, ahead));
        let outlet = |at: usize| bank.outlets.as_written().nth(at);
        undecided = undecided.or(looked.undecided.and_then(outlet).map(|it| (it, ahead)));
        let Some(outlet) = looked.bare.and_then(outlet) else {
            continue;
        };
        if let Some(fact) = analysis.bank_breaker_fact(pdu, bank, ahead.value) {
            unsaid.get_or_insert((bank, fact));
            continue;
        }
        let bare = Bare {
            id,
            bank,
            outlet,
            ahead,
        };
        return finding(analysis, &bare, judge(analysis, practice, outlet, ahead));
    }
    if let Some((bank, fact)) = unsaid {
        return Some(no_breaker_on_record(analysis, id, bank, fact));
    }
    let Some((outlet, ahead)) = undecided else {
        return blind.map(|fact| unread(analysis, id, fact));
    };
    open(
        analysis,
        id,
        outlet,
        ahead,
        judge(analysis, practice, outlet, ahead),
    )
}

/// Where it cannot be read what stands ahead of a bank's outlets. That a breaker has no rating at all
/// is said by the records.
fn illegible(analysis: &Analysis<'_>, id: ElementId, bank: usize) -> Option<Fact> {
    let is_own = |at: &ElementId| matches!(analysis.graph.kind(*at), ElementKind::Bank(_, own) if own as usize == bank);
    let own = analysis.graph.children(id).find(is_own);
    let mut ahead = own.into_iter().chain(analysis.graph.upwards(id));
    ahead.find_map(|hop| analysis.unread_rating(hop))
}

/// The overcurrent device ahead of a bank's outlets.
fn ahead<'a>(
    analysis: &Analysis<'a>,
    pdu: ElementId,
    bank: &'a Bank,
) -> Option<&'a Spanned<Current>> {
    match bank.breaker.known() {
        Some(breaker) => breaker.rating.given(),
        None if !bank.breaker.is_absent() => None,
        // A strip that is fed from another strip stands behind that strip's bank.
        None => analysis
            .graph
            .upwards(pdu)
            .find_map(|hop| analysis.breaker_rating(hop).or(analysis.plug_fuse(hop))),
    }
}
