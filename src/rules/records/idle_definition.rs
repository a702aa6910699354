//! `idle-definition`: is everything that is defined also used?

use crate::analysis::Analysis;
use crate::citation::Citation;
use crate::finding::Finding;
use crate::model::Model;
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
    let mut idle = Idle { model, findings };
    idle.among(&model.zones, "zone", "rack or device", &used);
    let racked = links.pdu_racks.iter().chain(&links.device_racks);
    let used = self::used(model.racks.len(), racked);
    idle.among(&model.racks, "rack", "device or PDU", &used);
    let used = self::used(model.pdu_models.len(), links.pdu_models.iter());
    idle.among(&model.pdu_models, "PDU model", "PDU", &used);
    let used = self::used(model.device_models.len(), links.device_models.iter());
    idle.among(&model.device_models, "device model", "device", &used);
    let used = self::used(model.cord_types.len(), links.cord_types.iter());
    idle.among(&model.cord_types, "cord type", "cord", &used);
}

/// Which things of a section are referred to.
fn used<'a, T: 'a>(count: usize, references: impl Iterator<Item = &'a Option<Id<T>>>) -> Vec<bool> {
    let mut used = vec![false; count];
    for id in references.flatten() {
        used[id.index()] = true;
    }
    used
}

/// What is told of as idle.
struct Idle<'a> {
    model: &'a Model,
    findings: &'a mut Vec<Finding>,
}

impl Idle<'_> {
    /// Things of a section that are not `used`. Those of a catalogue are there for other sites, too.
    fn among<T>(&mut self, section: &Section<T>, what: &str, user: &'static str, used: &[bool]) {
        let idle = section.iter().filter(|(id, _)| !used[id.index()]);
        let own = idle.filter(|(_, item)| !self.model.is_shared(item.name.span));
        self.findings.extend(own.map(|(_, item)| {
            let name = &item.name;
            let headline = format!(
                "no {user} uses {what} {}: it is left over, or what should use it names another",
                name.value
            );
            let basis = Citation::common_practice("records hold what is there");
            Draft::new(&RULE, headline, name.span, "not used", basis)
                .about([name.value.as_str(), what])
                .advice(
                    "Remove it, or name it where it belongs; a cord type kept for orders may stay.",
                )
                .finish()
        }));
    }
}
