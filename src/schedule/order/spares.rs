//! How many cords are bought beyond those that are needed.

use crate::model::offers::{SiteSpares, SparesPer};
use crate::model::site::Site;
use crate::model::value::Field;
use crate::quantity::{InUnits, Quantity, Ratio, percent};

/// How many cords are bought beyond those that are needed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::schedule) struct Spares {
    share: Ratio,
    least: usize,
    per: SparesPer,
    is_usual: bool,
}

/// What is bought where nobody says otherwise: a tenth. Common practice.
const USUAL_PERCENT: f64 = 10.0;

impl Spares {
    /// What is asked for, or else what the site says, or else what is usual; `None` where the site says it and it
    /// cannot be read.
    pub fn of(asked: Option<u32>, site: &Site) -> Option<Self> {
        let (share, least, per) = match (asked, &site.spares) {
            (Some(share), _) => (percent(f64::from(share)), 0, SparesPer::Type),
            (None, Field::Absent) => {
                return Some(Self {
                    share: percent(USUAL_PERCENT),
                    least: 0,
                    per: SparesPer::Type,
                    is_usual: true,
                });
            }
            (None, Field::Unreadable(_)) => return None,
            (None, Field::Given(said)) => said_by(&said.value)?,
        };
        Some(Self {
            share,
            least,
            per,
            is_usual: false,
        })
    }

    /// Whether each rack has spares of its own.
    pub fn are_per_rack(self) -> bool {
        self.per == SparesPer::Rack
    }

    /// Spares for so many cords, rounded up: at least one, unless none are wanted.
    pub fn count(self, cords: usize) -> usize {
        if cords == 0 {
            return 0;
        }
        // A share that is whole to the millionth is whole.
        let share = cords as f64 * self.share.in_parts_of_one();
        let share = (share - 1e-6).ceil().max(0.0) as usize;
        share.max(self.least)
    }

    /// What is said of them below the list.
    pub fn told(self) -> String {
        if self.share.in_parts_of_one() <= 0.0 && self.least == 0 {
            return "Without spares.".to_owned();
        }
        let least = match self.least {
            0 => String::new(),
            least => format!(", at least {least}"),
        };
        let per = if self.are_per_rack() {
            "row and rack"
        } else {
            "row"
        };
        let usual = if self.is_usual {
            " (common practice)"
        } else {
            ""
        };
        format!(
            "Spares: {} of those needed, rounded up{least}, for each {per}{usual}.",
            self.share.show()
        )
    }
}

/// What is left out means nothing beyond: no share, or none at least.
fn said_by(said: &SiteSpares) -> Option<(Ratio, usize, SparesPer)> {
    fn or<T: Copy>(field: &Field<T>, absent: T) -> Option<T> {
        match field {
            Field::Absent => Some(absent),
            Field::Unreadable(_) => None,
            Field::Given(given) => Some(given.value),
        }
    }
    let least = or(&said.least, 0)? as usize;
    Some((
        or(&said.share, percent(0.0))?,
        least,
        or(&said.per, SparesPer::Type)?,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spares_are_rounded_up() {
        let site = Site::default();
        let tenth = |cords| Spares::of(None, &site).unwrap().count(cords);
        assert_eq!(
            [tenth(0), tenth(1), tenth(10), tenth(11), tenth(40)],
            [0, 1, 1, 2, 4]
        );
        let none = Spares::of(Some(0), &site).unwrap();
        assert_eq!(
            (none.count(40), none.told().as_str()),
            (0, "Without spares.")
        );
        assert_eq!(Spares::of(Some(100), &site).unwrap().count(3), 3);
    }
}
