//! A bucket of an S3-compatible store: files are objects, which appear complete or not at all.

use super::address::{BaseUrl, encode_path, encode_query_value};
use super::download::download;
use super::error::BucketError;
use super::file_store::{FileStore, Upload};
use super::http_client::{Headers, HttpClient, RequestBody};
use super::keys::Keys;
use super::signature::{EMPTY_SHA256, SignedRequest, Signer, hex};
use super::xml::{self, Texts};
use crate::http::limited_body;
use holebook_core::sync::SyncError;
use sha2::{Digest as _, Sha256};
use std::io::{BufReader, Write};
use ureq::Body;
use ureq::http::Response;

const KIND: &str = "an S3-compatible store";
/// What is listed; other objects in the bucket are ignored.
const PREFIXES: [&str; 2] = ["journal/", "photos/"];

/// The most bytes of a listing page: a thousand names of maximum length, with each character
/// escaped to nine.
const MAX_PAGE_BYTES: u64 = 10 << 20;
/// The most pages of a listing, of a thousand objects each: more than a hundred shops create in ten
/// years.
const MAX_PAGES: usize = 2000;

/// A bucket.
pub struct S3 {
    http: HttpClient,
    keys: Keys,
    host: String,
    /// The bucket's path, percent-encoded, without a trailing slash.
    path: String,
    /// Prefix of the names of the remote's objects.
    folder: String,
}

/// A request to the bucket.
struct Request<'a> {
    method: &'a str,
    /// The object; none for the bucket itself.
    object: Option<&'a str>,
    /// Percent-encoded, with its names in order.
    query: &'a str,
    /// SHA-256 of the body in hex.
    digest: &'a str,
    /// The first byte to request.
    from: u64,
}

impl S3 {
    pub fn new(
        remote: String,
        endpoint: &BaseUrl,
        bucket: &str,
        folder: &str,
        keys: Keys,
    ) -> Result<Self, BucketError> {
        if keys.s3_keys().is_none() {
            return Err(BucketError::NoKeys { remote });
        }
        Ok(Self {
            http: HttpClient::new(endpoint, remote, KIND),
            keys,
            host: endpoint.host().to_owned(),
            path: format!("{}/{}", endpoint.path(), encode_path(bucket)),
            folder: if folder.is_empty() {
                String::new()
            } else {
                format!("{folder}/")
            },
        })
    }

    fn request(
        &self,
        request: &Request<'_>,
        body: RequestBody<'_, '_>,
    ) -> Result<Response<Body>, SyncError> {
        let path = match request.object {
            Some(name) => format!(
                "{}/{}",
                self.path,
                encode_path(&format!("{}{name}", self.folder))
            ),
            None => self.path.clone(),
        };
        let target = match request.query {
            "" => path.clone(),
            query => format!("{path}?{query}"),
        };
        self.http.send(
            (request.method, &target),
            || self.headers(request, &path),
            body,
        )
    }

    fn headers(&self, request: &Request<'_>, path: &str) -> Headers {
        // The constructor checked that there are keys.
        let Some(keys) = self.keys.s3_keys() else {
            return Headers::new();
        };
        let signer = Signer {
            key: keys.key,
            secret: keys.secret,
            token: keys.token,
            region: keys.region,
        };
        let signed = SignedRequest {
            method: request.method,
            host: &self.host,
            path,
            query: request.query,
            payload: request.digest,
        };
        let mut headers = signer.headers(&signed, holebook_core::notebook::now().to_utc());
        if request.from > 0 {
            headers.push(("range", format!("bytes={}-", request.from)));
        }
        headers
    }

    /// Lists one page; returns the continuation token of the next one.
    fn page(
        &self,
        prefix_name: &str,
        token: Option<&str>,
        each: &mut dyn FnMut(&str, u64),
    ) -> Result<Option<String>, SyncError> {
        let prefix = encode_query_value(&format!("{}{prefix_name}", self.folder));
        let token = token.map_or(String::new(), |token| {
            format!("continuation-token={}&", encode_query_value(token))
        });
        let query = format!("{token}list-type=2&prefix={prefix}");
        let request = Request {
            method: "GET",
            object: None,
            query: &query,
            digest: EMPTY_SHA256,
            from: 0,
        };
        let mut response = self.request(&request, RequestBody::Bytes(b""))?;
        if response.status() != 200 {
            return Err(self.http.error_context(None).s3_error(&mut response));
        }
        let lines = BufReader::new(limited_body(&mut response, MAX_PAGE_BYTES));
        let outside = xml::read(lines, "Contents", |object| {
            let name = object
                .get("Key")
                .and_then(|key| key.strip_prefix(&self.folder));
            let bytes = object.get("Size").and_then(|size| size.parse().ok());
            if let (Some(name), Some(bytes)) = (name, bytes) {
                each(name, bytes);
            }
        });
        let outside =
            outside.map_err(|error| self.http.error_context(None).listing_error(error))?;
        self.next(&outside)
    }

    fn next(&self, outside: &Texts) -> Result<Option<String>, SyncError> {
        let text = |name: &str| outside.get(name).map(String::as_str);
        let unexpected = |detail| Err(self.http.error_context(None).unexpected(detail));
        if text("") != Some("ListBucketResult") {
            return unexpected("it did not send a bucket listing");
        }
        match (text("IsTruncated"), text("NextContinuationToken")) {
            (Some("true"), Some(token)) if !token.is_empty() => Ok(Some(token.to_owned())),
            (Some("true"), _) => {
                unexpected("its listing is truncated and has no continuation token")
            }
            _ => Ok(None),
        }
    }
}

impl FileStore for S3 {
    fn interrupt(&self) {
        self.http.interrupt();
    }

    fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, SyncError> {
        let mut pages = 0;
        for prefix_name in PREFIXES {
            let mut token: Option<String> = None;
            loop {
                let next = self.page(prefix_name, token.as_deref(), each)?;
                pages += 1;
                if next.is_none() {
                    break;
                }
                if next == token || pages > MAX_PAGES {
                    return Err(self
                        .http
                        .error_context(None)
                        .unexpected("its listing does not end"));
                }
                token = next;
            }
        }
        Ok(true)
    }

    fn get(&self, name: &str, most: u64, into: &mut dyn Write) -> Result<(), SyncError> {
        let open = |from| {
            let request = Request {
                method: "GET",
                object: Some(name),
                query: "",
                digest: EMPTY_SHA256,
                from,
            };
            self.request(&request, RequestBody::Bytes(b""))
        };
        let broken = |detail| self.http.error_context(None).unreachable(detail);
        download(
            name,
            most,
            into,
            open,
            |response| self.http.error_context(Some(name)).s3_error(response),
            broken,
        )
    }

    fn put(&self, name: &str, upload: Upload<'_, '_>) -> Result<(), SyncError> {
        let computed;
        let (digest, body) = match upload {
            Upload::Bytes(bytes) => {
                computed = hex(&Sha256::digest(bytes));
                (&computed, RequestBody::Bytes(bytes))
            }
            Upload::Stream {
                from,
                bytes,
                digest,
            } => {
                computed = digest;
                (&computed, RequestBody::Stream(from, bytes))
            }
        };
        let request = Request {
            method: "PUT",
            object: Some(name),
            query: "",
            digest,
            from: 0,
        };
        let mut response = self.request(&request, body)?;
        match response.status().as_u16() {
            200..300 => Ok(()),
            _ => Err(self.http.error_context(Some(name)).s3_error(&mut response)),
        }
    }
}
