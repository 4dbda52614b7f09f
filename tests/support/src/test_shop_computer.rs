//! A shop computer that serves its notebook on loopback.

use crate::TestNotebook;
use holebook_sync::server::{self, Event, Limits};
use holebook_sync::{Fingerprint, OfferState, PairingError, PairingOffer, create_offer};
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::ops::Deref;
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::sync::oneshot;

/// A shop computer in this process. It dereferences to its notebook.
pub struct TestShopComputer {
    notebook: TestNotebook,
    /// Where it listens on loopback; with 0, [`TestShopComputer::resume`] takes any free port.
    pub port: u16,
    limits: Limits,
    /// What its server reported.
    pub events: Arc<Mutex<Vec<Event>>>,
    running: Option<Running>,
}

struct Running {
    runtime: tokio::runtime::Runtime,
    stop: oneshot::Sender<()>,
    served: tokio::task::JoinHandle<Result<(), PairingError>>,
}

/// Limits with which wrong codes do not slow down a test.
#[must_use]
pub fn test_limits() -> Limits {
    Limits {
        wrong_code_delay: Duration::from_millis(1),
        max_guesses_per_peer: 1000,
        ..Limits::default()
    }
}

impl Deref for TestShopComputer {
    type Target = TestNotebook;

    fn deref(&self) -> &TestNotebook {
        &self.notebook
    }
}

impl TestShopComputer {
    /// Starts one with an empty notebook.
    #[must_use]
    pub fn start() -> Self {
        Self::start_with(TestNotebook::new(), test_limits())
    }

    /// Starts one with this notebook and these limits.
    #[must_use]
    pub fn start_with(notebook: TestNotebook, limits: Limits) -> Self {
        let mut computer = Self {
            notebook,
            port: 0,
            limits,
            events: Arc::default(),
            running: None,
        };
        computer.resume();
        computer
    }

    /// Serves again, on the same port.
    ///
    /// # Panics
    /// If the port is taken.
    pub fn resume(&mut self) {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, self.port)).unwrap();
        self.port = listener.local_addr().unwrap().port();
        let (stop, stopped) = oneshot::channel::<()>();
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()
            .unwrap();
        let events = self.events.clone();
        let serving = server::serve(
            listener,
            self.notebook.notebook.clone(),
            self.notebook.store.clone(),
            self.limits,
            Box::new(move |event| events.lock().unwrap().push(event)),
            async move { drop(stopped.await) },
        );
        let served = runtime.spawn(serving);
        self.running = Some(Running {
            runtime,
            stop,
            served,
        });
    }

    /// Stops as a program that is asked to.
    ///
    /// # Panics
    /// If it is not running, or its server failed.
    pub fn stop(&mut self) {
        let Running {
            runtime,
            stop,
            served,
        } = self.running.take().unwrap();
        stop.send(()).unwrap();
        runtime.block_on(served).unwrap().unwrap();
    }

    /// Stops as a program that is killed: nothing is finished.
    ///
    /// # Panics
    /// If it is not running.
    pub fn kill(&mut self) {
        let running = self.running.take().unwrap();
        running.runtime.shutdown_timeout(Duration::from_millis(1));
        // A killed program's port closes at once; here a busy thread may keep it open for a moment.
        while !running.served.is_finished() {
            std::thread::yield_now();
        }
    }

    /// Stops it, and returns its notebook.
    ///
    /// # Panics
    /// If it is not running, or its server failed.
    #[must_use]
    pub fn into_notebook(mut self) -> TestNotebook {
        self.stop();
        self.notebook
    }

    /// Where it listens.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        (Ipv4Addr::LOCALHOST, self.port).into()
    }

    /// Creates a pairing code.
    #[must_use]
    pub fn offer(&self) -> PairingOffer {
        self.offer_at(self.address())
    }

    /// Creates a pairing code that names this address.
    #[must_use]
    pub fn offer_at(&self, address: SocketAddr) -> PairingOffer {
        create_offer(&self.store, &[address]).unwrap()
    }

    /// What a person types to pair by a code: the address and the digits.
    ///
    /// # Panics
    /// If the code is not open.
    #[must_use]
    pub fn typed(&self, offer: &PairingOffer) -> String {
        match self.store.offer_state(offer.id()).unwrap() {
            OfferState::Open { digits, .. } => format!("{} {digits}", offer.typed_address()),
            other => panic!("{other:?}"),
        }
    }

    /// A new device that is paired with it, and its key's fingerprint.
    #[must_use]
    pub fn paired_device(&self) -> (TestNotebook, Fingerprint) {
        self.paired_device_at(self.address())
    }

    /// A new device that is paired with it at this address, and its key's fingerprint.
    #[must_use]
    pub fn paired_device_at(&self, address: SocketAddr) -> (TestNotebook, Fingerprint) {
        let device = TestNotebook::new();
        let shop = device.pair(self.offer_at(address).link()).unwrap();
        (device, shop.fingerprint)
    }
}
