//! Values that are far from anything that is made: mostly a slip of the unit.

use std::collections::HashSet;

use crate::model::Model;
use crate::model::circuits::{Breaker, Circuit};
use crate::model::devices::{DeviceModel, ProtectiveClass};
use crate::model::fault::Noted;
use crate::model::optional::Optional;
use crate::model::own::kinds;
use crate::model::value::{Field, Name, Named};
use crate::quantity::{
    ConductorSize, Current, EnergyLetThrough, InUnits, Length, Quantity, Temperature, amperes,
};

use crate::tables::words::Words;

use super::bad;

/// More than a residual current device of one circuit trips at: they are made for up to 3 A (IEC 60947-2
/// Annex B and M name larger ones for mains alone; from memory).
const MOST_RESIDUAL: f64 = 3.0;

/// More than one device on a cord leaks: standards of equipment stop far below (common practice).
const MOST_LEAKAGE: f64 = 0.2;

/// Sections of fixed wiring that are made, in mm²: IEC 60228, with those of JIS C 3307 (from memory), and the
/// gauges of ASTM B258 where they are written by their section, as in Mexico.
const MADE: [f64; 46] = [
    0.824, 1.31, 2.08, 3.31, 5.26, 8.37, 13.3, 21.2, 26.7, 33.6, 42.4, 53.5, 67.4, 85.0, 107.0,
    127.0, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.5, 4.0, 5.5, 6.0, 8.0, 10.0, 14.0, 16.0, 22.0,
    25.0, 35.0, 38.0, 50.0, 60.0, 70.0, 95.0, 100.0, 120.0, 150.0, 185.0, 200.0, 240.0, 300.0,
];

/// Above it anything may be made.
const LARGEST: f64 = 300.0;

/// Notes the slips; what is told so counts as unreadable.
pub(super) fn check(model: &mut Model) -> Vec<Noted> {
    let mut told = Vec::new();
    let words = model.site.words();
    for circuit in model.circuits.items_mut() {
        told.extend(residual(circuit, words));
        told.extend(section(circuit));
        told.extend(marked_twice(circuit, words));
        let name = circuit.name.value.clone();
        let path = |key: &str| vec!["circuits".into(), name.clone(), key.into()];
        if let Field::Given(wiring) = &mut circuit.item.wiring {
            told.extend(short(&mut wiring.value.length, "wiring", path("length")));
        }
        told.extend(lets_little_through(
            &mut circuit.item.breaker,
            path("let-through"),
        ));
    }
    // What stands at a make is told there, however many types have it.
    let mut told_at = HashSet::new();
    for (section, kind) in kinds(&mut model.cord_makes, &mut model.cord_types) {
        let name = kind.name.value.clone();
        let path = |key: &str| vec![section.into(), name.clone(), key.into()];
        told.extend(short(&mut kind.item.length, "cord", path("length")));
        let slip = cool(&mut kind.item.temperature, path("temperature"));
        told.extend(slip.filter(|slip| told_at.insert(slip.fault.span())));
    }
    for model in model.pdu_models.items_mut() {
        let name = model.name.value.clone();
        let path = |key: &str| vec!["pdu-models".into(), name.clone(), key.into()];
        if let Field::Given(cord) = &mut model.item.cord {
            told.extend(short(&mut cord.value.length, "cord", path("length")));
            told.extend(cool(&mut cord.value.temperature, path("temperature")));
        }
        for bank in model.item.banks.items_mut() {
            told.extend(lets_little_through(
                &mut bank.item.breaker,
                path("let-through"),
            ));
        }
    }
    for kind in model.device_models.items_mut() {
        told.extend(leakage(kind, words));
        told.extend(extra_low(kind, words));
    }
    told
}

/// A residual current device that trips at amperes where milliamperes were meant.
fn residual(circuit: &mut Named<Circuit>, words: &Words) -> Option<Noted> {
    let rcd = *circuit.residual().ok()??;
    if rcd.value <= amperes(MOST_RESIDUAL) {
        return None;
    }
    if let Optional::Given(device) = &mut circuit.item.rcd {
        device.value.rated = Field::Unreadable(rcd.span);
    }
    let path = ["circuits".into(), circuit.name.value.clone(), "rcd".into()];
    let headline = format!("no {} trips at {}", words.residual_device, rcd.value.show());
    Some(bad(rcd.span, headline, &meant(rcd.value), path))
}

/// A receptacle that is marked with one degree of protection and with another: neither is believed.
fn marked_twice(circuit: &mut Named<Circuit>, words: &Words) -> Option<Noted> {
    let (beside, within) = (
        circuit.receptacle_ip.given()?,
        circuit.receptacle.ip.given()?,
    );
    if beside.value == within.value {
        return None;
    }
    let (beside, within) = (beside.span, within.span);
    circuit.item.receptacle_ip = Field::Unreadable(beside);
    circuit.item.receptacle.ip = Field::Unreadable(within);
    let name = circuit.name.value.clone();
    let path = ["circuits".into(), name, "receptacle-ip".into()];
    let socket = words.socket;
    let headline =
        format!("`receptacle-ip` and the `ip` of the {socket} give two degrees of protection");
    let advice = format!("Read the mark off the {socket} and write it once.");
    Some(bad(beside, headline, &advice, path))
}

fn leakage(kind: &mut Named<DeviceModel>, words: &Words) -> Option<Noted> {
    let current = *kind.earth_current.given()?;
    if current.value <= amperes(MOST_LEAKAGE) {
        return None;
    }
    kind.item.earth_current = Field::Unreadable(current.span);
    let name = kind.name.value.clone();
    let path = ["device-models".into(), name, "earth-current".into()];
    let headline = format!(
        "no equipment on a cord leaks {} to {}",
        current.value.show(),
        words.earth
    );
    Some(bad(current.span, headline, &meant(current.value), path))
}

/// The lowest temperature that cordage is marked for (NEC Table 400.4 and EN 50525 have none below; from memory,
/// verify).
const COOLEST: f64 = 60.0;

/// A mark that no cordage bears: mostly the temperature of the air.
fn cool(mark: &mut Field<Temperature>, path: impl IntoIterator<Item = Name>) -> Option<Noted> {
    let given = *mark.given()?;
    if given.value.in_degrees_celsius() >= COOLEST - 1e-6 {
        return None;
    }
    *mark = Field::Unreadable(given.span);
    let headline = format!("no cordage is marked for {}", given.value.show());
    let advice = "Read the temperature off the jacket, such as 60 °C, 75 °C or 105 °C; where none is printed, leave it out.";
    Some(bad(given.span, headline, advice, path))
}

/// Shorter than any wiring or cord that ends in two couplers: mostly metres that were written as millimetres.
const SHORTEST: f64 = 0.1;

fn short(length: &mut Field<Length>, what: &str, path: Vec<Name>) -> Option<Noted> {
    let given = *length.given()?;
    let metres = given.value.in_metres();
    if metres <= 0.0 || metres >= SHORTEST {
        return None;
    }
    *length = Field::Unreadable(given.span);
    let headline = format!("no {what} is {} long", given.value.show());
    let advice = "Measure it, and write it with its unit, like 2.5 m.";
    Some(bad(given.span, headline, advice, path))
}

/// No breaker lets less through than its own rated current would heat in a second: kA²s that were written as A²s
/// (common practice).
fn lets_little_through(breaker: &mut Field<Breaker>, path: Vec<Name>) -> Option<Noted> {
    let Field::Given(breaker) = breaker else {
        return None;
    };
    let rating = breaker.value.rating.known()?.in_amperes();
    let given = *breaker.value.let_through.given()?;
    if given.value.0 >= rating * rating {
        return None;
    }
    breaker.value.let_through = Field::Unreadable(given.span);
    let headline = format!(
        "no breaker of this rating lets as little through as {}",
        given.value.show()
    );
    let meant = EnergyLetThrough(given.value.0 * 1000.0);
    let advice = format!(
        "Is {} meant? Take it from the maker's data sheet at the fault current there.",
        meant.show()
    );
    Some(bad(given.span, headline, &advice, path))
}

/// `Is 30 mA meant?`
fn meant(current: Current) -> String {
    let milli = amperes(current.in_amperes() / 1000.0);
    format!(
        "Is {} meant? Read it off the part or its data sheet, and write it with its unit.",
        milli.show()
    )
}

/// A metric section that nobody makes: mostly a gauge in the wrong unit.
fn section(circuit: &mut Named<Circuit>) -> Option<Noted> {
    let Field::Given(wiring) = &mut circuit.item.wiring else {
        return None;
    };
    let size = *wiring.value.conductor.given()?;
    let ConductorSize::Metric(area) = size.value else {
        return None;
    };
    let own = area.in_square_millimetres();
    if own > LARGEST || MADE.iter().any(|made| (made - own).abs() <= made * 0.01) {
        return None;
    }
    wiring.value.conductor = Field::Unreadable(size.span);
    let name = circuit.name.value.clone();
    let path = ["circuits".into(), name, "wiring".into(), "conductor".into()];
    let headline = format!("no wire of {} is made", size.value.show());
    let advice =
        "Read the size off the wire, and write it in its own unit, like 2.5 mm² or 12 AWG.";
    Some(bad(size.span, headline, advice, path))
}

/// Equipment for extra-low voltage that is said to take the voltage of the mains.
fn extra_low(kind: &mut Named<DeviceModel>, words: &Words) -> Option<Noted> {
    let class = *kind.class.given()?;
    let voltage = kind.voltage.known()?;
    if class.value != ProtectiveClass::III || voltage.low.in_volts() <= EXTRA_LOW {
        return None;
    }
    let shown = voltage.show();
    kind.item.class = Field::Unreadable(class.span);
    let name = kind.name.value.clone();
    let path = ["device-models".into(), name, "class".into()];
    let headline = format!("class III is equipment for extra-low voltage, and this takes {shown}");
    let advice = format!(
        "Read the class off the nameplate: I where it has {}, II where it shows a square in a square.",
        words.an_earth
    );
    Some(bad(class.span, headline, &advice, path))
}

/// The highest voltage of class III equipment, alternating (IEC 61140, 7.4).
const EXTRA_LOW: f64 = 50.0;
