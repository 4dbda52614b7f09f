//! `holebook devices`: which devices are paired with this notebook, and revoking one.

use super::look::Look;
use super::{existing, number};
use crate::cli;
use crate::failure::Failure;
use crate::meet::shelves::Shelves;
use crate::out;
use crate::table::{item, plain};
use chrono::{DateTime, FixedOffset, Local, Utc};
use holebook_link::{Device, Shop, Store};
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;

/// Lists the devices that are paired with the notebook in `folder`, and the shop computers that it is paired with; revokes
/// one first where that is asked.
///
/// # Errors
/// Where there is no notebook, its pairings cannot be used, or no such device is paired.
pub fn run(folder: &Path, asked: &cli::Devices, look: Look) -> Result<(), Failure> {
    let shelves = Shelves::new(Arc::new(existing(folder)?));
    if let Some(name) = &asked.revoke {
        let revoked = revoke(shelves.pairings().store()?, name)?;
        if !look.json {
            out::say(&format!(
                "{} is revoked: it brings nothing and takes nothing from now on. What it brought stays.\n",
                plain(&revoked)
            ))?;
        }
    }
    let pairings = shelves.pairings();
    let devices = match pairings.is_there() {
        true => pairings.store()?.devices()?,
        false => Vec::new(),
    };
    let shops = pairings.shops()?;
    if look.json {
        return out::json(&Answer {
            devices: devices.iter().map(Paired::of).collect(),
            shop_computers: shops.iter().map(PairedShop::of).collect(),
        });
    }
    out::say(&words(&devices, &shops))
}

/// Revokes the device of this number or name; gives its name.
fn revoke(store: &Store, asked: &str) -> Result<String, Failure> {
    let devices = store.devices()?;
    let by_number = devices
        .iter()
        .filter(|device| device.id.to_string() == asked);
    let by_name = devices
        .iter()
        .filter(|device| device.revoked_at.is_none() && device.name.eq_ignore_ascii_case(asked));
    let mut found: Vec<&Device> = by_name.collect();
    if found.is_empty() {
        found.extend(by_number);
    }
    match found[..] {
        [device] => {
            store.revoke(device.id)?;
            Ok(device.name.clone())
        }
        [] => Err(Failure::Said(format!(
            "no device '{}' is paired; `holebook devices` lists those that are",
            plain(asked)
        ))),
        _ => Err(Failure::Said(format!(
            "several paired devices are called '{}'; revoke one by its number, which `holebook devices` gives",
            plain(asked)
        ))),
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    devices: Vec<Paired<'a>>,
    shop_computers: Vec<PairedShop<'a>>,
}

#[derive(Serialize)]
struct Paired<'a> {
    id: i64,
    name: &'a str,
    paired_at: DateTime<FixedOffset>,
    revoked_at: Option<DateTime<FixedOffset>>,
    last_exchange: Option<Last>,
}

#[derive(Serialize)]
struct Last {
    at: DateTime<FixedOffset>,
    entries_brought: u64,
    photos_brought: u64,
    entries_taken: u64,
    photos_taken: u64,
}

impl<'a> Paired<'a> {
    fn of(device: &'a Device) -> Self {
        let last = device.last_exchange.map(|last| Last {
            at: here(last.at),
            entries_brought: last.passed.entries_brought,
            photos_brought: last.passed.photos_brought,
            entries_taken: last.passed.entries_taken,
            photos_taken: last.passed.photos_taken,
        });
        Self {
            id: device.id,
            name: &device.name,
            paired_at: here(device.paired_at),
            revoked_at: device.revoked_at.map(here),
            last_exchange: last,
        }
    }
}

#[derive(Serialize)]
struct PairedShop<'a> {
    shelf: String,
    name: &'a str,
    paired_at: DateTime<FixedOffset>,
    last_exchange_at: Option<DateTime<FixedOffset>>,
}

impl<'a> PairedShop<'a> {
    fn of(shop: &'a Shop) -> Self {
        Self {
            shelf: format!("shop:{}", shop.fingerprint),
            name: &shop.name,
            paired_at: here(shop.paired_at),
            last_exchange_at: shop.last_exchange_at.map(here),
        }
    }
}

fn words(devices: &[Device], shops: &[Shop]) -> String {
    let mut text = String::new();
    if devices.is_empty() {
        text += "No device is paired with this notebook; `holebook pair` pairs one.\n";
    }
    for device in devices {
        text += &item(&device_words(device));
    }
    if !shops.is_empty() {
        text += "This computer is paired with these shop computers:\n";
    }
    for shop in shops {
        let last = match shop.last_exchange_at {
            Some(at) => format!("last exchange {}", when(at)),
            None => "not exchanged with yet".to_owned(),
        };
        text += &item(&format!("{}: {last}", plain(&shop.name)));
    }
    text
}

fn device_words(device: &Device) -> String {
    let mut words = format!(
        "{} (number {}), paired {}",
        plain(&device.name),
        device.id,
        when(device.paired_at)
    );
    match device.last_exchange {
        None => words += ", has not exchanged yet",
        Some(last) => {
            words += &format!(
                ", last exchange {}: brought {} and {}, took {} and {}",
                when(last.at),
                number(last.passed.entries_brought, "entry", "entries"),
                number(last.passed.photos_brought, "photo", "photos"),
                number(last.passed.entries_taken, "entry", "entries"),
                number(last.passed.photos_taken, "photo", "photos"),
            );
        }
    }
    if let Some(at) = device.revoked_at {
        words += &format!("; revoked {}", when(at));
    }
    words
}

fn here(at: DateTime<Utc>) -> DateTime<FixedOffset> {
    at.with_timezone(&Local).fixed_offset()
}

fn when(at: DateTime<Utc>) -> String {
    here(at).format("%-d %b %Y, %H:%M").to_string()
}
