//! HTTP client of one shop computer.

use super::connect::{ConnectError, connection_error_text};
use super::transport::{NoDns, PinnedConnector};
use crate::http::{agent_config, limited_body};
use crate::wire::MAX_SMALL_BYTES;
use std::io::{self, Read as _};
use std::time::Duration;
use ureq::http::{Request, Response, header};
use ureq::{Agent, AsSendBody, Body, Error};

/// Timeout for the response after the request was sent; the server may first write to a slow disk.
const RESPONSE_TIMEOUT: Duration = Duration::from_secs(120);
/// How long to wait for `100 Continue` before the body is sent anyway.
const CONTINUE_TIMEOUT: Duration = Duration::from_secs(10);
/// The most bytes of response headers.
const MAX_HEADER_BYTES: usize = 16 << 10;
/// The most characters of an error sentence from the server that are shown.
const MAX_SENTENCE_CHARS: usize = 300;

/// Placeholder origin of every request: the connector chooses the address.
const ORIGIN: &str = "https://shop.invalid";

/// Sends requests to one shop computer.
#[derive(Debug)]
pub(super) struct HttpClient {
    agent: Agent,
    pub connector: PinnedConnector,
    /// The value of the `Authorization` header.
    authorization: Option<String>,
}

/// Why a request got no response.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum RequestError {
    /// No connection to the right computer could be opened.
    #[error(transparent)]
    Connect(#[from] ConnectError),
    /// The connection was lost, or the response is not valid HTTP.
    #[error("{0}")]
    Failed(String),
}

impl HttpClient {
    pub fn new(connector: PinnedConnector, token: Option<&crate::secret::Token>) -> Self {
        let config = agent_config()
            .max_response_header_size(MAX_HEADER_BYTES)
            .timeout_await_100(Some(CONTINUE_TIMEOUT))
            .timeout_recv_response(Some(RESPONSE_TIMEOUT))
            .build();
        Self {
            agent: Agent::with_parts(config, connector.clone(), NoDns),
            connector,
            authorization: token.map(|token| format!("Bearer {}", token.to_text())),
        }
    }

    /// Ends requests that wait, and those to come, since the sync was canceled.
    pub fn interrupt(&self) {
        self.connector.interrupt.set(&self.agent);
    }

    /// Sends a request with the given headers and body, and returns the response whatever its
    /// status.
    ///
    /// # Errors
    /// If no connection can be opened or it is lost, or the response is late or not valid.
    pub fn request(
        &self,
        (method, path): (&str, &str),
        headers: &[(header::HeaderName, String)],
        body: impl AsSendBody,
    ) -> Result<Response<Body>, RequestError> {
        let mut request = Request::builder()
            .method(method)
            .uri(format!("{ORIGIN}{path}"));
        if let Some(authority) = &self.authorization {
            request = request.header(header::AUTHORIZATION, authority);
        }
        for (name, value) in headers {
            request = request.header(name, value);
        }
        let request = request.body(body).map_err(|error| failed(&error))?;
        self.agent.run(request).map_err(request_error)
    }
}

fn failed(error: &dyn std::error::Error) -> RequestError {
    RequestError::Failed(error.to_string())
}

fn request_error(error: Error) -> RequestError {
    match error {
        Error::Other(inner) => match inner.downcast::<ConnectError>() {
            Ok(miss) => RequestError::Connect(*miss),
            Err(other) => failed(&*other),
        },
        Error::Io(error) => RequestError::Failed(connection_error_text(&error)),
        Error::Timeout(_) => RequestError::Failed("no answer in time".to_owned()),
        error => failed(&error),
    }
}

/// Returns the error sentence in the response's body, as one line without control characters.
pub(super) fn error_sentence(response: &mut Response<Body>) -> String {
    let mut bytes = Vec::new();
    // If the connection is lost, what arrived of the sentence is still useful.
    let _ = limited_body(response, MAX_SMALL_BYTES).read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes);
    let line: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(MAX_SENTENCE_CHARS)
        .collect();
    line.trim().to_owned()
}

/// Reads the whole body of a response.
///
/// # Errors
/// If it cannot be read, or is longer than `max_bytes`.
pub(super) fn read_body(response: &mut Response<Body>, max_bytes: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    limited_body(response, max_bytes + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > max_bytes {
        return Err(io::Error::other("the response is too long"));
    }
    Ok(bytes)
}
