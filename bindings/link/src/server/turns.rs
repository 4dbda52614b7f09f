//! Turns for work of which only so much is done at once, and of which no device may take more than its share.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Turns that devices take and give back. A device that keeps its turns, by sending or reading as slowly as it may, keeps nobody
/// but itself waiting.
pub(super) struct Turns {
    all: Arc<Semaphore>,
    each: usize,
    devices: Mutex<HashMap<i64, Arc<Semaphore>>>,
}

/// A turn; it is given back when this is dropped.
pub(super) struct Turn {
    _one_of_all: OwnedSemaphorePermit,
    _one_of_its_own: OwnedSemaphorePermit,
}

impl Turns {
    /// So many at once, of which half may be one device's.
    pub fn new(at_once: usize) -> Self {
        Self {
            all: Arc::new(Semaphore::new(at_once)),
            each: at_once.div_ceil(2),
            devices: Mutex::default(),
        }
    }

    /// Waits for a turn of this device. Only paired devices are counted, so there are never many.
    pub async fn take(&self, device: i64) -> Turn {
        // What waits for its own device's share must not hold a place among all.
        let one_of_its_own = acquired(self.of(device)).await;
        Turn {
            _one_of_all: acquired(self.all.clone()).await,
            _one_of_its_own: one_of_its_own,
        }
    }

    fn of(&self, device: i64) -> Arc<Semaphore> {
        let mut devices = self.devices.lock().unwrap_or_else(PoisonError::into_inner);
        let own = devices.entry(device);
        own.or_insert_with(|| Arc::new(Semaphore::new(self.each)))
            .clone()
    }
}

async fn acquired(of: Arc<Semaphore>) -> OwnedSemaphorePermit {
    of.acquire_owned().await.expect("these are never closed")
}
