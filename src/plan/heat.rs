//! How readily a search takes a step that makes a plan dearer: less and less, as it cools.
//!
//! Only the four kinds of sums and square roots are used, which every machine rounds alike: the same files get the
//! same plan wherever they are planned.

/// Stages in which a search cools; a power of two, so that its ratio is made of square roots.
const STAGES: usize = 64;
/// Terms of [`decay`]: two to this.
const SQUARINGS: i32 = 10;

/// The heat of a search.
#[derive(Clone, Copy, Debug)]
pub(super) struct Heat {
    /// The cost that a move may add and is still taken now and then.
    warmth: f64,
    /// By what it falls from stage to stage.
    ratio: f64,
    moves_of_stage: usize,
    left: usize,
}

impl Heat {
    /// From one cost to a smaller one, over so many moves.
    pub fn from(hot: f64, cold: f64, moves: usize) -> Self {
        let roots = STAGES.trailing_zeros();
        let ratio = (0..roots).fold(cold / hot, |ratio, _| ratio.sqrt());
        let moves_of_stage = (moves / STAGES).max(1);
        Self {
            warmth: hot,
            ratio,
            moves_of_stage,
            left: moves_of_stage,
        }
    }

    /// A move later.
    pub fn cool(&mut self) {
        self.left -= 1;
        if self.left == 0 {
            self.left = self.moves_of_stage;
            self.warmth *= self.ratio;
        }
    }

    /// Whether a move is taken that adds so much, by the throw of a dice from 0 to 1.
    pub fn takes(self, more: f64, share: f64) -> bool {
        more <= 0.0 || share < decay(more / self.warmth)
    }
}

/// What is left after so many times the time in which all but an e-th is lost.
fn decay(times: f64) -> f64 {
    let terms = f64::from(1 << SQUARINGS);
    let base = (1.0 - times / terms).max(0.0);
    (0..SQUARINGS).fold(base, |left, _| left * left)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_decays_as_an_exponential_does() {
        for times in [0.0_f64, 0.01, 0.5, 1.0, 3.0, 6.0] {
            let (own, right) = (decay(times), (-times).exp());
            assert!((own - right).abs() < 2e-3, "{times}: {own} {right}");
        }
        assert_eq!(decay(1e9), 0.0);
    }

    #[test]
    fn it_cools_from_the_one_to_the_other() {
        let mut heat = Heat::from(2.0, 0.5, 6_400);
        assert!(heat.takes(0.0, 0.99) && !heat.takes(2.0, 0.5) && heat.takes(2.0, 0.3));
        (0..6_400).for_each(|_| heat.cool());
        assert!((heat.warmth - 0.5).abs() < 1e-9, "{heat:?}");
        // A search of no moves has a heat, too.
        Heat::from(1.0, 0.1, 0).cool();
    }
}
