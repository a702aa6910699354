//! `breaking-capacity`: can every breaker break the largest fault current at its place?

mod missing;
mod words;
mod worst;

use crate::analysis::{Analysis, exceeds};
use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::flow::fault::FaultLoops;
use crate::flow::protection::{Device, breaker_field};
use crate::graph::{ElementId, ElementKind};
use crate::quantity::Current;
use crate::rules::rule;
use crate::tables::Practice;

use super::gaps::Gaps;
use super::source_lack::landlords_at;

use missing::{miss_capacity, miss_earth, miss_origin, miss_source, miss_way};
use words::{Case, too_weak};
use worst::{Doubt, Worst};

rule!(
    "breaking-capacity",
    Conductors,
    Error,
    "A breaker that cannot break the fault current at its place: it may burst and burn whoever stands before it."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let mut gaps = Gaps::of(&RULE);
    for (id, _) in analysis.graph.elements() {
        let breaker = breaker_field(analysis.model, analysis.graph, id);
        if let Some(breaker) = breaker.and_then(|breaker| breaker.known()) {
            findings.extend(judge(analysis, &Device { at: id, breaker }, &mut gaps));
        }
    }
    findings.extend(gaps.findings());
}

fn judge(analysis: &Analysis<'_>, device: &Device<'_>, gaps: &mut Gaps) -> Option<Finding> {
    let fault_loops = &analysis.flows.fault_loops;
    let id = device.at;
    let worst = Worst::at(analysis, fault_loops, id);
    let fault = worst.flow.map(|flow| flow.current);
    let capacity = device.breaker.breaking_capacity.known().copied();
    let weak = |fault, flow| {
        let case = Case {
            fault,
            flow,
            capacity: capacity?,
        };
        Some(too_weak(analysis, device, &case))
    };
    if let Some((behind, capacity)) = fault_behind(analysis, id).zip(capacity)
        && fault.is_none_or(|fault| fault < behind)
        && exceeds(behind, capacity)
    {
        return weak(behind, None);
    }
    if let Some((fault, capacity)) = fault.zip(capacity)
        && exceeds(fault, capacity)
    {
        // Nothing is counted for what is not described, which may hold the current down.
        if let Some(at) = undescribed(analysis, fault_loops, id) {
            miss_way(analysis, device, at, (fault, capacity), gaps);
            return None;
        }
        return weak(fault, worst.flow);
    }
    if worst.is_unknown {
        miss_source(analysis, id, gaps);
    }
    let Some(capacity) = capacity else {
        if let Some(fault) = fault {
            miss_capacity(analysis, device, fault, gaps);
        }
        return None;
    };
    let doubts = worst.doubts.iter();
    for doubt in doubts.filter(|doubt| exceeds(doubt.most(), capacity)) {
        if let Some(at) = undescribed(analysis, fault_loops, id) {
            miss_way(analysis, device, at, (doubt.most(), capacity), gaps);
            continue;
        }
        match doubt {
            Doubt::Factor(flow) => return weak(flow.most(), Some(*flow)),
            Doubt::Origin(flow) => miss_origin(analysis, device, flow, gaps),
            Doubt::Earth(flow) => miss_earth(analysis, device, flow, gaps),
        }
    }
    None
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
