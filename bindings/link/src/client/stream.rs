//! A TCP stream on which no wait is longer than it may be.

use std::io::{self, ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// A stream whose every read and write ends by a moment that is set.
#[derive(Debug)]
pub(super) struct Timed {
    stream: TcpStream,
    until: Instant,
}

impl Timed {
    pub fn new(stream: TcpStream, patience: Duration) -> Self {
        let until = Instant::now() + patience;
        Self { stream, until }
    }

    /// Lets what follows take so long altogether.
    pub fn give(&mut self, patience: Duration) {
        self.until = Instant::now() + patience;
    }

    /// Whether the other end has neither closed nor sent anything that was not asked for.
    pub fn is_quiet(&self) -> bool {
        let peeked = self
            .stream
            .set_nonblocking(true)
            .and_then(|()| self.stream.peek(&mut [0]));
        let quiet = matches!(peeked, Err(error) if error.kind() == ErrorKind::WouldBlock);
        self.stream.set_nonblocking(false).is_ok() && quiet
    }

    fn left(&self) -> io::Result<Option<Duration>> {
        let left = self.until.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return Err(ErrorKind::TimedOut.into());
        }
        Ok(Some(left))
    }
}

impl Read for Timed {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.stream.set_read_timeout(self.left()?)?;
        self.stream.read(into).map_err(plain)
    }
}

impl Write for Timed {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.stream.set_write_timeout(self.left()?)?;
        self.stream.write(bytes).map_err(plain)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.stream.flush()
    }
}

/// Some systems say that a wait was over as if the stream did not block.
fn plain(error: io::Error) -> io::Error {
    match error.kind() {
        ErrorKind::WouldBlock => ErrorKind::TimedOut.into(),
        _ => error,
    }
}
