//! A TCP proxy that counts bytes and cuts connections where the test says.

use std::io::{self, Read as _, Write as _};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::Duration;

/// Passes on what comes to it, in both directions, for as long as the test's program runs.
pub struct Proxy {
    /// Where it listens, on loopback.
    pub address: SocketAddr,
    state: Arc<State>,
}

struct State {
    to: SocketAddr,
    passed: AtomicU64,
    /// When so many bytes have passed, the connection that they pass on is cut, and each that comes then.
    cut_at: AtomicU64,
    /// When so many bytes have come, none goes on until it is mended.
    hold_at: AtomicU64,
}

impl Proxy {
    /// One that stands before an address.
    ///
    /// # Panics
    /// Where there is no port to listen on.
    #[must_use]
    pub fn before(to: SocketAddr) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a port is free");
        let address = listener.local_addr().expect("the port has a number");
        let state = Arc::new(State {
            to,
            passed: AtomicU64::new(0),
            cut_at: AtomicU64::new(u64::MAX),
            hold_at: AtomicU64::new(u64::MAX),
        });
        let accepting = state.clone();
        thread::spawn(move || {
            for here in listener.incoming() {
                // Where nobody listens behind it, whoever came is sent away.
                let _ = here.and_then(|here| join(&accepting, here));
            }
        });
        Self { address, state }
    }

    /// How many bytes have passed, both ways.
    #[must_use]
    pub fn passed(&self) -> u64 {
        self.state.passed.load(Ordering::SeqCst)
    }

    /// Cuts when so many more bytes have passed.
    pub fn cut_after(&self, bytes: u64) {
        let at = self.passed().saturating_add(bytes);
        self.state.cut_at.store(at, Ordering::SeqCst);
    }

    /// Stands still when so many more bytes have come.
    pub fn hold_after(&self, bytes: u64) {
        let at = self.passed().saturating_add(bytes);
        self.state.hold_at.store(at, Ordering::SeqCst);
    }

    /// Cuts and holds no more.
    pub fn mend(&self) {
        self.state.cut_at.store(u64::MAX, Ordering::SeqCst);
        self.state.hold_at.store(u64::MAX, Ordering::SeqCst);
    }
}

/// Connects whoever came with whom the proxy stands before.
fn join(state: &Arc<State>, here: TcpStream) -> io::Result<()> {
    let there = TcpStream::connect(state.to)?;
    // A wire holds nothing back until what went before is acknowledged.
    here.set_nodelay(true)?;
    there.set_nodelay(true)?;
    let pairs = [(here.try_clone()?, there.try_clone()?), (there, here)];
    for (from, into) in pairs {
        let state = state.clone();
        thread::spawn(move || pass(&state, from, into));
    }
    Ok(())
}

fn pass(state: &State, mut from: TcpStream, mut into: TcpStream) {
    let mut piece = [0; 16 << 10];
    while let Ok(read @ 1..) = from.read(&mut piece) {
        let before = state.passed.fetch_add(read as u64, Ordering::SeqCst);
        while before + read as u64 >= state.hold_at.load(Ordering::SeqCst) {
            thread::sleep(Duration::from_millis(2));
        }
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
