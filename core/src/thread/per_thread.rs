//! Figures that are computed once for each thread.

use super::Thread;
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};
use std::sync::{PoisonError, RwLock};

/// The most threads that a figure is kept for: more than are standard. A program that goes through
/// special threads starts over, so that it never fills the memory.
const MOST_THREADS: usize = 2_000;

/// A figure that follows from the thread alone and takes long to compute, kept for each thread.
pub(crate) struct PerThread<T> {
    compute: fn(&Thread) -> T,
    kept: RwLock<HashMap<Thread, T, BuildHasherDefault<Mixer>>>,
    most: usize,
}

/// A hash of a few multiplications: figures are looked up a hundred times for each hole. Threads come
/// from a person or a table, and the map is bounded, so nobody gains by making them collide.
#[derive(Default)]
struct Mixer(u64);

impl Hasher for Mixer {
    fn write(&mut self, bytes: &[u8]) {
        for part in bytes.chunks(8) {
            let mut word = [0; 8];
            word[..part.len()].copy_from_slice(part);
            self.write_u64(u64::from_le_bytes(word));
        }
    }

    fn write_u64(&mut self, word: u64) {
        // An odd number without a pattern: the fraction of the golden section.
        self.0 = (self.0.rotate_left(29) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }

    fn write_u8(&mut self, word: u8) {
        self.write_u64(word.into());
    }

    fn write_i64(&mut self, word: i64) {
        self.write_u64(word.cast_unsigned());
    }

    fn write_isize(&mut self, word: isize) {
        self.write_u64(word.cast_unsigned() as u64);
    }

    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 32)
    }
}

impl<T: Copy> PerThread<T> {
    /// Returns the figure that a function computes, with nothing kept yet.
    pub fn new(compute: fn(&Thread) -> T) -> PerThread<T> {
        PerThread {
            compute,
            kept: RwLock::default(),
            most: MOST_THREADS,
        }
    }

    /// Returns the figure of a thread.
    pub fn of(&self, thread: &Thread) -> T {
        let kept = self.kept.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(figure) = kept.get(thread) {
            return *figure;
        }
        drop(kept);
        // Computed without the lock, since it may ask for another figure.
        let figure = (self.compute)(thread);
        let mut kept = self.kept.write().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= self.most {
            kept.clear();
        }
        kept.insert(*thread, figure);
        figure
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::standard_threads;
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn a_figure_is_computed_once_for_each_thread() {
        static COMPUTED: AtomicUsize = AtomicUsize::new(0);
        let pitch = PerThread::new(|thread| {
            COMPUTED.fetch_add(1, Ordering::Relaxed);
            thread.pitch_mm()
        });
        for _ in 0..3 {
            for thread in standard_threads() {
                assert_eq!(pitch.of(&thread), thread.pitch_mm());
            }
        }
        assert_eq!(COMPUTED.load(Ordering::Relaxed), standard_threads().count());
        assert!(standard_threads().count() < MOST_THREADS);
    }

    #[test]
    fn it_never_keeps_more_than_its_most() {
        let nominal = PerThread {
            most: 10,
            ..PerThread::new(|thread| thread.nominal())
        };
        for thread in standard_threads() {
            assert_eq!(nominal.of(&thread), thread.nominal());
            assert!(nominal.kept.read().unwrap().len() <= 10);
        }
    }
}
