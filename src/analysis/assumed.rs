//! What is taken for granted where the definitions are silent: one table, each row wide on the safe side,
//! or said where it is not.

use crate::citation::Citation;
use crate::flow::low_end::LowEnd;
use crate::model::circuits::{Circuit, Pole, Supply};
use crate::model::devices::DeviceModel;
use crate::model::value::Named;
use crate::quantity::Quantity;
use crate::tables::{Practice, constants};

use super::Analysis;

/// A row of the table.
pub struct Assumed {
    /// The key that would say it, with its section.
    pub key: &'static str,
    /// What is taken while it says nothing.
    pub taken: fn() -> String,
    /// Why that is on the safe side, or in how far it is not.
    pub why: &'static str,
    /// Where it comes from.
    pub source: fn() -> Citation,
    /// How many things of a site rest on it.
    count: fn(&Analysis<'_>) -> usize,
}

/// That something of a site rests on a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Resting {
    /// The key.
    pub key: &'static str,
    /// How many things do.
    pub things: usize,
}

/// All rows.
pub const ASSUMED: &[Assumed] = &[
    Assumed {
        key: "site.supply-tolerance",
        taken: || {
            let share = |practice| LowEnd::unless_written(Some(practice)).below.show();
            let (iec, nec) = (share(Practice::Iec), share(Practice::Nec));
            format!(
                "a supply may sit {iec} below its nominal voltage under IEC practice, {nec} under NEC"
            )
        },
        why: "a load of so many watts takes more current at less voltage",
        source: || cited(constants::supply_tolerance(Practice::Iec).map(|row| row.citation)),
        count: |analysis| usize::from(analysis.model.site.supply_tolerance.is_absent()),
    },
    Assumed {
        key: "supplies.protective-conductor",
        taken: || {
            "a supply brings a protective (equipment grounding) conductor, where its marking does not say".to_owned()
        },
        why: "not on the safe side by itself: prove it at the outlet",
        source: || Citation::common_practice("marking of supplies"),
        count: |analysis| {
            let supplies = analysis.model.supplies.items().iter();
            let is_marked = |supply: &Supply| {
                let system = supply.system.given();
                system.is_some_and(|system| system.value.protective_earth)
            };
            let is_silent =
                |supply: &Supply| supply.protective_conductor.is_absent() && !is_marked(supply);
            supplies.filter(|supply| is_silent(supply)).count()
        },
    },
    Assumed {
        key: "supplies.sequence-proved",
        taken: || "the worse of both phase sequences".to_owned(),
        why: "currents between lines add otherwise in the other sequence",
        source: || Citation::common_practice("both are reckoned, the worse one counts"),
        count: |analysis| {
            let supplies = analysis.model.supplies.items().iter();
            supplies.filter(|s| s.sequence_proved.is_absent()).count()
        },
    },
    Assumed {
        key: "device-models.sharing",
        taken: || "inlets share the load alike; after a loss those left take all of it".to_owned(),
        why: "the loss of each feed is reckoned, which bounds any other way of sharing between feeds",
        source: || Citation::common_practice("equipment with several power supplies"),
        count: |analysis| {
            in_use(analysis, |model| {
                model.inlets.len() > 1 && model.sharing.is_absent()
            })
        },
    },
    Assumed {
        key: "device-models.inlets-needed",
        taken: || "a device goes on with its last inlet, so that its load moves there".to_owned(),
        why: "a device that stops takes nothing; one that goes on loads what is left",
        source: || Citation::common_practice("equipment with several power supplies"),
        count: |analysis| {
            in_use(analysis, |model| {
                model.inlets.len() > 1 && model.inlets_needed.is_absent()
            })
        },
    },
    Assumed {
        key: "device-models.earth-current",
        taken: || {
            let most = constants::equipment_earth_current().map(|row| row.value.show());
            format!(
                "up to {} of protective conductor current at each inlet",
                most.unwrap_or_default()
            )
        },
        why: "more has to be marked beside the inlet; where this bound does not do, the point is open",
        source: || cited(constants::equipment_earth_current().map(|row| row.citation)),
        count: |analysis| match analysis.practice() {
            Some(Practice::Nec) => 0,
            _ => in_use(analysis, |model| model.earth_current.is_absent()),
        },
    },
    Assumed {
        key: "device-models.third-harmonic",
        taken: || {
            let most = constants::largest_third_harmonic().map(|row| row.value.show());
            format!(
                "anything from none to {} of third harmonic",
                most.unwrap_or_default()
            )
        },
        why: "where the neutral bears the most, it passes; where not, the point is open",
        source: || cited(constants::largest_third_harmonic().map(|row| row.citation)),
        count: |analysis| {
            let lines = |circuit: &Circuit| {
                let poles = circuit.poles.iter();
                poles.filter(|pole| pole.value != Pole::N).count()
            };
            let mut circuits = analysis.model.circuits.items().iter();
            match circuits.any(|circuit| lines(circuit) > 1) {
                true => in_use(analysis, |model| model.third_harmonic.is_absent()),
                false => 0,
            }
        },
    },
    Assumed {
        key: "zones.wet",
        taken: || "a place is dry".to_owned(),
        why: "not on the safe side: write it where water may come",
        source: || Citation::common_practice("rooms for equipment"),
        count: |analysis| {
            let zones = analysis.model.zones.items().iter();
            zones.filter(|zone| zone.wet.is_absent()).count()
        },
    },
    Assumed {
        key: "circuits.wiring.grouped",
        taken: || "the wiring of a circuit lies alone".to_owned(),
        why: "not on the safe side: bunched with others it may carry less; write it once as site.wiring",
        source: || Citation::common_practice("wiring on ways of its own"),
        count: |analysis| {
            let circuits = analysis.model.circuits.items().iter();
            let wiring = circuits.filter_map(|circuit| circuit.wiring.given());
            wiring
                .filter(|wiring| wiring.value.grouped.is_absent())
                .count()
        },
    },
    Assumed {
        key: "cords.bundle",
        taken: || "a cord lies alone, with air around it".to_owned(),
        why: "not on the safe side: cords that lie tight together warm each other",
        source: || Citation::common_practice("cords in a rack"),
        count: |analysis| {
            let cords = analysis.model.cords.items().iter();
            cords.filter(|cord| cord.bundle.is_absent()).count()
        },
    },
    Assumed {
        key: "site.routing",
        taken: || {
            "what cords take besides their way: two bends, a loop to draw them by, the arm of a rail".to_owned()
        },
        why: "lengths that rest on it alone make warnings, never errors",
        source: || {
            Citation::common_practice("lengths as each page of the routing rules gives them")
        },
        count: |analysis| {
            let is_silent = analysis.model.site.routing.is_absent();
            usize::from(is_silent && analysis.gives_positions())
        },
    },
];

fn cited(citation: Option<Citation>) -> Citation {
    citation.unwrap_or_else(|| Citation::common_practice("no row of the tables"))
}

/// How many device models that devices are of are silent.
fn in_use(analysis: &Analysis<'_>, is_silent: impl Fn(&Named<DeviceModel>) -> bool) -> usize {
    let mut used: Vec<_> = analysis
        .graph
        .links
        .device_models
        .iter()
        .flatten()
        .collect();
    used.sort_unstable();
    used.dedup();
    let models = used
        .into_iter()
        .map(|id| &analysis.model.device_models[*id]);
    models.filter(|model| is_silent(model)).count()
}

/// The rows on which something of a site rests, in the order of the table.
pub fn resting(analysis: &Analysis<'_>) -> Vec<Resting> {
    let rows = ASSUMED.iter().map(|row| Resting {
        key: row.key,
        things: (row.count)(analysis),
    });
    rows.filter(|row| row.things > 0).collect()
}
