//! How fast pairing codes may be tried.

use super::Limits;
use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::{Semaphore, SemaphorePermit};

/// How many tries may wait for their turn; further ones are turned away.
const WAITING: usize = 4;
/// The longest that an answer is held back, as a multiple of the shortest.
const LONGEST: u32 = 100;
/// After so long without a wrong code, the next one is the first again.
const FORGIVEN: Duration = Duration::from_secs(10 * 60);
const MINUTE: Duration = Duration::from_secs(60);

/// Lets tries through one at a time, and only so many in a minute.
pub(super) struct Gate {
    waiting: Semaphore,
    turn: Semaphore,
    per_minute: usize,
    shortest: Duration,
    past: Mutex<Past>,
}

#[derive(Default)]
struct Past {
    /// When the tries of the last minute came.
    tries: VecDeque<Instant>,
    wrong: u32,
    last_wrong: Option<Instant>,
}

/// The turn of one try.
pub(super) struct Turn<'a> {
    gate: &'a Gate,
    _turn: SemaphorePermit<'a>,
    _waiting: SemaphorePermit<'a>,
}

impl Gate {
    pub fn new(limits: &Limits) -> Self {
        Self {
            waiting: Semaphore::new(WAITING),
            turn: Semaphore::new(1),
            per_minute: limits.codes_per_minute,
            shortest: limits.wrong_code,
            past: Mutex::default(),
        }
    }

    /// Waits for a turn; none where too many tries came.
    pub async fn turn(&self) -> Option<Turn<'_>> {
        let waiting = self.waiting.try_acquire().ok()?;
        let turn = self.turn.acquire().await.ok()?;
        self.past()
            .counts(Instant::now(), self.per_minute)
            .then_some(Turn {
                gate: self,
                _turn: turn,
                _waiting: waiting,
            })
    }

    fn past(&self) -> std::sync::MutexGuard<'_, Past> {
        self.past.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Turn<'_> {
    /// Holds a wrong try back, and all that wait behind it.
    pub async fn hold_back(&self) {
        let times = self.gate.past().wrong_again(Instant::now());
        tokio::time::sleep(self.gate.shortest * times).await;
    }
}

impl Past {
    /// Whether one more try at `now` is within the limit; then it is counted.
    fn counts(&mut self, now: Instant, per_minute: usize) -> bool {
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

    /// Counts a wrong try; gives for how many times the shortest time it is held back.
    fn wrong_again(&mut self, now: Instant) -> u32 {
        let since = self.last_wrong.map(|last| now.duration_since(last));
        if since.is_some_and(|since| since >= FORGIVEN) {
            self.wrong = 0;
        }
        self.last_wrong = Some(now);
        self.wrong += 1;
        2_u32.saturating_pow(self.wrong - 1).min(LONGEST)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrong_tries_are_held_back_longer_and_longer() {
        let mut past = Past::default();
        let start = Instant::now();
        let times: Vec<u32> = (0..9).map(|_| past.wrong_again(start)).collect();
        assert_eq!(times, [1, 2, 4, 8, 16, 32, 64, 100, 100]);
        assert_eq!(past.wrong_again(start + FORGIVEN), 1);
    }

    #[test]
    fn only_so_many_are_looked_at_in_a_minute() {
        let mut past = Past::default();
        let start = Instant::now();
        let looked_at = (0..100).filter(|_| past.counts(start, 20)).count();
        assert_eq!(looked_at, 20);
        assert!(!past.counts(start + MINUTE / 2, 20));
        assert!(past.counts(start + MINUTE, 20));
    }
}
