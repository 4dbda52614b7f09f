//! A WebDAV folder (RFC 4918): files are uploaded under a temporary name and renamed when complete,
//! since a server may keep a partial file if the upload breaks off.

use super::address::{BaseUrl, encode_path};
use super::download::download;
use super::file_store::{FileStore, Upload};
use super::http_client::{Headers, HttpClient, RequestBody};
use super::keys::Keys;
use super::xml::{self, Texts};
use crate::http::limited_body;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use holebook_core::notebook::DeviceId;
use holebook_core::sync::SyncError;
use percent_encoding::percent_decode_str;
use std::collections::BTreeSet;
use std::io::{BufReader, Write};
use std::sync::{Mutex, MutexGuard, PoisonError};
use ureq::Body;
use ureq::http::Response;

const KIND: &str = "a WebDAV folder";
const JOURNAL: &str = "journal";
const PHOTOS: &str = "photos";
/// The most bytes of a listing: about fifty thousand photos.
const MAX_LISTING_BYTES: u64 = 64 << 20;
/// The most devices whose folders are listed, with one request each.
const MAX_DEVICES: usize = 10_000;
/// Prefix of temporary files; without a leading dot, since some servers reserve such names.
const TEMP_PREFIX: &str = "unfinished-";
const PROPFIND_BODY: &[u8] = b"<?xml version=\"1.0\" encoding=\"utf-8\"?><propfind xmlns=\"DAV:\"><prop><resourcetype/><getcontentlength/></prop></propfind>";

/// A WebDAV folder.
pub struct WebDav {
    http: HttpClient,
    /// The value of the `Authorization` header.
    login: Option<String>,
    origin: String,
    /// The folder's path, percent-encoded, without a trailing slash.
    path: String,
    /// Whether the folder may be created if its parent exists.
    may_create: bool,
    /// Its subfolders that are known to exist.
    folders: Mutex<BTreeSet<String>>,
}

/// A file or folder in a listing.
struct RemoteFile {
    name: String,
    /// Its size in bytes; none for a folder.
    bytes: Option<u64>,
}

impl WebDav {
    pub fn new(remote: String, url: &BaseUrl, keys: &Keys, may_create: bool) -> Self {
        let login = keys.webdav_login();
        let login = login.map(|(user, password)| {
            format!("Basic {}", STANDARD.encode(format!("{user}:{password}")))
        });
        Self {
            http: HttpClient::new(url, remote, KIND),
            login,
            origin: url.origin(),
            path: url.path().to_owned(),
            may_create,
            folders: Mutex::default(),
        }
    }

    fn request(
        &self,
        method: &str,
        name: &str,
        headers: &[(&'static str, String)],
        body: RequestBody<'_, '_>,
    ) -> Result<Response<Body>, SyncError> {
        let login = self
            .login
            .iter()
            .map(|login| ("authorization", login.clone()));
        let all = || -> Headers { headers.iter().cloned().chain(login.clone()).collect() };
        self.http.send((method, &self.path_of(name)), all, body)
    }

    /// The path of a file; a folder's name ends with a slash.
    fn path_of(&self, name: &str) -> String {
        format!("{}/{}", self.path, encode_path(name))
    }

    /// Calls `each` for everything in a folder; returns `false` if the folder does not exist.
    fn list_folder(
        &self,
        folder: &str,
        each: &mut dyn FnMut(RemoteFile),
    ) -> Result<bool, SyncError> {
        let found = self.properties(&format!("{folder}/"), "1", &mut |texts| {
            each(remote_file(&texts))
        })?;
        if found {
            self.folders().insert(folder.to_owned());
        }
        Ok(found)
    }

    /// Requests the size of a file, or of everything in a folder; returns `false` if it does not
    /// exist.
    fn properties(
        &self,
        name: &str,
        depth: &str,
        each: &mut dyn FnMut(Texts),
    ) -> Result<bool, SyncError> {
        let headers = [
            ("depth", depth.to_owned()),
            ("content-type", "application/xml; charset=utf-8".to_owned()),
        ];
        let mut response = self.request(
            "PROPFIND",
            name,
            &headers,
            RequestBody::Bytes(PROPFIND_BODY),
        )?;
        match response.status().as_u16() {
            207 => {}
            404 => return Ok(false),
            _ => return Err(self.response_error(&mut response, None)),
        }
        let lines = BufReader::new(limited_body(&mut response, MAX_LISTING_BYTES));
        let outside = xml::read(lines, "response", each)
            .map_err(|error| self.http.error_context(None).listing_error(error))?;
        match outside.get("").map(String::as_str) {
            Some("multistatus") => Ok(true),
            _ => Err(self
                .http
                .error_context(None)
                .unexpected("it did not send a folder listing")),
        }
    }

    /// Ensures that the remote's own folder exists; returns `false` if it was created.
    fn open_root(&self) -> Result<bool, SyncError> {
        if self.properties("", "0", &mut |_| {})? {
            return Ok(true);
        }
        if !self.may_create {
            return Err(self.refused(
                "does not exist; check its address, or name it again (--bucket) to create it",
            ));
        }
        let mut response = self.request("MKCOL", "", &[], RequestBody::Bytes(b""))?;
        match response.status().as_u16() {
            200..300 => Ok(false),
            404 | 409 => {
                Err(self.refused("does not exist, nor does its parent folder; check its address"))
            }
            _ => {
                let error = self.response_error(&mut response, None);
                self.accept_if_exists("", error).map(|()| false)
            }
        }
    }

    /// A folder that could not be created exists if another device was faster. The status is 405
    /// then (RFC 4918, section 9.3.1), and 403 from Apache if both try at the same moment.
    fn accept_if_exists(&self, folder: &str, error: SyncError) -> Result<(), SyncError> {
        match self.properties(folder, "0", &mut |_| {})? {
            true => Ok(()),
            false => Err(error),
        }
    }

    /// Creates the folders of a file, unless they are known to exist.
    fn create_parents(&self, name: &str) -> Result<(), SyncError> {
        for (at, _) in name.match_indices('/') {
            let folder = &name[..at];
            if self.folders().contains(folder) {
                continue;
            }
            let path = format!("{folder}/");
            let mut response = self.request("MKCOL", &path, &[], RequestBody::Bytes(b""))?;
            if !response.status().is_success() {
                let error = self.response_error(&mut response, Some(folder));
                self.accept_if_exists(&path, error)?;
            }
            self.folders().insert(folder.to_owned());
        }
        Ok(())
    }

    /// The size of a file in bytes.
    fn size_of(&self, name: &str) -> Result<Option<u64>, SyncError> {
        let mut bytes = None;
        self.properties(name, "0", &mut |texts| bytes = remote_file(&texts).bytes)?;
        Ok(bytes)
    }

    /// Checks that an upload is complete, and renames it.
    fn finish(&self, temp_name: &str, name: &str, bytes: u64) -> Result<(), SyncError> {
        if self.size_of(temp_name)? != Some(bytes) {
            return Err(self
                .http
                .error_context(None)
                .unreachable("a file did not arrive completely".to_owned()));
        }
        let to = format!("{}{}", self.origin, self.path_of(name));
        let headers = [("destination", to), ("overwrite", "T".to_owned())];
        let mut response = self.request("MOVE", temp_name, &headers, RequestBody::Bytes(b""))?;
        match response.status().as_u16() {
            200..300 => Ok(()),
            // It is done if the response to the first attempt was lost.
            404 if self.size_of(name)? == Some(bytes) => Ok(()),
            405 | 501 | 502 => Err(self.refused(
                "does not allow renaming files, which a remote needs; use another folder or server",
            )),
            _ => Err(self.response_error(&mut response, Some(name))),
        }
    }

    fn folders(&self) -> MutexGuard<'_, BTreeSet<String>> {
        self.folders.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The error of a response about `file`.
    fn response_error(&self, response: &mut Response<Body>, file: Option<&str>) -> SyncError {
        self.http
            .error_context(file)
            .webdav_error(response, self.login.is_some())
    }

    fn refused(&self, reason: &str) -> SyncError {
        self.http.error_context(None).refused(reason)
    }
}

impl FileStore for WebDav {
    fn interrupt(&self) {
        self.http.interrupt();
    }

    fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, SyncError> {
        let mut devices = BTreeSet::new();
        let mut add = |folder: &str, file: RemoteFile| {
            if let Some(bytes) = file.bytes {
                each(&format!("{folder}/{}", file.name), bytes);
            }
        };
        let journal = self.list_folder(JOURNAL, &mut |file| {
            let device = file.name.parse::<DeviceId>().ok();
            let is_device =
                |device: &DeviceId| file.bytes.is_none() && device.to_string() == file.name;
            devices.extend(device.filter(is_device));
        })?;
        let photos = self.list_folder(PHOTOS, &mut |file| add(PHOTOS, file))?;
        if devices.len() > MAX_DEVICES {
            let error = self
                .http
                .error_context(None)
                .unexpected("it lists too many devices");
            return Err(error);
        }
        for device in devices {
            let folder = format!("{JOURNAL}/{device}");
            self.list_folder(&folder, &mut |file| add(&folder, file))?;
        }
        if journal || photos {
            Ok(true)
        } else {
            self.open_root()
        }
    }

    fn get(&self, name: &str, most: u64, into: &mut dyn Write) -> Result<(), SyncError> {
        let open = |from: u64| {
            let range = (from > 0).then(|| ("range", format!("bytes={from}-")));
            let headers: Vec<_> = range.into_iter().collect();
            self.request("GET", name, &headers, RequestBody::Bytes(b""))
        };
        let broken = |detail| self.http.error_context(None).unreachable(detail);
        download(
            name,
            most,
            into,
            open,
            |response| self.response_error(response, Some(name)),
            broken,
        )
    }

    fn put(&self, name: &str, upload: Upload<'_, '_>) -> Result<(), SyncError> {
        self.create_parents(name)?;
        let folder = name.rsplit_once('/').map_or("", |(folder, _)| folder);
        let number = getrandom::u64()
            .map_err(|error| self.http.error_context(None).unreachable(error.to_string()))?;
        let temp_name = format!("{folder}/{TEMP_PREFIX}{number:016x}");
        let (bytes, body) = match upload {
            Upload::Bytes(all) => (all.len() as u64, RequestBody::Bytes(all)),
            Upload::Stream { from, bytes, .. } => (bytes, RequestBody::Stream(from, bytes)),
        };
        let put = self.request("PUT", &temp_name, &[], body);
        let put = put.and_then(|mut response| match response.status().as_u16() {
            200..300 => self.finish(&temp_name, name, bytes),
            _ => Err(self.response_error(&mut response, Some(name))),
        });
        if put.is_err() {
            // A leftover is harmless, and failing to delete it is not the error to report.
            let login = self
                .login
                .iter()
                .map(|login| ("authorization", login.clone()));
            self.http
                .try_once(("DELETE", &self.path_of(&temp_name)), login.collect());
        }
        put
    }
}

/// A file in the server's listing, identified by the last part of its path only.
fn remote_file(texts: &Texts) -> RemoteFile {
    let path = texts.get("href").map_or("", String::as_str);
    let last = path
        .trim_end_matches('/')
        .rsplit('/')
        .next()
        .unwrap_or_default();
    let bytes = texts
        .get("getcontentlength")
        .and_then(|bytes| bytes.parse().ok());
    RemoteFile {
        name: percent_decode_str(last).decode_utf8_lossy().into_owned(),
        bytes: bytes.filter(|_| !texts.contains_key("collection")),
    }
}
