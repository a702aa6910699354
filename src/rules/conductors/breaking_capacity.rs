//! `breaking-capacity`: can every breaker break the largest fault current at its place?

mod words;

use crate::analysis::{Analysis, exceeds};
use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::flow::fault::{FaultLoops, Source};
use crate::flow::protection::{Device, breaker_field};
use crate::graph::{ElementId, ElementKind};
use crate::quantity::Current;
use crate::rules::rule;
use crate::tables::Practice;

use super::gaps::Gaps;
use super::source_lack::landlords_at;

use words::{miss_capacity, miss_source, miss_way, too_weak};

rule!(
    "breaking-capacity",
    Conductors,
    Error,
    "A breaker that cannot break the fault current at its place: it may burst and burn whoever stands before it."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let fault_loops = &analysis.flows.fault_loops;
    let mut gaps = Gaps::of(&RULE);
    for (id, element) in analysis.graph.elements() {
        let Some(breaker) =
            breaker_field(analysis.model, analysis.graph, id).and_then(|b| b.known())
        else {
            continue;
        };
        let fault = largest_fault(analysis, fault_loops, id, element.feeder);
        let device = Device { at: id, breaker };
        let capacity = breaker.breaking_capacity.known().copied();
        if let Some((behind, capacity)) = fault_behind(analysis, id).zip(capacity)
            && fault.is_none_or(|fault| fault < behind)
            && exceeds(behind, capacity)
        {
            findings.push(too_weak(analysis, fault_loops, &device, capacity, behind));
            continue;
        }
        let Some(fault) = fault else {
            miss_source(analysis, id, &mut gaps);
            continue;
        };
        match capacity {
            Some(capacity) if exceeds(fault, capacity) => {
                // Nothing is counted for what is not described, which may hold the current down.
                if let Some(at) = undescribed(analysis, fault_loops, id) {
                    miss_way(analysis, &device, at, (fault, capacity), &mut gaps);
                    continue;
                }
                findings.push(too_weak(analysis, fault_loops, &device, capacity, fault));
            }
            Some(_) => {}
            None => miss_capacity(analysis, &device, fault, &mut gaps),
        }
    }
    findings.extend(gaps.findings());
}

fn basis(analysis: &Analysis<'_>) -> Citation {
    match analysis.practice() {
        Some(Practice::Nec) => {
            Citation::new("NFPA 70 (NEC)", "110.9", "2023", Confidence::FromMemory)
        }
        _ => Citation::new("IEC 60364-4-43", "434.5.1", "2008", Confidence::OneCopy),
    }
}

/// What lies ahead of a bank and is not described well enough.
fn undescribed(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    id: ElementId,
) -> Option<ElementId> {
    match analysis.graph.kind(id) {
        ElementKind::Bank(..) => fault_loops.undescribed(id),
        _ => None,
    }
}

/// What a short circuit draws at the landlord's receptacle of a circuit: no less flows at the breaker ahead.
fn fault_behind(analysis: &Analysis<'_>, id: ElementId) -> Option<Current> {
    let (_, figures) = landlords_at(analysis, id)?;
    figures.fault_current.known().copied()
}

/// The largest fault current just behind a device: of a circuit the supply's own, of a bank that of its
/// two poles at the PDU.
fn largest_fault(
    analysis: &Analysis<'_>,
    fault_loops: &FaultLoops,
    id: ElementId,
    feeder: Option<ElementId>,
) -> Option<Current> {
    if matches!(analysis.graph.kind(id), ElementKind::Circuit(_)) {
        let supply = &analysis.model.supplies[analysis.graph.supply_of(id)?];
        return supply.fault_current.known().copied();
    }
    let source = Source::behind(analysis.model, analysis.graph, id)?;
    let way = fault_loops.cold(feeder?);
    let fault = source.short_circuit(analysis.graph.poles(id), way.line);
    Some(fault.largest())
}
