//! What is said of an earth fault that opens nothing in time.

use crate::analysis::{Analysis, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Measure};
use crate::flow::protection::{at_once, devices_ahead};
use crate::graph::ElementId;
use crate::model::circuits::{AtReceptacle, Circuit};
use crate::model::value::{Name, Named};
use crate::quantity::{Quantity, amperes, show_rounded};
use crate::rules::Draft;
use crate::rules::conductors::naming;
use crate::tables::words::Words;
use crate::tables::{Practice, constants};

use super::RULE;
use super::electrode;
use super::loops::Which;
use super::verdict::{self, Slow};

pub(super) fn too_slow(analysis: &Analysis<'_>, ends: &[(ElementId, Slow)]) -> Option<Finding> {
    let (id, worst) = ends.first()?;
    let device =
        devices_ahead(analysis.model, analysis.graph, *id).find(|d| d.at == worst.device)?;
    let ahead = naming::device(analysis, &device);
    let end = naming::run(analysis, *id);
    let Words {
        earth, an_earth, ..
    } = analysis.words();
    let fault = match worst.which {
        Which::First => format!("{an_earth} fault"),
        Which::Second { .. } => format!("a second {earth} fault"),
    };
    let stays = match worst.left.casing > electrode::most() {
        true => "can stay live and kill".to_owned(),
        false => format!("can stay at {}", show_rounded(worst.left.casing)),
    };
    let (flows, needed) = (show_rounded(worst.current), show_rounded(worst.needed));
    let (flows_for, needed_for) = match (worst.lasts, worst.too_short()) {
        (Some(lasts), Some(_)) => (
            format!(" for {}", lasts.show()),
            format!(" for {}", at_once().show()),
        ),
        (Some(lasts), None) => (format!(" for {}", lasts.show()), String::new()),
        (None, _) => (String::new(), String::new()),
    };
    let headline = format!(
        "the case at the end of {end} {stays} after {fault}{}: {flows} flows{flows_for} where {needed} should{needed_for}, to open {ahead} {}",
        worst.phrase, worst.wanted
    );
    let note = format!(
        "{ahead}: sure to open only from {}",
        show_rounded(worst.needed)
    );
    let span = analysis.place_of(device.at);
    let draft = Draft::new(&RULE, headline, span, note, worst.basis.clone());
    let others = ends.iter().map(|(id, slow)| {
        let note = format!(
            "{}: {}{}",
            naming::run(analysis, *id),
            show_rounded(slow.current),
            slow.phrase
        );
        analysis.hop_with(*id, note)
    });
    let is_second = worst.which != Which::First;
    let landlords = landlords_loop(analysis, *id).map(|(_, figures)| figures);
    let measured = landlords.and_then(|figures| figures.earth_loop.given());
    let measured = measured.map(|given| {
        let note = format!("{} around the {earth} loop there, cold", given.value.show());
        place(given.span, note)
    });
    let source = landlords.and_then(|figures| figures.source.known());
    let draft = draft
        .above(analysis.hops_above(device.at).into_iter().chain(measured))
        .below(others)
        .working(worst.working.iter().cloned())
        .working(is_second.then(|| halves(earth)))
        .also(verdict::voltage_factor_basis())
        .also(source.map(|source| Citation::given_by_site(source)))
        .also([conductors_basis()])
        .also(is_second.then(second_fault_basis))
        .advice(advice(analysis, *id, worst))
        .measured(measure(worst))
        .about([analysis.full_name(device.at), analysis.full_name(*id)])
        .suffered_by(ends.iter().map(|(id, _)| analysis.full_name(*id)));
    Some(draft.finish())
}

/// The current, or how long it flows where that is too short for any device.
pub(super) fn measure(slow: &Slow) -> Measure {
    match slow.too_short() {
        Some(lasts) => Measure::below(lasts, at_once()),
        None => Measure::below(slow.current, slow.needed),
    }
}

/// The circuit of an element and the figures of its receptacle, where the loop up to there is as a landlord says.
fn landlords_loop<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
) -> Option<(&'a Named<Circuit>, &'a AtReceptacle)> {
    let circuit = &analysis.model.circuits[analysis.graph.circuit_of(id)?];
    let figures = circuit.landlords()?;
    figures.earth_loop.known().map(|_| (circuit, figures))
}

/// Why half the voltage is counted.
fn halves(earth: &str) -> String {
    format!(
        "nothing is {earth}ed here: a second fault runs out along one circuit and home along another, and each has half the voltage around it"
    )
}

/// A residual current device is the usual way out under IEC practice only: what ground-fault protection is
/// allowed in North America depends on the circuit and is left to who may decide it.
fn advice(analysis: &Analysis<'_>, id: ElementId, worst: &Slow) -> String {
    let circuit = analysis.graph.circuit_of(id);
    let circuit = circuit.map(|circuit| &analysis.model.circuits[circuit].name.value);
    let circuit = circuit.filter(|_| analysis.practice() == Some(Practice::Iec));
    let Some(largest) = worst.largest_loop.map(show_rounded) else {
        return on_electronics(analysis, circuit, worst);
    };
    if let Which::Second { .. } = worst.which {
        return format!(
            "Until this is put right, find and clear every first fault as soon as the insulation monitor tells of it. Use thicker or shorter conductors, until the fault loop of the circuit (out and back, with its source) has {largest} at most, or fit a breaker that opens at less."
        );
    }
    let Words { earth, socket, .. } = analysis.words();
    if let Some((circuit, _)) = landlords_loop(analysis, id) {
        return format!(
            "Treat the case as live until this is put right. Have the {earth} loop measured again at the {socket} of circuit {}. If the figure is right, tell the landlord: the fault loop (out and back, hot) may have {largest} at most, or something that opens at less must stand ahead.",
            circuit.name.value
        );
    }
    match circuit {
        Some(circuit) => format!(
            "Treat the case as live until this is put right. Give circuit {circuit} a {}{}; or use thicker or shorter conductors, until the fault loop (out and back) has {largest} at most; or fit a breaker that opens at less.",
            analysis.words().residual_device,
            standing()
        ),
        None => format!(
            "Treat the case as live until this is put right. Use thicker or shorter conductors, until the fault loop (out and back) has {largest} at most, or fit a breaker that opens at less; ask a licensed electrician whether ground-fault protection may serve instead."
        ),
    }
}

/// No conductor makes electronics drive more.
fn on_electronics(analysis: &Analysis<'_>, circuit: Option<&Name>, worst: &Slow) -> String {
    let flows = show_rounded(worst.current);
    let device = match (circuit, worst.which) {
        (Some(circuit), Which::First) => format!(
            "give circuit {circuit} a {}{}",
            analysis.words().residual_device,
            standing()
        ),
        (Some(_), Which::Second { .. }) => "clear every first fault at once".to_owned(),
        (None, _) => {
            "ask a licensed electrician whether ground-fault protection may serve".to_owned()
        }
    };
    format!(
        "Treat the case as live while the supply runs on its inverter. Thicker conductors do not help, for it drives no more: fit a breaker that is sure to open from {flows} on; or {device}; or have its maker state that it is off soon enough, and write that as `lasts`."
    )
}

/// What such a device asks of the equipment: what leaks all the time must not trip it. All of them open in time
/// on a fault that flows through copper.
fn standing() -> String {
    constants::standing_leakage().map_or_else(String::new, |share| {
        let most = |rated: f64| (amperes(rated) * share.value).show();
        format!(
            " (any will open in time: behind one of 300 mA up to {} may leak all the time, behind one of 30 mA {})",
            most(0.3),
            most(0.03)
        )
    })
}

/// What asks for it.
fn second_fault_basis() -> Citation {
    Citation::new(
        "IEC 60364-4-41",
        "411.6.4 (second fault)",
        "2005+A1:2017",
        Confidence::FromMemory,
    )
}

/// Where the hot resistances come from.
fn conductors_basis() -> Citation {
    Citation::new(
        "IEC 60228",
        "Tables 1 to 3, at operating temperature",
        "2004",
        Confidence::TwoCopies,
    )
}
