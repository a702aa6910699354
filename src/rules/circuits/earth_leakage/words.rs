//! What is said of too much earth current on a circuit or through a plug.

use crate::analysis::{Analysis, field_or_name};
use crate::citation::Cited;
use crate::finding::{Finding, Measure};
use crate::graph::ElementId;
use crate::model::circuits::Circuit;
use crate::model::value::Named;
use crate::quantity::{Current, Quantity, show_pair};
use crate::rules::Draft;
use crate::rules::circuits::earth_currents::{Lacking, Sum, bound, bound_line, working};

use crate::tables::words::Words;

use super::RULE;

pub(super) fn circuit_above(
    analysis: &Analysis<'_>,
    id: ElementId,
    circuit: &Named<Circuit>,
    sum: Sum,
    limit: &Cited<Current>,
) -> Finding {
    let Words { earth, .. } = analysis.words();
    let name = &circuit.name.value;
    let (shown, most) = show_pair(sum.known, limit.value);
    let headline = format!(
        "up to {shown} leak to {earth} on circuit {name}: if its {earth} conductor breaks, touching a device there gives a shock. Above {most} the standard wants a reinforced {earth}"
    );
    let at = field_or_name(&circuit.high_integrity_earth, &circuit.name);
    let note = match circuit.high_integrity_earth.is_absent() {
        true => format!("nothing says that its {earth} is reinforced"),
        false => format!("its {earth} is not reinforced"),
    };
    Draft::new(&RULE, headline, at, note, limit.citation.clone())
        .above(analysis.hops_above(id))
        .working(working(analysis, id, sum))
        .measured(Measure::above(sum.known, limit.value))
        .about([name.clone()])
        .kind("circuit")
        .advice(format!("Spread the devices over more circuits; or have the {earth} reinforced (two separate {earth} conductors, or one of 10 mm² or more), then write `high-integrity-earth: yes`."))
        .finish()
}

pub(super) fn not_known(
    analysis: &Analysis<'_>,
    lacking: &Lacking<'_>,
    limit: &Cited<Current>,
) -> Finding {
    let Words {
        earth,
        standing_current,
        ..
    } = analysis.words();
    let name = &lacking.name.value;
    let element = lacking.element;
    let headline = format!(
        "does more than {} leak to {earth} on {}? Missing: what one inlet of model {name} leaks (data sheet)",
        limit.value.show(),
        analysis.describe(element)
    );
    Draft::new(&RULE, headline, lacking.fact.span, "not decided: `earth-current` is missing", limit.citation.clone())
        .wants([lacking.fact.clone()])
        .also(bound())
        .above([analysis.hop(element)])
        .working(bound_line(analysis.words()))
        .about([name.clone()])
        .suffered_by(lacking.devices.iter().copied().cloned())
        .advice(format!("Take the {standing_current} of one inlet from the maker's data sheet, and write it like `earth-current: 0.75 mA`."))
        .finish()
}
