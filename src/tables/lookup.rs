//! What a lookup answers: a cited value with what had to be assumed, or why the table does not say.

use std::fmt;

use crate::citation::{Citation, Cited};
use crate::quantity::{ConductorSize, Current, InUnits, Quantity, Ratio};

/// The answer of a rating table.
#[derive(Clone, Debug, PartialEq)]
pub enum Lookup<T> {
    /// The table gives a value.
    Known {
        /// The value and its source.
        cited: Cited<T>,
        /// What had to be assumed on the safe side to read it; usually empty.
        remarks: Vec<Remark>,
    },
    /// The table does not give a value: the question stays open, it is not passed.
    NotInTable {
        /// Why not, in words for the reader of a finding.
        why: String,
        /// The table that was asked.
        citation: Citation,
    },
}

/// A safe-side assumption made while reading a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Remark {
    /// The table does not list the size; the next smaller size, by cross-section, was read.
    SmallerSizeRead {
        /// The size asked for.
        asked: ConductorSize,
        /// The size whose row was read.
        read: ConductorSize,
    },
    /// The table does not list the size; the next larger size, by cross-section, was read.
    LargerSizeRead {
        /// The size asked for.
        asked: ConductorSize,
        /// The size whose row was read.
        read: ConductorSize,
    },
    /// Editions disagree on whether the cordage is made in this size.
    SizeDisputed {
        /// The size asked for.
        asked: ConductorSize,
    },
    /// The cordage is not made in this size, which is a fault of its own.
    SizeNotMade {
        /// The size asked for.
        asked: ConductorSize,
    },
    /// The table does not list the number; the next larger one was read.
    LargerGroupRead {
        /// The number asked for.
        asked: u32,
        /// The number whose row was read.
        read: u32,
    },
    /// The cordage is not known; the row for the coolest conductor was read.
    CordageUnknown,
    /// The cordage is not one of NEC Table 400.4.
    CordageForeign,
    /// The neutral carries harmonics and counts as a loaded conductor.
    NeutralLoaded,
    /// The grouping table is for fixed cables.
    GroupingApproximate,
    /// The value is not printed for this size but estimated from its cross-section.
    Estimated,
    /// The standard limits the resistance upwards only.
    NoLowerLimit,
    /// Not the printed value: more conductors are loaded than the column is for.
    MoreLoaded {
        /// The printed value.
        printed: Current,
        /// What it was multiplied by.
        factor: Ratio,
        /// How many conductors are loaded.
        loaded: u8,
    },
    /// Reference method B2 (multicore cable in conduit on a wall) was assumed.
    MethodB2Assumed,
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SmallerSizeRead { asked, read } => write!(
                f,
                "{asked} is not in the table; the next smaller size there, {read}, was read"
            ),
            Self::LargerSizeRead { asked, read } => write!(
                f,
                "{asked} is not in the table; the next larger size there, {read}, was read"
            ),
            Self::SizeDisputed { asked } => write!(
                f,
                "editions disagree on whether this cordage is made in {asked}; the next smaller size was read"
            ),
            Self::SizeNotMade { asked } => write!(
                f,
                "this cordage is not made in {asked}; the next smaller size that it is made in was read"
            ),
            Self::LargerGroupRead { asked, read } => {
                write!(
                    f,
                    "the table has no row for {asked}; the row for {read} was read"
                )
            }
            Self::CordageUnknown => {
                f.write_str("the cordage is not known; it was taken as a 60 °C cord")
            }
            Self::CordageForeign => f.write_str(
                "this cordage is not in NEC Table 400.4; its use needs the inspector's permission",
            ),
            Self::NeutralLoaded => {
                f.write_str("the neutral counts as a loaded conductor, because of harmonics")
            }
            Self::GroupingApproximate => f.write_str(
                "the grouping table is made for fixed cables; for cords it is an approximation",
            ),
            Self::Estimated => f.write_str("estimated from the cross-section"),
            Self::NoLowerLimit => f.write_str(
                "the standard limits this resistance upwards only; a cord may have a little less",
            ),
            Self::MoreLoaded {
                printed,
                factor,
                loaded,
            } => write!(
                f,
                "printed {} × {:.2}, because {loaded} conductors are loaded",
                printed.show(),
                factor.in_parts_of_one()
            ),
            Self::MethodB2Assumed => {
                f.write_str("installation method B2, cable in conduit on a wall, was assumed")
            }
        }
    }
}

impl Lookup<Current> {
    /// The same answer for more loaded conductors than the column is for; the weaker of the two
    /// confidences stands.
    pub(super) fn for_more_loaded(self, factor: &Cited<Ratio>, loaded: u8) -> Self {
        let Self::Known { cited, mut remarks } = self else {
            return self;
        };
        remarks.push(Remark::MoreLoaded {
            printed: cited.value,
            factor: factor.value,
            loaded,
        });
        Self::Known {
            cited: Cited {
                value: cited.value * factor.value,
                citation: joined(cited.citation, &factor.citation),
            },
            remarks,
        }
    }
}

impl<T> Lookup<T> {
    /// A value read without any assumption.
    pub(super) fn known(value: T, citation: Citation) -> Self {
        let cited = Cited { value, citation };
        Self::Known {
            cited,
            remarks: Vec::new(),
        }
    }

    /// The same answer with one more remark.
    pub(super) fn remarked(mut self, remark: Remark) -> Self {
        if let Self::Known { remarks, .. } = &mut self {
            remarks.push(remark);
        }
        self
    }

    /// The value with its source, if the table gives one.
    pub fn cited(&self) -> Option<&Cited<T>> {
        match self {
            Self::Known { cited, .. } => Some(cited),
            Self::NotInTable { .. } => None,
        }
    }

    /// The bare value, if the table gives one.
    pub fn value(&self) -> Option<&T> {
        self.cited().map(|cited| &cited.value)
    }

    /// The table that answered, or that could not.
    pub fn citation(&self) -> &Citation {
        match self {
            Self::Known { cited, .. } => &cited.citation,
            Self::NotInTable { citation, .. } => citation,
        }
    }

    /// What had to be assumed.
    pub fn remarks(&self) -> &[Remark] {
        match self {
            Self::Known { remarks, .. } => remarks,
            Self::NotInTable { .. } => &[],
        }
    }
}

/// One citation for a product of two table values.
fn joined(first: Citation, second: &Citation) -> Citation {
    let clause = if first.standard == second.standard {
        format!("{} × {}", first.clause, second.clause)
    } else {
        format!("{} × {} {}", first.clause, second.standard, second.clause)
    };
    Citation {
        clause: clause.into(),
        confidence: first.confidence.max(second.confidence),
        ..first
    }
}
