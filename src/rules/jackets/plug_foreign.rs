//! `plug-foreign`: is every wall plug one of the site's country?

mod wall_plug;

use crate::analysis::{Analysis, field_or_name, place};
use crate::citation::{Citation, Confidence};
use crate::finding::Finding;
use crate::rules::{Draft, rule};
use crate::tables::countries::{Country, Standing};
use crate::tables::words::Words;

use super::market::country_unknown;
use wall_plug::{WallPlug, wall_plugs};

rule!(
    "plug-foreign",
    Jackets,
    Warning,
    "A wall plug of another country: it asks for an adapter, and adapters lose the earth (ground) or the polarity."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    let plugs = wall_plugs(analysis);
    let country = analysis.site_country();
    if let (None, false) = (country, plugs.is_empty()) {
        let basis = Citation::common_practice("wall plugs by country");
        findings.extend(country_unknown(
            analysis,
            &RULE,
            "are the wall plugs those of the site's country",
            basis,
        ));
    }
    let Some(country) = country else {
        return;
    };
    for plug in plugs.into_values() {
        if country.standing(&plug.plug.value) == Standing::Foreign {
            findings.push(foreign(analysis, plug, country));
        }
    }
}

fn foreign(analysis: &Analysis<'_>, plug: WallPlug<'_>, country: &Country) -> Finding {
    let Words { earth, socket, .. } = analysis.words();
    let name = &plug.plug.value.name;
    let is_disputed = country.wall_plugs.citation.confidence == Confidence::Disputed;
    let headline = if is_disputed {
        format!(
            "is {name}, the plug of {} {}, a wall plug of {}? Open: sources disagree",
            plug.what, plug.kind.value, country.name
        )
    } else {
        format!(
            "the plug of {} {}, {name}, is no wall plug of the site's country ({}): it tempts people to an adapter, which may lose the {earth}",
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
    let circuit = &analysis.model.circuits[plug.receptacle];
    let receptacle = place(
        field_or_name(&circuit.receptacle.coupler, &circuit.name),
        analysis.words().socket_of(&circuit.name.value),
    );
    let at = analysis.model.site.country.span();
    let draft = Draft::new(
        &RULE,
        headline,
        plug.plug.span,
        name.to_string(),
        country.wall_plugs.citation.clone(),
    )
    .above(at.map(|at| place(at, format!("the site's country: {}", country.name))))
    .above([receptacle])
    .below([place(
        plug.user.span,
        format!("{} {}", plug.user_word, plug.user.value),
    )])
    .working([format!(
        "{} has these wall plugs: {}{more}",
        country.name,
        usual.join(", ")
    )])
    .advice(format!(
        "Fit the {socket} and the plug of the country, or an IEC 60309 pair, which belongs to none."
    ))
    .about([plug.kind.value.clone()])
    .suffered_by(plug.users.into_iter().cloned());
    if is_disputed {
        draft.open().finish()
    } else {
        draft.finish()
    }
}

/// Names of plugs that a finding lists.
const MOST_NAMES: usize = 6;
