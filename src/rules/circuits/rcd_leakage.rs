//! `rcd-leakage`: does the standing leakage come near what trips the residual current device?

use crate::analysis::{Analysis, exceeds};
use crate::citation::{Citation, Cited};
use crate::finding::{Fact, Finding, Measure};
use crate::graph::ElementId;
use crate::model::circuits::Circuit;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Current, InUnits, Quantity, Ratio, show_pair};
use crate::rules::illegible::Illegible;
use crate::rules::{Draft, rule};
use crate::tables::constants;
use crate::tables::words::Words;

use super::earth_currents::{EarthCurrents, Lacking, Sum, bound, bound_line, lacking, working};

rule!(
    "rcd-leakage",
    Circuits,
    Warning,
    "Standing leakage near what trips the residual current (ground-fault) device: all on the circuit goes down for no fault."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let circuits = || analysis.model.circuits.iter();
    if circuits().all(|(_, circuit)| circuit.rcd.is_absent()) {
        return;
    }
    let Some(share) = constants::standing_leakage() else {
        return;
    };
    let sums = EarthCurrents::new(analysis);
    let (mut undecided, mut illegible) = (Vec::new(), Illegible::default());
    for (circuit, item) in circuits() {
        let Some(id) = analysis.graph.circuit(circuit) else {
            continue;
        };
        let sum = sums.of(id);
        let rcd = match item.residual() {
            Ok(Some(rcd)) => rcd,
            Ok(None) => continue,
            Err(_) if sum.most.is_zero() => continue,
            Err(at) => {
                let name = &item.name.value;
                let residual_device = analysis.words().residual_device;
                let question = || {
                    format!(
                        "may leakage trip the {residual_device} of circuit {name} without a fault"
                    )
                };
                illegible.ask(
                    &RULE,
                    &Fact::unreadable(item, item.residual_key(), at),
                    question,
                );
                continue;
            }
        };
        let limit = rcd.value * share.value;
        if exceeds(sum.known, limit) {
            findings.push(too_much(analysis, id, item, rcd, sum, &share));
        } else if exceeds(sum.most, limit) {
            undecided.push(id);
        }
    }
    findings.extend(illegible.findings());
    let open = lacking(analysis, &undecided);
    findings.extend(
        open.iter()
            .map(|lacking| not_known(analysis, lacking, &share.citation)),
    );
}

fn too_much(
    analysis: &Analysis<'_>,
    id: ElementId,
    circuit: &Named<Circuit>,
    rcd: &Spanned<Current>,
    sum: Sum,
    share: &Cited<Ratio>,
) -> Finding {
    let (name, words) = (&circuit.name.value, analysis.words());
    let Words {
        earth,
        residual_device,
        ..
    } = words;
    let limit = rcd.value * share.value;
    let (leakage, limit_shown) = show_pair(sum.known, limit);
    let headline = format!(
        "circuit {name} may trip without a fault: up to {leakage} leak to {earth} all the time, and the standard allows {limit_shown} behind its {} {}",
        rcd.value.show(),
        words.residual_device_of(rcd.value)
    );
    let last = format!(
        "{:.0} % × {} = {limit_shown}",
        share.value.in_percent(),
        rcd.value.show()
    );
    Draft::new(&RULE, headline, rcd.span, format!("rated {}", rcd.value.show()), share.citation.clone())
        .above(analysis.hops_above(id))
        .above([analysis.hop(id)])
        .working(working(analysis, id, sum))
        .working([last])
        .measured(Measure::above(sum.known, limit))
        .about([name.clone()])
        .advice(format!("Spread the devices over more circuits. A {residual_device} of a higher rating may do where the installation allows one; people are then less well protected, so ask a licensed electrician."))
        .finish()
}

fn not_known(analysis: &Analysis<'_>, lacking: &Lacking<'_>, citation: &Citation) -> Finding {
    let Words {
        residual_device,
        standing_current,
        ..
    } = analysis.words();
    let name = &lacking.name.value;
    let headline = format!(
        "may leakage trip the {residual_device} of {} without a fault? Missing: what one inlet of model {name} leaks (data sheet)",
        analysis.describe(lacking.element)
    );
    Draft::new(&RULE, headline, lacking.fact.span, "not decided: `earth-current` is missing", citation.clone())
        .wants([lacking.fact.clone()])
        .also(bound())
        .above([analysis.hop(lacking.element)])
        .working(bound_line(analysis.words()))
        .about([name.clone()])
        .suffered_by(lacking.devices.iter().copied().cloned())
        .advice(format!("Take the {standing_current} of one inlet from the maker's data sheet, and write it like `earth-current: 0.75 mA`."))
        .finish()
}
