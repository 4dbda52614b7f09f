//! A photo on its way into the store: written, measured and digested piece by piece.

use super::LARGEST_FILE_BYTES;
use super::error::PhotoError;
use super::hash::PhotoHash;
use sha2::{Digest, Sha256};
use std::io::{self, Write};
use std::path::Path;
use tempfile::NamedTempFile;

/// A file that is being written and has no name yet.
pub(super) struct Arriving {
    file: NamedTempFile,
    digest: Sha256,
    bytes: u64,
    failed: Option<io::Error>,
}

impl Arriving {
    /// Nothing has come yet.
    pub fn new(file: NamedTempFile) -> Self {
        Self {
            file,
            digest: Sha256::new(),
            bytes: 0,
            failed: None,
        }
    }

    /// What kept it from being written. This comes before what the sender says, who may only have been told that writing
    /// failed.
    pub fn trouble(&mut self, hash: &PhotoHash, dir: &Path) -> Option<PhotoError> {
        if let Some(error) = self.failed.take() {
            return Some(PhotoError::storing(dir, error));
        }
        let (file, bytes) = (dir.join(hash.to_string()), self.bytes);
        (bytes > LARGEST_FILE_BYTES).then_some(PhotoError::FileTooLarge { file, bytes })
    }

    /// The file, where all that came is a photo of this name.
    pub fn finish(self, hash: &PhotoHash, dir: &Path) -> Result<NamedTempFile, PhotoError> {
        let file = dir.join(hash.to_string());
        if self.bytes == 0 {
            return Err(PhotoError::Empty { file });
        }
        if PhotoHash::of_digest(self.digest) != *hash {
            return Err(PhotoError::NotAsNamed { hash: *hash, file });
        }
        Ok(self.file)
    }
}

impl Write for Arriving {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.bytes += bytes.len() as u64;
        if self.bytes > LARGEST_FILE_BYTES {
            return Err(io::Error::other("it is larger than a photo may be"));
        }
        self.digest.update(bytes);
        if let Err(error) = self.file.write_all(bytes) {
            let kind = error.kind();
            self.failed = Some(error);
            return Err(kind.into());
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
