//! What belongs to one notebook alone: its identity, the person who writes, how lengths are shown.

use super::Notebook;
use super::body::DeviceBody;
use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::kind::Kind;
use super::write::Draft;
use crate::drill::Drawer;
use crate::length::Unit;
use rusqlite::{Connection, OptionalExtension};
use serde_json::json;

/// A notebook's settings. They stay on this device, but for its name, which is an entry of the journal too.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// The person whose name new entries carry; empty until it is set.
    pub person: String,
    /// What people call this device; empty until it is set.
    pub device_name: String,
    /// The unit in which lengths are shown, and read where a bare number is typed.
    pub unit: Unit,
    /// Whether photos keep the place where they were taken.
    pub keep_location: bool,
    /// The drills that are at hand here; `None` until somebody says.
    pub drawer: Option<Drawer>,
}

/// The settings' names in the database.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Name {
    Device,
    Person,
    Called,
    Unit,
    KeepLocation,
    Drawer,
    WorkedOut,
    Left,
    Shelves,
}

impl Name {
    /// All that cannot be worked out.
    pub(crate) const ALL: [Self; 8] = [
        Self::Device,
        Self::Person,
        Self::Called,
        Self::Unit,
        Self::KeepLocation,
        Self::Drawer,
        Self::Left,
        Self::Shelves,
    ];

    /// As it stands in the database.
    pub(crate) const fn text(self) -> &'static str {
        match self {
            Self::Device => "device",
            Self::Person => "person",
            Self::Called => "device-name",
            Self::Unit => "unit",
            Self::KeepLocation => "keep-location",
            Self::Drawer => "drawer",
            Self::WorkedOut => "worked-out",
            Self::Left => "left-on-a-shelf",
            Self::Shelves => "shelves",
        }
    }
}

/// A setting's value; none where it was never set.
pub(crate) fn read(conn: &Connection, name: Name) -> Result<Option<String>, Fault> {
    let mut statement = conn.prepare_cached("SELECT value FROM setting WHERE name = ?1")?;
    Ok(statement
        .query_row([name.text()], |row| row.get(0))
        .optional()?)
}

/// Sets a value.
pub(crate) fn write(conn: &Connection, name: Name, value: &str) -> Result<(), Fault> {
    conn.prepare_cached("INSERT INTO setting (name, value) VALUES (?1, ?2) ON CONFLICT DO UPDATE SET value = excluded.value")?
        .execute([name.text(), value])?;
    Ok(())
}

/// The device that new entries are written as.
pub(crate) fn device(conn: &Connection) -> Result<DeviceId, Fault> {
    let text = read(conn, Name::Device)?
        .ok_or_else(|| Fault::unreadable("the notebook has no device id"))?;
    text.parse().map_err(Fault::unreadable)
}

/// Gives the notebook an identity that no other has.
pub(crate) fn take_new_device(conn: &Connection) -> Result<DeviceId, Fault> {
    let device = DeviceId::fresh();
    write(conn, Name::Device, &device.to_string())?;
    Ok(device)
}

/// Goes on under a new identity: lines of this device turned up that this notebook did not write, so there is, or was,
/// a copy of it.
pub(crate) fn leave_device(pen: &mut super::write::Pen<'_>) -> Result<DeviceId, Fault> {
    let former = device(pen.conn())?;
    add_former(pen.conn(), former)?;
    let device = take_new_device(pen.conn())?;
    let name = read(pen.conn(), Name::Called)?.unwrap_or_default();
    if !name.is_empty() {
        name_device(pen, &name)?;
    }
    Ok(device)
}

/// Notes an identity that this notebook had before.
pub(crate) fn add_former(conn: &Connection, device: DeviceId) -> Result<(), Fault> {
    let sql = "INSERT OR IGNORE INTO former_device (device) VALUES (?1)";
    conn.execute(sql, [device.0])?;
    Ok(())
}

/// Every identity that this notebook has had, today's first.
pub(crate) fn own_devices(conn: &Connection) -> Result<Vec<DeviceId>, Fault> {
    let mut statement = conn.prepare_cached("SELECT device FROM former_device ORDER BY device")?;
    let former = statement.query_map([], |row| row.get(0).map(DeviceId))?;
    let today = device(conn)?;
    std::iter::once(Ok(today))
        .chain(former)
        .collect::<Result<_, _>>()
        .map_err(Fault::from)
}

fn read_all(conn: &Connection) -> Result<Settings, Fault> {
    let unit = match read(conn, Name::Unit)? {
        Some(text) => serde_json::from_value(json!(text)).map_err(Fault::unreadable)?,
        None => Unit::Inch,
    };
    let drawer = read(conn, Name::Drawer)?.filter(|text| !text.is_empty());
    let drawer = drawer
        .map(|text| text.parse().map_err(Fault::unreadable))
        .transpose()?;
    Ok(Settings {
        person: read(conn, Name::Person)?.unwrap_or_default(),
        device_name: read(conn, Name::Called)?.unwrap_or_default(),
        unit,
        keep_location: read(conn, Name::KeepLocation)?.as_deref() == Some("yes"),
        drawer,
    })
}

impl Notebook {
    /// The settings.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn settings(&self) -> Result<Settings, NotebookError> {
        self.read(read_all)
    }

    /// Sets the settings. A new name for the device is an entry of the journal too, so that others can show it.
    ///
    /// # Errors
    /// Where a name is too long, or the notebook cannot be written.
    pub fn set_settings(&self, settings: &Settings) -> Result<(), NotebookError> {
        let unit = json!(settings.unit);
        self.write(|pen| {
            super::check::short_text("a person's name", &settings.person)?;
            super::check::short_text("a device's name", &settings.device_name)?;
            let before = read_all(pen.conn())?;
            write(pen.conn(), Name::Person, settings.person.trim())?;
            write(pen.conn(), Name::Called, settings.device_name.trim())?;
            write(pen.conn(), Name::Unit, unit.as_str().unwrap_or_default())?;
            write(
                pen.conn(),
                Name::KeepLocation,
                if settings.keep_location { "yes" } else { "no" },
            )?;
            let drawer = settings.drawer.map(|drawer| drawer.to_string());
            write(pen.conn(), Name::Drawer, &drawer.unwrap_or_default())?;
            if before.device_name != settings.device_name.trim() {
                name_device(pen, settings.device_name.trim())?;
            }
            Ok(())
        })
    }
}

/// Says in the journal what this device is called.
pub(crate) fn name_device(pen: &mut super::write::Pen<'_>, name: &str) -> Result<(), Fault> {
    let device = device(pen.conn())?;
    let over = pen.current(device.0, Kind::Device)?;
    pen.put(
        Draft::new(
            Kind::Device,
            device.0,
            &DeviceBody {
                name: name.to_owned(),
            },
        )?
        .over(over),
    )?;
    Ok(())
}
