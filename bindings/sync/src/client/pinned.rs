//! TLS client configuration with key pinning.

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

/// Returns a TLS 1.3 configuration that accepts only a server with the pinned key.
///
/// # Errors
/// If the crypto provider does not support TLS 1.3.
pub(super) fn config(pin: Pin) -> Result<Arc<ClientConfig>, Error> {
    let provider = Arc::new(ring::default_provider());
    let verifier = PinnedVerifier {
        pin,
        provider: provider.clone(),
    };
    let mut config = ClientConfig::builder_with_details(provider, Arc::new(NoClock))
        .with_protocol_versions(&[&version::TLS13])?
        .dangerous()
        .with_custom_certificate_verifier(Arc::new(verifier))
        .with_no_client_auth();
    // Host names are not used, so none is sent in the clear. Without resumption, every connection
    // verifies the key.
    config.enable_sni = false;
    config.resumption = Resumption::disabled();
    Ok(Arc::new(config))
}

/// A fixed time: certificate dates are not checked, so a phone with a wrong clock can still sync.
#[derive(Debug)]
struct NoClock;

impl TimeProvider for NoClock {
    fn current_time(&self) -> Option<UnixTime> {
        Some(UnixTime::since_unix_epoch(Duration::ZERO))
    }
}

/// Accepts a certificate only if it has the pinned key. Names, dates, and the certificate's own
/// signature are ignored; the server proves that it has the key by signing the handshake.
#[derive(Debug)]
struct PinnedVerifier {
    pin: Pin,
    provider: Arc<CryptoProvider>,
}

impl ServerCertVerifier for PinnedVerifier {
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
        if self.pin.matches(&found) {
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
        // Only TLS 1.3 is enabled.
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

/// Returns whether a handshake failed because the server has a different key.
pub(super) fn is_wrong_key(error: &std::io::Error) -> bool {
    error
        .get_ref()
        .and_then(|inner| inner.downcast_ref::<Error>())
        .is_some_and(|inner| *inner == WRONG_KEY)
}
