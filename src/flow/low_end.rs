//! How low the voltage of the supplies may sit.

use crate::citation::Citation;
use crate::model::optional::Optional;
use crate::model::site::Site;
use crate::quantity::{InUnits, Quantity, Ratio, percent};
use crate::tables::{Practice, constants};

/// How far below nominal the voltage may sit at the supply.
#[derive(Clone, Debug, PartialEq)]
pub struct LowEnd {
    /// As a share of the nominal voltage.
    pub below: Ratio,
    /// Where the figure comes from when the site does not say: it never counts as none.
    pub basis: Option<Citation>,
}

impl LowEnd {
    /// That of a site: what it says, else what the practice declares for public supplies; of several the
    /// lowest where the practice is not known, or where what is written cannot be read.
    pub fn of(site: &Site) -> Self {
        match (&site.supply_tolerance, &site.practice) {
            (Optional::Given(tolerance), _) => Self {
                below: tolerance.value,
                basis: None,
            },
            (Optional::Absent, practice) => Self::unless_written(practice.known().copied()),
            _ => Self::unless_written(None),
        }
    }

    /// That of a site of this practice which does not say.
    pub(crate) fn unless_written(practice: Option<Practice>) -> Self {
        let row = constants::supply_tolerance(practice.unwrap_or(Practice::Iec));
        Self {
            below: row.as_ref().map_or(percent(0.0), |row| row.value),
            basis: row.map(|row| row.citation),
        }
    }

    /// The share of the nominal voltage that is left.
    pub fn left(&self) -> f64 {
        1.0 - self.below.in_parts_of_one()
    }

    /// For the arithmetic: `10 %`, `10 % (not written: IEC 60038, Table 1)`.
    pub fn shown(&self) -> String {
        let below = self.below.show();
        match &self.basis {
            Some(basis) => format!("{below} (not written; {basis})"),
            None => below.to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::percent;

    #[test]
    fn every_practice_declares_a_tolerance() {
        for (practice, declared) in [(Practice::Iec, 10.0), (Practice::Nec, 5.0)] {
            let low = LowEnd::unless_written(Some(practice));
            assert_eq!(low.below, percent(declared));
            assert!(low.basis.is_some());
        }
    }
}
