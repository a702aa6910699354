//! One item of equipment that leaks more than an ordinary plug is trusted with: some editions of the rules have
//! such a step, others have none.

use crate::analysis::{Analysis, exceeds, place};
use crate::citation::Cited;
use crate::finding::{Fact, Finding, Measure};
use crate::graph::{ElementId, ElementKind, Receiver};
use crate::model::devices::{Device, DeviceModel};
use crate::model::optional::Stated;
use crate::model::text::CouplerRef;
use crate::model::value::{Id, Named};
use crate::quantity::{Current, Quantity, show_pair};
use crate::rules::Draft;
use crate::rules::told_once::ToldOnce;
use crate::tables::couplers::Family;
use crate::tables::editions::Edition;

use super::RULE;

/// The items of a site that leak more than a step, each model once.
pub(super) struct Items {
    /// The step, and the edition that has it, where one that may bind does.
    step: Option<(&'static Edition, Cited<Current>)>,
    /// An edition that may bind and has none.
    without: Option<&'static Edition>,
    told: ToldOnce<Id<DeviceModel>>,
}

impl Items {
    pub fn of(analysis: &Analysis<'_>) -> Self {
        let said = analysis.said_by_editions(|edition| edition.item_on_plug.as_ref());
        let mut steps = said.iter().filter_map(|(edition, item)| {
            let citation = item.citation.clone();
            item.value
                .map(|value| (*edition, Cited { value, citation }))
        });
        let without = said.iter().find(|(_, item)| item.value.is_none());
        Self {
            step: steps.next(),
            without: without.map(|(edition, _)| *edition),
            told: ToldOnce::default(),
        }
    }

    /// Looks at the equipment behind a circuit.
    pub fn meet(&mut self, analysis: &Analysis<'_>, circuit: ElementId) {
        let Some((edition, step)) = &self.step else {
            return;
        };
        for id in analysis.graph.below(circuit).map(ElementId) {
            let Some((id, model, device)) = on_ordinary_plug(analysis, id) else {
                continue;
            };
            let device = &analysis.model.devices[device].name.value;
            let item = Item {
                model,
                edition,
                step,
            };
            let leaks = &model.earth_current;
            let draft = match (leaks.known(), self.without) {
                (Some(leaks), _) if !exceeds(*leaks, step.value) => continue,
                (None, _) if !leaks.is_unreadable() => continue,
                (Some(leaks), None) => self.told.tell(id, || item.found(analysis, *leaks)),
                (_, without) => self.told.tell(id, || item.open(analysis, without)),
            };
            draft.suffered_by([device.clone()]);
        }
    }

    pub fn findings(self) -> impl Iterator<Item = Finding> {
        self.told.findings()
    }
}

/// The equipment at an element whose plug is no industrial one, as far as that is known.
fn on_ordinary_plug<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
) -> Option<(Id<DeviceModel>, &'a Named<DeviceModel>, Id<Device>)> {
    let &Receiver::Inlet(number) = analysis.graph.receiver(id)? else {
        return None;
    };
    let device = analysis.graph.links.inlets[number as usize].device;
    let model = analysis.graph.links.device_models[device.index()]?;
    let plug = match analysis.graph.kind(id) {
        ElementKind::Cord(cord) | ElementKind::Leg(cord, _) => {
            let kind = analysis.graph.cord_type(analysis.model, cord);
            kind.and_then(|kind| kind.plug.known())
        }
        _ => None,
    };
    let is_industrial = |plug: &CouplerRef| plug.family == Family::Iec60309;
    if plug.is_some_and(is_industrial) {
        return None;
    }
    Some((model, &analysis.model.device_models[model], device))
}

/// Equipment that may leak more than the step.
struct Item<'a> {
    model: &'a Named<DeviceModel>,
    edition: &'static Edition,
    step: &'a Cited<Current>,
}

impl Item<'_> {
    fn found(&self, analysis: &Analysis<'_>, leaks: Current) -> Draft {
        let (name, earth) = (&self.model.name.value, analysis.words().earth);
        let (shown, step) = show_pair(leaks, self.step.value);
        let headline = format!(
            "{shown} leak to {earth} through each plug of {name}, which is no industrial one: if its {earth} contact fails, touching the device gives a shock. Above {step} {} wants no ordinary plug",
            self.edition.name
        );
        self.draft(headline, format!("{shown} through one plug"))
            .measured(Measure::above(leaks, self.step.value))
            .advice("Use a plug to IEC 60309 or connect it permanently; or ask its maker for one that leaks less.")
    }

    /// Open, since its current cannot be read or not all editions that may bind have the step.
    fn open(&self, analysis: &Analysis<'_>, without: Option<&Edition>) -> Draft {
        let (name, earth) = (&self.model.name.value, analysis.words().earth);
        let step = self.step.value.show();
        let unread = Fact::if_unreadable(self.model, "earth-current", &self.model.earth_current);
        let (why, advice) = match (&unread, without) {
            (Some(_), _) => (
                "what it leaks cannot be read".to_owned(),
                format!(
                    "Take the {} of one inlet from the maker's data sheet, and write it like `earth-current: 0.75 mA`.",
                    analysis.words().standing_current
                ),
            ),
            (None, Some(without)) => (
                format!(
                    "{} has no such step, and {}",
                    without.name,
                    analysis.edition_lack()
                ),
                analysis.edition_advice(),
            ),
            (None, None) => (analysis.edition_lack(), analysis.edition_advice()),
        };
        let headline = format!(
            "may {name} have an ordinary plug? Open: by {} none that leaks more than {step} to {earth} may; {why}",
            self.edition.name
        );
        let wants = unread.or_else(|| analysis.edition_fact());
        self.draft(headline, "not decided".to_owned())
            .wants(wants)
            .advice(advice)
            .open()
    }

    fn draft(&self, headline: String, note: String) -> Draft {
        let at = self.model.earth_current.span();
        let at = at.unwrap_or(self.model.name.span);
        let name = &self.model.name;
        Draft::new(&RULE, headline, at, note, self.step.citation.clone())
            .above([place(name.span, format!("device model {}", name.value))])
            .about([name.value.clone()])
            .kind("item")
    }
}
