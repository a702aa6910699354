//! What is lost along a stretch, and whether that is more than its limit.

use crate::analysis::Analysis;
use crate::flow::low_end::LowEnd;
use crate::flow::protection::{drop_there_and_back, share};
use crate::flow::{LowestShare, impedance};
use crate::graph::{ElementId, ElementKind, Loss};
use crate::model::value::Spanned;
use crate::quantity::{InUnits, Quantity, Ratio, Voltage, percent, show_rounded};

/// What is lost along a stretch, and against which limit.
pub(super) struct Lost<'a> {
    pub kind: &'static str,
    pub limit: &'a Spanned<Ratio>,
    pub drop: Ratio,
    pub working: Vec<String>,
    pub state: Option<Loss>,
}

/// A drop above its limit; sums of floating-point numbers that agree to nine digits are at it.
fn is_above(drop: Ratio, limit: Ratio) -> bool {
    drop.in_percent() > limit.in_percent() * (1.0 + 1e-9)
}

/// What is lost above the limit from the supply to the far end of an element, as a share of the
/// nominal voltage.
pub(super) fn of_way<'a>(
    analysis: &Analysis<'_>,
    id: ElementId,
    kind: &'static str,
    limit: &'a Spanned<Ratio>,
) -> Option<Lost<'a>> {
    let LowestShare { share, lost } = analysis.flows.lowest_share(analysis.graph, id)?;
    let low = LowEnd::of(&analysis.model.site).left();
    let arrives = low * share.in_parts_of_one();
    let drop = percent(100.0 * (low - arrives));
    if !is_above(drop, limit.value) {
        return None;
    }
    let nominal = analysis.flows.nominal_voltage(analysis.graph, id);
    let shown = |share: f64| match nominal {
        Some(nominal) => format!("{:.2} V", (nominal * share).in_volts()),
        None => format!("{:.2} %", 100.0 * share),
    };
    let working = format!(
        "{} at the supply − {} at the far end = {}",
        shown(low),
        shown(arrives),
        shown(low - arrives)
    );
    let share = nominal.map(|nominal| {
        format!(
            "{} ÷ {} = {:.2} %",
            shown(low - arrives),
            nominal.show(),
            drop.in_percent()
        )
    });
    Some(Lost {
        kind,
        limit,
        drop,
        working: std::iter::once(working).chain(share).collect(),
        state: lost,
    })
}

/// What is lost above the limit along a cord, trunk and leg together, with its worst current and no
/// credit for power factor.
pub(super) fn of_cord<'a>(
    analysis: &Analysis<'_>,
    id: ElementId,
    limit: &'a Spanned<Ratio>,
) -> Option<Lost<'a>> {
    let graph = analysis.graph;
    let nominal = analysis.flows.nominal_voltage(graph, id)?;
    let parts = || {
        // A cord that it hangs on by a device is another cord.
        let cord_of = |at| match graph.kind(at) {
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => Some(cord),
            _ => None,
        };
        let is_of_it = move |at: &ElementId| cord_of(*at) == cord_of(id);
        let parts = graph.upwards(id).take_while(is_of_it);
        parts.filter_map(|at| {
            let one_way = impedance::of_element(analysis.model, graph, graph.kind(at))?;
            Some((analysis.flows.worst(graph, at)?, one_way))
        })
    };
    let sum: Voltage = parts()
        .map(|(worst, one_way)| drop_there_and_back(worst.current, one_way))
        .sum();
    let drop = share(sum, nominal);
    if !is_above(drop, limit.value) {
        return None;
    }
    let each = parts().map(|(worst, one_way)| {
        format!(
            "2 × {} × {} (hot) = {}",
            show_rounded(worst.current),
            show_rounded(one_way),
            show_rounded(drop_there_and_back(worst.current, one_way))
        )
    });
    let all = format!(
        "{} ÷ {} = {:.2} %",
        show_rounded(sum),
        nominal.show(),
        drop.in_percent()
    );
    Some(Lost {
        kind: "cord",
        limit,
        drop,
        working: each.chain([all]).collect(),
        state: analysis.flows.worst(graph, id)?.lost,
    })
}
