//! Taking lines that another device wrote.

use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::journal::Outcome;
use super::{Notebook, settings};

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
        self.write(|pen| {
            let own = settings::device(pen.conn())?;
            let mut taken = Taken::default();
            let mut copied = false;
            for line in lines {
                match pen.take(line)? {
                    Outcome::Taken => {
                        taken.new += 1;
                        copied |= line.entry().device == own;
                    }
                    Outcome::Known => taken.known += 1,
                    Outcome::Not(why) => return Err(Fault::Worded(why.into())),
                }
            }
            if copied {
                taken.went_on_as = Some(settings::leave_device(pen)?);
            }
            Ok(taken)
        })
    }
}
