//! This computer's own key and name.

use super::Store;
use crate::LinkError;
use crate::key::Fingerprint;
use crate::names;
use rcgen::{CertificateParams, DistinguishedName, KeyPair, PKCS_ECDSA_P256_SHA256};
use rusqlite::{Connection, OptionalExtension as _, params};
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};

/// What this computer calls itself until somebody gives it a name.
const UNNAMED: &str = "Shop computer";

/// The key of this computer, with a certificate that only carries it: it names nobody, and its dates are not looked at.
pub(crate) struct OwnKey {
    pub key: PrivateKeyDer<'static>,
    pub certificate: CertificateDer<'static>,
    pub fingerprint: Fingerprint,
}

impl Store {
    /// The fingerprint of this computer's key; the key is made when it is first asked for.
    ///
    /// # Errors
    /// Where the key cannot be made, or the pairings cannot be read or written.
    pub fn fingerprint(&self) -> Result<Fingerprint, LinkError> {
        self.own_key().map(|own| own.fingerprint)
    }

    /// What this computer calls itself to devices that pair with it.
    ///
    /// # Errors
    /// Where the pairings cannot be read.
    pub fn own_name(&self) -> Result<String, LinkError> {
        let name = self.read(|conn| value(conn, "name"))?;
        let name = name.and_then(|name| String::from_utf8(name).ok());
        Ok(name.unwrap_or_else(|| UNNAMED.to_owned()))
    }

    /// Gives this computer a name; devices that paired before keep the one from then.
    ///
    /// # Errors
    /// [`LinkError::Name`], and where the pairings cannot be written.
    pub fn set_own_name(&self, name: &str) -> Result<(), LinkError> {
        let name = names::clean(name)?.into_bytes();
        let sql = "INSERT INTO own VALUES ('name', ?1) ON CONFLICT DO UPDATE SET value = ?1";
        self.write(|conn| conn.execute(sql, [name])).map(drop)
    }

    pub(crate) fn own_key(&self) -> Result<OwnKey, LinkError> {
        if let Some((key, certificate)) = self.read(kept)? {
            return own(key, certificate);
        }
        let (key, certificate) = fresh()?;
        let (key, certificate) = self.write(|conn| {
            // Another program may have been quicker.
            if let Some(theirs) = kept(conn)? {
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

fn kept(conn: &Connection) -> rusqlite::Result<Option<(Vec<u8>, Vec<u8>)>> {
    Ok(value(conn, "key")?.zip(value(conn, "certificate")?))
}

fn own(key: Vec<u8>, certificate: Vec<u8>) -> Result<OwnKey, LinkError> {
    let certificate = CertificateDer::from(certificate);
    let fingerprint = Fingerprint::of_certificate(&certificate).ok_or(LinkError::OwnKey {
        detail: "the certificate that is kept cannot be read".to_owned(),
    })?;
    Ok(OwnKey {
        key: PrivatePkcs8KeyDer::from(key).into(),
        certificate,
        fingerprint,
    })
}

/// An ECDSA key over P-256, whose certificate makes a small handshake.
fn fresh() -> Result<(Vec<u8>, Vec<u8>), LinkError> {
    let failed = |error: rcgen::Error| LinkError::OwnKey {
        detail: error.to_string(),
    };
    let key = KeyPair::generate_for(&PKCS_ECDSA_P256_SHA256).map_err(failed)?;
    let mut params = CertificateParams::default();
    params.distinguished_name = DistinguishedName::new();
    let certificate = params.self_signed(&key).map_err(failed)?;
    Ok((key.serialize_der(), certificate.der().to_vec()))
}
