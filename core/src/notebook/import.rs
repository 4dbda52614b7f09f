//! Imports lines that other devices wrote.

use super::change_settings::continue_as_new_device;
use super::entry::Line;
use super::error::{Fault, NotebookError, RejectedLine};
use super::id::DeviceId;
use super::incoming_line::IncomingLine;
use super::insert_entries::InsertOutcome;
use super::write::WriteTx;
use super::{Notebook, settings};
use std::sync::mpsc::{Receiver, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

/// How long one transaction may take in several chunks: others cannot write meanwhile.
const MAX_TRANSACTION: Duration = Duration::from_secs(1);

/// What became of imported lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ImportedLines {
    /// Number of new lines.
    pub new: usize,
    /// Number of lines that were here already.
    pub known: usize,
    /// The new device id, if the lines showed that this notebook was copied.
    pub continued_as: Option<DeviceId>,
}

impl Notebook {
    /// Imports lines into the journal, all or none, each after the line that it names as the one
    /// before it. Lines that are here already are skipped. Lines of this notebook's own device that
    /// it did not write show that it was copied, or restored from a backup: it then keeps both
    /// chains and continues under a new device id.
    ///
    /// # Errors
    /// [`NotebookError::RejectedLine`] if a line names one before it that is not here, or has the
    /// id of another entry; also if the notebook cannot be written.
    pub fn import_lines(&self, lines: &[Line]) -> Result<ImportedLines, NotebookError> {
        let lines: Vec<IncomingLine> = lines.iter().cloned().map(IncomingLine::from).collect();
        self.write(|tx| import(tx, &lines))
    }

    /// Imports many chunks of lines, each like [`Notebook::import_lines`], all or none. The next
    /// chunk is requested on another thread while one is written, and several may be committed
    /// together. The result of each is passed to `each`, in order, once it is on disk. At most two
    /// chunks are in memory at once.
    ///
    /// # Errors
    /// If the notebook cannot be written. Chunks whose result was passed to `each` are kept.
    pub fn import_chunks<P>(
        &self,
        chunks: P,
        mut each: impl FnMut(Result<ImportedLines, RejectedLine>),
    ) -> Result<(), NotebookError>
    where
        P: IntoIterator<Item = Vec<Line>>,
        P::IntoIter: Send,
    {
        let mut chunks = chunks.into_iter();
        thread::scope(|scope| {
            let (sender, receiver) = sync_channel(0);
            // The thread ends after the last chunk, or when the receiver is gone.
            scope.spawn(move || {
                chunks.all(|chunk| {
                    let incoming = chunk.into_iter().map(IncomingLine::from).collect();
                    sender.send(incoming).is_ok()
                })
            });
            while let Ok(first) = receiver.recv() {
                let results = self.write(|tx| import_together(tx, first, &receiver))?;
                results.into_iter().for_each(&mut each);
            }
            Ok(())
        })
    }
}

/// Imports a chunk and those that follow soon, so that the projection is updated once for all of
/// them. It waits for each no longer than it has worked, since others wait for the notebook.
fn import_together(
    tx: &mut WriteTx<'_>,
    first: Vec<IncomingLine>,
    following: &Receiver<Vec<IncomingLine>>,
) -> Result<Vec<Result<ImportedLines, RejectedLine>>, Fault> {
    let since = Instant::now();
    let mut results = Vec::new();
    let mut next = Some(first);
    while let Some(chunk) = next {
        results.push(tx.savepoint(|tx| import(tx, &chunk))?);
        // Free it before the chunk after the next is read.
        drop(chunk);
        let worked = since.elapsed();
        let left = MAX_TRANSACTION.saturating_sub(worked);
        next = (!left.is_zero())
            .then(|| following.recv_timeout(worked.min(left)).ok())
            .flatten();
    }
    Ok(results)
}

/// Imports lines. If one is rejected, the caller must roll back.
fn import(tx: &mut WriteTx<'_>, lines: &[IncomingLine]) -> Result<ImportedLines, Fault> {
    let own = settings::device(tx.conn())?;
    let outcomes = tx.insert_lines(lines)?;
    let mut imported = ImportedLines::default();
    let mut copied = false;
    for (line, outcome) in lines.iter().zip(outcomes) {
        match outcome {
            InsertOutcome::Inserted => {
                imported.new += 1;
                copied |= line.device == own;
            }
            InsertOutcome::AlreadyPresent => imported.known += 1,
        }
    }
    if copied {
        imported.continued_as = Some(continue_as_new_device(tx)?);
    }
    Ok(imported)
}
