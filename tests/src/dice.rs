//! Chance that can be had again.

use std::io::{self, Write as _};
use std::time::{SystemTime, UNIX_EPOCH};

/// Numbers by chance; `HOLEBOOK_SEED=7` gives those of a run that printed 7.
pub struct Dice(u64);

impl Dice {
    /// Prints its seed with `what` it is for.
    #[must_use]
    pub fn thrown(what: &str) -> Self {
        let now = SystemTime::now().duration_since(UNIX_EPOCH);
        let seed = asked("HOLEBOOK_SEED").unwrap_or(now.map_or(1, |now| now.as_nanos() as u64));
        let _ = writeln!(io::stderr(), "{what}: HOLEBOOK_SEED={seed}");
        Self(seed | 1)
    }

    /// A number below this one.
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % end.max(1)
    }
}

/// The number that the environment gives by this name, if it does.
#[must_use]
pub fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}
