//! Which loads can be moved off an overloaded element, and where to: cords that find a free outlet like
//! their own where there is room for them.

use std::cell::OnceCell;

use crate::analysis::Analysis;
use crate::graph::{ElementId, ElementKind};
use crate::model::cords::Cord;
use crate::model::value::Id;
use crate::quantity::{Current, InUnits};
use crate::rules::circuits::way::Carried;

use super::effort::Effort;
use super::movable::{Load, MovableLoads};
use super::outlets::{FreeOutlet, free_outlets};
use super::room::{Brought, Room};

/// Something that could take load over.
pub(super) struct Peer<'a> {
    pub id: ElementId,
    pub room: Room,
    banks: Vec<Bank<'a>>,
    /// A circuit with nothing on it: its outlets are still to come.
    is_bare: bool,
}

/// A bank of a peer: a load that moves there must find room in it as well.
struct Bank<'a> {
    id: ElementId,
    outlets: Vec<FreeOutlet<'a>>,
    /// `None` where it is not known.
    room: OnceCell<Option<Room>>,
}

/// A load that moves.
pub(super) struct Move<'a> {
    pub cord: Id<Cord>,
    /// What it takes off.
    pub amperes: f64,
    /// Where to.
    pub to: ElementId,
    /// The outlet there; none on a circuit with nothing on it.
    pub outlet: Option<FreeOutlet<'a>>,
}

/// How near a limit is gone to: the voltage drop is not reckoned anew for what stays.
const TO_SPARE: f64 = 0.99;

/// More moves than this are no advice.
const MOST_MOVES: usize = 200;

impl<'a> Peer<'a> {
    /// `None` where its room is not known, or there is none.
    pub fn of(
        analysis: &Analysis<'a>,
        id: ElementId,
        carried: &Carried,
        effort: &Effort,
    ) -> Option<Self> {
        let room = Room::of(analysis, id, carried).filter(|_| !effort.is_spent())?;
        room.least().filter(|room| room.in_amperes() > 0.0)?;
        effort.spend(analysis.graph.below(id).len());
        let is_circuit = matches!(analysis.graph.kind(id), ElementKind::Circuit(_));
        let banks = analysis.graph.below(id).map(ElementId);
        let banks = banks.map(|id| Bank {
            id,
            outlets: free_outlets(analysis, id),
            room: OnceCell::new(),
        });
        let banks = banks.inspect(|bank| effort.spend(bank.outlets.len()));
        Some(Self {
            id,
            room,
            banks: banks.filter(|bank| !bank.outlets.is_empty()).collect(),
            is_bare: is_circuit && analysis.graph.children(id).next().is_none(),
        })
    }

    /// Puts a load in, if it has a place.
    fn take(
        &self,
        analysis: &Analysis<'a>,
        carried: &Carried,
        load: &Load<'_>,
        state: &mut State,
        effort: &Effort,
    ) -> Option<Option<FreeOutlet<'a>>> {
        if effort.is_spent() {
            return None;
        }
        if self.is_bare {
            let is_room = self.room.takes(load.needed, &state.brought);
            return is_room.then(|| {
                self.room.bring(load.needed, &mut state.brought);
                None
            });
        }
        let mut places = self.banks.iter().filter_map(|bank| {
            effort.spend(1 + bank.outlets.len());
            let fits = |at: &usize| bank.outlets[*at].coupler == load.coupler;
            let is_free = |at: &usize| !state.taken.contains(&(bank.id, *at));
            let mut free = (0..bank.outlets.len())
                .filter(fits)
                .filter(is_free)
                .peekable();
            free.peek()?;
            let mut losses = analysis.graph.losses_of(bank.id);
            if losses.any(|lost| load.apart.contains(&lost)) {
                return None;
            }
            let room = bank
                .room
                .get_or_init(|| Room::of(analysis, bank.id, carried));
            let room = room.as_ref()?;
            if !room.takes(load.needed, &state.brought) {
                return None;
            }
            let reached =
                |at: &usize| bank.outlets[*at].is_reached(analysis, load.end, load.length);
            Some((bank, room, free.find(reached)?))
        });
        let (bank, room, at) = places.next()?;
        room.bring(load.needed, &mut state.brought);
        state.taken.push((bank.id, at));
        Some(Some(bank.outlets[at]))
    }
}

/// What moves have taken up already.
#[derive(Default)]
struct State {
    brought: Brought,
    /// Outlets, by their bank and their place in it.
    taken: Vec<(ElementId, usize)>,
}

/// An overload that is to be brought down by moving loads.
pub(super) struct Plan<'s, 'a> {
    analysis: &'s Analysis<'a>,
    carried: &'s Carried,
    limit: f64,
    movable: MovableLoads<'a>,
    effort: &'s Effort,
}

impl<'s, 'a> Plan<'s, 'a> {
    pub fn new(
        analysis: &'s Analysis<'a>,
        carried: &'s Carried,
        limit: Current,
        effort: &'s Effort,
    ) -> Self {
        let limit = limit.in_amperes() * TO_SPARE;
        Self {
            analysis,
            carried,
            limit,
            movable: MovableLoads::of(analysis, carried, limit, MOST_MOVES, effort),
            effort,
        }
    }

    /// Loads that bring what is carried down to the limit, each where one of the peers has room and an outlet
    /// for it; the peers that stand first are filled first. `None` where there are no such loads.
    pub fn to(&self, peers: &[&Peer<'a>]) -> Option<Vec<Move<'a>>> {
        let mut movable = self.movable.clone();
        let (mut state, mut moves) = (State::default(), Vec::new());
        while movable.amperes() > self.limit {
            self.effort.spend(movable.size());
            if self.effort.is_spent() {
                return None;
            }
            let mut place = |load: &Load<'_>| {
                let mut take = |peer: &Peer<'a>| {
                    peer.take(self.analysis, self.carried, load, &mut state, self.effort)
                };
                peers.iter().find_map(|peer| Some((peer.id, take(peer)?)))
            };
            let order = movable.in_order(self.limit).into_iter();
            let mut order = order.filter(|_| moves.len() < MOST_MOVES);
            let (at, (to, outlet)) = order.find_map(|at| Some((at, place(movable.load(at))?)))?;
            let load = movable.take_off(at);
            moves.push(Move {
                cord: load.cord,
                amperes: load.amperes,
                to,
                outlet,
            });
        }
        Some(moves)
    }
}
