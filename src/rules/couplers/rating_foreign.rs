//! `rating-foreign`: is a part relied on for more than the site's practice allows its couplers?
//!
//! The definitions are judged, not each cord: one mark, one finding.

use crate::citation::Cited;
use crate::finding::{Finding, Level};
use crate::model::cords::CordType;
use crate::model::text::CouplerRef;
use crate::model::value::{Field, Name, Spanned};
use crate::quantity::{Current, Quantity};
use crate::rules::{Draft, rule};
use crate::survey::{Survey, exceeds, place};
use crate::tables::Practice;

use super::halves::borne_by;

rule!(
    "rating-foreign",
    Couplers,
    Error,
    "A rating relied on that does not hold at this site, such as 15 A on a C13 under IEC practice: the coupler may be overloaded."
);

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    // Without a practice no rating is foreign; that it is missing is an error of its own.
    let Some(practice) = survey.practice() else {
        return;
    };
    let mut judge = |part: Option<Part<'_>>| {
        let found = part.and_then(|part| part.judged(practice));
        let is_found = found.is_some();
        findings.extend(found);
        is_found
    };
    for kind in survey.model.cord_types.items() {
        let what = format!("cord type {}", kind.name.value);
        let whole = |half, coupler| part(&what, &kind.name, half, coupler, &kind.rating);
        // One mark, one finding; and a plug below its connector is a fault of its own.
        if !judge(whole("connector", &kind.connector)) && !has_low_plug(practice, kind) {
            judge(whole("plug", &kind.plug));
        }
        for leg in kind.legs.items() {
            let what = format!("leg {} of {what}", leg.name.value);
            judge(part(
                &what,
                &kind.name,
                "connector",
                &leg.connector,
                &leg.rating,
            ));
        }
    }
    for model in survey.model.pdu_models.items() {
        let mut last = None;
        for outlet in model.banks.items().iter().flat_map(|bank| &bank.outlets.0) {
            // A range of outlets is one definition.
            if outlet.rating.span() != last {
                last = outlet.rating.span();
                let what = format!(
                    "outlet {} of PDU model {}",
                    outlet.name.value, model.name.value
                );
                judge(part(
                    &what,
                    &model.name,
                    "coupler",
                    &outlet.coupler,
                    &outlet.rating,
                ));
            }
        }
    }
    for model in survey.model.device_models.items() {
        for inlet in model.inlets.items() {
            let what = format!(
                "inlet {} of device model {}",
                inlet.name.value, model.name.value
            );
            judge(part(
                &what,
                &model.name,
                "coupler",
                &inlet.coupler,
                &inlet.rating,
            ));
        }
    }
}

fn has_low_plug(practice: Practice, kind: &CordType) -> bool {
    let [plug, connector] = [&kind.plug, &kind.connector]
        .map(|half| half.copied().and_then(|coupler| most(coupler, practice)));
    plug.zip(connector)
        .is_some_and(|(plug, connector)| plug.value < connector.value)
}

/// The most that a coupler may be relied on for, by its own mark.
fn most(coupler: CouplerRef, practice: Practice) -> Option<&'static Cited<Current>> {
    let rated = coupler.rated(practice);
    rated.only_where_marked.as_ref().or(rated.current.as_ref())
}

/// A coupler with the mark that is relied on.
struct Part<'a> {
    what: &'a str,
    name: &'a Spanned<Name>,
    half: &'static str,
    coupler: &'a Spanned<CouplerRef>,
    mark: &'a Spanned<Current>,
}

fn part<'a>(
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
    fn judged(&self, practice: Practice) -> Option<Finding> {
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
                .advice(format!(
                    "Count it as {limit}; for a larger load, use couplers that bear it here."
                ))
                .edit(self.mark.span, limit)
                .about([self.name.value.clone(), self.what.into()])
                .kind(if abroad.is_some() { "foreign" } else { "none" })
                .finish(),
        )
    }
}
