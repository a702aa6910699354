//! What a nameplate says, as volt-amperes.

use crate::flow::loads::{Unknown, complex_power};
use crate::model::devices::DeviceModel;
use crate::model::value::{Field, Named, Spanned};
use crate::quantity::{Current, InUnits, LoadPower, Voltage};

use super::current_of;
use super::lack::Lack;

/// What a nameplate says.
pub(super) struct Plate<'a> {
    pub rating: &'a Spanned<LoadPower>,
    pub apparent: f64,
    /// Watts without a power factor: it is no less, and may be more.
    pub is_least: bool,
}

impl<'a> Plate<'a> {
    /// `None` where there is no nameplate, or one that says nothing, which is told elsewhere.
    ///
    /// # Errors
    /// What is missing to know its volt-amperes.
    pub fn of(model: &'a Named<DeviceModel>) -> Result<Option<Self>, Lack> {
        let rating = match &model.rating {
            Field::Given(rating) => rating,
            Field::Absent => return Ok(None),
            Field::Unreadable(_) => return Err(Lack::rating(model)),
        };
        let (apparent, is_least) = match (complex_power(rating.value, model), rating.value) {
            (Ok(power), _) => (power.norm(), false),
            (Err(Unknown::PowerFactor), LoadPower::Active(power)) => (power.in_watts(), true),
            (Err(Unknown::PowerFactor), LoadPower::Apparent(power)) => {
                (power.in_volt_amperes(), false)
            }
            (Err(Unknown::PowerFactor), LoadPower::Current(current)) => {
                let range = model.voltage.known().ok_or_else(|| Lack::voltage(model))?;
                (current.in_amperes() * range.low.in_volts(), false)
            }
            (Err(Unknown::Voltage), _) => return Err(Lack::voltage(model)),
            (Err(Unknown::Power | Unknown::NotPositive | Unknown::Shares | Unknown::Model), _) => {
                return Ok(None);
            }
        };
        Ok(Some(Self {
            rating,
            apparent,
            is_least,
        }))
    }

    /// The current at a nominal voltage; nothing is drawn beyond it.
    pub fn current_at(&self, voltage: Voltage) -> Current {
        current_of(self.apparent, voltage)
    }
}
