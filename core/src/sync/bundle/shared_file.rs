//! A file handle shared by several readers, each with its own position, so that photos can be read
//! in parallel.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::sync::{Arc, Mutex, PoisonError};

/// A reader with its own position in a shared file.
#[derive(Debug, Clone)]
pub(super) struct SharedFile {
    file: Arc<Mutex<File>>,
    at: u64,
}

impl SharedFile {
    /// The first reader, at the start of the file.
    pub fn new(file: File) -> Self {
        Self {
            file: Arc::new(Mutex::new(file)),
            at: 0,
        }
    }
}

impl Read for SharedFile {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        file.seek(SeekFrom::Start(self.at))?;
        let read = file.read(buffer)?;
        self.at += read as u64;
        Ok(read)
    }
}

impl Seek for SharedFile {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let position = match to {
            SeekFrom::Start(position) => Some(position),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
            SeekFrom::End(by) => {
                let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
                file.seek(SeekFrom::End(0))?.checked_add_signed(by)
            }
        };
        self.at = position.ok_or(io::ErrorKind::InvalidInput)?;
        Ok(self.at)
    }
}
