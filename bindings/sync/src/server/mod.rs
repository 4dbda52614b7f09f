//! Server side: the shop computer serves its notebook as a sync remote to paired devices.

mod body;
mod connection;
mod fair_semaphore;
mod guess_limiter;
mod listen;
mod pairing;
mod router;
mod sync_routes;
mod write_timeout;

pub use listen::{listen, serve};

use crate::key::Fingerprint;
use crate::pairing_store::{DeviceCounts, PairingStore};
use fair_semaphore::FairSemaphore;
use holebook_core::notebook::Notebook;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// Timeouts, connection limits, and rate limits of the server.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Timeout of the TLS handshake.
    pub handshake_timeout: Duration,
    /// Timeout for receiving a request's headers, which also closes idle connections.
    pub header_timeout: Duration,
    /// How long a connection may stall within a request body or a response.
    pub idle_timeout: Duration,
    /// The minimum rate of a request body, which is checked in addition to
    /// [`Limits::idle_timeout`].
    pub min_bytes_per_second: u64,
    /// The most open connections. A new one then takes the place of one on which no paired device
    /// has sent a request.
    pub max_connections: usize,
    /// The most open connections from one address, likewise.
    pub max_connections_per_address: usize,
    /// Delay of the response to a peer's first wrong digits of a pairing code. It doubles with each
    /// further wrong guess, up to 100 times the first delay.
    pub wrong_code_delay: Duration,
    /// How often a peer may guess the digits of one pairing code.
    pub max_guesses_per_peer: u32,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            handshake_timeout: Duration::from_secs(10),
            header_timeout: Duration::from_secs(20),
            idle_timeout: Duration::from_secs(30),
            min_bytes_per_second: 16 << 10,
            max_connections: 128,
            max_connections_per_address: 24,
            wrong_code_delay: Duration::from_millis(200),
            max_guesses_per_peer: 5,
        }
    }
}

/// Something to report to the person at the shop computer.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Event {
    /// A device was paired.
    Paired {
        /// The device's number.
        device: i64,
        /// The device's name.
        name: String,
    },
    /// A pairing code was tried that is wrong.
    WrongCode,
    /// A device finished a sync.
    Synced {
        /// The device's number.
        device: i64,
        /// What was transferred.
        counts: DeviceCounts,
    },
    /// A request failed because of this computer.
    Failure {
        /// The error message.
        detail: String,
    },
}

/// Callback for events. It is called from any thread and must return quickly.
pub type EventHandler = dyn Fn(Event) + Send + Sync;

/// State shared by all requests.
struct Server {
    notebook: Arc<Notebook>,
    store: PairingStore,
    /// The fingerprint of this computer's key.
    fingerprint: Fingerprint,
    limits: Limits,
    on_event: Box<EventHandler>,
    guesses: guess_limiter::GuessLimiter,
    /// What was transferred so far in each device's current sync.
    counts: Mutex<HashMap<i64, DeviceCounts>>,
    /// Limits chunk requests, since a chunk is held in memory while it is validated.
    chunk_requests: FairSemaphore,
    /// Limits photo requests, which need only small buffers.
    photo_requests: FairSemaphore,
}

/// The most requests for lines, and for photos, that are handled at once.
const MAX_CHUNK_REQUESTS: usize = 2;
const MAX_PHOTO_REQUESTS: usize = 8;

impl Server {
    fn new(
        notebook: Arc<Notebook>,
        store: PairingStore,
        fingerprint: Fingerprint,
        limits: Limits,
        on_event: Box<EventHandler>,
    ) -> Self {
        Self {
            notebook,
            store,
            fingerprint,
            guesses: guess_limiter::GuessLimiter::new(&limits),
            limits,
            on_event,
            counts: Mutex::default(),
            chunk_requests: FairSemaphore::new(MAX_CHUNK_REQUESTS),
            photo_requests: FairSemaphore::new(MAX_PHOTO_REQUESTS),
        }
    }

    fn report_failure(&self, detail: impl ToString) {
        (self.on_event)(Event::Failure {
            detail: detail.to_string(),
        });
    }

    /// Returns a paired device's name in a sentence. Blocks.
    fn device_name(&self, device: i64) -> String {
        let devices = self.store.devices().unwrap_or_default().into_iter();
        let name = devices
            .filter(|known| known.id == device)
            .map(|known| known.name);
        format!(
            "the paired device {} (number {device})",
            name.collect::<String>()
        )
    }

    fn update_counts(&self, device: i64, count: impl FnOnce(&mut DeviceCounts)) {
        let mut counts = self.counts.lock().unwrap_or_else(PoisonError::into_inner);
        count(counts.entry(device).or_default());
    }

    /// Records and reports that a device finished a sync. Blocks.
    fn record_finish(&self, device: i64) {
        let counts = {
            let mut all = self.counts.lock().unwrap_or_else(PoisonError::into_inner);
            all.remove(&device).unwrap_or_default()
        };
        if let Err(error) = self.store.record_device_sync(device, counts) {
            self.report_failure(error);
        }
        (self.on_event)(Event::Synced { device, counts });
    }
}
