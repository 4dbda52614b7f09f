//! What the files in a bundle are, by their names and by what the list of files says of them; nothing is unpacked here.

use super::super::Problem;
use super::super::piece::{LARGEST_PIECE, PieceError};
use super::super::stretch::Stretch;
use super::{Flaw, MOST_LINES};
use crate::notebook::DeviceId;
use crate::photo::{LARGEST_FILE_BYTES, PhotoHash};
use std::collections::BTreeMap;
use zip::CompressionMethod;
use zip::read::ZipFileEntry;

/// A photo that was deflated and has more than so many times its size was never a photo: cameras pack them well.
const MOST_TIMES: u64 = 100;
/// How many files that are not taken are named one by one.
const MOST_NAMED: usize = 50;
/// How many characters of a name that a bundle gives are shown.
const SHOWN: usize = 80;

/// A file in a bundle that may be unpacked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Packed {
    /// Its place in the list of files.
    pub index: usize,
    /// Its size in bytes once unpacked, as the list says.
    pub bytes: u64,
}

/// The files of a bundle.
#[derive(Debug, Default)]
pub(super) struct Sorted {
    pub lines: BTreeMap<Stretch, Packed>,
    pub photos: BTreeMap<PhotoHash, Packed>,
    pub problems: Vec<Problem>,
    unnamed: usize,
    line_bytes: u64,
}

/// What a name says that a file is.
enum Named {
    Lines(Stretch),
    Photo(PhotoHash),
    /// A folder of a shelf, as a shelf's folder has when it is packed by other means.
    Folder,
    Other,
}

impl Sorted {
    /// Puts a file where it belongs.
    pub fn add(&mut self, index: usize, file: &ZipFileEntry<'_>) -> Result<(), Flaw> {
        let packed = Packed {
            index,
            bytes: file.size(),
        };
        let named = name_of(file.name_raw());
        match (named, why_not(file)) {
            (Named::Folder, None) if file.size() == 0 => {}
            (Named::Lines(_) | Named::Photo(_), Some(why)) => self.refuse(file, why),
            (Named::Folder | Named::Other, _) => {
                self.refuse(
                    file,
                    "it is neither lines of a journal nor a photo".to_owned(),
                );
            }
            (Named::Lines(_), None) if file.size() > LARGEST_PIECE as u64 => {
                self.refuse(file, PieceError::TooLarge.to_string());
            }
            (Named::Lines(stretch), None) => {
                self.line_bytes += file.size();
                self.lines.insert(stretch, packed);
            }
            (Named::Photo(photo), None) => match why_no_photo(file) {
                Some(why) => self.refuse(file, why),
                None => drop(self.photos.insert(photo, packed)),
            },
        }
        if self.line_bytes > MOST_LINES {
            return Err(Flaw::TooManyLines);
        }
        Ok(())
    }

    /// Says what was not named one by one.
    pub fn finish(mut self) -> Self {
        if self.unnamed > 0 {
            self.problems.push(Problem {
                file: format!("{} more files", self.unnamed),
                why: "there is something wrong with them too".to_owned(),
            });
        }
        self
    }

    fn refuse(&mut self, file: &ZipFileEntry<'_>, why: String) {
        if self.problems.len() < MOST_NAMED {
            let file = shown(file.name_raw());
            self.problems.push(Problem { file, why });
        } else {
            self.unnamed += 1;
        }
    }
}

/// Only names that are just as they would be written are taken, so that no name ever becomes a path.
fn name_of(raw: &[u8]) -> Named {
    let Ok(name) = str::from_utf8(raw) else {
        return Named::Other;
    };
    if let Ok(stretch) = name.parse() {
        return Named::Lines(stretch);
    }
    if let Some(photo) = name
        .strip_prefix("photos/")
        .and_then(|rest| rest.parse().ok())
    {
        return Named::Photo(photo);
    }
    let device = name
        .strip_prefix("journal/")
        .and_then(|rest| rest.strip_suffix('/'));
    let of_device = device.is_some_and(|device| device.parse::<DeviceId>().is_ok());
    if of_device || matches!(name, "journal/" | "photos/") {
        Named::Folder
    } else {
        Named::Other
    }
}

/// Why a file is not unpacked whatever it is.
fn why_not(file: &ZipFileEntry<'_>) -> Option<String> {
    /// The bits of a Unix mode that say what kind of file it is, and those of an ordinary file.
    const KIND: u32 = 0o170_000;
    const ORDINARY: u32 = 0o100_000;
    let kind = file.unix_mode().map_or(0, |mode| mode & KIND);
    if file.encrypted() {
        return Some("it is locked with a password".to_owned());
    }
    if !file.is_dir() && kind != 0 && kind != ORDINARY {
        return Some("it is a link or another thing that is no file".to_owned());
    }
    match file.compression() {
        CompressionMethod::Stored if file.size() != file.compressed_size() => {
            Some("its two sizes contradict each other".to_owned())
        }
        CompressionMethod::Stored | CompressionMethod::Deflated => None,
        _ => Some("it is packed in a way that is not read here".to_owned()),
    }
}

fn why_no_photo(file: &ZipFileEntry<'_>) -> Option<String> {
    if file.size() > LARGEST_FILE_BYTES {
        let (has, most) = (file.size() / 1_000_000, LARGEST_FILE_BYTES / 1_000_000);
        return Some(format!(
            "it has {has} MB, and a photo may have {most} MB at most"
        ));
    }
    (file.size() > file.compressed_size().saturating_mul(MOST_TIMES))
        .then(|| format!("it unpacks to more than {MOST_TIMES} times its size, as no photo does"))
}

/// A name as it can be shown, whatever is in it.
fn shown(raw: &[u8]) -> String {
    let name = String::from_utf8_lossy(raw);
    let mut shown: String = name
        .chars()
        .take(SHOWN)
        .flat_map(char::escape_debug)
        .collect();
    if name.chars().nth(SHOWN).is_some() {
        shown.push_str("...");
    }
    shown
}
