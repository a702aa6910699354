//! What may be relied on of a cord that is marked with several types, where nobody knows which of them binds.

use super::{Cordage, Insulation, RatedVoltage, Service, Sizes};
use crate::citation::Citation;
use crate::quantity::ConductorSize;
use crate::tables::by_size::is_larger;

/// The less of both in everything: temperature, duty, voltage, sizes, and whatever only one of them stands.
pub fn weaker(one: &Cordage, other: &Cordage) -> Cordage {
    let cooler = match other.conductor_temperature < one.conductor_temperature {
        true => other,
        false => one,
    };
    Cordage {
        name: match one.name.split(" / ").any(|name| name == other.name) {
            true => one.name.clone(),
            false => format!("{} / {}", one.name, other.name).into(),
        },
        // A mark of its own lets a North American cord be hotter: not one of which that may not be true.
        family: one.family.min(other.family),
        voltage: RatedVoltage {
            to_earth: lower(one.voltage.to_earth, other.voltage.to_earth),
            between: lower(one.voltage.between, other.voltage.between),
        },
        conductor_temperature: cooler.conductor_temperature,
        insulation: softer(one.insulation, other.insulation),
        sizes: sizes(&one.sizes, &other.sizes),
        service: service(&one.service, &other.service),
        citation: cooler.citation.clone(),
    }
}

fn lower<T: PartialOrd>(one: T, other: T) -> T {
    if other < one { other } else { one }
}

/// Sizes that both are made in.
fn sizes(one: &Sizes, other: &Sizes) -> Sizes {
    let larger = |a, b| if is_larger(a, b) { a } else { b };
    let smaller = |a, b| if is_larger(a, b) { b } else { a };
    let citation = less_sure(&one.citation, &other.citation);
    let listed = match (one.listed.is_empty(), other.listed.is_empty()) {
        (true, true) => {
            return Sizes {
                smallest: larger(one.smallest, other.smallest),
                largest: smaller(one.largest, other.largest),
                undisputed: smaller(one.undisputed, other.undisputed),
                listed: Vec::new(),
                citation,
            };
        }
        (false, _) => &one.listed,
        (true, false) => &other.listed,
    };
    let is_made = |size: &&ConductorSize| one.has(**size) && other.has(**size);
    Sizes::of(listed.iter().filter(is_made).copied().collect(), citation)
}

fn service(one: &Service, other: &Service) -> Service {
    Service {
        duty: match other.duty.grade() < one.duty.grade() {
            true => other.duty,
            false => one.duty,
        },
        halogen_free: both(one.halogen_free, other.halogen_free),
        oil_resistant: both(one.oil_resistant, other.oil_resistant),
        wet: both(one.wet, other.wet),
        citation: less_sure(&one.citation, &other.citation),
    }
}

/// What one of them does not stand, the cord does not.
fn both(one: Option<bool>, other: Option<bool>) -> Option<bool> {
    match (one, other) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    }
}

fn less_sure(one: &Citation, other: &Citation) -> Citation {
    match other.confidence > one.confidence {
        true => other.clone(),
        false => one.clone(),
    }
}

/// An insulation that bears no more than either, on a short circuit and beside a hot pin.
fn softer(one: Insulation, other: Insulation) -> Insulation {
    let softer = if strength(other) < strength(one) {
        other
    } else {
        one
    };
    match one.stands_heat() && other.stands_heat() {
        false if softer.stands_heat() => Insulation::Thermoplastic,
        _ => softer,
    }
}

/// Insulations in the order of their adiabatic constants (`data/withstand.yaml`).
fn strength(insulation: Insulation) -> u8 {
    match insulation {
        Insulation::Thermoplastic => 0,
        Insulation::ThermoplasticElastomer => 1,
        Insulation::Pvc90 => 2,
        Insulation::Thermoset => 3,
        Insulation::Pvc70 | Insulation::HalogenFreeThermoplastic70 => 4,
        Insulation::Rubber60 => 5,
        Insulation::Epr90 | Insulation::HalogenFreeCrosslinked90 => 6,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::cordage::{all, find};

    fn both(one: &str, other: &str) -> Cordage {
        let [one, other] = [one, other].map(|name| find(name).unwrap_or_else(|| panic!("{name}")));
        weaker(one, other)
    }

    #[test]
    fn the_less_of_both_holds() {
        let cord = both("H05VV-F", "SVT");
        assert_eq!(cord.name, "H05VV-F / SVT");
        assert_eq!(cord.service.duty.grade(), 1);
        let svt = find("SVT").map(|svt| svt.conductor_temperature);
        assert_eq!(Some(cord.conductor_temperature), svt);
        assert_eq!(cord.insulation, Insulation::Thermoplastic);
        assert_eq!(both("SVT", "SVT").name, "SVT");
        let three = weaker(&cord, find("VCTF").unwrap_or(&cord));
        assert_eq!(three.name, "H05VV-F / SVT / VCTF");
    }

    #[test]
    fn no_two_together_stand_more_than_either_alone() {
        for one in all() {
            for other in all() {
                let cord = weaker(one, other);
                for part in [one, other] {
                    assert!(cord.conductor_temperature <= part.conductor_temperature);
                    assert!(cord.voltage.to_earth <= part.voltage.to_earth);
                    assert!(cord.service.duty.grade() <= part.service.duty.grade());
                    assert!(strength(cord.insulation) <= strength(part.insulation));
                    assert!(!cord.insulation.stands_heat() || part.insulation.stands_heat());
                    assert!(cord.service.wet != Some(true) || part.service.wet == Some(true));
                    assert!(!is_larger(part.sizes.smallest, cord.sizes.smallest));
                    assert!(!is_larger(cord.sizes.largest, part.sizes.largest));
                }
            }
        }
    }
}
