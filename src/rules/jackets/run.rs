//! Lengths of flexible cord where they lie: cords, legs with cordage of their own, input cords of strips.

use std::collections::BTreeSet;

use smol_str::SmolStr;

use crate::citation::{Citation, Cited};
use crate::finding::{Finding, Level, Place};
use crate::model::cords::{Cord, StatedService};
use crate::model::pdus::Pdu;
use crate::model::places::Zone;
use crate::model::text::CordageRef;
use crate::model::value::{Field, Id, Name, Named, Spanned};
use crate::quantity::{ConductorSize, Quantity, Temperature};
use crate::rules::{Draft, Rule};
use crate::source::Span;
use crate::survey::{Survey, absence, field_or_name, place};
use crate::tables::cordage::{self, Cordage, Family, SizeFit};

/// Whose cord it is.
#[derive(Clone, Copy)]
enum Owner {
    Cord(Id<Cord>),
    Leg(Id<Cord>),
    Input(Id<Pdu>),
}

/// A length of one cordage.
#[derive(Clone, Copy)]
pub(super) struct Run<'a> {
    owner: Owner,
    /// Its cordage.
    pub cordage: &'a Field<CordageRef>,
    /// Its conductors.
    conductor: Option<ConductorSize>,
    /// The cord type, leg or PDU model that gives the cordage.
    kind: &'a Spanned<Name>,
    /// Temperature marked on it.
    mark: Option<&'a Spanned<Temperature>>,
    /// What its maker states.
    stated: Option<&'a StatedService>,
}

/// Every run of flexible cord of the site whose kind is known.
pub(super) fn runs<'a>(survey: &Survey<'a>) -> impl Iterator<Item = Run<'a>> {
    let survey = *survey;
    let cords = survey.model.cords.iter();
    let strips = survey.model.pdus.iter();
    let inputs = strips.filter_map(move |(pdu, _)| input(&survey, pdu));
    cords
        .flat_map(move |(cord, _)| of_cord(survey, cord))
        .chain(inputs)
}

/// The trunk, and every leg that has a cordage of its own.
fn of_cord<'a>(survey: Survey<'a>, cord: Id<Cord>) -> impl Iterator<Item = Run<'a>> {
    let number = survey.graph.links.cord_types[cord.index()];
    let kind = number.map(|number| &survey.model.cord_types[number]);
    kind.into_iter().flat_map(move |kind| {
        let trunk = Run {
            owner: Owner::Cord(cord),
            cordage: &kind.cordage,
            conductor: kind.conductor.copied(),
            kind: &kind.name,
            mark: kind.temperature.given(),
            stated: kind.service.get(),
        };
        let legs = kind.legs.iter().filter(|(_, leg)| !leg.cordage.is_absent());
        let legs = legs.map(move |(_, leg)| Run {
            owner: Owner::Leg(cord),
            cordage: &leg.cordage,
            conductor: leg.conductor.copied().or(kind.conductor.copied()),
            kind: &leg.name,
            mark: None,
            stated: None,
        });
        std::iter::once(trunk).chain(legs)
    })
}

fn input<'a>(survey: &Survey<'a>, pdu: Id<Pdu>) -> Option<Run<'a>> {
    let number = survey.graph.links.pdu_models[pdu.index()]?;
    let model = &survey.model.pdu_models[number];
    let cord = model.cord.get();
    Some(Run {
        owner: Owner::Input(pdu),
        cordage: cord.map_or(&Field::Absent, |cord| &cord.cordage),
        conductor: cord.and_then(|cord| cord.conductor.copied()),
        kind: &model.name,
        mark: None,
        stated: cord.and_then(|cord| cord.service.get()),
    })
}

impl<'a> Run<'a> {
    /// The cord; `None` for the input cord of a strip.
    pub fn cord(&self) -> Option<Id<Cord>> {
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord) => Some(cord),
            Owner::Input(_) => None,
        }
    }

    /// The first zone it touches of which `is_meant` holds.
    pub fn zone(
        &self,
        survey: &Survey<'a>,
        is_meant: impl Fn(&Zone) -> bool,
    ) -> Option<&'a Named<Zone>> {
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord) => {
                survey.zones_of_cord(cord).find(|zone| is_meant(zone))
            }
            Owner::Input(pdu) => survey.zone_of_pdu(pdu).filter(|zone| is_meant(zone)),
        }
    }

    /// The hottest air it lies in; `None` if nobody says.
    pub fn air(&self, survey: &Survey<'a>) -> Option<Spanned<Temperature>> {
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord) => survey.ambient_of_cord(cord),
            Owner::Input(pdu) => match survey.zone_of_pdu(pdu) {
                Some(zone) if !zone.ambient.is_absent() => zone.ambient.given().copied(),
                _ => survey.model.site.ambient.given().copied(),
            },
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

    fn name(&self, survey: &Survey<'_>) -> SmolStr {
        let model = survey.model;
        match self.owner {
            Owner::Cord(cord) => model.cords[cord].name.value.clone(),
            Owner::Leg(cord) => {
                format!("{}/{}", model.cords[cord].name.value, self.kind.value).into()
            }
            Owner::Input(pdu) => model.pdus[pdu].name.value.clone(),
        }
    }

    /// For the middle of a sentence: `cord W-1`, `the input cord of PDU ph-1-a`.
    pub fn describe(&self, survey: &Survey<'_>) -> String {
        let model = survey.model;
        match self.owner {
            Owner::Cord(cord) => format!("cord {}", model.cords[cord].name.value),
            Owner::Leg(cord) => {
                let cord = &model.cords[cord].name.value;
                format!("leg {} of cord {cord}", self.kind.value)
            }
            Owner::Input(pdu) => format!("the input cord of PDU {}", model.pdus[pdu].name.value),
        }
    }

    /// What gives the cordage: `cord type c14-1.5m`.
    fn describe_kind(&self) -> String {
        let word = match self.owner {
            Owner::Cord(_) => "cord type",
            Owner::Leg(_) => "leg",
            Owner::Input(_) => "the input cord of PDU model",
        };
        format!("{word} {}", self.kind.value)
    }

    /// Where its type is chosen.
    fn chosen_at(&self, survey: &Survey<'_>) -> Span {
        let model = survey.model;
        match self.owner {
            Owner::Cord(cord) | Owner::Leg(cord) => {
                field_or_name(&model.cords[cord].cord_type, &model.cords[cord].name)
            }
            Owner::Input(pdu) => field_or_name(&model.pdus[pdu].model, &model.pdus[pdu].name),
        }
    }

    /// A finding about this run, placed where its type is chosen.
    pub fn broken(
        &self,
        survey: &Survey<'_>,
        rule: &Rule,
        headline: String,
        basis: Citation,
    ) -> Draft {
        let name = self
            .cordage
            .get()
            .map_or("unknown", |cordage| cordage.name.as_str());
        let note = format!("{}: {name}", self.describe_kind());
        let cordage = self.cordage.span().map(|span| place(span, name));
        let ends = self.cord().map(|cord| survey.ends_of(cord));
        Draft::new(rule, headline, self.chosen_at(survey), note, basis)
            .below(cordage)
            .below(ends.into_iter().flatten())
            .about([self.name(survey)])
    }
}

/// What is not decided, once for each kind of cord however many there are of it.
#[derive(Default)]
pub(super) struct OpenKinds(BTreeSet<Span>);

impl OpenKinds {
    /// Adds the finding that `headline` and `advice` make, unless the kind has one already. The
    /// place is its cordage, or where that should stand.
    pub fn add(
        &mut self,
        run: &Run<'_>,
        rule: &Rule,
        words: impl Fn(&str) -> OpenWords,
        demand: Option<Place>,
        findings: &mut Vec<Finding>,
    ) {
        if !self.0.insert(run.kind.span) {
            return;
        }
        let words = words(&run.describe_kind());
        let at = field_or_name(run.cordage, run.kind);
        let note = match run.cordage {
            Field::Given(cordage) => cordage.value.name.to_string(),
            missing => format!("its cordage {}", absence(missing)),
        };
        let draft = Draft::new(rule, words.headline, at, note, words.basis)
            .open()
            .above(demand)
            .about([run.kind.value.clone()])
            .advice(words.advice);
        findings.push(draft.finish());
    }
}

/// The words of an open finding.
pub(super) struct OpenWords {
    pub headline: String,
    pub basis: Citation,
    pub advice: String,
}

/// The level that a finding may have whose limit rests on `citation` alone: an error only if that is firm.
pub(super) fn held_back(level: Level, citation: &Citation) -> Level {
    match citation.confidence.is_firm() {
        true => level,
        false => level.min(Level::Warning),
    }
}

/// A cord type of the site with the same ends whose cordage will do, or the first cordage of the
/// tables that will.
pub(super) fn replacement(
    survey: &Survey<'_>,
    run: &Run<'_>,
    will_do: impl Fn(&Cordage) -> bool,
) -> Option<String> {
    let kind = run
        .cord()
        .and_then(|cord| survey.graph.cord_type(survey.model, cord));
    let alike = kind.and_then(|kind| {
        survey.model.cord_types.items().iter().find(|other| {
            other.plug.get() == kind.plug.get()
                && other.connector.get() == kind.connector.get()
                && other.cordage.get().is_some_and(|cordage| will_do(cordage))
        })
    });
    if let Some(alike) = alike {
        let length = alike
            .length
            .get()
            .map_or_else(String::new, |length| format!(" ({})", length.show()));
        return Some(format!("cord type {}{length}", alike.name.value));
    }
    let now = run.cordage.get().copied();
    let serves = |other: &&Cordage| will_do(other) && is_no_step_back(other, now, run.conductor);
    let mut fitting = cordage::all().iter().filter(serves);
    let family = now.map(|now| now.family);
    let other = fitting.clone().find(|other| Some(other.family) == family);
    Some(format!(
        "a cord of {}",
        other.or_else(|| fitting.next())?.name
    ))
}

/// Whether a cordage is made in the size that is needed, for a voltage no lower than now.
fn is_no_step_back(other: &Cordage, now: Option<&Cordage>, size: Option<ConductorSize>) -> bool {
    let is_made = size.is_none_or(|size| other.size_fit(size) == SizeFit::Made);
    is_made && now.is_none_or(|now| other.voltage.between >= now.voltage.between)
}
