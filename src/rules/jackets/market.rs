//! The country of the site, and what to say where it is not known.

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::{Fact, Finding};
use crate::rules::{Draft, Rule};

/// What to do where the tables end.
pub(super) const ASK: &str =
    "Ask the inspectorate of that country, and record what it asks for as a departure.";

/// That something cannot be judged for want of the country, once for the site.
pub(super) fn country_unknown(
    analysis: &Analysis<'_>,
    rule: &Rule,
    what: &str,
    basis: Citation,
) -> Option<Finding> {
    let field = &analysis.model.site.country;
    let why = match field.known() {
        Some(code) => format!("the tables hold nothing for country {code}"),
        None => "the country of the site is missing".into(),
    };
    let at = field.span().or(analysis.site_place())?;
    let advice = match field.known() {
        Some(name) if name.0.len() != 2 => {
            "Write the country by its two letters (ISO 3166-1), like `country: AU`."
        }
        Some(_) => ASK,
        None => "Write the country of the site by its two letters, like `country: GB`.",
    };
    let draft = Draft::new(rule, format!("{what}? Open: {why}"), at, why, basis)
        .wants(
            field
                .given()
                .is_none()
                .then(|| Fact::of_site("country", field, at)),
        )
        .open()
        .about(["site"])
        .advice(advice);
    Some(draft.finish())
}
