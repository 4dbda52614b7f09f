//! A TCP proxy that counts bytes and cuts connections where the test says.

use std::io::{Read as _, Write as _};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;

/// Passes on what comes to it, in both directions.
pub struct Proxy {
    pub address: SocketAddr,
    state: Arc<State>,
}

struct State {
    to: SocketAddr,
    passed: AtomicU64,
    /// When so many bytes have passed, the connection that they pass on is cut, and each that comes then.
    cut_at: AtomicU64,
}

impl Proxy {
    pub fn before(to: SocketAddr) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let address = listener.local_addr().unwrap();
        let state = Arc::new(State {
            to,
            passed: AtomicU64::new(0),
            cut_at: AtomicU64::new(u64::MAX),
        });
        let accepting = state.clone();
        thread::spawn(move || {
            for stream in listener.incoming() {
                let (Ok(here), Ok(there)) = (stream, TcpStream::connect(accepting.to)) else {
                    continue;
                };
                let pairs = [
                    (here.try_clone().unwrap(), there.try_clone().unwrap()),
                    (there, here),
                ];
                for (from, into) in pairs {
                    let state = accepting.clone();
                    thread::spawn(move || pass(&state, from, into));
                }
            }
        });
        Self { address, state }
    }

    /// How many bytes have passed, both ways.
    pub fn passed(&self) -> u64 {
        self.state.passed.load(Ordering::SeqCst)
    }

    /// Cuts when so many more bytes have passed.
    pub fn cut_after(&self, bytes: u64) {
        let at = self.passed().saturating_add(bytes);
        self.state.cut_at.store(at, Ordering::SeqCst);
    }

    pub fn mend(&self) {
        self.state.cut_at.store(u64::MAX, Ordering::SeqCst);
    }
}

fn pass(state: &State, mut from: TcpStream, mut into: TcpStream) {
    let mut piece = [0; 16 << 10];
    while let Ok(read @ 1..) = from.read(&mut piece) {
        let before = state.passed.fetch_add(read as u64, Ordering::SeqCst);
        let left = state.cut_at.load(Ordering::SeqCst).saturating_sub(before);
        let whole = left >= read as u64;
        let sent = if whole { read } else { left as usize };
        if into.write_all(&piece[..sent]).is_err() || !whole {
            break;
        }
    }
    let _ = from.shutdown(Shutdown::Both);
    let _ = into.shutdown(Shutdown::Both);
}
