//! What a conductor may carry where it lies: table × ambient × grouping, with the working shown.

use std::borrow::Cow;
use std::fmt;

use crate::citation::{Citation, Cited};
use crate::finding::Fact;
use crate::flow::protection::derated;
use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::{Circuit, Pole};
use crate::model::cords::Cord;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Field, Id, Named, Spanned};
use crate::quantity::{
    Arrangement as SystemArrangement, ConductorSize, Current, InUnits, Quantity, Ratio,
    Temperature, amperes, degrees_celsius, show_rounded,
};
use crate::source::Span;
use crate::tables::ambient::{self, AmbientFactor};
use crate::tables::cordage::Cordage;
use crate::tables::grouping::{self, Arrangement, Loaded};
use crate::tables::lookup::Lookup;
use crate::tables::{Practice, ampacity, ring, wiring};

use super::Analysis;

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

/// The conductors of an element as the definitions give them.
#[derive(Clone, Copy, Debug)]
pub struct Conductors<'a> {
    /// Their size, if it is known.
    pub size: Option<ConductorSize>,
    /// Where the size stands, or should stand.
    pub field: &'a Field<ConductorSize>,
    /// What they lie in.
    pub jacket: Jacket<'a>,
}

/// What the conductors of a cord lie in, as it is marked.
#[derive(Clone, Copy, Debug)]
pub struct Jacket<'a> {
    /// The cordage; `None` for fixed wiring, and where it is not known.
    pub cordage: Option<&'a Cordage>,
    /// The temperature marked on it.
    pub mark: &'a Field<Temperature>,
}

impl<'a> Jacket<'a> {
    /// That of fixed wiring, which has an insulation instead.
    pub(crate) const NONE: Self = Self {
        cordage: None,
        mark: &Field::Absent,
    };

    /// A cordage with the temperature that is marked on it.
    pub fn marked(cordage: Option<&'a Cordage>, mark: &'a Field<Temperature>) -> Self {
        Self { cordage, mark }
    }

    /// The cordage as hot as it is marked for; one whose mark cannot be read as hot as the least are.
    pub fn as_marked(self) -> Option<Cow<'a, Cordage>> {
        let mark = match self.mark {
            Field::Absent => None,
            Field::Given(mark) => Some(mark.value),
            Field::Unreadable(_) => Some(degrees_celsius(60.0)),
        };
        self.cordage.map(|cordage| cordage.cooled_to(mark))
    }

    /// Whether it turns on a mark that cannot be read what it bears.
    fn is_unread(self) -> bool {
        let is_hot = |cordage: &Cordage| cordage.conductor_temperature > degrees_celsius(60.0);
        matches!(self.mark, Field::Unreadable(_)) && self.cordage.is_some_and(is_hot)
    }
}

impl fmt::Display for Conductors<'_> {
    /// `1.0 mm² H05VV-F`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.size {
            Some(size) => write!(f, "{size}")?,
            None => f.write_str("conductors of unknown size")?,
        }
        match self.jacket.cordage {
            Some(cordage) => write!(f, " {}", cordage.name),
            None => Ok(()),
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
        self.current = derated(self.current, &[factor.value]);
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

    /// A second limit that holds at the same place; where its table is silent the first one stands.
    fn not_above(mut self, limit: Lookup<Current>, what: &str) -> Self {
        if let Some(limit) = limit.cited().filter(|limit| limit.value < self.current) {
            self.current = limit.value;
            self.lines.push(format!("{what} {}", limit.value.show()));
            self.basis.push(limit.citation.clone());
        }
        self
    }

    fn finish(self) -> Rating {
        Rating::Known {
            current: self.current,
            working: self.lines,
            basis: self.basis,
        }
    }
}

impl Analysis<'_> {
    /// What the conductors of an element may carry where they lie; `None` for elements that have no
    /// conductors of their own in the definitions.
    pub fn conductor_rating(&self, id: ElementId) -> Option<Rating> {
        let conductors = self.conductors_of(id)?;
        Some(match conductors.size {
            Some(size) => self.rating_with(id, size, conductors.jacket),
            None => Rating::missing("the conductor size is missing"),
        })
    }

    /// What the conductors of an element may carry if its neutral is not loaded, where nobody can say whether it is:
    /// with the facts that are missing for that, the third harmonics of loads.
    pub fn with_idle_neutral(&self, id: ElementId) -> Option<(Current, Vec<Fact>)> {
        let facts = self.neutral_in_doubt(id)?;
        let conductors = self.conductors_of(id)?;
        let spared = self.loaded_conductors(id) - 1;
        let rating = self.rating_loaded(id, conductors.size?, conductors.jacket, spared);
        Some((rating.current()?, facts))
    }

    /// What other conductors in place of an element's own would carry there. Fixed wiring keeps its
    /// insulation; `jacket` is for cords alone.
    pub fn rating_with(&self, id: ElementId, size: ConductorSize, jacket: Jacket<'_>) -> Rating {
        self.rating_loaded(id, size, jacket, self.loaded_conductors(id))
    }

    /// The same with so many loaded conductors.
    fn rating_loaded(
        &self,
        id: ElementId,
        size: ConductorSize,
        jacket: Jacket<'_>,
        loaded: u8,
    ) -> Rating {
        let Some(practice) = self.practice() else {
            return Rating::missing("the site does not say which practice binds");
        };
        let rating = match self.graph.kind(id) {
            ElementKind::Circuit(circuit) => self.wiring(practice, id, circuit, (size, loaded)),
            ElementKind::Pdu(_) => self.flexible(practice, id, (size, loaded), jacket, Some(1)),
            ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
                self.flexible(practice, id, (size, loaded), jacket, self.bundled(cord))
            }
            ElementKind::Supply(_) | ElementKind::Bank(..) => {
                Err(Rating::missing("there are no conductors here"))
            }
        };
        rating.unwrap_or_else(|unknown| unknown)
    }

    /// Whether an element has conductors that nobody has written down: wiring, or the cord of a strip.
    pub fn hides_conductors(&self, id: ElementId) -> bool {
        match self.graph.kind(id) {
            ElementKind::Circuit(circuit) => {
                let circuit = &self.model.circuits[circuit];
                circuit.wiring.known().is_none() && circuit.landlords_alone().is_none()
            }
            ElementKind::Pdu(pdu) => {
                let model = self.graph.pdu_model(self.model, pdu);
                let is_unwritten = model.is_some_and(|model| model.cord.known().is_none());
                is_unwritten && !self.is_without_input_cord(pdu)
            }
            _ => false,
        }
    }

    /// The conductors that the definitions give an element; `None` where they give it none.
    pub fn conductors_of(&self, id: ElementId) -> Option<Conductors<'_>> {
        if self.graph.is_adapter(self.model, self.graph.kind(id)) {
            return None;
        }
        let kind = self.graph.kind(id);
        let (field, jacket) = match kind {
            ElementKind::Circuit(circuit) => (
                &self.model.circuits[circuit].wiring.known()?.conductor,
                Jacket::NONE,
            ),
            _ => {
                let flex = self.graph.flex(self.model, kind)?;
                (
                    &**flex.conductor,
                    Jacket::marked(flex.cordage.row(), flex.mark),
                )
            }
        };
        Some(Conductors {
            size: field.known().copied(),
            field,
            jacket,
        })
    }

    /// How many conductors of an element carry current and warm it.
    ///
    /// In a run of three lines and a neutral this one counts, unless IEC practice binds and every load below is known
    /// to have so little third harmonic that it does not, or so much that it alone does. Between two lines that are
    /// opposed a neutral carries what the one has less than the other, also of the harmonics: under NEC practice it
    /// does not count there (310.15(E)(1), and 400.5(A) for cords).
    pub fn loaded_conductors(&self, id: ElementId) -> u8 {
        // What hangs on more poles than are reckoned has the conductors of what feeds it.
        let all = self.graph.upwards(id);
        let mut all = all.map(|at| self.graph.conductors_of(at).len());
        let poles = all.find(|poles| *poles > 0).unwrap_or(2).max(2) as u8;
        let spared = match (poles, self.practice()) {
            (4, Some(Practice::Iec)) => {
                self.are_all(id, Loaded::Lines) || self.are_all(id, Loaded::Neutral)
            }
            (3, Some(Practice::Nec)) => self.has_opposed_lines(id),
            _ => false,
        };
        poles - u8::from(spared)
    }

    /// Whether every load below has a third harmonic that is known, and loads these conductors.
    fn are_all(&self, id: ElementId, loaded: Loaded) -> bool {
        let mut shares = self.third_harmonics(id);
        shares.all(|(_, share)| share.is_some_and(|share| grouping::loaded_by(share) == loaded))
    }

    /// Whether an element has a neutral between the two opposed lines of a single-phase supply.
    fn has_opposed_lines(&self, id: ElementId) -> bool {
        let supply = self.graph.supply_of(id);
        let system = supply.and_then(|supply| self.model.supplies[supply].system.known());
        let mut poles = self.graph.poles(id);
        poles.any(|pole| pole == Pole::N)
            && system.is_some_and(|system| system.arrangement == SystemArrangement::SplitPhase)
    }

    /// What is missing to say whether a neutral that counts as loaded is: a third harmonic that nobody has written,
    /// or that cannot be read, where all that are known are small.
    fn neutral_in_doubt(&self, id: ElementId) -> Option<Vec<Fact>> {
        let is_of_four = self.graph.conductors_of(id).len() == 4;
        if !is_of_four || self.practice() != Some(Practice::Iec) {
            return None;
        }
        let is_large = |share: Ratio| grouping::loaded_by(share) != Loaded::Lines;
        let mut unknown = Vec::new();
        for (device, share) in self.third_harmonics(id) {
            match share {
                Some(share) if is_large(share) => return None,
                Some(_) => {}
                None => unknown.push(device),
            }
        }
        let of_model = |model: &Named<DeviceModel>| {
            Fact::of(model, "third-harmonic", Some(&model.third_harmonic))
        };
        let facts = unknown.into_iter();
        let facts = facts.map(|device| self.device_model_fact(device, of_model));
        let mut facts: Vec<Fact> = facts.collect();
        facts.sort();
        facts.dedup();
        (!facts.is_empty()).then_some(facts)
    }

    /// The devices below an element, each with the third harmonic of its current where that is known.
    fn third_harmonics(
        &self,
        id: ElementId,
    ) -> impl Iterator<Item = (Id<Device>, Option<Ratio>)> + '_ {
        let below = self.graph.below(id).map(ElementId);
        let devices = below.filter_map(|at| self.device_fed_by(at));
        devices.map(|device| {
            let model = self.graph.device_model(self.model, device);
            let share = model.and_then(|model| model.third_harmonic.known().copied());
            (device, share)
        })
    }

    fn flexible(
        &self,
        practice: Practice,
        id: ElementId,
        (size, loaded): (ConductorSize, u8),
        jacket: Jacket<'_>,
        bundled: Option<u32>,
    ) -> Result<Rating, Rating> {
        let air = self
            .ambient(id)
            .ok_or_else(|| Rating::missing("the air temperature is missing"))?;
        let cordage = jacket.as_marked();
        let cordage = cordage.as_deref();
        if jacket.is_unread() {
            let why = "what temperature its cordage is marked for cannot be read";
            return Err(Rating::missing(why));
        }
        let name = cordage.map_or("cord of unknown type", |cordage| cordage.name.as_str());
        let table = ampacity::flexible(practice, cordage, size, loaded);
        let working = Working::start(&format!("{size} {name}"), table)?;
        let working =
            working.ambient(ambient::for_cord(practice, cordage, size, air.value), air)?;
        let bundled = bundled.ok_or_else(|| Rating::missing("its bundle cannot be read"))?;
        Ok(self.grouped(working, bundled)?.finish())
    }

    /// How many cords lie in a cord's bundle; 1 if it lies alone, `None` if that cannot be read.
    pub fn bundled(&self, cord: Id<Cord>) -> Option<u32> {
        match &self.model.cords[cord].item.bundle {
            Field::Given(bundle) => Some(self.graph.links.bundle_size(&bundle.value)),
            Field::Absent => Some(1),
            Field::Unreadable(_) => None,
        }
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

    fn wiring(
        &self,
        practice: Practice,
        id: ElementId,
        circuit: Id<Circuit>,
        (size, loaded): (ConductorSize, u8),
    ) -> Result<Rating, Rating> {
        let wiring = self.model.circuits[circuit].item.wiring.known();
        let wiring = wiring.ok_or_else(|| Rating::missing("the wiring is missing"))?;
        let insulation = wiring
            .insulation
            .known()
            .copied()
            .ok_or_else(|| Rating::missing("the insulation is missing"))?;
        let air = self
            .ambient(id)
            .ok_or_else(|| Rating::missing("the site's air temperature is missing"))?;
        let table = wiring::ampacity(practice, size, insulation, loaded);
        let working = Working::start(&format!("{size} fixed wiring"), table)?;
        let working = working.ambient(ambient::for_wiring(practice, insulation, air.value), air)?;
        let grouped = match &wiring.grouped {
            Field::Given(grouped) => grouped.value,
            Field::Absent => 1,
            Field::Unreadable(_) => {
                let why = "how many circuits lie bunched with it cannot be read";
                return Err(Rating::missing(why));
            }
        };
        let working = self.grouped(working, grouped)?;
        let working = match practice {
            Practice::Iec => working,
            Practice::Nec => {
                let terminals = wiring.terminals.written().map_err(|_| {
                    Rating::missing("what its terminals are marked for cannot be read")
                })?;
                let marked = terminals.map(|marked| marked.value);
                let words = match marked {
                    Some(marked) => format!("its terminals, marked {}, carry", marked.show()),
                    None => "its terminals carry, by 60 °C, as nothing else is marked:".to_owned(),
                };
                working.not_above(wiring::terminal_limit(size, marked), &words)
            }
        };
        match self.is_fused_ring(circuit) {
            Ok(true) => Ok(as_ring(working.finish(), size)),
            Ok(false) => Ok(working.finish()),
            Err(_) => Err(Rating::missing("whether it is a ring cannot be read")),
        }
    }

    /// Whether the wiring of a circuit is a ring of sockets for plugs with fuses.
    ///
    /// # Errors
    /// Where that stands, if it cannot be read.
    pub(super) fn is_fused_ring(&self, circuit: Id<Circuit>) -> Result<bool, Span> {
        let circuit = &self.model.circuits[circuit].item;
        let is_fused = circuit.receptacle.coupler.is_fused();
        let wiring = circuit.wiring.known();
        Ok(is_fused && wiring.map_or(Ok(false), |wiring| wiring.ring.says_yes())?)
    }
}

/// What conductors carry that lie in a ring.
fn as_ring(each: Rating, size: ConductorSize) -> Rating {
    match each {
        Rating::Known {
            current,
            mut working,
            mut basis,
        } => {
            let ring = ring::carries(current, size);
            if let Some(ring) = &ring {
                working.push(format!(
                    "a ring of such conductors carries {}",
                    ring.value.show()
                ));
                basis.push(ring.citation.clone());
            }
            Rating::Known {
                current: ring.map_or(current, |ring| ring.value),
                working,
                basis,
            }
        }
        Rating::Unknown { .. } => each,
    }
}
