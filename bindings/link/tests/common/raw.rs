//! TLS and HTTP by hand: for requests that no well-behaved device sends, and answers that no well-behaved server gives.

use super::Desk;
use super::heads::{field, head};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::pki_types::{CertificateDer, PrivatePkcs8KeyDer, ServerName, UnixTime};
use rustls::{
    ClientConfig, ClientConnection, DigitallySignedStruct, Error, ServerConfig, ServerConnection,
};
use rustls::{SignatureScheme, StreamOwned, crypto};
use std::io::{self, Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::time::Duration;

/// A connection that trusts any key.
pub struct Raw(pub StreamOwned<ClientConnection, TcpStream>);

/// An answer: its status, its head as text, its body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Raw {
    pub fn connect(address: SocketAddr) -> Self {
        let config =
            ClientConfig::builder_with_provider(Arc::new(crypto::ring::default_provider()))
                .with_protocol_versions(&[&rustls::version::TLS13])
                .unwrap()
                .dangerous()
                .with_custom_certificate_verifier(Arc::new(Anybody))
                .with_no_client_auth();
        let name = ServerName::IpAddress(Ipv4Addr::LOCALHOST.into());
        let tls = ClientConnection::new(Arc::new(config), name).unwrap();
        let tcp = TcpStream::connect(address).unwrap();
        tcp.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        Self(StreamOwned::new(tls, tcp))
    }

    /// Sends bytes as they are and reads one answer.
    pub fn ask(&mut self, bytes: &[u8]) -> io::Result<Answer> {
        self.0.write_all(bytes)?;
        self.0.flush()?;
        self.answer()
    }

    pub fn answer(&mut self) -> io::Result<Answer> {
        let head = head(&mut self.0)?;
        let status = head[9..12].parse().unwrap();
        let length = field(&head, "content-length").map_or(0, |length| length.parse().unwrap());
        let mut body = vec![0; length];
        self.0.read_exact(&mut body)?;
        Ok(Answer { status, head, body })
    }
}

/// A request without a body.
pub fn request(method: &str, path: &str, token: Option<&str>) -> String {
    let authority = token.map_or(String::new(), |token| {
        format!("Authorization: Bearer {token}\r\n")
    });
    format!("{method} {path} HTTP/1.1\r\nHost: x\r\n{authority}\r\n")
}

/// A request with a body.
pub fn with_body(method: &str, path: &str, token: Option<&str>, body: &[u8]) -> Vec<u8> {
    let head = request(method, path, token);
    let head = head.replacen(
        "\r\n",
        &format!("\r\nContent-Length: {}\r\n", body.len()),
        1,
    );
    [head.as_bytes(), body].concat()
}

/// The token that a device was given, as it shows it.
pub fn token(phone: &Desk) -> String {
    let conn = rusqlite::Connection::open(phone.store.file()).unwrap();
    let token: Vec<u8> = conn
        .query_row("SELECT token FROM shop", [], |row| row.get(0))
        .unwrap();
    URL_SAFE_NO_PAD.encode(token)
}

/// The key and certificate of a shop computer.
fn own_key(desk: &Desk) -> (Vec<u8>, Vec<u8>) {
    let conn = rusqlite::Connection::open(desk.store.file()).unwrap();
    let value = |what: &str| {
        let sql = "SELECT value FROM own WHERE what = ?1";
        conn.query_row(sql, [what], |row| row.get(0)).unwrap()
    };
    (value("key"), value("certificate"))
}

/// Serves with the right key of `desk`, but as `answering` says: it is given the head of each request and a stream to
/// answer on, and the connection is closed after it.
pub fn pretend(
    desk: &Desk,
    answering: impl Fn(&str, &mut dyn io::Write) -> io::Result<()> + Send + Sync + 'static,
) -> SocketAddr {
    let (key, certificate) = own_key(desk);
    let config = ServerConfig::builder_with_provider(Arc::new(crypto::ring::default_provider()))
        .with_protocol_versions(&[&rustls::version::TLS13])
        .unwrap()
        .with_no_client_auth()
        .with_single_cert(
            vec![certificate.into()],
            PrivatePkcs8KeyDer::from(key).into(),
        )
        .unwrap();
    let (config, answering) = (Arc::new(config), Arc::new(answering));
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    let address = listener.local_addr().unwrap();
    std::thread::spawn(move || {
        for tcp in listener.incoming() {
            let (config, answering) = (config.clone(), answering.clone());
            std::thread::spawn(move || {
                let tls = ServerConnection::new(config).unwrap();
                let mut stream = StreamOwned::new(tls, tcp.unwrap());
                if let Ok(head) = head(&mut stream) {
                    let _ = answering(&head, &mut stream);
                    stream.conn.send_close_notify();
                    let _ = stream.flush();
                }
            });
        }
    });
    address
}

#[derive(Debug)]
struct Anybody;

impl ServerCertVerifier for Anybody {
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
        unreachable!("only TLS 1.3 is spoken")
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
