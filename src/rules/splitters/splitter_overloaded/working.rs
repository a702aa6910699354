//! The arithmetic of an overloaded splitter.

use num_complex::Complex64;

use crate::analysis::{Analysis, Link, Rating};
use crate::flow::Worst;
use crate::graph::{ElementId, Receiver};
use crate::quantity::{InUnits, Quantity, show_rounded, volt_amperes, volts, watts};

/// What hangs on the part in the worst state, and the current that it makes.
pub(super) fn load_lines(analysis: &Analysis<'_>, part: ElementId, worst: Worst) -> Vec<String> {
    let own = analysis.load_working(part, worst);
    if !own.is_empty() {
        return own;
    }
    let mut lines = Vec::new();
    let mut sum = Complex64::ZERO;
    for id in analysis.graph.below(part).map(ElementId) {
        if let Some(&Receiver::Inlet(inlet)) = analysis.graph.receiver(id) {
            let power = analysis.power_of(inlet, worst.lost);
            let name = analysis.inlet_name(&analysis.graph.links.inlets[inlet as usize]);
            sum += power;
            lines.push(format!("{name} takes {}", show_power(power)));
        }
    }
    let voltage = volts(sum.norm() / worst.current.in_amperes());
    lines.push(format!("together {}", show_power(sum)));
    lines.push(format!(
        "{} ÷ {} = {}",
        volt_amperes(sum.norm()).show(),
        voltage.show(),
        show_rounded(worst.current)
    ));
    lines.push(format!(
        "{} is the voltage at the low end of the supply's tolerance, less the drop on the way",
        voltage.show()
    ));
    lines
}

/// `700 W, 722 VA`.
fn show_power(power: Complex64) -> String {
    let apparent = volt_amperes(power.norm());
    format!("{}, {}", watts(power.re).show(), apparent.show())
}

pub(super) fn limit_lines(link: &Link) -> Vec<String> {
    match &link.rating {
        Rating::Known { working, .. } => working.clone(),
        Rating::Unknown { .. } => Vec::new(),
    }
}
