//! Settings of one notebook: its device id, the person who writes, how lengths are shown.

use super::error::Fault;
use super::id::DeviceId;
use super::validation;
use crate::drill::DrillKinds;
use crate::length::Unit;
use rusqlite::{Connection, OptionalExtension};
use serde::de::DeserializeOwned;
use serde_json::json;

/// A notebook's settings. They stay on this device, except for its name, which is also a journal
/// entry.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// The name that new entries carry; empty until it is set.
    pub person: String,
    /// This device's name; empty until it is set.
    pub device_name: String,
    /// The unit in which lengths are shown, and in which a number without a unit is read.
    pub unit: Unit,
    /// Whether photos are stored exactly as they come, with GPS position and all other metadata.
    pub keep_photo_gps: bool,
    /// The drills in the shop; `None` until they are set.
    pub drill_kinds: Option<DrillKinds>,
}

/// The settings' names in the database.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum SettingName {
    Device,
    Person,
    DeviceName,
    Unit,
    KeepPhotoGps,
    DrillKinds,
    Recent,
    ProjectionVersion,
    Pushed,
    Remotes,
    Gaps,
    Lost,
    Arrivals,
}

impl SettingName {
    /// All that cannot be derived from the journal.
    pub(crate) const ALL: [Self; 12] = [
        Self::Device,
        Self::Person,
        Self::DeviceName,
        Self::Unit,
        Self::KeepPhotoGps,
        Self::DrillKinds,
        Self::Recent,
        Self::Pushed,
        Self::Remotes,
        Self::Gaps,
        Self::Lost,
        Self::Arrivals,
    ];

    /// Returns its name in the database.
    pub(crate) const fn text(self) -> &'static str {
        self.texts()[0]
    }

    /// Returns its name in the database, then the names that it had in earlier layouts.
    pub(crate) const fn texts(self) -> &'static [&'static str] {
        match self {
            Self::Device => &["device"],
            Self::Person => &["person"],
            Self::DeviceName => &["device-name"],
            Self::Unit => &["unit"],
            Self::KeepPhotoGps => &["keep-photo-gps", "keep-location"],
            Self::DrillKinds => &["drawer"],
            Self::Recent => &["recent"],
            Self::ProjectionVersion => &["projection-version", "worked-out"],
            Self::Pushed => &["pushed", "left-on-a-shelf"],
            Self::Remotes => &["remotes", "shelves"],
            Self::Gaps => &["gaps"],
            Self::Lost => &["lost-ends"],
            Self::Arrivals => &["arrivals"],
        }
    }

    /// Checks that a value that a person chose can be read again. Returns what is wrong with it.
    pub(crate) fn check(self, value: &str) -> Result<(), String> {
        fn read<T>(value: Result<T, impl ToString>) -> Result<(), String> {
            value.map(drop).map_err(|error| error.to_string())
        }
        match self {
            Self::Device => read(value.parse::<DeviceId>()),
            Self::Person | Self::DeviceName => validation::one_line(value).map_err(str::to_owned),
            Self::Unit => read(parse_unit(value)),
            Self::KeepPhotoGps => match value {
                "yes" | "no" => Ok(()),
                _ => Err("it is neither yes nor no".to_owned()),
            },
            Self::DrillKinds if value.is_empty() => Ok(()),
            Self::DrillKinds => read(value.parse::<DrillKinds>()),
            Self::ProjectionVersion => read(value.parse::<i64>()),
            // Written by this program alone.
            Self::Recent
            | Self::Pushed
            | Self::Remotes
            | Self::Gaps
            | Self::Lost
            | Self::Arrivals => Ok(()),
        }
    }
}

/// Returns a setting's value as `parse` reads it; `None` if it was never set, or if it cannot be
/// read, which a verification reports.
fn read_as<T, E>(
    conn: &Connection,
    name: SettingName,
    parse: impl FnOnce(&str) -> Result<T, E>,
) -> Result<Option<T>, Fault> {
    let value = read(conn, name)?;
    Ok(value.and_then(|value| parse(&value).ok()))
}

/// Returns a setting's value as JSON; the default if it was never set, or if it cannot be read, which
/// a verification reports.
pub(crate) fn read_json<T: DeserializeOwned + Default>(
    conn: &Connection,
    name: SettingName,
) -> Result<T, Fault> {
    let value = read_as(conn, name, |value| serde_json::from_str(value))?;
    Ok(value.unwrap_or_default())
}

fn parse_unit(text: &str) -> serde_json::Result<Unit> {
    serde_json::from_value(json!(text))
}

/// Returns a setting's value; `None` if it was never set.
pub(crate) fn read(conn: &Connection, name: SettingName) -> Result<Option<String>, Fault> {
    let mut statement = conn.prepare_cached("SELECT value FROM setting WHERE name = ?1")?;
    Ok(statement
        .query_row([name.text()], |row| row.get(0))
        .optional()?)
}

/// Stores a value. Refuses one that could not be read again.
pub(crate) fn write(conn: &Connection, name: SettingName, value: &str) -> Result<(), Fault> {
    name.check(value).map_err(|why| {
        Fault::invalid(format!("the setting {} is not valid: {why}", name.text()))
    })?;
    let sql = "INSERT INTO setting (name, value) VALUES (?1, ?2)
         ON CONFLICT DO UPDATE SET value = excluded.value";
    conn.prepare_cached(sql)?.execute([name.text(), value])?;
    Ok(())
}

/// Returns the device id that new entries carry.
pub(crate) fn device(conn: &Connection) -> Result<DeviceId, Fault> {
    known_device(conn)?.ok_or_else(|| Fault::unreadable("the notebook has no device id"))
}

/// Returns the device id; `None` if there is none that can be read.
pub(crate) fn known_device(conn: &Connection) -> Result<Option<DeviceId>, Fault> {
    read_as(conn, SettingName::Device, str::parse)
}

/// Gives the notebook a new device id.
pub(crate) fn assign_new_device(conn: &Connection) -> Result<DeviceId, Fault> {
    let device = DeviceId::fresh();
    write(conn, SettingName::Device, &device.to_string())?;
    Ok(device)
}

/// Stores a device id that this notebook had before.
pub(crate) fn add_former_device(conn: &Connection, device: DeviceId) -> Result<(), Fault> {
    let sql = "INSERT OR IGNORE INTO former_device (device) VALUES (?1)";
    conn.execute(sql, [device.0])?;
    Ok(())
}

/// Returns every device id that this notebook has had, today's first.
pub(crate) fn own_devices(conn: &Connection) -> Result<Vec<DeviceId>, Fault> {
    let mut statement = conn.prepare_cached("SELECT device FROM former_device ORDER BY device")?;
    let former = statement.query_map([], |row| row.get(0).map(DeviceId))?;
    let today = device(conn)?;
    std::iter::once(Ok(today))
        .chain(former)
        .collect::<Result<_, _>>()
        .map_err(Fault::from)
}

/// Returns all settings that a person can change. One that cannot be read counts as not set.
pub(crate) fn read_all(conn: &Connection) -> Result<Settings, Fault> {
    let unit = read_as(conn, SettingName::Unit, parse_unit)?;
    Ok(Settings {
        person: read(conn, SettingName::Person)?.unwrap_or_default(),
        device_name: read(conn, SettingName::DeviceName)?.unwrap_or_default(),
        unit: unit.unwrap_or(Unit::Inch),
        keep_photo_gps: read(conn, SettingName::KeepPhotoGps)?.as_deref() == Some("yes"),
        drill_kinds: read_as(conn, SettingName::DrillKinds, str::parse)?,
    })
}
