//! `cord-makes:` — cords without their length, colour and price; and the cord types that are of one.
//!
//! What a type does not say itself its make says. A make that is not there, or that cannot be read, leaves what the
//! type does not say unreadable: it is never taken for left out.

use crate::budget::{Budget, Work};
use crate::quantity::{ConductorSize, Current, Temperature};
use crate::source::Span;

use super::Model;
use super::cords::{CordLeg, CordType, EndAngle, EndRetention, HotAir, StandOut, StatedService};
use super::decode::{Slot, record};
use super::dual_marks::{Marked, MarkedRating};
use super::fault::{Fault, Noted};
use super::ingress::Ingress;
use super::marks::Marks;
use super::optional::{Optional, Stated};
use super::text::{CordageRef, CouplerRef};
use super::value::{Field, Named, Section};

record! {
    /// A cord as its maker makes it, without its length, colour and price.
    CordMake: "cord make";
    /// The plug: the end at the outlet.
    "plug" (required) => plug: Field<CouplerRef>,
    /// The connector: the end at the device.
    "connector" => connector: Field<CouplerRef>,
    /// Degree of protection of the connector on its inlet, as marked.
    "connector-ip" => connector_ip: Field<Ingress>,
    /// Its conductors; of a cord marked in both systems, a list: `[1.0 mm², 18 AWG]`.
    "conductor" (required, above_zero) => conductor: Marked<ConductorSize>,
    /// Its cordage type; of a cord marked with several, a list of them: `[H05VV-F, SJT]`.
    "cordage" => cordage: Marked<CordageRef>,
    /// Temperature marked on the cordage, where its type allows several.
    "temperature" => temperature: Field<Temperature>,
    /// Cores of the cordage: 2 without a protective (equipment grounding) conductor, 3 with it.
    "cores" (above_zero) => cores: Field<u32>,
    /// Rated current, as marked on the cord set: one, or one for each practice, `{iec: 10 A, nec: 13 A}`.
    "rating" (above_zero) => rating: MarkedRating,
    /// Fuse in the plug (BS 1363).
    "fuse" (above_zero) => fuse: Optional<Current>,
    /// Approval marks on the cord set, a list of them or one: `VDE`, `UL Listed`, `<PS>E`, …
    "approvals" => approvals: Marks,
    /// What holds its ends.
    "retention" => retention: Field<EndRetention>,
    /// The way the cord leaves its ends.
    "angle" => angle: Optional<EndAngle>,
    /// How far its ends stand out.
    "stand-out" => stand_out: Field<StandOut>,
    /// What its maker states where the cordage type leaves it open.
    "service" => service: Field<StatedService>,
    /// What its maker declares for its couplers in air hotter than 40 °C.
    "hot-air" => hot_air: Field<HotAir>,
    /// The legs of a splitter cord.
    "legs" => legs: Section<CordLeg>,
}

/// What a make and a type of it have in common: the one list.
macro_rules! common {
    ($($key:literal => $field:ident,)*) => {
        impl CordType {
            /// A type of which only its make is known.
            fn of_make(make: CordMake) -> Self {
                Self { $($field: make.$field,)* ..Self::default() }
            }

            /// Takes from its make what it does not say itself; the keys that both say.
            fn inherit(&mut self, make: &Self) -> Vec<(&'static str, Span)> {
                let mut twice = Vec::new();
                $(twice.extend(inherit(&mut self.$field, &make.$field).map(|at| ($key, at)));)*
                twice
            }

            /// What it does not say itself stands where nobody can read it.
            fn lose_make(&mut self, at: Span) {
                $(if is_absent(&self.$field) { self.$field.spoil(at); })*
            }
        }
    };
}

common! {
    "plug" => plug,
    "connector" => connector,
    "connector-ip" => connector_ip,
    "conductor" => conductor,
    "cordage" => cordage,
    "temperature" => temperature,
    "cores" => cores,
    "rating" => rating,
    "fuse" => fuse,
    "approvals" => approvals,
    "retention" => retention,
    "angle" => angle,
    "stand-out" => stand_out,
    "service" => service,
    "hot-air" => hot_air,
    "legs" => legs,
}

fn is_absent(said: &impl Stated) -> bool {
    said.place().is_none() && !said.is_unreadable()
}

/// Fills what is left out; where it stands if both say it.
fn inherit<T: Stated + Clone>(own: &mut T, make: &T) -> Option<Span> {
    if is_absent(make) {
        return None;
    }
    if is_absent(own) {
        *own = make.clone();
        return None;
    }
    own.place()
}

/// Makes as types of which length, colour and price are not known.
pub(super) fn as_types(makes: Section<CordMake>) -> Section<CordType> {
    makes.map(CordType::of_make)
}

impl Stated for Section<CordLeg> {
    fn place(&self) -> Option<Span> {
        let first = self.names().next().map(|name| name.span);
        first.or(self.unreadable())
    }

    fn is_unreadable(&self) -> bool {
        self.unreadable().is_some()
    }
}

/// Parts that the types of a site may take from their makes, however little is written: marks and legs.
const SOME: usize = 20_000;

/// Gives the types of makes what their makes say.
pub(super) fn to_types(model: &mut Model, budget: &Budget, faults: &mut Vec<Noted>) {
    let makes = &model.cord_makes;
    let parts = |kind: &CordType| kind.legs.len() + kind.approvals.given().len() + 1;
    let types = model.cord_types.items().iter();
    let written: usize = types.chain(makes.items()).map(|kind| parts(kind)).sum();
    let each = budget.count(Work::Parts);
    let mut left = written.saturating_mul(each).saturating_add(SOME);
    for kind in model.cord_types.items_mut() {
        let (named, at) = match &kind.item.make {
            Field::Absent => continue,
            Field::Unreadable(at) => (None, *at),
            Field::Given(make) => (makes.find(&make.value), make.span),
        };
        let make = named.map(|named| &makes[named].item);
        let rest = make.and_then(|make| left.checked_sub(parts(make)));
        match (make, rest) {
            (Some(make), Some(rest)) => {
                left = rest;
                let twice = kind.item.inherit(make);
                faults.extend(twice.into_iter().map(|(key, at)| said_twice(kind, key, at)));
            }
            (Some(_), None) => {
                kind.item.lose_make(at);
                faults.push(too_many(kind, at, budget));
            }
            (None, _) => kind.item.lose_make(at),
        }
    }
}

fn said_twice(kind: &Named<CordType>, key: &'static str, span: Span) -> Noted {
    let make = kind.make.known().map_or("", |make| make.as_str());
    let fault = Fault::BadValue {
        span,
        headline: format!(
            "`{key}` stands here and in the make {} that this type is of",
            super::text::clip(make)
        ),
        advice:
            "Take it out here, or name another make: what is written here is judged until then."
                .to_owned(),
        edit: None,
    };
    Noted::new(
        fault,
        ["cord-types".into(), kind.name.value.clone(), key.into()],
    )
}

fn too_many(kind: &Named<CordType>, span: Span, budget: &Budget) -> Noted {
    let fault = Fault::Unreadable {
        span,
        message: "The types before this one take so many legs and marks from their makes that no more are taken.".to_owned(),
        advice: format!("Give the makes no more parts than they have. {}", Work::Parts.advice(budget)),
        related: None,
    };
    Noted::new(
        fault,
        ["cord-types".into(), kind.name.value.clone(), "make".into()],
    )
}
