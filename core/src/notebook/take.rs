//! Taking lines that another device wrote.

use super::arrived::Arrived;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::intake::Outcome;
use super::journal::NotTaken;
use super::write::Pen;
use super::{Notebook, settings};
use std::sync::mpsc::{Receiver, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

/// How long several pieces may go to the disk together: others wait to write meanwhile.
const TOGETHER: Duration = Duration::from_secs(1);

/// What became of lines that were taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Taken {
    /// How many are new.
    pub new: usize,
    /// How many were here already.
    pub known: usize,
    /// The identity under which the notebook goes on, where the lines showed that it was copied.
    pub went_on_as: Option<DeviceId>,
}

impl Notebook {
    /// Takes lines into the journal, all or none, each behind the one it names. Lines that are here already are passed
    /// over. Lines of this notebook's own device that it did not write show that it was copied, or restored from a
    /// backup: it then keeps both lines and goes on under a new identity.
    ///
    /// # Errors
    /// [`NotebookError::NotTaken`] where a line names one before it that is not here, or has the id of another entry;
    /// and where the notebook cannot be written.
    pub fn take(&self, lines: &[Line]) -> Result<Taken, NotebookError> {
        let lines: Vec<Arrived> = lines.iter().cloned().map(Arrived::from).collect();
        self.write(|pen| take(pen, &lines))
    }

    /// Takes many pieces of lines, each of them as [`Notebook::take`] does, all or none. `pieces` is asked for the next one
    /// on a thread of its own while the one before is written, and several may reach the disk together. What became of each
    /// is told to `each`, in their order, once it is on the disk. At most two pieces are in memory at once.
    ///
    /// # Errors
    /// Where the notebook cannot be written. What `each` was told of stays.
    pub fn take_pieces<P>(
        &self,
        pieces: P,
        mut each: impl FnMut(Result<Taken, NotTaken>),
    ) -> Result<(), NotebookError>
    where
        P: IntoIterator<Item = Vec<Line>>,
        P::IntoIter: Send,
    {
        let mut pieces = pieces.into_iter();
        thread::scope(|scope| {
            let (sender, receiver) = sync_channel(0);
            // It ends when the pieces do, or when nobody asks for them any more.
            scope.spawn(move || {
                pieces.all(|piece| {
                    let arrived = piece.into_iter().map(Arrived::from).collect();
                    sender.send(arrived).is_ok()
                })
            });
            while let Ok(first) = receiver.recv() {
                let became = self.write(|pen| take_together(pen, first, &receiver))?;
                became.into_iter().for_each(&mut each);
            }
            Ok(())
        })
    }
}

/// Takes a piece and those that come soon behind it, so that what is worked out at the end is worked out once for all of
/// them. It waits for each no longer than it has worked, since others wait for the notebook meanwhile.
fn take_together(
    pen: &mut Pen<'_>,
    first: Vec<Arrived>,
    coming: &Receiver<Vec<Arrived>>,
) -> Result<Vec<Result<Taken, NotTaken>>, Fault> {
    let since = Instant::now();
    let mut became = Vec::new();
    let mut next = Some(first);
    while let Some(piece) = next {
        became.push(pen.part(|pen| take(pen, &piece))?);
        // Before the one after the next is read.
        drop(piece);
        let worked = since.elapsed();
        let left = TOGETHER.saturating_sub(worked);
        next = (!left.is_zero())
            .then(|| coming.recv_timeout(worked.min(left)).ok())
            .flatten();
    }
    Ok(became)
}

/// Takes lines; where one cannot be taken, what was written must be taken back.
fn take(pen: &mut Pen<'_>, lines: &[Arrived]) -> Result<Taken, Fault> {
    let own = settings::device(pen.conn())?;
    let outcomes = pen.take(lines)?;
    let mut taken = Taken::default();
    let mut copied = false;
    for (line, outcome) in lines.iter().zip(outcomes) {
        match outcome {
            Outcome::Taken => {
                taken.new += 1;
                copied |= line.device == own;
            }
            Outcome::Known => taken.known += 1,
        }
    }
    if copied {
        taken.went_on_as = Some(settings::leave_device(pen)?);
    }
    Ok(taken)
}
