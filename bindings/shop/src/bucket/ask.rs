//! Asking a store over HTTP: one request and one answer, with limits on waiting and on trying again.

use super::address::Site;
use super::error::BucketError;
use super::refusal::Refusal;
use holebook_core::exchange::ExchangeError;
use holebook_link::http::{Once, limited, plain, plainly};
use std::io::{self, Read as _};
use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant};
use ureq::http::{Request, Response};
use ureq::tls::{RootCerts, TlsConfig};
use ureq::{Agent, Body, Error, SendBody};

/// How long a connection may take, and its encryption.
const CONNECT: Duration = Duration::from_secs(10);
/// How long a read or a write waits for the other end to move.
const STILL: Duration = Duration::from_secs(30);
/// How long the store may work on what it got before it answers.
const ANSWER: Duration = Duration::from_secs(60);
/// How long it may take to say that it wants what was announced; one that does not know of it gets it then.
const GO_ON: Duration = Duration::from_secs(2);
/// What the header fields of an answer may have together, in bytes.
const HEADERS: usize = 32 << 10;
/// What is waited before each further try.
const PAUSES: [Duration; 3] = [
    Duration::from_millis(200),
    Duration::from_millis(800),
    Duration::from_secs(2),
];
/// How long a pause goes on before it is seen again whether to end.
const GLANCE: Duration = Duration::from_millis(50);
/// After so long nothing is tried again: whoever waits wants to know.
const PATIENCE: Duration = Duration::from_secs(20);
/// The most bytes of an answer that says why not.
const REASON: u64 = 64 << 10;

/// Header fields.
pub type Fields = Vec<(&'static str, String)>;

/// What is sent along.
pub enum Sent<'a, 'r> {
    /// Bytes that are here.
    Bytes(&'a [u8]),
    /// So many bytes that are read as they go; they can be read once only.
    Stream(&'a mut Once<'r>, u64),
}

/// Asks one host.
pub struct Asker<'w> {
    agent: Agent,
    origin: String,
    /// The shelf's name, and what it should be.
    shelf: String,
    kind: &'static str,
    ended: &'w Ended<'w>,
}

/// Says whether whoever watches wants it to end.
pub type Ended<'w> = dyn Fn() -> bool + Sync + 'w;

/// Why there was no answer.
enum Silence {
    /// Nobody answered, or the connection broke: another try may do.
    Broke(String),
    /// Another try would end the same.
    For(ExchangeError),
}

impl<'w> Asker<'w> {
    pub fn new(site: &Site, shelf: String, kind: &'static str, ended: &'w Ended<'w>) -> Self {
        let tls = TlsConfig::builder()
            .root_certs(RootCerts::PlatformVerifier)
            .unversioned_rustls_crypto_provider(Arc::new(rustls::crypto::ring::default_provider()))
            .build();
        let config = plainly()
            .tls_config(tls)
            .allow_non_standard_methods(true)
            .max_response_header_size(HEADERS)
            .timeout_connect(Some(CONNECT))
            .timeout_await_100(Some(GO_ON))
            .timeout_recv_response(Some(ANSWER))
            .timeout_per_read(Some(STILL))
            .timeout_per_write(Some(STILL))
            .build();
        Self {
            agent: config.into(),
            origin: site.origin(),
            shelf,
            kind,
            ended,
        }
    }

    /// Asks, and asks again after a while where the connection breaks or the store is busy, a few times. `fields` is called for
    /// each try.
    ///
    /// # Errors
    /// Where nobody answers, or nobody with a good certificate, and where it was ended meanwhile.
    pub fn ask(
        &self,
        (method, path): (&str, &str),
        fields: impl Fn() -> Fields,
        mut body: Sent<'_, '_>,
    ) -> Result<Response<Body>, ExchangeError> {
        let since = Instant::now();
        let mut pauses = PAUSES.iter();
        loop {
            self.go_on()?;
            let answer = self.ask_once((method, path), fields(), &mut body);
            let again = match &answer {
                Ok(response) => is_busy(response.status().as_u16()),
                Err(Silence::Broke(_)) => true,
                Err(Silence::For(_)) => false,
            };
            let pause = pauses
                .next()
                .filter(|_| again && body.can_go_again() && since.elapsed() < PATIENCE);
            match (pause, answer) {
                (Some(pause), _) => self.wait(*pause)?,
                (None, Ok(response)) => return Ok(response),
                (None, Err(Silence::For(error))) => return Err(error),
                (None, Err(Silence::Broke(detail))) => {
                    return Err(self.says(None).unreachable(detail));
                }
            }
        }
    }

    fn ask_once(
        &self,
        (method, path): (&str, &str),
        fields: Fields,
        body: &mut Sent<'_, '_>,
    ) -> Result<Response<Body>, Silence> {
        let mut request = Request::builder()
            .method(method)
            .uri(format!("{}{path}", self.origin));
        for (name, value) in fields {
            request = request.header(name, value);
        }
        if let Sent::Stream(_, bytes) = body {
            request = request.header("content-length", bytes.to_string());
        }
        if body.is_large() {
            // So that a refusal costs nothing, and is read.
            request = request.header("expect", "100-continue");
        }
        let answer = match body {
            Sent::Bytes([]) => self.agent.run(self.built(request.body(()))?),
            Sent::Bytes(bytes) => self.agent.run(self.built(request.body(&**bytes))?),
            Sent::Stream(from, _) => self
                .agent
                .run(self.built(request.body(SendBody::from_reader(&mut **from)))?),
        };
        answer.map_err(|error| self.silence(error))
    }

    fn built<T>(
        &self,
        request: Result<Request<T>, ureq::http::Error>,
    ) -> Result<Request<T>, Silence> {
        request.map_err(|error| Silence::For(self.says(None).unreachable(error.to_string())))
    }

    fn silence(&self, error: Error) -> Silence {
        let certificate = |detail: String| {
            let shelf = self.shelf.clone();
            Silence::For(BucketError::Certificate { shelf, detail }.into())
        };
        match error {
            Error::Rustls(error) => {
                told_by_tls(&error).map_or_else(|| Silence::Broke(error.to_string()), certificate)
            }
            Error::Io(error) => match tls_within(&error).and_then(told_by_tls) {
                Some(detail) => certificate(detail),
                None => Silence::Broke(plain(&error)),
            },
            Error::Timeout(_) => Silence::Broke("no answer in time".to_owned()),
            Error::HostNotFound => Silence::Broke("no computer of that name is known".to_owned()),
            Error::ConnectionFailed => Silence::Broke("nothing listens there".to_owned()),
            error => Silence::Broke(error.to_string()),
        }
    }

    /// Asks once, for what nobody waits for.
    pub fn try_once(&self, what: (&str, &str), fields: Fields) {
        let _ = self.ask_once(what, fields, &mut Sent::Bytes(b""));
    }

    /// What it says where an answer about a file, or about the shelf, is not the one hoped for.
    pub fn says<'a>(&'a self, file: Option<&'a str>) -> Refusal<'a> {
        Refusal {
            shelf: &self.shelf,
            kind: self.kind,
            file,
        }
    }

    fn go_on(&self) -> Result<(), ExchangeError> {
        match (self.ended)() {
            true => Err(ExchangeError::Stopped),
            false => Ok(()),
        }
    }

    fn wait(&self, pause: Duration) -> Result<(), ExchangeError> {
        let until = Instant::now() + pause;
        while Instant::now() < until {
            self.go_on()?;
            sleep(GLANCE);
        }
        Ok(())
    }
}

impl Sent<'_, '_> {
    fn can_go_again(&self) -> bool {
        match self {
            Self::Bytes(_) => true,
            Self::Stream(from, _) => !from.is_touched(),
        }
    }

    fn is_large(&self) -> bool {
        match self {
            Self::Bytes(bytes) => bytes.len() > 64 << 10,
            Self::Stream(..) => true,
        }
    }
}

/// What an answer says of why not, as far as it came.
pub fn reason(response: &mut Response<Body>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let _ = limited(response, REASON).read_to_end(&mut bytes);
    bytes
}

/// A header field's value.
pub fn field<'a>(response: &'a Response<Body>, name: &str) -> Option<&'a str> {
    response.headers().get(name)?.to_str().ok()
}

/// Whether the same may be asked again in a while.
pub fn is_busy(status: u16) -> bool {
    matches!(status, 408 | 429 | 500 | 502 | 503 | 504)
}

fn tls_within(error: &io::Error) -> Option<&rustls::Error> {
    error.get_ref()?.downcast_ref()
}

/// What is wrong with a certificate; none where it is something else.
fn told_by_tls(error: &rustls::Error) -> Option<String> {
    use rustls::CertificateError as Wrong;
    let rustls::Error::InvalidCertificate(wrong) = error else {
        return None;
    };
    Some(match wrong {
        Wrong::UnknownIssuer => "this computer does not know who signed it".to_owned(),
        Wrong::Expired | Wrong::ExpiredContext { .. } => "its time is over".to_owned(),
        Wrong::NotValidYet | Wrong::NotValidYetContext { .. } => "its time has not come".to_owned(),
        Wrong::NotValidForName | Wrong::NotValidForNameContext { .. } => {
            "it is for another name".to_owned()
        }
        other => other.to_string(),
    })
}
