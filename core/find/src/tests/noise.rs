//! Repeatable random numbers and smooth noise for the pictures.

/// A small generator with one seed for each picture (SplitMix64).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d_4c95_7f2d)
    }

    /// From 0 to 1.
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        (mix(self.0) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    /// About normal, with a spread of 1.
    pub fn normal(&mut self) -> f64 {
        (0..6).map(|_| self.unit()).sum::<f64>() * 2.0_f64.sqrt() - 3.0 * 2.0_f64.sqrt()
    }
}

fn mix(mut value: u64) -> u64 {
    value = (value ^ (value >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    value = (value ^ (value >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    value ^ (value >> 31)
}

fn lattice(x: i64, y: i64, seed: u64) -> f64 {
    let key =
        (x as u64).wrapping_mul(0x8da6_b343) ^ (y as u64).wrapping_mul(0xd816_3841_0000) ^ seed;
    (mix(key) >> 11) as f64 / (1_u64 << 53) as f64
}

/// Smooth noise from 0 to 1 with a grain of 1.
pub fn smooth(x: f64, y: f64, seed: u64) -> f64 {
    let (left, top) = (x.floor(), y.floor());
    let ease = |t: f64| t * t * (3.0 - 2.0 * t);
    let (fx, fy) = (ease(x - left), ease(y - top));
    let (ix, iy) = (left as i64, top as i64);
    let row = |iy: i64| lattice(ix, iy, seed) * (1.0 - fx) + lattice(ix + 1, iy, seed) * fx;
    row(iy) * (1.0 - fy) + row(iy + 1) * fy
}

/// Noise of several grains, each half the one before.
pub fn rough(x: f64, y: f64, seed: u64, grains: u32) -> f64 {
    let mut sum = 0.0;
    let mut total = 0.0;
    for grain in 0..grains {
        let scale = f64::from(1 << grain);
        sum += smooth(x * scale, y * scale, seed + u64::from(grain)) / scale;
        total += 1.0 / scale;
    }
    sum / total
}
