//! `rcd:` — the residual current (ground-fault) device of a circuit: its current alone, or with its type.

use crate::quantity::Current;
use crate::source::Span;

use super::circuits::Circuit;
use super::decode::{record, words};
use super::optional::Optional;
use super::value::{Field, Spanned};

record! {
    /// A residual current (ground-fault) device.
    ResidualDevice: "residual current device", short for "rated";
    /// Its rated residual operating current.
    "rated" (required, above_zero) => rated: Field<Current>,
    /// Its type, by the currents to earth that it sees: `AC`, `A`, `F` or `B`, as printed on it.
    "type" => kind: Field<ResidualType>,
    /// `S` where it waits for others behind it, as the S in a square says. Left out: it opens at once.
    "delay" => delay: Optional<ResidualDelay>,
}

words! {
    /// Which currents to earth a residual current device sees (IEC 60364-5-53, 531.3.3).
    ResidualType: "a type of residual current device";
    /// Sinusoidal ones only.
    Ac = "AC",
    /// Pulsating ones, too.
    A = "A",
    /// Mixed frequencies of single-phase converters, too.
    F = "F",
    /// Smooth ones, too.
    B = "B",
}

words! {
    /// How long a residual current device waits (IEC 61008-1).
    ResidualDelay: "a delay of a residual current device";
    /// Selective.
    S = "S",
    /// It was looked at: none.
    None = "none",
}

impl Circuit {
    /// The rated current of its residual current device; `None` where it has none.
    ///
    /// # Errors
    /// Where it stands, if it cannot be read.
    pub fn residual(&self) -> Result<Option<&Spanned<Current>>, Span> {
        let device = self.rcd.written()?;
        device.map_or(Ok(None), |device| match &device.value.rated {
            Field::Given(rated) => Ok(Some(rated)),
            Field::Unreadable(at) => Err(*at),
            Field::Absent => Err(device.span),
        })
    }

    /// The key that says it: the device may be written by its current alone.
    pub fn residual_key(&self) -> &'static str {
        let device = self.rcd.written().ok().flatten();
        let is_whole =
            |device: &ResidualDevice| !device.kind.is_absent() || !device.delay.is_absent();
        match device.is_some_and(|device| is_whole(&device.value)) {
            true => "rcd.rated",
            false => "rcd",
        }
    }

    /// Whether its residual current device waits for others.
    ///
    /// # Errors
    /// Where the delay stands, if it cannot be read.
    pub fn residual_waits(&self) -> Result<bool, Span> {
        let device = self.rcd.written()?;
        device.map_or(Ok(false), |device| {
            let delay = device.value.delay.unless_written(ResidualDelay::None)?;
            Ok(delay == ResidualDelay::S)
        })
    }
}
