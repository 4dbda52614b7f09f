//! The shop computer's end: the notebook as a shelf, for the devices that are paired.

mod body;
mod gate;
mod listen;
mod pairing;
mod patient;
mod route;
mod shelf;
mod turns;

pub use listen::{listen, serve};

use crate::store::{Passed, Store};
use holebook_core::notebook::Notebook;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use turns::Turns;

/// What devices, and strangers, may take of this computer.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// How long a connection may take to show that it speaks TLS.
    pub handshake: Duration,
    /// How long a request's head may take, and how long a connection is kept that asks nothing.
    pub head: Duration,
    /// How long a connection may stand still in the midst of a request or an answer.
    pub still: Duration,
    /// The least bytes per second in which a request's body must come, beside [`Limits::still`].
    pub slowest: u64,
    /// Connections at once; further ones wait.
    pub connections: usize,
    /// Connections at once from one address; further ones are closed.
    pub connections_each: usize,
    /// How long the answer to the first wrong code is held back; the next one twice as long, up to a hundred times.
    pub wrong_code: Duration,
    /// How many codes are looked at in a minute.
    pub codes_per_minute: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            handshake: Duration::from_secs(10),
            head: Duration::from_secs(20),
            still: Duration::from_secs(30),
            slowest: 16 << 10,
            connections: 128,
            connections_each: 24,
            wrong_code: Duration::from_millis(200),
            codes_per_minute: 20,
        }
    }
}

/// Something that a person at the shop computer may want to see.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Event {
    /// A device was paired.
    Paired {
        /// Its number.
        device: i64,
        /// What it calls itself.
        name: String,
    },
    /// Somebody tried a code that is wrong, used or too old.
    WrongCode,
    /// A device's exchange came to its end.
    Exchanged {
        /// Its number.
        device: i64,
        /// What passed.
        passed: Passed,
    },
    /// Something failed on this computer's side.
    Fault {
        /// What.
        detail: String,
    },
}

/// Told of events, from any thread; it shall not take long.
pub type Told = dyn Fn(Event) + Send + Sync;

/// What every request shares.
struct Served {
    notebook: Arc<Notebook>,
    store: Store,
    limits: Limits,
    told: Box<Told>,
    gate: gate::Gate,
    /// What passed in each device's exchange so far.
    passed: Mutex<HashMap<i64, Passed>>,
    /// Lines are held in memory while they are read and checked, so few are at once.
    lines: Turns,
    /// Photos go through small buffers.
    photos: Turns,
}

/// How many requests for lines, and for photos, are worked on at once.
const LINES_AT_ONCE: usize = 2;
const PHOTOS_AT_ONCE: usize = 8;

impl Served {
    fn new(notebook: Arc<Notebook>, store: Store, limits: Limits, told: Box<Told>) -> Self {
        Self {
            notebook,
            store,
            gate: gate::Gate::new(&limits),
            limits,
            told,
            passed: Mutex::default(),
            lines: Turns::new(LINES_AT_ONCE),
            photos: Turns::new(PHOTOS_AT_ONCE),
        }
    }

    fn fault(&self, detail: impl ToString) {
        (self.told)(Event::Fault {
            detail: detail.to_string(),
        });
    }

    fn count(&self, device: i64, count: impl FnOnce(&mut Passed)) {
        let mut passed = self.passed.lock().unwrap_or_else(PoisonError::into_inner);
        count(passed.entry(device).or_default());
    }

    /// Notes that a device's exchange came to its end. Blocks.
    fn note_end(&self, device: i64) {
        let passed = {
            let mut all = self.passed.lock().unwrap_or_else(PoisonError::into_inner);
            all.remove(&device).unwrap_or_default()
        };
        if let Err(error) = self.store.note_passed(device, passed) {
            self.fault(error);
        }
        (self.told)(Event::Exchanged { device, passed });
    }
}
