//! What every client of a shelf has in common, the shop computer's here and those of buckets elsewhere: it asks as told and follows
//! nothing, and each failure is a sentence.

use std::io::{self, Read};
use ureq::config::ConfigBuilder;
use ureq::http::Response;
use ureq::typestate::AgentScope;
use ureq::{Agent, Body};

/// Connections that are kept for the next request; photos go over several at once.
const KEPT: usize = 8;

/// An agent that asks what it is told and nothing else: no redirect is followed, no proxy looked for, no field added. Whatever the
/// answer's status, it is an answer.
#[must_use]
pub fn plainly() -> ConfigBuilder<AgentScope> {
    Agent::config_builder()
        .http_status_as_error(false)
        .max_redirects(0)
        .max_redirects_will_error(false)
        .proxy(None)
        .user_agent("")
        .accept("")
        .accept_encoding("")
        .max_idle_connections(KEPT)
        .max_idle_connections_per_host(KEPT)
}

/// At most so many bytes of an answer's body.
pub fn limited(response: &mut Response<Body>, most: u64) -> impl Read {
    // The client's own limit would be an error of another kind.
    let reader = response.body_mut().with_config().limit(u64::MAX).reader();
    reader.take(most)
}

/// What the system said, in words where they are plainer.
#[must_use]
pub fn plain(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::ConnectionRefused => "nothing listens there".to_owned(),
        io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock => "no answer in time".to_owned(),
        io::ErrorKind::UnexpectedEof
        | io::ErrorKind::ConnectionReset
        | io::ErrorKind::ConnectionAborted
        | io::ErrorKind::BrokenPipe => "the connection broke off".to_owned(),
        _ => error.to_string(),
    }
}

/// A body that can be read once only. It remembers whether it was asked, for else it may still be sent again, and how it failed.
pub struct Once<'a> {
    from: &'a mut dyn Read,
    touched: bool,
    failed: Option<io::Error>,
}

impl<'a> Once<'a> {
    /// Of a reader that nobody has read from.
    pub fn new(from: &'a mut dyn Read) -> Self {
        Self {
            from,
            touched: false,
            failed: None,
        }
    }

    /// Whether some of it may be gone.
    #[must_use]
    pub fn is_touched(&self) -> bool {
        self.touched
    }

    /// Why it could not be read, where that was so: what the client says of it is less.
    pub fn failed(&mut self) -> Option<io::Error> {
        self.failed.take()
    }
}

impl Read for Once<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.touched = true;
        self.from.read(into).map_err(|error| {
            let kind = error.kind();
            self.failed = Some(error);
            kind.into()
        })
    }
}
