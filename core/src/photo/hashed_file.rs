//! A file that is hashed and limited in size while it is written.

use super::LARGEST_FILE_BYTES;
use super::error::PhotoError;
use super::hash::PhotoHash;
use sha2::{Digest, Sha256};
use std::io::{self, Write};
use std::path::Path;
use tempfile::NamedTempFile;

/// A partial file, with the size and digest of what was written to it.
pub(super) struct HashedFile {
    file: NamedTempFile,
    digest: Sha256,
    bytes: u64,
    failed: Option<io::Error>,
}

impl HashedFile {
    /// Starts with an empty file.
    pub fn new(file: NamedTempFile) -> Self {
        Self {
            file,
            digest: Sha256::new(),
            bytes: 0,
            failed: None,
        }
    }

    /// Takes the error that stopped writing. It comes before the sender's error, which may only say
    /// that writing failed.
    pub fn take_error(&mut self, hash: &PhotoHash, dir: &Path) -> Option<PhotoError> {
        if let Some(error) = self.failed.take() {
            return Some(PhotoError::storage(dir, error));
        }
        let (file, bytes) = (dir.join(hash.to_string()), self.bytes);
        (bytes > LARGEST_FILE_BYTES).then_some(PhotoError::FileTooLarge { file, bytes })
    }

    /// Returns the file, if its content matches the name.
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

impl Write for HashedFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.bytes += bytes.len() as u64;
        if self.bytes > LARGEST_FILE_BYTES {
            return Err(io::Error::other("a photo may not be this large"));
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
