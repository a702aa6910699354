//! The heat of a short circuit in one run, beside what its insulation bears.

use crate::citation::Citation;
use crate::flow::protection::{Device, bearable};
use crate::graph::ElementId;
use crate::quantity::{Area, ConductorSize, EnergyLetThrough, Quantity, seconds, show_rounded};
use crate::tables::withstand::AdiabaticConstant;

use super::missing::Missing;

/// What becomes of a run.
pub(super) enum Outcome {
    /// It bears the fault.
    Bears,
    /// It does not.
    Burns(Stress),
    /// A fact is missing.
    Open(Missing),
}

/// More heat than a run bears.
pub(super) struct Stress {
    /// The nearest device.
    pub device: ElementId,
    /// Which end of the run: `far-end`, or `let-through` at the near one.
    pub kind: &'static str,
    /// In which mode of the supply, as the end of a clause; nothing where it has none.
    pub phrase: String,
    /// What is let through.
    pub heat: EnergyLetThrough,
    /// What is borne.
    pub bears: EnergyLetThrough,
    /// The conductors that are there.
    pub size: ConductorSize,
    /// The section that would bear it.
    pub least_section: Area,
    /// The arithmetic.
    pub working: Vec<String>,
    /// Sources of constant, voltage factor and times.
    pub basis: Vec<Citation>,
}

/// A run with what its insulation bears.
pub(super) struct Run<'a> {
    pub id: ElementId,
    pub device: Device<'a>,
    pub size: ConductorSize,
    pub k: AdiabaticConstant,
    pub k_source: Citation,
}

impl Run<'_> {
    pub fn bears(&self) -> EnergyLetThrough {
        bearable(self.k, self.size.area())
    }

    pub fn stress(
        &self,
        kind: &'static str,
        heat: EnergyLetThrough,
        working: Vec<String>,
    ) -> Stress {
        let one_second = crate::quantity::amperes(heat.0.sqrt());
        let bears = self.bears();
        let sum = format!(
            "k²S² = ({} × {})² = {}",
            self.k.value(),
            show_rounded(self.size.area()),
            bears.show()
        );
        let verdict = match heat.0.is_finite() {
            true => format!("{} > {}", heat.show(), bears.show()),
            false => format!("without end > {}", bears.show()),
        };
        let meaning =
            "A²s tells the heat of a fault: the current squared, times the seconds that it flows";
        Stress {
            device: self.device.at,
            kind,
            phrase: String::new(),
            heat,
            bears,
            size: self.size,
            least_section: self.k.least_section(one_second, seconds(1.0)),
            working: working
                .into_iter()
                .chain([sum, verdict, meaning.to_owned()])
                .collect(),
            basis: vec![self.k_source.clone()],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flow::protection::heat;
    use crate::quantity::{amperes, square_millimetres};
    use crate::tables::cordage::Insulation;
    use crate::tables::withstand::{self, ConductorRole};

    /// IEC 60364-4-43 434.5.2 with the textbook case 10 mm², k 115, 4 000 A: 82.66 ms are borne.
    #[test]
    fn heat_just_below_and_above_the_withstand_time() {
        let k = withstand::k(Insulation::Pvc70, ConductorRole::Line);
        let bears = bearable(*k.value().unwrap(), square_millimetres(10.0));
        let made = |milliseconds: f64| heat(amperes(4000.0), seconds(milliseconds / 1000.0));
        assert!(made(82.65).0 < bears.0 && made(82.67).0 > bears.0);
    }
}
