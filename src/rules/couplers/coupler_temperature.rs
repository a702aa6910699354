//! `coupler-temperature`: does the cord on a hot inlet stand the heat of its pins?
//!
//! A connector of a colder class does not enter a hot inlet at all, which is `coupler-mismatch`; a
//! test beside this rule holds the tables to that. What is left to go wrong is the cord itself.

use crate::analysis::Analysis;
use crate::citation::{Citation, Cited};
use crate::finding::{Finding, Level, Measure};
use crate::graph::ElementId;
use crate::model::flex::Flex;
use crate::model::text::CordageRef;
use crate::model::value::{Field, Spanned};
use crate::quantity::{Quantity, Temperature, degrees_celsius};
use crate::rules::{Draft, rule};
use crate::tables::minimum_section::heat_resistant_cord;

use super::halves::{Half, borne_by, pairs};

rule!(
    "coupler-temperature",
    Couplers,
    Error,
    "A hot inlet (pins at 120 or 155 °C) on a cord that does not stand the heat: its insulation softens and live parts come bare."
);

/// Pins up to this temperature are cold (IEC 60320-1): any cord will do.
fn cold() -> Temperature {
    degrees_celsius(70.0)
}

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    for (id, _) in analysis.graph.elements() {
        for (connector, inlet, pins) in hot_pairs(analysis, id) {
            let citation = heat_resistant_cord(connector.name());
            let citation = citation.unwrap_or(&pins.citation);
            let pins = (pins.value, citation);
            findings.extend(judged(analysis, id, &connector, &inlet, pins));
        }
    }
}

/// Connectors on inlets whose pins get hot, with how hot.
fn hot_pairs<'a>(
    analysis: &Analysis<'a>,
    id: ElementId,
) -> impl Iterator<Item = (Half<'a>, Half<'a>, &'a Cited<Temperature>)> {
    let fitting = pairs(analysis, id).filter(|pair| pair.mate().is_some_and(|mate| mate.fits()));
    fitting.filter_map(|pair| {
        let (connector, inlet) = pair.both()?;
        let pins = inlet.coupler.value.pin_temperature.as_ref();
        let pins = pins.filter(|pins| pins.value > cold())?;
        Some((connector, inlet, pins))
    })
}

/// A North American jacket says what it bears by its mark, not by its name.
fn is_marked_hot(flex: &Flex<'_>) -> bool {
    let mark = flex.mark.known().copied();
    mark.is_some_and(|mark| mark >= degrees_celsius(90.0))
}

fn judged(
    analysis: &Analysis<'_>,
    id: ElementId,
    connector: &Half<'_>,
    inlet: &Half<'_>,
    (pins, citation): (Temperature, &Citation),
) -> Option<Finding> {
    let flex = analysis.flex(id)?;
    let cordage: &Field<_> = flex.cordage;
    let name = analysis.describe(id);
    let device = inlet.what(analysis);
    let draft = match cordage {
        Field::Given(cordage) if cordage.value.insulation.stands_heat() || is_marked_hot(&flex) => {
            return None;
        }
        Field::Given(cordage) => soft(&name, &device, cordage, pins, citation),
        Field::Absent | Field::Unreadable(_) => {
            let headline = format!(
                "does {name} stand the heat of {device} ({})? Missing: its cordage type (on the jacket)",
                inlet.name()
            );
            let span = cordage.span().unwrap_or(connector.coupler.span);
            let note = "not decided: the cordage is missing";
            Draft::new(&RULE, headline, span, note, citation.clone())
                .wants([analysis.conductor_fact(id, "cordage", Some(cordage))])
                .advice("Read the cordage type off the jacket and write it; a hot inlet wants rubber or heat-resistant cordage, such as H05RR-F or H05V2V2-F.")
        }
    };
    let seen = format!(", pins up to {}", pins.show());
    Some(
        draft
            .above([analysis.hop(id)])
            .below([inlet.place(analysis, &seen)])
            .about([analysis.full_name(id)])
            .finish(),
    )
}

fn soft(
    name: &str,
    device: &str,
    cordage: &Spanned<CordageRef>,
    pins: Temperature,
    citation: &Citation,
) -> Draft {
    let measure = Measure::above(pins, cold());
    let (kind, pins) = (&cordage.value.name, pins.show());
    let headline = format!(
        "{name} may soften at {device} until live parts come bare: the pins there may reach {pins}, and {kind} is not made for heat"
    );
    let note = format!("{kind} is neither rubber nor made for heat");
    let level = borne_by(Level::Error, std::slice::from_ref(citation));
    Draft::new(&RULE, headline, cordage.span, note, citation.clone())
        .level(level)
        .measured(measure)
        .advice(
            "Order the cord with rubber or heat-resistant cordage, such as H05RR-F or H05V2V2-F.",
        )
}

#[cfg(test)]
mod tests {
    use crate::tables::couplers::all;
    use crate::tables::mating::mates;

    /// IEC 60320-1: a connector may serve an inlet of its own class or of a colder one.
    #[test]
    fn no_connector_enters_an_inlet_hotter_than_itself() {
        let mut pairs = 0;
        for connector in all() {
            for inlet in all() {
                let classes = connector
                    .pin_temperature
                    .as_ref()
                    .zip(inlet.pin_temperature.as_ref());
                let Some((own, pins)) = classes.filter(|_| mates(connector, inlet).fits()) else {
                    continue;
                };
                pairs += 1;
                assert!(own.value >= pins.value, "{connector} enters {inlet}");
            }
        }
        // The thirteen sheets with their own inlets, at the least.
        assert!(pairs >= 13);
    }
}
