//! TLS and HTTP by hand: for requests that no device sends, and responses that no shop computer
//! sends.

use crate::TestNotebook;
use crate::http_head::{field, read_head};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::pki_types::{CertificateDer, PrivatePkcs8KeyDer, ServerName, UnixTime};
use rustls::{
    ClientConfig, ClientConnection, DigitallySignedStruct, Error, ServerConfig, ServerConnection,
    SignatureScheme, StreamOwned, crypto,
};
use std::io::{self, Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::time::Duration;

/// A connection to a server with any key.
pub struct RawTls(pub StreamOwned<ClientConnection, TcpStream>);

/// A response.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawResponse {
    /// HTTP status code.
    pub status: u16,
    /// Everything before the body, as text.
    pub head: String,
    /// The body.
    pub body: Vec<u8>,
}

impl RawTls {
    /// Connects by TCP; the handshake begins with the first request.
    ///
    /// # Panics
    /// If the server does not listen.
    #[must_use]
    pub fn connect(address: SocketAddr) -> Self {
        let config =
            ClientConfig::builder_with_provider(Arc::new(crypto::ring::default_provider()))
                .with_protocol_versions(&[&rustls::version::TLS13])
                .unwrap()
                .dangerous()
                .with_custom_certificate_verifier(Arc::new(AnyKey))
                .with_no_client_auth();
        let name = ServerName::IpAddress(Ipv4Addr::LOCALHOST.into());
        let tls = ClientConnection::new(Arc::new(config), name).unwrap();
        let tcp = TcpStream::connect(address).unwrap();
        tcp.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        Self(StreamOwned::new(tls, tcp))
    }

    /// Sends bytes as they are, and reads one response.
    ///
    /// # Errors
    /// If the connection breaks.
    pub fn send(&mut self, bytes: &[u8]) -> io::Result<RawResponse> {
        self.0.write_all(bytes)?;
        self.0.flush()?;
        self.response()
    }

    /// Reads one response.
    ///
    /// # Errors
    /// If the connection breaks.
    ///
    /// # Panics
    /// If it is not HTTP.
    pub fn response(&mut self) -> io::Result<RawResponse> {
        let head = read_head(&mut self.0)?;
        let status = head[9..12].parse().unwrap();
        let length = field(&head, "content-length").map_or(0, |length| length.parse().unwrap());
        let mut body = vec![0; length];
        self.0.read_exact(&mut body)?;
        Ok(RawResponse { status, head, body })
    }
}

/// A request without a body.
#[must_use]
pub fn request(method: &str, path: &str, token: Option<&str>) -> String {
    let authorization = token.map_or(String::new(), |token| {
        format!("Authorization: Bearer {token}\r\n")
    });
    format!("{method} {path} HTTP/1.1\r\nHost: x\r\n{authorization}\r\n")
}

/// A request with a body.
#[must_use]
pub fn request_with_body(method: &str, path: &str, token: Option<&str>, body: &[u8]) -> Vec<u8> {
    let head = request(method, path, token);
    let head = head.replacen(
        "\r\n",
        &format!("\r\nContent-Length: {}\r\n", body.len()),
        1,
    );
    [head.as_bytes(), body].concat()
}

/// The token of a device that is paired with one shop computer, as the device sends it.
///
/// # Panics
/// If it is not paired.
#[must_use]
pub fn token(device: &TestNotebook) -> String {
    let conn = rusqlite::Connection::open(device.store.file()).unwrap();
    let token: Vec<u8> = conn
        .query_row("SELECT token FROM shop", [], |row| row.get(0))
        .unwrap();
    URL_SAFE_NO_PAD.encode(token)
}

/// The key and certificate of a shop computer.
fn key_and_certificate(computer: &TestNotebook) -> (Vec<u8>, Vec<u8>) {
    let conn = rusqlite::Connection::open(computer.store.file()).unwrap();
    let value = |what: &str| {
        let sql = "SELECT value FROM own WHERE what = ?1";
        conn.query_row(sql, [what], |row| row.get(0)).unwrap()
    };
    (value("key"), value("certificate"))
}

/// Starts a server with the key of `computer` that responds as `handler` says, and returns its
/// address. `handler` gets the head of a request and the stream for the response; then the
/// connection is closed.
///
/// # Panics
/// If there is no free port.
pub fn serve_with_key_of(
    computer: &TestNotebook,
    handler: impl Fn(&str, &mut dyn io::Write) -> io::Result<()> + Send + Sync + 'static,
) -> SocketAddr {
    serve_connections_with_key_of(computer, move |stream| {
        let head = read_head(stream)?;
        handler(&head, stream)
    })
}

/// The same for a server that keeps connections open: `handler` gets the head and the body of each
/// request.
///
/// # Panics
/// If there is no free port.
pub fn serve_requests_with_key_of(
    computer: &TestNotebook,
    handler: impl Fn(&str, &[u8], &mut dyn io::Write) -> io::Result<()> + Send + Sync + 'static,
) -> SocketAddr {
    serve_connections_with_key_of(computer, move |stream| {
        loop {
            let head = read_head(stream)?;
            let length = field(&head, "content-length").map_or(0, |length| length.parse().unwrap());
            let mut body = vec![0; length];
            stream.read_exact(&mut body)?;
            handler(&head, &body, stream)?;
            stream.flush()?;
        }
    })
}

type ServerStream = StreamOwned<ServerConnection, TcpStream>;

fn serve_connections_with_key_of(
    computer: &TestNotebook,
    handler: impl Fn(&mut ServerStream) -> io::Result<()> + Send + Sync + 'static,
) -> SocketAddr {
    // Creates the key if it has none yet.
    computer.store.fingerprint().unwrap();
    let (key, certificate) = key_and_certificate(computer);
    let config = ServerConfig::builder_with_provider(Arc::new(crypto::ring::default_provider()))
        .with_protocol_versions(&[&rustls::version::TLS13])
        .unwrap()
        .with_no_client_auth()
        .with_single_cert(
            vec![certificate.into()],
            PrivatePkcs8KeyDer::from(key).into(),
        )
        .unwrap();
    let (config, handler) = (Arc::new(config), Arc::new(handler));
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    let address = listener.local_addr().unwrap();
    std::thread::spawn(move || {
        for tcp in listener.incoming() {
            let (config, handler) = (config.clone(), handler.clone());
            std::thread::spawn(move || {
                let tls = ServerConnection::new(config).unwrap();
                let mut stream = StreamOwned::new(tls, tcp.unwrap());
                let _ = handler(&mut stream);
                stream.conn.send_close_notify();
                let _ = stream.flush();
            });
        }
    });
    address
}

#[derive(Debug)]
struct AnyKey;

impl ServerCertVerifier for AnyKey {
    fn verify_server_cert(
        &self,
        _: &CertificateDer<'_>,
        _: &[CertificateDer<'_>],
        _: &ServerName<'_>,
        _: &[u8],
        _: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        Ok(ServerCertVerified::assertion())
    }

    fn verify_tls12_signature(
        &self,
        _: &[u8],
        _: &CertificateDer<'_>,
        _: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        unreachable!("only TLS 1.3 is enabled")
    }

    fn verify_tls13_signature(
        &self,
        _: &[u8],
        _: &CertificateDer<'_>,
        _: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        Ok(HandshakeSignatureValid::assertion())
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        vec![SignatureScheme::ECDSA_NISTP256_SHA256]
    }
}
