//! Cordages that the tables lack, as a site describes them from papers of its own.

use smol_str::SmolStr;
use uom::ConstZero;

use super::{Cordage, Duty, Family, Insulation, RatedVoltage, Service, Sizes};
use crate::citation::Citation;
use crate::quantity::{ConductorSize, Temperature, Voltage};
use crate::tables::by_size::is_larger;

impl Cordage {
    /// A name that nothing is known of yet: what the site says of it may stand in another file.
    pub fn own_by_name(name: &str) -> Self {
        let nobody = Citation::given_by_site("");
        Self {
            name: name.into(),
            family: Family::Harmonised,
            voltage: RatedVoltage {
                to_earth: Voltage::ZERO,
                between: Voltage::ZERO,
            },
            conductor_temperature: Temperature::ZERO,
            insulation: Insulation::Pvc70,
            sizes: Sizes::of(Vec::new(), nobody.clone()),
            service: Service {
                duty: Duty::Light,
                halogen_free: None,
                oil_resistant: None,
                wet: None,
                citation: nobody.clone(),
            },
            citation: nobody,
        }
    }

    /// A cordage of the site's own that is like one of the tables, under its own name and by the site's word.
    pub fn own_like(name: SmolStr, like: &Self, citation: Citation) -> Self {
        let mut own = Self {
            name,
            ..like.clone()
        };
        own.sizes.citation = citation.clone();
        own.service.citation = citation.clone();
        own.citation = citation;
        own
    }
}

impl Sizes {
    /// The sizes that a maker lists. Without any, none is made.
    pub fn of(listed: Vec<ConductorSize>, citation: Citation) -> Self {
        let nothing = ConductorSize::Metric(crate::quantity::Area::ZERO);
        let end = |goes_before: fn(ConductorSize, ConductorSize) -> bool| {
            let sizes = listed.iter().copied();
            sizes.reduce(|end, size| if goes_before(size, end) { size } else { end })
        };
        let largest = end(is_larger).unwrap_or(nothing);
        Self {
            smallest: end(|size, end| is_larger(end, size)).unwrap_or(nothing),
            largest,
            undisputed: largest,
            listed,
            citation,
        }
    }
}
