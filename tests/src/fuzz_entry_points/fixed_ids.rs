//! Ids that are the same in every run, so that findings can be reproduced.

use holebook_core::notebook::{DeviceId, EntryId};
use uuid::{Builder, Uuid};

/// 1 January 2026 in milliseconds since 1970, when these histories begin.
const BEGINNING_MS: u64 = 1_767_225_600_000;

/// The id of a subject, by number.
pub fn thing(number: u64) -> Uuid {
    name(number, 1)
}

/// The id of a device, by number.
pub fn device(number: u64) -> DeviceId {
    DeviceId(name(number, 2))
}

/// The id of an entry, by number; later ones are greater.
pub fn entry(number: u64) -> EntryId {
    EntryId(name(number, 3))
}

fn name(number: u64, sort: u8) -> Uuid {
    let mut random = [sort; 10];
    random[..8].copy_from_slice(&number.to_be_bytes());
    Builder::from_unix_timestamp_millis(BEGINNING_MS + number, &random).into_uuid()
}
