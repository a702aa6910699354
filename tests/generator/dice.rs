//! Numbers that fall alike for the same seed, for ever.

/// A small generator of numbers (xorshift), so that a seed means the same for ever.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Dice that always fall alike for the same seed.
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// A number from `0..bound`.
    pub fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % bound
    }
}
