//! `plug-foreign`: is every wall plug one of the site's country?

use std::collections::BTreeMap;

use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::graph::{CordFeed, PduFeed};
use crate::model::circuits::Circuit;
use crate::model::cords::Cord;
use crate::model::pdus::Pdu;
use crate::model::text::CouplerRef;
use crate::model::value::{Id, Name, Spanned};
use crate::rules::{Draft, rule};
use crate::source::Span;
use crate::survey::{Survey, field_or_name, place};
use crate::tables::countries::{Country, Standing};
use crate::tables::couplers::Family;

use super::market::{country, country_unknown};

rule!(
    "plug-foreign",
    Jackets,
    Warning,
    "A wall plug of another country: it asks for an adapter, and adapters lose the earth or the polarity."
);

/// A plug that goes into a receptacle, and the first thing that has it.
struct WallPlug<'a> {
    /// `cord type` or `PDU model`.
    what: &'static str,
    kind: &'a Spanned<Name>,
    plug: &'a Spanned<CouplerRef>,
    receptacle: Id<Circuit>,
    /// A cord of that type, or a PDU of that model.
    user: &'a Spanned<Name>,
}

fn check(survey: &Survey<'_>, findings: &mut Vec<Finding>) {
    let plugs = wall_plugs(survey);
    let country = country(survey);
    if let (None, false) = (country, plugs.is_empty()) {
        let basis = Citation::common_practice("wall plugs by country");
        findings.extend(country_unknown(
            survey,
            &RULE,
            "the wall plugs are those of the site's country",
            basis,
        ));
    }
    let Some(country) = country else {
        return;
    };
    for plug in plugs.into_values() {
        if country.standing(plug.plug.value) == Standing::Foreign {
            findings.push(foreign(survey, plug, country));
        }
    }
}

/// The kinds of plug that go into receptacles of circuits, by where they stand.
fn wall_plugs<'a>(survey: &Survey<'a>) -> BTreeMap<Span, WallPlug<'a>> {
    let model = survey.model;
    let cords = model
        .cords
        .iter()
        .filter_map(|(cord, _)| of_cord(survey, cord));
    let strips = model.pdus.iter().filter_map(|(pdu, _)| of_pdu(survey, pdu));
    let mut plugs = BTreeMap::new();
    for plug in cords.chain(strips).filter(WallPlug::belongs_to_a_country) {
        plugs.entry(plug.plug.span).or_insert(plug);
    }
    plugs
}

impl WallPlug<'_> {
    fn belongs_to_a_country(&self) -> bool {
        matches!(self.plug.value.family, Family::Nema | Family::National)
    }
}

fn of_cord<'a>(survey: &Survey<'a>, cord: Id<Cord>) -> Option<WallPlug<'a>> {
    let links = &survey.graph.links;
    let Some(CordFeed::Receptacle(receptacle)) = links.cord_feeds[cord.index()] else {
        return None;
    };
    let kind = &survey.model.cord_types[links.cord_types[cord.index()]?];
    Some(WallPlug {
        what: "cord type",
        kind: &kind.name,
        plug: kind.plug.given()?,
        receptacle,
        user: &survey.model.cords[cord].name,
    })
}

fn of_pdu<'a>(survey: &Survey<'a>, pdu: Id<Pdu>) -> Option<WallPlug<'a>> {
    let links = &survey.graph.links;
    let Some(PduFeed::Circuit(receptacle)) = links.pdu_feeds[pdu.index()] else {
        return None;
    };
    let kind = &survey.model.pdu_models[links.pdu_models[pdu.index()]?];
    Some(WallPlug {
        what: "PDU model",
        kind: &kind.name,
        plug: kind.plug.given()?,
        receptacle,
        user: &survey.model.pdus[pdu].name,
    })
}

fn foreign(survey: &Survey<'_>, plug: WallPlug<'_>, country: &Country) -> Finding {
    let name = &plug.plug.value.name;
    let is_disputed = country.wall_plugs.citation.confidence == Confidence::Disputed;
    let headline = if is_disputed {
        format!(
            "whether {name}, the plug of {} {}, is a wall plug of {} cannot be said: sources disagree",
            plug.what, plug.kind.value, country.name
        )
    } else {
        format!(
            "the plug of {} {}, {name}, is no wall plug of the site's country ({}): it tempts people to an adapter, which may lose the earth",
            plug.what, plug.kind.value, country.name
        )
    };
    let usual = country
        .wall_plugs
        .value
        .iter()
        .filter(|other| other.as_str() != name);
    let usual: Vec<&str> = usual.map(String::as_str).take(MOST_NAMES).collect();
    let more = country.wall_plugs.value.len().saturating_sub(MOST_NAMES);
    let more = if more == 0 {
        String::new()
    } else {
        format!(" and {more} more")
    };
    let circuit = &survey.model.circuits[plug.receptacle];
    let receptacle = place(
        field_or_name(&circuit.receptacle, &circuit.name),
        format!("receptacle of circuit {}", circuit.name.value),
    );
    let at = survey.model.site.country.span();
    let draft = Draft::new(&RULE, headline, plug.plug.span, name.to_string(), country.wall_plugs.citation.clone())
        .above(at.map(|at| place(at, format!("the country is {}", country.name))))
        .above([receptacle])
        .below([place(plug.user.span, plug.user.value.as_str())])
        .working([format!("{} has these wall plugs: {}{more}", country.name, usual.join(", "))])
        .advice("Fit the receptacle and the plug of the country, or an IEC 60309 pair, which belongs to none.")
        .about([plug.kind.value.clone()]);
    if is_disputed {
        draft.open().finish()
    } else {
        draft.finish()
    }
}

/// Names of plugs that a finding lists.
const MOST_NAMES: usize = 6;
