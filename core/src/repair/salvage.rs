//! Finds everything readable in a damaged database: every line whose bytes are there, no matter where they
//! are in the file.
//!
//! The file is not read through its B-tree, which may be damaged, but searched for records of the
//! journal's table. The form of the header identifies a record, and the hash in it proves the line.
//! Sections 1.5, 1.6, 2.1 and 4 of SQLite's "Database File Format" describe records in pages and in
//! the log.

use super::pages::Pages;
use crate::notebook::{DeviceId, Line, LineHash, SettingName};
use memchr::memmem;
use std::collections::{BTreeMap, BTreeSet};

/// The start of the header of a row of the table `entry`, after its length: the row number, which
/// is not in the record, then two ids of 16 bytes.
const ENTRY: &[u8] = &[0, 44, 44];
/// The serial type of 16 bytes.
const NAME: u64 = 44;
/// The serial type of 32 bytes.
const HASH: u64 = 76;

/// What was found.
#[derive(Debug, Default)]
pub(super) struct Salvage {
    /// Lines that match their hash, by device and number.
    lines: BTreeMap<(DeviceId, u64, LineHash), Line>,
    /// Lines that do not match the hash beside them. A line that names one of them as the line
    /// before it proves it.
    unproved: Vec<Line>,
    settings: Vec<(SettingName, String)>,
    /// Whether the log that was searched last has changes after a damaged frame.
    pub log_is_cut: bool,
}

impl Salvage {
    /// Searches a database file and its log.
    pub fn search(&mut self, file: Vec<u8>, log: Vec<u8>) {
        let pages = Pages::of(file, log);
        self.log_is_cut = pages.log_is_cut();
        for bytes in pages.all() {
            for at in memmem::find_iter(bytes, ENTRY) {
                // The length of the header is before it.
                let found = at.checked_sub(1).and_then(|at| entry(&pages, bytes, at));
                self.add(found);
            }
            for name in SettingName::ALL {
                for text in name.texts() {
                    self.search_setting(&pages, bytes, name, text);
                }
            }
        }
        self.prove();
    }

    fn add(&mut self, found: Option<(LineHash, Line)>) {
        match found {
            Some((hash, line)) if line.hash() == hash => self.keep(line),
            Some((_, line)) => self.unproved.push(line),
            None => {}
        }
    }

    fn keep(&mut self, line: Line) {
        let entry = line.entry();
        let key = (entry.device, entry.seq, line.hash());
        self.lines.insert(key, line);
    }

    /// Keeps lines that other lines name, and those that these name in turn.
    fn prove(&mut self) {
        let mut named: BTreeSet<LineHash> = BTreeSet::new();
        named.extend(self.lines.values().filter_map(|line| line.entry().prev));
        self.unproved
            .sort_by_key(|line| std::cmp::Reverse(line.entry().seq));
        for line in std::mem::take(&mut self.unproved) {
            if named.contains(&line.hash()) {
                named.extend(line.entry().prev);
                self.keep(line);
            }
        }
    }

    fn search_setting(&mut self, pages: &Pages, bytes: &[u8], name: SettingName, text: &str) {
        // A record of two texts: the header's length, the serial types, then the name and the
        // value.
        for at in memmem::find_iter(bytes, text.as_bytes()) {
            let header = (3..=5).filter_map(|length| at.checked_sub(length));
            let values = header.filter_map(|header| setting(pages, bytes, header, text));
            self.settings.extend(values.map(|value| (name, value)));
        }
    }

    /// Returns the lines, each device's in order.
    pub fn into_lines(self) -> Vec<Line> {
        self.lines.into_values().collect()
    }

    /// Returns the device, number and hash of each line.
    pub fn line_keys(&self) -> Vec<(DeviceId, u64, LineHash)> {
        self.lines.keys().copied().collect()
    }

    /// Returns every value that a setting has or had: earlier ones may still be in the file.
    pub fn setting(&self, name: SettingName) -> Vec<&str> {
        let found = self.settings.iter().filter(|(one, _)| *one == name);
        let values: BTreeSet<&str> = found.map(|(_, value)| value.as_str()).collect();
        values.into_iter().collect()
    }
}

/// Reads the hash and the line of a record of the table `entry` whose header length is at `at`.
fn entry(pages: &Pages, bytes: &[u8], at: usize) -> Option<(LineHash, Line)> {
    let header = *bytes.get(at)? as usize;
    let mut types = Types(bytes.get(at + 1..at + header)?);
    let sizes: [u64; 8] = std::array::from_fn(|_| types.next().unwrap_or(u64::MAX));
    let [0, NAME, NAME, seq @ 1..=9, kind, NAME, HASH, line] = sizes else {
        return None;
    };
    let before = 16 + 16 + size(seq)? + size(kind)? + 16;
    let length = header + before + 32 + size(line)?;
    for record in pages.records(bytes, at, length, Pages::TABLE) {
        let hash = record.get(header + before..header + before + 32)?;
        let text = record.get(header + before + 32..)?.to_vec();
        let line = String::from_utf8(text)
            .ok()
            .and_then(|text| Line::read(text).ok());
        if let Some(line) = line {
            return Some((LineHash(hash.try_into().ok()?), line));
        }
    }
    None
}

/// Reads the value of a record of the table `setting` whose header length is at `at`.
fn setting(pages: &Pages, bytes: &[u8], at: usize, name: &str) -> Option<String> {
    let header = *bytes.get(at)? as usize;
    let mut types = Types(bytes.get(at + 1..at + header)?);
    let (first, second) = (types.next()?, types.next()?);
    let is_name = first == 13 + 2 * name.len() as u64 && second >= 13 && second % 2 == 1;
    let starts = bytes.get(at + header..)?.starts_with(name.as_bytes());
    if !is_name || !starts || !types.0.is_empty() {
        return None;
    }
    let length = header + name.len() + size(second)?;
    let mut records = pages.records(bytes, at, length, Pages::INDEX);
    let record = records.next()?;
    String::from_utf8(record.get(header + name.len()..)?.to_vec()).ok()
}

/// Returns the size in bytes of a value of a serial type.
fn size(serial: u64) -> Option<usize> {
    const LONGEST: u64 = 1 << 22;
    Some(match serial {
        0 | 8 | 9 => 0,
        1..=4 => serial as usize,
        5 => 6,
        6 | 7 => 8,
        12..LONGEST => ((serial - 12) / 2) as usize,
        _ => return None,
    })
}

/// The serial types of a header.
struct Types<'a>(&'a [u8]);

impl Iterator for Types<'_> {
    type Item = u64;

    fn next(&mut self) -> Option<u64> {
        let mut value = 0;
        for at in 0..self.0.len().min(8) {
            value = value << 7 | u64::from(self.0[at] & 0x7f);
            if self.0[at] < 0x80 {
                self.0 = &self.0[at + 1..];
                return Some(value);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn serial_types_are_read_as_the_file_format_says() {
        let types: Vec<u64> = Types(&[3, 0, 0x81, 0x00, 25, 0xff]).collect();
        assert_eq!(types, [3, 0, 128, 25]);
        let sizes: Vec<_> = [0, 1, 4, 5, 6, 8, 9, 10, 12, 13, 44, 76].map(size).into();
        let expected = [
            Some(0),
            Some(1),
            Some(4),
            Some(6),
            Some(8),
            Some(0),
            Some(0),
            None,
            Some(0),
            Some(0),
            Some(16),
            Some(32),
        ];
        assert_eq!(sizes, expected);
    }
}
