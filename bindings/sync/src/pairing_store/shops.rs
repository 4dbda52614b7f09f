//! Shop computers that this device is paired with.

use super::PairingStore;
use crate::PairingError;
use crate::clock::from_ms;
use crate::key::Fingerprint;
use crate::names;
use crate::secret::Token;
use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension as _, Row, params};
use std::net::SocketAddr;

/// The most addresses stored per shop computer.
const MAX_ADDRESSES: usize = 8;

/// A shop computer that this device is paired with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PairedShop {
    /// The fingerprint of its key, which identifies it.
    pub fingerprint: Fingerprint,
    /// Its name when this device was paired with it.
    pub name: String,
    /// Its known addresses; the one that answered last comes first.
    pub addresses: Vec<SocketAddr>,
    /// When this device was last paired with it.
    pub paired_at: DateTime<Utc>,
    /// When the last sync with it finished.
    pub last_sync_at: Option<DateTime<Utc>>,
}

impl PairedShop {
    /// Returns its id as a sync remote.
    #[must_use]
    pub fn remote_id(&self) -> String {
        format!("shop:{}", self.fingerprint)
    }

    /// Returns its name in a sentence, `the shop computer Bench`.
    #[must_use]
    pub fn remote_name(&self) -> String {
        format!("the shop computer {}", self.name)
    }
}

/// A paired shop computer with the token that this device authenticates with.
#[derive(Debug, Clone)]
pub(crate) struct ShopWithToken {
    pub shop: PairedShop,
    pub token: Token,
}

impl PairingStore {
    /// Returns the shop computers that this device is paired with, the last paired first.
    ///
    /// # Errors
    /// If the pairings cannot be read.
    pub fn shops(&self) -> Result<Vec<PairedShop>, PairingError> {
        self.read(|conn| {
            let sql = format!("{SELECT} ORDER BY paired_at DESC, fingerprint");
            let mut statement = conn.prepare(&sql)?;
            let shops = statement.query_map([], |row| paired(row).map(|found| found.shop))?;
            shops.collect()
        })
    }

    /// Forgets a shop computer: this device can no longer sync with it until it is paired again.
    /// The shop computer still lists this device until it is revoked there.
    ///
    /// # Errors
    /// [`PairingError::NotPaired`], and if the pairings cannot be written.
    pub fn forget_shop(&self, fingerprint: &Fingerprint) -> Result<(), PairingError> {
        let sql = "DELETE FROM shop WHERE fingerprint = ?1";
        let rows = self.write(|conn| conn.execute(sql, [fingerprint.0]))?;
        (rows == 1).then_some(()).ok_or(PairingError::NotPaired)
    }

    pub(crate) fn shop_with_token(
        &self,
        fingerprint: &Fingerprint,
    ) -> Result<ShopWithToken, PairingError> {
        let found = self.read(|conn| {
            let sql = format!("{SELECT} WHERE fingerprint = ?1");
            conn.query_row(&sql, [fingerprint.0], paired).optional()
        })?;
        found.ok_or(PairingError::NotPaired)
    }

    /// Saves a shop computer. Pairing again replaces the old token.
    pub(crate) fn save_shop(
        &self,
        fingerprint: Fingerprint,
        name: &str,
        addresses: &[SocketAddr],
        token: &Token,
    ) -> Result<PairedShop, PairingError> {
        let name = names::validate(name)?;
        let sql = "INSERT INTO shop (fingerprint, name, addresses, token, paired_at)
            VALUES (?1, ?2, ?3, ?4, ?5) ON CONFLICT (fingerprint)
            DO UPDATE SET name = ?2, addresses = ?3, token = ?4, paired_at = ?5";
        let (addresses, now) = (addresses_text(addresses), self.now_ms());
        let values = params![fingerprint.0, name, addresses, token.bytes(), now];
        self.write(|conn| conn.execute(sql, values))?;
        self.shop_with_token(&fingerprint).map(|found| found.shop)
    }

    /// Saves the address at which a shop computer answered as its first one.
    pub(crate) fn record_address(
        &self,
        fingerprint: &Fingerprint,
        address: SocketAddr,
    ) -> Result<(), PairingError> {
        let mut addresses = self.shop_with_token(fingerprint)?.shop.addresses;
        if addresses.first() == Some(&address) {
            return Ok(());
        }
        addresses.retain(|known| *known != address);
        addresses.insert(0, address);
        let sql = "UPDATE shop SET addresses = ?2 WHERE fingerprint = ?1";
        let values = params![fingerprint.0, addresses_text(&addresses)];
        self.write(|conn| conn.execute(sql, values)).map(drop)
    }

    /// Records that a sync with a shop computer finished.
    pub(crate) fn record_sync(&self, fingerprint: &Fingerprint) -> Result<(), PairingError> {
        let sql = "UPDATE shop SET last_at = ?2 WHERE fingerprint = ?1";
        let values = params![fingerprint.0, self.now_ms()];
        self.write(|conn| conn.execute(sql, values)).map(drop)
    }
}

const SELECT: &str = "SELECT fingerprint, name, addresses, token, paired_at, last_at FROM shop";

fn paired(row: &Row<'_>) -> rusqlite::Result<ShopWithToken> {
    let addresses: String = row.get(2)?;
    let last: Option<i64> = row.get(5)?;
    let shop = PairedShop {
        fingerprint: Fingerprint(row.get(0)?),
        name: row.get(1)?,
        addresses: addresses
            .split(' ')
            .filter_map(|address| address.parse().ok())
            .collect(),
        paired_at: from_ms(row.get(4)?),
        last_sync_at: last.map(from_ms),
    };
    let token = Token::from_bytes(row.get(3)?);
    Ok(ShopWithToken { shop, token })
}

fn addresses_text(addresses: &[SocketAddr]) -> String {
    let saved = addresses.iter().take(MAX_ADDRESSES);
    let texts: Vec<_> = saved.map(SocketAddr::to_string).collect();
    texts.join(" ")
}
