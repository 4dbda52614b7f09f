//! Asking the other end: one request, one answer.

use super::carry::{Carrier, NoNames};
use super::reach::{Miss, plain};
use crate::http::{limited, plainly};
use crate::wire::SMALL_BYTES;
use std::io::{self, Read as _};
use std::time::Duration;
use ureq::http::{Request, Response, header};
use ureq::{Agent, AsSendBody, Body, Error};

/// How long the other end may take to work on what it got before it answers.
const ANSWER: Duration = Duration::from_secs(120);
/// How long it may take to say that it wants to have what was announced.
const GO_ON: Duration = Duration::from_secs(10);
/// What its header fields may have together, in bytes.
const HEADERS: usize = 16 << 10;
/// The longest sentence of the other end that is shown, in letters.
const SENTENCE: usize = 300;

/// Where requests are addressed to; the carrier knows the true place.
const HOST: &str = "https://shelf.invalid";

/// Asks one other end.
#[derive(Debug)]
pub(super) struct Asker {
    agent: Agent,
    pub carrier: Carrier,
    /// The value of the `Authorization` field.
    authority: Option<String>,
}

/// Why there was no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum Silence {
    /// The other end was not reached.
    #[error(transparent)]
    Miss(#[from] Miss),
    /// The connection broke, or what came was no answer.
    #[error("{0}")]
    Broke(String),
}

impl Asker {
    pub fn new(carrier: Carrier, token: Option<&crate::secret::Token>) -> Self {
        let config = plainly()
            .max_response_header_size(HEADERS)
            .timeout_await_100(Some(GO_ON))
            .timeout_recv_response(Some(ANSWER))
            .build();
        Self {
            agent: Agent::with_parts(config, carrier.clone(), NoNames),
            carrier,
            authority: token.map(|token| format!("Bearer {}", token.text())),
        }
    }

    /// Asks `method path`, with header fields and a body.
    pub fn ask(
        &self,
        (method, path): (&str, &str),
        fields: &[(header::HeaderName, String)],
        body: impl AsSendBody,
    ) -> Result<Response<Body>, Silence> {
        let mut request = Request::builder()
            .method(method)
            .uri(format!("{HOST}{path}"));
        if let Some(authority) = &self.authority {
            request = request.header(header::AUTHORIZATION, authority);
        }
        for (name, value) in fields {
            request = request.header(name, value);
        }
        let request = request.body(body).map_err(|error| broke(&error))?;
        self.agent.run(request).map_err(silence)
    }
}

fn broke(error: &dyn std::error::Error) -> Silence {
    Silence::Broke(error.to_string())
}

fn silence(error: Error) -> Silence {
    match error {
        Error::Other(inner) => match inner.downcast::<Miss>() {
            Ok(miss) => Silence::Miss(*miss),
            Err(other) => broke(&*other),
        },
        Error::Io(error) => Silence::Broke(plain(&error)),
        Error::Timeout(_) => Silence::Broke("no answer in time".to_owned()),
        error => broke(&error),
    }
}

/// What the other end says, in one line fit to be shown.
pub(super) fn sentence(response: &mut Response<Body>) -> String {
    let mut bytes = Vec::new();
    // A sentence that breaks off is shown as far as it came.
    let _ = limited(response, SMALL_BYTES).read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes);
    let plain: String = text
        .chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .take(SENTENCE)
        .collect();
    plain.trim().to_owned()
}

/// All of an answer's body, which may have so many bytes.
pub(super) fn whole(response: &mut Response<Body>, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    limited(response, most + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most {
        return Err(io::Error::other("it sent more than was asked for"));
    }
    Ok(bytes)
}
