//! Numbers that look random and are the same in every run.

/// A 64-bit xorshift generator (Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8, 2003; from memory).
pub(super) struct Chance(u64);

impl Chance {
    /// The one sequence there is: a plan must not change between two runs.
    pub fn new() -> Self {
        Chance(0x9e37_79b9_7f4a_7c15)
    }

    /// A number below `end`; 0 if `end` is 0.
    pub fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 32) as usize).checked_rem(end).unwrap_or(0)
    }

    /// Puts a list in another order.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            list.swap(last, self.below(last + 1));
        }
    }
}
