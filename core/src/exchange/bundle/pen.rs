//! The pen that a bundle is written with.

use std::io::{self, BufWriter, Seek, SeekFrom, Write};

/// Writes to a new file until that fails; from then on it only keeps count.
///
/// The writer of zip files closes what it writes when it is dropped, also where writing has failed before, and would then say
/// on the standard error output that this failed too. Whoever writes has been told already.
pub(super) struct Pen<W: Write + Seek> {
    file: BufWriter<W>,
    failed: bool,
    at: u64,
    end: u64,
}

impl<W: Write + Seek> Pen<W> {
    /// A pen for a file of no bytes.
    pub fn new(file: W) -> Self {
        Self {
            file: BufWriter::with_capacity(256 << 10, file),
            failed: false,
            at: 0,
            end: 0,
        }
    }

    /// Writes out what is gathered, and gives the file's size in bytes. Fails too where anything failed before.
    pub fn finish(mut self) -> io::Result<u64> {
        match self.failed {
            false => self.file.flush().map(|()| self.end),
            true => Err(io::Error::other("writing failed before")),
        }
    }

    fn unless_failed(
        &mut self,
        act: impl FnOnce(&mut BufWriter<W>) -> io::Result<()>,
    ) -> io::Result<()> {
        if self.failed {
            return Ok(());
        }
        let done = act(&mut self.file);
        self.failed = done.is_err();
        done
    }
}

impl<W: Write + Seek> Write for Pen<W> {
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

impl<W: Write + Seek> Seek for Pen<W> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let place = match to {
            SeekFrom::Start(place) => Some(place),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
            SeekFrom::End(by) => self.end.checked_add_signed(by),
        };
        let place = place.ok_or(io::ErrorKind::InvalidInput)?;
        // Where it is there already, what is gathered need not be written out.
        if place != self.at {
            self.unless_failed(|file| file.seek(SeekFrom::Start(place)).map(drop))?;
        }
        self.at = place;
        Ok(place)
    }
}
