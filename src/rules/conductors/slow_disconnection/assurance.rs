//! From which earth-fault current on everything behind the same devices opens in time for sure.

use crate::analysis::Analysis;
use crate::flow::fault::{FaultLoops, Source};
use crate::flow::protection::devices_ahead;
use crate::graph::ElementId;
use crate::model::circuits::Earthing;
use crate::quantity::{Current, Ratio, amperes};
use crate::tables::constants;

use super::first_fault::is_watched;
use super::loops::EarthFault;
use super::overcurrent::{Need, need, suffices};
use super::verdict::{residual_need, residual_rating};

/// What holds for every element behind the same devices. It is the silent half of
/// [`super::verdict::of`]: where it holds that one finds that a device opens.
#[derive(Clone, Copy)]
pub(super) enum Assurance {
    /// From a current on that any one device needs.
    From {
        fault: EarthFault,
        factor: Ratio,
        /// All that the residual current device needs.
        residual: Option<Current>,
        /// The least that an overcurrent device needs.
        overcurrent: Option<Current>,
    },
    /// Nothing is sure.
    Never,
}

impl Assurance {
    /// Of the elements behind a head: supply, circuit and devices are the same for all of them.
    pub fn of(analysis: &Analysis<'_>, head: ElementId) -> Self {
        Self::known(analysis, head).unwrap_or(Self::Never)
    }

    fn known(analysis: &Analysis<'_>, head: ElementId) -> Option<Self> {
        let supply = &analysis.model.supplies[analysis.graph.supply_of(head)?];
        let residual = residual_rating(analysis, head).ok().flatten();
        let residual = match supply.earthing.known().copied()? {
            Earthing::It if !is_watched(supply) => return None,
            // Both faults may lie behind the one device, which then sees nothing.
            Earthing::It => None,
            Earthing::Tt => return None,
            Earthing::TnS | Earthing::TnCS => residual,
        };
        let source = Source::behind(analysis.model, analysis.graph, head)?;
        let fault = EarthFault::of(supply, source)?;
        let factor = constants::minimum_voltage_factor()?.value;
        let devices = devices_ahead(analysis.model, analysis.graph, head);
        let needs = devices.filter_map(|device| match need(analysis, fault.touch, &device) {
            Need::Nothing => Some(amperes(0.0)),
            Need::Current(needed, ..) => Some(needed),
            Need::Unknown => None,
        });
        Some(Self::From {
            fault,
            factor,
            residual: residual_need(residual),
            overcurrent: needs.reduce(|a, b| if b < a { b } else { a }),
        })
    }

    /// Whether an earth fault at the far end of an element is sure to open a device in time.
    pub fn holds(self, fault_loops: &FaultLoops, id: ElementId) -> bool {
        let (fault, factor, residual, overcurrent) = match self {
            Self::Never => return false,
            Self::From {
                fault,
                factor,
                residual,
                overcurrent,
            } => (fault, factor, residual, overcurrent),
        };
        let Ok(way) = fault_loops.hot(id) else {
            return false;
        };
        let current = fault.around(way).smallest(factor);
        residual.is_some_and(|needed| current >= needed)
            || overcurrent.is_some_and(|needed| suffices(current, needed))
    }
}
