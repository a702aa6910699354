//! What the conductors of a whole site may carry: worked out once for all rules, and once for all
//! conductors that lie alike.

use rustc_hash::FxHashMap;

use crate::graph::{ElementId, ElementKind};
use crate::model::circuits::Wiring;
use crate::quantity::{ConductorSize, Current};
use crate::tables::wiring::WiringInsulation;

use super::Analysis;

/// What the conductors of an element may carry; `None` for elements without conductors of their own,
/// `Some(None)` where it is not known.
type Capacity = Option<Option<Current>>;

/// The capacities of all elements of a site.
pub(super) type Capacities = Vec<Capacity>;

/// All that decides a capacity, besides the practice, which is that of the whole site: the conductors
/// themselves, the air, and how many of them are loaded.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Alike {
    run: Run,
    /// Its temperature bit by bit; `None` where nobody says.
    air: Option<u64>,
    loaded: u8,
}

/// Where size, cordage and insulation stand, and what lies beside the run.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Run {
    /// The type of a cord, the leg, and how many cords lie in the bundle.
    Cord(usize, Option<u32>, Option<u32>),
    /// The model of a PDU, for its input cord.
    Pdu(usize),
    /// Wiring is described at each circuit.
    Fixed {
        size: Option<Size>,
        insulation: Option<WiringInsulation>,
        grouped: Option<Option<u32>>,
        /// In degrees bit by bit; `None` where that cannot be read.
        terminals: Option<Option<u64>>,
        /// `None` where that cannot be read.
        ring: Option<bool>,
    },
}

/// A size bit by bit. The two systems stay apart: tables tell them apart too.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Size {
    Metric(u64),
    Awg(i8),
}

impl Analysis<'_> {
    /// The current alone of [`Analysis::conductor_rating`]: `None` for elements without conductors of
    /// their own, `Some(None)` where it is not known.
    pub fn capacity(&self, id: ElementId) -> Option<Option<Current>> {
        self.shared.capacities(self)[id.index()]
    }
}

pub(super) fn capacities(analysis: &Analysis<'_>) -> Capacities {
    let mut known: FxHashMap<Alike, Capacity> = FxHashMap::default();
    let mut of = |id| {
        let alike = alike(analysis, id)?;
        *known
            .entry(alike)
            .or_insert_with(|| Some(analysis.conductor_rating(id)?.current()))
    };
    let elements = analysis.graph.elements();
    elements.map(|(id, _)| of(id)).collect()
}

/// `None` for elements without conductors of their own.
fn alike(analysis: &Analysis<'_>, id: ElementId) -> Option<Alike> {
    let links = &analysis.graph.links;
    let run = match analysis.graph.kind(id) {
        ElementKind::Supply(_) | ElementKind::Bank(..) => return None,
        ElementKind::Circuit(circuit) => {
            let ring = analysis.is_fused_ring(circuit).ok();
            fixed(analysis.model.circuits[circuit].wiring.known()?, ring)
        }
        ElementKind::Pdu(pdu) => Run::Pdu(links.pdu_models[pdu.index()]?.index()),
        ElementKind::Cord(cord) => {
            let kind = links.cord_types[cord.index()]?;
            Run::Cord(kind.index(), None, analysis.bundled(cord))
        }
        ElementKind::Leg(cord, leg) => {
            let kind = links.cord_types[cord.index()]?;
            Run::Cord(kind.index(), Some(leg), analysis.bundled(cord))
        }
    };
    let air = analysis.ambient(id);
    Some(Alike {
        run,
        air: air.map(|air| air.value.value.to_bits()),
        loaded: analysis.loaded_conductors(id),
    })
}

fn fixed(wiring: &Wiring, ring: Option<bool>) -> Run {
    let size = wiring.conductor.known().map(|size| match size {
        ConductorSize::Metric(area) => Size::Metric(area.value.to_bits()),
        ConductorSize::Awg(gauge) => Size::Awg(*gauge),
    });
    Run::Fixed {
        size,
        insulation: wiring.insulation.known().copied(),
        terminals: wiring
            .terminals
            .written()
            .ok()
            .map(|marked| marked.map(|at| at.value.value.to_bits())),
        grouped: (!wiring.grouped.is_absent()).then(|| wiring.grouped.known().copied()),
        ring,
    }
}
