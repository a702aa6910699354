//! The two things that every report says, whatever it found.

/// What no reading of files can show.
pub const NOT_CHECKED: &str = "Not checked, because no reading of files can show it: how well a \
contact touches, how tight a terminal is, whether a part is genuine, how warm it really runs, and \
the polarity and voltage that a meter would find. Inspect and measure these on the spot.";

/// The caution in one line, for places with little room.
pub const ADVICE: &str = "Advice only: the local code and a licensed electrician prevail over it.";

/// What the report is worth.
pub const CAUTION: &str = "Advice only: this report certifies nothing and makes nothing safe to \
touch. The local code and a licensed electrician prevail over anything it says or leaves unsaid.";
