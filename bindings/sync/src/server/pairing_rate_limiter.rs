//! Rate limit of pairing codes.

use super::Limits;
use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::{Semaphore, SemaphorePermit};

/// The most tries that wait; further ones are rejected.
const MAX_WAITING: usize = 4;
/// The longest delay after a wrong code, as a multiple of the shortest.
const MAX_DELAY_FACTOR: u32 = 100;
/// The delay starts over after this long without a wrong code.
const RESET_AFTER: Duration = Duration::from_secs(10 * 60);
const MINUTE: Duration = Duration::from_secs(60);

/// Admits tries one at a time, and a limited number per minute.
pub(super) struct PairingRateLimiter {
    waiting: Semaphore,
    active: Semaphore,
    per_minute: usize,
    min_delay: Duration,
    recent: Mutex<RecentTries>,
}

#[derive(Default)]
struct RecentTries {
    /// Times of the tries in the last minute.
    tries: VecDeque<Instant>,
    wrong: u32,
    last_wrong: Option<Instant>,
}

/// Permit for one try. Further tries wait until it is dropped.
pub(super) struct TryPermit<'a> {
    limiter: &'a PairingRateLimiter,
    _permit: SemaphorePermit<'a>,
    _waiting: SemaphorePermit<'a>,
}

impl PairingRateLimiter {
    pub fn new(limits: &Limits) -> Self {
        Self {
            waiting: Semaphore::new(MAX_WAITING),
            active: Semaphore::new(1),
            per_minute: limits.max_codes_per_minute,
            min_delay: limits.wrong_code_delay,
            recent: Mutex::default(),
        }
    }

    /// Waits for a permit; `None` if the rate limit is reached.
    pub async fn acquire(&self) -> Option<TryPermit<'_>> {
        let waiting = self.waiting.try_acquire().ok()?;
        let permit = self.active.acquire().await.ok()?;
        self.recent_tries()
            .try_count(Instant::now(), self.per_minute)
            .then_some(TryPermit {
                limiter: self,
                _permit: permit,
                _waiting: waiting,
            })
    }

    fn recent_tries(&self) -> std::sync::MutexGuard<'_, RecentTries> {
        self.recent.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl TryPermit<'_> {
    /// Delays the response to a wrong code, and thereby all tries that wait.
    pub async fn delay_after_wrong_code(&self) {
        let factor = self.limiter.recent_tries().record_wrong(Instant::now());
        tokio::time::sleep(self.limiter.min_delay * factor).await;
    }
}

impl RecentTries {
    /// Counts a try at `now` and returns true, or returns false if the limit is reached.
    fn try_count(&mut self, now: Instant, per_minute: usize) -> bool {
        while self
            .tries
            .front()
            .is_some_and(|first| now.duration_since(*first) >= MINUTE)
        {
            self.tries.pop_front();
        }
        let within = self.tries.len() < per_minute;
        if within {
            self.tries.push_back(now);
        }
        within
    }

    /// Counts a wrong code and returns the delay as a multiple of the shortest.
    fn record_wrong(&mut self, now: Instant) -> u32 {
        let since = self.last_wrong.map(|last| now.duration_since(last));
        if since.is_some_and(|since| since >= RESET_AFTER) {
            self.wrong = 0;
        }
        self.last_wrong = Some(now);
        self.wrong += 1;
        2_u32.saturating_pow(self.wrong - 1).min(MAX_DELAY_FACTOR)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_wrong_code_doubles_the_delay() {
        let mut recent = RecentTries::default();
        let start = Instant::now();
        let factors: Vec<u32> = (0..9).map(|_| recent.record_wrong(start)).collect();
        assert_eq!(factors, [1, 2, 4, 8, 16, 32, 64, 100, 100]);
        assert_eq!(recent.record_wrong(start + RESET_AFTER), 1);
    }

    #[test]
    fn tries_per_minute_are_limited() {
        let mut recent = RecentTries::default();
        let start = Instant::now();
        let admitted = (0..100).filter(|_| recent.try_count(start, 20)).count();
        assert_eq!(admitted, 20);
        assert!(!recent.try_count(start + MINUTE / 2, 20));
        assert!(recent.try_count(start + MINUTE, 20));
    }
}
