//! A TCP stream with a deadline.

use std::io::{self, ErrorKind, Read, Write};
use std::net::TcpStream;
use std::sync::{Arc, Weak};
use std::time::{Duration, Instant};

/// A blocking TCP stream whose reads and writes fail with `TimedOut` at the deadline.
#[derive(Debug)]
pub(super) struct TimeoutStream {
    stream: Arc<TcpStream>,
    deadline: Instant,
}

impl TimeoutStream {
    pub fn new(stream: TcpStream, timeout: Duration) -> Self {
        let deadline = Instant::now() + timeout;
        Self {
            stream: Arc::new(stream),
            deadline,
        }
    }

    /// Returns the socket, so that another thread can close the connection.
    pub fn socket(&self) -> Weak<TcpStream> {
        Arc::downgrade(&self.stream)
    }

    /// Sets the deadline of all following reads and writes together to `timeout` from now.
    pub fn set_timeout(&mut self, timeout: Duration) {
        self.deadline = Instant::now() + timeout;
    }

    /// Returns whether the connection is open and has no unread bytes, so that it can be reused.
    pub fn is_idle(&self) -> bool {
        let peeked = self
            .stream
            .set_nonblocking(true)
            .and_then(|()| self.stream.peek(&mut [0]));
        let idle = matches!(peeked, Err(error) if error.kind() == ErrorKind::WouldBlock);
        self.stream.set_nonblocking(false).is_ok() && idle
    }

    fn remaining(&self) -> io::Result<Option<Duration>> {
        let remaining = self.deadline.saturating_duration_since(Instant::now());
        if remaining.is_zero() {
            return Err(ErrorKind::TimedOut.into());
        }
        Ok(Some(remaining))
    }
}

impl Read for TimeoutStream {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        self.stream.set_read_timeout(self.remaining()?)?;
        (&*self.stream).read(buffer).map_err(normalize_timeout)
    }
}

impl Write for TimeoutStream {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.stream.set_write_timeout(self.remaining()?)?;
        (&*self.stream).write(bytes).map_err(normalize_timeout)
    }

    fn flush(&mut self) -> io::Result<()> {
        (&*self.stream).flush()
    }
}

/// Converts `WouldBlock`, which some systems report for a timeout, to `TimedOut`.
fn normalize_timeout(error: io::Error) -> io::Error {
    match error.kind() {
        ErrorKind::WouldBlock => ErrorKind::TimedOut.into(),
        _ => error,
    }
}
