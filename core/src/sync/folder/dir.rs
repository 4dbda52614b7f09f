//! Files in a folder that others can write too.
//!
//! No link in it is followed, only regular files are opened, and new files never replace what is
//! there already. So nobody who can write the folder can have this program read or write elsewhere,
//! or wait for a pipe or device.

#[cfg(unix)]
pub(super) use by_handle::Dir;
#[cfg(not(unix))]
pub(super) use by_path::Dir;

use std::io;
use std::time::SystemTime;

/// What is known of a regular file without opening it.
#[derive(Debug, Clone, Copy)]
pub(super) struct FileInfo {
    pub bytes: u64,
    pub modified: SystemTime,
}

impl Dir {
    /// Opens a subfolder, and creates it if it is missing.
    pub fn create_subdir(&self, name: &str) -> io::Result<Self> {
        match self.make_dir(name) {
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists => Err(error),
            _ => self.subdir(name),
        }
    }

    /// Opens a subfolder; none if there is no folder of that name.
    pub fn subdir_if_any(&self, name: &str) -> io::Result<Option<Self>> {
        match self.subdir(name) {
            Ok(dir) => Ok(Some(dir)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }
}

fn not_a_file() -> io::Error {
    io::Error::other("it is a link, a pipe, or a device instead of a file")
}

fn not_a_folder(name: &str) -> io::Error {
    io::Error::other(format!(
        "'{name}' in it is a link or a file instead of a folder"
    ))
}

/// Every name is resolved in an open folder, so what is checked is what is used.
#[cfg(unix)]
mod by_handle {
    use super::{FileInfo, not_a_file, not_a_folder};
    use rustix::fs::{
        self, AtFlags, CWD, Dir as Entries, FileType, Mode, OFlags, mkdirat, openat, renameat,
        statat, unlinkat,
    };
    use std::fs::File;
    use std::io;
    use std::os::fd::OwnedFd;
    use std::path::Path;
    use std::time::{Duration, SystemTime};

    /// An open folder.
    #[derive(Debug)]
    pub(in super::super) struct Dir(OwnedFd);

    const FOLDER: OFlags = OFlags::RDONLY
        .union(OFlags::DIRECTORY)
        .union(OFlags::CLOEXEC);
    /// A pipe that was put in place of a file meanwhile is opened without waiting, and then refused.
    const READ: OFlags = OFlags::RDONLY
        .union(OFlags::NOFOLLOW)
        .union(OFlags::NONBLOCK)
        .union(OFlags::NOCTTY)
        .union(OFlags::CLOEXEC);
    const CREATE: OFlags = OFlags::WRONLY
        .union(OFlags::CREATE)
        .union(OFlags::EXCL)
        .union(OFlags::NOFOLLOW)
        .union(OFlags::CLOEXEC);

    impl Dir {
        /// Opens the folder that a person named, which may be a link.
        pub fn open(path: &Path) -> io::Result<Self> {
            Ok(Self(openat(CWD, path, FOLDER, Mode::empty())?))
        }

        pub fn subdir(&self, name: &str) -> io::Result<Self> {
            if self.file_type(name)? != FileType::Directory {
                return Err(not_a_folder(name));
            }
            let flags = FOLDER | OFlags::NOFOLLOW;
            Ok(Self(openat(&self.0, name, flags, Mode::empty())?))
        }

        /// Other users may use it, as far as the umask allows.
        pub(super) fn make_dir(&self, name: &str) -> io::Result<()> {
            Ok(mkdirat(&self.0, name, Mode::from_raw_mode(0o777))?)
        }

        /// Returns the names in the folder. Those that are not UTF-8 are none of ours.
        pub fn names(&self) -> io::Result<Vec<String>> {
            let mut names = Vec::new();
            for entry in Entries::read_from(&self.0)? {
                let name = entry?.file_name().to_str().map(str::to_owned);
                names.extend(name.ok().filter(|name| name != "." && name != ".."));
            }
            Ok(names)
        }

        pub fn info(&self, name: &str) -> io::Result<FileInfo> {
            let stat = statat(&self.0, name, AtFlags::SYMLINK_NOFOLLOW)?;
            if FileType::from_raw_mode(stat.st_mode as _) != FileType::RegularFile {
                return Err(not_a_file());
            }
            let modified = u64::try_from(stat.st_mtime).unwrap_or_default();
            Ok(FileInfo {
                bytes: u64::try_from(stat.st_size).unwrap_or_default(),
                modified: SystemTime::UNIX_EPOCH + Duration::from_secs(modified),
            })
        }

        pub fn open_file(&self, name: &str) -> io::Result<File> {
            // Opening a device can have effects, so it is not tried.
            self.info(name)?;
            let file = File::from(openat(&self.0, name, READ, Mode::empty())?);
            match file.metadata()?.is_file() {
                true => Ok(file),
                false => Err(not_a_file()),
            }
        }

        /// Creates a file; fails if anything has that name.
        pub fn create_new(&self, name: &str) -> io::Result<File> {
            let mode = Mode::from_raw_mode(0o666);
            Ok(File::from(openat(&self.0, name, CREATE, mode)?))
        }

        /// Renames a file, replacing one of the new name.
        pub fn rename(&self, from: &str, to: &str) -> io::Result<()> {
            Ok(renameat(&self.0, from, &self.0, to)?)
        }

        pub fn remove_file(&self, name: &str) -> io::Result<()> {
            Ok(unlinkat(&self.0, name, AtFlags::empty())?)
        }

        /// Syncs the folder to the disk, so that the name of a new file in it is durable.
        pub fn sync(&self) -> io::Result<()> {
            Ok(fs::fsync(&self.0)?)
        }

        fn file_type(&self, name: &str) -> io::Result<FileType> {
            let stat = statat(&self.0, name, AtFlags::SYMLINK_NOFOLLOW)?;
            Ok(FileType::from_raw_mode(stat.st_mode as _))
        }
    }
}

/// For systems without handles of folders: each name is checked before it is used.
#[cfg(not(unix))]
mod by_path {
    use super::{FileInfo, not_a_file, not_a_folder};
    use std::fs::{self, File};
    use std::io;
    use std::path::{Path, PathBuf};
    use std::time::SystemTime;

    /// The path of a folder that was there.
    #[derive(Debug)]
    pub(in super::super) struct Dir(PathBuf);

    impl Dir {
        pub fn open(path: &Path) -> io::Result<Self> {
            fs::read_dir(path).map(|_| Self(path.to_owned()))
        }

        pub fn subdir(&self, name: &str) -> io::Result<Self> {
            let path = self.0.join(name);
            match fs::symlink_metadata(&path)?.is_dir() {
                true => Ok(Self(path)),
                false => Err(not_a_folder(name)),
            }
        }

        pub(super) fn make_dir(&self, name: &str) -> io::Result<()> {
            fs::create_dir(self.0.join(name))
        }

        pub fn names(&self) -> io::Result<Vec<String>> {
            let mut names = Vec::new();
            for entry in fs::read_dir(&self.0)? {
                names.extend(entry?.file_name().into_string().ok());
            }
            Ok(names)
        }

        pub fn info(&self, name: &str) -> io::Result<FileInfo> {
            let metadata = fs::symlink_metadata(self.0.join(name))?;
            if !metadata.is_file() {
                return Err(not_a_file());
            }
            Ok(FileInfo {
                bytes: metadata.len(),
                modified: metadata.modified().unwrap_or(SystemTime::now()),
            })
        }

        pub fn open_file(&self, name: &str) -> io::Result<File> {
            self.info(name)?;
            File::open(self.0.join(name))
        }

        pub fn create_new(&self, name: &str) -> io::Result<File> {
            File::create_new(self.0.join(name))
        }

        pub fn rename(&self, from: &str, to: &str) -> io::Result<()> {
            fs::rename(self.0.join(from), self.0.join(to))
        }

        pub fn remove_file(&self, name: &str) -> io::Result<()> {
            fs::remove_file(self.0.join(name))
        }

        pub fn sync(&self) -> io::Result<()> {
            Ok(())
        }
    }
}
