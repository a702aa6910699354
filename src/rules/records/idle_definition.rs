//! `idle-definition`: is everything that is defined also used?

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::value::{Id, Section};
use crate::rules::{Draft, rule};

rule!(
    "idle-definition",
    Records,
    Note,
    "A model, cord type, zone or rack that nothing uses: left over, or what should use it names another."
);

/// While a part of the definitions cannot be read, the users may stand there; nothing is said then,
/// for `unreadable-file` has the word.
fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    if analysis.model.is_incomplete {
        return;
    }
    let (model, links) = (analysis.model, &analysis.graph.links);
    let zoned = links.rack_zones.iter().chain(&links.device_zones);
    let used = used(model.zones.len(), zoned);
    idle(&model.zones, "zone", "rack or device", &used, findings);
    let racked = links.pdu_racks.iter().chain(&links.device_racks);
    let used = self::used(model.racks.len(), racked);
    idle(&model.racks, "rack", "device or PDU", &used, findings);
    let used = self::used(model.pdu_models.len(), links.pdu_models.iter());
    idle(&model.pdu_models, "PDU model", "PDU", &used, findings);
    let used = self::used(model.device_models.len(), links.device_models.iter());
    idle(
        &model.device_models,
        "device model",
        "device",
        &used,
        findings,
    );
    let used = self::used(model.cord_types.len(), links.cord_types.iter());
    idle(&model.cord_types, "cord type", "cord", &used, findings);
}

/// Which things of a section are referred to.
fn used<'a, T: 'a>(count: usize, references: impl Iterator<Item = &'a Option<Id<T>>>) -> Vec<bool> {
    let mut used = vec![false; count];
    for id in references.flatten() {
        used[id.index()] = true;
    }
    used
}

fn idle<T>(
    section: &Section<T>,
    what: &str,
    user: &'static str,
    used: &[bool],
    findings: &mut Vec<Finding>,
) {
    let idle = section.iter().filter(|(id, _)| !used[id.index()]);
    findings.extend(idle.map(|(_, item)| {
        let name = &item.name;
        let headline = format!(
            "no {user} uses {what} {}: it is left over, or what should use it names another",
            name.value
        );
        let basis = Citation::common_practice("records hold what is there");
        Draft::new(&RULE, headline, name.span, "not used", basis)
            .about([name.value.as_str(), what])
            .advice("Remove it, or name it where it belongs; a cord type kept for orders may stay.")
            .finish()
    }));
}
