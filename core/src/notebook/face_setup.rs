//! Records the setup of a face, and takes it over from another face.

use super::edits::strike_out;
use super::error::{Fault, NotebookError};
use super::id::{EntryId, FaceId};
use super::write::{NewEntry, WriteTx};
use super::{Notebook, load};
use crate::hole::face_setup::{MeasuringTools, USUAL_QUANTITIES, UsualReading, UsualThread};
use crate::hole::record::{FaceRecord, Reading};
use std::collections::BTreeSet;

/// One change of a face's setup.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub enum SetupChange {
    /// Sets the usual thread.
    Thread {
        /// The thread and its bolt.
        usual: UsualThread,
        /// The entries that it supersedes: those that the person saw.
        replaces: Vec<EntryId>,
    },
    /// Sets a usual value.
    Reading {
        /// The value.
        usual: UsualReading,
        /// The entries of this quantity that it supersedes.
        replaces: Vec<EntryId>,
    },
    /// Sets the measuring tools.
    Tools {
        /// The tools.
        in_use: MeasuringTools,
        /// The entries that it supersedes.
        replaces: Vec<EntryId>,
    },
    /// Takes a value out of the setup: its entry is struck out, and so are those that it replaced.
    Remove {
        /// The entry.
        entry: EntryId,
    },
}

/// A face that has a setup.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct FaceWithSetup {
    /// Its id.
    pub id: FaceId,
    /// Its name; the first one if they are in conflict.
    pub name: String,
    /// The name of its casting; empty if that was struck out or is not here yet.
    pub casting_name: String,
}

impl Notebook {
    /// Changes the setup of a face, all or nothing. The holes that inherit what changes are judged
    /// again. Returns the new entries.
    ///
    /// # Errors
    /// If there is no such face or entry, if a value is not valid, or if the notebook cannot be
    /// written.
    pub fn change_setup(
        &self,
        face: FaceId,
        changes: &[SetupChange],
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            tx.require_face(face)?;
            changes.iter().map(|one| change(tx, face, one)).collect()
        })
    }

    /// Returns faces that have a setup, the newest first: those of the newest 200 faces.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn faces_with_setup(&self) -> Result<Vec<FaceWithSetup>, NotebookError> {
        self.read(|conn| {
            let sql = "SELECT f.id, f.name, c.name FROM face f
                 LEFT JOIN casting c ON c.id = f.casting ORDER BY f.id DESC LIMIT 200";
            let mut statement = conn.prepare_cached(sql)?;
            let mut rows = statement.query([])?;
            let mut faces = Vec::new();
            while let Some(row) = rows.next()? {
                let id = FaceId(row.get(0)?);
                if !load::face(conn, id)?.record.setup.is_empty() {
                    let casting: Option<String> = row.get(2)?;
                    faces.push(FaceWithSetup {
                        id,
                        name: row.get(1)?,
                        casting_name: casting.unwrap_or_default(),
                    });
                }
            }
            Ok(faces)
        })
    }

    /// Takes over the setup of another face: all that is agreed there and that this face does not
    /// have yet. Depths count from the other face as it is. Returns the new entries.
    ///
    /// # Errors
    /// As for [`Notebook::change_setup`].
    pub fn copy_setup(&self, from: FaceId, to: FaceId) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            tx.require_face(from)?;
            tx.require_face(to)?;
            let there = load::face(tx.conn(), from)?.record;
            let here = load::face(tx.conn(), to)?.record;
            let changes = taken_over(&there, &here);
            changes.iter().map(|one| change(tx, to, one)).collect()
        })
    }
}

fn change(tx: &mut WriteTx<'_>, face: FaceId, change: &SetupChange) -> Result<EntryId, Fault> {
    let (new, replaces) = match change {
        SetupChange::Thread { usual, replaces } => (NewEntry::new(face, usual)?, replaces),
        SetupChange::Reading { usual, replaces } => (NewEntry::new(face, usual)?, replaces),
        SetupChange::Tools { in_use, replaces } => (NewEntry::new(face, in_use)?, replaces),
        SetupChange::Remove { entry } => return remove(tx, face, *entry),
    };
    tx.insert(new.replacing(replaces.iter().copied()))
}

/// Strikes out an entry of the setup, and each earlier one that comes back because of that.
fn remove(tx: &mut WriteTx<'_>, face: FaceId, entry: EntryId) -> Result<EntryId, Fault> {
    let mut known = in_force(tx, face)?;
    if !known.contains(&entry) {
        return Err(Fault::invalid(
            "that value is not in the setup of the face any more; open the page again",
        ));
    }
    let reason = "taken out of the setup of the face";
    let strike = strike_out(tx, entry, reason)?;
    loop {
        let now = in_force(tx, face)?;
        let back: Vec<EntryId> = now.difference(&known).copied().collect();
        if back.is_empty() {
            return Ok(strike);
        }
        for entry in back {
            known.insert(entry);
            strike_out(tx, entry, reason)?;
        }
    }
}

/// Returns the entries that are in force in the setup of a face.
fn in_force(tx: &WriteTx<'_>, face: FaceId) -> Result<BTreeSet<EntryId>, Fault> {
    let setup = load::face(tx.conn(), face)?.record.setup;
    let threads = setup.thread.0.iter().map(|thread| thread.entry);
    let readings = setup.readings.iter().map(|reading| reading.entry);
    let tools = setup.tools.0.iter().map(|tools| tools.entry);
    Ok(threads.chain(readings).chain(tools).collect())
}

fn taken_over(there: &FaceRecord, here: &FaceRecord) -> Vec<SetupChange> {
    let mut changes = Vec::new();
    let thread = there.setup.thread.agreed();
    if let Some(wanted) = thread.filter(|_| here.setup.thread.0.is_empty()) {
        changes.push(SetupChange::Thread {
            usual: UsualThread {
                wanted: wanted.clone(),
            },
            replaces: Vec::new(),
        });
    }
    for quantity in USUAL_QUANTITIES {
        let mut usual = there.setup.usual(quantity);
        let only = usual.next().filter(|_| usual.next().is_none());
        let only = only.filter(|_| here.setup.usual(quantity).next().is_none());
        let value = only.map(|usual| (usual.value_as_is(there), &usual.body));
        if let Some((value, body)) = value.filter(|(value, _)| value.is_positive()) {
            let reading = Reading {
                value,
                ..body.clone()
            };
            changes.push(SetupChange::Reading {
                usual: UsualReading { reading },
                replaces: Vec::new(),
            });
        }
    }
    let tools = there.setup.tools.agreed();
    if let Some(in_use) = tools.filter(|_| here.setup.tools.0.is_empty()) {
        changes.push(SetupChange::Tools {
            in_use: in_use.clone(),
            replaces: Vec::new(),
        });
    }
    changes
}
