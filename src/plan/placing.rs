//! Wants at outlets, with the loads and lengths that follow.

use super::problem::{Problem, Way};

/// Which want is at which outlet.
#[derive(Clone, Debug)]
pub(super) struct Placing<'p> {
    problem: &'p Problem,
    /// The outlet of each want.
    pub at: Vec<Option<usize>>,
    /// The want at each outlet.
    who: Vec<Option<usize>>,
    banks: Vec<f64>,
    lines: Vec<f64>,
    /// Cords by the number of their length.
    kinds: Vec<u32>,
    metres: f64,
    /// Wants at outlets that are larger than need be.
    larger: u32,
    /// Pairs of inlets of one device on one bank.
    together: u32,
    /// Pairs of inlets of one device at outlets of different places.
    unlike: u32,
    /// The lengths that may be used, a bit for each.
    allowed: u64,
    /// Metres that one more length of cord costs.
    further: f64,
}

/// What counts, and how much.
#[derive(Clone, Copy, Debug)]
pub(super) enum Aim {
    /// The least load of the largest line of every strip.
    Level,
    /// The least length of cord, with no line above its cap.
    Short,
}

/// Metres that one more length of cord costs: two lengths are easier to keep than three (common practice).
pub(super) const FURTHER_LENGTH: f64 = 3.0;
/// Metres that an outlet costs which is better kept for a larger plug.
const LARGER_OUTLET: f64 = 5.0;
/// Metres that a want without an outlet costs: more than any plan saves.
const UNPLACED: f64 = 10_000.0;
/// Metres that an ampere beyond a limit costs: more than any length saves.
const BEYOND: f64 = 100.0;
/// Metres that an ampere above the cap of a line costs.
const OVER: f64 = 15.0;
/// Metres that two inlets of one device on one bank cost: its breaker would take both.
const TOGETHER: f64 = 50.0;
/// Metres that unlike places of the outlets of one device cost: it decides ties, and next to nothing else.
const UNLIKE: f64 = 0.05;

impl<'p> Placing<'p> {
    /// Nothing placed yet.
    pub fn new(problem: &'p Problem) -> Self {
        Self {
            problem,
            at: vec![None; problem.wants.len()],
            who: vec![None; problem.outlets.len()],
            banks: problem.banks.iter().map(|bank| bank.carries).collect(),
            lines: problem.lines.iter().map(|line| line.carries).collect(),
            kinds: vec![0; problem.lengths.len()],
            metres: 0.0,
            larger: 0,
            together: 0,
            unlike: 0,
            allowed: u64::MAX,
            further: FURTHER_LENGTH,
        }
    }

    /// The same, to be planned with some lengths alone, of which one more costs so many metres.
    pub fn with_lengths(problem: &'p Problem, allowed: u64, further: f64) -> Self {
        Self {
            allowed,
            further,
            ..Self::new(problem)
        }
    }

    /// The length, by its number, of a cord from an outlet to a want: the shortest allowed one that reaches.
    pub fn length(&self, want: usize, outlet: usize) -> Option<usize> {
        let Way::Some { lengths, .. } = self.problem.ways[want][outlet] else {
            return None;
        };
        match lengths & self.allowed {
            0 => None,
            those => Some(those.trailing_zeros() as usize),
        }
    }

    /// The want at an outlet.
    pub fn who(&self, outlet: usize) -> Option<usize> {
        self.who[outlet]
    }

    pub fn put(&mut self, want: usize, outlet: usize) {
        self.count(want, outlet, 1.0);
        self.at[want] = Some(outlet);
        self.who[outlet] = Some(want);
    }

    pub fn take(&mut self, want: usize) {
        if let Some(outlet) = self.at[want].take() {
            self.who[outlet] = None;
            self.count(want, outlet, -1.0);
        }
    }

    fn count(&mut self, want: usize, outlet: usize, sign: f64) {
        let problem = self.problem;
        let bank = problem.outlets[outlet].bank;
        let amperes = sign * problem.amperes(want, bank);
        self.banks[bank] += amperes;
        for line in &problem.banks[bank].lines {
            self.lines[*line] += amperes;
        }
        let step = |count: u32| match sign > 0.0 {
            true => count + 1,
            false => count.saturating_sub(1),
        };
        if let Some(length) = self.length(want, outlet) {
            self.kinds[length] = step(self.kinds[length]);
            self.metres += sign * problem.lengths[length];
        }
        if matches!(
            problem.ways[want][outlet],
            Way::Some {
                is_larger: true,
                ..
            }
        ) {
            self.larger = step(self.larger);
        }
        let siblings = problem.siblings(want).filter_map(|other| self.at[other]);
        let siblings = siblings.map(|other| &problem.outlets[other]);
        let (mut together, mut unlike) = (self.together, self.unlike);
        for other in siblings {
            together = if other.bank == bank {
                step(together)
            } else {
                together
            };
            let is_unlike = other.place != problem.outlets[outlet].place;
            unlike = if is_unlike { step(unlike) } else { unlike };
        }
        (self.together, self.unlike) = (together, unlike);
    }

    /// Amperes above the limits of banks and lines, all together.
    pub fn excess(&self) -> f64 {
        let banks = self.banks.iter().zip(&self.problem.banks);
        let banks = banks.map(|(is, bank)| (is - bank.limit.max(bank.carries)).max(0.0));
        let lines = self.lines.iter().zip(&self.problem.lines);
        let lines = lines.map(|(is, line)| (is - line.limit.max(line.carries)).max(0.0));
        banks.sum::<f64>() + lines.sum::<f64>()
    }

    /// The load of the largest line of each strip.
    pub fn tops(&self) -> Vec<f64> {
        let mut tops = vec![0.0_f64; self.problem.strips()];
        for (is, line) in self.lines.iter().zip(&self.problem.lines) {
            tops[line.strip] = tops[line.strip].max(*is);
        }
        tops
    }

    /// The lengths that there are, a bit for each.
    pub fn used(&self) -> u64 {
        let kinds = self.kinds.iter().enumerate();
        let used = kinds.filter(|(length, count)| **count > 0 && *length < 64);
        used.fold(0, |all, (length, _)| all | 1 << length)
    }

    /// How many different lengths there are.
    pub fn lengths(&self) -> usize {
        self.kinds.iter().filter(|count| **count > 0).count()
    }

    /// What a plan costs for an aim; `caps` are those of the largest line of each strip.
    pub fn cost(&self, aim: Aim, caps: &[f64]) -> f64 {
        let unplaced = self.at.iter().filter(|at| at.is_none()).count() as f64 * UNPLACED;
        let larger = f64::from(self.larger) * LARGER_OUTLET
            + f64::from(self.together) * TOGETHER
            + f64::from(self.unlike) * UNLIKE;
        match aim {
            Aim::Level => {
                let tops: f64 = self.tops().iter().sum();
                unplaced + self.excess() * BEYOND + tops + larger
            }
            Aim::Short => {
                let above = self.lines.iter().zip(&self.problem.lines);
                let above = above.map(|(is, line)| (is - caps[line.strip]).max(0.0));
                let over = above.sum::<f64>();
                let any = if over > 1e-9 { 1.0 } else { 0.0 };
                let excess = self.excess();
                let beyond = if excess > 1e-9 {
                    excess * BEYOND + 10.0
                } else {
                    0.0
                };
                let kinds = self.lengths() as f64 * self.further;
                unplaced + beyond + over * OVER + any + self.metres + kinds + larger
            }
        }
    }

    /// The sums afresh, without what rounding left over.
    pub fn afresh(&self) -> Self {
        let mut fresh = Self::with_lengths(self.problem, self.allowed, self.further);
        for (want, outlet) in self.at.iter().enumerate() {
            if let Some(outlet) = outlet {
                fresh.put(want, *outlet);
            }
        }
        fresh
    }
}

/// What puts an exchange back: a want and its outlet, and the one that had its place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Undo {
    want: usize,
    from: Option<usize>,
    other: Option<(usize, usize)>,
}

impl Placing<'_> {
    /// The wants that have any, each with the outlets that a cord of an allowed length may be led to.
    pub fn options(&self) -> Vec<(usize, Vec<usize>)> {
        let wants = 0..self.at.len();
        let options = wants.map(|want| {
            let all = 0..self.who.len();
            (
                want,
                all.filter(|outlet| self.length(want, *outlet).is_some())
                    .collect(),
            )
        });
        options
            .filter(|(_, outlets): &(usize, Vec<usize>)| !outlets.is_empty())
            .collect()
    }

    /// Moves a want to an outlet; whoever is there goes where it was. `None`, and nothing is moved, where no
    /// cord may be led so.
    pub fn exchange(&mut self, want: usize, to: usize) -> Option<Undo> {
        let from = self.at[want];
        if from == Some(to) {
            return None;
        }
        self.length(want, to)?;
        let other = self.who[to];
        if let (Some(other), Some(from)) = (other, from) {
            self.length(other, from)?;
        }
        self.take(want);
        if let Some(other) = other {
            self.take(other);
            from.into_iter().for_each(|from| self.put(other, from));
        }
        self.put(want, to);
        let other = other.map(|other| (other, to));
        Some(Undo { want, from, other })
    }

    /// Puts everything where it was.
    pub fn undo(&mut self, undo: Undo) {
        self.take(undo.want);
        if let Some((other, at)) = undo.other {
            self.take(other);
            self.put(other, at);
        }
        undo.from
            .into_iter()
            .for_each(|from| self.put(undo.want, from));
    }

    /// The wants at these outlets instead.
    pub fn set(&mut self, at: &[Option<usize>]) {
        (0..at.len()).for_each(|want| self.take(want));
        for (want, outlet) in at.iter().enumerate() {
            if let Some(outlet) = outlet {
                self.put(want, *outlet);
            }
        }
    }
}
