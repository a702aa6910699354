//! The survey sheet: which facts are missing, where their answers are found, what hangs on each, and
//! which value decides; and the answers on their way back into the definitions.

mod answers;
mod decides;
mod missing;
mod room;
mod walk;
mod write_in;

pub use answers::{Answered, Remark, TakenAnswer, answered};
pub use decides::ValueTrials;
pub use missing::{Missing, missing, schedule};
pub use room::room;
