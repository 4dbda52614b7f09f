//! A reader that fails once its time is over, so that no file can hold a decoder for long.

use std::io::{BufRead, Cursor, ErrorKind, Read, Seek, SeekFrom};
use std::time::{Duration, Instant};

/// How long a picture may take to decode: many times what the largest sound one takes (judgment).
const MOST_TIME: Duration = Duration::from_secs(20);
/// Reads between two looks at the clock.
const READS_PER_LOOK: u32 = 256;

/// Bytes in memory, with a deadline that starts when it is made.
pub(crate) struct Timed<'a> {
    bytes: Cursor<&'a [u8]>,
    until: Instant,
    reads: u32,
}

impl<'a> Timed<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        Self::within(bytes, MOST_TIME)
    }

    fn within(bytes: &'a [u8], time: Duration) -> Self {
        Self {
            bytes: Cursor::new(bytes),
            until: Instant::now() + time,
            reads: 0,
        }
    }

    fn look(&mut self) -> std::io::Result<()> {
        self.reads = self.reads.wrapping_add(1);
        if self.reads.is_multiple_of(READS_PER_LOOK) && Instant::now() > self.until {
            return Err(std::io::Error::new(
                ErrorKind::TimedOut,
                "it takes too long to decode",
            ));
        }
        Ok(())
    }
}

impl Read for Timed<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        self.look()?;
        self.bytes.read(into)
    }
}

impl BufRead for Timed<'_> {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        self.look()?;
        // In pieces, so that a decoder comes back to look at the clock.
        const PIECE: usize = 4096;
        let rest = self.bytes.fill_buf()?;
        Ok(&rest[..rest.len().min(PIECE)])
    }

    fn consume(&mut self, amount: usize) {
        self.bytes.consume(amount);
    }
}

impl Seek for Timed<'_> {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.bytes.seek(to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reading_ends_with_an_error_once_the_time_is_over() {
        let bytes = [0; 100_000];
        let late = || {
            let late = Timed::within(&bytes, Duration::ZERO);
            std::thread::sleep(Duration::from_millis(2));
            late
        };
        let mut by_byte = late();
        let error = (0..10_000).find_map(|_| by_byte.read(&mut [0; 1]).err());
        assert_eq!(error.map(|error| error.kind()), Some(ErrorKind::TimedOut));
        let mut by_piece = late();
        let error = (0..10_000).find_map(|_| {
            let piece = by_piece.fill_buf().map(<[u8]>::len);
            by_piece.consume(1);
            piece.err()
        });
        assert_eq!(error.map(|error| error.kind()), Some(ErrorKind::TimedOut));
        let mut whole = Vec::new();
        assert!(Timed::new(&bytes).read_to_end(&mut whole).is_ok());
        assert_eq!(whole.len(), bytes.len());
    }
}
