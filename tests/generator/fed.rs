//! Supplies that are fed from others, in small random sites.

use super::super::dice::Dice;
use super::{Loss, Plan, SYSTEMS, feed_of};

/// What a supply is fed from, and what it takes.
#[derive(Clone, Copy, Debug)]
pub struct Fed {
    /// The supply.
    pub from: usize,
    /// Per cent that it delivers of what it takes.
    pub efficiency: usize,
    /// Watts that it takes besides.
    pub recharge: usize,
    /// Power factor of what it takes; without one it passes on the vars that it delivers.
    pub factor: Option<f64>,
}

impl Plan {
    /// The plan of a seed in which supplies are fed from others, and these from one more now and then.
    pub fn fed(seed: u64) -> Self {
        let (mut plan, mut dice) = (Self::transferring(seed), Dice::new(seed + 3_000_000));
        let ahead = 1 + dice.below(3);
        for _ in 0..ahead {
            let system = match dice.below(2) {
                0 => plan.systems[0].0,
                _ => dice.below(SYSTEMS.len()),
            };
            plan.systems.push((system, true));
        }
        let number = plan.systems.len();
        plan.fed = (0..number)
            .map(|at| {
                // The last stands alone; now and then one is fed from another that has circuits.
                let first = match dice.below(3) {
                    0 => at + 1,
                    _ => at.max(number - ahead - 1) + 1,
                };
                let from: Vec<usize> = (first..number).collect();
                let from = (!from.is_empty()).then(|| from[dice.below(from.len())]);
                let is_board = dice.below(2) == 0;
                let fed = Fed {
                    from: from?,
                    efficiency: if is_board { 100 } else { 80 + dice.below(18) },
                    recharge: if is_board { 0 } else { 100 * dice.below(4) },
                    factor: (!is_board).then_some([1.0, 0.99, 0.9][dice.below(3)]),
                };
                (dice.below(5) > 0).then_some(fed)
            })
            .collect();
        plan
    }

    /// A supply, and what it is fed from, as far as there is anything.
    pub(super) fn ways(&self, supply: usize) -> impl Iterator<Item = usize> + '_ {
        let from = |at: &usize| Some(self.fed[*at]?.from);
        std::iter::successors(Some(supply), from)
    }

    /// A supply, and those ahead of it whose lines reach it as they are.
    pub(super) fn boards(&self, supply: usize) -> impl Iterator<Item = usize> + '_ {
        let ahead = move |at: &usize| {
            let fed = self.fed[*at].filter(|fed| fed.efficiency == 100)?;
            (self.systems[*at].0 == self.systems[fed.from].0).then_some(fed.from)
        };
        std::iter::successors(Some(supply), ahead)
    }

    /// The supplies that a loss takes out.
    pub fn dead_supplies(&self, loss: Loss) -> Vec<usize> {
        let is_lost = |at: usize| match loss {
            Loss::Feed(feed) => feed_of(at) == feed,
            Loss::Supply(supply) => at == supply,
            _ => false,
        };
        let all = 0..self.systems.len();
        all.filter(|at| self.ways(*at).any(is_lost)).collect()
    }
}

/// What a supply is fed from, as it is written.
pub(super) fn written(fed: Fed) -> String {
    let Fed {
        from,
        efficiency,
        recharge,
        factor,
    } = fed;
    let factor = factor.map_or(String::new(), |factor| {
        format!(", input-power-factor: {factor}")
    });
    format!(", from: s{from}, efficiency: {efficiency} %, recharge: {recharge} W{factor}")
}
