//! Couplers that the tables lack, as a site describes them from papers of its own.

use crate::citation::{Citation, Cited};
use crate::quantity::{Current, Temperature, Voltage};
use crate::tables::retention::Retention;

use super::row::blank;
use super::{Coupler, Earth, Family, Key, Poles, Rated, RatedVoltage, Role};

/// What is known of a site's own coupler beyond what every coupler has.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Own {
    /// The couplers that it goes together with, by name.
    pub mates: Vec<String>,
    /// A coupler of the tables whose place it takes in every pair.
    pub like: Option<&'static Coupler>,
    /// What holds it in its mate by itself.
    pub holds: Option<Retention>,
    /// The hottest air in which its rating holds, as its source has it.
    pub hottest_air: Option<Cited<Temperature>>,
}

/// The place in the tables of what is in none of them.
const NOT_LISTED: u16 = u16::MAX;

impl Coupler {
    /// A name that nothing is known of yet: what the site says of it may stand in another file.
    pub fn own_by_name(name: &str) -> Self {
        Self {
            key: Key::Own(Box::default()),
            index: NOT_LISTED,
            ..blank(
                name.to_owned(),
                Family::Own,
                Role::Either,
                Citation::given_by_site(""),
            )
        }
    }

    /// What a site says of a coupler of its own; `None` for those of the tables.
    pub fn own_facts(&self) -> Option<&Own> {
        match &self.key {
            Key::Own(own) => Some(own),
            Key::Named | Key::Nema { .. } | Key::PinAndSleeve(_) => None,
        }
    }

    /// A coupler of the site's own, without ratings.
    pub fn own(
        name: &str,
        role: Role,
        poles: Poles,
        earth: Earth,
        own: Own,
        citation: Citation,
    ) -> Self {
        Self {
            poles,
            earth,
            key: Key::Own(Box::new(own)),
            index: NOT_LISTED,
            ..blank(name.to_owned(), Family::Own, role, citation)
        }
    }

    /// A coupler of the site's own that has all of one of the tables that the site does not say otherwise.
    pub fn own_like(name: &str, like: &'static Self, own: Own, citation: Citation) -> Self {
        Self {
            name: name.to_owned(),
            family: Family::Own,
            key: Key::Own(Box::new(own)),
            index: NOT_LISTED,
            citation,
            aliases: Vec::new(),
            ..like.clone()
        }
    }

    /// Gives a coupler of the site's own its rated current, under either practice.
    pub fn rate(&mut self, current: Current) {
        let rated = Rated {
            current: Some(self.as_given(current)),
            only_where_marked: None,
        };
        self.iec = rated.clone();
        self.nec = rated;
    }

    /// Gives a coupler of the site's own the highest voltage between any two of its poles.
    pub fn bear(&mut self, highest: Voltage) {
        self.voltage = Some(self.as_given(RatedVoltage {
            highest,
            to_neutral: None,
            lowest: None,
        }));
    }

    fn as_given<T>(&self, value: T) -> Cited<T> {
        Cited {
            value,
            citation: self.citation.clone(),
        }
    }
}
