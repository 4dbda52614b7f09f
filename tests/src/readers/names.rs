//! Names of things and entries that are the same in every run, so that what was found is found again.

use holebook_core::notebook::{DeviceId, EntryId};
use uuid::{Builder, Uuid};

/// Milliseconds since 1970 of 1 January 2026, when these histories begin.
const BEGINNING_MS: u64 = 1_767_225_600_000;

/// A thing, by its number.
pub fn thing(number: u64) -> Uuid {
    name(number, 1)
}

/// A device, by its number.
pub fn device(number: u64) -> DeviceId {
    DeviceId(name(number, 2))
}

/// An entry, by its number; later ones are greater.
pub fn entry(number: u64) -> EntryId {
    EntryId(name(number, 3))
}

fn name(number: u64, sort: u8) -> Uuid {
    let mut random = [sort; 10];
    random[..8].copy_from_slice(&number.to_be_bytes());
    Builder::from_unix_timestamp_millis(BEGINNING_MS + number, &random).into_uuid()
}
