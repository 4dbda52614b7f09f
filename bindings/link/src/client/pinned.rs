//! TLS with a pinned key.

use crate::key::{Fingerprint, Pin};
use rustls::client::Resumption;
use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::crypto::{CryptoProvider, ring, verify_tls13_signature};
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use rustls::time_provider::TimeProvider;
use rustls::{
    CertificateError, ClientConfig, DigitallySignedStruct, Error, SignatureScheme, version,
};
use std::sync::Arc;
use std::time::Duration;

/// How a client talks to whoever has the pinned key, and to nobody else.
pub(super) fn config(pin: Pin) -> Result<Arc<ClientConfig>, Error> {
    let provider = Arc::new(ring::default_provider());
    let verifier = Pinned {
        pin,
        provider: provider.clone(),
    };
    let mut config = ClientConfig::builder_with_details(provider, Arc::new(NoClock))
        .with_protocol_versions(&[&version::TLS13])?
        .dangerous()
        .with_custom_certificate_verifier(Arc::new(verifier))
        .with_no_client_auth();
    // Names are not trusted, so none is told to whoever listens; each connection shows the key anew.
    config.enable_sni = false;
    config.resumption = Resumption::disabled();
    Ok(Arc::new(config))
}

/// No date is looked at, so that a phone whose clock is wrong by years exchanges like any other.
#[derive(Debug)]
struct NoClock;

impl TimeProvider for NoClock {
    fn current_time(&self) -> Option<UnixTime> {
        Some(UnixTime::since_unix_epoch(Duration::ZERO))
    }
}

/// Takes a certificate for the pinned key and for nothing else. Its names, dates and signature say nothing that would be
/// trusted; that the server has the key is shown by its signature on the handshake.
#[derive(Debug)]
struct Pinned {
    pin: Pin,
    provider: Arc<CryptoProvider>,
}

impl ServerCertVerifier for Pinned {
    fn verify_server_cert(
        &self,
        end_entity: &CertificateDer<'_>,
        _intermediates: &[CertificateDer<'_>],
        _server_name: &ServerName<'_>,
        _ocsp_response: &[u8],
        _now: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        let found = Fingerprint::of_certificate(end_entity)
            .ok_or(Error::InvalidCertificate(CertificateError::BadEncoding))?;
        if self.pin.is(&found) {
            Ok(ServerCertVerified::assertion())
        } else {
            Err(WRONG_KEY)
        }
    }

    fn verify_tls12_signature(
        &self,
        _message: &[u8],
        _cert: &CertificateDer<'_>,
        _dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        // Only TLS 1.3 is spoken.
        Err(Error::PeerIncompatible(
            rustls::PeerIncompatible::ServerTlsVersionIsDisabledByOurConfig,
        ))
    }

    fn verify_tls13_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let algorithms = &self.provider.signature_verification_algorithms;
        verify_tls13_signature(message, cert, dss, algorithms)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.provider
            .signature_verification_algorithms
            .supported_schemes()
    }
}

const WRONG_KEY: Error =
    Error::InvalidCertificate(CertificateError::ApplicationVerificationFailure);

/// Whether a handshake failed since the server has another key.
pub(super) fn is_wrong_key(error: &std::io::Error) -> bool {
    error
        .get_ref()
        .and_then(|inner| inner.downcast_ref::<Error>())
        .is_some_and(|inner| *inner == WRONG_KEY)
}
