//! HTTP client for stores: one request and one response, with timeouts and retries.

use super::address::BaseUrl;
use super::connector::{InterruptibleConnector, InterruptibleResolver};
use super::error::BucketError;
use super::response::is_busy;
use super::store_error::ErrorContext;
use crate::http::{SendOnce, agent_config, io_error_text, send_timeout};
use crate::interrupt::{Interrupt, POLL_INTERVAL};
use holebook_core::sync::SyncError;
use std::io;
use std::sync::Arc;
use std::thread::sleep;
use std::time::{Duration, Instant};
use ureq::config::Config;
use ureq::http::request::Builder;
use ureq::http::{Request, Response};
use ureq::tls::{RootCerts, TlsConfig};
use ureq::unversioned::transport::{Connector as _, RustlsConnector};
use ureq::{Agent, AsSendBody, Body, Error, SendBody};

/// Timeout for connecting, including the TLS handshake.
const CONNECT_TIMEOUT: Duration = Duration::from_secs(10);
/// Timeout for a read or write without progress.
const IO_TIMEOUT: Duration = Duration::from_secs(30);
/// Timeout for the response after the request was sent.
const RESPONSE_TIMEOUT: Duration = Duration::from_secs(60);
/// How long to wait for `100 Continue`; then the body is sent anyway.
const CONTINUE_TIMEOUT: Duration = Duration::from_secs(2);
/// The most bytes of a response's header fields.
const MAX_HEADER_BYTES: usize = 32 << 10;
/// The delay before each retry.
const RETRY_DELAYS: [Duration; 3] = [
    Duration::from_millis(200),
    Duration::from_millis(800),
    Duration::from_secs(2),
];
/// No retry starts later than this after the first attempt.
const RETRY_TIMEOUT: Duration = Duration::from_secs(20);
/// Timeout of a request whose result is ignored.
const CLEANUP_TIMEOUT: Duration = Duration::from_secs(2);
/// Header fields.
pub type Headers = Vec<(&'static str, String)>;

/// The body of a request.
pub enum RequestBody<'a, 'r> {
    /// Bytes in memory.
    Bytes(&'a [u8]),
    /// This many bytes from a reader, which can be read only once.
    Stream(&'a mut SendOnce<'r>, u64),
}

/// A client for one host.
pub struct HttpClient {
    agent: Agent,
    origin: String,
    /// The remote's name, and the kind of store that it should be.
    remote: String,
    kind: &'static str,
    interrupt: Interrupt,
}

/// Why there was no response.
enum RequestError {
    /// No response, or the connection broke: a retry may succeed.
    Retryable(String),
    /// A retry would fail the same way.
    Fatal(SyncError),
}

impl HttpClient {
    pub fn new(url: &BaseUrl, remote: String, kind: &'static str) -> Self {
        let tls = TlsConfig::builder()
            .root_certs(RootCerts::PlatformVerifier)
            .unversioned_rustls_crypto_provider(Arc::new(rustls::crypto::ring::default_provider()))
            .build();
        let config = agent_config()
            .tls_config(tls)
            .allow_non_standard_methods(true)
            .max_response_header_size(MAX_HEADER_BYTES)
            .timeout_connect(Some(CONNECT_TIMEOUT))
            .timeout_await_100(Some(CONTINUE_TIMEOUT))
            .timeout_recv_response(Some(RESPONSE_TIMEOUT))
            .timeout_per_read(Some(IO_TIMEOUT))
            .timeout_per_write(Some(IO_TIMEOUT))
            .build();
        let interrupt = Interrupt::default();
        Self {
            agent: new_agent(config, &interrupt),
            origin: url.origin(),
            remote,
            kind,
            interrupt,
        }
    }

    /// Ends requests that wait, and those to come, since the sync was canceled.
    pub fn interrupt(&self) {
        self.interrupt.set(&self.agent);
    }

    /// Sends a request, and retries a few times if the connection breaks or the store is busy.
    /// `headers` is called for each attempt, since signatures depend on the time.
    ///
    /// # Errors
    /// If there is no response, the certificate is not valid, or the sync was canceled.
    pub fn send(
        &self,
        (method, path): (&str, &str),
        headers: impl Fn() -> Headers,
        mut body: RequestBody<'_, '_>,
    ) -> Result<Response<Body>, SyncError> {
        let since = Instant::now();
        let mut delays = RETRY_DELAYS.iter();
        loop {
            self.check_canceled()?;
            let response = self.send_once((method, path), headers(), &mut body);
            let is_retryable = match &response {
                Ok(response) => is_busy(response.status().as_u16()),
                Err(RequestError::Retryable(_)) => true,
                Err(RequestError::Fatal(_)) => false,
            };
            let delay = delays
                .next()
                .filter(|_| is_retryable && body.can_retry() && since.elapsed() < RETRY_TIMEOUT);
            match (delay, response) {
                (Some(delay), _) => self.wait(*delay)?,
                (None, Ok(response)) => return Ok(response),
                (None, Err(RequestError::Fatal(error))) => return Err(error),
                (None, Err(RequestError::Retryable(detail))) => {
                    return Err(self.error_context(None).unreachable(detail));
                }
            }
        }
    }

    fn send_once(
        &self,
        (method, path): (&str, &str),
        headers: Headers,
        body: &mut RequestBody<'_, '_>,
    ) -> Result<Response<Body>, RequestError> {
        let mut request = Request::builder()
            .method(method)
            .uri(format!("{}{path}", self.origin));
        for (name, value) in headers {
            request = request.header(name, value);
        }
        if let RequestBody::Stream(_, bytes) = body {
            request = request.header("content-length", bytes.to_string());
        }
        if body.is_large() {
            // A refusal then costs no upload, and its response is read.
            request = request.header("expect", "100-continue");
        }
        let timeout = send_timeout(body.bytes());
        let response = match body {
            RequestBody::Bytes([]) => self.run(self.finish_request(request.body(()))?, timeout),
            RequestBody::Bytes(bytes) => {
                self.run(self.finish_request(request.body(&**bytes))?, timeout)
            }
            RequestBody::Stream(from, _) => {
                let body = SendBody::from_reader(&mut **from);
                self.run(self.finish_request(request.body(body))?, timeout)
            }
        };
        response.map_err(|error| self.classify_error(error))
    }

    fn run(
        &self,
        request: Request<impl AsSendBody>,
        send_timeout: Duration,
    ) -> Result<Response<Body>, Error> {
        let request = self.agent.configure_request(request);
        self.agent
            .run(request.timeout_send_body(Some(send_timeout)).build())
    }

    fn finish_request<T>(
        &self,
        request: Result<Request<T>, ureq::http::Error>,
    ) -> Result<Request<T>, RequestError> {
        request.map_err(|error| {
            RequestError::Fatal(self.error_context(None).unreachable(error.to_string()))
        })
    }

    fn classify_error(&self, error: Error) -> RequestError {
        let certificate = |detail: String| {
            let remote = self.remote.clone();
            RequestError::Fatal(BucketError::Certificate { remote, detail }.into())
        };
        match error {
            Error::Rustls(error) => certificate_error(&error)
                .map_or_else(|| RequestError::Retryable(error.to_string()), certificate),
            Error::Io(error) => match tls_error(&error).and_then(certificate_error) {
                Some(detail) => certificate(detail),
                None => RequestError::Retryable(io_error_text(&error)),
            },
            Error::Timeout(_) => RequestError::Retryable("timeout".to_owned()),
            Error::HostNotFound => RequestError::Retryable("unknown host name".to_owned()),
            Error::ConnectionFailed => RequestError::Retryable("connection refused".to_owned()),
            error => RequestError::Retryable(error.to_string()),
        }
    }

    /// Sends a request once and ignores the result, also after an interruption. Takes two seconds at
    /// most.
    pub fn try_once(&self, (method, path): (&str, &str), headers: Headers) {
        let request = Request::builder()
            .method(method)
            .uri(format!("{}{path}", self.origin));
        let add = |request: Builder, (name, value)| request.header(name, value);
        let request = headers.into_iter().fold(request, add);
        // An interrupted agent sends nothing any more.
        let agent = new_agent(self.agent.config().clone(), &Interrupt::default());
        if let Ok(request) = request.body(()) {
            let request = agent.configure_request(request);
            let _ = agent.run(request.timeout_global(Some(CLEANUP_TIMEOUT)).build());
        }
    }

    /// The context for errors about a file, or about the whole remote.
    pub fn error_context<'a>(&'a self, file: Option<&'a str>) -> ErrorContext<'a> {
        ErrorContext {
            remote: &self.remote,
            kind: self.kind,
            file,
        }
    }

    fn check_canceled(&self) -> Result<(), SyncError> {
        match self.interrupt.is_set() {
            true => Err(SyncError::Canceled),
            false => Ok(()),
        }
    }

    fn wait(&self, delay: Duration) -> Result<(), SyncError> {
        let until = Instant::now() + delay;
        while Instant::now() < until {
            self.check_canceled()?;
            sleep(POLL_INTERVAL);
        }
        Ok(())
    }
}

fn new_agent(config: Config, interrupt: &Interrupt) -> Agent {
    let tcp = InterruptibleConnector(interrupt.clone());
    let connector = tcp.chain(RustlsConnector::default());
    Agent::with_parts(config, connector, InterruptibleResolver(interrupt.clone()))
}

impl RequestBody<'_, '_> {
    fn can_retry(&self) -> bool {
        match self {
            Self::Bytes(_) => true,
            Self::Stream(from, _) => !from.was_read(),
        }
    }

    fn bytes(&self) -> u64 {
        match self {
            Self::Bytes(bytes) => bytes.len() as u64,
            Self::Stream(_, bytes) => *bytes,
        }
    }

    fn is_large(&self) -> bool {
        match self {
            Self::Bytes(bytes) => bytes.len() > 64 << 10,
            Self::Stream(..) => true,
        }
    }
}

fn tls_error(error: &io::Error) -> Option<&rustls::Error> {
    error.get_ref()?.downcast_ref()
}

/// What is wrong with a certificate; none for other TLS errors.
fn certificate_error(error: &rustls::Error) -> Option<String> {
    use rustls::CertificateError as Flaw;
    let rustls::Error::InvalidCertificate(flaw) = error else {
        return None;
    };
    Some(match flaw {
        Flaw::UnknownIssuer => "its issuer is not trusted".to_owned(),
        Flaw::Expired | Flaw::ExpiredContext { .. } => "it has expired".to_owned(),
        Flaw::NotValidYet | Flaw::NotValidYetContext { .. } => "it is not valid yet".to_owned(),
        Flaw::NotValidForName | Flaw::NotValidForNameContext { .. } => {
            "it is for another name".to_owned()
        }
        other => other.to_string(),
    })
}
