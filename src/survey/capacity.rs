//! What a conductor may carry where it lies: table × ambient × grouping, with the working shown.

use crate::citation::{Citation, Cited};
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::Cord;
use crate::model::text::CordageRef;
use crate::model::value::{Id, Spanned};
use crate::quantity::{
    ConductorSize, Current, InUnits, Quantity, Ratio, Temperature, amperes, show_rounded,
};
use crate::tables::ambient::{self, AmbientFactor};
use crate::tables::grouping::{self, Arrangement};
use crate::tables::lookup::Lookup;
use crate::tables::{Practice, ampacity, wiring};

use super::Survey;

/// What something may carry, or why that cannot be said.
#[derive(Clone, Debug, PartialEq)]
pub enum Rating {
    /// Known.
    Known {
        /// The limit.
        current: Current,
        /// How it comes about, a line each; empty where it is simply read.
        working: Vec<String>,
        /// Where it comes from; never empty.
        basis: Vec<Citation>,
    },
    /// Not decided.
    Unknown {
        /// What is missing, for "not decided: …".
        why: String,
        /// The table that was asked, if one was.
        basis: Vec<Citation>,
    },
}

impl Rating {
    /// The limit, if it is known.
    pub fn current(&self) -> Option<Current> {
        match self {
            Self::Known { current, .. } => Some(*current),
            Self::Unknown { .. } => None,
        }
    }

    /// Where the limit comes from, or which tables do not say.
    pub fn basis(&self) -> &[Citation] {
        match self {
            Self::Known { basis, .. } | Self::Unknown { basis, .. } => basis,
        }
    }

    /// A limit that is read off one place.
    pub fn read(cited: &Cited<Current>) -> Self {
        Self::Known {
            current: cited.value,
            working: Vec::new(),
            basis: vec![cited.citation.clone()],
        }
    }

    /// Nothing known, for this reason.
    pub fn missing(why: impl Into<String>) -> Self {
        Self::Unknown {
            why: why.into(),
            basis: Vec::new(),
        }
    }
}

/// A capacity on its way from the table to the place.
struct Working {
    current: Current,
    lines: Vec<String>,
    basis: Vec<Citation>,
}

impl Working {
    fn start(what: &str, table: Lookup<Current>) -> Result<Self, Rating> {
        match table {
            Lookup::Known { cited, remarks } => {
                let mut lines = vec![format!(
                    "{what} carries {} by the table",
                    cited.value.show()
                )];
                lines.extend(remarks.iter().map(ToString::to_string));
                Ok(Self {
                    current: cited.value,
                    lines,
                    basis: vec![cited.citation],
                })
            }
            Lookup::NotInTable { why, citation } => Err(Rating::Unknown {
                why,
                basis: vec![citation],
            }),
        }
    }

    fn times(mut self, factor: &Cited<Ratio>, reason: &str) -> Self {
        if factor.value.in_parts_of_one() == 1.0 {
            return self;
        }
        let before = show_rounded(self.current);
        self.current = self.current * factor.value;
        let after = show_rounded(self.current);
        self.lines.push(format!(
            "{before} × {:.2} ({reason}) = {after}",
            factor.value.in_parts_of_one()
        ));
        self.basis.push(factor.citation.clone());
        self
    }

    fn ambient(self, factor: AmbientFactor, air: Spanned<Temperature>) -> Result<Self, Rating> {
        match factor {
            AmbientFactor::Factor(factor) => {
                Ok(self.times(&factor, &format!("air at {}", air.value.show())))
            }
            AmbientFactor::NotPermitted(citation) => Ok(Self {
                current: amperes(0.0),
                lines: vec![format!(
                    "no load is permitted in air at {}",
                    air.value.show()
                )],
                basis: vec![citation],
            }),
            AmbientFactor::NotInTable { why, citation } => Err(Rating::Unknown {
                why,
                basis: vec![citation],
            }),
        }
    }

    fn finish(self) -> Rating {
        Rating::Known {
            current: self.current,
            working: self.lines,
            basis: self.basis,
        }
    }
}

impl Survey<'_> {
    /// What the conductors of an element may carry where they lie; `None` for elements that have no
    /// conductors of their own in the definitions.
    pub fn conductor_rating(&self, id: ElementId) -> Option<Rating> {
        let Some(practice) = self.practice() else {
            return Some(Rating::missing(
                "the site does not say which practice binds",
            ));
        };
        let rating = match self.graph.kind(id) {
            ElementKind::Supply(_) | ElementKind::Bank(..) => return None,
            ElementKind::Circuit(circuit) => {
                self.model.circuits[circuit].wiring.get()?;
                self.wiring(practice, id)
            }
            ElementKind::Pdu(pdu) => {
                let cord = self.graph.pdu_model(self.model, pdu)?.cord.get()?;
                let loaded = self.graph.conductors_of(id).len();
                self.flexible(
                    practice,
                    id,
                    cord.conductor.copied(),
                    cord.cordage.copied(),
                    loaded,
                    None,
                )
            }
            ElementKind::Cord(cord) => {
                let kind = self.graph.cord_type(self.model, cord)?;
                self.flexible(
                    practice,
                    id,
                    kind.conductor.copied(),
                    kind.cordage.copied(),
                    2,
                    Some(cord),
                )
            }
            ElementKind::Leg(cord, leg) => {
                let kind = self.graph.cord_type(self.model, cord)?;
                let leg = kind.legs.items().get(leg as usize)?;
                let conductor = leg.conductor.copied().or(kind.conductor.copied());
                let cordage = leg.cordage.copied().or(kind.cordage.copied());
                self.flexible(practice, id, conductor, cordage, 2, Some(cord))
            }
        };
        Some(rating.unwrap_or_else(|unknown| unknown))
    }

    fn flexible(
        &self,
        practice: Practice,
        id: ElementId,
        conductor: Option<ConductorSize>,
        cordage: Option<CordageRef>,
        loaded: usize,
        cord: Option<Id<Cord>>,
    ) -> Result<Rating, Rating> {
        let size = conductor.ok_or_else(|| Rating::missing("the conductor size is missing"))?;
        let air = self
            .ambient(id)
            .ok_or_else(|| Rating::missing("the air temperature is missing"))?;
        let name = cordage.map_or("cord of unknown type", |cordage| cordage.name.as_str());
        let table = ampacity::flexible(practice, cordage, size, loaded as u8);
        let working = Working::start(&format!("{size} {name}"), table)?;
        let working =
            working.ambient(ambient::for_cord(practice, cordage, size, air.value), air)?;
        Ok(self.grouped(working, self.bundled(cord))?.finish())
    }

    /// How many cords lie in a cord's bundle; 1 if it lies alone.
    fn bundled(&self, cord: Option<Id<Cord>>) -> u32 {
        let bundle = cord.and_then(|cord| self.model.cords[cord].item.bundle.get());
        bundle.map_or(1, |bundle| self.graph.links.bundle_size(bundle))
    }

    fn grouped(&self, working: Working, number: u32) -> Result<Working, Rating> {
        if number < 2 {
            return Ok(working);
        }
        match grouping::factor(number, Arrangement::Bunched) {
            Lookup::Known { cited, .. } => {
                Ok(working.times(&cited, &format!("{number} bunched together")))
            }
            Lookup::NotInTable { why, citation } => Err(Rating::Unknown {
                why,
                basis: vec![citation],
            }),
        }
    }

    fn wiring(&self, practice: Practice, id: ElementId) -> Result<Rating, Rating> {
        let ElementKind::Circuit(circuit) = self.graph.kind(id) else {
            return Err(Rating::missing("there is no fixed wiring here"));
        };
        let wiring = self.model.circuits[circuit].item.wiring.get();
        let wiring = wiring.ok_or_else(|| Rating::missing("the wiring is missing"))?;
        let size = wiring
            .conductor
            .copied()
            .ok_or_else(|| Rating::missing("the conductor size is missing"))?;
        let insulation = wiring
            .insulation
            .copied()
            .ok_or_else(|| Rating::missing("the insulation is missing"))?;
        let air = self
            .ambient(id)
            .ok_or_else(|| Rating::missing("the site's air temperature is missing"))?;
        let loaded = self.graph.conductors_of(id).len().clamp(2, 4) as u8;
        let table = wiring::ampacity(practice, size, insulation, loaded);
        let working = Working::start(&format!("{size} fixed wiring"), table)?;
        let working = working.ambient(ambient::for_wiring(practice, insulation, air.value), air)?;
        Ok(self
            .grouped(working, wiring.grouped.copied().unwrap_or(1))?
            .finish())
    }
}
