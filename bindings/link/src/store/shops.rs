//! The shop computers that this device is paired with.

use super::Store;
use crate::LinkError;
use crate::clock::moment;
use crate::key::Fingerprint;
use crate::names;
use crate::secret::Token;
use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension as _, Row, params};
use std::net::SocketAddr;

/// How many addresses of a shop computer are remembered.
const MOST_ADDRESSES: usize = 8;

/// A shop computer that this device is paired with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shop {
    /// Its key's, which is what it is known by.
    pub fingerprint: Fingerprint,
    /// What it called itself when this device was paired with it.
    pub name: String,
    /// Where it has been; first where it answered last.
    pub addresses: Vec<SocketAddr>,
    /// When this device was paired with it.
    pub paired_at: DateTime<Utc>,
    /// When an exchange with it last came to its end.
    pub last_exchange_at: Option<DateTime<Utc>>,
}

impl Shop {
    /// What tells its shelf from all others.
    #[must_use]
    pub fn shelf_id(&self) -> String {
        format!("shop:{}", self.fingerprint)
    }

    /// What to call its shelf in a sentence.
    #[must_use]
    pub fn shelf_name(&self) -> String {
        format!("the shop computer {}", self.name)
    }
}

/// The same with what opens its shelf.
#[derive(Debug, Clone)]
pub(crate) struct Paired {
    pub shop: Shop,
    pub token: Token,
}

impl Store {
    /// The shop computers that this device is paired with, the last paired first.
    ///
    /// # Errors
    /// Where the pairings cannot be read.
    pub fn shops(&self) -> Result<Vec<Shop>, LinkError> {
        self.read(|conn| {
            let sql = format!("{SELECT} ORDER BY paired_at DESC, fingerprint");
            let mut statement = conn.prepare(&sql)?;
            let shops = statement.query_map([], |row| paired(row).map(|paired| paired.shop))?;
            shops.collect()
        })
    }

    /// Forgets a shop computer: this device exchanges with it no more until it is paired again. The shop computer still
    /// lists this device, until it is revoked there.
    ///
    /// # Errors
    /// [`LinkError::NotPaired`], and where the pairings cannot be written.
    pub fn forget_shop(&self, fingerprint: &Fingerprint) -> Result<(), LinkError> {
        let sql = "DELETE FROM shop WHERE fingerprint = ?1";
        let forgotten = self.write(|conn| conn.execute(sql, [fingerprint.0]))?;
        (forgotten == 1).then_some(()).ok_or(LinkError::NotPaired)
    }

    pub(crate) fn paired(&self, fingerprint: &Fingerprint) -> Result<Paired, LinkError> {
        let found = self.read(|conn| {
            let sql = format!("{SELECT} WHERE fingerprint = ?1");
            conn.query_row(&sql, [fingerprint.0], paired).optional()
        })?;
        found.ok_or(LinkError::NotPaired)
    }

    /// Keeps a shop computer; where it was known, its new token takes the place of the old one.
    pub(crate) fn keep_shop(
        &self,
        fingerprint: Fingerprint,
        name: &str,
        addresses: &[SocketAddr],
        token: &Token,
    ) -> Result<Shop, LinkError> {
        let name = names::clean(name)?;
        let sql = "INSERT INTO shop (fingerprint, name, addresses, token, paired_at) VALUES (?1, ?2, ?3, ?4, ?5)
            ON CONFLICT (fingerprint) DO UPDATE SET name = ?2, addresses = ?3, token = ?4, paired_at = ?5";
        let (addresses, now) = (written(addresses), self.now_ms());
        let values = params![fingerprint.0, name, addresses, token.bytes(), now];
        self.write(|conn| conn.execute(sql, values))?;
        self.paired(&fingerprint).map(|paired| paired.shop)
    }

    /// Remembers where a shop computer answered.
    pub(crate) fn note_address(
        &self,
        fingerprint: &Fingerprint,
        address: SocketAddr,
    ) -> Result<(), LinkError> {
        let mut addresses = self.paired(fingerprint)?.shop.addresses;
        if addresses.first() == Some(&address) {
            return Ok(());
        }
        addresses.retain(|known| *known != address);
        addresses.insert(0, address);
        let sql = "UPDATE shop SET addresses = ?2 WHERE fingerprint = ?1";
        let values = params![fingerprint.0, written(&addresses)];
        self.write(|conn| conn.execute(sql, values)).map(drop)
    }

    /// Remembers that an exchange with a shop computer came to its end.
    pub(crate) fn note_exchange(&self, fingerprint: &Fingerprint) -> Result<(), LinkError> {
        let sql = "UPDATE shop SET last_at = ?2 WHERE fingerprint = ?1";
        let values = params![fingerprint.0, self.now_ms()];
        self.write(|conn| conn.execute(sql, values)).map(drop)
    }
}

const SELECT: &str = "SELECT fingerprint, name, addresses, token, paired_at, last_at FROM shop";

fn paired(row: &Row<'_>) -> rusqlite::Result<Paired> {
    let addresses: String = row.get(2)?;
    let last: Option<i64> = row.get(5)?;
    let shop = Shop {
        fingerprint: Fingerprint(row.get(0)?),
        name: row.get(1)?,
        addresses: addresses
            .split(' ')
            .filter_map(|address| address.parse().ok())
            .collect(),
        paired_at: moment(row.get(4)?),
        last_exchange_at: last.map(moment),
    };
    let token = Token::from_bytes(row.get(3)?);
    Ok(Paired { shop, token })
}

fn written(addresses: &[SocketAddr]) -> String {
    let kept = addresses.iter().take(MOST_ADDRESSES);
    let texts: Vec<_> = kept.map(SocketAddr::to_string).collect();
    texts.join(" ")
}
