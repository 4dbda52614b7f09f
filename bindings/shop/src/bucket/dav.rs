//! A WebDAV folder (RFC 4918): files are put under another name and moved to their own when all of them is there, since a server
//! may keep what came of a file whose sending broke off.

use super::address::{Site, encoded};
use super::ask::{Asker, Ended, Fields, Sent};
use super::fetch::fetch;
use super::keys::Keys;
use super::store::{Load, Store};
use super::xml::{self, Texts};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use holebook_core::exchange::ExchangeError;
use holebook_core::notebook::DeviceId;
use holebook_link::http::limited;
use percent_encoding::percent_decode_str;
use std::collections::BTreeSet;
use std::io::{BufReader, Write};
use std::sync::{Mutex, MutexGuard, PoisonError};
use ureq::Body;
use ureq::http::Response;

const KIND: &str = "WebDAV folder";
const JOURNAL: &str = "journal";
const PHOTOS: &str = "photos";
/// The most bytes of a list that are read: of some fifty thousand photos.
const LIST_BYTES: u64 = 64 << 20;
/// The most devices whose folders are asked for: each is a request of its own.
const MOST_DEVICES: usize = 10_000;
/// What a file is called until it is whole; not with a dot at its start, which some servers keep to themselves.
const UNFINISHED: &str = "unfinished-";
const ASKED: &[u8] = b"<?xml version=\"1.0\" encoding=\"utf-8\"?><propfind xmlns=\"DAV:\"><prop><resourcetype/><getcontentlength/></prop></propfind>";

/// A WebDAV folder.
pub struct Dav<'w> {
    asker: Asker<'w>,
    /// The value of the `Authorization` field.
    login: Option<String>,
    origin: String,
    /// The folder's path, percent-encoded, without a slash at its end.
    path: String,
    /// Whether the folder may be made where only its last part is missing.
    makes: bool,
    /// The folders in it that are there.
    folders: Mutex<BTreeSet<String>>,
}

/// What lies in a folder.
struct Held {
    name: String,
    /// None for a folder.
    bytes: Option<u64>,
}

impl<'w> Dav<'w> {
    pub fn new(shelf: String, site: &Site, keys: &Keys, makes: bool, ended: &'w Ended<'w>) -> Self {
        let login = keys.of_folder();
        let login = login.map(|(user, password)| {
            format!("Basic {}", STANDARD.encode(format!("{user}:{password}")))
        });
        Self {
            asker: Asker::new(site, shelf, KIND, ended),
            login,
            origin: site.origin(),
            path: site.path().to_owned(),
            makes,
            folders: Mutex::default(),
        }
    }

    fn ask(
        &self,
        method: &str,
        name: &str,
        fields: &[(&'static str, String)],
        body: Sent<'_, '_>,
    ) -> Result<Response<Body>, ExchangeError> {
        let login = self
            .login
            .iter()
            .map(|login| ("authorization", login.clone()));
        let all = || -> Fields { fields.iter().cloned().chain(login.clone()).collect() };
        self.asker.ask((method, &self.place(name)), all, body)
    }

    /// Where a file is; a folder's name ends with a slash.
    fn place(&self, name: &str) -> String {
        format!("{}/{}", self.path, encoded(name))
    }

    /// What lies in a folder, told one after the other; `false` where there is no such folder.
    fn held(&self, folder: &str, each: &mut dyn FnMut(Held)) -> Result<bool, ExchangeError> {
        let found = self.properties(&format!("{folder}/"), "1", &mut |texts| each(held(&texts)))?;
        if found {
            self.folders().insert(folder.to_owned());
        }
        Ok(found)
    }

    /// Asks for the sizes of a file, or of all in a folder; `false` where there is no such file.
    fn properties(
        &self,
        name: &str,
        depth: &str,
        each: &mut dyn FnMut(Texts),
    ) -> Result<bool, ExchangeError> {
        let fields = [
            ("depth", depth.to_owned()),
            ("content-type", "application/xml; charset=utf-8".to_owned()),
        ];
        let mut response = self.ask("PROPFIND", name, &fields, Sent::Bytes(ASKED))?;
        match response.status().as_u16() {
            207 => {}
            404 => return Ok(false),
            _ => return Err(self.refused(&mut response, None)),
        }
        let lines = BufReader::new(limited(&mut response, LIST_BYTES));
        let around = xml::read(lines, "response", each)
            .map_err(|flaw| self.asker.says(None).flawed(flaw))?;
        match around.get("").map(String::as_str) {
            Some("multistatus") => Ok(true),
            _ => Err(self
                .asker
                .says(None)
                .strange("what it sent is no list of a folder")),
        }
    }

    /// Sees that the shelf's own folder is there; gives `false` where it had to be made.
    fn enter(&self) -> Result<bool, ExchangeError> {
        if self.properties("", "0", &mut |_| {})? {
            return Ok(true);
        }
        if !self.makes {
            return Err(self
                .no("is not there; see its address, or name it anew (--bucket) to have it made"));
        }
        let mut response = self.ask("MKCOL", "", &[], Sent::Bytes(b""))?;
        match response.status().as_u16() {
            200..300 => Ok(false),
            404 | 409 => {
                Err(self
                    .no("is not there, nor is the folder that it should lie in; see its address"))
            }
            _ => {
                let refused = self.refused(&mut response, None);
                self.another_made("", refused).map(|()| false)
            }
        }
    }

    /// A folder that was not to be made is there where another device was quicker. The answer is 405 then (RFC 4918, section
    /// 9.3.1), and 403 from Apache when both are at it in the same moment.
    fn another_made(&self, folder: &str, refused: ExchangeError) -> Result<(), ExchangeError> {
        match self.properties(folder, "0", &mut |_| {})? {
            true => Ok(()),
            false => Err(refused),
        }
    }

    /// Makes the folders that a file lies in, where they are not known to be there.
    fn make_way(&self, name: &str) -> Result<(), ExchangeError> {
        for (at, _) in name.match_indices('/') {
            let folder = &name[..at];
            if self.folders().contains(folder) {
                continue;
            }
            let place = format!("{folder}/");
            let mut response = self.ask("MKCOL", &place, &[], Sent::Bytes(b""))?;
            if !response.status().is_success() {
                let refused = self.refused(&mut response, Some(folder));
                self.another_made(&place, refused)?;
            }
            self.folders().insert(folder.to_owned());
        }
        Ok(())
    }

    /// How many bytes of a file are there.
    fn bytes_of(&self, name: &str) -> Result<Option<u64>, ExchangeError> {
        let mut bytes = None;
        self.properties(name, "0", &mut |texts| bytes = held(&texts).bytes)?;
        Ok(bytes)
    }

    /// Sees that a file is whole, and gives it its name.
    fn finish(&self, unfinished: &str, name: &str, bytes: u64) -> Result<(), ExchangeError> {
        if self.bytes_of(unfinished)? != Some(bytes) {
            return Err(self
                .asker
                .says(None)
                .unreachable("not all of a file arrived there".to_owned()));
        }
        let to = format!("{}{}", self.origin, self.place(name));
        let fields = [("destination", to), ("overwrite", "T".to_owned())];
        let mut response = self.ask("MOVE", unfinished, &fields, Sent::Bytes(b""))?;
        match response.status().as_u16() {
            200..300 => Ok(()),
            // Where the answer to a first try was lost, it is done.
            404 if self.bytes_of(name)? == Some(bytes) => Ok(()),
            405 | 501 | 502 => Err(self.no(
                "does not let files be renamed, which a shelf needs; use another folder or server",
            )),
            _ => Err(self.refused(&mut response, Some(name))),
        }
    }

    fn folders(&self) -> MutexGuard<'_, BTreeSet<String>> {
        self.folders.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Why the answer is not the one hoped for; `file` is what it was about.
    fn refused(&self, response: &mut Response<Body>, file: Option<&str>) -> ExchangeError {
        self.asker.says(file).of_dav(response, self.login.is_some())
    }

    fn no(&self, why: &str) -> ExchangeError {
        self.asker.says(None).no(why)
    }
}

impl Store for Dav<'_> {
    fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, ExchangeError> {
        let mut devices = BTreeSet::new();
        let mut tell = |folder: &str, held: Held| {
            if let Some(bytes) = held.bytes {
                each(&format!("{folder}/{}", held.name), bytes);
            }
        };
        let journal = self.held(JOURNAL, &mut |held| {
            let device = held.name.parse::<DeviceId>().ok();
            let is_it = |device: &DeviceId| held.bytes.is_none() && device.to_string() == held.name;
            devices.extend(device.filter(is_it));
        })?;
        let photos = self.held(PHOTOS, &mut |held| tell(PHOTOS, held))?;
        if devices.len() > MOST_DEVICES {
            let strange = self
                .asker
                .says(None)
                .strange("it has more devices than any shop");
            return Err(strange);
        }
        for device in devices {
            let folder = format!("{JOURNAL}/{device}");
            self.held(&folder, &mut |held| tell(&folder, held))?;
        }
        if journal || photos {
            Ok(true)
        } else {
            self.enter()
        }
    }

    fn get(&self, name: &str, most: u64, into: &mut dyn Write) -> Result<(), ExchangeError> {
        let open = |from: u64| {
            let range = (from > 0).then(|| ("range", format!("bytes={from}-")));
            let fields: Vec<_> = range.into_iter().collect();
            self.ask("GET", name, &fields, Sent::Bytes(b""))
        };
        let broke = |detail| self.asker.says(None).unreachable(detail);
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
        self.make_way(name)?;
        let folder = name.rsplit_once('/').map_or("", |(folder, _)| folder);
        let number = getrandom::u64()
            .map_err(|error| self.asker.says(None).unreachable(error.to_string()))?;
        let unfinished = format!("{folder}/{UNFINISHED}{number:016x}");
        let (bytes, body) = match load {
            Load::Bytes(all) => (all.len() as u64, Sent::Bytes(all)),
            Load::Stream { from, bytes, .. } => (bytes, Sent::Stream(from, bytes)),
        };
        let put = self.ask("PUT", &unfinished, &[], body);
        let put = put.and_then(|mut response| match response.status().as_u16() {
            200..300 => self.finish(&unfinished, name, bytes),
            _ => Err(self.refused(&mut response, Some(name))),
        });
        if put.is_err() {
            // What is left of it is in nobody's way; that it could not be taken away is not what went wrong.
            let login = self
                .login
                .iter()
                .map(|login| ("authorization", login.clone()));
            self.asker
                .try_once(("DELETE", &self.place(&unfinished)), login.collect());
        }
        put
    }
}

/// What a server says of a file: by the last part of its address, whatever it takes for the rest.
fn held(texts: &Texts) -> Held {
    let place = texts.get("href").map_or("", String::as_str);
    let last = place
        .trim_end_matches('/')
        .rsplit('/')
        .next()
        .unwrap_or_default();
    let bytes = texts
        .get("getcontentlength")
        .and_then(|bytes| bytes.parse().ok());
    Held {
        name: percent_decode_str(last).decode_utf8_lossy().into_owned(),
        bytes: bytes.filter(|_| !texts.contains_key("collection")),
    }
}
