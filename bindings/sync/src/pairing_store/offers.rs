//! Pairing offers: the codes that this computer created. They are kept for a day after they expire,
//! so that an old code can be told from a wrong one.

use super::{PairingStore, devices};
use crate::PairingError;
use crate::clock::from_ms;
use crate::names;
use crate::secret::Digest;
use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension as _, params};

/// How long a code is valid.
const VALID_MS: i64 = 10 * 60 * 1000;
/// After this many wrong codes, no open code works any more.
const MAX_WRONG_TRIES: u32 = 5;
/// How long a used or expired code is kept.
const REMEMBERED_MS: i64 = 24 * 60 * 60 * 1000;

/// The state of a pairing code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OfferState {
    /// It can be used.
    Open {
        /// When it expires.
        expires_at: DateTime<Utc>,
        /// How many wrong codes were tried since it was created.
        wrong_tries: u32,
    },
    /// A device paired with it.
    Used {
        /// The device's number.
        device: i64,
    },
    /// It expired or was canceled.
    Expired,
    /// Too many wrong codes were tried.
    TooManyTries,
}

/// The result of redeeming the secret of a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Redeemed {
    /// The device is paired and has this number.
    Paired(i64),
    Unknown,
    Used,
    Expired,
}

/// A row of the table `offer`.
struct OfferRow {
    id: i64,
    link: [u8; 32],
    words: Option<[u8; 32]>,
    created_at: i64,
    expires_at: i64,
    wrong_tries: u32,
    canceled: bool,
    device: Option<i64>,
}

impl OfferRow {
    /// Returns whether the code can be used. Before `created_at` it cannot, so setting the clock
    /// back does not extend a code.
    fn is_open(&self, now: i64) -> bool {
        (self.created_at..self.expires_at).contains(&now)
            && self.wrong_tries < MAX_WRONG_TRIES
            && !self.canceled
            && self.device.is_none()
    }

    fn has_secret(&self, secret: &Digest) -> bool {
        let link = secret.matches(&self.link);
        let words = self.words.is_some_and(|words| secret.matches(&words));
        link | words
    }

    fn state(&self, now: i64) -> OfferState {
        match self.device {
            Some(device) => OfferState::Used { device },
            None if self.is_open(now) => OfferState::Open {
                expires_at: from_ms(self.expires_at),
                wrong_tries: self.wrong_tries,
            },
            None if self.wrong_tries >= MAX_WRONG_TRIES => OfferState::TooManyTries,
            None => OfferState::Expired,
        }
    }
}

impl PairingStore {
    /// Saves the digests of a new code's secrets. Returns its number and when it expires.
    pub(crate) fn save_offer(
        &self,
        link: &Digest,
        words: Option<&Digest>,
    ) -> Result<(i64, DateTime<Utc>), PairingError> {
        let now = self.now_ms();
        let expires_at = now + VALID_MS;
        let sql = "INSERT INTO offer (link, words, made_at, until) VALUES (?1, ?2, ?3, ?4)";
        let id = self.write(|conn| {
            let old = now - REMEMBERED_MS;
            conn.execute("DELETE FROM offer WHERE until < ?1", [old])?;
            conn.execute(
                sql,
                params![link.0, words.map(|words| words.0), now, expires_at],
            )?;
            Ok(conn.last_insert_rowid())
        })?;
        Ok((id, from_ms(expires_at)))
    }

    /// Returns the state of the code with this number; [`OfferState::Expired`] if it is no longer
    /// stored.
    ///
    /// # Errors
    /// If the pairings cannot be read.
    pub fn offer_state(&self, offer: i64) -> Result<OfferState, PairingError> {
        let found = self.read(|conn| {
            let sql = format!("{SELECT} WHERE id = ?1");
            conn.query_row(&sql, [offer], offer_row).optional()
        })?;
        Ok(found.map_or(OfferState::Expired, |row| row.state(self.now_ms())))
    }

    /// Cancels a code: no device can pair with it any more. A used code stays used.
    ///
    /// # Errors
    /// If the pairings cannot be written.
    pub fn cancel_offer(&self, offer: i64) -> Result<(), PairingError> {
        let sql = "UPDATE offer SET taken_back = 1 WHERE id = ?1";
        self.write(|conn| conn.execute(sql, [offer])).map(drop)
    }

    /// Pairs the device `name` with `token` if `secret` belongs to an open code, which is then
    /// used. An unknown secret counts as a wrong try against every open code.
    pub(crate) fn redeem(
        &self,
        secret: &Digest,
        name: &str,
        token: &Digest,
    ) -> Result<Redeemed, PairingError> {
        let name = names::validate(name)?;
        let now = self.now_ms();
        self.write(|conn| {
            let Some(offer) = find_offer(conn, secret)? else {
                let sql = "UPDATE offer SET wrong = min(wrong + 1, ?2) WHERE device IS NULL
                    AND NOT taken_back AND made_at <= ?1 AND ?1 < until";
                conn.execute(sql, [now, i64::from(MAX_WRONG_TRIES)])?;
                return Ok(Redeemed::Unknown);
            };
            if offer.device.is_some() {
                return Ok(Redeemed::Used);
            }
            if !offer.is_open(now) {
                return Ok(Redeemed::Expired);
            }
            let device = devices::insert(conn, &name, token, now)?;
            let sql = "UPDATE offer SET device = ?2 WHERE id = ?1";
            conn.execute(sql, [offer.id, device])?;
            Ok(Redeemed::Paired(device))
        })
    }
}

/// Finds the code with this secret. Compares with every code, so that the time does not depend on
/// which one matches.
fn find_offer(conn: &Connection, secret: &Digest) -> rusqlite::Result<Option<OfferRow>> {
    let mut statement = conn.prepare_cached(SELECT)?;
    let mut found = None;
    for offer in statement.query_map([], offer_row)? {
        let offer = offer?;
        if offer.has_secret(secret) {
            found = Some(offer);
        }
    }
    Ok(found)
}

const SELECT: &str = "SELECT id, link, words, made_at, until, wrong, taken_back, device FROM offer";

fn offer_row(row: &rusqlite::Row<'_>) -> rusqlite::Result<OfferRow> {
    Ok(OfferRow {
        id: row.get(0)?,
        link: row.get(1)?,
        words: row.get(2)?,
        created_at: row.get(3)?,
        expires_at: row.get(4)?,
        wrong_tries: row.get(5)?,
        canceled: row.get(6)?,
        device: row.get(7)?,
    })
}
