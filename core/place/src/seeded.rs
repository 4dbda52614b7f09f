//! Random numbers for tests, the same in every run.

/// A generator (SplitMix64, by Steele, Lea, and Flood).
pub(crate) struct Seeded(u64);

impl Seeded {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from `low` to `high`.
    pub fn even(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// Normally distributed with this standard deviation (Box and Muller).
    pub fn normal(&mut self, deviation: f64) -> f64 {
        let (u, v) = (
            self.even(f64::MIN_POSITIVE, 1.0),
            self.even(0.0, std::f64::consts::TAU),
        );
        deviation * (-2.0 * u.ln()).sqrt() * v.cos()
    }

    /// A whole number below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }
}
