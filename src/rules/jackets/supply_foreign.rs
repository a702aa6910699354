//! `supply-foreign`: is every supply of a voltage and frequency that the site's country has?

mod usual;

use crate::analysis::{Analysis, place};
use crate::citation::{Citation, Cited};
use crate::finding::{Fact, Finding};
use crate::model::circuits::Supply;
use crate::model::text::YesNo;
use crate::model::value::{Named, Spanned};
use crate::quantity::{Frequency, Quantity, Ratio, Scalar, SystemMarking, hertz};
use crate::rules::illegible::Illegible;
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::spelling::either;
use crate::tables::constants;
use crate::tables::countries::Country;

use super::market::country_unknown;
use usual::Usual;

rule!(
    "supply-foreign",
    Jackets,
    Warning,
    "A supply that the site's country does not have: if its marking was copied from elsewhere, every current is worked out from it."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let Some(band) = constants::voltage_band() else {
        return;
    };
    // A ship, a generator or a converter has the voltage that it is made for, wherever it stands.
    let supplies = analysis.model.supplies.iter();
    let supplies = supplies.filter(|(_, supply)| is_public(supply) != Ok(false));
    let mut marked = supplies.filter_map(|(_, supply)| Some((supply, supply.system.given()?)));
    let Some(country) = analysis.site_country() else {
        let what = "have the supplies the voltage and frequency of the site's country";
        let unknown = |_| country_unknown(analysis, &RULE, what, band.citation);
        findings.extend(marked.next().and_then(unknown));
        return;
    };
    let mut illegible = Illegible::default();
    for (supply, marking) in marked {
        let marked = Marked {
            analysis,
            country,
            supply,
            marking,
        };
        let foreign = marked.of_foreign_voltage(&band);
        let foreign = foreign.into_iter().chain(marked.of_foreign_frequency());
        match is_public(supply) {
            Ok(_) => findings.extend(foreign),
            Err(at) if foreign.count() > 0 => marked.ask_if_public(at, &mut illegible),
            Err(_) => {}
        }
    }
    findings.extend(illegible.findings());
}

/// Whether a supply is the public one, which it is unless somebody says otherwise.
fn is_public(supply: &Supply) -> Result<bool, Span> {
    let said = supply.public.unless_written(YesNo(true))?;
    Ok(said.0)
}

/// A supply, how it is marked, and where it stands.
struct Marked<'a> {
    analysis: &'a Analysis<'a>,
    country: &'a Country,
    supply: &'a Named<Supply>,
    marking: &'a Spanned<SystemMarking>,
}

impl Marked<'_> {
    fn of_foreign_voltage(&self, band: &Cited<Ratio>) -> Option<Finding> {
        let usual = Usual::of(self.country, &self.marking.value)?;
        if usual.has_marked(band.value.to_si()) {
            return None;
        }
        let (name, country) = (&self.supply.name.value, &self.country.name);
        let (marked, place) = (usual.marked.show(), usual.place);
        let headline = if usual.is_disputed() {
            format!(
                "is {marked} {place} of supply {name} a voltage of the site's country ({country})? Open: sources disagree"
            )
        } else {
            format!(
                "supply {name} has {marked} {place}, which is no voltage of the site's country ({country}): every current below it is worked out from that figure"
            )
        };
        let working = format!(
            "{country} has {} {place}; {marked} is not within {} of it",
            usual.listed(),
            band.value.show()
        );
        let draft = self
            .draft(headline, usual.basis().next()?)
            .working([working])
            .also(usual.basis().chain([&band.citation]).cloned())
            .kind("voltage")
            .advice(RECORD);
        Some(if usual.is_disputed() {
            draft.open().finish()
        } else {
            draft.finish()
        })
    }

    fn of_foreign_frequency(&self) -> Option<Finding> {
        let usual = &self.country.frequencies;
        let marked = self.marking.value.frequency;
        // Nominal frequencies are whole and far apart.
        let is_same =
            |usual: &Frequency| marked.is_some_and(|marked| (marked - *usual).abs() < hertz(1.0));
        if usual.value.iter().any(is_same) {
            return None;
        }
        let (name, country) = (&self.supply.name.value, &self.country.name);
        let shown: Vec<String> = usual.value.iter().map(Quantity::show).collect();
        let had = either(&shown);
        let (headline, advice) = match marked {
            None => (
                format!(
                    "has supply {name} the frequency of the site's country ({country}, {had})? Missing: its frequency (rating plate)"
                ),
                format!(
                    "Read the frequency off the supply's rating plate and add it to the marking, like `{}`.",
                    self.with(usual.value[0])
                ),
            ),
            Some(marked) => (
                format!(
                    "supply {name} has {}, where the site's country ({country}) has {had}: equipment made for {had} alone may not run safely on it",
                    marked.show()
                ),
                RECORD.to_owned(),
            ),
        };
        let draft = self.draft(headline, &usual.citation);
        let draft = draft.kind("frequency").advice(advice);
        let marking = || Fact::of(self.supply, "system", Some(&self.supply.system));
        Some(if marked.is_none() {
            draft.wants([marking()]).finish()
        } else {
            draft.finish()
        })
    }

    /// What would be held against the public supply, where it cannot be read whether this is one.
    fn ask_if_public(&self, at: Span, illegible: &mut Illegible) {
        let fact = Fact::unreadable(self.supply, "public", at);
        let (name, country) = (&self.supply.name.value, &self.country.name);
        illegible.ask(&RULE, &fact, || {
            format!(
                "is supply {name} ({}) made so on purpose, where the site's country ({country}) has other supplies",
                self.marking.value.show()
            )
        });
    }

    /// The marking with another frequency.
    fn with(&self, frequency: Frequency) -> String {
        let marking = SystemMarking {
            frequency: Some(frequency),
            ..self.marking.value
        };
        marking.show()
    }

    fn draft(&self, headline: String, basis: &Citation) -> Draft {
        let marking = self.marking;
        let country = self.analysis.model.site.country.span();
        let country =
            country.map(|at| place(at, format!("the site's country: {}", self.country.name)));
        let name = &self.supply.name;
        let note = marking.value.show();
        Draft::new(&RULE, headline, marking.span, note, basis.clone())
            .above(country)
            .above([place(name.span, format!("supply {}", name.value))])
            .about([name.value.clone()])
    }
}

/// What to do about a marking that is none of the country.
const RECORD: &str = "Read the marking off the supply's rating plate and correct it, or the site's `country`. \
     Where a generator, a transformer, a UPS or a converter makes it so on purpose, write `public: no` there.";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::countries;

    #[test]
    fn the_page_names_every_country_of_the_tables() {
        let codes: Vec<&str> = countries::all().map(|one| one.code.as_str()).collect();
        let words = format!(
            "known of {} countries and territories, by their codes of ISO 3166-1: {}.",
            codes.len(),
            codes.join(" ")
        );
        assert!(RULE.page.contains(&words), "the page lacks: {words}");
    }
}
