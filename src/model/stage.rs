//! The two states in which a site is judged: as its cords hang now, and as they are to hang.

use rustc_hash::FxHashSet;

use super::Model;
use super::cords::{Cord, CordState, Ends};
use super::value::{Field, Name};

/// A state of the site.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// As the cords hang now: those that are fitted, and those that are still to be pulled.
    Fitted,
    /// As they hang once all is done: those that are fitted, and those that are still to be fitted.
    Planned,
}

impl Stage {
    /// `as fitted`, `as planned`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Fitted => "as fitted",
            Self::Planned => "as planned",
        }
    }

    /// The word of an option and of a report: `fitted`, `planned`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fitted => "fitted",
            Self::Planned => "planned",
        }
    }
}

impl Cord {
    /// Whether it hangs at a stage. A state that cannot be read is no reason to leave a cord out: it counts
    /// at both.
    pub fn hangs(&self, stage: Stage) -> bool {
        match (&self.state, stage) {
            (Field::Absent | Field::Unreadable(_), _) => true,
            (Field::Given(state), Stage::Fitted) => {
                matches!(state.value, CordState::Fitted | CordState::ToPull)
            }
            (Field::Given(state), Stage::Planned) => state.value != CordState::ToPull,
        }
    }
}

impl Model {
    /// Whether any cord hangs at one stage only.
    pub fn has_stages(&self) -> bool {
        let mut cords = self.cords.items().iter();
        cords.any(|cord| !cord.hangs(Stage::Fitted) || !cord.hangs(Stage::Planned))
    }

    /// The definitions with those cords alone that hang at a stage.
    pub fn at(&self, stage: Stage) -> Self {
        let mut model = self.clone();
        model.cords.retain(|cord| cord.hangs(stage));
        if stage == Stage::Fitted {
            let to_come = self.cords.items().iter();
            let to_come = to_come.filter(|cord| !cord.hangs(stage));
            model.to_come = to_come
                .flat_map(|cord| far_ends(&cord.to).into_iter().chain(self.upper_cord(cord)))
                .collect();
        }
        model
    }

    /// The cord that another one is plugged into.
    fn upper_cord(&self, cord: &Cord) -> Option<Name> {
        let from = cord.from.known()?;
        let whole = self.cords.find(&from.0);
        let upper = whole.or_else(|| self.cords.find(from.owner()))?;
        Some(self.cords[upper].name.value.clone())
    }

    /// Whether a cord that is still to be fitted will feed an inlet, `device/inlet`, or a strip, or will be plugged
    /// into a cord.
    pub fn is_to_come(&self, end: &str) -> bool {
        self.to_come.contains(end)
    }
}

fn far_ends(to: &Ends) -> Vec<Name> {
    match to {
        Ends::Absent | Ends::Unreadable(_) => Vec::new(),
        Ends::One(end) => vec![end.value.plain()],
        Ends::Legs(legs) => legs.iter().map(|leg| leg.item.plain()).collect(),
    }
}

/// The ends that cords to come will feed, by [`super::text::Reference::plain`].
pub type ToCome = FxHashSet<Name>;
