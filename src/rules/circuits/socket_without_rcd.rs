//! `socket-without-rcd`: does a sensitive residual current device guard the sockets of the wiring?
//!
//! Household sockets are used by whoever comes by, unless it is written otherwise. Pin-and-sleeve ones for strips
//! are taken to be for that use under instructed people, as data rooms have them: they are judged where it is written
//! that ordinary people use them. Appliance couplers are no sockets.

mod open;
mod reasons;
mod unguarded;

use crate::analysis::editions::Said;
use crate::analysis::{Analysis, exceeds};
use crate::finding::{Fact, Finding};
use crate::model::circuits::Circuit;
use crate::model::text::CouplerRef;
use crate::model::value::{Id, Named, Spanned};
use crate::quantity::{Current, amperes};
use crate::rules::illegible::Illegible;
use crate::rules::rule;
use crate::rules::told_once::ToldOnce;
use crate::source::Span;
use crate::tables::Practice;
use crate::tables::couplers::{Family, Side};

use reasons::{Reason, Reasons};

rule!(
    "socket-without-rcd",
    Circuits,
    Warning,
    "A household socket without a residual current device of 30 mA: whoever touches a damaged cord there may be killed before anything opens."
);

fn check(analysis: &Analysis<'_>, findings: &mut Vec<Finding>) {
    if analysis.practice() != Some(Practice::Iec) {
        return;
    }
    let mut judge = Judge {
        analysis: *analysis,
        reasons: Reasons::of(analysis),
        illegible: Illegible::default(),
        open: ToldOnce::default(),
    };
    for (id, circuit) in analysis.model.circuits.iter() {
        findings.extend(judge.meet(id, circuit));
    }
    findings.extend(judge.illegible.findings());
    findings.extend(judge.open.findings());
}

/// The rated residual current of additional protection.
fn sensitive() -> Current {
    amperes(0.03)
}

struct Judge<'a> {
    analysis: Analysis<'a>,
    reasons: Reasons<'a>,
    illegible: Illegible,
    open: ToldOnce<Span>,
}

impl Judge<'_> {
    fn meet(&mut self, id: Id<Circuit>, circuit: &Named<Circuit>) -> Option<Finding> {
        let rcd = circuit.residual();
        if matches!(rcd, Ok(Some(rcd)) if !exceeds(rcd.value, sensitive())) {
            return None;
        }
        let socket = match socket(circuit) {
            Ok(socket) => socket?,
            Err(receptacle) => return self.ask(circuit, &receptacle),
        };
        if !self.reasons.touches(socket, id) {
            return None;
        }
        let rcd = match rcd {
            Ok(rcd) => rcd,
            Err(at) => {
                return self.ask(
                    circuit,
                    &Fact::unreadable(circuit, circuit.residual_key(), at),
                );
            }
        };
        let said = said_of(&self.analysis, socket);
        if said.asking.is_none() && said.silent.is_some() {
            return None;
        }
        let reason = self.reasons.for_circuit(id, circuit);
        match (reason, said.silent, said.asking) {
            (Reason::Given, ..) => None,
            (Reason::Unreadable(fact), ..) => self.ask(circuit, &fact),
            (_, Some(silent), Some(asking)) => {
                let disputed = open::disputed(&self.analysis, circuit, socket, [silent, asking]);
                Some(disputed)
            }
            (Reason::None, ..) => {
                let taken = self.reasons.taken;
                Some(unguarded::unguarded(
                    &self.analysis,
                    circuit,
                    socket,
                    rcd,
                    taken,
                ))
            }
            (Reason::Unknown(unknown), ..) => {
                let told = self.open.tell(unknown.fact.span, || {
                    open::lacking(&self.analysis, &unknown, circuit)
                });
                told.suffered_by([circuit.name.value.clone()]);
                None
            }
        }
    }

    fn ask(&mut self, circuit: &Named<Circuit>, unread: &Fact) -> Option<Finding> {
        let name = &circuit.name.value;
        let question = || format!("does a sensitive residual current device guard circuit {name}");
        self.illegible.ask(&RULE, unread, question);
        None
    }
}

/// The socket at the end of the wiring, of a kind that people plug things into.
///
/// # Errors
/// The receptacle, if it cannot be read.
fn socket(circuit: &Named<Circuit>) -> Result<Option<&Spanned<CouplerRef>>, Fact> {
    let receptacle = &circuit.receptacle;
    let unread = Fact::if_unreadable(circuit, receptacle.coupler_key(), &receptacle.coupler);
    let socket = unread.map_or(Ok(receptacle.coupler.given()), Err)?;
    Ok(socket.filter(|socket| matches!(socket.value.family, Family::National | Family::Iec60309)))
}

/// What editions of the rules say of sockets of this rating.
struct SaidOf {
    asking: Option<Said<Current>>,
    silent: Option<Said<Current>>,
}

fn said_of(analysis: &Analysis<'_>, socket: &Spanned<CouplerRef>) -> SaidOf {
    let rated = socket.value.rated_as(Side::Contacts, Practice::Iec);
    // What is not known of the socket or of the rules takes nothing away from what is asked.
    let is_asked = |upto: &Current| {
        let rated = rated.current.as_ref();
        rated.is_none_or(|rated| !exceeds(rated.value, *upto))
    };
    let said = analysis.said_by_editions(|edition| edition.sockets_with_rcd.as_ref());
    let find = |asks: bool| {
        let mut said = said.iter();
        said.find(|(_, upto)| is_asked(&upto.value) == asks)
            .copied()
    };
    SaidOf {
        asking: find(true),
        silent: find(false),
    }
}
