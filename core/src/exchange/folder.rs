//! A folder as a shelf: on a stick, shared in the shop, or kept alike on several computers by another program.
//!
//! ```text
//! journal/<device>/<first>-<last>-<start of the last line's hash>.jsonl    lines of one device's journal
//! photos/<hash>                                                           a photo, named by its content
//! doubts/photos.<hash>, doubts/journal.<device>.<...>                     empty: that file is not what its name says
//! ```
//! A file gets its name once it is whole and on the disk. Where a program or a failing stick cut one short all the same, its
//! end or its size shows it, and it is left again in its place. One that was changed and kept its size is found by who takes it,
//! and left again because of the doubt.

use super::error::ExchangeError;
use super::piece::LARGEST_PIECE;
use super::shelf::{Shelf, Survey};
use super::stretch::Stretch;
use super::{Problem, piece::PieceError};
use crate::notebook::{DeviceId, LONGEST_LINE, LineHash};
use crate::photo::PhotoHash;
use std::collections::BTreeSet;
use std::fs::{self, DirEntry, File};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

const JOURNAL: &str = "journal";
const PHOTOS: &str = "photos";
const DOUBTS: &str = "doubts";
/// What a folder's id begins with; its path follows.
const ID: &str = "folder:";
/// What a file is called until it is whole.
const UNFINISHED: &str = ".unfinished-";
/// How many bytes of a file's end are read first, to find its last line.
const TAIL: u64 = 16 << 10;

/// A folder that devices leave lines and photos in.
#[derive(Debug)]
pub struct FolderShelf {
    root: PathBuf,
}

impl FolderShelf {
    /// Opens the folder, and says whether it was made: that is done where only its last part is missing.
    ///
    /// # Errors
    /// [`ExchangeError::NoShelf`] where the folder is not there, and others where it cannot be made.
    pub fn open(root: &Path) -> Result<(Self, bool), ExchangeError> {
        let shelf = Self {
            root: root.to_owned(),
        };
        if root.is_dir() {
            return Ok((shelf, false));
        }
        let parent = root
            .parent()
            .filter(|parent| !parent.as_os_str().is_empty());
        if root.exists() || parent.is_some_and(|parent| !parent.is_dir()) {
            return Err(ExchangeError::NoShelf {
                shelf: shelf.name(),
            });
        }
        fs::create_dir(root).map_err(|error| shelf.told(root)(error))?;
        Ok((shelf, true))
    }

    /// Opens the folder of a shelf that was exchanged with before. A stick that is not plugged in is no new shelf, so nothing is
    /// made in its place.
    ///
    /// # Errors
    /// [`ExchangeError::NoShelf`] where the folder is not there.
    pub fn reopen(root: &Path) -> Result<Self, ExchangeError> {
        let shelf = Self {
            root: root.to_owned(),
        };
        if root.is_dir() {
            return Ok(shelf);
        }
        let shelf = shelf.name();
        Err(ExchangeError::NoShelf { shelf })
    }

    /// Where the shelf of this id lies; none where it is a shelf of another kind.
    #[must_use]
    pub fn place_of(id: &str) -> Option<PathBuf> {
        id.strip_prefix(ID).map(PathBuf::from)
    }

    /// Each device's lines, and files that look cut short.
    fn survey_journal(&self, survey: &mut Survey) -> Result<(), ExchangeError> {
        for folder in self.list(&self.root.join(JOURNAL))? {
            let Some(device) = parsed::<DeviceId>(&folder) else {
                continue;
            };
            for file in self.list(&folder.path())? {
                let name = file.file_name();
                let Some(stretch) = name
                    .to_str()
                    .and_then(|name| Stretch::from_file_name(device, name))
                else {
                    continue;
                };
                if self.is_whole(&file.path(), &stretch)? {
                    survey.stretches.insert(stretch);
                } else {
                    survey.unsound.push(Problem {
                        file: stretch.to_string(),
                        why: PieceError::CutShort.to_string(),
                    });
                }
            }
        }
        Ok(())
    }

    /// Whether a file ends with the line that its name says.
    fn is_whole(&self, file: &Path, stretch: &Stretch) -> Result<bool, ExchangeError> {
        let last = File::open(file).and_then(|mut open| last_line(&mut open));
        let last = last.map_err(self.told(file))?;
        Ok(last.is_some_and(|line| stretch.end.is_of(LineHash::of(&line))))
    }

    /// A folder's entries; none where it is not there yet.
    fn list(&self, dir: &Path) -> Result<Vec<DirEntry>, ExchangeError> {
        match fs::read_dir(dir) {
            Ok(entries) => entries.collect::<Result<_, _>>().map_err(self.told(dir)),
            Err(error)
                if matches!(
                    error.kind(),
                    io::ErrorKind::NotFound | io::ErrorKind::NotADirectory
                ) =>
            {
                Ok(Vec::new())
            }
            Err(error) => Err(self.told(dir)(error)),
        }
    }

    fn place_of_lines(&self, stretch: &Stretch) -> PathBuf {
        let folder = self.root.join(JOURNAL).join(stretch.device.to_string());
        folder.join(stretch.file_name())
    }

    /// Where a doubt about a file is noted: all lie in one folder.
    fn place_of_doubt(&self, file: &Path) -> PathBuf {
        let name = file.strip_prefix(&self.root).unwrap_or(file);
        let name = name.iter().map(|part| part.to_string_lossy());
        self.root
            .join(DOUBTS)
            .join(name.collect::<Vec<_>>().join("."))
    }

    /// The files that somebody doubts.
    fn doubted(&self) -> Result<BTreeSet<String>, ExchangeError> {
        let doubts = self.list(&self.root.join(DOUBTS))?.into_iter();
        let names = doubts.filter_map(|doubt| doubt.file_name().into_string().ok());
        // A device's name has no dot, and a photo's neither.
        Ok(names
            .map(|name| name.splitn(3, '.').collect::<Vec<_>>().join("/"))
            .collect())
    }

    fn place_of_photo(&self, photo: &PhotoHash) -> PathBuf {
        self.root.join(PHOTOS).join(photo.to_string())
    }

    /// Writes a file under another name, waits until it is on the disk, and names it. One that has the name makes room: it
    /// has the same content, or is not whole.
    fn leave(
        &self,
        file: &Path,
        write: impl FnOnce(&mut File) -> io::Result<()>,
    ) -> Result<(), ExchangeError> {
        let dir = file.parent().unwrap_or(&self.root);
        let attempt = || -> io::Result<()> {
            fs::create_dir_all(dir)?;
            let mut unfinished = unfinished_in(dir)?;
            write(unfinished.as_file_mut())?;
            unfinished.as_file().sync_all()?;
            unfinished.persist(file)?;
            let made = dir.ancestors();
            made.take_while(|dir| dir.starts_with(&self.root))
                .try_for_each(sync_folder)
        };
        attempt().map_err(self.told(file))?;
        self.settle_doubt(file);
        Ok(())
    }

    /// A doubt that stays for lack of rights has the file left once more, and does no other harm.
    fn settle_doubt(&self, file: &Path) {
        let _ = fs::remove_file(self.place_of_doubt(file));
    }

    fn told<'a>(&'a self, file: &'a Path) -> impl Fn(io::Error) -> ExchangeError + 'a {
        move |error| ExchangeError::from_io(&error, &self.name(), &file.display().to_string())
    }
}

impl Shelf for FolderShelf {
    fn id(&self) -> String {
        let place = fs::canonicalize(&self.root);
        format!("{ID}{}", place.unwrap_or(self.root.clone()).display())
    }

    fn name(&self) -> String {
        format!("the shelf {}", self.root.display())
    }

    fn survey(&self, _known: Option<&str>) -> Result<Option<Survey>, ExchangeError> {
        let mut survey = Survey {
            doubted: self.doubted()?,
            ..Survey::default()
        };
        self.survey_journal(&mut survey)?;
        for file in self.list(&self.root.join(PHOTOS))? {
            let Some(hash) = parsed(&file) else { continue };
            let meta = file.metadata().map_err(self.told(&file.path()))?;
            survey.photos.insert(hash, meta.len());
        }
        Ok(Some(survey))
    }

    fn lines(&self, stretch: &Stretch, _from: u64) -> Result<Vec<u8>, ExchangeError> {
        let file = self.place_of_lines(stretch);
        let mut bytes = Vec::new();
        File::open(&file)
            .and_then(|open| open.take(LARGEST_PIECE as u64 + 1).read_to_end(&mut bytes))
            .map_err(self.told(&file))?;
        Ok(bytes)
    }

    fn leave_lines(&self, stretch: &Stretch, lines: &[u8]) -> Result<(), ExchangeError> {
        let file = self.place_of_lines(stretch);
        // Somebody else may have left the very same meanwhile.
        if fs::read(&file).is_ok_and(|there| there == lines) {
            self.settle_doubt(&file);
            return Ok(());
        }
        self.leave(&file, |unfinished| unfinished.write_all(lines))
    }

    fn photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), ExchangeError> {
        let file = self.place_of_photo(photo);
        let copied = File::open(&file).and_then(|mut open| io::copy(&mut open, into));
        copied.map(drop).map_err(self.told(&file))
    }

    fn leave_photo(
        &self,
        photo: &PhotoHash,
        _bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), ExchangeError> {
        self.leave(&self.place_of_photo(photo), |unfinished| {
            io::copy(from, unfinished).map(drop)
        })
    }

    /// On a stick that only can be read there is no doubt to note.
    fn doubt(&self, file: &str) {
        let doubt = self.place_of_doubt(&self.root.join(file));
        let _ = fs::create_dir_all(self.root.join(DOUBTS)).and_then(|()| File::create(doubt));
    }
}

/// An entry's name, where it is one of these.
fn parsed<T: std::str::FromStr>(entry: &DirEntry) -> Option<T> {
    entry.file_name().to_str()?.parse().ok()
}

/// A file's last line; none where it does not end with a whole one.
fn last_line(file: &mut File) -> io::Result<Option<String>> {
    let mut reach = TAIL;
    loop {
        let (tail, is_all) = tail(file, reach)?;
        let Some(line) = tail.strip_suffix(b"\n") else {
            return Ok(None);
        };
        let before = line.iter().rposition(|byte| *byte == b'\n');
        match before.map(|at| at + 1).or(is_all.then_some(0)) {
            Some(start) => return Ok(String::from_utf8(line[start..].to_vec()).ok()),
            None if reach > LONGEST_LINE as u64 + 1 => return Ok(None),
            None => reach *= 8,
        }
    }
}

/// Up to so many bytes of a file's end, and whether that is all of it.
fn tail(file: &mut File, reach: u64) -> io::Result<(Vec<u8>, bool)> {
    let size = file.seek(SeekFrom::End(0))?;
    file.seek(SeekFrom::Start(size.saturating_sub(reach)))?;
    let mut tail = Vec::new();
    file.take(reach).read_to_end(&mut tail)?;
    Ok((tail, size <= reach))
}

/// The name of a new file is in its folder, and the folder must reach the disk too.
pub(super) fn sync_folder(dir: &Path) -> io::Result<()> {
    if cfg!(unix) {
        File::open(dir)?.sync_all()
    } else {
        Ok(())
    }
}

/// A new file that goes away again unless it is given a name.
pub(super) fn unfinished_in(dir: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(UNFINISHED);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // Others are to read it; the system's mask says who may.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(dir)
}
