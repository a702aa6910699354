//! The words of `earth-interrupted`.

use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Level};
use crate::graph::ElementId;
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::Id;
use crate::rules::Draft;
use crate::rules::couplers::halves::{borne_by, listed};
use crate::survey::{Survey, field_or_name, place};

use super::RULE;
use super::gap::Gap;

pub(super) fn unearthed(survey: &Survey<'_>, gap: Gap, relying: &[Id<Device>]) -> Finding {
    let names: Vec<&str> = relying
        .iter()
        .map(|device| survey.model.devices[*device].name.value.as_str())
        .collect();
    let (word, is) = match names.len() {
        1 => ("device", "is"),
        _ => ("devices", "are"),
    };
    let names = format!("{word} {}", listed(&names));
    let headline = match gap.is_open {
        false => format!(
            "{names} (class I) {is} not earthed: {}; a fault makes the metal case live for whoever touches it",
            gap.why
        ),
        true => format!(
            "whether {names} (class I) {is} earthed cannot be said: {}",
            gap.why
        ),
    };
    let ends = relying.iter().take(4).map(|device| {
        let name = &survey.model.devices[*device].name;
        place(name.span, format!("device {}: class I", name.value))
    });
    let sufferers = relying
        .iter()
        .map(|device| &survey.model.devices[*device].name.value);
    let sufferers = sufferers.cloned();
    let level = borne_by(Level::Error, std::slice::from_ref(&gap.source));
    let draft = Draft::new(&RULE, headline, gap.at, gap.note, gap.source)
        .level(level)
        .also([protective_class()])
        .above(gap.mate)
        .above([survey.hop(gap.id)])
        .below(ends)
        .about([survey.full_name(gap.id)])
        .suffered_by(sufferers)
        .kind(gap.kind);
    if gap.is_open {
        let advice = "Write the full name of the coupler, the one that says with or without earth.";
        return draft.open().advice(advice).finish();
    }
    draft
        .advice("Take it out of service and fit plugs, cords and outlets that carry the earth all the way.")
        .finish()
}

pub(super) fn class_missing(survey: &Survey<'_>, model: Id<DeviceModel>, id: ElementId) -> Draft {
    let item = &survey.model.device_models[model];
    let name = &item.name.value;
    let headline = format!(
        "whether devices of model {name} may do without earth cannot be said: their protective class is missing, and {} does not earth them",
        survey.describe(id)
    );
    let span = field_or_name(&item.class, &item.name);
    Draft::new(&RULE, headline, span, "not decided: the class is missing", protective_class())
        .open()
        .above([survey.hop(id)])
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
