//! What the links of a cord or leg may carry, and what its couplers may in hot air.

use crate::analysis::Analysis;
use crate::analysis::halves::Owner;
use crate::analysis::hot_air::{Hot, InHotAir, in_hot_air, share_in_hot_air};
use crate::citation::{Citation, Cited};
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::{Cord, Surplus};
use crate::model::value::{Field, Id};
use crate::quantity::Current;
use crate::tables::constants;

use super::{Kind, Limit, Limits, Part, Step, conductor_kind, coupler_kind};

/// Adds every link, and the coil that a surplus is.
pub(super) fn add(limits: &mut Limits, analysis: &Analysis<'_>, id: ElementId, cord: Id<Cord>) {
    for link in analysis.links(id) {
        let kind = match link.kind {
            Part::Conductor => conductor_kind(analysis.practice()),
            Part::Fuse => Kind::Marking,
            _ => coupler_kind(&link.rating),
        };
        limits.add(link.kind, &link.what, kind, link.rating, link.span);
    }
    let lacking = lacking(analysis, id, cord).into_iter();
    let untold = lacking.map(|part| format!("what its {part} may carry: it is not known"));
    limits.untold.extend(untold.map(|what| (what, None)));
    add_coil(limits, &analysis.model.cords[cord].surplus);
}

/// Adds what the conductors may carry coiled up, where they are, or where nobody can read whether.
fn add_coil(limits: &mut Limits, surplus: &Field<Surplus>) {
    let lines = limits.lines.iter();
    let mut conductor = lines.filter(|line| line.part == Part::Conductor);
    let Some((factor, conductor)) = constants::coiled_cord().zip(conductor.next()) else {
        return;
    };
    let said = "the most that a coiled cord may carry";
    let coil = conductor.only(factor, (Step::House, Kind::Standard), said);
    match surplus {
        Field::Given(surplus) if surplus.value == Surplus::Coiled => limits.lines.push(coil),
        Field::Unreadable(_) => {
            let why =
                "what the conductor may carry: how its surplus lies cannot be read".to_owned();
            limits.untold.push((why, Some(coil.current)));
        }
        Field::Given(_) | Field::Absent => {}
    }
}

/// The links of a cord that must be there and are not known.
fn lacking(analysis: &Analysis<'_>, id: ElementId, cord: Id<Cord>) -> Vec<&'static str> {
    let Some(kind) = analysis.graph.cord_type(analysis.model, cord) else {
        return vec!["type"];
    };
    let leg = match analysis.graph.kind(id) {
        ElementKind::Leg(_, leg) => kind.leg(leg),
        _ => None,
    };
    let fuse_is_due = kind.plug.is_fused();
    let ends_here = leg.is_some() || kind.legs.is_empty();
    let connector = kind.connector_of(leg.map(|leg| &leg.item));
    let links = [
        ("plug", leg.is_none() && kind.plug.known().is_none()),
        (
            "plug fuse",
            leg.is_none() && fuse_is_due && !matches!(kind.fuse.written(), Ok(Some(_))),
        ),
        ("connector", ends_here && connector.known().is_none()),
    ];
    let links = links.into_iter().filter(|(_, is_lacking)| *is_lacking);
    links.map(|(part, _)| part).collect()
}

impl Limits {
    /// What the couplers at an element may carry in hot air; what that is, nobody can tell where the
    /// air is not known, or no rating holds in it.
    pub(super) fn add_hot_air(&mut self, analysis: &Analysis<'_>, id: ElementId) {
        for hot in in_hot_air(analysis, id) {
            let name = hot.half.name();
            if hot.air.is_none() {
                let floor = floor_in_any_air(analysis, &hot);
                let why = format!("what {name} may carry: nobody gives the air at it");
                self.untold.extend(floor.map(|floor| (why, floor)));
                continue;
            }
            if hot.is_beyond_ratings(analysis) {
                let why = format!("what {name} may carry in air in which its rating does not hold");
                self.untold.push((why, None));
            }
            self.lines.extend(in_its_air(analysis, &hot));
        }
    }
}

/// Up to which current the air, which nobody gives, does not matter at a half; nothing where no air does.
/// An inlet is the affair of its device, whose maker states the air that the whole of it bears.
fn floor_in_any_air(analysis: &Analysis<'_>, hot: &Hot<'_>) -> Option<Option<Current>> {
    let floor = hot.limit(analysis).map(|(_, limit)| limit.current());
    match hot.half.owner {
        Owner::Inlet(_) => floor.map(Some),
        _ => Some(None),
    }
}

fn in_its_air(analysis: &Analysis<'_>, hot: &Hot<'_>) -> Option<Limit> {
    let (rated, limit) = hot.limit(analysis)?;
    let part = part_of(hot.half.owner);
    Some(match limit {
        InHotAir::Share(_) => {
            let at = hot.half.coupler.span;
            let whole = Limit::whole(part, Kind::Standard, rated, at, Vec::new());
            let (value, citation) = share_in_hot_air();
            let said = "the most that is left to it in hot air";
            whole.only(
                Cited { value, citation },
                (Step::House, Kind::SafeSide),
                said,
            )
        }
        InHotAir::Declared(declared) => {
            let basis = vec![Citation::marked("what its maker declares for this air")];
            Limit {
                step: Step::House,
                current: declared.value,
                share: Some(declared.value / rated),
                said: "the most that its maker declares in hot air",
                ..Limit::whole(part, Kind::Marking, rated, declared.span, basis)
            }
        }
    })
}

fn part_of(owner: Owner) -> Part {
    match owner {
        Owner::Outlet(..) => Part::Outlet,
        Owner::Receptacle(_) => Part::Receptacle,
        Owner::Plug(_) | Owner::PduPlug(_) => Part::Plug,
        Owner::Connector(_) => Part::Connector,
        Owner::Inlet(_) => Part::Inlet,
    }
}
