//! A TCP proxy that counts bytes, and cuts or holds connections when the test says.

use std::io::{self, Read as _, Write as _};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::Duration;

const POLL: Duration = Duration::from_millis(2);

/// A proxy on loopback. It forwards in both directions until the test's program ends.
pub struct Proxy {
    /// Where it listens.
    pub address: SocketAddr,
    state: Arc<State>,
}

struct State {
    to: SocketAddr,
    received: AtomicU64,
    /// When that many bytes were received, their connection is cut, and every later one.
    cut_at: AtomicU64,
    /// When that many bytes were received, nothing is forwarded until [`Proxy::restore`].
    hold_at: AtomicU64,
}

impl Proxy {
    /// Starts a proxy that forwards to an address.
    ///
    /// # Panics
    /// If there is no free port.
    #[must_use]
    pub fn to(to: SocketAddr) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let address = listener.local_addr().unwrap();
        let state = Arc::new(State {
            to,
            received: AtomicU64::new(0),
            cut_at: AtomicU64::new(u64::MAX),
            hold_at: AtomicU64::new(u64::MAX),
        });
        let accepting = state.clone();
        thread::spawn(move || {
            for client in listener.incoming() {
                // If the server does not listen, the client's connection is closed.
                let _ = client.and_then(|client| connect(&accepting, client));
            }
        });
        Self { address, state }
    }

    /// How many bytes it has received, from both sides.
    #[must_use]
    pub fn bytes(&self) -> u64 {
        self.state.received.load(Ordering::SeqCst)
    }

    /// Cuts after that many more bytes.
    pub fn cut_after(&self, bytes: u64) {
        let at = self.bytes().saturating_add(bytes);
        self.state.cut_at.store(at, Ordering::SeqCst);
    }

    /// Holds everything back after that many more bytes.
    pub fn hold_after(&self, bytes: u64) {
        let at = self.bytes().saturating_add(bytes);
        self.state.hold_at.store(at, Ordering::SeqCst);
    }

    /// Waits until it holds everything back.
    pub fn wait_until_held(&self) {
        while self.bytes() < self.state.hold_at.load(Ordering::SeqCst) {
            thread::sleep(POLL);
        }
    }

    /// Forwards everything again.
    pub fn restore(&self) {
        self.state.cut_at.store(u64::MAX, Ordering::SeqCst);
        self.state.hold_at.store(u64::MAX, Ordering::SeqCst);
    }
}

/// Connects a client with the server.
fn connect(state: &Arc<State>, client: TcpStream) -> io::Result<()> {
    let server = TcpStream::connect(state.to)?;
    // A wire does not wait for acknowledgments.
    client.set_nodelay(true)?;
    server.set_nodelay(true)?;
    let directions = [(client.try_clone()?, server.try_clone()?), (server, client)];
    for (from, into) in directions {
        let state = state.clone();
        thread::spawn(move || forward(&state, from, into));
    }
    Ok(())
}

fn forward(state: &State, mut from: TcpStream, mut into: TcpStream) {
    let mut buffer = [0; 16 << 10];
    while let Ok(read @ 1..) = from.read(&mut buffer) {
        let before = state.received.fetch_add(read as u64, Ordering::SeqCst);
        while before + read as u64 >= state.hold_at.load(Ordering::SeqCst) {
            thread::sleep(POLL);
        }
        let left = state.cut_at.load(Ordering::SeqCst).saturating_sub(before);
        let complete = left >= read as u64;
        let sent = if complete { read } else { left as usize };
        if into.write_all(&buffer[..sent]).is_err() || !complete {
            break;
        }
    }
    let _ = from.shutdown(Shutdown::Both);
    let _ = into.shutdown(Shutdown::Both);
}
