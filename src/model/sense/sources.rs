//! Fault currents of supplies that cannot be meant as they stand.

use crate::model::Model;
use crate::model::circuits::Supply;
use crate::model::fault::Noted;
use crate::model::optional::Optional;
use crate::model::sources::{End, FaultCurrent, Mode, Origin};
use crate::model::value::{Field, Name, Named, Spanned};
use crate::quantity::{Current, InUnits, Quantity, Time, amperes, percent, seconds};

use super::bad;

/// No source drives a short circuit for longer that is said to end at all: the run time of a battery is no such time.
const LONGEST_SECONDS: f64 = 60.0;

/// Notes what cannot be meant; it counts as unreadable.
pub(super) fn check(model: &mut Model) -> Vec<Noted> {
    model.supplies.items_mut().flat_map(of_supply).collect()
}

fn of_supply(supply: &mut Named<Supply>) -> Vec<Noted> {
    let name = supply.name.value.clone();
    let full_load = full_load(supply);
    let mut told: Vec<Noted> = beside_modes(supply).into_iter().collect();
    told.extend(no_such_efficiency(supply));
    let at = Place {
        supply: name,
        mode: None,
    };
    told.extend(of_figures(&mut supply.item.fault_current, full_load, &at));
    for (mode, own) in supply.item.modes.known_mut() {
        let at = Place {
            mode: Some(mode),
            ..at.clone()
        };
        told.extend(of_figures(&mut own.item.fault_current, full_load, &at));
    }
    told
}

/// Where a fault current stands.
#[derive(Clone)]
struct Place {
    supply: Name,
    mode: Option<Mode>,
}

impl Place {
    fn path(&self) -> Vec<Name> {
        let mode = self.mode.map(|mode| ["modes".into(), mode.word().into()]);
        let section = ["supplies".into(), self.supply.clone()].into_iter();
        let path = section.chain(mode.into_iter().flatten());
        path.chain(["fault-current".into()]).collect()
    }
}

/// Nothing delivers more than it takes, and nothing that feeds a rack loses more than half of it.
fn no_such_efficiency(supply: &mut Named<Supply>) -> Option<Noted> {
    let given = *supply.efficiency.given()?;
    if (percent(50.0)..=percent(100.0)).contains(&given.value) {
        return None;
    }
    supply.item.efficiency = Field::Unreadable(given.span);
    let headline = format!("no supply has an efficiency of {}", given.value.show());
    let advice = "Write what its data sheet says at the load that it has, such as 95 %.";
    let path = [
        "supplies".into(),
        supply.name.value.clone(),
        "efficiency".into(),
    ];
    Some(bad(given.span, headline, advice, path))
}

/// One figure cannot be that of several modes.
fn beside_modes(supply: &mut Named<Supply>) -> Option<Noted> {
    supply.modes.span()?;
    let at = supply.fault_current.span()?;
    supply.item.fault_current = Field::Unreadable(at);
    let headline = "`fault-current` stands beside `modes`: of which mode is it?".to_owned();
    let advice = "Write it below the mode in which it flows, and take it out here.";
    let path = [
        "supplies".into(),
        supply.name.value.clone(),
        "fault-current".into(),
    ];
    Some(bad(at, headline, advice, path))
}

fn full_load(supply: &Supply) -> Option<Current> {
    let (capacity, system) = (supply.capacity.known()?, supply.system.known()?);
    let volt_amperes = capacity.in_volt_amperes();
    Some(amperes(match system.lines {
        3 => volt_amperes / (3f64.sqrt() * system.line_to_line?.in_volts()),
        _ => volt_amperes / system.line_to_line.or(system.line_to_neutral)?.in_volts(),
    }))
}

fn of_figures(
    field: &mut Field<FaultCurrent>,
    full_load: Option<Current>,
    at: &Place,
) -> Vec<Noted> {
    let Field::Given(Spanned { value: figures, .. }) = field else {
        return Vec::new();
    };
    let found = [
        one_figure_too_many(figures, at),
        ends_the_wrong_way_round(figures, at),
        no_maximum(figures, at),
        lasting_without_end(&mut figures.lasts, at),
        full_load.and_then(|full_load| too_weak(figures, full_load, at)),
    ];
    found.into_iter().flatten().collect()
}

/// One figure for both ends, and another one for an end.
fn one_figure_too_many(figures: &mut FaultCurrent, at: &Place) -> Option<Noted> {
    let one = *figures.prospective.given()?;
    let end = [
        (&figures.largest, "largest"),
        (&figures.smallest, "smallest"),
    ];
    let (_, key) = end.into_iter().find(|(field, _)| !field.is_absent())?;
    figures.prospective = Field::Unreadable(one.span);
    let headline = format!(
        "{} is to answer for both ends and stands beside `{key}`",
        one.value.show()
    );
    let advice = "Write `largest` and `smallest`, or `prospective` alone.";
    Some(bad(one.span, headline, advice, at.path()))
}

fn ends_the_wrong_way_round(figures: &mut FaultCurrent, at: &Place) -> Option<Noted> {
    let (largest, smallest) = (*figures.largest.given()?, *figures.smallest.given()?);
    if smallest.value <= largest.value {
        return None;
    }
    // Nobody knows which of the two is wrong.
    figures.largest = Field::Unreadable(largest.span);
    figures.smallest = Field::Unreadable(smallest.span);
    let headline = format!(
        "the smallest fault current, {}, is above the largest, {}",
        smallest.value.show(),
        largest.value.show()
    );
    let advice = "Read both off the study or the data sheet again; breakers are judged by the one, disconnection by the other.";
    Some(bad(smallest.span, headline, advice, at.path()))
}

/// A declared maximum is one figure, and no least one.
fn no_maximum(figures: &mut FaultCurrent, at: &Place) -> Option<Noted> {
    let of = *figures.of.written().ok()??;
    let lacks_one = figures.prospective.is_absent() && figures.largest.is_absent();
    if of.value != Origin::Declared || !lacks_one {
        return None;
    }
    figures.of = Optional::Unreadable(of.span);
    let headline = "a declared maximum is written here without the maximum".to_owned();
    let advice = "Write it as `largest`, or take `of` out.";
    Some(bad(of.span, headline, advice, at.path()))
}

fn lasting_without_end(lasts: &mut Optional<Time>, at: &Place) -> Option<Noted> {
    let given = *lasts.written().ok()??;
    if given.value <= seconds(LONGEST_SECONDS) {
        return None;
    }
    *lasts = Optional::Unreadable(given.span);
    let headline = format!(
        "no source drives a short circuit for {}",
        given.value.show()
    );
    let advice = "Write for how long it drives the fault current, by its data sheet, like `lasts: 300 ms`: not how long it feeds its load. Where it never gives up, take the line out.";
    Some(bad(given.span, headline, advice, at.path()))
}

/// A short circuit draws no less than the load that the supply is made for.
fn too_weak(figures: &mut FaultCurrent, full_load: Current, at: &Place) -> Option<Noted> {
    let fault = *figures.figure(End::Largest).given()?;
    if fault.value >= full_load {
        return None;
    }
    let field = match figures.largest.is_absent() {
        true => &mut figures.prospective,
        false => &mut figures.largest,
    };
    *field = Field::Unreadable(fault.span);
    let headline = format!(
        "{} is less than the {} that the supply carries at full load, and no short circuit draws less",
        fault.value.show(),
        amperes(full_load.in_amperes().round()).show()
    );
    let advice = "Read the prospective short-circuit current off the panel or the study; it is mostly in kA.";
    Some(bad(fault.span, headline, advice, at.path()))
}
