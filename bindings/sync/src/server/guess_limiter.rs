//! Limits how often each peer may guess the digits of a pairing code, so that nobody finds them by
//! trying, and nobody who tries keeps the device of the owner from pairing.

use super::Limits;
use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// The longest delay after a wrong guess, as a multiple of the shortest.
const MAX_DELAY_FACTOR: u32 = 100;
/// The most peers that may guess one code: more than a local network has. With five guesses each
/// they find the digits of one code in fifty thousand.
const MAX_PEERS: usize = 4096;

/// Counts the guesses of each peer for the current code.
pub(super) struct GuessLimiter {
    max_guesses: u32,
    min_delay: Duration,
    guesses: Mutex<Guesses>,
}

#[derive(Default)]
struct Guesses {
    /// The code that is guessed.
    offer: i64,
    by_peer: HashMap<IpAddr, u32>,
}

impl GuessLimiter {
    pub fn new(limits: &Limits) -> Self {
        Self {
            max_guesses: limits.max_guesses_per_peer,
            min_delay: limits.wrong_code_delay,
            guesses: Mutex::default(),
        }
    }

    /// Counts a guess of this code before it is checked, so that guesses at the same time count too.
    /// Returns the delay if it is wrong; `None` if the peer has none left.
    pub fn count(&self, peer: IpAddr, offer: i64) -> Option<Duration> {
        let mut guesses = self.lock();
        if guesses.offer != offer {
            *guesses = Guesses {
                offer,
                ..Guesses::default()
            };
        }
        let (peer, is_full) = (network_of(peer), guesses.by_peer.len() >= MAX_PEERS);
        if is_full && !guesses.by_peer.contains_key(&peer) {
            return None;
        }
        let count = guesses.by_peer.entry(peer).or_default();
        if *count >= self.max_guesses {
            return None;
        }
        *count += 1;
        let factor = 2_u32.saturating_pow(*count - 1).min(MAX_DELAY_FACTOR);
        Some(self.min_delay * factor)
    }

    /// Takes back a guess that was right.
    pub fn was_right(&self, peer: IpAddr) {
        self.lock().by_peer.remove(&network_of(peer));
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Guesses> {
        self.guesses.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Returns what counts as one peer: an IPv4 address, or an IPv6 network of 64 bits, in which a device
/// may take any address.
fn network_of(peer: IpAddr) -> IpAddr {
    match peer.to_canonical() {
        IpAddr::V6(v6) => Ipv6Addr::from_bits(v6.to_bits() >> 64 << 64).into(),
        v4 => v4,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn limiter() -> GuessLimiter {
        GuessLimiter::new(&Limits::default())
    }

    fn peer(text: &str) -> IpAddr {
        text.parse().unwrap()
    }

    #[test]
    fn each_peer_has_five_guesses_for_a_code_and_each_takes_longer() {
        let limiter = limiter();
        let min = Limits::default().wrong_code_delay;
        let guess = |from: &str, offer| limiter.count(peer(from), offer);
        let delays: Vec<_> = (0..7).map(|_| guess("10.0.0.1", 1)).collect();
        let expected = [1, 2, 4, 8, 16].map(|factor| Some(min * factor));
        assert_eq!(delays[..5], expected);
        assert_eq!(delays[5..], [None, None]);
        assert_eq!(guess("10.0.0.2", 1), Some(min), "others are not affected");
        assert_eq!(guess("10.0.0.1", 2), Some(min), "nor is the next code");
    }

    #[test]
    fn right_guesses_do_not_count() {
        let limiter = limiter();
        for _ in 0..100 {
            assert!(limiter.count(peer("10.0.0.1"), 1).is_some());
            limiter.was_right(peer("10.0.0.1"));
        }
    }

    #[test]
    fn an_address_of_the_same_network_is_the_same_peer() {
        let limiter = limiter();
        for at in 0..5 {
            let from = peer(&format!("fd00::{at}:1"));
            assert!(limiter.count(from, 1).is_some());
        }
        assert_eq!(limiter.count(peer("fd00::77"), 1), None);
        assert!(limiter.count(peer("fd00:0:0:1::77"), 1).is_some());
        assert!(limiter.count(peer("::ffff:10.0.0.1"), 1).is_some());
        assert_eq!(network_of(peer("::ffff:10.0.0.1")), peer("10.0.0.1"));
    }

    #[test]
    fn many_peers_are_refused_in_the_end() {
        let limiter = limiter();
        let network = |at: u32| peer(&format!("fd00:0:{:x}:{:x}::1", at >> 16, at & 0xffff));
        let admitted = (0..10_000).filter(|at| limiter.count(network(*at), 1).is_some());
        assert_eq!(admitted.count(), MAX_PEERS);
    }
}
