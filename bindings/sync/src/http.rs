//! HTTP client settings shared by the LAN and bucket clients: no redirects, no proxies, and error
//! messages for people.

use std::io::{self, Read};
use std::time::{Duration, Instant};
use ureq::config::ConfigBuilder;
use ureq::http::Response;
use ureq::typestate::AgentScope;
use ureq::{Agent, Body};

/// Idle connections kept for reuse; photos use several at once.
const MAX_IDLE_CONNECTIONS: usize = 8;

/// Returns the configuration of an agent that follows no redirects, uses no proxy, and adds no
/// headers. A response with an error status is returned like any other.
#[must_use]
pub fn agent_config() -> ConfigBuilder<AgentScope> {
    Agent::config_builder()
        .http_status_as_error(false)
        .max_redirects(0)
        .max_redirects_will_error(false)
        .proxy(None)
        .user_agent("")
        .accept("")
        .accept_encoding("")
        .max_idle_connections(MAX_IDLE_CONNECTIONS)
        .max_idle_connections_per_host(MAX_IDLE_CONNECTIONS)
}

/// The least rate of a body in either direction, in bytes per second. Slower than any network that is
/// of use, so that a peer that sends or takes a byte now and then does not hold a sync.
const MIN_BYTES_PER_SECOND: u64 = 4 << 10;
/// How long a body may be slower in all.
const SLOW_GRACE: Duration = Duration::from_secs(30);

/// Returns a reader of at most `max_bytes` of the response's body, which fails with `TimedOut` if the
/// body arrives too slowly.
pub fn limited_body(response: &mut Response<Body>, max_bytes: u64) -> impl Read {
    // The client's own limit would report a different error.
    let reader = response.body_mut().with_config().limit(u64::MAX).reader();
    MinRateReader::new(reader, SLOW_GRACE, MIN_BYTES_PER_SECOND).take(max_bytes)
}

/// Returns how long sending a body of `bytes` bytes may take.
#[cfg(feature = "bucket")]
pub fn send_timeout(bytes: u64) -> Duration {
    slowest(bytes, SLOW_GRACE, MIN_BYTES_PER_SECOND)
}

fn slowest(bytes: u64, grace: Duration, min_bytes_per_second: u64) -> Duration {
    grace + Duration::from_secs(bytes / min_bytes_per_second)
}

/// A reader that fails once it has waited longer for what it read than the least rate allows. Time
/// between reads does not count.
struct MinRateReader<R> {
    inner: R,
    grace: Duration,
    min_bytes_per_second: u64,
    bytes: u64,
    waited: Duration,
}

impl<R> MinRateReader<R> {
    fn new(inner: R, grace: Duration, min_bytes_per_second: u64) -> Self {
        Self {
            inner,
            grace,
            min_bytes_per_second,
            bytes: 0,
            waited: Duration::ZERO,
        }
    }
}

impl<R: Read> Read for MinRateReader<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let since = Instant::now();
        let read = self.inner.read(into)?;
        self.waited += since.elapsed();
        self.bytes += read as u64;
        if self.waited > slowest(self.bytes, self.grace, self.min_bytes_per_second) {
            return Err(io::ErrorKind::TimedOut.into());
        }
        Ok(read)
    }
}

/// Returns a message for a network error, in plain words for the common ones.
#[must_use]
pub fn io_error_text(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::ConnectionRefused => "nothing is listening there".to_owned(),
        io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock => "no answer in time".to_owned(),
        io::ErrorKind::UnexpectedEof
        | io::ErrorKind::ConnectionReset
        | io::ErrorKind::ConnectionAborted
        | io::ErrorKind::BrokenPipe => "the connection was lost".to_owned(),
        _ => error.to_string(),
    }
}

/// A request body that can be read only once. It records whether reading began, since the request
/// can be retried until then, and the error if reading failed.
pub struct SendOnce<'a> {
    reader: &'a mut dyn Read,
    started: bool,
    error: Option<io::Error>,
}

impl<'a> SendOnce<'a> {
    /// Wraps a reader that has not been read from.
    pub fn new(reader: &'a mut dyn Read) -> Self {
        Self {
            reader,
            started: false,
            error: None,
        }
    }

    /// Returns whether reading began, so that the body cannot be sent again.
    #[must_use]
    pub fn was_read(&self) -> bool {
        self.started
    }

    /// Takes the error with which reading failed. The client reports only its kind.
    pub fn take_error(&mut self) -> Option<io::Error> {
        self.error.take()
    }
}

impl Read for SendOnce<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.started = true;
        self.reader.read(into).map_err(|error| {
            let kind = error.kind();
            self.error = Some(error);
            kind.into()
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Returns one byte at a time, each after a while.
    struct Drip(Duration);

    impl Read for Drip {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            std::thread::sleep(self.0);
            into[0] = b'x';
            Ok(1)
        }
    }

    #[test]
    fn a_body_that_drips_ends_and_a_slow_one_does_not() {
        let drip = Drip(Duration::from_millis(20));
        let grace = Duration::from_millis(200);
        let since = Instant::now();
        let mut bytes = Vec::new();
        let read = MinRateReader::new(drip, grace, 1000).read_to_end(&mut bytes);
        assert_eq!(read.unwrap_err().kind(), io::ErrorKind::TimedOut);
        assert!(since.elapsed() < Duration::from_secs(10) && bytes.len() > 2);

        let slow = Drip(Duration::from_millis(20)).take(30);
        let mut bytes = Vec::new();
        MinRateReader::new(slow, grace, 1)
            .read_to_end(&mut bytes)
            .unwrap();
        assert_eq!(bytes.len(), 30);
    }
}
