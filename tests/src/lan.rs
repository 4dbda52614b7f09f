//! A shop computer that serves a notebook on loopback, and devices that are paired with it, for tests and benchmarks that give each
//! a process of its own.

use holebook_core::exchange::{ExchangeError, Report, exchange_over, unwatched};
use holebook_core::notebook::Notebook;
use holebook_link::server::{self, Limits};
use holebook_link::{LanShelf, Store, offer};
use std::io::{self, Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

/// Serves the notebook in a folder on a port of loopback, on any free one where it is 0; prints the address as one line, and
/// ends with the program's input.
///
/// # Panics
/// Where the notebook cannot be opened or served.
pub fn serve(dir: &Path, port: u16) {
    let notebook = Arc::new(Notebook::open(dir).expect("the notebook opens"));
    let store = Store::open(dir).expect("the pairings open");
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).expect("the port opens");
    let address = listener.local_addr().expect("the port has a number");
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    std::thread::spawn(move || {
        let _ = io::stdin().read_to_end(&mut Vec::new());
        let _ = stop.send(());
    });
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .expect("the system gives threads");
    // Nobody is left to hear it where the output is shut.
    let _ = writeln!(io::stdout(), "{address}");
    let told = Box::new(|event| drop(writeln!(io::stderr(), "{event:?}")));
    let stop = async move { drop(stopped.await) };
    let serving = server::serve(listener, notebook, store, Limits::default(), told, stop);
    runtime.block_on(serving).expect("the notebook is served");
}

/// Pairs the notebook in the folder `device`, which is made where there is none, with the one in the folder `shop`, which is served at
/// an address.
///
/// # Panics
/// Where either cannot be opened, or the shop computer is not reached.
pub fn pair(device: &Path, shop: &Path, address: SocketAddr) {
    drop(Notebook::open(device).expect("the notebook opens"));
    let [device, shop] = [device, shop].map(|dir| Store::open(dir).expect("the pairings open"));
    let offer = offer(&shop, &[address]).expect("a code is made");
    let code = offer.link().parse().expect("the code can be read");
    holebook_link::pair(&device, &code, "a phone", &[]).expect("the device is let in");
}

/// Exchanges with the one shop computer that a notebook is paired with.
///
/// # Errors
/// As the exchange itself.
///
/// # Panics
/// Where it is paired with none.
pub fn exchange(notebook: &Notebook) -> Result<Report, ExchangeError> {
    let store = Store::open(notebook.dir()).expect("the pairings open");
    let shops = store.shops().expect("the pairings can be read");
    let shop = shops.first().expect("a shop computer is paired");
    let shelf = LanShelf::open(&store, &shop.fingerprint, &[]).expect("it is paired");
    exchange_over(notebook, &shelf, &unwatched)
}

/// A port of loopback that is free, that no connection is given by chance while nobody listens on it, and that this program gives
/// nobody else.
///
/// # Panics
/// Where there is none.
#[must_use]
pub fn quiet_port() -> u16 {
    // Linux gives connections their ports from 32768 on.
    const FIRST: u32 = 20_000;
    const PORTS: u32 = 10_000;
    static GIVEN: AtomicU32 = AtomicU32::new(0);
    let start = std::process::id().wrapping_mul(100);
    let next = || {
        let given = GIVEN.fetch_add(1, Ordering::Relaxed);
        u16::try_from(FIRST + start.wrapping_add(given) % PORTS).ok()
    };
    let free = |port: &u16| TcpListener::bind((Ipv4Addr::LOCALHOST, *port)).is_ok();
    let mut ports = (0..PORTS).filter_map(|_| next());
    ports.find(free).expect("a port is free")
}
