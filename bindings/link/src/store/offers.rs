//! Pairing codes that were given out, for as long as they are good and a while longer, so that an old one is told from a
//! wrong one.

use super::{Store, devices};
use crate::LinkError;
use crate::clock::moment;
use crate::names;
use crate::secret::Digest;
use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension as _, params};

/// How long a code is good for.
const GOOD_FOR_MS: i64 = 10 * 60 * 1000;
/// After so many wrong tries all codes that are good then are good no more.
const MOST_WRONG: u32 = 5;
/// How long it is remembered that a code was used or became too old.
const REMEMBERED_MS: i64 = 24 * 60 * 60 * 1000;

/// What has become of a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OfferState {
    /// It is good.
    Open {
        /// When it becomes too old.
        until: DateTime<Utc>,
        /// How many wrong codes were tried meanwhile.
        wrong: u32,
    },
    /// A device has paired with it.
    Used {
        /// The device's number.
        device: i64,
    },
    /// Its time is over, or it was taken back.
    Over,
    /// Too many wrong codes were tried.
    TriedTooOften,
}

/// What comes of a secret that somebody shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Redeemed {
    /// The device is paired, under this number.
    Paired(i64),
    Unknown,
    Used,
    Over,
}

/// A row of the table.
struct Row {
    id: i64,
    link: [u8; 32],
    words: Option<[u8; 32]>,
    made_at: i64,
    until: i64,
    wrong: u32,
    taken_back: bool,
    device: Option<i64>,
}

impl Row {
    /// A clock that was set back makes no code good for longer.
    fn is_open(&self, now: i64) -> bool {
        (self.made_at..self.until).contains(&now)
            && self.wrong < MOST_WRONG
            && !self.taken_back
            && self.device.is_none()
    }

    fn is_for(&self, secret: &Digest) -> bool {
        let link = secret.is(&self.link);
        let words = self.words.is_some_and(|words| secret.is(&words));
        link | words
    }

    fn state(&self, now: i64) -> OfferState {
        match self.device {
            Some(device) => OfferState::Used { device },
            None if self.is_open(now) => OfferState::Open {
                until: moment(self.until),
                wrong: self.wrong,
            },
            None if self.wrong >= MOST_WRONG => OfferState::TriedTooOften,
            None => OfferState::Over,
        }
    }
}

impl Store {
    /// Keeps the secrets of a new code; gives its number and until when it is good.
    pub(crate) fn keep_offer(
        &self,
        link: &Digest,
        words: Option<&Digest>,
    ) -> Result<(i64, DateTime<Utc>), LinkError> {
        let now = self.now_ms();
        let until = now + GOOD_FOR_MS;
        let sql = "INSERT INTO offer (link, words, made_at, until) VALUES (?1, ?2, ?3, ?4)";
        let id = self.write(|conn| {
            let old = now - REMEMBERED_MS;
            conn.execute("DELETE FROM offer WHERE until < ?1", [old])?;
            conn.execute(sql, params![link.0, words.map(|words| words.0), now, until])?;
            Ok(conn.last_insert_rowid())
        })?;
        Ok((id, moment(until)))
    }

    /// What has become of the code of this number; one that is long over is forgotten and simply [`OfferState::Over`].
    ///
    /// # Errors
    /// Where the pairings cannot be read.
    pub fn offer_state(&self, offer: i64) -> Result<OfferState, LinkError> {
        let found = self.read(|conn| {
            let sql = format!("{SELECT} WHERE id = ?1");
            conn.query_row(&sql, [offer], row).optional()
        })?;
        Ok(found.map_or(OfferState::Over, |row| row.state(self.now_ms())))
    }

    /// Takes a code back: nobody can pair with it any more. One that was used stays used.
    ///
    /// # Errors
    /// Where the pairings cannot be written.
    pub fn take_back_offer(&self, offer: i64) -> Result<(), LinkError> {
        let sql = "UPDATE offer SET taken_back = 1 WHERE id = ?1";
        self.write(|conn| conn.execute(sql, [offer])).map(drop)
    }

    /// Pairs the device `name`, which shall be let in by `token`, if `secret` is that of an open code; the code is used
    /// up by it. A secret that no code has counts against all that are open.
    pub(crate) fn redeem(
        &self,
        secret: &Digest,
        name: &str,
        token: &Digest,
    ) -> Result<Redeemed, LinkError> {
        let name = names::clean(name)?;
        let now = self.now_ms();
        self.write(|conn| {
            let Some(offer) = offer_of(conn, secret)? else {
                let sql = "UPDATE offer SET wrong = min(wrong + 1, ?2) WHERE device IS NULL AND NOT taken_back
                    AND made_at <= ?1 AND ?1 < until";
                conn.execute(sql, [now, i64::from(MOST_WRONG)])?;
                return Ok(Redeemed::Unknown);
            };
            if offer.device.is_some() {
                return Ok(Redeemed::Used);
            }
            if !offer.is_open(now) {
                return Ok(Redeemed::Over);
            }
            let device = devices::keep(conn, &name, token, now)?;
            let sql = "UPDATE offer SET device = ?2 WHERE id = ?1";
            conn.execute(sql, [offer.id, device])?;
            Ok(Redeemed::Paired(device))
        })
    }
}

/// The code with this secret. All are looked at, in a time that does not depend on which is right.
fn offer_of(conn: &Connection, secret: &Digest) -> rusqlite::Result<Option<Row>> {
    let mut statement = conn.prepare_cached(SELECT)?;
    let mut found = None;
    for offer in statement.query_map([], row)? {
        let offer = offer?;
        if offer.is_for(secret) {
            found = Some(offer);
        }
    }
    Ok(found)
}

const SELECT: &str = "SELECT id, link, words, made_at, until, wrong, taken_back, device FROM offer";

fn row(row: &rusqlite::Row<'_>) -> rusqlite::Result<Row> {
    Ok(Row {
        id: row.get(0)?,
        link: row.get(1)?,
        words: row.get(2)?,
        made_at: row.get(3)?,
        until: row.get(4)?,
        wrong: row.get(5)?,
        taken_back: row.get(6)?,
        device: row.get(7)?,
    })
}
