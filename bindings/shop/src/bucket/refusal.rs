//! Why a store's answer is not the one hoped for, as a sentence. What a store says in words of its own is not shown, since it may say
//! anything; its codes are known, or shown as letters.

use super::ask::{field, is_busy, reason};
use super::error::BucketError;
use super::xml::{self, Flaw};
use holebook_core::exchange::{ExchangeError, Problem};
use holebook_link::http::plain;
use ureq::Body;
use ureq::http::Response;

/// Who refuses, and what.
#[derive(Debug, Clone, Copy)]
pub struct Refusal<'a> {
    /// The shelf's name.
    pub shelf: &'a str,
    /// What it should be.
    pub kind: &'static str,
    /// The file that it was about; none where it was all of the shelf.
    pub file: Option<&'a str>,
}

impl Refusal<'_> {
    /// The shelf refuses, for this reason and with this to do.
    pub fn no(&self, why: &str) -> ExchangeError {
        BucketError::Refused {
            shelf: self.shelf.to_owned(),
            why: why.to_owned(),
        }
        .into()
    }

    /// What came is not what such a store answers.
    pub fn strange(&self, detail: &str) -> ExchangeError {
        BucketError::Answer {
            shelf: self.shelf.to_owned(),
            kind: self.kind,
            detail: detail.to_owned(),
        }
        .into()
    }

    /// It is not reached, or the way to it broke.
    pub fn unreachable(&self, detail: String) -> ExchangeError {
        BucketError::Unreachable {
            shelf: self.shelf.to_owned(),
            detail,
        }
        .into()
    }

    /// A list could not be read.
    pub fn flawed(&self, flaw: Flaw) -> ExchangeError {
        match flaw {
            Flaw::Read(error) => self.unreachable(plain(&error)),
            flaw => self.strange(&flaw.to_string()),
        }
    }

    /// Only this file cannot be had or left.
    fn problem(&self, why: &str) -> ExchangeError {
        ExchangeError::File(Problem {
            file: self.file.unwrap_or("its list").to_owned(),
            why: why.to_owned(),
        })
    }

    /// What the status alone says.
    fn by_status(&self, status: u16, code: &str) -> ExchangeError {
        match status {
            413 => self.problem("no file so large is taken there"),
            507 => ExchangeError::ShelfFull {
                shelf: self.shelf.to_owned(),
            },
            404 | 410 if self.file.is_some() => self.problem("it is not there any more"),
            status if is_busy(status) => self.unreachable(format!("it is busy, status {status}")),
            status => self.strange(format!("status {status} {code}").trim_end()),
        }
    }

    /// Why an S3-compatible store refuses.
    pub fn of_s3(&self, response: &mut Response<Body>) -> ExchangeError {
        let status = response.status().as_u16();
        let named = field(response, "x-amz-bucket-region").map(letters);
        let said = xml::read(&reason(response)[..], "", |_| {}).unwrap_or_default();
        let said = |name: &str| said.get(name).map(|text| letters(text));
        let code = said("Code").unwrap_or_default();
        match (&*code, status) {
            ("InvalidAccessKeyId", _) => {
                self.no("does not know this key; see that the keys are those of this store")
            }
            ("SignatureDoesNotMatch", _) => self.no(
                "does not take the secret of this key; copy it again from where the key was made",
            ),
            ("InvalidToken" | "ExpiredToken", _) => {
                self.no("says that the time of this key's token is over; get new keys")
            }
            ("RequestTimeTooSkewed" | "RequestExpired", _) => {
                self.no("says that this computer's clock is wrong; set it, then exchange again")
            }
            ("NoSuchBucket", _) => self.no(
                "is not there; see its name, or make the bucket with what the store has for that",
            ),
            ("AuthorizationHeaderMalformed" | "PermanentRedirect" | "TemporaryRedirect", _)
            | (_, 300..=399) => self.elsewhere(said("Region").or(named)),
            ("NoSuchKey", _) => self.problem("it is not there any more"),
            ("XAmzContentSHA256Mismatch" | "BadDigest", _) => {
                self.problem("what arrived there is not what was sent")
            }
            ("EntityTooLarge", _) => self.by_status(413, ""),
            ("QuotaExceeded" | "StorageFull", _) => self.by_status(507, ""),
            (_, 401 | 403) => {
                self.no("does not let this key do that; see that it may list, read and write there")
            }
            (code, status) => self.by_status(status, code),
        }
    }

    fn elsewhere(&self, region: Option<String>) -> ExchangeError {
        match region.filter(|region| !region.is_empty()) {
            Some(region) => self.no(&format!(
                "is in the region {region}; write region = \"{region}\" beside its keys, and see that where the store answers (--endpoint) is of that region"
            )),
            None => self.no(
                "is kept elsewhere; see that where the store answers (--endpoint) and the region beside its keys are the bucket's",
            ),
        }
    }

    /// Why a WebDAV server refuses; `named` says whether it was told a user and password.
    pub fn of_dav(&self, response: &mut Response<Body>, named: bool) -> ExchangeError {
        let basic = field(response, "www-authenticate")
            .is_none_or(|wants| wants.to_ascii_lowercase().contains("basic"));
        // Read, so that the connection is good for more.
        reason(response);
        match (response.status().as_u16(), named) {
            (401, _) if !basic => self.no(
                "wants to be told the password in a way that this program does not know; have it take Basic over https://",
            ),
            (401, false) => self.no(
                "wants a user and password; put `user` and `password` in a file and say where it is (--bucket-keys)",
            ),
            (401, true) => {
                self.no("does not take this user and password; see that they are those of this server")
            }
            (403, _) => self.no("does not let this user do that; see that reading and writing are allowed there"),
            (423, _) => self.no("is locked by another program; exchange again when that is done"),
            (300..=399, _) => self.no("says that it has moved; name the address that a browser shows for it"),
            (status, _) => self.by_status(status, ""),
        }
    }
}

/// A word of the store's, as far as it can be shown.
fn letters(text: &str) -> String {
    text.chars()
        .filter(|letter| letter.is_ascii_alphanumeric() || *letter == '-')
        .take(60)
        .collect()
}
