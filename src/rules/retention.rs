//! Rules of *retention*: what holds couplers together.

mod advice;
mod end;
mod ends;
mod hold;
mod missing;

pub(crate) mod cord_in_line;
pub(crate) mod retention_missing;
pub(crate) mod retention_one_ended;
pub(crate) mod retention_unsupported;

use crate::citation::Citation;
use crate::model::places::Vibration;

/// Why held couplers are asked for at all.
fn held_in_vibration() -> Citation {
    Citation::common_practice("couplers that are shaken are held by more than friction")
}

/// Why couplers ought to be held in a zone that shakes: `machinery shakes zone pump-house`.
fn shaking(zone: &str, vibration: Vibration) -> String {
    match vibration {
        Vibration::None => format!("nothing shakes zone {zone}"),
        Vibration::Machinery => format!("machinery shakes zone {zone}"),
        Vibration::Seismic => format!("zone {zone} is to outlast an earthquake"),
        Vibration::Transport => format!("zone {zone} shakes under way"),
    }
}
