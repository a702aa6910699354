//! `breaking-capacity`: can every breaker break the largest fault current at its place?

mod words;

use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::flow::fault::{Source, Ways};
use crate::flow::protection::{Device, breaker_field};
use crate::graph::{ElementId, ElementKind};
use crate::quantity::Current;
use crate::rules::rule;
use crate::survey::{Survey, exceeds};
use crate::tables::Practice;

use super::gaps::Gaps;

use words::{miss_capacity, miss_source, too_weak};

rule!(
    "breaking-capacity",
    Conductors,
    Error,
    "A breaker that cannot break the fault current at its place: it may burst and burn whoever stands before it."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let ways = &survey.flows.ways;
    let mut gaps = Gaps::of(&RULE);
    for (id, element) in survey.graph.elements() {
        let Some(breaker) = breaker_field(survey.model, survey.graph, id).and_then(|b| b.known())
        else {
            continue;
        };
        let Some(fault) = largest_fault(survey, ways, id, element.feeder) else {
            miss_source(survey, id, &mut gaps);
            continue;
        };
        let device = Device { at: id, breaker };
        match breaker.breaking_capacity.known() {
            Some(capacity) if exceeds(fault, *capacity) => {
                findings.push(too_weak(survey, ways, &device, *capacity, fault));
            }
            Some(_) => {}
            None => miss_capacity(survey, &device, fault, &mut gaps),
        }
    }
    findings.extend(gaps.findings());
}

fn basis(survey: &Survey<'_>) -> Citation {
    match survey.practice() {
        Some(Practice::Nec) => {
            Citation::new("NFPA 70 (NEC)", "110.9", "2023", Confidence::FromMemory)
        }
        _ => Citation::new("IEC 60364-4-43", "434.5.1", "2008", Confidence::OneCopy),
    }
}

/// The largest fault current just behind a device: of a circuit the supply's own, of a bank that of its
/// two poles at the PDU.
fn largest_fault(
    survey: &Survey<'_>,
    ways: &Ways,
    id: ElementId,
    feeder: Option<ElementId>,
) -> Option<Current> {
    let supply = &survey.model.supplies[survey.graph.supply_of(id)?];
    if matches!(survey.graph.kind(id), ElementKind::Circuit(_)) {
        return supply.fault_current.known().copied();
    }
    let source = Source::of(supply)?;
    let way = ways.cold(feeder?);
    let fault = source.short_circuit(survey.graph.poles(id), way.line);
    Some(fault.largest())
}
