//! The key and name of this computer as a server.

use super::PairingStore;
use crate::PairingError;
use crate::key::Fingerprint;
use crate::names;
use rcgen::{CertificateParams, DistinguishedName, KeyPair, PKCS_ECDSA_P256_SHA256};
use rusqlite::{Connection, OptionalExtension as _, params};
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};

/// The name of this computer until it gets one.
const UNNAMED: &str = "Shop computer";

/// The private key of this computer, and a self-signed certificate that only carries the public
/// key: it has no name, and clients ignore its dates.
pub(crate) struct ServerKey {
    pub key: PrivateKeyDer<'static>,
    pub certificate: CertificateDer<'static>,
    pub fingerprint: Fingerprint,
}

impl PairingStore {
    /// Returns the fingerprint of this computer's key, creating the key on first use.
    ///
    /// # Errors
    /// If the key cannot be created, or the pairings cannot be read or written.
    pub fn fingerprint(&self) -> Result<Fingerprint, PairingError> {
        self.server_key().map(|own| own.fingerprint)
    }

    /// Returns the name that devices get when they pair with this computer.
    ///
    /// # Errors
    /// If the pairings cannot be read.
    pub fn server_name(&self) -> Result<String, PairingError> {
        let name = self.read(|conn| value(conn, "name"))?;
        let name = name.and_then(|name| String::from_utf8(name).ok());
        Ok(name.unwrap_or_else(|| UNNAMED.to_owned()))
    }

    /// Sets the name of this computer. Devices that are already paired keep the old one.
    ///
    /// # Errors
    /// [`PairingError::InvalidName`], and if the pairings cannot be written.
    pub fn set_server_name(&self, name: &str) -> Result<(), PairingError> {
        let name = names::validate(name)?.into_bytes();
        let sql = "INSERT INTO own VALUES ('name', ?1) ON CONFLICT DO UPDATE SET value = ?1";
        self.write(|conn| conn.execute(sql, [name])).map(drop)
    }

    pub(crate) fn server_key(&self) -> Result<ServerKey, PairingError> {
        if let Some((key, certificate)) = self.read(stored)? {
            return own(key, certificate);
        }
        let (key, certificate) = generate()?;
        let (key, certificate) = self.write(|conn| {
            // Another program may have created a key meanwhile.
            if let Some(theirs) = stored(conn)? {
                return Ok(theirs);
            }
            let sql = "INSERT INTO own VALUES ('key', ?1), ('certificate', ?2)";
            conn.execute(sql, params![key, certificate])?;
            Ok((key, certificate))
        })?;
        own(key, certificate)
    }
}

fn value(conn: &Connection, what: &str) -> rusqlite::Result<Option<Vec<u8>>> {
    let sql = "SELECT value FROM own WHERE what = ?1";
    conn.query_row(sql, [what], |row| row.get(0)).optional()
}

fn stored(conn: &Connection) -> rusqlite::Result<Option<(Vec<u8>, Vec<u8>)>> {
    Ok(value(conn, "key")?.zip(value(conn, "certificate")?))
}

fn own(key: Vec<u8>, certificate: Vec<u8>) -> Result<ServerKey, PairingError> {
    let certificate = CertificateDer::from(certificate);
    let fingerprint = Fingerprint::of_certificate(&certificate).ok_or(PairingError::ServerKey {
        detail: "the stored certificate cannot be read".to_owned(),
    })?;
    Ok(ServerKey {
        key: PrivatePkcs8KeyDer::from(key).into(),
        certificate,
        fingerprint,
    })
}

/// Generates an ECDSA P-256 key, which keeps the handshake small. Returns the key and its
/// certificate, both in DER.
fn generate() -> Result<(Vec<u8>, Vec<u8>), PairingError> {
    let failed = |error: rcgen::Error| PairingError::ServerKey {
        detail: error.to_string(),
    };
    let key = KeyPair::generate_for(&PKCS_ECDSA_P256_SHA256).map_err(failed)?;
    let mut params = CertificateParams::default();
    params.distinguished_name = DistinguishedName::new();
    let certificate = params.self_signed(&key).map_err(failed)?;
    Ok((key.serialize_der(), certificate.der().to_vec()))
}
