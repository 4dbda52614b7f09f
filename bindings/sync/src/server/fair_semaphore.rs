//! Semaphore that limits concurrent requests in total and per device.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Permits for concurrent requests. One device gets at most half of them, so a slow device cannot
/// block the others.
pub(super) struct FairSemaphore {
    total: Arc<Semaphore>,
    per_device: usize,
    devices: Mutex<HashMap<i64, Arc<Semaphore>>>,
}

/// A permit, released on drop.
pub(super) struct FairPermit {
    _total: OwnedSemaphorePermit,
    _per_device: OwnedSemaphorePermit,
}

impl FairSemaphore {
    /// Creates a semaphore with this many permits, half of them (rounded up) per device.
    pub fn new(permits: usize) -> Self {
        Self {
            total: Arc::new(Semaphore::new(permits)),
            per_device: permits.div_ceil(2),
            devices: Mutex::default(),
        }
    }

    /// Waits for a permit for this device. Only paired devices get here, so the map stays small.
    pub async fn acquire(&self, device: i64) -> FairPermit {
        // The device's own limit comes first: a request that waits for it must not hold one of the
        // shared permits.
        let per_device = acquire_owned(self.device_semaphore(device)).await;
        FairPermit {
            _total: acquire_owned(self.total.clone()).await,
            _per_device: per_device,
        }
    }

    fn device_semaphore(&self, device: i64) -> Arc<Semaphore> {
        let mut devices = self.devices.lock().unwrap_or_else(PoisonError::into_inner);
        let semaphore = devices.entry(device);
        semaphore
            .or_insert_with(|| Arc::new(Semaphore::new(self.per_device)))
            .clone()
    }
}

async fn acquire_owned(semaphore: Arc<Semaphore>) -> OwnedSemaphorePermit {
    semaphore
        .acquire_owned()
        .await
        .expect("the semaphores are never closed")
}
