//! A bucket of an S3-compatible store: files are objects, and one that is put appears whole or not at all.

use super::address::{Site, encoded, encoded_value};
use super::ask::{Asker, Ended, Fields, Sent};
use super::error::BucketError;
use super::fetch::fetch;
use super::keys::Keys;
use super::sign::{Asked, OF_NOTHING, Signer, hex};
use super::store::{Load, Store};
use super::xml::{self, Texts};
use chrono::Utc;
use holebook_core::exchange::ExchangeError;
use holebook_link::http::limited;
use sha2::{Digest as _, Sha256};
use std::io::{BufReader, Write};
use ureq::Body;
use ureq::http::Response;

const KIND: &str = "S3-compatible store";
/// What is listed: nothing else that lies in the bucket is asked for.
const LISTED: [&str; 2] = ["journal/", "photos/"];

/// The most bytes of a page that are read: a thousand names of the longest, each letter written as nine.
const PAGE_BYTES: u64 = 10 << 20;
/// The most pages of a list, which have a thousand objects each: more than a hundred shops leave in ten years.
const MOST_PAGES: usize = 2000;

/// A bucket.
pub struct S3<'w> {
    asker: Asker<'w>,
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

impl<'w> S3<'w> {
    pub fn new(
        shelf: String,
        endpoint: &Site,
        bucket: &str,
        folder: &str,
        keys: Keys,
        ended: &'w Ended<'w>,
    ) -> Result<Self, BucketError> {
        if keys.of_bucket().is_none() {
            return Err(BucketError::NoKeys { shelf });
        }
        Ok(Self {
            asker: Asker::new(endpoint, shelf, KIND, ended),
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
    ) -> Result<Response<Body>, ExchangeError> {
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
            return Err(self.asker.says(None).of_s3(&mut response));
        }
        let lines = BufReader::new(limited(&mut response, PAGE_BYTES));
        let around = xml::read(lines, "Contents", |object| {
            let name = object
                .get("Key")
                .and_then(|key| key.strip_prefix(&self.folder));
            let bytes = object.get("Size").and_then(|size| size.parse().ok());
            if let (Some(name), Some(bytes)) = (name, bytes) {
                each(name, bytes);
            }
        });
        let around = around.map_err(|flaw| self.asker.says(None).flawed(flaw))?;
        self.next(&around)
    }

    fn next(&self, around: &Texts) -> Result<Option<String>, ExchangeError> {
        let text = |name: &str| around.get(name).map(String::as_str);
        let strange = |detail| Err(self.asker.says(None).strange(detail));
        if text("") != Some("ListBucketResult") {
            return strange("what it sent is no list of a bucket");
        }
        match (text("IsTruncated"), text("NextContinuationToken")) {
            (Some("true"), Some(mark)) if !mark.is_empty() => Ok(Some(mark.to_owned())),
            (Some("true"), _) => strange("its list breaks off without saying how it goes on"),
            _ => Ok(None),
        }
    }
}

impl Store for S3<'_> {
    fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, ExchangeError> {
        let mut pages = 0;
        for listed in LISTED {
            let mut mark: Option<String> = None;
            loop {
                let next = self.page(listed, mark.as_deref(), each)?;
                pages += 1;
                if next.is_none() {
                    break;
                }
                if next == mark || pages > MOST_PAGES {
                    return Err(self.asker.says(None).strange("its list does not end"));
                }
                mark = next;
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
            self.ask(&request, Sent::Bytes(b""))
        };
        let broke = |detail| self.asker.says(None).unreachable(detail);
        fetch(
            name,
            most,
            into,
            open,
            |response| self.asker.says(Some(name)).of_s3(response),
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
            _ => Err(self.asker.says(Some(name)).of_s3(&mut response)),
        }
    }
}
