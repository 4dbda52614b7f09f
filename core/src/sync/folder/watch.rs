//! File operations that end although the file system never answers, as with a dead network mount.
//!
//! The system offers no way to interrupt such an operation, so each runs on a thread of its own. If
//! it makes no progress for too long, or the sync is canceled, the thread is left behind: it ends
//! when the file system answers or the program ends.

use super::FolderError;
use crate::sync::progress::IsCanceled;
use std::io::{self, Read, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, SyncSender, channel, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

/// How often cancellation is checked during a wait.
const POLL_INTERVAL: Duration = Duration::from_millis(50);
/// How many bytes of a photo are passed between threads at once.
const CHUNK_BYTES: usize = 256 << 10;
/// How many chunks may wait to be read.
const CHUNKS: usize = 4;

/// Runs file operations, and waits for each at most so long.
#[derive(Clone, Copy)]
pub(super) struct Watch<'w> {
    /// The longest time without progress.
    pub timeout: Duration,
    pub is_canceled: &'w IsCanceled<'w>,
}

/// What an operation says of itself.
enum Message<T> {
    /// It makes progress.
    Alive,
    /// Bytes that it read.
    Data(Vec<u8>),
    /// It wants bytes to write.
    Wants,
    /// It ended.
    Done(T),
}

/// The operation's side: reports progress.
pub(super) struct Reporter<T>(Outbox<T>);

enum Outbox<T> {
    Unlimited(Sender<Message<T>>),
    Limited(SyncSender<Message<T>>),
}

impl<T> Reporter<T> {
    /// Reports progress, which starts the timeout over.
    pub fn alive(&self) {
        let _ = self.send(Message::Alive);
    }

    fn send(&self, message: Message<T>) -> io::Result<()> {
        let sent = match &self.0 {
            Outbox::Unlimited(sender) => sender.send(message),
            Outbox::Limited(sender) => sender.send(message),
        };
        // Nobody waits for a result any more.
        sent.map_err(|_| io::ErrorKind::BrokenPipe.into())
    }
}

impl Watch<'_> {
    /// Runs `work`.
    ///
    /// # Errors
    /// Those of `work`, and if it does not make progress or the sync is canceled.
    pub fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Reporter<Answer<T>>) -> Answer<T> + Send + 'static,
    ) -> Answer<T> {
        let (sender, messages) = channel();
        start(Reporter(Outbox::Unlimited(sender)), work)?;
        loop {
            if let Message::Done(done) = self.receive(&messages)? {
                return done;
            }
        }
    }

    /// Runs `work`, which writes to its second argument; what it writes goes to `into`.
    ///
    /// # Errors
    /// As [`Watch::run`], and [`FolderError::Local`] if `into` fails.
    pub fn read(
        &self,
        into: &mut dyn Write,
        work: impl FnOnce(&mut dyn Write) -> Answer<()> + Send + 'static,
    ) -> Answer<()> {
        let (sender, messages) = sync_channel(CHUNKS);
        start(Reporter(Outbox::Limited(sender)), |reporter| {
            let mut chunks = io::BufWriter::with_capacity(CHUNK_BYTES, DataWriter(reporter));
            work(&mut chunks)?;
            Ok(chunks.flush()?)
        })?;
        loop {
            match self.receive(&messages)? {
                Message::Data(bytes) => into.write_all(&bytes).map_err(FolderError::Local)?,
                Message::Done(done) => return done,
                Message::Alive | Message::Wants => {}
            }
        }
    }

    /// Runs `work`, which reads from its second argument what `from` has.
    ///
    /// # Errors
    /// As [`Watch::run`], and [`FolderError::Local`] if `from` fails.
    pub fn write(
        &self,
        from: &mut dyn Read,
        work: impl FnOnce(&mut dyn Read) -> Answer<()> + Send + 'static,
    ) -> Answer<()> {
        let (sender, messages) = channel();
        let (give, chunks) = channel();
        start(Reporter(Outbox::Unlimited(sender)), move |reporter| {
            work(&mut DataReader {
                reporter,
                chunks,
                chunk: io::Cursor::default(),
            })
        })?;
        loop {
            match self.receive(&messages)? {
                Message::Wants => {
                    let mut chunk = Vec::new();
                    let read = from.take(CHUNK_BYTES as u64).read_to_end(&mut chunk);
                    read.map_err(FolderError::Local)?;
                    // If it no longer reads, its result follows.
                    let _ = give.send(chunk);
                }
                Message::Done(done) => return done,
                Message::Alive | Message::Data(_) => {}
            }
        }
    }

    /// Waits for the next message.
    fn receive<T>(&self, messages: &Receiver<Message<T>>) -> Answer<Message<T>> {
        let since = Instant::now();
        loop {
            match messages.recv_timeout(POLL_INTERVAL) {
                Ok(message) => return Ok(message),
                // The thread panicked.
                Err(RecvTimeoutError::Disconnected) => {
                    return Err(io::Error::other("the program hit a bug").into());
                }
                Err(RecvTimeoutError::Timeout) if (self.is_canceled)() => {
                    return Err(FolderError::Canceled);
                }
                Err(RecvTimeoutError::Timeout) if since.elapsed() >= self.timeout => {
                    return Err(FolderError::NoAnswer);
                }
                Err(RecvTimeoutError::Timeout) => {}
            }
        }
    }
}

/// The result of an operation.
type Answer<T> = Result<T, FolderError>;

fn start<T: Send + 'static>(
    reporter: Reporter<Answer<T>>,
    work: impl FnOnce(&Reporter<Answer<T>>) -> Answer<T> + Send + 'static,
) -> Answer<()> {
    let run = move || {
        let done = work(&reporter);
        // Nobody waits for it any more if this fails.
        let _ = reporter.send(Message::Done(done));
    };
    thread::Builder::new()
        .name("folder".to_owned())
        .spawn(run)?;
    Ok(())
}

/// Passes on what the operation reads.
struct DataWriter<'r, T>(&'r Reporter<T>);

impl<T> Write for DataWriter<'_, T> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.send(Message::Data(bytes.to_vec()))?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Asks for what the operation writes.
struct DataReader<'r, T> {
    reporter: &'r Reporter<T>,
    chunks: Receiver<Vec<u8>>,
    chunk: io::Cursor<Vec<u8>>,
}

impl<T> Read for DataReader<'_, T> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.chunk.position() == self.chunk.get_ref().len() as u64 {
            self.reporter.send(Message::Wants)?;
            let lost = |_| io::Error::from(io::ErrorKind::BrokenPipe);
            self.chunk = io::Cursor::new(self.chunks.recv().map_err(lost)?);
        }
        self.chunk.read(buffer)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const SHORT: Duration = Duration::from_millis(200);

    fn never() -> bool {
        false
    }

    #[test]
    fn an_operation_that_never_answers_ends_at_its_timeout() {
        let watch = Watch {
            timeout: SHORT,
            is_canceled: &never,
        };
        let since = Instant::now();
        let stuck = watch.run::<()>(|_| {
            thread::sleep(Duration::from_secs(3600));
            Ok(())
        });
        assert!(matches!(stuck, Err(FolderError::NoAnswer)));
        assert!(since.elapsed() < Duration::from_secs(5));
    }

    #[test]
    fn a_slow_operation_that_makes_progress_is_not_ended() {
        let watch = Watch {
            timeout: SHORT,
            is_canceled: &never,
        };
        let slow = watch.run(|reporter| {
            for _ in 0..10 {
                thread::sleep(SHORT / 3);
                reporter.alive();
            }
            Ok(7)
        });
        assert_eq!(slow.unwrap(), 7);
    }

    #[test]
    fn canceling_ends_an_operation_that_never_answers() {
        let since = Instant::now();
        let is_canceled = || since.elapsed() > SHORT;
        let watch = Watch {
            timeout: Duration::from_secs(3600),
            is_canceled: &is_canceled,
        };
        let mut sink = Vec::new();
        let stuck = watch.read(&mut sink, |into| {
            into.write_all(b"some")?;
            thread::sleep(Duration::from_secs(3600));
            Ok(())
        });
        assert!(matches!(stuck, Err(FolderError::Canceled)));
        assert!(since.elapsed() < Duration::from_secs(5));
    }

    #[test]
    fn bytes_pass_both_ways() {
        let watch = Watch {
            timeout: Duration::from_secs(60),
            is_canceled: &never,
        };
        let bytes: Vec<u8> = (0..3_000_001_u32).map(|at| at as u8).collect();
        let (copy, mut received) = (bytes.clone(), Vec::new());
        let read = watch.read(&mut received, move |into| Ok(into.write_all(&copy)?));
        read.unwrap();
        assert_eq!(received, bytes);
        let expected = bytes.clone();
        let written = watch.write(&mut &bytes[..], move |from| {
            let mut got = Vec::new();
            from.read_to_end(&mut got)?;
            assert_eq!(got, expected);
            Ok(())
        });
        written.unwrap();
    }
}
