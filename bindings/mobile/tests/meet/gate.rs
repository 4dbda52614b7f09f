//! A way to the shop computer that stands still where the test says.

use std::io::{Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Condvar, Mutex};
use std::thread;

/// Passes on what comes to it in both directions, until so many bytes have passed; then nothing more until it is opened.
pub struct Gate {
    pub address: SocketAddr,
    state: Arc<State>,
}

struct State {
    left: Mutex<u64>,
    changed: Condvar,
}

impl Gate {
    pub fn before(to: SocketAddr) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let address = listener.local_addr().unwrap();
        let state = Arc::new(State {
            left: Mutex::new(u64::MAX),
            changed: Condvar::new(),
        });
        let accepting = state.clone();
        thread::spawn(move || {
            for here in listener.incoming() {
                let (Ok(here), Ok(there)) = (here, TcpStream::connect(to)) else {
                    continue;
                };
                let (back, away) = (there.try_clone().unwrap(), here.try_clone().unwrap());
                for (from, into) in [(here, there), (back, away)] {
                    let state = accepting.clone();
                    thread::spawn(move || state.pass(from, into));
                }
            }
        });
        Self { address, state }
    }

    /// Stands still once so many more bytes have passed.
    pub fn close_after(&self, bytes: u64) {
        *self.state.left.lock().unwrap() = bytes;
    }

    /// Waits until it stands still.
    pub fn wait_until_closed(&self) {
        let mut left = self.state.left.lock().unwrap();
        while *left > 0 {
            left = self.state.changed.wait(left).unwrap();
        }
    }

    pub fn open(&self) {
        *self.state.left.lock().unwrap() = u64::MAX;
        self.state.changed.notify_all();
    }
}

impl State {
    fn pass(&self, mut from: TcpStream, mut into: TcpStream) {
        let mut piece = [0; 16 << 10];
        while let Ok(read @ 1..) = from.read(&mut piece) {
            let mut left = self.left.lock().unwrap();
            *left = left.saturating_sub(read as u64);
            self.changed.notify_all();
            while *left == 0 {
                left = self.changed.wait(left).unwrap();
            }
            drop(left);
            if into.write_all(&piece[..read]).is_err() {
                break;
            }
        }
        let _ = into.shutdown(std::net::Shutdown::Both);
    }
}
