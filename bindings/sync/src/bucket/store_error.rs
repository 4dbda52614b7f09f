//! Converts a store's error responses to sentences. A store's own text is not shown, since it may
//! say anything; its error codes are known, or reduced to letters.

use super::error::BucketError;
use super::response::{error_body, header, is_busy};
use super::xml::{self, XmlError};
use crate::http::io_error_text;
use holebook_core::sync::{Problem, SyncError};
use ureq::Body;
use ureq::http::Response;

/// What an error is about.
#[derive(Debug, Clone, Copy)]
pub struct ErrorContext<'a> {
    /// The remote's name.
    pub remote: &'a str,
    /// The kind of store that it should be.
    pub kind: &'static str,
    /// The file concerned; none if it is the whole remote.
    pub file: Option<&'a str>,
}

impl ErrorContext<'_> {
    /// The store refuses, for this reason and with this to do.
    pub fn refused(&self, reason: &str) -> SyncError {
        BucketError::Refused {
            remote: self.remote.to_owned(),
            reason: reason.to_owned(),
        }
        .into()
    }

    /// The response is not one of such a store.
    pub fn unexpected(&self, detail: &str) -> SyncError {
        BucketError::UnexpectedResponse {
            remote: self.remote.to_owned(),
            kind: self.kind,
            detail: detail.to_owned(),
        }
        .into()
    }

    /// It cannot be reached, or the connection broke.
    pub fn unreachable(&self, detail: String) -> SyncError {
        BucketError::Unreachable {
            remote: self.remote.to_owned(),
            detail,
        }
        .into()
    }

    /// A listing could not be read.
    pub fn listing_error(&self, flaw: XmlError) -> SyncError {
        match flaw {
            XmlError::Read(error) => self.unreachable(io_error_text(&error)),
            flaw => self.unexpected(&flaw.to_string()),
        }
    }

    /// Only this file cannot be pulled or pushed.
    fn problem(&self, reason: &str) -> SyncError {
        SyncError::File(Problem {
            file: self.file.unwrap_or("its listing").to_owned(),
            reason: reason.to_owned(),
        })
    }

    /// The error for a status code.
    fn status_error(&self, status: u16, code: &str) -> SyncError {
        match status {
            413 => self.problem("it is too large for that store"),
            507 => SyncError::RemoteFull {
                remote: self.remote.to_owned(),
            },
            404 | 410 if self.file.is_some() => self.problem("it no longer exists there"),
            status if is_busy(status) => self.unreachable(format!("busy, status {status}")),
            status => self.unexpected(format!("status {status} {code}").trim_end()),
        }
    }

    /// The error in a response of an S3-compatible store.
    pub fn s3_error(&self, response: &mut Response<Body>) -> SyncError {
        let status = response.status().as_u16();
        let named = header(response, "x-amz-bucket-region").map(letters);
        let said = xml::read(&error_body(response)[..], "", |_| {}).unwrap_or_default();
        let said = |name: &str| said.get(name).map(|text| letters(text));
        let code = said("Code").unwrap_or_default();
        match (&*code, status) {
            ("InvalidAccessKeyId", _) => {
                self.refused("does not know this key; check that the keys belong to this store")
            }
            ("SignatureDoesNotMatch", _) => self.refused(
                "rejects the secret of this key; copy it again from where the key was created",
            ),
            ("InvalidToken" | "ExpiredToken", _) => {
                self.refused("reports that the token of this key has expired; get new keys")
            }
            ("RequestTimeTooSkewed" | "RequestExpired", _) => {
                self.refused("reports that this computer's clock is wrong; set it, then sync again")
            }
            ("NoSuchBucket", _) => {
                self.refused("does not exist; check its name, or create the bucket")
            }
            ("AuthorizationHeaderMalformed" | "PermanentRedirect" | "TemporaryRedirect", _)
            | (_, 300..=399) => self.wrong_region(said("Region").or(named)),
            ("NoSuchKey", _) => self.problem("it no longer exists there"),
            ("XAmzContentSHA256Mismatch" | "BadDigest", _) => self.problem("it arrived corrupted"),
            ("EntityTooLarge", _) => self.status_error(413, ""),
            ("QuotaExceeded" | "StorageFull", _) => self.status_error(507, ""),
            (_, 401 | 403) => self.refused(
                "does not allow this key to do that; check that it may list, read and write there",
            ),
            (code, status) => self.status_error(status, code),
        }
    }

    fn wrong_region(&self, region: Option<String>) -> SyncError {
        match region.filter(|region| !region.is_empty()) {
            Some(region) => self.refused(&format!(
                "is in the region {region}; add region = \"{region}\" to the keys file, and check that the endpoint (--endpoint) belongs to that region"
            )),
            None => self.refused(
                "is in another region or at another endpoint; check the endpoint (--endpoint) and the region in the keys file",
            ),
        }
    }

    /// The error in a response of a WebDAV server; `named` says whether the request had a user and
    /// password.
    pub fn webdav_error(&self, response: &mut Response<Body>, named: bool) -> SyncError {
        let basic = header(response, "www-authenticate")
            .is_none_or(|wants| wants.to_ascii_lowercase().contains("basic"));
        // Read it, so that the connection can be reused.
        error_body(response);
        match (response.status().as_u16(), named) {
            (401, _) if !basic => self.refused(
                "requires an unsupported login method; enable Basic authentication over https://",
            ),
            (401, false) => self.refused(
                "requires a user and password; put `user` and `password` in a file and name it (--bucket-keys)",
            ),
            (401, true) => {
                self.refused("rejects this user and password; check that they belong to this server")
            }
            (403, _) => self.refused("does not allow this user to do that; check that reading and writing are allowed there"),
            (423, _) => self.refused("is locked by another program; sync again when that is done"),
            (300..=399, _) => self.refused("has moved; use the address that a browser shows for it"),
            (status, _) => self.status_error(status, ""),
        }
    }
}

/// A word from the store, as far as it can be displayed.
fn letters(text: &str) -> String {
    text.chars()
        .filter(|letter| letter.is_ascii_alphanumeric() || *letter == '-')
        .take(60)
        .collect()
}
