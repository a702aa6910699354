//! What the comments of a deck say: where each number comes from, and what is not known.

use num_complex::Complex64;

use crate::analysis::Analysis;
use crate::flow::impedance::{self, Run};
use crate::flow::landlord;
use crate::flow::loads::LoadBasis;
use crate::flow::low_end::LowEnd;
use crate::flow::network::Sequence;
use crate::flow::single::Single;
use crate::graph::{CutOff, ElementId, ElementKind, Loss, Plugged, Receiver};
use crate::ink::digits_of;
use crate::model::circuits::Pole;
use crate::model::devices::Device;
use crate::model::value::Id;
use crate::quantity::{InUnits, Quantity};
use crate::tables::conductors::{self, ConductorClass, Side};
use crate::tables::lookup::Lookup;

use super::Target;
use super::state::{Case, SAME};

/// Digits of numbers that people compare.
const DIGITS: usize = 7;

fn shown(number: f64) -> String {
    digits_of(number, DIGITS)
}

/// `250 + j 82.2`.
fn complex(number: Complex64) -> String {
    let sign = if number.im < 0.0 { '-' } else { '+' };
    format!("{} {sign} j {}", shown(number.re), shown(number.im.abs()))
}

/// The state of a part, and what is taken of its supply.
pub(super) fn state(analysis: &Analysis<'_>, case: &Case) -> Vec<String> {
    let mut said = vec![format!(
        "State: {}, {}.",
        analysis.describe(case.scope),
        analysis.when(case.lost)
    )];
    if let Some(lost) = case.lost {
        said.push(gone(analysis, case.scope, lost));
    }
    if !analysis.flows.unsolved().is_empty() {
        said.push("Not every loss was looked at, since that would have taken more work than the budget allows: another state may be worse.".into());
    }
    let Some(supply) = analysis.graph.supply_of(case.scope) else {
        return said;
    };
    let supply = &analysis.model.supplies[supply];
    let name = &supply.name.value;
    if let Some(system) = supply.system.known() {
        let low = LowEnd::of(&analysis.model.site);
        said.push(format!(
            "Supply {name}, {}, holds its voltage at the low end of its tolerance: {} below nominal.",
            system.show(),
            low.shown()
        ));
        if system.lines == 3 {
            said.push(
                sequence(
                    case.sequence,
                    supply
                        .sequence_proved
                        .known()
                        .is_some_and(|proved| proved.0),
                )
                .into(),
            );
        }
    }
    if !matches!(analysis.graph.kind(case.scope), ElementKind::Supply(_)) {
        said.push(format!(
            "What else hangs on supply {name} is left out: as its voltage is held, it bears on nothing here."
        ));
    }
    said
}

fn gone(analysis: &Analysis<'_>, scope: ElementId, lost: Loss) -> String {
    let graph = analysis.graph;
    let here = graph.below(scope).map(ElementId);
    let dead = graph.dead_after(lost);
    let dead = here.filter(|id| dead.cuts_off(graph, *id));
    match dead.count() {
        0 => "What is lost is elsewhere: it is felt here by the loads that move.".into(),
        1 => "What is lost hangs here, and is left out.".into(),
        more => format!("What is lost hangs here, and is left out: {more} elements."),
    }
}

fn sequence(sequence: Sequence, is_proved: bool) -> &'static str {
    match (sequence, is_proved) {
        (_, true) => "Its lines follow each other as L1, L2, L3, as is proved.",
        (Sequence::Forward, false) => {
            "Its lines are taken to follow each other as L1, L2, L3: nobody has proved it, and the other sequence makes this current no larger."
        }
        (Sequence::Reverse, false) => {
            "Its lines are taken to follow each other as L1, L3, L2: nobody has proved the sequence, and this one makes the current larger."
        }
    }
}

/// What was asked for, beside what `trace` shows of it.
pub(super) fn target(
    analysis: &Analysis<'_>,
    target: &Target,
    number: Option<usize>,
    (case, single): (&Case, &Single),
) -> Vec<String> {
    let (id, graph) = (target.element, analysis.graph);
    let place = number.map_or_else(|| "lost".to_owned(), |number| format!("e{number} below"));
    let what = analysis.describe(id);
    let is = match what == target.name {
        true => format!("{what} is {place}."),
        false => format!("{} is fed by {what}, {place}.", target.name),
    };
    let standing = analysis.held(id).lines();
    let Some(worst) = standing.worst else {
        return vec![format!(
            "{is} trace shows no current of it, since what it feeds is not known: this is normal running with what is."
        )];
    };
    let conductor = graph.conductor(id, worst.pole);
    let here = conductor.map_or(0.0, |at| single.magnitude(at));
    let traced = worst.current.in_amperes();
    let mut said = vec![format!(
        "{is} trace shows as its worst {} A on {}, {}; solved by itself as below it is {} A.",
        shown(traced),
        worst.pole.word(),
        analysis.when(worst.lost),
        shown(here)
    )];
    let spare = SAME * traced.abs().max(here.abs());
    if (traced - here).abs() > spare {
        said.push("The two differ where a transfer switch goes over: below, each feeds what hangs behind it from its usual inlet.".into());
    }
    if worst.lost != case.lost {
        said.push(format!(
            "It is solved {}, since less flows {}.",
            analysis.when(case.lost),
            analysis.when(worst.lost)
        ));
    }
    said.extend(
        standing
            .more_may_flow
            .then(|| "More may flow than is known: see what is not known below.".to_owned()),
    );
    said
}

/// All below an element that is in no sum, each with why.
pub(super) fn unknown(analysis: &Analysis<'_>, scope: ElementId) -> Vec<String> {
    let graph = analysis.graph;
    let below = graph.below(scope);
    let elements = below.clone().map(ElementId);
    let mut said: Vec<String> = elements.filter_map(|id| unknown_at(analysis, id)).collect();
    let cut = graph.cut.iter().chain(&graph.adrift);
    let cut = cut.filter(|cut| below.contains(&cut.feeder.0));
    said.extend(cut.map(|cut| cut_off(analysis, cut)));
    said
}

fn unknown_at(analysis: &Analysis<'_>, id: ElementId) -> Option<String> {
    let graph = analysis.graph;
    let what = analysis.describe(id);
    if !analysis.leads_on(id) {
        return Some(format!(
            "{what}: what it feeds is not known, and counts as nothing"
        ));
    }
    if is_resistance_unknown(analysis, id) {
        return Some(format!(
            "{what}: its resistance is not known, and counts as none"
        ));
    }
    let Some(&Receiver::Inlet(inlet)) = graph.receiver(id) else {
        return None;
    };
    let link = &graph.links.inlets[inlet as usize];
    let name = analysis.inlet_name(link);
    if let Some(gap) = analysis.load_gap(link.device) {
        let power = analysis.flows.loads.device(link.device).power;
        let counted = match power == Complex64::ZERO {
            true => "it counts as nothing".to_owned(),
            false => format!(
                "its device counts with {} W and power factor 1, the least",
                shown(power.re)
            ),
        };
        return Some(format!("load of {name} on {what}: {}; {counted}", gap.why));
    }
    let is_bare = graph.loses_its_poles(id).is_some();
    is_bare.then(|| {
        format!("load of {name} on {what}: it hangs on poles that are not known, and is left out")
    })
}

fn cut_off(analysis: &Analysis<'_>, cut: &CutOff) -> String {
    let model = analysis.model;
    let what = match cut.what {
        Plugged::Pdu(pdu) => format!("PDU {}", model.pdus[pdu].name.value),
        Plugged::Cord(cord) => format!("cord {}", model.cords[cord].name.value),
    };
    format!(
        "{what} on {}: where it is connected is not known, and all behind it is left out",
        analysis.describe(cut.feeder)
    )
}

fn is_resistance_unknown(analysis: &Analysis<'_>, id: ElementId) -> bool {
    let Analysis { model, graph, .. } = *analysis;
    let kind = graph.kind(id);
    match kind {
        ElementKind::Supply(_) | ElementKind::Bank(..) => false,
        ElementKind::Pdu(pdu) if graph.is_without_input_cord(model, pdu) => false,
        _ => impedance::of_element(model, graph, kind).is_none(),
    }
}

/// Where the resistance of an element comes from.
pub(super) fn resistance(analysis: &Analysis<'_>, id: ElementId) -> Vec<String> {
    let Analysis { model, graph, .. } = *analysis;
    let kind = graph.kind(id);
    if is_resistance_unknown(analysis, id) {
        return vec!["Its length or size is not known: NO RESISTANCE IS COUNTED, and the voltages behind it are too high.".into()];
    }
    if let ElementKind::Circuit(circuit) = kind
        && let Some(ohms) = landlord::resistance(model, graph, circuit)
    {
        return vec![format!(
            "{} ohm each way: what leaves the voltage that the landlord names while the contracted current flows.",
            shown(ohms.in_ohms())
        )];
    }
    if graph.is_adapter(model, kind)
        && let Some(given) = impedance::of_adapter(model, graph, kind)
    {
        let ohms = shown(given.in_ohms());
        return vec![format!(
            "{ohms} ohm each way: an adapter, without a length of cord."
        )];
    }
    match impedance::run(model, graph, kind) {
        Some(run) => of_run(&run)
            .into_iter()
            .chain(ring(analysis, kind))
            .collect(),
        None => vec!["No resistance of its own is counted.".into()],
    }
}

fn of_run(run: &Run) -> Vec<String> {
    if let Some(known) = run.known {
        return vec![format!(
            "{} ohm each way, as given by the site for {} of {}.",
            shown(known.in_ohms()),
            run.length.show(),
            run.conductor
        )];
    }
    let make = match run.class {
        ConductorClass::Flexible => "fine wires",
        ConductorClass::Fixed => "solid or stranded",
    };
    let found = conductors::resistance_per_metre(run.conductor, run.class, run.hot, Side::Highest);
    let (cited, remarks) = match found {
        Lookup::Known { cited, remarks } => (cited, remarks),
        Lookup::NotInTable { why, citation } => return vec![format!("{why} ({citation}).")],
    };
    let mut said = vec![format!(
        "{} m of {}, {make}, at {}: {} ohm/km each way ({}).",
        shown(run.length.in_metres()),
        run.conductor,
        run.hot.show(),
        shown(cited.value.ohm_per_kilometre()),
        cited.citation
    )];
    said.extend(remarks.iter().map(|remark| format!("Note: {remark}.")));
    said
}

fn ring(analysis: &Analysis<'_>, kind: ElementKind) -> Option<String> {
    let ElementKind::Circuit(circuit) = kind else {
        return None;
    };
    let wiring = analysis.model.circuits[circuit].wiring.known()?;
    let is_ring = wiring.ring.says_yes() == Ok(true);
    is_ring.then(|| "It is a ring: both its halves reach the middle at once, as a quarter of its length would.".into())
}

/// Conductors of an element that carry nothing, and so are left out.
pub(super) fn idle(analysis: &Analysis<'_>, id: ElementId, carrying: &[usize]) -> Option<String> {
    let graph = analysis.graph;
    let all = graph.conductors_of(id);
    let idle = all.clone().filter(|at| !carrying.contains(at));
    let idle: Vec<&str> = idle.map(|at| graph.conductors()[at].pole.word()).collect();
    match (all.is_empty(), idle.is_empty()) {
        (true, _) => Some("Its poles are not known: it is left out.".into()),
        (_, true) => None,
        _ => Some(format!(
            "Carries nothing in this state, and is left out: {}.",
            idle.join(", ")
        )),
    }
}

/// What third harmonics add to a shared neutral.
pub(super) fn harmonics(analysis: &Analysis<'_>, id: ElementId, single: &Single) -> Option<String> {
    let neutral = analysis.graph.conductor(id, Pole::N)?;
    let harmonic = single.harmonic(neutral);
    (harmonic > 0.0).then(|| {
        let fundamental = single.current(neutral).norm();
        format!(
            "Third harmonics add {} A on N, the plain sum of what the loads below send there: with them it carries sqrt({}^2 + {}^2) = {} A.",
            shown(harmonic),
            shown(fundamental),
            shown(harmonic),
            shown(single.magnitude(neutral))
        )
    })
}

/// Whose load it is, what it takes, and the impedance that it then is.
pub(super) fn load(
    analysis: &Analysis<'_>,
    inlet: u32,
    power: Complex64,
    across: Complex64,
    impedance: Complex64,
) -> Vec<String> {
    let link = &analysis.graph.links.inlets[inlet as usize];
    let name = analysis.inlet_name(link);
    let volts = across.norm();
    let mut said = vec![
        format!(
            "Load of {name}: S = {} VA ({}).",
            complex(power),
            basis(analysis, link.device)
        ),
        format!(
            "At |V| = {} V it is Z = |V|^2 / conj(S) = {} ohm, |I| = {} A.",
            shown(volts),
            complex(impedance),
            shown(power.norm() / volts)
        ),
    ];
    let third = analysis.flows.loads.third_harmonic[inlet as usize];
    said.extend((third > 0.0).then(|| {
        format!(
            "Of third harmonic it draws {} % of that besides.",
            shown(100.0 * third)
        )
    }));
    said
}

fn basis(analysis: &Analysis<'_>, device: Id<Device>) -> String {
    let load = analysis.flows.loads.device(device);
    let whole = complex(load.power);
    let from = match load.basis {
        Ok(LoadBasis::Draw) => "`draw` of its device",
        Ok(LoadBasis::Nameplate) => "nameplate of its model",
        Err(_) => "power factor not known, taken as 1, the least",
    };
    format!("{from}, {whole} VA over all its inlets")
}
