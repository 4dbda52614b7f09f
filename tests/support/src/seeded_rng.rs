//! Random numbers that a test can repeat.

use std::io::{self, Write as _};
use std::time::{SystemTime, UNIX_EPOCH};

/// A random number generator. `HOLEBOOK_SEED=7` repeats a run that printed 7.
pub struct SeededRng(u64);

impl SeededRng {
    /// Seeds it with the time, and prints the seed with `what` it is for.
    #[must_use]
    pub fn new(what: &str) -> Self {
        let now = SystemTime::now().duration_since(UNIX_EPOCH);
        let seed =
            env_number("HOLEBOOK_SEED").unwrap_or(now.map_or(1, |now| now.as_nanos() as u64));
        let _ = writeln!(io::stderr(), "{what}: HOLEBOOK_SEED={seed}");
        Self(seed | 1)
    }

    /// Returns a number below `end`, or 0 if `end` is 0. Marsaglia's xorshift.
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % end.max(1)
    }
}

/// The number in an environment variable, if it is set to one.
#[must_use]
pub fn env_number(variable: &str) -> Option<u64> {
    std::env::var(variable).ok()?.parse().ok()
}
