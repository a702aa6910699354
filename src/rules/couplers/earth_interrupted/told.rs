//! The words of `earth-interrupted`.

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::{Citation, Confidence};
use crate::finding::{Fact, Finding, Level};
use crate::graph::ElementId;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::Id;
use crate::rules::Draft;
use crate::rules::couplers::halves::{borne_by, listed};

use super::RULE;
use super::gap::Gap;

pub(super) fn unearthed(analysis: &Analysis<'_>, gap: Gap, relying: &[Id<Device>]) -> Finding {
    let names: Vec<&str> = relying
        .iter()
        .map(|device| analysis.model.devices[*device].name.value.as_str())
        .collect();
    let (word, is) = match names.len() {
        1 => ("device", "is"),
        _ => ("devices", "are"),
    };
    let names = format!("{word} {}", listed(&names));
    let class_of = |device: &Id<Device>| {
        let model = analysis.graph.device_model(analysis.model, *device);
        model.and_then(|model| model.class.known().copied())
    };
    let class = match relying.iter().all(|device| class_of(device).is_some()) {
        true => "class I",
        false => "class I, or of no known class",
    };
    let (words, earth) = (analysis.words(), analysis.words().earth);
    let headline = match gap.is_open {
        false => format!(
            "{names} ({class}) {is} not {earth}ed: {}; a fault makes the metal case live for whoever touches it",
            gap.why
        ),
        true => format!("{is} {names} ({class}) {earth}ed? Open: {}", gap.why),
    };
    let ends = relying.iter().take(4).map(|device| {
        let name = &analysis.model.devices[*device].name;
        let class = class_of(device).map_or("not known", |class| class.word());
        place(name.span, format!("device {}: class {class}", name.value))
    });
    let sufferers = relying
        .iter()
        .map(|device| &analysis.model.devices[*device].name.value);
    let sufferers = sufferers.cloned();
    let level = borne_by(Level::Error, std::slice::from_ref(&gap.source));
    let (is_open, advice, wants) = (gap.is_open, gap.advice(words), gap.wants);
    let draft = Draft::new(&RULE, headline, gap.at, gap.note, gap.source)
        .level(level)
        .also([protective_class()])
        .above(gap.mate)
        .above([analysis.hop(gap.id)])
        .below(ends)
        .about([analysis.full_name(gap.id)])
        .suffered_by(sufferers)
        .kind(gap.kind)
        .advice(advice);
    match is_open {
        true => draft.open().wants(wants).finish(),
        false => draft.finish(),
    }
}

pub(super) fn class_missing(
    analysis: &Analysis<'_>,
    model: Id<DeviceModel>,
    id: ElementId,
) -> Draft {
    let item = &analysis.model.device_models[model];
    let (name, earth) = (&item.name.value, analysis.words().earth);
    let headline = format!(
        "may devices of model {name} do without {earth}? {} does not {earth} them. Missing: their class (nameplate)",
        analysis.describe(id)
    );
    let span = field_or_name(&item.class, &item.name);
    Draft::new(&RULE, headline, span, "not decided: the class is missing", protective_class())
        .wants([Fact::of(item, "class", Some(&item.class))])
        .above([analysis.hop(id)])
        .about([name.clone()])
        .kind("class")
        .advice("Read the class off the nameplate: two squares, one in the other, are class II; otherwise write class I.")
}

fn protective_class() -> Citation {
    Citation::new(
        "IEC 61140",
        "clause 7 (class I equipment)",
        "2016",
        Confidence::FromMemory,
    )
}
