//! The shop computer as one that others are paired with: codes, devices, revoking.

use super::lan::{Reach, addresses, say_name};
use chrono::{DateTime, FixedOffset, Local, Utc};
use holebook_core::notebook::{Moved, Notebook};
use holebook_link::{LinkError, Offer, OfferState, Pairings, offer};
use holebook_screens::meeting::{self, Code, CodeState, Device, NotDone};
use std::sync::{Arc, Mutex, PoisonError};

/// What the pages of pairing draw from.
pub struct Host {
    notebook: Arc<Notebook>,
    pairings: Arc<Pairings>,
    reach: Reach,
    code: Mutex<Option<Offer>>,
}

impl Host {
    /// For a notebook that is reached so.
    pub fn new(notebook: Arc<Notebook>, pairings: Arc<Pairings>, reach: Reach) -> Self {
        Self {
            notebook,
            pairings,
            reach,
            code: Mutex::default(),
        }
    }

    fn port(&self) -> Result<u16, NotDone> {
        match &self.reach {
            Reach::At(port) => Ok(*port),
            Reach::Not(why) => Err(NotDone(why.clone())),
        }
    }

    fn state(&self, offer: &Offer) -> Result<CodeState, LinkError> {
        let store = self.pairings.store()?;
        Ok(match store.offer_state(offer.id())? {
            OfferState::Open { .. } => CodeState::Open,
            OfferState::Over | OfferState::TriedTooOften => CodeState::Over,
            OfferState::Used { device } => {
                let mut devices = store.devices()?.into_iter();
                let device = devices.find(|known| known.id == device);
                device.map_or(CodeState::Over, |device| CodeState::Used(device.name))
            }
        })
    }
}

impl meeting::Host for Host {
    fn reached_at(&self) -> Result<String, NotDone> {
        let port = self.port()?;
        let first = addresses(port).into_iter().next();
        Ok(match first.filter(|at| !at.ip().is_loopback()) {
            Some(address) => address.to_string(),
            None => format!("port {port}, from this computer alone, as it is on no network"),
        })
    }

    fn code(&self) -> Option<Code> {
        let code = self.code.lock().unwrap_or_else(PoisonError::into_inner);
        let offer = code.as_ref()?;
        Some(Code {
            words: offer.words().map(ToString::to_string).unwrap_or_default(),
            link: offer.link().to_owned(),
            picture_svg: offer.square_svg(),
            until: here(offer.until()),
            // A code whose fate cannot be read is not shown as good.
            state: self.state(offer).unwrap_or(CodeState::Over),
        })
    }

    fn make_code(&self) -> Result<(), NotDone> {
        let port = self.port()?;
        let store = self.pairings.store().map_err(NotDone::from)?;
        // The name may have been set, or changed, while the program was open.
        say_name(&self.notebook, store).map_err(NotDone::from)?;
        let fresh = offer(store, &addresses(port)).map_err(NotDone::from)?;
        let mut code = self.code.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(before) = code.replace(fresh) {
            store.take_back_offer(before.id()).map_err(NotDone::from)?;
        }
        Ok(())
    }

    fn withdraw_code(&self) -> Result<(), NotDone> {
        let code = self.code.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(offer) = code.as_ref() {
            let store = self.pairings.store().map_err(NotDone::from)?;
            store.take_back_offer(offer.id()).map_err(NotDone::from)?;
        }
        Ok(())
    }

    fn devices(&self) -> Result<Vec<Device>, NotDone> {
        if !self.pairings.is_there() {
            return Ok(Vec::new());
        }
        let store = self.pairings.store().map_err(NotDone::from)?;
        let devices = store.devices().map_err(NotDone::from)?;
        Ok(devices.into_iter().map(device).collect())
    }

    fn revoke(&self, device: &str) -> Result<(), NotDone> {
        let id = device.parse().map_err(|_| {
            NotDone("That is no device of the list; open the page again.".to_owned())
        })?;
        let store = self.pairings.store().map_err(NotDone::from)?;
        store.revoke(id).map_err(NotDone::from)
    }
}

/// The device as it sees its own exchange: it left what it brought here.
fn device(device: holebook_link::Device) -> Device {
    let number = |number: u64| usize::try_from(number).unwrap_or(usize::MAX);
    let last = device.last_exchange.map(|last| {
        let moved = Moved {
            entries_taken: number(last.passed.entries_taken),
            entries_left: number(last.passed.entries_brought),
            photos_taken: number(last.passed.photos_taken),
            photos_left: number(last.passed.photos_brought),
        };
        (here(last.at), moved)
    });
    Device {
        id: device.id.to_string(),
        name: device.name,
        paired_at: here(device.paired_at),
        last,
        revoked_at: device.revoked_at.map(here),
    }
}

fn here(at: DateTime<Utc>) -> DateTime<FixedOffset> {
    at.with_timezone(&Local).fixed_offset()
}
