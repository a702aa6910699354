//! Mistakes: for every rule at least one way to plant exactly its mistake in a sound site, by a small
//! change, and where the finding must then point.

#[path = "mistakes/bench.rs"]
pub mod bench;
#[path = "mistakes/circuits.rs"]
mod circuits;
#[path = "mistakes/conductors.rs"]
mod conductors;
#[path = "mistakes/couplers.rs"]
mod couplers;
#[path = "mistakes/identity.rs"]
mod identity;
#[path = "mistakes/jackets.rs"]
mod jackets;
#[path = "mistakes/loads.rs"]
mod loads;
#[path = "mistakes/records.rs"]
mod records;
#[path = "mistakes/retention.rs"]
mod retention;
#[path = "mistakes/routing.rs"]
mod routing;
#[path = "mistakes/splitters.rs"]
mod splitters;
#[path = "mistakes/supplies.rs"]
mod supplies;

use cordwright::finding::Level;

use bench::Bench;

/// A way to plant a mistake.
pub struct Mutator {
    /// The rule whose mistake it is.
    pub rule: &'static str,
    /// What is done, in a few words.
    pub what: &'static str,
    /// Rules that must speak as well, or may, and why.
    pub also: &'static [(&'static str, &'static str)],
    /// Plants it; nothing if the site has no place for it.
    pub plant: fn(&mut Bench) -> Option<Planted>,
}

/// A mistake that has been planted.
#[derive(Clone, Debug)]
pub struct Planted {
    /// Where the finding must point: at one of these.
    pub at: Vec<Spot>,
    /// The level it must have, where the mistake alone settles it.
    pub level: Option<Level>,
    /// A file that is added: its path and its text.
    pub file: Option<(&'static str, &'static str)>,
}

/// A key or a value of the definitions, by the keys that lead to it.
#[derive(Clone, Debug)]
pub enum Spot {
    /// The key itself; the last one of them if there are several.
    Key(Vec<String>),
    /// What stands under it, quotes and all.
    Value(Vec<String>),
    /// What stands under it, without its quotes.
    Word(Vec<String>),
    /// The first so many bytes of what stands under it.
    Start(Vec<String>, usize),
    /// Bytes of a file that is added.
    Bytes(&'static str, usize, usize),
}

/// At a key.
pub fn key(path: &[&str]) -> Spot {
    Spot::Key(path.iter().map(ToString::to_string).collect())
}

/// At a value.
pub fn value(path: &[&str]) -> Spot {
    Spot::Value(path.iter().map(ToString::to_string).collect())
}

/// At the word of a value.
pub fn word(path: &[&str]) -> Spot {
    Spot::Word(path.iter().map(ToString::to_string).collect())
}

/// At the first bytes of a value.
pub fn start(path: &[&str], bytes: usize) -> Spot {
    Spot::Start(path.iter().map(ToString::to_string).collect(), bytes)
}

impl From<Spot> for Planted {
    fn from(spot: Spot) -> Self {
        Self {
            at: vec![spot],
            level: None,
            file: None,
        }
    }
}

impl Planted {
    /// At one of several places.
    pub fn any(spots: impl IntoIterator<Item = Spot>) -> Self {
        Self {
            at: spots.into_iter().collect(),
            level: None,
            file: None,
        }
    }
}

impl Spot {
    /// At this level there.
    pub fn level(self, level: Level) -> Planted {
        Planted {
            at: vec![self],
            level: Some(level),
            file: None,
        }
    }

    /// With an error there.
    pub fn error(self) -> Planted {
        self.level(Level::Error)
    }

    /// With a warning there.
    pub fn warning(self) -> Planted {
        self.level(Level::Warning)
    }

    /// With a note there.
    pub fn note(self) -> Planted {
        self.level(Level::Note)
    }
}

/// All ways to plant mistakes, in the order of the subjects.
pub fn all() -> Vec<&'static Mutator> {
    [
        records::ALL,
        couplers::ALL,
        conductors::ALL,
        splitters::ALL,
        retention::ALL,
        jackets::ALL,
        routing::ALL,
        identity::ALL,
        circuits::ALL,
        loads::ALL,
        supplies::ALL,
    ]
    .into_iter()
    .flatten()
    .collect()
}
