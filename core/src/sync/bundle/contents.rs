//! The contents of a bundle, from the names and the central directory; nothing is unpacked here.

use super::super::Problem;
use super::super::chunk::{ChunkError, MAX_CHUNK_BYTES};
use super::super::segment::Segment;
use super::{BundleFlaw, MAX_LINE_BYTES};
use crate::notebook::DeviceId;
use crate::photo::{LARGEST_FILE_BYTES, PhotoHash};
use std::collections::BTreeMap;
use zip::CompressionMethod;
use zip::read::ZipFileEntry;

/// A deflated photo that unpacks to more than this many times its size is rejected: photos are
/// already compressed.
const MAX_RATIO: u64 = 100;
/// Number of rejected files that are listed one by one.
const MAX_PROBLEMS: usize = 50;
/// Number of characters of a name in the bundle that are displayed.
const MAX_NAME_CHARS: usize = 80;

/// A file in a bundle that may be unpacked.
#[derive(Debug, Clone, Copy)]
pub(super) struct PackedFile {
    /// Its index in the central directory.
    pub index: usize,
    /// Its unpacked size in bytes, as the central directory declares it.
    pub bytes: u64,
}

/// The files of a bundle.
#[derive(Debug, Default)]
pub(super) struct Contents {
    pub lines: BTreeMap<Segment, PackedFile>,
    pub photos: BTreeMap<PhotoHash, PackedFile>,
    pub problems: Vec<Problem>,
    unnamed: usize,
    line_bytes: u64,
}

/// What a file is, according to its name.
enum NamedAs {
    Lines(Segment),
    Photo(PhotoHash),
    /// A folder of a remote, which a zipped remote folder contains.
    Folder,
    Other,
}

impl Contents {
    /// Sorts a file into its list.
    pub fn add(&mut self, index: usize, file: &ZipFileEntry<'_>) -> Result<(), BundleFlaw> {
        let packed = PackedFile {
            index,
            bytes: file.size(),
        };
        let named = classify_name(file.name_raw());
        match (named, refusal_reason(file)) {
            (NamedAs::Folder, None) if file.size() == 0 => {}
            (NamedAs::Lines(_) | NamedAs::Photo(_), Some(reason)) => self.refuse(file, reason),
            (NamedAs::Folder | NamedAs::Other, _) => {
                self.refuse(
                    file,
                    "it is neither a journal segment nor a photo".to_owned(),
                );
            }
            (NamedAs::Lines(_), None) if file.size() > MAX_CHUNK_BYTES as u64 => {
                self.refuse(file, ChunkError::TooLarge.to_string());
            }
            (NamedAs::Lines(segment), None) => {
                self.line_bytes += file.size();
                self.lines.insert(segment, packed);
            }
            (NamedAs::Photo(photo), None) => match photo_refusal_reason(file) {
                Some(reason) => self.refuse(file, reason),
                None => drop(self.photos.insert(photo, packed)),
            },
        }
        if self.line_bytes > MAX_LINE_BYTES {
            return Err(BundleFlaw::TooManyLines);
        }
        Ok(())
    }

    /// Adds one problem for the files that were not listed one by one.
    pub fn finish(mut self) -> Self {
        if self.unnamed > 0 {
            self.problems.push(Problem {
                file: format!("{} more files", self.unnamed),
                reason: "they are invalid too".to_owned(),
            });
        }
        self
    }

    fn refuse(&mut self, file: &ZipFileEntry<'_>, reason: String) {
        if self.problems.len() < MAX_PROBLEMS {
            let file = printable_name(file.name_raw());
            self.problems.push(Problem { file, reason });
        } else {
            self.unnamed += 1;
        }
    }
}

/// Accepts only names that are exactly as they would be written, so that no name ever becomes a
/// path.
fn classify_name(raw: &[u8]) -> NamedAs {
    let Ok(name) = str::from_utf8(raw) else {
        return NamedAs::Other;
    };
    if let Ok(segment) = name.parse() {
        return NamedAs::Lines(segment);
    }
    if let Some(photo) = name
        .strip_prefix("photos/")
        .and_then(|rest| rest.parse().ok())
    {
        return NamedAs::Photo(photo);
    }
    let device = name
        .strip_prefix("journal/")
        .and_then(|rest| rest.strip_suffix('/'));
    let of_device = device.is_some_and(|device| device.parse::<DeviceId>().is_ok());
    if of_device || matches!(name, "journal/" | "photos/") {
        NamedAs::Folder
    } else {
        NamedAs::Other
    }
}

/// The reason why a file is not unpacked, whatever its name.
fn refusal_reason(file: &ZipFileEntry<'_>) -> Option<String> {
    /// The file type bits of a Unix mode, and their value for a regular file.
    const KIND: u32 = 0o170_000;
    const ORDINARY: u32 = 0o100_000;
    let kind = file.unix_mode().map_or(0, |mode| mode & KIND);
    if file.encrypted() {
        return Some("it is password-protected".to_owned());
    }
    if !file.is_dir() && kind != 0 && kind != ORDINARY {
        return Some("it is a link or another special file".to_owned());
    }
    match file.compression() {
        CompressionMethod::Stored if file.size() != file.compressed_size() => {
            Some("its two sizes differ".to_owned())
        }
        CompressionMethod::Stored | CompressionMethod::Deflated => None,
        _ => Some("its compression method is not supported".to_owned()),
    }
}

fn photo_refusal_reason(file: &ZipFileEntry<'_>) -> Option<String> {
    if file.size() > LARGEST_FILE_BYTES {
        let (has, most) = (file.size() / 1_000_000, LARGEST_FILE_BYTES / 1_000_000);
        return Some(format!(
            "it has {has} MB; the limit for a photo is {most} MB"
        ));
    }
    (file.size() > file.compressed_size().saturating_mul(MAX_RATIO))
        .then(|| format!("it unpacks to more than {MAX_RATIO} times its size, which no photo does"))
}

/// Makes a name displayable, whatever it contains.
fn printable_name(raw: &[u8]) -> String {
    let name = String::from_utf8_lossy(raw);
    let mut printable: String = name
        .chars()
        .take(MAX_NAME_CHARS)
        .flat_map(char::escape_debug)
        .collect();
    if name.chars().nth(MAX_NAME_CHARS).is_some() {
        printable.push_str("...");
    }
    printable
}
