//! `holebook devices`: lists paired devices, or revokes one.

use super::output::OutputOptions;
use super::{count_of, name_given, open_existing};
use crate::cli;
use crate::failure::Failure;
use crate::new_remotes;
use crate::out;
use crate::table::item;
use chrono::{DateTime, FixedOffset, Local, Utc};
use holebook_core::display_name::escaped;
use holebook_sync::{PairedDevice, PairedShop, PairingStore};
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;

/// Lists the devices paired with the notebook in `folder` and the shop computers it is paired with,
/// after revoking one if asked.
///
/// # Errors
/// If there is no notebook, its pairings cannot be read, or no such device is paired.
pub fn run(folder: &Path, args: &cli::Devices, output: OutputOptions) -> Result<(), Failure> {
    let remotes = new_remotes(Arc::new(open_existing(folder)?));
    if let Some(name) = &args.revoke {
        let revoked = revoke(remotes.pairings().store()?, name)?;
        if !output.json {
            out::print(&format!(
                "{revoked} is revoked. It can no longer sync; its entries stay.\n"
            ))?;
        }
    }
    let pairings = remotes.pairings();
    let devices = match pairings.exists() {
        true => pairings.store()?.devices()?,
        false => Vec::new(),
    };
    let shops = pairings.shops()?;
    if output.json {
        return out::print_json(&Answer {
            devices: devices.iter().map(DeviceAnswer::new).collect(),
            shop_computers: shops.iter().map(ShopAnswer::new).collect(),
        });
    }
    out::print(&devices_text(&devices, &shops))
}

/// Revokes the device with this number or name, and returns its name and number. `#1` is always a
/// number. What could mean two devices revokes neither.
fn revoke(store: &PairingStore, wanted: &str) -> Result<String, Failure> {
    name_given("number of the device", wanted, "see `holebook devices`")?;
    let devices = store.devices()?;
    let number = wanted.strip_prefix('#').unwrap_or(wanted);
    let is_named = |device: &PairedDevice| {
        !wanted.starts_with('#')
            && device.revoked_at.is_none()
            && device.name.eq_ignore_ascii_case(wanted)
    };
    let mut found: Vec<&PairedDevice> = devices
        .iter()
        .filter(|device| device.id.to_string() == number || is_named(device))
        .collect();
    found.sort_by_key(|device| device.id);
    match found[..] {
        [device] => {
            store.revoke(device.id)?;
            Ok(name_and_number(device))
        }
        [] => Err(Failure::Message(format!(
            "no paired device has the number or the name '{}'; see `holebook devices`",
            escaped(wanted)
        ))),
        _ => {
            let names: Vec<String> = found.iter().copied().map(name_and_number).collect();
            Err(Failure::Message(format!(
                "'{}' can mean {}; revoke one by its number, such as --revoke '#{}'",
                escaped(wanted),
                names.join(" or "),
                found[0].id
            )))
        }
    }
}

fn name_and_number(device: &PairedDevice) -> String {
    format!("{} (number {})", escaped(&device.name), device.id)
}

#[derive(Serialize)]
struct Answer<'a> {
    devices: Vec<DeviceAnswer<'a>>,
    shop_computers: Vec<ShopAnswer<'a>>,
}

#[derive(Serialize)]
struct DeviceAnswer<'a> {
    id: i64,
    name: &'a str,
    paired_at: DateTime<FixedOffset>,
    revoked_at: Option<DateTime<FixedOffset>>,
    last_sync: Option<LastSync>,
}

#[derive(Serialize)]
struct LastSync {
    at: DateTime<FixedOffset>,
    entries_pushed: u64,
    photos_pushed: u64,
    entries_pulled: u64,
    photos_pulled: u64,
}

impl<'a> DeviceAnswer<'a> {
    fn new(device: &'a PairedDevice) -> Self {
        let last = device.last_sync.map(|last| LastSync {
            at: local_time(last.at),
            entries_pushed: last.counts.entries_pushed,
            photos_pushed: last.counts.photos_pushed,
            entries_pulled: last.counts.entries_pulled,
            photos_pulled: last.counts.photos_pulled,
        });
        Self {
            id: device.id,
            name: &device.name,
            paired_at: local_time(device.paired_at),
            revoked_at: device.revoked_at.map(local_time),
            last_sync: last,
        }
    }
}

#[derive(Serialize)]
struct ShopAnswer<'a> {
    remote: String,
    name: &'a str,
    paired_at: DateTime<FixedOffset>,
    last_sync_at: Option<DateTime<FixedOffset>>,
}

impl<'a> ShopAnswer<'a> {
    fn new(shop: &'a PairedShop) -> Self {
        Self {
            remote: shop.remote_id(),
            name: &shop.name,
            paired_at: local_time(shop.paired_at),
            last_sync_at: shop.last_sync_at.map(local_time),
        }
    }
}

fn devices_text(devices: &[PairedDevice], shops: &[PairedShop]) -> String {
    let mut text = String::new();
    if devices.is_empty() {
        text += "No device is paired with this notebook. Pair one with `holebook pair`.\n";
    }
    for device in devices {
        text += &item(&device_text(device));
    }
    if !shops.is_empty() {
        text += "This computer is paired with these shop computers:\n";
    }
    for shop in shops {
        let last = match shop.last_sync_at {
            Some(at) => format!("last sync {}", local_time_text(at)),
            None => "not synced yet".to_owned(),
        };
        text += &item(&format!("{}: {last}", escaped(&shop.name)));
    }
    text
}

fn device_text(device: &PairedDevice) -> String {
    let mut text = format!(
        "{}, paired {}",
        name_and_number(device),
        local_time_text(device.paired_at)
    );
    match device.last_sync {
        None => text += ", not synced yet",
        Some(last) => {
            text += &format!(
                ", last sync {}: sent {} and {}, received {} and {}",
                local_time_text(last.at),
                count_of(last.counts.entries_pushed, "entry", "entries"),
                count_of(last.counts.photos_pushed, "photo", "photos"),
                count_of(last.counts.entries_pulled, "entry", "entries"),
                count_of(last.counts.photos_pulled, "photo", "photos"),
            );
        }
    }
    if let Some(at) = device.revoked_at {
        text += &format!("; revoked {}", local_time_text(at));
    }
    text
}

fn local_time(at: DateTime<Utc>) -> DateTime<FixedOffset> {
    at.with_timezone(&Local).fixed_offset()
}

fn local_time_text(at: DateTime<Utc>) -> String {
    local_time(at).format("%-d %b %Y, %H:%M").to_string()
}
