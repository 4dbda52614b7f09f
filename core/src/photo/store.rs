//! The folder of photos: each under its content's name, with smaller pictures beside it that can be made again.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use serde::{Deserialize, Serialize};
use tempfile::NamedTempFile;

use super::LARGEST_FILE_BYTES;
use super::arriving::Arriving;
use super::error::PhotoError;
use super::format::Format;
use super::hash::PhotoHash;
use super::location::Found;
use super::picture::{Picture, Smaller};
use super::taken::TakenAt;

/// What to do with the place where a photo was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Location {
    /// Take it out. A workshop's address is nobody's business, so this is the rule.
    #[default]
    Remove,
    /// Leave the file byte for byte as the camera wrote it; only if its owner asks for that.
    Keep,
}

/// A photo that was brought in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Incoming {
    /// The name it is stored under.
    pub hash: PhotoHash,
    /// Width of the upright picture, in pixels. Marks are in these pixels, not in those of the view.
    pub width: u32,
    /// Height of the upright picture, in pixels.
    pub height: u32,
    /// When it was taken, if the camera said.
    pub taken_at: Option<TakenAt>,
    /// A position, or metadata that names one or could not be read, was taken out.
    pub location_removed: bool,
    /// Something that stood behind the picture in its file was left out: further pictures, or the film of a moving
    /// photo. Only with [`Location::Remove`], for such things carry positions of their own.
    pub trailer_removed: bool,
    /// Size of the stored file in bytes.
    pub bytes: u64,
    /// Kind of the stored file.
    pub format: Format,
    /// The same photo was there before; nothing new was stored.
    pub already_there: bool,
}

/// The photos of a notebook, in a folder of their own.
///
/// `<folder>/<hash>` is the photo, `view/<hash>.jpg` and `thumb/<hash>.jpg` are made from it and made again if they are
/// gone. Any number of programs may use a folder at once: every file appears whole under its name or not at all.
#[derive(Debug, Clone)]
pub struct PhotoStore {
    dir: PathBuf,
}

/// As many bytes of a file tell what kind it is.
const FORMAT_BYTES: u64 = 16;
const VIEWS: &str = "view";
const THUMBNAILS: &str = "thumb";
/// What a file is called until it is whole.
pub(crate) const UNFINISHED: &str = ".incoming-";
/// By then, whoever began an unfinished file has ended or died.
const GIVEN_UP: Duration = Duration::from_secs(24 * 60 * 60);

impl PhotoStore {
    /// Opens the folder, and makes it if it is not there. Unfinished files that a power cut left are cleared away once
    /// they are a day old.
    ///
    /// # Errors
    /// [`PhotoError::Storage`] or [`PhotoError::StorageFull`] if the folder cannot be made.
    pub fn open(dir: impl Into<PathBuf>) -> Result<Self, PhotoError> {
        let store = Self { dir: dir.into() };
        for dir in [
            store.dir.clone(),
            store.dir.join(VIEWS),
            store.dir.join(THUMBNAILS),
        ] {
            fs::create_dir_all(&dir).map_err(|error| PhotoError::storing(&dir, error))?;
            clear_unfinished(&dir);
        }
        Ok(store)
    }

    /// Brings in a photo from a camera, and makes its view and thumbnail. The source is only read.
    ///
    /// When this returns, the photo is on disk and a power cut cannot take it. Blocks for as long as that takes: some
    /// tenths of a second for 12 megapixels. The file is written while the picture is decoded, on a second thread.
    ///
    /// # Errors
    /// Any [`PhotoError`] but [`PhotoError::Missing`] and [`PhotoError::NotAsNamed`]; nothing is stored then.
    pub fn bring_in(&self, source: &Path, location: Location) -> Result<Incoming, PhotoError> {
        let picture = Picture::of(read_photo(source)?).map_err(|flaw| flaw.of(source))?;
        let has_trailer = picture.has_trailer();
        let (picture, found) = match location {
            Location::Remove => picture.without_location().map_err(|flaw| flaw.of(source))?,
            Location::Keep => (picture, Found::Nothing),
        };
        let hash = PhotoHash::of(picture.bytes());
        let already_there = self.verify(&hash).is_ok();
        let (unfinished, smaller) = thread::scope(|scope| {
            let writer =
                (!already_there).then(|| scope.spawn(|| self.written(&self.dir, picture.bytes())));
            let smaller = picture.smaller();
            (writer.map(thread::ScopedJoinHandle::join), smaller)
        });
        let smaller = smaller.map_err(|flaw| flaw.of(source))?;
        if let Some(unfinished) = unfinished {
            let unfinished = unfinished.unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
            self.keep(unfinished, &hash)?;
        }
        // They can be made again at any time, so trouble with them is no reason to refuse the photo.
        let _ = self.write_smaller(&hash, &smaller);
        let (width, height) = picture.upright_size();
        Ok(Incoming {
            hash,
            width,
            height,
            taken_at: picture.facts().taken_at,
            location_removed: found.is_something(),
            trailer_removed: has_trailer && location == Location::Remove,
            bytes: picture.bytes().len() as u64,
            format: picture.format(),
            already_there,
        })
    }

    /// Where a photo is, or would be, stored.
    #[must_use]
    pub fn original(&self, hash: &PhotoHash) -> PathBuf {
        self.dir.join(hash.to_string())
    }

    /// What kind of file a stored photo is, by its first bytes.
    ///
    /// # Errors
    /// [`PhotoError`] if it is not here or cannot be read.
    pub fn format(&self, hash: &PhotoHash) -> Result<Format, PhotoError> {
        let path = self.original(hash);
        let mut start = Vec::new();
        self.stored(hash)?
            .take(FORMAT_BYTES)
            .read_to_end(&mut start)
            .map_err(|error| PhotoError::reading(&path, error))?;
        Format::of(&start).map_err(|flaw| flaw.of(&path))
    }

    /// Whether a photo is here. Its content is not read; for that see [`PhotoStore::verify`].
    #[must_use]
    pub fn holds(&self, hash: &PhotoHash) -> bool {
        self.original(hash).is_file()
    }

    /// The names of all photos here, in no order.
    ///
    /// # Errors
    /// [`PhotoError::Storage`] if the folder cannot be read.
    pub fn hashes(&self) -> Result<Vec<PhotoHash>, PhotoError> {
        let trouble = |error| PhotoError::storing(&self.dir, error);
        let mut hashes = Vec::new();
        for entry in fs::read_dir(&self.dir).map_err(trouble)? {
            hashes.extend(
                entry
                    .map_err(trouble)?
                    .file_name()
                    .to_str()
                    .and_then(|name| name.parse::<PhotoHash>().ok()),
            );
        }
        Ok(hashes)
    }

    /// The upright picture as JPEG, its long edge [`super::VIEW_EDGE_PX`] at most; made again if it is gone.
    ///
    /// # Errors
    /// [`PhotoError::Missing`] if the photo itself is not here, others if it cannot be read or the view not written.
    pub fn view(&self, hash: &PhotoHash) -> Result<PathBuf, PhotoError> {
        self.derived(hash, VIEWS)
    }

    /// The upright picture as JPEG, its long edge [`super::THUMBNAIL_EDGE_PX`] at most; made again if it is gone.
    ///
    /// # Errors
    /// As [`PhotoStore::view`].
    pub fn thumbnail(&self, hash: &PhotoHash) -> Result<PathBuf, PhotoError> {
        self.derived(hash, THUMBNAILS)
    }

    /// Takes a photo that came over a shelf under its name, byte for byte. It is on disk when this returns.
    ///
    /// Whether it is a picture is not asked: a device with a newer Holebook may know more kinds than this one.
    ///
    /// # Errors
    /// [`PhotoError::NotAsNamed`] if the content is not what the name says, others if it cannot be read or written;
    /// nothing is stored then.
    pub fn adopt(&self, hash: &PhotoHash, source: &Path) -> Result<(), PhotoError> {
        let trouble = |error| PhotoError::reading(source, error);
        if !fs::metadata(source).map_err(trouble)?.is_file() {
            let file = source.to_owned();
            return Err(PhotoError::NotAFile { file });
        }
        self.adopt_from(hash, &mut File::open(source).map_err(trouble)?)
    }

    /// As [`PhotoStore::adopt`], from whatever `source` gives, in small pieces of memory.
    ///
    /// # Errors
    /// As [`PhotoStore::adopt`].
    pub fn adopt_from(&self, hash: &PhotoHash, source: &mut dyn Read) -> Result<(), PhotoError> {
        self.adopt_with(hash, |file| {
            let copied = std::io::copy(source, file);
            copied
                .map(drop)
                .map_err(|error| PhotoError::reading(&self.original(hash), error))
        })
    }

    /// As [`PhotoStore::adopt`], from what `write` writes. A photo that is here already is not asked for again.
    ///
    /// # Errors
    /// As [`PhotoStore::adopt`], and what `write` says.
    pub fn adopt_with<E: From<PhotoError>>(
        &self,
        hash: &PhotoHash,
        write: impl FnOnce(&mut dyn Write) -> Result<(), E>,
    ) -> Result<(), E> {
        if self.holds(hash) && self.verify(hash).is_ok() {
            return Ok(());
        }
        let trouble = |error| PhotoError::storing(&self.dir, error);
        let mut arriving = Arriving::new(unfinished(&self.dir).map_err(trouble)?);
        let written = write(&mut arriving);
        if let Some(trouble) = arriving.trouble(hash, &self.dir) {
            return Err(trouble.into());
        }
        written?;
        let file = arriving.finish(hash, &self.dir)?;
        file.as_file().sync_all().map_err(trouble)?;
        Ok(self.keep(file, hash)?)
    }

    /// Reads a photo and checks that its content belongs to its name.
    ///
    /// # Errors
    /// [`PhotoError::Missing`], [`PhotoError::NotAsNamed`], or [`PhotoError::Unreadable`].
    pub fn verify(&self, hash: &PhotoHash) -> Result<(), PhotoError> {
        let file = self.original(hash);
        let found = self.stored(hash).and_then(|open| {
            PhotoHash::of_reader(open).map_err(|error| PhotoError::reading(&file, error))
        })?;
        if found == *hash {
            Ok(())
        } else {
            Err(PhotoError::NotAsNamed { hash: *hash, file })
        }
    }

    /// Whether the view and the thumbnail are whole, where they are here.
    pub(crate) fn smaller_are_sound(&self, hash: &PhotoHash) -> bool {
        [VIEWS, THUMBNAILS].iter().all(|folder| {
            let path = self.derived_path(hash, folder);
            match fs::read(&path) {
                Ok(bytes) => is_whole_jpeg(&path) && Picture::of(bytes).is_ok_and(Picture::decodes),
                Err(error) => error.kind() == std::io::ErrorKind::NotFound,
            }
        })
    }

    /// Makes the view and the thumbnail anew; a photo of a kind that is not known here has none.
    pub(crate) fn make_smaller_anew(&self, hash: &PhotoHash) -> Result<(), PhotoError> {
        let original = self.original(hash);
        let picture = Picture::of(read_photo(&original)?).and_then(|picture| picture.smaller());
        self.write_smaller(hash, &picture.map_err(|flaw| flaw.of(&original))?)
    }

    fn stored(&self, hash: &PhotoHash) -> Result<File, PhotoError> {
        let file = self.original(hash);
        File::open(&file).map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound => PhotoError::Missing {
                hash: *hash,
                place: self.dir.clone(),
            },
            _ => PhotoError::reading(&file, error),
        })
    }

    fn derived(&self, hash: &PhotoHash, folder: &str) -> Result<PathBuf, PhotoError> {
        let path = self.derived_path(hash, folder);
        if self.holds(hash) && is_whole_jpeg(&path) {
            return Ok(path);
        }
        self.verify(hash)?;
        self.make_smaller_anew(hash)?;
        Ok(path)
    }

    fn derived_path(&self, hash: &PhotoHash, folder: &str) -> PathBuf {
        self.dir.join(folder).join(format!("{hash}.jpg"))
    }

    /// Not forced to disk: after a power cut they may be gone, and are then made again.
    fn write_smaller(&self, hash: &PhotoHash, smaller: &Smaller) -> Result<(), PhotoError> {
        for (folder, bytes) in [(VIEWS, &smaller.view), (THUMBNAILS, &smaller.thumbnail)] {
            let trouble = |error| PhotoError::storing(&self.dir, error);
            let dir = self.dir.join(folder);
            fs::create_dir_all(&dir).map_err(trouble)?;
            let mut file = unfinished(&dir).map_err(trouble)?;
            file.write_all(bytes).map_err(trouble)?;
            file.persist(self.derived_path(hash, folder))
                .map_err(|error| trouble(error.error))?;
        }
        Ok(())
    }

    /// Bytes on disk in an unnamed file, which goes away again unless it is kept.
    fn written(&self, dir: &Path, bytes: &[u8]) -> Result<NamedTempFile, PhotoError> {
        let trouble = |error| PhotoError::storing(&self.dir, error);
        let mut file = unfinished(dir).map_err(trouble)?;
        file.write_all(bytes).map_err(trouble)?;
        file.as_file().sync_all().map_err(trouble)?;
        Ok(file)
    }

    /// Gives a written file its name, for good.
    fn keep(&self, file: NamedTempFile, hash: &PhotoHash) -> Result<(), PhotoError> {
        let trouble = |error| PhotoError::storing(&self.dir, error);
        file.persist(self.original(hash))
            .map_err(|error| trouble(error.error))?;
        sync_folder(&self.dir).map_err(trouble)
    }
}

/// All bytes of a source, if it is a file of a size that a photo may have.
fn read_photo(source: &Path) -> Result<Vec<u8>, PhotoError> {
    let trouble = |error| PhotoError::reading(source, error);
    let meta = fs::metadata(source).map_err(trouble)?;
    let (file, bytes) = (source.to_owned(), meta.len());
    if !meta.is_file() {
        return Err(PhotoError::NotAFile { file });
    }
    if bytes > LARGEST_FILE_BYTES {
        return Err(PhotoError::FileTooLarge { file, bytes });
    }
    let mut content = Vec::with_capacity(bytes as usize);
    // It may have grown since.
    File::open(source)
        .and_then(|file| file.take(LARGEST_FILE_BYTES + 1).read_to_end(&mut content))
        .map_err(trouble)?;
    match content.len() as u64 {
        0 => Err(PhotoError::Empty { file }),
        bytes if bytes > LARGEST_FILE_BYTES => Err(PhotoError::FileTooLarge { file, bytes }),
        _ => Ok(content),
    }
}

/// A new file that goes away again unless it is given a name.
fn unfinished(dir: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(UNFINISHED);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any file that a person makes: the system's mask says who may read it.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(dir)
}

/// Whatever cannot be cleared away does no harm.
fn clear_unfinished(dir: &Path) {
    let old = |entry: &fs::DirEntry| {
        let age = entry
            .metadata()
            .and_then(|meta| meta.modified())
            .ok()
            .and_then(|time| time.elapsed().ok());
        entry
            .file_name()
            .as_encoded_bytes()
            .starts_with(UNFINISHED.as_bytes())
            && age.is_some_and(|age| age > GIVEN_UP)
    };
    let entries = fs::read_dir(dir).into_iter().flatten().flatten();
    entries
        .filter(old)
        .for_each(|entry| drop(fs::remove_file(entry.path())));
}

/// The name of a new file is in its folder, and the folder must reach the disk too.
pub(crate) fn sync_folder(dir: &Path) -> std::io::Result<()> {
    if cfg!(unix) {
        File::open(dir)?.sync_all()
    } else {
        Ok(())
    }
}

/// A view that a power cut emptied has neither the first nor the last two bytes of a JPEG file.
fn is_whole_jpeg(path: &Path) -> bool {
    use std::io::{Seek, SeekFrom};
    let ends = || -> std::io::Result<[u8; 4]> {
        let mut file = File::open(path)?;
        let mut ends = [0; 4];
        file.read_exact(&mut ends[..2])?;
        file.seek(SeekFrom::End(-2))?;
        file.read_exact(&mut ends[2..])?;
        Ok(ends)
    };
    ends().is_ok_and(|ends| ends == [0xFF, 0xD8, 0xFF, 0xD9])
}
