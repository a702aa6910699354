//! Lengths of flexible cord where they lie: cords, legs with cordage of their own, input cords of strips.

use smol_str::SmolStr;

use crate::analysis::{Analysis, place};
use crate::citation::{Citation, Cited};
use crate::finding::{Fact, Level};
use crate::graph::ElementId;
use crate::model::cords::{Cord, StatedService};
use crate::model::flex::Flex;
use crate::model::pdus::Pdu;
use crate::model::places::Zone;
use crate::model::text::CordageRef;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::quantity::{ConductorSize, Temperature};
use crate::rules::illegible::Illegible;
use crate::rules::{Draft, Rule};
use crate::source::Span;
use crate::tables::cordage::{Cordage, Family};

/// Whose cord it is.
#[derive(Clone, Copy)]
enum Owner {
    Cord(Id<Cord>),
    Leg(Id<Cord>, u32),
    Input(Id<Pdu>),
}

/// A length of one cordage.
#[derive(Clone, Copy)]
pub(super) struct Run<'a> {
    owner: Owner,
    /// Its cordage.
    pub cordage: &'a Field<CordageRef>,
    /// Its conductors.
    pub conductor: Option<ConductorSize>,
    /// The cord type, leg or PDU model that gives the cordage.
    pub kind: &'a Spanned<Name>,
    /// Temperature marked on it.
    mark: Option<&'a Spanned<Temperature>>,
    /// What its maker states.
    stated: Option<&'a StatedService>,
    /// Whether it begins and ends in one rack.
    pub is_within_a_rack: bool,
}

/// All runs of flexible cord: those of all cords, and the input cords of strips. Runs of unknown kind are
/// left out.
pub(super) fn runs<'a>(analysis: &Analysis<'a>) -> impl Iterator<Item = Run<'a>> {
    let analysis = *analysis;
    let cords = analysis.model.cords.iter();
    let cords = cords.flat_map(move |(cord, _)| of_cord(analysis, cord));
    let strips = analysis.model.pdus.iter();
    cords.chain(strips.filter_map(move |(pdu, _)| input(&analysis, pdu)))
}

/// The trunk, and every leg that has a cordage of its own.
fn of_cord<'a>(analysis: Analysis<'a>, cord: Id<Cord>) -> impl Iterator<Item = Run<'a>> {
    let number = analysis.graph.links.cord_types[cord.index()];
    let kind = number.map(|number| &analysis.model.cord_types[number]);
    let kind = kind.filter(|kind| !kind.is_adapter());
    let is_within_a_rack = analysis.stays_in_one_rack(cord);
    kind.into_iter().flat_map(move |kind| {
        let flexes = kind.flexes().zip(0_u32..);
        let own = flexes.filter(|((_, flex), _)| !flex.shares_cordage);
        own.map(move |((leg, flex), number)| {
            let (owner, name) = match leg {
                None => (Owner::Cord(cord), &kind.name),
                Some(leg) => (Owner::Leg(cord, number - 1), &leg.name),
            };
            Run::of(owner, flex, name, is_within_a_rack)
        })
    })
}

fn input<'a>(analysis: &Analysis<'a>, pdu: Id<Pdu>) -> Option<Run<'a>> {
    let number = analysis.graph.links.pdu_models[pdu.index()]?;
    let model = &analysis.model.pdu_models[number];
    if analysis.is_without_input_cord(pdu) {
        return None;
    }
    let owner = Owner::Input(pdu);
    Some(match model.cord.known() {
        Some(cord) => Run::of(owner, cord.flex(), &model.name, false),
        None => Run {
            owner,
            cordage: &Field::Absent,
            conductor: None,
            kind: &model.name,
            mark: None,
            stated: None,
            is_within_a_rack: false,
        },
    })
}

impl<'a> Run<'a> {
    fn of(owner: Owner, flex: Flex<'a>, kind: &'a Spanned<Name>, is_within_a_rack: bool) -> Self {
        Self {
            owner,
            cordage: flex.cordage,
            conductor: flex.conductor.known().copied(),
            kind,
            mark: flex.mark.given(),
            stated: flex.service.known(),
            is_within_a_rack,
        }
    }

    /// The cordage as a fact, if it is not given.
    pub fn cordage_fact(&self, analysis: &Analysis<'_>) -> Option<Fact> {
        let is_given = self.cordage.given().is_some();
        let field = Some(self.cordage);
        (!is_given).then(|| match self.owner {
            Owner::Cord(cord) => {
                analysis.cord_type_fact(cord, |kind| Fact::of(kind, "cordage", field))
            }
            Owner::Leg(cord, _) => analysis.cord_type_fact(cord, |kind| {
                Fact::of(kind, "legs.cordage", field).within(self.kind.value.clone())
            }),
            Owner::Input(pdu) => {
                analysis.pdu_model_fact(pdu, |kind| Fact::of(kind, "cord.cordage", field))
            }
        })
    }

    /// The cord; `None` for the input cord of a strip.
    pub fn cord(&self) -> Option<Id<Cord>> {
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord, _) => Some(cord),
            Owner::Input(_) => None,
        }
    }

    /// Its place in the power graph; `None` if nothing feeds it.
    pub fn element(&self, analysis: &Analysis<'_>) -> Option<ElementId> {
        match self.owner {
            Owner::Cord(cord) => analysis.graph.cord(cord),
            Owner::Leg(cord, leg) => analysis.graph.leg(cord, leg),
            Owner::Input(pdu) => analysis.graph.pdu(pdu),
        }
    }

    /// The first zone it touches of which `is_meant` holds.
    pub fn zone(
        &self,
        analysis: &Analysis<'a>,
        is_meant: impl Fn(&Zone) -> bool,
    ) -> Option<&'a Named<Zone>> {
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord, _) => {
                analysis.zones_of_cord(cord).find(|zone| is_meant(zone))
            }
            Owner::Input(pdu) => analysis.zone_of_pdu(pdu).filter(|zone| is_meant(zone)),
        }
    }

    /// Asks what cannot be read of what a zone asks of it.
    pub fn ask(
        &self,
        analysis: &Analysis<'a>,
        (rule, illegible): (&Rule, &mut Illegible),
        asked: impl Fn(&Zone) -> Option<(&'static str, Span)>,
    ) {
        let Some(zone) = self.zone(analysis, |zone| asked(zone).is_some()) else {
            return;
        };
        if let Some((key, at)) = asked(zone) {
            let fact = Fact::unreadable(zone, key, at);
            let question = || format!("do the jackets in zone {} suit it", zone.name.value);
            let told = illegible.ask(rule, &fact, question);
            told.suffered_by([self.whole(analysis).clone()]);
        }
    }

    /// The hottest air it lies in; `None` if nobody says.
    pub fn air(&self, analysis: &Analysis<'a>) -> Option<Spanned<Temperature>> {
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord, _) => analysis.ambient_of_cord(cord),
            Owner::Input(pdu) => analysis.ambient_of_pdu(pdu),
        }
    }

    /// The highest temperature its conductors bear: of a NEC cord the one marked on it, of others
    /// never more than the type's own.
    pub fn limit(&self, cordage: &Cordage) -> Cited<Temperature> {
        let own = cordage.ambient_limit();
        match self.mark {
            Some(mark) if cordage.family == Family::Nec || mark.value < own.value => Cited {
                value: mark.value,
                citation: Citation::marked("temperature as marked on the cordage"),
            },
            _ => own,
        }
    }

    /// What the table says of its service, or, where the table is silent, its maker.
    pub fn serves(
        &self,
        table: Option<bool>,
        stated: impl Fn(&StatedService) -> Option<bool>,
    ) -> Option<bool> {
        table.or_else(|| self.stated.and_then(stated))
    }

    /// The cord, or the strip whose input cord it is.
    pub fn whole<'s>(&self, analysis: &Analysis<'s>) -> &'s Name {
        let model = analysis.model;
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord, _) => &model.cords[cord].name.value,
            Owner::Input(pdu) => &model.pdus[pdu].name.value,
        }
    }

    fn name(&self, analysis: &Analysis<'_>) -> SmolStr {
        let model = analysis.model;
        match self.owner {
            Owner::Cord(cord) => model.cords[cord].name.value.clone(),
            Owner::Leg(cord, _) => {
                format!("{}/{}", model.cords[cord].name.value, self.kind.value).into()
            }
            Owner::Input(pdu) => model.pdus[pdu].name.value.clone(),
        }
    }

    /// For the middle of a sentence: `cord W-1`, `the input cord of PDU ph-1-a`.
    pub fn describe(&self, analysis: &Analysis<'_>) -> String {
        let model = analysis.model;
        match self.owner {
            Owner::Cord(cord) => format!("cord {}", model.cords[cord].name.value),
            Owner::Leg(cord, _) => {
                let cord = &model.cords[cord].name.value;
                format!("leg {} of cord {cord}", self.kind.value)
            }
            Owner::Input(pdu) => format!("the input cord of PDU {}", model.pdus[pdu].name.value),
        }
    }

    /// What gives the cordage: `cord type c14-1.5m`.
    pub fn describe_kind(&self) -> String {
        let word = match self.owner {
            Owner::Cord(_) => "cord type",
            Owner::Leg(..) => "leg",
            Owner::Input(_) => "the input cord of PDU model",
        };
        format!("{word} {}", self.kind.value)
    }

    /// Where its type is chosen.
    fn chosen_at(&self, analysis: &Analysis<'_>) -> Span {
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord, _) => analysis.cord_choice(cord),
            Owner::Input(pdu) => analysis.pdu_choice(pdu),
        }
    }

    /// A finding about this run, placed where its type is chosen.
    pub fn broken(
        &self,
        analysis: &Analysis<'_>,
        rule: &Rule,
        headline: String,
        basis: Citation,
    ) -> Draft {
        let name = self
            .cordage
            .known()
            .map_or("unknown", |cordage| cordage.name.as_str());
        let note = format!("{}: {name}", self.describe_kind());
        let cordage = self.cordage.span().map(|span| place(span, name));
        let ends = self.cord().map(|cord| analysis.ends_of(cord));
        Draft::new(rule, headline, self.chosen_at(analysis), note, basis)
            .below(cordage)
            .below(ends.into_iter().flatten())
            .about([self.name(analysis)])
    }
}

/// The level that a finding may have whose limit rests on `citation` alone: an error only if that is firm.
pub(super) fn held_back(level: Level, citation: &Citation) -> Level {
    match citation.confidence.is_firm() {
        true => level,
        false => level.min(Level::Warning),
    }
}
