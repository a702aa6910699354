//! How much work a site may ask for. What is counted are things done, never time, so that a site gets the
//! same answer on every machine. Each default lies far above what any honest site needs; a site cannot
//! raise it, only the words of a command can.

use std::fmt;
use std::str::FromStr;

/// A kind of work that is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Names and values in one file.
    Values,
    /// Anchors in one file.
    Anchors,
    /// Times that aliases and merges may bring each name or value of a file, and outlets that ranges may make
    /// for each.
    Visits,
    /// Inlets, banks and legs for each thing that is defined.
    Parts,
    /// Power strips, devices that pass power on, and cords that hang on them or on cords, plugged into each other in a row.
    Row,
    /// Faults of the definitions as written that are told one by one.
    Faults,
    /// Steps of the solver for each part of a circuit.
    Solves,
    /// Things times whole judgements of the site, in the search for other cords and for values that decide.
    Trials,
    /// Bytes of a report.
    Output,
    /// Seconds until a run is ended without a report; none if zero. The one kind that hangs on the machine.
    Seconds,
}

struct Kind {
    work: Work,
    name: &'static str,
    usual: u64,
}

const fn kind(work: Work, name: &'static str, usual: u64) -> Kind {
    Kind { work, name, usual }
}

/// All kinds, each with the name that it goes by on the command line and with its default.
const KINDS: [Kind; 10] = [
    kind(Work::Values, "values", 8_000_000),
    kind(Work::Anchors, "anchors", 10_000),
    kind(Work::Visits, "visits", 4),
    kind(Work::Parts, "parts", 4),
    kind(Work::Row, "row", 16),
    kind(Work::Faults, "faults", 50_000),
    kind(Work::Solves, "solves", 5_000),
    kind(Work::Trials, "trials", 200_000),
    kind(Work::Output, "output", 1 << 30),
    kind(Work::Seconds, "seconds", 0),
];

/// How much of each kind of work may be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Budget([u64; KINDS.len()]);

impl Default for Budget {
    fn default() -> Self {
        Self(std::array::from_fn(|at| KINDS[at].usual))
    }
}

impl Budget {
    /// How much of this work may be done.
    pub fn of(&self, work: Work) -> u64 {
        self.0[place(work)]
    }

    /// The same as a number of things in memory.
    pub fn count(&self, work: Work) -> usize {
        usize::try_from(self.of(work)).unwrap_or(usize::MAX)
    }

    /// So many times the amount of one kind of work.
    #[must_use]
    pub fn times(mut self, work: Work, times: u64) -> Self {
        let amount = &mut self.0[place(work)];
        *amount = amount.saturating_mul(times);
        self
    }

    /// Another amount of one kind of work.
    #[must_use]
    pub fn with(mut self, share: Share) -> Self {
        self.0[place(share.work)] = share.amount;
        self
    }
}

fn place(work: Work) -> usize {
    let place = KINDS.iter().position(|kind| kind.work == work);
    place.unwrap_or_default()
}

impl Work {
    /// What it is called on the command line.
    pub fn name(self) -> &'static str {
        KINDS[place(self)].name
    }

    /// What to do where more of it is needed, for the end of a message.
    pub fn advice(self, budget: &Budget) -> String {
        let twice = budget.of(self).saturating_mul(2);
        format!(
            "If all of it is meant, --budget {}={twice} allows for more.",
            self.name()
        )
    }
}

/// An amount of one kind of work, written `row=32`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    work: Work,
    amount: u64,
}

impl FromStr for Share {
    type Err = NoShare;

    fn from_str(text: &str) -> Result<Self, NoShare> {
        let (name, amount) = text.split_once('=').ok_or(NoShare)?;
        let kind = KINDS.iter().find(|kind| kind.name == name).ok_or(NoShare)?;
        let amount = amount.parse().map_err(|_| NoShare)?;
        Ok(Self {
            work: kind.work,
            amount,
        })
    }
}

/// A text that is no share of a budget.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoShare;

impl fmt::Display for NoShare {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names: Vec<&str> = KINDS.iter().map(|kind| kind.name).collect();
        write!(f, "write one of {} with `=` and a number", names.join(", "))
    }
}

impl std::error::Error for NoShare {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_is_a_name_and_a_number() {
        let budget = Budget::default();
        assert_eq!(budget.of(Work::Row), 16);
        let more = budget.with("row=32".parse().expect("a share"));
        assert_eq!((more.of(Work::Row), more.of(Work::Visits)), (32, 4));
        for text in [
            "", "row", "row=", "row=-1", "row=x", "rows=1", "=3", "row=1=2",
        ] {
            assert_eq!(text.parse::<Share>(), Err(NoShare), "{text}");
        }
    }

    #[test]
    fn every_kind_has_a_place_of_its_own() {
        for (at, kind) in KINDS.iter().enumerate() {
            assert_eq!((place(kind.work), kind.work.name()), (at, kind.name));
        }
    }
}
