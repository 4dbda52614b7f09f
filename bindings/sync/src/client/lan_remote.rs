//! The shop computer on the local network, as a [`Remote`] to sync with.

use super::connect::{self, ConnectError};
use super::http_client::{self, HttpClient, RequestError};
use super::pinned;
use super::transport::PinnedConnector;
use crate::http::{SendOnce, limited_body};
use crate::key::Pin;
use crate::pairing_store::{PairedShop, PairingStore};
use crate::wire::{self, DONE, FROM, JOURNAL, MAX_CHUNK_BYTES, PHOTOS};
use crate::{Fingerprint, PairingError};
use holebook_core::photo::{LARGEST_FILE_BYTES, PhotoHash};
use holebook_core::sync::{Listing, Problem, Remote, Segment, SyncError};
use std::io::{BufReader, Read, Write};
use std::net::SocketAddr;
use ureq::http::{Response, header};
use ureq::{Body, SendBody};

/// The buffer for receiving a photo, in bytes.
const BUFFER_BYTES: usize = 128 << 10;

/// A paired shop computer as a sync remote. It connects on first use.
///
/// Several threads may use it at once; each gets its own connection, which is kept for reuse.
#[derive(Debug)]
pub struct LanRemote {
    store: PairingStore,
    shop: PairedShop,
    client: HttpClient,
}

impl LanRemote {
    /// Opens the remote of the shop computer with this fingerprint. It tries the known addresses
    /// and `extra_addresses`, and saves the one that answers.
    ///
    /// # Errors
    /// [`PairingError::NotPaired`], and if the pairings cannot be read.
    pub fn open(
        store: &PairingStore,
        fingerprint: &Fingerprint,
        extra_addresses: &[SocketAddr],
    ) -> Result<Self, PairingError> {
        let paired = store.shop_with_token(fingerprint)?;
        let config = pinned::config(Pin::Key(*fingerprint));
        let config = config.map_err(|error| PairingError::UnexpectedResponse {
            detail: error.to_string(),
        })?;
        let mut addresses = paired.shop.addresses.clone();
        addresses.extend(
            extra_addresses
                .iter()
                .filter(|extra| !paired.shop.addresses.contains(extra)),
        );
        let connector = PinnedConnector::new(config, addresses);
        Ok(Self {
            store: store.clone(),
            client: HttpClient::new(connector, Some(&paired.token)),
            shop: paired.shop,
        })
    }

    /// Sets a function that finds the shop computer if no known address answers. It is called at
    /// most once and may take some seconds.
    #[must_use]
    pub fn with_finder(
        self,
        finder: impl Fn(&Fingerprint) -> Vec<SocketAddr> + Send + Sync + 'static,
    ) -> Self {
        let connector = &self.client.connector;
        connector.set_finder(self.shop.fingerprint, Box::new(finder));
        self
    }

    /// Returns the shop computer.
    #[must_use]
    pub fn shop(&self) -> &PairedShop {
        &self.shop
    }

    /// Sends a request. Retries once if it fails, since a reused connection may have been closed.
    fn request(
        &self,
        target: (&str, &str),
        headers: &[(header::HeaderName, String)],
        body: &[u8],
    ) -> Result<Response<Body>, SyncError> {
        let first = self.client.request(target, headers, body);
        let response = match first {
            Err(RequestError::Failed(_)) => self.client.request(target, headers, body),
            response => response,
        };
        response.map_err(|error| self.request_error(&error))
    }

    fn request_error(&self, error: &RequestError) -> SyncError {
        match error {
            RequestError::Connect(ConnectError::WrongKey(_)) => SyncError::AccessDenied {
                remote: self.name(),
                reason:
                    "was not found; a different computer answers at its address, and nothing was \
                      sent to it. Open Holebook on the shop computer, or pair again if it has a \
                      new notebook"
                        .to_owned(),
            },
            other => self.unreachable(other.to_string()),
        }
    }

    fn unreachable(&self, detail: String) -> SyncError {
        SyncError::Unreachable {
            remote: self.name(),
            detail,
        }
    }

    /// Converts an error response to the request for `file`, using the server's sentence if it sent
    /// one.
    fn status_error(&self, response: &mut Response<Body>, file: &str) -> SyncError {
        let remote = self.name();
        let status = response.status().as_u16();
        let sentence = http_client::error_sentence(response);
        let sentence_or = |default: &str| {
            if sentence.is_empty() {
                default.to_owned()
            } else {
                sentence.clone()
            }
        };
        match status {
            401 => SyncError::AccessDenied {
                remote,
                reason: "does not know this device; pair it again".to_owned(),
            },
            403 => SyncError::AccessDenied {
                remote,
                reason: "has revoked this device. This device can no longer sync; \
                      pair it again if it was revoked by mistake"
                    .to_owned(),
            },
            507 => SyncError::RemoteFull { remote },
            404 | 413 | 422 => SyncError::File(Problem {
                file: file.to_owned(),
                reason: sentence_or("it is not there"),
            }),
            408 | 503 => self.unreachable(sentence_or("it is busy")),
            _ => SyncError::RemoteIo {
                file: format!("{file} at {remote}"),
                detail: sentence_or(&format!("status {status}")),
            },
        }
    }

    /// Saves the address that answered. An error is ignored: the next sync tries all addresses
    /// again.
    fn save_address(&self) {
        if let Some((address, _)) = self.client.connector.peer() {
            let _ = self.store.record_address(&self.shop.fingerprint, address);
        }
    }

    /// Records the time of the sync. An error is ignored, since the sync itself succeeded.
    fn record_sync(&self) {
        let _ = self.store.record_sync(&self.shop.fingerprint);
    }
}

impl Remote for LanRemote {
    fn interrupt(&self) {
        self.client.interrupt();
    }

    fn id(&self) -> String {
        self.shop.remote_id()
    }

    fn name(&self) -> String {
        self.shop.remote_name()
    }

    fn list(&self, known: Option<&str>) -> Result<Option<Listing>, SyncError> {
        let tag = known.map(|state| (header::IF_NONE_MATCH, format!("\"{state}\"")));
        let headers: Vec<_> = tag.into_iter().collect();
        let mut response = self.request(("GET", JOURNAL), &headers, b"")?;
        match response.status().as_u16() {
            304 if known.is_some() => {
                self.save_address();
                self.record_sync();
                Ok(None)
            }
            200 => {
                self.save_address();
                let state = state_of(&response);
                let lines = BufReader::new(limited_body(&mut response, u64::MAX));
                let listing = wire::read_listing(lines, state);
                listing
                    .map(Some)
                    .map_err(|error| self.unreachable(error.to_string()))
            }
            _ => Err(self.status_error(&mut response, "its listing")),
        }
    }

    fn pull_lines(&self, segment: &Segment, from: u64) -> Result<Vec<u8>, SyncError> {
        let path = format!("/{segment}?{FROM}={from}");
        let mut response = self.request(("GET", &path), &[], b"")?;
        if response.status() != 200 {
            return Err(self.status_error(&mut response, &segment.to_string()));
        }
        let lines = http_client::read_body(&mut response, MAX_CHUNK_BYTES);
        lines.map_err(|error| self.unreachable(error.to_string()))
    }

    fn push_lines(&self, segment: &Segment, lines: &[u8]) -> Result<(), SyncError> {
        let path = format!("/{segment}");
        let mut response = self.request(("PUT", &path), &[expect_continue()], lines)?;
        if response.status() != 204 {
            return Err(self.status_error(&mut response, &segment.to_string()));
        }
        Ok(())
    }

    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError> {
        let file = format!("{PHOTOS}{photo}");
        let mut response = self.request(("GET", &format!("/{file}")), &[], b"")?;
        if response.status() != 200 {
            return Err(self.status_error(&mut response, &file));
        }
        let mut buffer = vec![0; BUFFER_BYTES];
        let mut from = limited_body(&mut response, LARGEST_FILE_BYTES + 1);
        loop {
            let read = from.read(&mut buffer);
            match read.map_err(|error| self.unreachable(connect::connection_error_text(&error)))? {
                0 => return Ok(()),
                read => into
                    .write_all(&buffer[..read])
                    .map_err(|error| SyncError::RemoteIo {
                        file: file.clone(),
                        detail: error.to_string(),
                    })?,
            }
        }
    }

    fn push_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), SyncError> {
        let file = format!("{PHOTOS}{photo}");
        let path = format!("/{file}");
        let headers = [
            expect_continue(),
            (header::CONTENT_LENGTH, bytes.to_string()),
        ];
        let mut from = SendOnce::new(from);
        let mut result =
            self.client
                .request(("PUT", &path), &headers, SendBody::from_reader(&mut from));
        // Retry only if nothing of the body was used up.
        if matches!(result, Err(RequestError::Failed(_))) && !from.was_read() {
            result =
                self.client
                    .request(("PUT", &path), &headers, SendBody::from_reader(&mut from));
        }
        if let Some(error) = from.take_error() {
            let reason = format!("it could not be read here ({error})");
            return Err(SyncError::File(Problem { file, reason }));
        }
        let mut response = result.map_err(|error| self.request_error(&error))?;
        if response.status() != 204 {
            return Err(self.status_error(&mut response, &file));
        }
        Ok(())
    }

    fn finish(&self) -> Result<(), SyncError> {
        let mut response = self.request(("POST", DONE), &[], b"")?;
        if response.status() != 204 {
            return Err(self.status_error(&mut response, "the end of the sync"));
        }
        self.record_sync();
        Ok(())
    }
}

/// Returns the header that makes the server accept the request before the body is sent, so that a
/// rejection is received and no bytes are wasted.
fn expect_continue() -> (header::HeaderName, String) {
    (header::EXPECT, "100-continue".to_owned())
}

/// Returns the state of a listing from its ETag; `None` if it has characters that cannot be sent
/// back.
fn state_of(response: &Response<Body>) -> Option<String> {
    let tag = response.headers().get(header::ETAG)?.to_str().ok()?;
    let state = tag.strip_prefix('"')?.strip_suffix('"')?;
    let is_valid =
        (1..=128).contains(&state.len()) && state.bytes().all(|byte| byte.is_ascii_alphanumeric());
    is_valid.then(|| state.to_owned())
}
