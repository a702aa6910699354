//! What the inlets bear that may be left to carry all.

use crate::analysis::{Analysis, Rating};
use crate::citation::Citation;
use crate::model::devices::{DeviceModel, Inlet};
use crate::model::value::{Field, Named};
use crate::quantity::{Current, InUnits, amperes};
use crate::tables::couplers::Side;

use super::lack::Lack;

/// The inlets that may be left to carry all, and what they bear together.
pub(super) struct Bearing<'a> {
    /// The weakest ones, in the order of their strength, each with what it bears.
    pub inlets: Vec<(&'a Named<Inlet>, Current)>,
    pub current: Current,
    pub basis: Vec<Citation>,
    /// How many must carry it cannot be read: this is one, and it may be more.
    pub is_least: bool,
}

impl<'a> Bearing<'a> {
    /// Of several inlets any may be lost, so the weakest of them count: as many as must stay fed, and
    /// one where the model does not say.
    ///
    /// # Errors
    /// An inlet whose rated current is not known.
    pub fn of(analysis: &Analysis<'a>, model: &'a Named<DeviceModel>) -> Result<Self, Lack> {
        let mut inlets = Vec::new();
        let mut basis = Vec::new();
        for inlet in model.inlets.items() {
            let (current, sources) = rated(analysis, model, inlet)?;
            inlets.push((inlet, current));
            basis.extend(sources);
        }
        inlets.sort_by(|a, b| a.1.in_amperes().total_cmp(&b.1.in_amperes()));
        let needed = model.inlets_needed.unless_written(1);
        let is_least = needed.is_err() && model.inlets.len() > 1;
        let needed = needed.unwrap_or(1).max(1);
        inlets.truncate(needed as usize);
        let sum = inlets.iter().map(|(_, current)| current.in_amperes()).sum();
        Ok(Self {
            current: amperes(sum),
            is_least,
            inlets,
            basis,
        })
    }
}

fn rated(
    analysis: &Analysis<'_>,
    model: &Named<DeviceModel>,
    inlet: &Named<Inlet>,
) -> Result<(Current, Vec<Citation>), Lack> {
    let Some(coupler) = inlet.coupler.given() else {
        return Err(Lack::coupler(model, inlet, "its coupler is not known"));
    };
    if let Field::Unreadable(_) = inlet.rating {
        return Err(Lack::coupler(model, inlet, "its mark cannot be read"));
    }
    match analysis.coupler_rating((&coupler.value, Side::Pins), None, &inlet.rating) {
        Rating::Known { current, basis, .. } => Ok((current, basis)),
        Rating::Unknown { .. } => {
            let why = "no table here gives its rated current";
            Err(Lack::coupler(model, inlet, why))
        }
    }
}
