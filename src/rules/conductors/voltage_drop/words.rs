//! What is said of too little voltage.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Fact, Finding, Level, Measure, Place};
use crate::flow::impedance;
use crate::graph::{ElementId, ElementKind, Loss};
use crate::model::value::Spanned;
use crate::quantity::{ConductorSize, InUnits, Quantity, Ratio, show_pair, square_millimetres};
use crate::rules::Draft;
use crate::rules::conductors::gaps::{Gap, Gaps, conductors_gap};
use crate::rules::conductors::naming;
use crate::tables::{constants, made_sizes};

use super::RULE;
use super::lost::Lost;

/// A limit that the owner of the site has set.
pub(super) fn own_limit(limit: &Spanned<Ratio>) -> Citation {
    Citation::marked(&format!("limit of {} set by the site", limit.value.show()))
}

pub(super) fn too_low(analysis: &Analysis<'_>, id: ElementId, lost: &Lost<'_>) -> Finding {
    let (is, may) = show_pair(lost.drop, lost.limit.value);
    let (behind, along) = match lost.kind {
        "total" => (
            analysis.describe(id),
            "on the way from the supply".to_owned(),
        ),
        _ => (naming::run(analysis, id), "along it".to_owned()),
    };
    let when = analysis.when(lost.state);
    let headline = format!(
        "equipment behind {behind} may drop out: {is} of the voltage is lost {along} {when}. The site's own limit is {may}"
    );
    let span = match lost.kind {
        "total" => analysis.name(id).span,
        _ => naming::choice_span(analysis, id),
    };
    let draft = Draft::new(
        &RULE,
        headline,
        span,
        format!("{is} lost"),
        own_limit(lost.limit),
    );
    let guide = analysis.practice().and_then(|practice| match lost.kind {
        "total" => constants::total_voltage_drop(practice),
        "circuit" => constants::branch_voltage_drop(practice),
        _ => None,
    });
    draft
        .above([place(lost.limit.span, format!("limit {may}"))])
        .above(analysis.hops_above(id))
        .below([naming::conductor_place(analysis, id, "")])
        .below(ends(analysis, id))
        .working(lost.working.iter().cloned())
        .working([format!("{is} > {may}")])
        .measured(Measure::above(lost.drop, lost.limit.value))
        .also(guide.map(|guide| guide.citation))
        .advice(advice(analysis, id, lost))
        .about([analysis.full_name(id)])
        .kind(lost.kind)
        .finish()
}

/// The thickest conductors of cords with couplers of appliances, in mm² (common practice).
const THICKEST_CORD: f64 = 2.5;

/// Of one run the size or length that would do: what is lost goes down with the section and with the
/// length, and with less loss the loads draw less.
fn advice(analysis: &Analysis<'_>, id: ElementId, lost: &Lost<'_>) -> String {
    let general = "Use thicker or shorter conductors, or move load to another circuit.";
    let own = analysis.conductors_of(id).filter(|_| lost.kind != "total");
    let Some(size) = own.and_then(|own| own.size) else {
        return general.to_owned();
    };
    let ratio = lost.drop.in_percent() / lost.limit.value.in_percent();
    // Tables of resistance stray a little from the section.
    let least = size.area() * ratio * 1.03;
    let shorter = (100.0 * (1.0 - 1.0 / ratio)).ceil();
    let is_cord = !matches!(analysis.graph.kind(id), ElementKind::Circuit(_));
    // What is thicker does not go into the plugs of appliances.
    let is_made =
        |bought: &ConductorSize| !is_cord || bought.area() <= square_millimetres(THICKEST_CORD);
    let bought = made_sizes::like(Some(size)).find(|bought| bought.area() >= least);
    match bought.filter(is_made) {
        Some(bought) => format!(
            "Use conductors of at least {bought}, make the run shorter by {shorter} % or more, or move load to another circuit."
        ),
        None => {
            format!("Make the run shorter by {shorter} % or more, or move load to another circuit.")
        }
    }
}

fn ends(analysis: &Analysis<'_>, id: ElementId) -> Vec<Place> {
    match analysis.graph.kind(id) {
        ElementKind::Cord(cord) => analysis.ends_of(cord),
        _ => Vec::new(),
    }
}

/// No voltage at which the loads could take their power is left.
pub(super) fn collapse(analysis: &Analysis<'_>, id: ElementId, lost: Option<Loss>) -> Finding {
    let what = analysis.describe(id);
    let when = analysis.when(lost);
    let headline = format!(
        "everything on {what} drops out {when}: its conductors are too thin or too long for the power that hangs on it"
    );
    let span = naming::conductor_span(analysis, id);
    let basis = Citation::common_practice(
        "loads of constant power ask for more than the conductors can bring at any voltage",
    );
    Draft::new(&RULE, headline, span, "too thin or too long for this power", basis)
        .level(Level::Error)
        .above(analysis.hops_above(id))
        .below(analysis.moved_places(id, lost))
        .advice("Check length and size of the conductors and the draw of the devices for slips; else use thicker conductors or move load to another circuit.")
        .about([analysis.full_name(id)])
        .kind("collapse")
        .finish()
}

/// Without size or length nothing is known to be lost there, which is no pass.
pub(super) fn miss_conductors(analysis: &Analysis<'_>, at: ElementId, gaps: &mut Gaps) {
    let basis = Citation::marked("limits of voltage drop set by the site");
    let gap = conductors_gap(analysis, at, basis, |what| {
        format!(
            "does enough voltage arrive behind {what}? Missing: size or length of its conductors"
        )
    });
    let told = gaps.miss(gap.about.clone(), gap.kind, |_| gap);
    told.suffered_by(naming::sharer(analysis, at));
}

/// The landlord of the receptacle that an element hangs on has not said what voltage he leaves, or at what current.
pub(super) fn miss_figures(analysis: &Analysis<'_>, id: ElementId, gaps: &mut Gaps) {
    let Some(at) = analysis.graph.circuit_of(id) else {
        return;
    };
    let circuit = &analysis.model.circuits[at];
    let Some(figures) = circuit.landlords() else {
        return;
    };
    // Wiring that is written down as well may say it.
    let kind = ElementKind::Circuit(at);
    if impedance::of_element(analysis.model, analysis.graph, kind).is_some() {
        return;
    }
    let (voltage, contracted) = (&figures.voltage, &figures.contracted);
    let lacking = [
        voltage
            .given()
            .is_none()
            .then(|| Fact::of(circuit, "at-receptacle.voltage", Some(voltage))),
        contracted
            .given()
            .is_none()
            .then(|| Fact::of(circuit, "at-receptacle.contracted", Some(contracted))),
    ];
    let Some(first) = lacking.iter().flatten().next() else {
        return;
    };
    let socket = analysis.words().socket;
    gaps.miss(circuit.name.value.clone(), "figures", |about| Gap {
        headline: format!(
            "does enough voltage arrive behind the {socket} of circuit {about}? Open: the voltage there at its contracted current is not known"
        ),
        about,
        kind: "figures",
        span: first.span,
        missing: "voltage and contracted current there are needed".into(),
        basis: Citation::marked("limits of voltage drop set by the site"),
        advice: "Ask the landlord, or measure under load, and write both as `at-receptacle: {voltage: …, contracted: …}`.".into(),
        wants: lacking.iter().flatten().cloned().collect(),
    });
}

/// A limit of the site cannot be read.
pub(super) fn unread_limit(fact: Fact) -> Finding {
    let headline = format!(
        "does enough voltage arrive? Open: the limit `{}` of the site cannot be read",
        fact.key
    );
    let basis = Citation::marked("limit of this site (`voltage-drop`)");
    let note = format!("not decided: `{}` cannot be read", fact.key);
    Draft::new(&RULE, headline, fact.span, note, basis)
        .about(["site".into(), fact.key.clone()])
        .kind("limit")
        .advice("Write the limit as a share, like `3 %`.")
        .wants([fact])
        .finish()
}
