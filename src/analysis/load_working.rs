//! The arithmetic of a current, as lines.

use num_complex::Complex64;

use crate::flow::Worst;
use crate::graph::{ElementId, Receiver};
use crate::quantity::{
    InUnits, Quantity, show_current, show_load, show_rounded, volt_amperes, volts, watts,
};

use super::Analysis;

impl Analysis<'_> {
    /// The arithmetic of a cord's or leg's current: `420 W ÷ (207 V × 0.97) = 2.09 A`. Where things are plugged
    /// into its device, of them all. Empty for what feeds no inlet itself.
    pub fn load_working(&self, id: ElementId, worst: Worst) -> Vec<String> {
        let Some(&Receiver::Inlet(inlet)) = self.graph.receiver(id) else {
            return Vec::new();
        };
        if self.graph.below(id).len() > 1 {
            return self.sum_working(id, worst);
        }
        let power = self.power_of(inlet, worst.lost);
        let amperes = worst.current.in_amperes();
        if power.norm() == 0.0 || amperes == 0.0 {
            return Vec::new();
        }
        let voltage = volts(power.norm() / amperes).show();
        let factor = power.re / power.norm();
        let current = show_current(amperes);
        let device = self.graph.links.inlets[inlet as usize].device;
        let is_least = self.flows.loads.device(device).basis.is_err();
        let division = if is_least {
            let watts = show_load(watts(power.re));
            format!("{watts} ÷ {voltage} = {current} at the least: the power factor is missing")
        } else if factor < 1.0 {
            let factor = format!("{factor:.3}");
            format!(
                "{} ÷ ({voltage} × {}) = {current}",
                show_load(watts(power.re)),
                factor.trim_end_matches('0')
            )
        } else {
            let apparent = show_load(volt_amperes(power.norm()));
            format!("{apparent} ÷ {voltage} = {current}")
        };
        let nominal = self.flows.nominal_voltage(self.graph, id);
        let low = nominal.map(|nominal| {
            format!(
                "{voltage} is what is left of {} at the low end of the supply's tolerance, less the drop on the way",
                nominal.show()
            )
        });
        std::iter::once(division).chain(low).collect()
    }

    /// What everything below an element takes in the state told of, and the current that it makes.
    pub fn sum_working(&self, id: ElementId, worst: Worst) -> Vec<String> {
        let mut lines = Vec::new();
        let mut sum = Complex64::ZERO;
        for id in self.graph.below(id).map(ElementId) {
            if let Some(&Receiver::Inlet(inlet)) = self.graph.receiver(id) {
                let power = self.power_of(inlet, worst.lost);
                let name = self.inlet_name(&self.graph.links.inlets[inlet as usize]);
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
}

/// `700 W, 722 VA`.
fn show_power(power: Complex64) -> String {
    let apparent = volt_amperes(power.norm());
    format!("{}, {}", watts(power.re).show(), apparent.show())
}
