//! Where a number comes from, and how far it may be trusted.

use std::fmt;

use serde::Deserialize;
use smol_str::SmolStr;

/// How a value reached the tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Confidence {
    /// Two or more copies of the published table agree.
    TwoCopies,
    /// One copy of the published table was read.
    OneCopy,
    /// Worked out from a formula of the standard.
    Computed,
    /// What a site itself says of a part that the tables lack, with its source.
    #[serde(skip)]
    GivenBySite,
    /// What the trade does; no standard was found that demands it.
    CommonPractice,
    /// Recalled, not read.
    FromMemory,
    /// Copies disagree; the safer value stands.
    Disputed,
}

impl Confidence {
    /// Whether a finding at `error` level may rest on the value alone.
    pub fn is_firm(self) -> bool {
        matches!(
            self,
            Self::TwoCopies | Self::OneCopy | Self::Computed | Self::GivenBySite
        )
    }

    /// The words that follow a citation; empty where nothing needs to be said.
    pub fn remark(self) -> &'static str {
        match self {
            Self::TwoCopies => "",
            Self::OneCopy => "one copy read, verify",
            Self::Computed => "computed",
            Self::GivenBySite => "as given by the site",
            Self::CommonPractice => "common practice",
            Self::FromMemory => "from memory, verify",
            Self::Disputed => "sources disagree, the safer value is used",
        }
    }
}

/// The standard, clause and edition behind a value or a rule. Cheap to copy: every lookup hands one out.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Citation {
    /// For example `NFPA 70 (NEC)`; empty for common practice and house policy.
    pub standard: SmolStr,
    /// Clause or table, for example `Table 400.5(A)(1)`.
    pub clause: SmolStr,
    /// Edition, for example `2023`.
    pub edition: SmolStr,
    /// How the value reached us.
    pub confidence: Confidence,
}

impl Citation {
    /// A citation from its parts.
    pub const fn new(
        standard: &'static str,
        clause: &'static str,
        edition: &'static str,
        confidence: Confidence,
    ) -> Self {
        Self {
            standard: SmolStr::new_static(standard),
            clause: SmolStr::new_static(clause),
            edition: SmolStr::new_static(edition),
            confidence,
        }
    }

    /// What the definitions themselves say, such as the mark on a part.
    pub fn marked(what: &str) -> Self {
        Self::bare(what, Confidence::TwoCopies)
    }

    /// What a site says of a part that the tables lack, by the source that it names.
    pub fn given_by_site(source: &str) -> Self {
        Self::bare(source, Confidence::GivenBySite)
    }

    /// What the trade does, in a few words.
    pub fn common_practice(what: &str) -> Self {
        Self::bare(what, Confidence::CommonPractice)
    }

    fn bare(what: &str, confidence: Confidence) -> Self {
        Self {
            standard: what.into(),
            ..Self::new("", "", "", confidence)
        }
    }
}

impl fmt::Display for Citation {
    /// `NFPA 70 (NEC) Table 400.5(A)(1), 2023 (one copy read, verify)`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.standard)?;
        if !self.clause.is_empty() {
            write!(f, " {}", self.clause)?;
        }
        if !self.edition.is_empty() {
            write!(f, ", {}", self.edition)?;
        }
        match self.confidence.remark() {
            "" => Ok(()),
            remark if self.standard == remark => Ok(()),
            remark => write!(f, " ({remark})"),
        }
    }
}

/// A value together with where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Cited<T> {
    /// The value.
    pub value: T,
    /// Its source.
    pub citation: Citation,
}
