//! The words of `nameplate-above-inlets`.

use crate::analysis::{Analysis, place};
use crate::citation::Citation;
use crate::finding::{Finding, Level, Measure};
use crate::model::devices::{Device, DeviceModel};
use crate::model::value::{Id, Name, Named};
use crate::quantity::{LoadPower, Quantity, show_rounded};
use crate::rules::Draft;
use crate::rules::couplers::halves::borne_by;

use super::bearing::Bearing;
use super::lack::Lack;
use super::{Over, RULE};

/// A nameplate that is more than the inlets bear.
pub(super) fn above(
    analysis: &Analysis<'_>,
    model: &Named<DeviceModel>,
    over: &Over<'_>,
) -> Finding {
    let (rating, bearing) = (over.plate.rating, &over.bearing);
    let (name, shown) = (&model.name, rating.value.show());
    let (current, limit) = (show_rounded(over.current), bearing.current.show());
    let headline = format!(
        "device model {}: its nameplate of {shown} at {} makes {current}, and {} {limit}. One is written wrong, or the inlet overheats at full load",
        name.value,
        over.voltage.show(),
        who_bears(bearing)
    );
    let couplers = bearing.inlets.iter().filter_map(|(inlet, current)| {
        let coupler = inlet.coupler.given()?;
        let note = format!("inlet {}: bears {}", inlet.name.value, current.show());
        Some(place(coupler.span, note))
    });
    let needed = model.inlets_needed.written().ok().flatten();
    let needed =
        needed.map(|needed| place(needed.span, format!("{} must carry all", needed.value)));
    let basis = Citation::marked("the nameplate");
    let level = borne_by(Level::Warning, &bearing.basis);
    Draft::new(
        &RULE,
        headline,
        rating.span,
        format!("nameplate {shown}"),
        basis,
    )
    .level(level)
    .also(bearing.basis.iter().cloned())
    .above([place(name.span, format!("device model {}", name.value))])
    .below(couplers)
    .below(needed)
    .working(working(model, over))
    .measured(Measure::above(over.current, bearing.current))
    .about([name.value.clone()])
    .suffered_by(names(analysis, &over.sufferers))
    .kind("above")
    .advice(advice(model))
    .finish()
}

/// `inlet psu1 (C14) bears`, `the 2 inlets that must carry it bear`.
fn who_bears(bearing: &Bearing<'_>) -> String {
    match bearing.inlets.as_slice() {
        [(inlet, _)] => {
            let coupler = inlet
                .coupler
                .known()
                .map_or("", |coupler| coupler.name.as_str());
            format!("inlet {} ({coupler}) bears", inlet.name.value)
        }
        inlets => format!("the {} inlets that must carry it bear", inlets.len()),
    }
}

fn working(model: &DeviceModel, over: &Over<'_>) -> Vec<String> {
    let (shown, voltage) = (over.plate.rating.value.show(), over.voltage.show());
    let current = show_rounded(over.current);
    let mut lines = Vec::new();
    match (over.plate.rating.value, model.power_factor.known().copied()) {
        (LoadPower::Active(_), Some(factor)) => lines.push(format!(
            "{shown} ÷ ({voltage} × {}) = {current}",
            factor.value()
        )),
        (LoadPower::Active(_), None) => {
            lines.push(format!("{shown} ÷ {voltage} = {current}, at the least"));
            lines.push("without a power factor, watts are taken as volt-amperes".into());
        }
        (LoadPower::Apparent(_), _) => lines.push(format!("{shown} ÷ {voltage} = {current}")),
        (LoadPower::Current(_), _) => {
            let low = model.voltage.known().map(|range| range.low.show());
            let low = low.unwrap_or_default();
            lines.push(format!("{shown} × {low} ÷ {voltage} = {current}"));
            lines.push(format!(
                "{shown} are drawn at {low}, the lowest voltage of the range"
            ));
        }
    }
    let inlets = over.bearing.inlets.iter();
    let each: Vec<String> = inlets.map(|(_, current)| current.show()).collect();
    if each.len() > 1 {
        let sum = over.bearing.current.show();
        lines.push(format!("{} = {sum}", each.join(" + ")));
    }
    lines
}

fn advice(model: &DeviceModel) -> &'static str {
    if model.inlets.len() > 1 && model.inlets_needed.is_absent() {
        return "Look at nameplate and inlets, and correct the record; if it needs several inlets at once, write `inlets-needed`.";
    }
    "Look at nameplate and inlets, and correct the record; if both are right, keep its load within what the inlets bear and ask its maker."
}

/// Something is missing for the comparison.
pub(super) fn undecided(
    analysis: &Analysis<'_>,
    model: &Named<DeviceModel>,
    lack: &Lack,
    users: &[Id<Device>],
) -> Finding {
    let headline = format!(
        "do the inlets of device model {} bear its nameplate? Open: {}",
        model.name.value, lack.why
    );
    let note = format!("not decided: {}", lack.why);
    Draft::new(
        &RULE,
        headline,
        lack.at,
        note,
        Citation::marked("the nameplate"),
    )
    .wants(lack.fact.as_deref().cloned())
    .above([place(
        model.name.span,
        format!("device model {}", model.name.value),
    )])
    .about([model.name.value.clone()])
    .suffered_by(names(analysis, users))
    .kind(lack.kind)
    .advice(lack.advice)
    .finish()
}

fn names<'a>(analysis: &Analysis<'a>, devices: &[Id<Device>]) -> impl Iterator<Item = Name> {
    let section = &analysis.model.devices;
    let names = devices
        .iter()
        .map(|device| section[*device].name.value.clone());
    names.collect::<Vec<_>>().into_iter()
}
