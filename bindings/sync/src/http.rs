//! HTTP client settings shared by the LAN and bucket clients: no redirects, no proxies, and error
//! messages for people.

use std::io::{self, Read};
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

/// Returns a reader of at most `max_bytes` of the response's body.
pub fn limited_body(response: &mut Response<Body>, max_bytes: u64) -> impl Read {
    // The client's own limit would report a different error.
    let reader = response.body_mut().with_config().limit(u64::MAX).reader();
    reader.take(max_bytes)
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
