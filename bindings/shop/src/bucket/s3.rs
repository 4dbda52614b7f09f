//! A bucket of an S3-compatible store: files are objects, and one that is put appears whole or not at all.

use super::address::{Site, encoded, encoded_value};
use super::ask::{Asker, Fields, Sent, field, is_busy, limited, reason};
use super::error::BucketError;
use super::fetch::fetch;
use super::keys::Keys;
use super::sign::{Asked, OF_NOTHING, Signer, hex};
use super::store::{LIST_BYTES, Load, MOST_FILES, Store, too_long};
use super::xml::{self, Texts};
use chrono::Utc;
use holebook_core::exchange::{ExchangeError, Problem};
use sha2::{Digest as _, Sha256};
use std::io::{BufReader, Write};
use ureq::Body;
use ureq::http::Response;

const KIND: &str = "S3-compatible store";
/// What is listed: nothing else that lies in the bucket is asked for.
const LISTED: [&str; 2] = ["journal/", "photos/"];

/// A bucket.
pub struct S3 {
    asker: Asker,
    keys: Keys,
    host: String,
    /// The path of the bucket, percent-encoded, without a slash at its end.
    path: String,
    /// What the names of the shelf's objects begin with.
    folder: String,
}

/// What is asked of the bucket.
struct Request<'a> {
    method: &'a str,
    /// The object; none for the bucket itself.
    object: Option<&'a str>,
    /// Percent-encoded, its names in order.
    query: &'a str,
    /// SHA-256 of the body, in hex digits.
    digest: &'a str,
    /// From which byte on.
    from: u64,
}

impl S3 {
    pub fn new(
        shelf: String,
        endpoint: &Site,
        bucket: &str,
        folder: &str,
        keys: Keys,
    ) -> Result<Self, BucketError> {
        if keys.of_bucket().is_none() {
            return Err(BucketError::NoKeys { shelf });
        }
        Ok(Self {
            asker: Asker::new(endpoint, shelf),
            keys,
            host: endpoint.host().to_owned(),
            path: format!("{}/{}", endpoint.path(), encoded(bucket)),
            folder: if folder.is_empty() {
                String::new()
            } else {
                format!("{folder}/")
            },
        })
    }

    fn ask(
        &self,
        request: &Request<'_>,
        body: Sent<'_, '_>,
    ) -> Result<Response<Body>, BucketError> {
        let path = match request.object {
            Some(name) => format!(
                "{}/{}",
                self.path,
                encoded(&format!("{}{name}", self.folder))
            ),
            None => self.path.clone(),
        };
        let target = match request.query {
            "" => path.clone(),
            query => format!("{path}?{query}"),
        };
        self.asker.ask(
            (request.method, &target),
            || self.fields(request, &path),
            body,
        )
    }

    fn fields(&self, request: &Request<'_>, path: &str) -> Fields {
        // That there are keys was seen when it was made.
        let Some(keys) = self.keys.of_bucket() else {
            return Fields::new();
        };
        let signer = Signer {
            key: keys.key,
            secret: keys.secret,
            token: keys.token,
            region: keys.region,
        };
        let asked = Asked {
            method: request.method,
            host: &self.host,
            path,
            query: request.query,
            payload: request.digest,
        };
        let mut fields = signer.fields(&asked, Utc::now());
        if request.from > 0 {
            fields.push(("range", format!("bytes={}-", request.from)));
        }
        fields
    }

    /// One page of a list; gives the mark at which the next begins.
    fn page(
        &self,
        listed: &str,
        mark: Option<&str>,
        each: &mut dyn FnMut(&str, u64),
    ) -> Result<Option<String>, ExchangeError> {
        let prefix = encoded_value(&format!("{}{listed}", self.folder));
        let mark = mark.map_or(String::new(), |mark| {
            format!("continuation-token={}&", encoded_value(mark))
        });
        let query = format!("{mark}list-type=2&prefix={prefix}");
        let request = Request {
            method: "GET",
            object: None,
            query: &query,
            digest: OF_NOTHING,
            from: 0,
        };
        let mut response = self.ask(&request, Sent::Bytes(b""))?;
        if response.status() != 200 {
            return Err(self.refused(&mut response, None));
        }
        let lines = BufReader::new(limited(&mut response, LIST_BYTES));
        let around = xml::read(lines, "Contents", |object| {
            let name = object
                .get("Key")
                .and_then(|key| key.strip_prefix(&self.folder));
            let bytes = object.get("Size").and_then(|size| size.parse().ok());
            if let (Some(name), Some(bytes)) = (name, bytes) {
                each(name, bytes);
            }
        });
        let around = around.map_err(|flaw| match flaw {
            xml::Flaw::Read(error) => self.asker.unreachable(super::ask::plain(&error)),
            flaw => self.answer(flaw.to_string()),
        })?;
        self.next(&around)
    }

    fn next(&self, around: &Texts) -> Result<Option<String>, ExchangeError> {
        let text = |name: &str| around.get(name).map(String::as_str);
        if text("") != Some("ListBucketResult") {
            return Err(self
                .answer("what it sent is no list of a bucket".to_owned())
                .into());
        }
        match (text("IsTruncated"), text("NextContinuationToken")) {
            (Some("true"), Some(mark)) if !mark.is_empty() => Ok(Some(mark.to_owned())),
            (Some("true"), _) => Err(self
                .answer("its list breaks off without saying how it goes on".to_owned())
                .into()),
            _ => Ok(None),
        }
    }

    /// Why the answer is not the one hoped for; `file` is what it was about.
    fn refused(&self, response: &mut Response<Body>, file: Option<&str>) -> ExchangeError {
        let status = response.status().as_u16();
        let region = field(response, "x-amz-bucket-region").map(letters);
        let said = xml::read(&reason(response)[..], "", |_| {}).unwrap_or_default();
        let code = said
            .get("Code")
            .map(|code| letters(code))
            .unwrap_or_default();
        let region = said.get("Region").map(|region| letters(region)).or(region);
        let refused = |why: &str| {
            BucketError::Refused {
                shelf: self.asker.shelf().to_owned(),
                why: why.to_owned(),
            }
            .into()
        };
        let problem = |why: &str| {
            ExchangeError::File(Problem {
                file: file.unwrap_or("its list").to_owned(),
                why: why.to_owned(),
            })
        };
        match (&*code, status) {
            ("InvalidAccessKeyId", _) => {
                refused("does not know this key; see that the keys are those of this store")
            }
            ("SignatureDoesNotMatch", _) => refused(
                "does not take the secret of this key; copy it again from where the key was made",
            ),
            ("InvalidToken" | "ExpiredToken", _) => {
                refused("says that the time of this key's token is over; get new keys")
            }
            ("RequestTimeTooSkewed" | "RequestExpired", _) => {
                refused("says that this computer's clock is wrong; set it, then exchange again")
            }
            ("NoSuchBucket", _) => refused(
                "is not there; see its name, or make the bucket with what the store has for that",
            ),
            ("AuthorizationHeaderMalformed" | "PermanentRedirect" | "TemporaryRedirect", _)
            | (_, 300..=399) => match region {
                Some(region) => refused(&format!(
                    "is in the region {region}; write region = \"{region}\" beside its keys, and see that --endpoint is the one of that region"
                )),
                None => refused(
                    "is kept elsewhere; see that --endpoint and the region beside its keys are the bucket's",
                ),
            },
            ("NoSuchKey", _) => problem("it is not there any more"),
            ("XAmzContentSHA256Mismatch" | "BadDigest", _) => {
                problem("what arrived there is not what was sent")
            }
            ("EntityTooLarge", _) | (_, 413) => problem("the store takes no file so large"),
            ("QuotaExceeded" | "StorageFull", _) | (_, 507) => ExchangeError::ShelfFull {
                shelf: self.asker.shelf().to_owned(),
            },
            (_, 401 | 403) => {
                refused("does not let this key do that; see that it may list, read and write there")
            }
            (_, 404) if file.is_some() => problem("it is not there any more"),
            (_, status) if is_busy(status) => self
                .asker
                .unreachable(format!("it is busy, status {status}"))
                .into(),
            _ => self
                .answer(format!("status {status} {code}").trim_end().to_owned())
                .into(),
        }
    }

    fn answer(&self, detail: String) -> BucketError {
        BucketError::Answer {
            shelf: self.asker.shelf().to_owned(),
            kind: KIND,
            detail,
        }
    }
}

impl Store for S3 {
    fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, ExchangeError> {
        let mut files = 0;
        for listed in LISTED {
            let mut mark: Option<String> = None;
            loop {
                let next = self.page(listed, mark.as_deref(), &mut |name, bytes| {
                    files += 1;
                    each(name, bytes);
                })?;
                match next {
                    None => break,
                    same if same == mark => {
                        return Err(self
                            .answer("its list goes round in a circle".to_owned())
                            .into());
                    }
                    next => mark = next,
                }
                if files > MOST_FILES {
                    return Err(too_long(self.asker.shelf(), KIND).into());
                }
            }
        }
        Ok(true)
    }

    fn get(&self, name: &str, most: u64, into: &mut dyn Write) -> Result<(), ExchangeError> {
        let open = |from| {
            let request = Request {
                method: "GET",
                object: Some(name),
                query: "",
                digest: OF_NOTHING,
                from,
            };
            Ok(self.ask(&request, Sent::Bytes(b""))?)
        };
        let broke = |detail| self.asker.unreachable(detail).into();
        fetch(
            name,
            most,
            into,
            open,
            |response| self.refused(response, Some(name)),
            broke,
        )
    }

    fn put(&self, name: &str, load: Load<'_, '_>) -> Result<(), ExchangeError> {
        let of_bytes;
        let (digest, body) = match load {
            Load::Bytes(bytes) => {
                of_bytes = hex(&Sha256::digest(bytes));
                (&of_bytes, Sent::Bytes(bytes))
            }
            Load::Stream {
                from,
                bytes,
                digest,
            } => {
                of_bytes = digest;
                (&of_bytes, Sent::Stream(from, bytes))
            }
        };
        let request = Request {
            method: "PUT",
            object: Some(name),
            query: "",
            digest,
            from: 0,
        };
        let mut response = self.ask(&request, body)?;
        match response.status().as_u16() {
            200..300 => Ok(()),
            _ => Err(self.refused(&mut response, Some(name))),
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
