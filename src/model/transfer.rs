//! `device-models.<name>.transfer:` — equipment that feeds its outlets from one of two inlets, and from the
//! other where that one is dead: transfer switches.

use crate::quantity::Time;

use super::decode::{record, words};
use super::optional::Optional;
use super::value::{Field, Name};

record! {
    /// What a transfer switch does between its two inlets.
    Transfer: "transfer switch", short for "kind";
    /// How it transfers: `static` (by semiconductors), `automatic` (by contacts) or `manual` (somebody turns it).
    "kind" (required) => kind: Field<TransferKind>,
    /// The inlet that feeds its outlets while both are live. Left out: nobody knows, and both are judged.
    "preferred" => preferred: Optional<Name>,
    /// The longest time without voltage at its outlets while it transfers.
    "time" (above_zero) => time: Field<Time>,
}

words! {
    /// How a transfer switch transfers (IEC 62310-1, IEC 60947-6-1).
    TransferKind: "a kind of transfer switch";
    /// By semiconductors, within a part of a cycle.
    Static = "static",
    /// By contacts, by itself.
    Automatic = "automatic",
    /// By hand.
    Manual = "manual",
}
