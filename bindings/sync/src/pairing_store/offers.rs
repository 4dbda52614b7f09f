//! Pairing offers: the codes that this computer created. They are kept for a day after they expire,
//! so that an old code can be told from a wrong one.

use super::{PairingStore, devices};
use crate::PairingError;
use crate::clock::from_ms;
use crate::code::TypedCode;
use crate::names;
use crate::secret::Digest;
use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension as _, params};

/// How long a code is valid.
const VALID_MS: i64 = 10 * 60 * 1000;
/// After this many wrong guesses the digits of a code are replaced.
const MAX_WRONG_GUESSES: u32 = 20;
/// How long a used or expired code is kept.
const REMEMBERED_MS: i64 = 24 * 60 * 60 * 1000;

/// The state of a pairing code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OfferState {
    /// It can be used.
    Open {
        /// When it expires.
        expires_at: DateTime<Utc>,
        /// The digits to type. They change after too many wrong guesses.
        digits: TypedCode,
        /// How often they changed.
        renewed: u32,
    },
    /// A device paired with it.
    Used {
        /// The device's number.
        device: i64,
    },
    /// It expired, was canceled, or a newer one replaced it.
    Expired,
}

/// The result of redeeming a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Redeemed {
    /// The device is paired and has this number.
    Paired(i64),
    Unknown,
    Used,
    Expired,
}

/// The digits of the open code, as they were when a device began to pair.
#[derive(Debug, Clone)]
pub(crate) struct OpenDigits {
    /// The code's number.
    pub offer: i64,
    pub digits: TypedCode,
    renewed: u32,
}

/// A row of the table `offer`.
struct OfferRow {
    id: i64,
    link: [u8; 32],
    digits: Option<TypedCode>,
    renewed: u32,
    created_at: i64,
    expires_at: i64,
    canceled: bool,
    device: Option<i64>,
}

impl OfferRow {
    /// Returns whether the code can be used. Before `created_at` it cannot, so setting the clock
    /// back does not extend a code.
    fn is_open(&self, now: i64) -> bool {
        (self.created_at..self.expires_at).contains(&now) && !self.canceled && self.device.is_none()
    }

    fn open_digits(self, now: i64) -> Option<OpenDigits> {
        let is_open = self.is_open(now);
        Some(OpenDigits {
            offer: self.id,
            digits: self.digits.filter(|_| is_open)?,
            renewed: self.renewed,
        })
    }

    fn state(self, now: i64) -> OfferState {
        if let Some(device) = self.device {
            return OfferState::Used { device };
        }
        let expires_at = from_ms(self.expires_at);
        match self.open_digits(now) {
            Some(open) => OfferState::Open {
                expires_at,
                digits: open.digits,
                renewed: open.renewed,
            },
            None => OfferState::Expired,
        }
    }
}

impl PairingStore {
    /// Saves a new code: the digest of its link's secret, and its digits. Cancels the one before.
    /// Returns its number and when it expires.
    pub(crate) fn save_offer(
        &self,
        link: &Digest,
        digits: &TypedCode,
    ) -> Result<(i64, DateTime<Utc>), PairingError> {
        let now = self.now_ms();
        let expires_at = now + VALID_MS;
        let id = self.write(|conn| {
            let old = now - REMEMBERED_MS;
            conn.execute("DELETE FROM offer WHERE until < ?1", [old])?;
            conn.execute("UPDATE offer SET taken_back = 1, digits = NULL", [])?;
            let sql = "INSERT INTO offer (link, digits, made_at, until) VALUES (?1, ?2, ?3, ?4)";
            conn.execute(sql, params![link.0, digits.digits(), now, expires_at])?;
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
        let found = self.read(|conn| find(conn, offer))?;
        Ok(found.map_or(OfferState::Expired, |row| row.state(self.now_ms())))
    }

    /// Cancels a code: no device can pair with it any more. A used code stays used.
    ///
    /// # Errors
    /// If the pairings cannot be written.
    pub fn cancel_offer(&self, offer: i64) -> Result<(), PairingError> {
        let sql = "UPDATE offer SET taken_back = 1, digits = NULL WHERE id = ?1";
        self.write(|conn| conn.execute(sql, [offer])).map(drop)
    }

    /// Pairs the device `name` with `token` if `secret` belongs to the link of an open code, which is
    /// then used. A secret is too long to be guessed, so an unknown one changes nothing.
    pub(crate) fn redeem(
        &self,
        secret: &Digest,
        name: &str,
        token: &Digest,
    ) -> Result<Redeemed, PairingError> {
        match self.read(|conn| find_by_link(conn, secret))? {
            Some(offer) => self.pair(offer.id, None, name, token),
            None => Ok(Redeemed::Unknown),
        }
    }

    /// Returns the digits with which a device can pair now.
    pub(crate) fn open_digits(&self) -> Result<Option<OpenDigits>, PairingError> {
        let last = self.read(|conn| {
            let sql = format!("{SELECT} ORDER BY id DESC LIMIT 1");
            conn.query_row(&sql, [], offer_row).optional()
        })?;
        Ok(last.and_then(|row| row.open_digits(self.now_ms())))
    }

    /// Pairs the device `name` with `token`, which has proved that it knows these digits, if they are
    /// still those of an open code, which is then used.
    pub(crate) fn redeem_digits(
        &self,
        open: &OpenDigits,
        name: &str,
        token: &Digest,
    ) -> Result<Redeemed, PairingError> {
        self.pair(open.offer, Some(open.renewed), name, token)
    }

    /// Counts a wrong guess of these digits. After too many they are replaced.
    pub(crate) fn count_wrong_guess(&self, open: &OpenDigits) -> Result<(), PairingError> {
        let fresh = TypedCode::generate()?;
        self.write(|conn| {
            let sql = "UPDATE offer SET wrong = wrong + 1 WHERE id = ?1 AND renewed = ?2";
            conn.execute(sql, params![open.offer, open.renewed])?;
            let sql = "UPDATE offer SET digits = ?2, renewed = renewed + 1, wrong = 0
                WHERE id = ?1 AND wrong >= ?3 AND digits IS NOT NULL";
            conn.execute(sql, params![open.offer, fresh.digits(), MAX_WRONG_GUESSES])
        })
        .map(drop)
    }

    /// Pairs a device by a code. If `renewed` is given, the code's digits must have been replaced
    /// that often and no more.
    fn pair(
        &self,
        offer: i64,
        renewed: Option<u32>,
        name: &str,
        token: &Digest,
    ) -> Result<Redeemed, PairingError> {
        let name = names::validate(name)?;
        let now = self.now_ms();
        self.write(|conn| {
            let Some(offer) = find(conn, offer)? else {
                return Ok(Redeemed::Unknown);
            };
            if offer.device.is_some() {
                return Ok(Redeemed::Used);
            }
            if !offer.is_open(now) || renewed.is_some_and(|renewed| renewed != offer.renewed) {
                return Ok(Redeemed::Expired);
            }
            let device = devices::insert(conn, &name, token, now)?;
            let sql = "UPDATE offer SET device = ?2, digits = NULL WHERE id = ?1";
            conn.execute(sql, [offer.id, device])?;
            Ok(Redeemed::Paired(device))
        })
    }
}

fn find(conn: &Connection, offer: i64) -> rusqlite::Result<Option<OfferRow>> {
    let sql = format!("{SELECT} WHERE id = ?1");
    conn.query_row(&sql, [offer], offer_row).optional()
}

/// Finds the code whose link has this secret. Compares with every code, so that the time does not
/// depend on which one matches.
fn find_by_link(conn: &Connection, secret: &Digest) -> rusqlite::Result<Option<OfferRow>> {
    let mut statement = conn.prepare_cached(SELECT)?;
    let mut found = None;
    for offer in statement.query_map([], offer_row)? {
        let offer = offer?;
        if secret.matches(&offer.link) {
            found = Some(offer);
        }
    }
    Ok(found)
}

const SELECT: &str =
    "SELECT id, link, digits, renewed, made_at, until, taken_back, device FROM offer";

fn offer_row(row: &rusqlite::Row<'_>) -> rusqlite::Result<OfferRow> {
    let digits: Option<String> = row.get(2)?;
    Ok(OfferRow {
        id: row.get(0)?,
        link: row.get(1)?,
        digits: digits.and_then(|digits| TypedCode::parse(&digits)),
        renewed: row.get(3)?,
        created_at: row.get(4)?,
        expires_at: row.get(5)?,
        canceled: row.get(6)?,
        device: row.get(7)?,
    })
}
