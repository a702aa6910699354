//! A coupler with the mark that is relied on.

use crate::analysis::{exceeds, place};
use crate::citation::Cited;
use crate::finding::{Level, Measure};
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Name, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::Draft;
use crate::rules::couplers::halves::borne_by;
use crate::tables::Practice;

use super::RULE;

/// The most that a coupler may be relied on for, by its own mark.
pub(super) fn most(coupler: CouplerRef, practice: Practice) -> Option<&'static Cited<Current>> {
    let rated = coupler.rated(practice);
    rated.only_where_marked.as_ref().or(rated.current.as_ref())
}

/// A coupler with the mark that is relied on.
pub(super) struct Part<'a> {
    pub what: &'a str,
    pub name: &'a Spanned<Name>,
    pub half: &'static str,
    pub coupler: &'a Spanned<CouplerRef>,
    pub mark: &'a Spanned<Current>,
}

pub(super) fn part<'a>(
    what: &'a str,
    name: &'a Spanned<Name>,
    half: &'static str,
    coupler: &'a Field<CouplerRef>,
    mark: &'a Field<Current>,
) -> Option<Part<'a>> {
    Some(Part {
        what,
        name,
        half,
        coupler: coupler.given()?,
        mark: mark.given()?,
    })
}

impl Part<'_> {
    pub fn judged(&self, practice: Practice) -> Option<Draft> {
        let coupler = self.coupler.value;
        let here = most(coupler, practice)?;
        if !exceeds(self.mark.value, here.value) {
            return None;
        }
        let (other, own_words, other_words) = match practice {
            Practice::Iec => (Practice::Nec, "under IEC practice", "North American"),
            Practice::Nec => (Practice::Iec, "under NEC practice", "IEC"),
        };
        let abroad = most(coupler, other).filter(|abroad| !exceeds(self.mark.value, abroad.value));
        let (mark, limit) = (self.mark.value.show(), here.value.show());
        let origin = match abroad {
            Some(_) => format!("{mark} is a {other_words} figure and does not hold here")
                .replace("a IEC", "an IEC"),
            None => format!("{mark} is more than any standard gives it"),
        };
        let headline = format!(
            "{} is relied on for {mark}, but its {} {} bears {limit} {own_words}: loaded so, it overheats",
            self.what, self.half, coupler.name
        );
        let citation = here.citation.clone();
        let level = borne_by(Level::Error, std::slice::from_ref(&citation));
        let seen = format!("{} {}: {limit} {own_words}", self.half, coupler.name);
        Some(
            Draft::new(&RULE, headline, self.mark.span, origin, citation)
                .level(level)
                .also(abroad.map(|abroad| abroad.citation.clone()))
                .above([place(self.coupler.span, seen)])
                .working([format!("{mark} is above {limit}")])
                .measured(Measure::above(self.mark.value, here.value))
                .advice(format!(
                    "Read the mark on the part again. If it is right, count it as {limit} here, or use couplers that may carry {mark} here."
                ))
                .about([self.name.value.clone(), self.what.into()])
                .kind(if abroad.is_some() { "foreign" } else { "none" }),
        )
    }
}
