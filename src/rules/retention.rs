//! Rules of *retention*: what holds couplers together.

mod end;
mod hold;

pub mod retention_missing;
pub mod retention_one_ended;
pub mod retention_unsupported;

use crate::citation::Citation;
use crate::model::places::Vibration;

/// Why held couplers are asked for at all.
fn held_in_vibration() -> Citation {
    Citation::common_practice("couplers that are shaken are held at both ends of the cord")
}

/// `machinery shakes it`, for the middle of a sentence.
fn shakes(vibration: Vibration) -> &'static str {
    match vibration {
        Vibration::None => "nothing shakes it",
        Vibration::Machinery => "machinery shakes it",
        Vibration::Seismic => "an earthquake would shake it",
        Vibration::Transport => "it shakes under way",
    }
}
