//! A coupler with the mark that is relied on.

use crate::analysis::{Analysis, exceeds, place};
use crate::citation::Cited;
use crate::finding::{Level, Measure};
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Name, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::Draft;
use crate::rules::couplers::halves::borne_by;
use crate::tables::Practice;
use crate::tables::couplers::Coupler;

use super::RULE;

/// Where the marks are judged.
pub(super) struct Here {
    practice: Practice,
    /// Japanese sets bear the figures of their own law under IEC practice.
    is_japan: bool,
}

impl Here {
    pub fn of(analysis: &Analysis<'_>, practice: Practice) -> Self {
        let country = analysis.model.site.country.known();
        Self {
            practice,
            is_japan: country.is_some_and(|country| country.0 == "JP"),
        }
    }

    /// The most that a coupler may be relied on for, by its own mark. In Japan sets are marked 12 A or 15 A on a
    /// C13 (from memory, verify), as they are in North America.
    pub fn most<'c>(&self, coupler: &'c Coupler) -> Option<&'c Cited<Current>> {
        let of = |practice| {
            let rated = coupler.rated(practice);
            rated.only_where_marked.as_ref().or(rated.current.as_ref())
        };
        match self.is_japan {
            true => of(Practice::Nec).or(of(Practice::Iec)),
            false => of(self.practice),
        }
    }
}

/// A coupler with the mark that is relied on, readable or not.
pub(super) struct Part<'a> {
    pub what: &'a str,
    name: &'a Spanned<Name>,
    half: &'static str,
    coupler: &'a Spanned<CouplerRef>,
    mark: &'a Field<Current>,
}

impl<'a> Part<'a> {
    pub fn new(
        what: &'a str,
        name: &'a Spanned<Name>,
        half: &'static str,
        (coupler, mark): (&'a Field<CouplerRef>, &'a Field<Current>),
    ) -> Option<Self> {
        let coupler = coupler.given()?;
        (!mark.is_absent()).then_some(Self {
            what,
            name,
            half,
            coupler,
            mark,
        })
    }

    pub fn judged(&self, place_of_use: &Here) -> Option<Draft> {
        let practice = place_of_use.practice;
        let (coupler, own) = (&self.coupler.value, self.mark.given()?);
        let here = place_of_use.most(coupler)?;
        if !exceeds(own.value, here.value) {
            return None;
        }
        let (other, own_words, other_words) = match practice {
            Practice::Iec => (Practice::Nec, "under IEC practice", "North American"),
            Practice::Nec => (Practice::Iec, "under NEC practice", "IEC"),
        };
        let elsewhere = Here {
            practice: other,
            is_japan: false,
        };
        let abroad = elsewhere.most(coupler);
        let abroad = abroad.filter(|abroad| !exceeds(own.value, abroad.value));
        let (mark, limit) = (own.value.show(), here.value.show());
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
            Draft::new(&RULE, headline, own.span, origin, citation)
                .level(level)
                .also(abroad.map(|abroad| abroad.citation.clone()))
                .above([place(self.coupler.span, seen)])
                .working([format!("{mark} is above {limit}")])
                .measured(Measure::above(own.value, here.value))
                .advice(format!(
                    "Read the mark on the part again. If it is right, count it as {limit} here, or use couplers that may carry {mark} here."
                ))
                .about([self.name.value.clone(), self.what.into()])
                .kind(if abroad.is_some() { "foreign" } else { "none" }),
        )
    }
}
