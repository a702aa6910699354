//! What a change no longer asks: demands of zones, and the practice, edition and country that rules go by.

use crate::model::country::CountryCode;
use crate::model::edition::EditionRef;
use crate::model::value::{Field, Name};
use crate::policy::{DEMANDS, Policy};
use crate::source::Span;
use crate::tables::Practice;

use super::relaxed::{Judged, Relaxation};

/// Demands that are taken from zones, and racks and devices that are taken from where they hold.
pub(super) fn demands(now: &Policy<'_>, before: &Policy<'_>) -> Vec<Relaxation> {
    let mut all = of_zones(now, before);
    all.extend(of_what_stands_in_them(now, before));
    all
}

fn of_zones(now: &Policy<'_>, before: &Policy<'_>) -> Vec<Relaxation> {
    let mut taken = Vec::new();
    for (_, zone) in now.zones().iter() {
        let name = &zone.name.value;
        for demand in DEMANDS {
            if !demand.holds(before.zones(), name) || demand.holds(now.zones(), name) {
                continue;
            }
            taken.push(Relaxation {
                span: demand.of(zone).span().unwrap_or(zone.name.span),
                what: format!("takes the demand {} from zone {name}", demand.key),
                about: vec!["zones".into(), name.clone(), demand.key.into()],
                judged: Judged::AsBefore,
            });
        }
    }
    taken
}

/// What still stands somewhere, but by its words no longer in the zone that demanded something.
fn of_what_stands_in_them(now: &Policy<'_>, before: &Policy<'_>) -> Vec<Relaxation> {
    let mut taken = Vec::new();
    for then in before.standing() {
        let Some(zone) = then.zone.known() else {
            continue;
        };
        let Some(stands) = now.standing_as(&then) else {
            continue;
        };
        if stands.zone.known() == Some(zone) && now.zones().has(zone) {
            continue;
        }
        let holds_now = |demand: &crate::policy::ZoneDemand| {
            let zone = stands.zone.known();
            zone.is_some_and(|zone| demand.holds(now.zones(), zone))
        };
        for demand in DEMANDS {
            if !demand.holds(before.zones(), zone) || holds_now(demand) {
                continue;
            }
            let (what, name) = (stands.what, &stands.name.value);
            taken.push(Relaxation {
                span: stands.zone.span().unwrap_or(stands.name.span),
                what: format!(
                    "takes {what} {name} out of zone {zone}, which demands {}",
                    demand.key
                ),
                about: vec!["zones".into(), name.clone(), demand.key.into()],
                judged: Judged::NoMore,
            });
        }
    }
    taken
}

/// The practice, the edition and the country, where they were written and are others now.
pub(super) fn what_rules_go_by(now: &Policy<'_>, before: &Policy<'_>) -> Vec<Relaxation> {
    let practice = |field: &Field<Practice>| field.known().map(|practice| word(*practice).into());
    let country = |field: &Field<CountryCode>| field.known().map(|code| code.0.clone());
    let practices = (practice(now.practice()), practice(before.practice()));
    let countries = (country(now.country()), country(before.country()));
    let edition =
        |field: &Field<EditionRef>| field.known().map(|named| Name::from(named.to_string()));
    let editions = (edition(now.edition()), edition(before.edition()));
    let of =
        |key: &str, (now, before): (Option<Name>, Option<Name>), span: Option<Span>, anchor| {
            let before = before.filter(|before| Some(before) != now.as_ref())?;
            let now = now.map_or("nothing".into(), |now| format!("`{now}`"));
            Some(Relaxation {
                span: span.unwrap_or(anchor),
                what: format!("changes the {key} from `{before}` to {now}"),
                about: vec!["site".into(), key.into()],
                judged: Judged::NoMore,
            })
        };
    let anchor = now.place();
    let practice = of("practice", practices, now.practice().span(), anchor);
    let country = of("country", countries, now.country().span(), anchor);
    let edition = of("edition", editions, now.edition().span(), anchor);
    practice.into_iter().chain(edition).chain(country).collect()
}

/// As it is written in `site.practice`.
fn word(practice: Practice) -> &'static str {
    match practice {
        Practice::Iec => "iec",
        Practice::Nec => "nec",
    }
}
