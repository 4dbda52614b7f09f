//! The folder of photos: each named by its content hash, with previews that can be rebuilt.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use tempfile::NamedTempFile;

use holebook_pixels::{Format, Gray, Layout, Previews};

use super::LARGEST_FILE_BYTES;
use super::error::PhotoError;
use super::hash::PhotoHash;
use super::hashed_file::HashedFile;
use super::metadata::Photo;
use super::taken::TakenAt;

/// What to do with the metadata of an imported photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Metadata {
    /// Keep color profile, orientation, times, camera make and model, and nothing else. This is the
    /// default: a photo's position reveals where a workshop is.
    #[default]
    Strip,
    /// Store the file unchanged, with GPS position and all other metadata.
    Keep,
}

/// A photo that was imported.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct ImportedPhoto {
    /// The name it is stored by.
    pub hash: PhotoHash,
    /// Width of the upright picture, in pixels. Marks are in these pixels, not in those of the
    /// view.
    pub width: u32,
    /// Height of the upright picture, in pixels.
    pub height: u32,
    /// When it was taken, if the camera recorded it.
    pub taken_at: Option<TakenAt>,
    /// The file was changed: metadata or data behind the picture was removed, or EXIF was
    /// rewritten.
    pub metadata_removed: bool,
    /// The file was cut and then ended: a progressive JPEG without its last scans, which shows the
    /// whole picture in less detail.
    pub incomplete: bool,
    /// Size of the stored file in bytes.
    pub bytes: u64,
    /// Format of the stored file.
    pub format: Format,
    /// The same photo was there before; nothing new was stored.
    pub already_there: bool,
}

/// The photos of a notebook, in a folder of their own.
///
/// `<folder>/<hash>` is the photo; `view/<hash>.jpg` and `thumb/<hash>.jpg` are made from it, and
/// rebuilt if they are gone. Any number of programs may use a folder at once: every file appears
/// whole by its name or not at all.
#[derive(Debug, Clone)]
pub struct PhotoStore {
    dir: PathBuf,
}

/// Enough bytes of a file to detect its format.
const FORMAT_BYTES: u64 = 16;
/// Folders of previews.
const VIEWS: &str = "view";
const THUMBNAILS: &str = "thumb";
/// How a file's name begins until it is whole.
pub(crate) const PARTIAL_PREFIX: &str = ".incoming-";
/// Held while previews are rebuilt on request.
static REBUILD: Mutex<()> = Mutex::new(());
/// A partial file of this age is no longer being written.
const ABANDONED: Duration = Duration::from_secs(24 * 60 * 60);

impl PhotoStore {
    /// Opens the folder, and creates it if it is not there. Partial files that a power cut left are
    /// deleted once they are a day old.
    ///
    /// # Errors
    /// [`PhotoError::Storage`] or [`PhotoError::StorageFull`] if the folder cannot be created.
    pub fn open(dir: impl Into<PathBuf>) -> Result<Self, PhotoError> {
        let store = Self { dir: dir.into() };
        for dir in [
            store.dir.clone(),
            store.dir.join(VIEWS),
            store.dir.join(THUMBNAILS),
        ] {
            fs::create_dir_all(&dir).map_err(|error| PhotoError::storage(&dir, error))?;
            delete_abandoned(&dir);
        }
        Ok(store)
    }

    /// Imports a photo from a camera, and makes its view and thumbnail. The source is only read.
    ///
    /// When this returns, the photo is on disk and survives a power cut. Blocks until then: some
    /// tenths of a second for 12 megapixels. The file is written while the picture is decoded, on a
    /// second thread.
    ///
    /// # Errors
    /// Any [`PhotoError`] but [`PhotoError::Missing`] and [`PhotoError::NotAsNamed`]; nothing is
    /// stored then.
    pub fn import(&self, source: &Path, metadata: Metadata) -> Result<ImportedPhoto, PhotoError> {
        let failed = |error| PhotoError::picture(source, error);
        let photo = Photo::open(read_photo(source)?).map_err(failed)?;
        let (photo, metadata_removed) = match metadata {
            Metadata::Strip => photo.stripped().map_err(failed)?,
            Metadata::Keep => (photo, false),
        };
        let hash = PhotoHash::of(photo.bytes());
        let already_there = self.verify(&hash).is_ok();
        let (written, previews) = thread::scope(|scope| {
            let writer =
                (!already_there).then(|| scope.spawn(|| self.write_partial(photo.bytes())));
            let previews = photo.previews();
            (writer.map(thread::ScopedJoinHandle::join), previews)
        });
        let previews = previews.map_err(failed)?;
        if let Some(written) = written {
            let partial = written.unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
            self.persist(partial, &hash)?;
        }
        // Previews can be rebuilt at any time, so failing to write them does not reject the photo.
        let _ = self.write_previews(&hash, &previews);
        let (width, height) = photo.upright_size();
        Ok(ImportedPhoto {
            hash,
            width,
            height,
            taken_at: photo.taken_at(),
            metadata_removed,
            incomplete: photo.layout().is_incomplete(),
            bytes: photo.bytes().len() as u64,
            format: photo.layout().format(),
            already_there,
        })
    }

    /// The path where a photo is, or would be, stored.
    #[must_use]
    pub fn original(&self, hash: &PhotoHash) -> PathBuf {
        self.dir.join(hash.to_string())
    }

    /// The format of a stored photo, by its first bytes.
    ///
    /// # Errors
    /// [`PhotoError`] if it is not here or cannot be read.
    pub fn format(&self, hash: &PhotoHash) -> Result<Format, PhotoError> {
        let path = self.original(hash);
        let mut start = Vec::new();
        self.open_original(hash)?
            .take(FORMAT_BYTES)
            .read_to_end(&mut start)
            .map_err(|error| PhotoError::unreadable(&path, error))?;
        Format::of(&start).map_err(|error| PhotoError::picture(&path, error))
    }

    /// Whether a photo is stored here. Its content is not read; [`PhotoStore::verify`] does that.
    #[must_use]
    pub fn contains(&self, hash: &PhotoHash) -> bool {
        self.original(hash).is_file()
    }

    /// The names of all photos here, in no order.
    ///
    /// # Errors
    /// [`PhotoError::Storage`] if the folder cannot be read.
    pub fn hashes(&self) -> Result<Vec<PhotoHash>, PhotoError> {
        let failed = |error| PhotoError::storage(&self.dir, error);
        let mut hashes = Vec::new();
        for entry in fs::read_dir(&self.dir).map_err(failed)? {
            hashes.extend(
                entry
                    .map_err(failed)?
                    .file_name()
                    .to_str()
                    .and_then(|name| name.parse::<PhotoHash>().ok()),
            );
        }
        Ok(hashes)
    }

    /// The path of the upright picture as JPEG, long edge [`super::VIEW_EDGE_PX`] at most; rebuilt
    /// if it is gone.
    ///
    /// # Errors
    /// [`PhotoError::Missing`] if the photo itself is not here, others if it cannot be read or the
    /// view cannot be written.
    pub fn view(&self, hash: &PhotoHash) -> Result<PathBuf, PhotoError> {
        self.preview(hash, VIEWS)
    }

    /// The path of the upright picture as JPEG, long edge [`super::THUMBNAIL_EDGE_PX`] at most;
    /// rebuilt if it is gone.
    ///
    /// # Errors
    /// As [`PhotoStore::view`].
    pub fn thumbnail(&self, hash: &PhotoHash) -> Result<PathBuf, PhotoError> {
        self.preview(hash, THUMBNAILS)
    }

    /// The upright picture's brightness, with a long edge of `edge` pixels or somewhat more.
    pub(super) fn gray(&self, hash: &PhotoHash, edge: u32) -> Result<Gray, PhotoError> {
        self.verify(hash)?;
        // One at a time, as views are: each takes as much memory.
        let _one = REBUILD.lock().unwrap_or_else(PoisonError::into_inner);
        let original = self.original(hash);
        let gray = Photo::open(read_photo(&original)?).and_then(|photo| photo.gray(edge));
        gray.map_err(|error| PhotoError::picture(&original, error))
    }

    /// Stores a photo that came from a remote, byte for byte, by its name. It is on disk when this
    /// returns.
    ///
    /// It need not be a picture: a newer version on another device may know more formats.
    ///
    /// # Errors
    /// [`PhotoError::NotAsNamed`] if the content does not match the name, others if it cannot be
    /// read or written; nothing is stored then.
    pub fn receive(&self, hash: &PhotoHash, source: &Path) -> Result<(), PhotoError> {
        let failed = |error| PhotoError::unreadable(source, error);
        if !fs::metadata(source).map_err(failed)?.is_file() {
            let file = source.to_owned();
            return Err(PhotoError::NotAFile { file });
        }
        self.receive_from(hash, &mut File::open(source).map_err(failed)?)
    }

    /// As [`PhotoStore::receive`], from a reader, in small chunks of memory.
    ///
    /// # Errors
    /// As [`PhotoStore::receive`].
    pub fn receive_from(&self, hash: &PhotoHash, source: &mut dyn Read) -> Result<(), PhotoError> {
        self.receive_with(hash, |file| {
            let copied = std::io::copy(source, file);
            copied
                .map(drop)
                .map_err(|error| PhotoError::unreadable(&self.original(hash), error))
        })
    }

    /// As [`PhotoStore::receive`], from what `write` writes. It is not called if the photo is
    /// already here.
    ///
    /// # Errors
    /// As [`PhotoStore::receive`], and those of `write`.
    pub fn receive_with<E: From<PhotoError>>(
        &self,
        hash: &PhotoHash,
        write: impl FnOnce(&mut dyn Write) -> Result<(), E>,
    ) -> Result<(), E> {
        if self.contains(hash) && self.verify(hash).is_ok() {
            return Ok(());
        }
        let failed = |error| PhotoError::storage(&self.dir, error);
        let mut received = HashedFile::new(partial_file(&self.dir).map_err(failed)?);
        let written = write(&mut received);
        if let Some(error) = received.take_error(hash, &self.dir) {
            return Err(error.into());
        }
        written?;
        let file = received.finish(hash, &self.dir)?;
        file.as_file().sync_all().map_err(failed)?;
        Ok(self.persist(file, hash)?)
    }

    /// Reads a photo and checks that its content matches its name.
    ///
    /// # Errors
    /// [`PhotoError::Missing`], [`PhotoError::NotAsNamed`], or [`PhotoError::Unreadable`].
    pub fn verify(&self, hash: &PhotoHash) -> Result<(), PhotoError> {
        let file = self.original(hash);
        let found = self.open_original(hash).and_then(|open| {
            PhotoHash::of_reader(open).map_err(|error| PhotoError::unreadable(&file, error))
        })?;
        if found == *hash {
            Ok(())
        } else {
            Err(PhotoError::NotAsNamed { hash: *hash, file })
        }
    }

    /// Whether the view and the thumbnail, as far as they are here, can be decoded.
    pub(crate) fn previews_ok(&self, hash: &PhotoHash) -> bool {
        [VIEWS, THUMBNAILS].iter().all(|folder| {
            let path = self.preview_path(hash, folder);
            match fs::read(&path) {
                Ok(bytes) => {
                    is_whole_jpeg(&path) && Layout::of(&bytes).is_ok_and(|it| it.decodes(&bytes))
                }
                Err(error) => error.kind() == std::io::ErrorKind::NotFound,
            }
        })
    }

    /// Rebuilds the view and the thumbnail; a photo of an unknown format has none.
    pub(crate) fn rebuild_previews(&self, hash: &PhotoHash) -> Result<(), PhotoError> {
        let original = self.original(hash);
        let previews = Photo::open(read_photo(&original)?).and_then(|photo| photo.previews());
        let previews = previews.map_err(|error| PhotoError::picture(&original, error))?;
        self.write_previews(hash, &previews)
    }

    fn open_original(&self, hash: &PhotoHash) -> Result<File, PhotoError> {
        let file = self.original(hash);
        File::open(&file).map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound => PhotoError::Missing {
                hash: *hash,
                dir: self.dir.clone(),
            },
            _ => PhotoError::unreadable(&file, error),
        })
    }

    fn preview(&self, hash: &PhotoHash, folder: &str) -> Result<PathBuf, PhotoError> {
        let path = self.preview_path(hash, folder);
        if !self.contains(hash) {
            self.verify(hash)?;
        }
        if is_whole_jpeg(&path) {
            return Ok(path);
        }
        // One at a time, since each takes up to 200 MB; who waited may find it done.
        let _one = REBUILD.lock().unwrap_or_else(PoisonError::into_inner);
        if !is_whole_jpeg(&path) {
            self.verify(hash)?;
            self.rebuild_previews(hash)?;
        }
        Ok(path)
    }

    fn preview_path(&self, hash: &PhotoHash, folder: &str) -> PathBuf {
        self.dir.join(folder).join(format!("{hash}.jpg"))
    }

    /// Writes the previews without fsync: after a power cut they may be gone, and are then rebuilt.
    fn write_previews(&self, hash: &PhotoHash, previews: &Previews) -> Result<(), PhotoError> {
        for (folder, bytes) in [(VIEWS, &previews.view), (THUMBNAILS, &previews.thumbnail)] {
            let failed = |error| PhotoError::storage(&self.dir, error);
            let dir = self.dir.join(folder);
            fs::create_dir_all(&dir).map_err(failed)?;
            let mut file = partial_file(&dir).map_err(failed)?;
            file.write_all(bytes).map_err(failed)?;
            file.persist(self.preview_path(hash, folder))
                .map_err(|error| failed(error.error))?;
        }
        Ok(())
    }

    /// Writes bytes to disk in a partial file, which is deleted unless it is persisted.
    fn write_partial(&self, bytes: &[u8]) -> Result<NamedTempFile, PhotoError> {
        let failed = |error| PhotoError::storage(&self.dir, error);
        let mut file = partial_file(&self.dir).map_err(failed)?;
        file.write_all(bytes).map_err(failed)?;
        file.as_file().sync_all().map_err(failed)?;
        Ok(file)
    }

    /// Gives a written file its name, durably.
    fn persist(&self, file: NamedTempFile, hash: &PhotoHash) -> Result<(), PhotoError> {
        let failed = |error| PhotoError::storage(&self.dir, error);
        file.persist(self.original(hash))
            .map_err(|error| failed(error.error))?;
        fsync_dir(&self.dir).map_err(failed)
    }
}

/// Reads a source, if it is a file of an allowed size.
fn read_photo(source: &Path) -> Result<Vec<u8>, PhotoError> {
    let failed = |error| PhotoError::unreadable(source, error);
    let meta = fs::metadata(source).map_err(failed)?;
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
        .map_err(failed)?;
    match content.len() as u64 {
        0 => Err(PhotoError::Empty { file }),
        bytes if bytes > LARGEST_FILE_BYTES => Err(PhotoError::FileTooLarge { file, bytes }),
        _ => Ok(content),
    }
}

/// Creates a file that is deleted unless it is given a name.
fn partial_file(dir: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PARTIAL_PREFIX);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As other new files: the umask decides who may read it.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(dir)
}

/// Deletes abandoned partial files; one that cannot be deleted does no harm.
fn delete_abandoned(dir: &Path) {
    let old = |entry: &fs::DirEntry| {
        let age = entry
            .metadata()
            .and_then(|meta| meta.modified())
            .ok()
            .and_then(|time| time.elapsed().ok());
        entry
            .file_name()
            .as_encoded_bytes()
            .starts_with(PARTIAL_PREFIX.as_bytes())
            && age.is_some_and(|age| age > ABANDONED)
    };
    let entries = fs::read_dir(dir).into_iter().flatten().flatten();
    entries
        .filter(old)
        .for_each(|entry| drop(fs::remove_file(entry.path())));
}

/// Flushes a folder to disk: it holds the names of new files.
pub(crate) fn fsync_dir(dir: &Path) -> std::io::Result<()> {
    if cfg!(unix) {
        File::open(dir)?.sync_all()
    } else {
        Ok(())
    }
}

/// Whether a file begins and ends as a JPEG file does; one that a power cut emptied does not.
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
