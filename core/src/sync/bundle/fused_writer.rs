//! A writer that stops writing after the first error.

use std::io::{self, BufWriter, Seek, SeekFrom, Write};

/// Writes to a new file until that fails; from then on it only keeps track of the position.
///
/// The zip writer completes its file when it is dropped, even after an error, and would print a
/// second error to standard error. The first one has been returned already.
pub(crate) struct FusedWriter<W: Write + Seek> {
    file: BufWriter<W>,
    failed: bool,
    at: u64,
    end: u64,
}

impl<W: Write + Seek> FusedWriter<W> {
    /// A writer for an empty file.
    pub fn new(file: W) -> Self {
        Self {
            file: BufWriter::with_capacity(256 << 10, file),
            failed: false,
            at: 0,
            end: 0,
        }
    }

    /// Flushes, and returns the file's size in bytes. Fails if any write failed before.
    pub fn finish(mut self) -> io::Result<u64> {
        match self.failed {
            false => self.file.flush().map(|()| self.end),
            true => Err(io::Error::other("writing failed before")),
        }
    }

    fn unless_failed(
        &mut self,
        operation: impl FnOnce(&mut BufWriter<W>) -> io::Result<()>,
    ) -> io::Result<()> {
        if self.failed {
            return Ok(());
        }
        let result = operation(&mut self.file);
        self.failed = result.is_err();
        result
    }
}

impl<W: Write + Seek> Write for FusedWriter<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.unless_failed(|file| file.write_all(bytes))?;
        self.at += bytes.len() as u64;
        self.end = self.end.max(self.at);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.unless_failed(Write::flush)
    }
}

impl<W: Write + Seek> Seek for FusedWriter<W> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let position = match to {
            SeekFrom::Start(position) => Some(position),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
            SeekFrom::End(by) => self.end.checked_add_signed(by),
        };
        let position = position.ok_or(io::ErrorKind::InvalidInput)?;
        // Flushing is needed only if the position changes.
        if position != self.at {
            self.unless_failed(|file| file.seek(SeekFrom::Start(position)).map(drop))?;
        }
        self.at = position;
        Ok(position)
    }
}
