//! Pairing codes and paired devices of the shop computer, for its pages.

use super::{Reachability, addresses, update_name};
use crate::service::Remotes;
use crate::{OfferState, PairingError, PairingOffer, create_offer};
use chrono::{DateTime, FixedOffset, Local, Utc};
use holebook_core::notebook::SyncCounts;
use holebook_screens::sync_backend::{
    self, PairedDevice, PairingCode, PairingCodeState, SyncRefused,
};
use std::sync::{Arc, Mutex, PoisonError};

/// The shop computer as the pages' [`PairingServer`](sync_backend::PairingServer).
pub struct LanPairingServer {
    remotes: Arc<Remotes>,
    reachability: Reachability,
    code: Mutex<Option<PairingOffer>>,
}

impl LanPairingServer {
    /// Creates the pairing server of a notebook that can be reached as given.
    #[must_use]
    pub fn new(remotes: Arc<Remotes>, reachability: Reachability) -> Self {
        Self {
            remotes,
            reachability,
            code: Mutex::default(),
        }
    }

    fn port(&self) -> Result<u16, SyncRefused> {
        match &self.reachability {
            Reachability::Port(port) => Ok(*port),
            Reachability::Unreachable(why) => Err(SyncRefused(why.clone())),
        }
    }

    fn state(&self, offer: &PairingOffer) -> Result<PairingCodeState, PairingError> {
        let store = self.remotes.pairings().store()?;
        Ok(match store.offer_state(offer.id())? {
            OfferState::Open {
                digits, renewed, ..
            } => PairingCodeState::Open {
                digits: digits.to_string(),
                renewed: renewed > 0,
            },
            OfferState::Expired => PairingCodeState::Expired,
            OfferState::Used { device } => {
                let mut devices = store.devices()?.into_iter();
                let device = devices.find(|known| known.id == device);
                device.map_or(PairingCodeState::Expired, |device| {
                    PairingCodeState::Used(device.name)
                })
            }
        })
    }
}

impl sync_backend::PairingServer for LanPairingServer {
    fn address(&self) -> Result<String, SyncRefused> {
        let port = self.port()?;
        let first = addresses(port).into_iter().next();
        Ok(match first.filter(|at| !at.ip().is_loopback()) {
            Some(address) => address.to_string(),
            None => format!("port {port}, from this computer only, since it is on no network"),
        })
    }

    fn code(&self) -> Option<PairingCode> {
        let code = self.code.lock().unwrap_or_else(PoisonError::into_inner);
        let offer = code.as_ref()?;
        Some(PairingCode {
            address: offer.typed_address(),
            link: offer.link().to_owned(),
            picture_svg: offer.qr_svg(),
            until: here(offer.expires_at()),
            // A code whose state cannot be read is not shown as open.
            state: self.state(offer).unwrap_or(PairingCodeState::Expired),
        })
    }

    fn create_code(&self) -> Result<(), SyncRefused> {
        let port = self.port()?;
        let store = self.remotes.pairings().store().map_err(SyncRefused::new)?;
        // The name may have changed while the program was open.
        update_name(self.remotes.notebook(), store).map_err(SyncRefused::new)?;
        let fresh = create_offer(store, &addresses(port)).map_err(SyncRefused::new)?;
        let mut code = self.code.lock().unwrap_or_else(PoisonError::into_inner);
        *code = Some(fresh);
        Ok(())
    }

    fn cancel_code(&self) -> Result<(), SyncRefused> {
        let code = self.code.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(offer) = code.as_ref() {
            let store = self.remotes.pairings().store().map_err(SyncRefused::new)?;
            store.cancel_offer(offer.id()).map_err(SyncRefused::new)?;
        }
        Ok(())
    }

    fn devices(&self) -> Result<Vec<PairedDevice>, SyncRefused> {
        if !self.remotes.pairings().exists() {
            return Ok(Vec::new());
        }
        let store = self.remotes.pairings().store().map_err(SyncRefused::new)?;
        let devices = store.devices().map_err(SyncRefused::new)?;
        Ok(devices.into_iter().map(device).collect())
    }

    fn revoke(&self, device: &str) -> Result<(), SyncRefused> {
        let id = device.parse().map_err(|_| {
            SyncRefused("That device is not on the list. Open the page again.".to_owned())
        })?;
        let store = self.remotes.pairings().store().map_err(SyncRefused::new)?;
        store.revoke(id).map_err(SyncRefused::new)
    }
}

/// The device with its last sync as seen by itself.
fn device(device: crate::PairedDevice) -> PairedDevice {
    let number = |number: u64| u32::try_from(number).unwrap_or(u32::MAX);
    let last = device.last_sync.map(|last| {
        let moved = SyncCounts {
            entries_pulled: number(last.counts.entries_pulled),
            entries_pushed: number(last.counts.entries_pushed),
            photos_pulled: number(last.counts.photos_pulled),
            photos_pushed: number(last.counts.photos_pushed),
        };
        (here(last.at), moved)
    });
    PairedDevice {
        id: device.id.to_string(),
        name: device.name,
        paired_at: here(device.paired_at),
        last_sync: last,
        revoked_at: device.revoked_at.map(here),
    }
}

fn here(at: DateTime<Utc>) -> DateTime<FixedOffset> {
    at.with_timezone(&Local).fixed_offset()
}
