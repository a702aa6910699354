//! What the figures of a supply lack, in each of its modes: asked once for the supply, with all questions.

use std::borrow::Cow;

use smol_str::SmolStr;

use crate::finding::Fact;
use crate::model::circuits::Supply;
use crate::model::optional::Stated;
use crate::model::sources::{End, FaultCurrent, State};
use crate::model::value::{Field, Named};

use super::Asks;

/// Something that is not known of a supply in one of its modes.
pub(super) struct Lack {
    /// `on bypass`; empty where the supply has no modes.
    mode: &'static str,
    /// `its smallest fault current`.
    what: &'static str,
    pub fact: Fact,
}

/// All that a rule asks and that is not known.
pub(super) fn lacks(supply: &Named<Supply>, asks: Asks) -> Vec<Lack> {
    let states = supply.states();
    states
        .flat_map(|state| of_state(supply, &state, asks))
        .collect()
}

/// Whether nothing is written of its fault current but one figure, or not even that.
pub(super) fn is_plain(supply: &Supply) -> bool {
    let only_figure = |figures: &FaultCurrent| {
        let ends = [&figures.largest, &figures.smallest, &figures.earth];
        let others = figures.of.is_absent() && figures.lasts.is_absent();
        others && ends.iter().all(|end| end.is_absent())
    };
    !supply.has_modes() && supply.fault_current.known().is_none_or(only_figure)
}

/// What is missing, the same for a note, and what to do.
pub(super) fn said(
    lacks: &[Lack],
    asks: Asks,
    has_modes: bool,
) -> (Cow<'static, str>, Cow<'static, str>, Cow<'static, str>) {
    let mut parts: Vec<String> = Vec::new();
    for (at, lack) in lacks.iter().enumerate() {
        let is_first = lacks.iter().position(|other| other.mode == lack.mode) == Some(at);
        match parts.last_mut().filter(|_| !is_first) {
            Some(part) => part.push_str(&format!(" and {}", lack.what)),
            None if lack.mode.is_empty() => parts.push(lack.what.to_owned()),
            None => parts.push(format!("{} {}", lack.mode, lack.what)),
        }
    }
    let what = parts.join("; ");
    let note = format!("missing: {what}");
    let figures = match asks {
        Asks::Largest => {
            "the largest prospective fault current: from the utility, the study, or the maker of the UPS or generator"
        }
        Asks::Disconnection => {
            "the smallest fault current (a declared maximum says nothing of it) and, of an inverter, how long it lasts: from the study, or the data sheet of the UPS or generator"
        }
        Asks::BothEnds => {
            "the largest and the smallest fault current: from the study, or the data sheet of the UPS or generator"
        }
    };
    let where_to = match has_modes {
        true => {
            "below its mode, like `inverter: {fault-current: {largest: 108 A, smallest: 54 A, lasts: 300 ms}, earthing: TN-S}`"
        }
        false => "like `fault-current: {largest: 16 kA, smallest: 1.2 kA}`",
    };
    let instead = match asks {
        Asks::Disconnection if !has_modes => {
            "; or have the loop measured where you plug in, and write `at-receptacle: {earth-loop: …}` at the circuits"
        }
        _ => "",
    };
    let advice = format!("Find {figures}. Write it {where_to}{instead}.");
    (what.into(), note.into(), advice.into())
}

fn of_state(supply: &Named<Supply>, state: &State<'_>, asks: Asks) -> Vec<Lack> {
    let mode = state.mode.map_or("", |mode| mode.phrase());
    if let (None, Some(at)) = (state.mode, supply.modes.unreadable()) {
        let fact = Fact::unreadable(supply, "modes", at);
        return vec![Lack {
            mode,
            what: "all its modes",
            fact,
        }];
    }
    let lack = |what, fact| Lack { mode, what, fact };
    let ends = asks.ends().iter().copied();
    let ends = ends.filter(|end| state.current(*end).is_none());
    let mut lacks: Vec<Lack> = ends
        .map(|end| lack(figure_word(state, end), figure_fact(supply, state, end)))
        .collect();
    // Without modes it is asked apart.
    let is_earthing_asked = asks == Asks::Disconnection && state.mode.is_some();
    if is_earthing_asked && state.earthed().is_none() {
        let wanted = fact(supply, state, "earthing", state.earthing);
        lacks.push(lack("its `earthing`", wanted));
    }
    let figures = state.fault_current.known();
    if let Some(figures) = figures.filter(|_| asks != Asks::Largest && state.may_give_up()) {
        let wanted = fact(supply, state, "fault-current.lasts", &figures.lasts);
        lacks.push(lack("how long it drives a fault", wanted));
    }
    let mut facts: Vec<Fact> = Vec::new();
    lacks.retain(|lack| {
        let is_new = !facts.contains(&lack.fact);
        facts.push(lack.fact.clone());
        is_new
    });
    lacks
}

fn figure_word(state: &State<'_>, end: End) -> &'static str {
    match (state.fault_current.is_absent(), end) {
        (true, _) => "its fault current",
        (false, End::Largest) => "its largest fault current",
        (false, End::Smallest) => "its smallest fault current",
    }
}

/// What would say what a supply drives at an end.
fn figure_fact(supply: &Named<Supply>, state: &State<'_>, end: End) -> Fact {
    let Field::Given(given) = state.fault_current else {
        return fact(supply, state, "fault-current", state.fault_current);
    };
    let figures = &given.value;
    let (key, own) = match end {
        End::Largest => ("fault-current.largest", &figures.largest),
        End::Smallest => ("fault-current.smallest", &figures.smallest),
    };
    let one = &figures.prospective;
    match () {
        () if own.is_unreadable() => fact(supply, state, key, own),
        () if one.is_unreadable() && one.span() == Some(given.span) => {
            fact(supply, state, "fault-current", one)
        }
        () if one.is_unreadable() => fact(supply, state, "fault-current.prospective", one),
        () if end == End::Smallest && one.known().is_some() && figures.of.is_unreadable() => {
            fact(supply, state, "fault-current.of", &figures.of)
        }
        () => fact(supply, state, key, own),
    }
}

/// A key of a supply, or of one of its modes.
pub(in crate::rules::conductors) fn fact(
    supply: &Named<Supply>,
    state: &State<'_>,
    key: &'static str,
    field: &impl Stated,
) -> Fact {
    match state.mode {
        Some(mode) => {
            let key = SmolStr::from(format!("modes.{key}"));
            Fact::of(supply, key, Some(field)).within(mode.word())
        }
        None => Fact::of(supply, key, Some(field)),
    }
}
