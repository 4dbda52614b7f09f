//! The shop computer's shelf, as one of the shelves that an exchange knows.

use super::ask::{self, Asker, Silence};
use super::carry::Carrier;
use super::pinned;
use super::reach::{self, Miss};
use crate::http::{Once, limited};
use crate::key::Pin;
use crate::store::{Shop, Store};
use crate::wire::{self, DONE, FROM, LINES_BYTES, PHOTOS, SHELF};
use crate::{Fingerprint, LinkError};
use holebook_core::exchange::{ExchangeError, Problem, Shelf, Stretch, Survey};
use holebook_core::photo::{LARGEST_FILE_BYTES, PhotoHash};
use std::io::{BufReader, Read, Write};
use std::net::SocketAddr;
use ureq::http::{Response, header};
use ureq::{Body, SendBody};

/// How much of a photo is passed on at once, in bytes.
const PASSED_ON: usize = 128 << 10;

/// The shelf of a shop computer that this device is paired with. Nothing is asked of the network before it is used.
///
/// It may be used by several threads at once; each has a connection of its own, which is kept for the next request.
#[derive(Debug)]
pub struct LanShelf {
    store: Store,
    shop: Shop,
    asker: Asker,
}

impl LanShelf {
    /// The shelf of the shop computer with the key of this fingerprint. `more` are addresses at which it may be beside
    /// those where it has been. The address where it answers is remembered.
    ///
    /// # Errors
    /// [`LinkError::NotPaired`], and where the pairings cannot be read.
    pub fn open(
        store: &Store,
        fingerprint: &Fingerprint,
        more: &[SocketAddr],
    ) -> Result<Self, LinkError> {
        let paired = store.paired(fingerprint)?;
        let config = pinned::config(Pin::Whole(*fingerprint));
        let config = config.map_err(|error| LinkError::Answer {
            detail: error.to_string(),
        })?;
        let mut addresses = paired.shop.addresses.clone();
        addresses.extend(
            more.iter()
                .filter(|more| !paired.shop.addresses.contains(more)),
        );
        let carrier = Carrier::new(config, addresses);
        Ok(Self {
            store: store.clone(),
            asker: Asker::new(carrier, Some(&paired.token)),
            shop: paired.shop,
        })
    }

    /// Has `finder` look for the shop computer where it does not answer at any address that is known. It is asked at most
    /// once, and may take some seconds.
    #[must_use]
    pub fn with_finder(
        self,
        finder: impl Fn(&Fingerprint) -> Vec<SocketAddr> + Send + Sync + 'static,
    ) -> Self {
        let carrier = &self.asker.carrier;
        carrier.set_finder(self.shop.fingerprint, Box::new(finder));
        self
    }

    /// The shop computer.
    #[must_use]
    pub fn shop(&self) -> &Shop {
        &self.shop
    }

    /// Asks again once where a connection that was kept turns out to be closed.
    fn ask(
        &self,
        what: (&str, &str),
        fields: &[(header::HeaderName, String)],
        body: &[u8],
    ) -> Result<Response<Body>, ExchangeError> {
        let first = self.asker.ask(what, fields, body);
        let answer = match first {
            Err(Silence::Broke(_)) => self.asker.ask(what, fields, body),
            answer => answer,
        };
        answer.map_err(|silence| self.not_reached(&silence))
    }

    fn not_reached(&self, silence: &Silence) -> ExchangeError {
        match silence {
            Silence::Miss(Miss::WrongKey(_)) => ExchangeError::NotLetIn {
                shelf: self.name(),
                why: "was not found; another computer answers at its address, and it was told nothing. \
                      Open Holebook on the shop computer, or pair again if its notebook was made anew"
                    .to_owned(),
            },
            other => self.broke(other.to_string()),
        }
    }

    fn broke(&self, detail: String) -> ExchangeError {
        ExchangeError::Unreachable {
            shelf: self.name(),
            detail,
        }
    }

    /// Why the answer is not the one hoped for; `file` is what it was about.
    fn refused(&self, response: &mut Response<Body>, file: &str) -> ExchangeError {
        let shelf = self.name();
        let status = response.status().as_u16();
        let said = ask::sentence(response);
        let told = |otherwise: &str| {
            if said.is_empty() {
                otherwise.to_owned()
            } else {
                said.clone()
            }
        };
        match status {
            401 => ExchangeError::NotLetIn {
                shelf,
                why: "does not know this device; pair it again".to_owned(),
            },
            403 => ExchangeError::NotLetIn {
                shelf,
                why: "no longer lets this device in, since it was revoked there; pair it again if that was not meant".to_owned(),
            },
            507 => ExchangeError::ShelfFull { shelf },
            404 | 413 | 422 => ExchangeError::File(Problem {
                file: file.to_owned(),
                why: told("it is not there"),
            }),
            408 | 503 => self.broke(told("it is busy")),
            _ => ExchangeError::Shelf {
                file: format!("{file} at {shelf}"),
                detail: told(&format!("status {status}")),
            },
        }
    }

    /// Remembers where it answered. Should that fail, it is looked for again next time.
    fn note_address(&self) {
        if let Some((address, _)) = self.asker.carrier.found() {
            let _ = self.store.note_address(&self.shop.fingerprint, address);
        }
    }

    /// That the time of an exchange could not be noted is no reason to say that the exchange failed.
    fn note_exchange(&self) {
        let _ = self.store.note_exchange(&self.shop.fingerprint);
    }
}

impl Shelf for LanShelf {
    fn id(&self) -> String {
        self.shop.shelf_id()
    }

    fn name(&self) -> String {
        self.shop.shelf_name()
    }

    fn survey(&self, known: Option<&str>) -> Result<Option<Survey>, ExchangeError> {
        let tag = known.map(|state| (header::IF_NONE_MATCH, format!("\"{state}\"")));
        let fields: Vec<_> = tag.into_iter().collect();
        let mut response = self.ask(("GET", SHELF), &fields, b"")?;
        match response.status().as_u16() {
            304 if known.is_some() => {
                self.note_address();
                self.note_exchange();
                Ok(None)
            }
            200 => {
                self.note_address();
                let state = state_of(&response);
                let lines = BufReader::new(limited(&mut response, u64::MAX));
                let survey = wire::read_survey(lines, state);
                survey
                    .map(Some)
                    .map_err(|error| self.broke(error.to_string()))
            }
            _ => Err(self.refused(&mut response, "its list")),
        }
    }

    fn lines(&self, stretch: &Stretch, from: u64) -> Result<Vec<u8>, ExchangeError> {
        let path = format!("/{stretch}?{FROM}={from}");
        let mut response = self.ask(("GET", &path), &[], b"")?;
        if response.status() != 200 {
            return Err(self.refused(&mut response, &stretch.to_string()));
        }
        let lines = ask::whole(&mut response, LINES_BYTES);
        lines.map_err(|error| self.broke(error.to_string()))
    }

    fn leave_lines(&self, stretch: &Stretch, lines: &[u8]) -> Result<(), ExchangeError> {
        let path = format!("/{stretch}");
        let mut response = self.ask(("PUT", &path), &[go_on()], lines)?;
        if response.status() != 204 {
            return Err(self.refused(&mut response, &stretch.to_string()));
        }
        Ok(())
    }

    fn photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), ExchangeError> {
        let file = format!("{PHOTOS}{photo}");
        let mut response = self.ask(("GET", &format!("/{file}")), &[], b"")?;
        if response.status() != 200 {
            return Err(self.refused(&mut response, &file));
        }
        let mut piece = vec![0; PASSED_ON];
        let mut from = limited(&mut response, LARGEST_FILE_BYTES + 1);
        loop {
            let read = from.read(&mut piece);
            match read.map_err(|error| self.broke(reach::plain(&error)))? {
                0 => return Ok(()),
                read => into
                    .write_all(&piece[..read])
                    .map_err(|error| ExchangeError::Shelf {
                        file: file.clone(),
                        detail: error.to_string(),
                    })?,
            }
        }
    }

    fn leave_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), ExchangeError> {
        let file = format!("{PHOTOS}{photo}");
        let path = format!("/{file}");
        let fields = [go_on(), (header::CONTENT_LENGTH, bytes.to_string())];
        let mut from = Once::new(from);
        let mut answer = self
            .asker
            .ask(("PUT", &path), &fields, SendBody::from_reader(&mut from));
        if matches!(answer, Err(Silence::Broke(_))) && !from.is_touched() {
            answer = self
                .asker
                .ask(("PUT", &path), &fields, SendBody::from_reader(&mut from));
        }
        if let Some(error) = from.failed() {
            let why = format!("it could not be read here ({error})");
            return Err(ExchangeError::File(Problem { file, why }));
        }
        let mut response = answer.map_err(|silence| self.not_reached(&silence))?;
        if response.status() != 204 {
            return Err(self.refused(&mut response, &file));
        }
        Ok(())
    }

    fn finish(&self) -> Result<(), ExchangeError> {
        let mut response = self.ask(("POST", DONE), &[], b"")?;
        if response.status() != 204 {
            return Err(self.refused(&mut response, "the end of the exchange"));
        }
        self.note_exchange();
        Ok(())
    }
}

/// Has the other end say that it wants the body before it is sent, so that a refusal costs nothing and is read.
fn go_on() -> (header::HeaderName, String) {
    (header::EXPECT, "100-continue".to_owned())
}

/// The state that a survey came with, if it is one that can be sent back.
fn state_of(response: &Response<Body>) -> Option<String> {
    let tag = response.headers().get(header::ETAG)?.to_str().ok()?;
    let state = tag.strip_prefix('"')?.strip_suffix('"')?;
    let fits =
        (1..=128).contains(&state.len()) && state.bytes().all(|byte| byte.is_ascii_alphanumeric());
    fits.then(|| state.to_owned())
}
