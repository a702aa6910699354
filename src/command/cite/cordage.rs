//! What the tables have of a cordage type, written as the pages of the rules are.

use crate::quantity::Quantity;
use crate::tables::cordage::{self, Cordage, Duty, Family, Insulation};
use crate::tables::own;

/// The page of the cordage of the tables that a text names, in Markdown.
pub(super) fn page(text: &str) -> Option<String> {
    cordage::find(text).map(page_of)
}

/// The page of a cordage.
pub(super) fn page_of(cordage: &Cordage) -> String {
    let Cordage {
        name,
        voltage,
        conductor_temperature,
        sizes,
        service,
        citation,
        ..
    } = cordage;
    let family = match cordage.family {
        _ if own::is_own(name) => "A cordage that a site describes itself",
        Family::Harmonised => "A harmonised or IEC cordage type",
        Family::Nec => "A cordage type of NEC Table 400.4 and UL 62",
        Family::Japan => "A Japanese cordage type",
    };
    let marked = match cordage.family {
        Family::Nec => " The jacket may be marked with more; without a mark this holds.",
        Family::Harmonised | Family::Japan => "",
    };
    let disputed = match sizes.undisputed == sizes.largest {
        true => String::new(),
        false => format!(" Above {} the editions disagree.", sizes.undisputed.show()),
    };
    format!(
        "# {name}\n\n{family}. What it may carry follows from its size and where it lies: see conductor-underrated.\
         \n\n## Rated voltage\n\n{} to earth, {} between conductors. Source: {citation}.\
         \n\n## Heat\n\nConductors up to {}.{marked} Source: {citation}.\
         \n\n## Insulation\n\n{}. Source: {citation}.\
         \n\n## Sizes\n\n{}.{disputed} Source: {}.\
         \n\n## Use\n\n{}. Halogen-free: {}. Oil: {}. Wet places: {}. Source: {}.\
         \n\n## Caution\n\nAdvisory only. Read what is printed on the jacket; local code and a licensed electrician prevail.",
        voltage.to_earth.show(),
        voltage.between.show(),
        conductor_temperature.show(),
        insulation(cordage.insulation),
        sizes.show(),
        sizes.citation,
        duty(service.duty),
        answer(service.halogen_free),
        answer(service.oil_resistant),
        answer(service.wet),
        service.citation,
    )
}

fn insulation(insulation: Insulation) -> &'static str {
    match insulation {
        Insulation::Pvc70 => "PVC for 70 °C",
        Insulation::Pvc90 => "Heat-resistant PVC for 90 °C",
        Insulation::Rubber60 => "Rubber for 60 °C",
        Insulation::Epr90 => "EPR or cross-linked polyethylene for 90 °C",
        Insulation::HalogenFreeThermoplastic70 => "Halogen-free thermoplastic for 70 °C",
        Insulation::HalogenFreeCrosslinked90 => "Halogen-free, cross-linked, for 90 °C",
        Insulation::Thermoplastic => "Thermoplastic of UL 62",
        Insulation::Thermoset => "Thermoset of UL 62",
        Insulation::ThermoplasticElastomer => "Thermoplastic elastomer of UL 62",
    }
}

fn duty(duty: Duty) -> &'static str {
    match duty {
        Duty::Light => "Light duty",
        Duty::Ordinary => "Ordinary duty",
        Duty::Heavy => "Heavy duty",
        Duty::NotHard => "Not hard usage",
        Duty::Hard => "Hard usage",
        Duty::ExtraHard => "Extra-hard usage",
    }
}

/// What is not known is no yes.
fn answer(known: Option<bool>) -> &'static str {
    match known {
        Some(true) => "yes",
        Some(false) => "no",
        None => "not known, which is no yes",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cordage_has_a_page_with_its_sources() {
        for cordage in cordage::all() {
            let page = page(&cordage.name).unwrap();
            assert_eq!(page.matches("Source: ").count(), 5, "{page}");
        }
        let sjt = page("sjt").unwrap();
        assert!(sjt.contains("300 V between conductors"), "{sjt}");
        assert!(
            sjt.contains("up to 60 °C. The jacket may be marked with more"),
            "{sjt}"
        );
        assert!(sjt.contains("Hard usage. Halogen-free: "), "{sjt}");
        assert_eq!(page("SJX"), None);
    }
}
