//! What people record.

use super::plan::{Question, Recording};
use super::queries::{context, current, ids_in, pick};
use super::{CheckResult, THREADS};
use crate::length::Length;
use crate::notebook::tests::{depth_of, photos::photo_file, wanted};
use crate::notebook::{
    CastingBody, CastingId, EntryId, FaceBody, FaceId, HoleBody, HoleEntry, HoleId, Notebook,
    NotebookError, PhotoId, Settings,
};
use serde_json::json;
use std::path::PathBuf;
use std::sync::OnceLock;
use tempfile::TempDir;

/// The result of recording.
pub enum Outcome {
    /// The notebook says that it is on the disk.
    Acknowledged,
    /// There was nothing to record it about.
    NothingToDo,
    /// The notebook could not be written.
    Failed(NotebookError),
}

/// Records something. If there is no hole yet, adds a casting with one instead.
pub fn record(notebook: &Notebook, what: Recording) -> CheckResult<Outcome> {
    let holes = ids_in(notebook, "hole")?;
    if holes.is_empty() {
        return Ok(outcome(add_casting_with_hole(notebook)));
    }
    let hole = |at| HoleId(pick(&holes, at).unwrap_or_default());
    match what {
        Recording::Hole => with_face(notebook, |face| {
            notebook.add_hole(face, None, None).map(drop)
        }),
        Recording::Answer {
            hole: at,
            question,
            pick,
            replaces_current,
        } => answer(notebook, hole(at), question, pick, replaces_current),
        Recording::Resolve {
            hole: at,
            question,
            pick,
        } => resolve(notebook, hole(at), question, pick),
        Recording::Reading { hole: at, mm } => {
            let reading = depth_of(f64::from(mm) + 1.0);
            Ok(outcome(notebook.record(hole(at), reading, &[]).map(drop)))
        }
        Recording::StrikeOut { pick } => strike(notebook, pick),
        Recording::Photo { pick } => with_face(notebook, |face| {
            notebook.add_photo(face, &photo(pick), None).map(drop)
        }),
        Recording::Mark {
            pick: at,
            x,
            replaces_current,
        } => mark(notebook, hole(at), at, x, replaces_current),
        Recording::DeviceName { pick } => set_names(notebook, pick),
        Recording::Casting {
            pick,
            replaces_current,
        } => rename_casting(notebook, pick, replaces_current),
    }
}

fn outcome(done: Result<(), NotebookError>) -> Outcome {
    match done {
        Ok(()) => Outcome::Acknowledged,
        Err(NotebookError::NoSuch { .. }) => Outcome::NothingToDo,
        Err(error) => Outcome::Failed(error),
    }
}

fn add_casting_with_hole(notebook: &Notebook) -> Result<(), NotebookError> {
    let casting = notebook.add_casting(&CastingBody {
        name: "pump end".into(),
        note: None,
        metal: None,
    })?;
    let face = notebook.add_face(&FaceBody {
        casting,
        name: "cover joint".into(),
        note: None,
    })?;
    notebook.add_hole(face, None, None).map(drop)
}

fn with_face(
    notebook: &Notebook,
    with: impl FnOnce(FaceId) -> Result<(), NotebookError>,
) -> CheckResult<Outcome> {
    let faces = ids_in(notebook, "face")?;
    let face = faces.first().map(|face| FaceId(*face));
    Ok(face.map_or(Outcome::NothingToDo, |face| outcome(with(face))))
}

/// One of several answers to each question.
fn hole_entry(question: Question, pick: u8) -> CheckResult<Option<HoleEntry>> {
    let remedy = ["leave", "chase", "stepped-stud"][usize::from(pick) % 3];
    Ok(match question {
        Question::Wanted => Some(wanted(THREADS[usize::from(pick) % THREADS.len()])),
        Question::Remedy => {
            let choice = serde_json::from_value(json!({ "remedy": remedy }));
            Some(HoleEntry::Remedy(choice.map_err(context("a remedy"))?))
        }
        Question::Number => None,
    })
}

impl Question {
    /// The kind of entry that answers the question.
    pub fn kind(self) -> &'static str {
        match self {
            Self::Wanted => "wanted-thread",
            Self::Remedy => "remedy",
            Self::Number => "hole",
        }
    }
}

fn answer(
    notebook: &Notebook,
    hole: HoleId,
    question: Question,
    pick: u8,
    replaces_current: bool,
) -> CheckResult<Outcome> {
    let replaces = if replaces_current {
        current(notebook, hole.0, question.kind())?
    } else {
        Vec::new()
    };
    let done = match hole_entry(question, pick)? {
        Some(entry) => notebook.record(hole, entry, &replaces),
        None => renumber(notebook, hole, pick, &replaces),
    };
    Ok(outcome(done.map(drop)))
}

fn renumber(
    notebook: &Notebook,
    hole: HoleId,
    pick: u8,
    replaces: &[EntryId],
) -> Result<EntryId, NotebookError> {
    let face = notebook.hole(hole)?.face;
    let body = HoleBody {
        face,
        number: u32::from(pick) % 3 + 1,
        x: Some(Length::from_nm(i64::from(pick))),
        y: None,
        tolerance: None,
    };
    notebook.change_hole(hole, &body, replaces)
}

fn resolve(
    notebook: &Notebook,
    hole: HoleId,
    question: Question,
    pick: u8,
) -> CheckResult<Outcome> {
    match hole_entry(question, pick)? {
        Some(entry) => Ok(outcome(notebook.resolve(hole, entry).map(drop))),
        None => answer(notebook, hole, question, pick, true),
    }
}

/// Mostly strikes out what is said about holes; rarely the holes themselves.
fn strike(notebook: &Notebook, at: u8) -> CheckResult<Outcome> {
    let kept = if at < 250 {
        "('strike-out', 'hole', 'face', 'casting')"
    } else {
        "('strike-out')"
    };
    let sql = format!(
        "SELECT e.id FROM entry e JOIN entry_status s ON s.n = e.n WHERE NOT s.struck_out AND s.kind NOT IN {kept} ORDER BY e.id"
    );
    let entries = super::queries::column(&notebook.connection(), &sql, [])?;
    let struck = pick(&entries, at).map(|entry| notebook.strike_out(EntryId(entry), "wrong"));
    Ok(struck.map_or(Outcome::NothingToDo, |done| outcome(done.map(drop))))
}

fn mark(
    notebook: &Notebook,
    hole: HoleId,
    at: u8,
    x: u8,
    replaces_current: bool,
) -> CheckResult<Outcome> {
    let Some(photo) = pick(&ids_in(notebook, "photo")?, at).map(PhotoId) else {
        return Ok(Outcome::NothingToDo);
    };
    let mut replaces = Vec::new();
    if replaces_current {
        for id in current(notebook, hole.0, "mark")? {
            let entry = notebook.entry(id).map_err(context("a mark"))?;
            replaces.extend((entry.body["photo"] == json!(photo)).then_some(id));
        }
    }
    Ok(outcome(
        notebook
            .mark(hole, photo, f64::from(x % 60), 5.0, &replaces)
            .map(drop),
    ))
}

fn set_names(notebook: &Notebook, pick: u8) -> CheckResult<Outcome> {
    let before = notebook.settings().map_err(context("settings"))?;
    let device_name = ["bench", "phone", "barn"][usize::from(pick) % 3].to_owned();
    let person = ["Ada", "Bo"][usize::from(pick) % 2].to_owned();
    let settings = Settings {
        device_name,
        person,
        ..before
    };
    Ok(outcome(notebook.set_settings(&settings)))
}

fn rename_casting(notebook: &Notebook, pick: u8, replaces_current: bool) -> CheckResult<Outcome> {
    let castings = ids_in(notebook, "casting")?;
    let Some(casting) = super::queries::pick(&castings, pick) else {
        return Ok(Outcome::NothingToDo);
    };
    let replaces = if replaces_current {
        current(notebook, casting, "casting")?
    } else {
        Vec::new()
    };
    let body = CastingBody {
        name: ["pump end", "pump, drive end"][usize::from(pick) % 2].into(),
        note: None,
        metal: None,
    };
    let done = notebook.change_casting(CastingId(casting), &body, &replaces);
    Ok(outcome(done.map(drop)))
}

/// One of three small photos.
fn photo(pick: u8) -> PathBuf {
    static PHOTOS: OnceLock<(TempDir, [PathBuf; 3])> = OnceLock::new();
    let (_, photos) = PHOTOS.get_or_init(|| {
        let dir = super::folder();
        let photos = [1, 2, 3].map(|shade| photo_file(&dir, shade));
        (dir, photos)
    });
    photos[usize::from(pick) % photos.len()].clone()
}
