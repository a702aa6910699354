//! What to use instead: a cord type of the site, or a cordage of the tables.

use crate::quantity::{ConductorSize, Quantity};
use crate::survey::Survey;
use crate::tables::cordage::{self, Cordage, SizeFit};

use super::run::Run;

/// A cord type of the site with the same ends whose cordage will do, or the first cordage of the
/// tables that will.
pub(super) fn replacement(
    survey: &Survey<'_>,
    run: &Run<'_>,
    will_do: impl Fn(&Cordage) -> bool,
) -> Option<String> {
    let kind = run
        .cord()
        .and_then(|cord| survey.graph.cord_type(survey.model, cord));
    let alike = kind.and_then(|kind| {
        survey.model.cord_types.items().iter().find(|other| {
            other.plug.get() == kind.plug.get()
                && other.connector.get() == kind.connector.get()
                && other.cordage.get().is_some_and(|cordage| will_do(cordage))
        })
    });
    if let Some(alike) = alike {
        let length = alike
            .length
            .get()
            .map_or_else(String::new, |length| format!(" ({})", length.show()));
        return Some(format!("cord type {}{length}", alike.name.value));
    }
    let now = run.cordage.get().copied();
    let serves = |other: &&Cordage| will_do(other) && is_no_step_back(other, now, run.conductor);
    let mut fitting = cordage::all().iter().filter(serves);
    let family = now.map(|now| now.family);
    let other = fitting.clone().find(|other| Some(other.family) == family);
    Some(format!(
        "a cord of {}",
        other.or_else(|| fitting.next())?.name
    ))
}

/// Whether a cordage is made in the size that is needed, for a voltage no lower than now.
fn is_no_step_back(other: &Cordage, now: Option<&Cordage>, size: Option<ConductorSize>) -> bool {
    let is_made = size.is_none_or(|size| other.size_fit(size) == SizeFit::Made);
    is_made && now.is_none_or(|now| other.voltage.between >= now.voltage.between)
}
