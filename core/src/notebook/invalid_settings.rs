//! Settings whose values cannot be read: found by a verification, reset by a repair.

use super::error::Fault;
use super::finding::Finding;
use super::gaps::KnownGap;
use super::journal::Head;
use super::recent::Opened;
use super::remotes::KnownRemote;
use super::settings::{self, SettingName};
use super::sync_state::Pushed;
use rusqlite::Connection;
use serde::de::DeserializeOwned;

/// Returns the settings whose values cannot be read.
pub(crate) fn find(conn: &Connection) -> Result<Vec<Finding>, Fault> {
    let invalid = invalid(conn)?.into_iter();
    Ok(invalid
        .map(|(name, detail)| finding(name, detail))
        .collect())
}

/// Resets the settings whose values cannot be read, and returns them. A device id is replaced by a
/// new one.
pub(crate) fn reset(conn: &Connection) -> Result<Vec<Finding>, Fault> {
    let mut found = Vec::new();
    for (name, detail) in invalid(conn)? {
        match name {
            SettingName::Device => drop(settings::assign_new_device(conn)?),
            name => {
                conn.execute("DELETE FROM setting WHERE name = ?1", [name.text()])?;
            }
        }
        found.push(finding(name, detail));
    }
    Ok(found)
}

fn finding(name: SettingName, detail: String) -> Finding {
    let name = name.text().to_owned();
    Finding::Setting { name, detail }
}

fn invalid(conn: &Connection) -> Result<Vec<(SettingName, String)>, Fault> {
    let mut invalid = Vec::new();
    for name in SettingName::ALL {
        if let Some(value) = settings::read(conn, name)?
            && let Err(detail) = check(name, &value)
        {
            invalid.push((name, detail));
        }
    }
    Ok(invalid)
}

fn check(name: SettingName, value: &str) -> Result<(), String> {
    fn json<T: DeserializeOwned>(value: &str) -> Result<(), String> {
        serde_json::from_str::<T>(value)
            .map(drop)
            .map_err(|error| error.to_string())
    }
    match name {
        SettingName::Recent => json::<Vec<Opened>>(value),
        SettingName::Pushed => json::<Pushed>(value),
        SettingName::Remotes => json::<Vec<KnownRemote>>(value),
        SettingName::Gaps => json::<Vec<KnownGap>>(value),
        SettingName::Lost => json::<Vec<Head>>(value),
        name => name.check(value),
    }
}
