//! A site that is being edited: its last judgement, the texts that stand over its files, and what an
//! editor asks of it. Nothing here knows the wire, the clock or a file: bytes in, plain data out.
//!
//! A whole judgement of a large site takes longer than a keystroke may. So every edit is answered
//! at once from what it touches ([`OpenSite::edit`]): an edit that changes no meaning only moves what
//! is shown, a file that cannot be read for the moment keeps its last good definitions, and of
//! anything else the [`islands`] of the power graph that it reaches are judged before and after. The
//! whole judgement follows ([`OpenSite::task`], [`OpenSite::take`]) and settles the rest.

pub(crate) mod change;
pub(crate) mod completion;
pub(crate) mod definition;
mod file;
mod fits;
pub mod fixes;
pub(crate) mod hover;
pub(crate) mod islands;
mod keys;
pub(crate) mod names;
mod part;
mod plans;
pub mod position;
pub(crate) mod rename;
mod site;
mod typing;
pub(crate) mod whole;

pub use file::OpenFile;
pub use site::{OpenSite, Step};
pub use whole::{Task, Whole};
