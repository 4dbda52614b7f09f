//! Reminders: shown on the first page and on their face until somebody says that they are done.

use super::Notebook;
use super::body::ReminderBody;
use super::error::{Fault, NotebookError};
use super::id::EntryId;
use super::load;
use super::write::NewEntry;
use crate::hole::record::Recorded;
use uuid::Uuid;

/// The subject of all reminders, so that those that are open are found without a search.
const REMINDERS: Uuid = Uuid::from_u128(0x91d4_07ce_5a2b_8e13_a6f0_3b58_c21d_7e94);

impl Notebook {
    /// Records a reminder about a face or a hole of it.
    ///
    /// # Errors
    /// If there is no such face or hole, if the text is empty or too long, or if the notebook cannot
    /// be written.
    pub fn remind(&self, body: &ReminderBody) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_face(body.face)?;
            body.hole.map(|hole| tx.require_hole(hole)).transpose()?;
            tx.insert(NewEntry::new(REMINDERS, body)?)
        })
    }

    /// Records that a reminder is done. Doing it twice records it once.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if it is no open reminder; also if the notebook cannot be written.
    pub fn finish_reminder(&self, reminder: EntryId) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            let all = load::entries::<ReminderBody>(tx.conn(), REMINDERS)?.0;
            let open = all.into_iter().find(|it| it.entry == reminder);
            let open = open.ok_or_else(|| Fault::no_such("reminder", reminder))?;
            let done = ReminderBody {
                done: true,
                ..open.body
            };
            tx.insert(NewEntry::new(REMINDERS, &done)?.replacing([reminder]))
        })
    }

    /// Returns the reminders that are not done, those that are due first; without a time last.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn open_reminders(&self) -> Result<Vec<Recorded<ReminderBody>>, NotebookError> {
        let mut open = self
            .read(|conn| load::entries::<ReminderBody>(conn, REMINDERS))?
            .0;
        open.retain(|reminder| !reminder.body.done);
        open.sort_by_key(|reminder| (reminder.body.due.is_none(), reminder.body.due));
        Ok(open)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::FaceId;
    use super::super::tests::Bench;
    use super::*;
    use chrono::DateTime;

    #[test]
    fn a_reminder_stays_until_it_is_done() {
        let (bench, face, holes) = Bench::with_holes(1);
        let notebook = &bench.notebook;
        let body = |text: &str, due: Option<&str>| ReminderBody {
            face,
            hole: Some(holes[0]),
            text: text.into(),
            due: due.map(|due| DateTime::parse_from_rfc3339(due).unwrap()),
            done: false,
        };
        notebook.remind(&body("check again", None)).unwrap();
        let cured = notebook
            .remind(&body("sealer has cured", Some("2026-05-03T08:00:00+02:00")))
            .unwrap();
        let texts = || {
            let open = notebook.open_reminders().unwrap().into_iter();
            open.map(|it| it.body.text).collect::<Vec<_>>()
        };
        assert_eq!(texts(), ["sealer has cured", "check again"]);
        let done = notebook.finish_reminder(cured).unwrap();
        assert_eq!(texts(), ["check again"]);
        assert!(notebook.finish_reminder(cured).is_err(), "done already");
        notebook.strike_out(done, "not cured yet").unwrap();
        assert_eq!(texts(), ["sealer has cured", "check again"]);

        assert!(notebook.remind(&body(" ", None)).is_err());
        let elsewhere = ReminderBody {
            face: FaceId::fresh(),
            ..body("lost", None)
        };
        assert!(notebook.remind(&elsewhere).is_err());
        assert!(notebook.verify().unwrap().is_ok());
    }
}
