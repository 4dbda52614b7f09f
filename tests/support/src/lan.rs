//! A shop computer on loopback and paired devices, for tests and benchmarks in which each is a
//! process of its own.

use holebook_core::notebook::Notebook;
use holebook_core::sync::{SyncError, SyncReport, ignore_progress, sync_with};
use holebook_sync::server::{self, Limits};
use holebook_sync::{LanRemote, PairingStore, create_offer};
use std::io::{self, Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

/// Serves the notebook in a folder on a port of loopback, or on any free one if it is 0. Prints the
/// address as one line, and returns when the program's input is closed.
///
/// # Panics
/// If the notebook cannot be opened or served.
pub fn serve(dir: &Path, port: u16) {
    let notebook = Arc::new(Notebook::open(dir).unwrap());
    let store = PairingStore::open(dir).unwrap();
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).unwrap();
    let address = listener.local_addr().unwrap();
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    std::thread::spawn(move || {
        let _ = io::stdin().read_to_end(&mut Vec::new());
        let _ = stop.send(());
    });
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .unwrap();
    // Its output may be closed already.
    let _ = writeln!(io::stdout(), "{address}");
    let print = Box::new(|event| drop(writeln!(io::stderr(), "{event:?}")));
    let stop = async move { drop(stopped.await) };
    let serving = server::serve(listener, notebook, store, Limits::default(), print, stop);
    runtime.block_on(serving).unwrap();
}

/// Pairs the notebook in the folder `device`, which is created if there is none, with the one in
/// the folder `shop`, which is served at an address.
///
/// # Panics
/// If either cannot be opened, or the shop computer cannot be reached.
pub fn pair(device: &Path, shop: &Path, address: SocketAddr) {
    drop(Notebook::open(device).unwrap());
    let [device, shop] = [device, shop].map(|dir| PairingStore::open(dir).unwrap());
    let offer = create_offer(&shop, &[address]).unwrap();
    let code = offer.link().parse().unwrap();
    holebook_sync::pair(&device, &code, "a phone", &[]).unwrap();
}

/// Syncs with the one shop computer that a notebook is paired with.
///
/// # Errors
/// As the sync itself.
///
/// # Panics
/// If it is not paired.
pub fn sync(notebook: &Notebook) -> Result<SyncReport, SyncError> {
    let store = PairingStore::open(notebook.dir()).unwrap();
    let shops = store.shops().unwrap();
    let shop = shops.first().expect("a shop computer is paired");
    let remote = LanRemote::open(&store, &shop.fingerprint, &[]).unwrap();
    sync_with(notebook, &remote, &ignore_progress)
}

/// Returns a free port of loopback that this program has not returned before. The system does not
/// give it to an outgoing connection either, so it stays free until a test listens on it.
///
/// # Panics
/// If there is none.
#[must_use]
pub fn unused_port() -> u16 {
    // Linux gives outgoing connections ports from 32768 on.
    const FIRST: u32 = 20_000;
    const PORTS: u32 = 10_000;
    static RETURNED: AtomicU32 = AtomicU32::new(0);
    let start = std::process::id().wrapping_mul(100);
    let next = || {
        let returned = RETURNED.fetch_add(1, Ordering::Relaxed);
        u16::try_from(FIRST + start.wrapping_add(returned) % PORTS).ok()
    };
    let free = |port: &u16| TcpListener::bind((Ipv4Addr::LOCALHOST, *port)).is_ok();
    let mut ports = (0..PORTS).filter_map(|_| next());
    ports.find(free).expect("a port is free")
}
