//! `earth-interrupted`: does the protective conductor reach all class I equipment without a gap?

use std::collections::BTreeMap;

use crate::citation::{Citation, Confidence};
use crate::finding::{Finding, Level, Place};
use crate::graph::{ElementId, ElementKind};
use crate::model::devices::{Device, DeviceModel, ProtectiveClass};
use crate::model::value::Id;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, field_or_name, place};
use crate::tables::couplers::Earth;
use crate::tables::mating::{EarthMade, Mate};

use super::halves::{Half, Pair, borne_by, listed, pairs};

rule!(
    "earth-interrupted",
    Couplers,
    Error,
    "Class I equipment without its protective conductor: a fault makes the metal case live, and nothing trips."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let mut classless = BTreeMap::new();
    for (id, _) in survey.graph.elements() {
        for gap in pairs(survey, id).filter_map(|pair| gap_of_pair(survey, &pair)) {
            judge(survey, gap, &mut classless, findings);
        }
        if let Some(gap) = gap_of_cores(survey, id) {
            judge(survey, gap, &mut classless, findings);
        }
    }
    findings.extend(
        classless
            .into_iter()
            .map(|(model, id)| class_missing(survey, model, id)),
    );
}

/// Where the protective conductor ends.
struct Gap {
    id: ElementId,
    at: Span,
    /// What is to be seen there: `plug NEMA 1-15: no earth contact`.
    note: String,
    /// For the headline: `the plug of cord W-1 (NEMA 1-15) has no earth contact`.
    why: String,
    mate: Option<Place>,
    source: Citation,
    kind: &'static str,
    is_open: bool,
}

/// A pair that fits and does not make the earth; one that does not fit is another fault.
fn gap_of_pair(survey: &Survey<'_>, pair: &Pair<'_>) -> Option<Gap> {
    let earthless = pair
        .halves()
        .find(|half| half.coupler.value.earth == Earth::None);
    match (pair.mate(), earthless) {
        (Some(Mate::DoesNotFit { .. } | Mate::Unknown { .. }), _) => None,
        (_, Some(half)) => Some(gap_at(
            survey,
            pair,
            &half,
            "has no earth contact",
            false,
            None,
        )),
        (
            Some(Mate::Fits {
                earth, citation, ..
            }),
            None,
        ) => match earth {
            EarthMade::Yes => None,
            EarthMade::No => {
                let why = "has earth contacts that meet nothing in its mate";
                Some(gap_at(
                    survey,
                    pair,
                    &pair.pins?,
                    why,
                    false,
                    Some(citation),
                ))
            }
            EarthMade::Undecided => {
                let mut halves = pair.halves();
                let half = halves.find(|half| half.coupler.value.earth == Earth::NotNamed)?;
                let why = "is given by a name that does not say whether it has an earth contact";
                Some(gap_at(survey, pair, &half, why, true, Some(citation)))
            }
        },
        (None, None) => None,
    }
}

fn gap_at(
    survey: &Survey<'_>,
    pair: &Pair<'_>,
    half: &Half<'_>,
    why: &str,
    is_open: bool,
    source: Option<&Citation>,
) -> Gap {
    let mate = pair.halves().find(|other| other.owner != half.owner);
    Gap {
        id: pair.id,
        at: half.coupler.span,
        note: format!("{}: {why}", half.name()),
        why: format!("{} ({}) {why}", half.what(survey), half.name()),
        mate: mate.map(|mate| mate.place(survey, "")),
        source: source.unwrap_or(&half.coupler.value.citation).clone(),
        kind: if half.owner.is_of_cord() {
            "half"
        } else {
            "mate"
        },
        is_open,
    }
}

/// A cord whose cordage is said to have two cores. Where nothing is said, a set with earth contacts
/// at its ends has the core for them: IEC 60799 allows no other.
fn gap_of_cores(survey: &Survey<'_>, id: ElementId) -> Option<Gap> {
    let ElementKind::Cord(cord) = survey.graph.kind(id) else {
        return None;
    };
    let kind = survey.graph.cord_type(survey.model, cord)?;
    let cores = kind.cores.given().filter(|cores| cores.value < 3)?;
    let number = cores.value;
    Some(Gap {
        id,
        at: cores.span,
        note: format!("{number} cores: none is left for the earth"),
        why: format!(
            "{} has {number} cores and none for the earth",
            survey.describe(id)
        ),
        mate: None,
        source: Citation::marked("cores of the cordage as given"),
        kind: "cores",
        is_open: false,
    })
}

fn judge(
    survey: &Survey<'_>,
    gap: Gap,
    classless: &mut BTreeMap<Id<DeviceModel>, ElementId>,
    findings: &mut Vec<Finding>,
) {
    let mut relying = Vec::new();
    let below = survey.graph.below(gap.id).map(ElementId);
    for device in below.filter_map(|id| survey.device_fed_by(id)) {
        let Some(model) = survey.graph.links.device_models[device.index()] else {
            continue;
        };
        match survey.model.device_models[model].class.copied() {
            Some(ProtectiveClass::I) => relying.push(device),
            Some(ProtectiveClass::II | ProtectiveClass::III) => {}
            None => {
                classless.entry(model).or_insert(gap.id);
            }
        }
    }
    relying.sort_unstable();
    relying.dedup();
    if !relying.is_empty() {
        findings.push(unearthed(survey, gap, &relying));
    }
}

fn unearthed(survey: &Survey<'_>, gap: Gap, relying: &[Id<Device>]) -> Finding {
    let names: Vec<&str> = relying
        .iter()
        .map(|device| survey.model.devices[*device].name.value.as_str())
        .collect();
    let names = listed(&names);
    let headline = match gap.is_open {
        false => format!(
            "class I equipment is not earthed ({names}): {}; a fault makes its case live for whoever touches it",
            gap.why
        ),
        true => format!(
            "whether class I equipment is earthed ({names}) cannot be said: {}",
            gap.why
        ),
    };
    let ends = relying.iter().take(4).map(|device| {
        let name = &survey.model.devices[*device].name;
        place(name.span, format!("device {}: class I", name.value))
    });
    let level = borne_by(Level::Error, std::slice::from_ref(&gap.source));
    let draft = Draft::new(&RULE, headline, gap.at, gap.note, gap.source)
        .level(level)
        .also([protective_class()])
        .above(gap.mate)
        .above([survey.hop(gap.id)])
        .below(ends)
        .about([survey.full_name(gap.id)])
        .kind(gap.kind);
    if gap.is_open {
        let advice = "Write the full name of the coupler, the one that says with or without earth.";
        return draft.open().advice(advice).finish();
    }
    draft
        .advice("Take it out of service and fit plugs, cords and outlets that carry the earth all the way.")
        .finish()
}

fn class_missing(survey: &Survey<'_>, model: Id<DeviceModel>, id: ElementId) -> Finding {
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
        .finish()
}

fn protective_class() -> Citation {
    Citation::new(
        "IEC 61140",
        "clause 7 (class I equipment)",
        "2016",
        Confidence::FromMemory,
    )
}
