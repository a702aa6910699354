//! The loop that an earth fault runs around, by the way the supply is earthed.
//!
//! Where nothing is earthed (IT) the first fault drives next to nothing. A second one, on another pole
//! of another circuit, runs out along the one circuit and home along the other. Each of the two answers
//! for half of it: where half the voltage around the own line and protective conductor opens the own
//! device, then of two such circuits the device that needs less is sure to open. That clears one fault.

use crate::flow::fault::{FaultLoop, LoopImpedance, Source};
use crate::model::circuits::{Earthing, Supply};
use crate::model::sources::State;
use crate::quantity::Voltage;

/// An earth fault behind a supply.
#[derive(Clone, Copy)]
pub(super) struct EarthFault {
    pub source: Source,
    /// The voltage that may be touched, by which the time is read.
    pub touch: Voltage,
    pub which: Which,
}

/// Which fault must open something.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    /// The first one, to the earthed point.
    First,
    /// The second one, where nothing is earthed.
    Second {
        /// Whether a neutral is distributed, which may be the other pole.
        has_neutral: bool,
    },
}

impl EarthFault {
    /// `None` where the voltage that drives it is not known.
    pub fn of(supply: &Supply, state: &State<'_>, source: Source) -> Option<Self> {
        let (touch, which) = match state.earthed()? {
            // During the first fault the other lines have the whole voltage to earth.
            Earthing::It => {
                let has_neutral = supply.system.known()?.neutral;
                (source.between, Which::Second { has_neutral })
            }
            Earthing::TnS | Earthing::TnCS | Earthing::Tt => (source.to_earth?, Which::First),
        };
        Some(Self {
            source,
            touch,
            which,
        })
    }

    /// The loop whose conductors are `way`.
    pub fn around(&self, way: LoopImpedance) -> FaultLoop {
        let (line, earth) = (way.line, way.earth);
        match self.which {
            Which::First => self.source.to_point(self.touch, line, earth),
            Which::Second { has_neutral } => self.source.second_fault(line, earth, has_neutral),
        }
    }
}
