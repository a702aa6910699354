//! Protective conductor currents, added up along the tree.
//!
//! They come from the filters in the power supplies and flow whenever an inlet is fed, whatever the
//! load: every fed inlet counts, and no loss of another path makes more of them. They are added as
//! plain numbers. Of inlets on different phases part cancels, so that the sum is the safe side.

use std::collections::BTreeMap;

use crate::citation::Citation;
use crate::graph::{CordFeed, ElementId, InletLink, Receiver};
use crate::model::devices::{DeviceModel, ProtectiveClass};
use crate::model::value::{Id, Name, Spanned};
use crate::quantity::{Current, InUnits, Quantity, amperes, show_rounded};
use crate::source::Span;
use crate::survey::Survey;
use crate::tables::couplers::Family;
use crate::tables::limits;

/// What flows in the protective conductor of an element.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sum {
    /// Of the inlets whose current is known: a lower bound.
    pub known: Current,
    /// The most it can be: where no current is given, that of equipment that needs no label for it.
    pub most: Current,
}

impl Sum {
    fn add(&mut self, other: Self) {
        self.known += other.known;
        self.most += other.most;
    }
}

/// The sums of all elements.
pub(super) struct EarthCurrents(Vec<Sum>);

impl EarthCurrents {
    /// Adds up once for the whole site.
    pub(super) fn new(survey: &Survey<'_>) -> Self {
        let graph = survey.graph;
        let unlabelled = limits::equipment_earth_current().map(|limit| limit.value);
        let mut sums = vec![Sum::default(); graph.len()];
        for link in &graph.links.inlets {
            if let Some(by) = graph.feeding(link) {
                sums[by.index()].add(of_inlet(survey, link, unlabelled));
            }
        }
        // Feeders stand before what they feed.
        for index in (0..sums.len()).rev() {
            let own = sums[index];
            if let Some(feeder) = graph.element(ElementId(index as u32)).feeder {
                sums[feeder.index()].add(own);
            }
        }
        Self(sums)
    }

    /// The sum of an element.
    pub(super) fn of(&self, id: ElementId) -> Sum {
        self.0[id.index()]
    }
}

fn of_inlet(survey: &Survey<'_>, link: &InletLink, unlabelled: Option<Current>) -> Sum {
    if let Some(known) = given(survey, link) {
        return Sum { known, most: known };
    }
    let most = unlabelled.filter(|_| !has_industrial_plug(survey, link));
    Sum {
        known: Current::default(),
        most: most.unwrap_or(amperes(f64::INFINITY)),
    }
}

/// The current of an inlet; none flows from equipment that has no protective conductor.
fn given(survey: &Survey<'_>, link: &InletLink) -> Option<Current> {
    let model = survey.graph.device_model(survey.model, link.device)?;
    let unearthed = matches!(
        model.class.get(),
        Some(ProtectiveClass::II | ProtectiveClass::III)
    );
    let none = (unearthed && model.earth_current.is_absent()).then(Current::default);
    model.earth_current.copied().or(none)
}

/// Whether the inlet is fed by an industrial plug straight from a circuit: such equipment may leak more.
fn has_industrial_plug(survey: &Survey<'_>, link: &InletLink) -> bool {
    let Some((cord, _)) = link.fed_by else {
        return false;
    };
    let plug = survey
        .graph
        .cord_type(survey.model, cord)
        .and_then(|kind| kind.plug.get());
    let feed = survey.graph.links.cord_feeds[cord.index()];
    matches!(feed, Some(CordFeed::Receptacle(_)))
        && plug.is_some_and(|plug| plug.family == Family::Iec60309)
}

/// The inlets below an element, counted by the model of their device.
fn counted(survey: &Survey<'_>, id: ElementId) -> BTreeMap<Id<DeviceModel>, u32> {
    let mut models = BTreeMap::new();
    for below in survey.graph.below(id) {
        if let Some(&Receiver::Inlet(number)) = survey.graph.receiver(ElementId(below)) {
            let device = survey.graph.links.inlets[number as usize].device;
            if let Some(model) = survey.graph.links.device_models[device.index()] {
                *models.entry(model).or_default() += 1;
            }
        }
    }
    models
}

/// The sum of an element by device model, a line each, and the total.
pub(super) fn working(survey: &Survey<'_>, id: ElementId, sum: Sum) -> Vec<String> {
    let mut lines = Vec::new();
    for (model, count) in counted(survey, id) {
        let model = &survey.model.device_models[model];
        let inlets = if count == 1 { "inlet" } else { "inlets" };
        match model.earth_current.get() {
            Some(each) => lines.push(format!(
                "{count} {inlets} of model {} × {} = {}",
                model.name.value,
                each.show(),
                show_rounded(*each * f64::from(count))
            )),
            None => lines.push(format!(
                "{count} {inlets} of model {}: no current known, left out",
                model.name.value
            )),
        }
    }
    if lines.len() > 1 {
        lines.push(format!("together {}", show_rounded(sum.known)));
    }
    let lines_carried = survey.graph.conductors_of(id).len();
    if lines_carried > 2 {
        lines.push("phases are added plainly, the safe side: between them part cancels".to_owned());
    }
    lines
}

/// A model that gives no earth current, and a place in the site where that matters.
pub(super) struct Lacking<'a> {
    /// The model.
    pub name: &'a Spanned<Name>,
    /// Where the figure should stand.
    pub at: Span,
    /// The first element that cannot be judged for want of it.
    pub element: ElementId,
}

/// The models without an earth current below any of `undecided`, each once.
pub(super) fn lacking<'a>(survey: &Survey<'a>, undecided: &[ElementId]) -> Vec<Lacking<'a>> {
    let mut models: BTreeMap<Id<DeviceModel>, ElementId> = BTreeMap::new();
    for &element in undecided {
        for below in survey.graph.below(element) {
            let Some(&Receiver::Inlet(number)) = survey.graph.receiver(ElementId(below)) else {
                continue;
            };
            let link = &survey.graph.links.inlets[number as usize];
            if let Some(model) = survey.graph.links.device_models[link.device.index()]
                && given(survey, link).is_none()
            {
                models.entry(model).or_insert(element);
            }
        }
    }
    let of = |(model, element)| {
        let model = &survey.model.device_models[model];
        Lacking {
            name: &model.name,
            at: model.earth_current.span().unwrap_or(model.name.span),
            element,
        }
    };
    models.into_iter().map(of).collect()
}

/// Why a missing figure can be bounded at all.
pub(super) fn bound() -> Option<Citation> {
    limits::equipment_earth_current().map(|limit| limit.citation)
}

/// The bound in words, for advice and working.
pub(super) fn bound_line() -> Option<String> {
    let limit = limits::equipment_earth_current()?;
    Some(format!(
        "equipment without a label for high earth current may leak up to {:.1} mA an inlet",
        limit.value.in_milliamperes()
    ))
}
