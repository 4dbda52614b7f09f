//! Two devices and a shop computer, over real TLS on loopback.

#![allow(dead_code, clippy::unwrap_used)]

pub mod books;
pub mod heads;
pub mod proxy;
pub mod raw;

use holebook_core::exchange::{ExchangeError, Report, exchange_over, unwatched};
use holebook_core::notebook::{FaceBody, Notebook};
use holebook_link::server::{self, Event, Limits};
use holebook_link::{
    Clock, Fingerprint, LanShelf, LinkError, Offer, PairCode, Shop, Store, offer, pair,
};
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tempfile::TempDir;
use tokio::sync::oneshot;

/// A notebook in a folder of its own, with its pairings.
pub struct Desk {
    pub dir: TempDir,
    pub notebook: Arc<Notebook>,
    pub store: Store,
}

impl Desk {
    pub fn new() -> Self {
        Self::with_clock(Clock::default())
    }

    pub fn with_clock(clock: Clock) -> Self {
        let dir = tempfile::tempdir().unwrap();
        // The pairings come first here, as on a phone that is paired before anything is noted.
        let store = Store::open_with(dir.path(), clock).unwrap();
        let notebook = Arc::new(Notebook::open(dir.path()).unwrap());
        Self {
            dir,
            notebook,
            store,
        }
    }

    /// Records castings, each with a name of its own.
    pub fn note(&self, name: &str, how_many: usize) {
        for number in 0..how_many {
            books::casting(&self.notebook, &format!("{name} {number}"));
        }
    }

    /// Brings in a photo of so many pixels that no other has, of the face of a casting of its own.
    pub fn photograph(&self, seed: u8, edge_px: u32) {
        let file = self.dir.path().join(format!(".{seed}.png"));
        std::fs::write(&file, png(seed, edge_px)).unwrap();
        let casting = books::casting(&self.notebook, &format!("photographed {seed}"));
        let face = FaceBody {
            casting,
            name: "top".into(),
            note: None,
        };
        let face = self.notebook.add_face(&face).unwrap();
        self.notebook.add_photo(face, &file, None).unwrap();
        std::fs::remove_file(file).unwrap();
    }

    pub fn ends(&self) -> (Vec<String>, Vec<String>) {
        books::ends(&self.notebook)
    }

    pub fn exchange(&self, shop: &Fingerprint) -> Result<Report, ExchangeError> {
        self.exchange_at(shop, &[])
    }

    pub fn exchange_at(
        &self,
        shop: &Fingerprint,
        more: &[SocketAddr],
    ) -> Result<Report, ExchangeError> {
        let shelf = LanShelf::open(&self.store, shop, more).unwrap();
        exchange_over(&self.notebook, &shelf, &unwatched)
    }

    pub fn pair(&self, code: &str) -> Result<Shop, LinkError> {
        let code: PairCode = code.parse()?;
        pair(&self.store, &code, "Ada's phone", &[])
    }
}

/// A grey picture that does not get much smaller when it is packed.
fn png(seed: u8, edge_px: u32) -> Vec<u8> {
    let mut state = u32::from(seed) + 1;
    let mut rows = Vec::new();
    for _ in 0..edge_px {
        // Each row begins with the number of its filter: none.
        rows.extend([0]);
        rows.extend((0..edge_px).map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        }));
    }
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut head = Vec::new();
    head.extend(edge_px.to_be_bytes());
    head.extend(edge_px.to_be_bytes());
    head.extend([8, 0, 0, 0, 0]);
    chunk(&mut file, b"IHDR", &head);
    let mut packed = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::none());
    std::io::Write::write_all(&mut packed, &rows).unwrap();
    chunk(&mut file, b"IDAT", &packed.finish().unwrap());
    chunk(&mut file, b"IEND", b"");
    file
}

fn chunk(file: &mut Vec<u8>, kind: &[u8; 4], content: &[u8]) {
    file.extend((content.len() as u32).to_be_bytes());
    file.extend(kind);
    file.extend(content);
    let mut sum = flate2::Crc::new();
    sum.update(kind);
    sum.update(content);
    file.extend(sum.sum().to_be_bytes());
}

/// A shop computer at work.
pub struct Bench {
    pub desk: Desk,
    pub port: u16,
    pub limits: Limits,
    pub events: Arc<Mutex<Vec<Event>>>,
    running: Option<Running>,
}

struct Running {
    runtime: tokio::runtime::Runtime,
    stop: oneshot::Sender<()>,
    served: tokio::task::JoinHandle<Result<(), LinkError>>,
}

/// Limits under which wrong codes do not hold a test up.
pub fn quick() -> Limits {
    Limits {
        wrong_code: Duration::from_millis(1),
        codes_per_minute: 1000,
        ..Limits::default()
    }
}

impl Bench {
    pub fn start() -> Self {
        Self::start_with(Desk::new(), quick())
    }

    pub fn start_with(desk: Desk, limits: Limits) -> Self {
        let mut bench = Self {
            desk,
            port: 0,
            limits,
            events: Arc::default(),
            running: None,
        };
        bench.resume();
        bench
    }

    /// Serves again, on the same port.
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
            self.desk.notebook.clone(),
            self.desk.store.clone(),
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

    /// Ends as a program that is told to stop.
    pub fn stop(&mut self) {
        let Running {
            runtime,
            stop,
            served,
        } = self.running.take().unwrap();
        stop.send(()).unwrap();
        runtime.block_on(served).unwrap().unwrap();
    }

    /// Ends as a program that is killed: nothing is finished.
    pub fn kill(&mut self) {
        let running = self.running.take().unwrap();
        running.runtime.shutdown_timeout(Duration::from_millis(1));
        // A killed program's port is closed at once; here it may be some time until a busy thread lets go of it.
        while !running.served.is_finished() {
            std::thread::yield_now();
        }
    }

    pub fn address(&self) -> SocketAddr {
        (Ipv4Addr::LOCALHOST, self.port).into()
    }

    pub fn offer(&self) -> Offer {
        self.offer_at(self.address())
    }

    pub fn offer_at(&self, address: SocketAddr) -> Offer {
        offer(&self.desk.store, &[address]).unwrap()
    }

    /// A device that is paired with it.
    pub fn paired(&self) -> (Desk, Fingerprint) {
        self.paired_at(self.address())
    }

    pub fn paired_at(&self, address: SocketAddr) -> (Desk, Fingerprint) {
        let phone = Desk::new();
        let shop = phone.pair(self.offer_at(address).link()).unwrap();
        (phone, shop.fingerprint)
    }
}

/// What lies in a folder, but for what SQLite keeps beside its files.
pub fn files(dir: &Path) -> Vec<String> {
    let mut names = Vec::new();
    for entry in std::fs::read_dir(dir).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.metadata().unwrap().is_dir() {
            let inner = files(&entry.path());
            names.extend(inner.into_iter().map(|inner| format!("{name}/{inner}")));
        } else if !(name.contains(".sqlite") || name == ".in-use") {
            names.push(name);
        }
    }
    names.sort();
    names
}
