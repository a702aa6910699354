//! The constants of a route: those of the site, or the defaults of common practice.

use crate::model::optional::Optional;
use crate::quantity::{Amount, InUnits, Length, Ratio};
use crate::source::Span;

/// Common practice: from the face of the outlet, a moulded body of some 55 mm and a first bend that
/// spares the cord take about 0.1 m of a cord of 8 mm diameter. Millimetres.
pub(super) const CONNECTOR_BEND: f64 = 100.0;
/// Common practice: a hand's breadth and a half, so that a connector can be drawn and seen. Millimetres.
pub(super) const SERVICE_LOOP: f64 = 150.0;
/// Common practice: half of a rack of 600 mm. Millimetres.
pub(super) const CROSS_RUN: f64 = 300.0;
/// Common practice: a cable arm lays the cord in bights, so that it needs a fifth more than the travel. Per cent.
pub(super) const RAIL_SLACK: f64 = 120.0;

/// What stands in for a key of `site.routing` that is left out.
pub(crate) fn usual_allowance(key: &str) -> Option<Amount> {
    let length = |millimetres| Some(crate::quantity::millimetres(millimetres).into());
    match key {
        "connector-bend" => length(CONNECTOR_BEND),
        "service-loop" => length(SERVICE_LOOP),
        "cross-run" => length(CROSS_RUN),
        "rail-slack" => Some(crate::quantity::percent(RAIL_SLACK).into()),
        _ => None,
    }
}

/// A constant of the route and who has set it.
#[derive(Clone, Copy, Debug)]
pub struct Allowance<T> {
    /// The constant.
    pub value: T,
    /// Whether the site gives none of its own, so that common practice stands in.
    pub is_default: bool,
}

impl<T: Copy> Allowance<T> {
    /// The site's own, or the default; `Err` where the site's own cannot be read.
    pub fn new(own: Option<&Optional<T>>, default: T) -> Result<Self, Span> {
        let own = own.map_or(Ok(None), Optional::written)?;
        Ok(Self {
            value: own.map_or(default, |own| own.value),
            is_default: own.is_none(),
        })
    }

    /// What follows the number in the arithmetic.
    pub fn remark(&self, key: &str) -> String {
        if self.is_default {
            format!(" (common practice; site.routing gives no {key})")
        } else {
            format!(" (site.routing, {key})")
        }
    }
}

/// A length in millimetres to a tenth: `160.5 mm`.
pub(super) fn in_millimetres(length: Length) -> String {
    let shown = format!("{:.1}", length.in_millimetres());
    let shown = shown.strip_suffix(".0").unwrap_or(&shown);
    format!("{shown} mm")
}

/// A share as it stands in the site, or the default.
pub(super) fn share(own: Option<&Optional<Ratio>>) -> Result<Allowance<Ratio>, Span> {
    Allowance::new(own, crate::quantity::percent(RAIL_SLACK))
}
