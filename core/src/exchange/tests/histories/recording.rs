//! What people record.

use super::look::{current, pick, things, told};
use super::plan::{Asked, Recording};
use super::{Done, THREADS};
use crate::length::Length;
use crate::notebook::tests::{depth_of, photos::photo_file, wanted};
use crate::notebook::{
    CastingBody, CastingId, EntryId, FaceBody, FaceId, HoleBody, HoleId, Notebook, NotebookError,
    PhotoId, Saying, Settings,
};
use serde_json::json;
use std::path::PathBuf;
use std::sync::OnceLock;
use tempfile::TempDir;

/// What became of it.
pub enum Became {
    /// It is on the disk, said the notebook.
    Acknowledged,
    /// There was nothing to record it about.
    Refused,
    /// The notebook could not be written.
    Failed(NotebookError),
}

/// Records something. Where there is no hole yet, a casting with one is laid out instead.
pub fn record(notebook: &Notebook, what: Recording) -> Done<Became> {
    let holes = things(notebook, "hole_now")?;
    if holes.is_empty() {
        return Ok(became(lay_out(notebook)));
    }
    let hole = |at| HoleId(pick(&holes, at).unwrap_or_default());
    match what {
        Recording::Hole => on_a_face(notebook, |face| {
            notebook.add_hole(face, None, None).map(drop)
        }),
        Recording::Answer {
            hole: at,
            asked,
            pick,
            seen,
        } => answer(notebook, hole(at), asked, pick, seen),
        Recording::Settle {
            hole: at,
            asked,
            pick,
        } => settle(notebook, hole(at), asked, pick),
        Recording::Reading { hole: at, mm } => {
            let reading = depth_of(f64::from(mm) + 1.0);
            Ok(became(notebook.say(hole(at), reading, &[]).map(drop)))
        }
        Recording::Strike { pick } => strike(notebook, pick),
        Recording::Photo { pick } => on_a_face(notebook, |face| {
            notebook.add_photo(face, &photo(pick), None).map(drop)
        }),
        Recording::Mark { pick: at, x, seen } => mark(notebook, hole(at), at, x, seen),
        Recording::Device { pick } => name(notebook, pick),
        Recording::Casting { pick, seen } => casting(notebook, pick, seen),
    }
}

fn became(done: Result<(), NotebookError>) -> Became {
    match done {
        Ok(()) => Became::Acknowledged,
        Err(NotebookError::NoSuch { .. }) => Became::Refused,
        Err(error) => Became::Failed(error),
    }
}

fn lay_out(notebook: &Notebook) -> Result<(), NotebookError> {
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

fn on_a_face(
    notebook: &Notebook,
    with: impl FnOnce(FaceId) -> Result<(), NotebookError>,
) -> Done<Became> {
    let faces = things(notebook, "face_now")?;
    let face = faces.first().map(|face| FaceId(*face));
    Ok(face.map_or(Became::Refused, |face| became(with(face))))
}

/// Two answers to each question.
fn saying(asked: Asked, pick: u8) -> Done<Option<Saying>> {
    let remedy = ["leave", "chase", "stepped-stud"][usize::from(pick) % 3];
    Ok(match asked {
        Asked::Wanted => Some(wanted(THREADS[usize::from(pick) % THREADS.len()])),
        Asked::Remedy => {
            let choice = serde_json::from_value(json!({ "remedy": remedy }));
            Some(Saying::Choice(choice.map_err(told("a remedy"))?))
        }
        Asked::Number => None,
    })
}

impl Asked {
    /// The kind of entry that answers it.
    pub fn kind(self) -> &'static str {
        match self {
            Self::Wanted => "wanted",
            Self::Remedy => "remedy",
            Self::Number => "hole",
        }
    }
}

fn answer(notebook: &Notebook, hole: HoleId, asked: Asked, pick: u8, seen: bool) -> Done<Became> {
    let over = if seen {
        current(notebook, hole.0, asked.kind())?
    } else {
        Vec::new()
    };
    let done = match saying(asked, pick)? {
        Some(saying) => notebook.say(hole, saying, &over),
        None => renumber(notebook, hole, pick, &over),
    };
    Ok(became(done.map(drop)))
}

fn renumber(
    notebook: &Notebook,
    hole: HoleId,
    pick: u8,
    over: &[EntryId],
) -> Result<EntryId, NotebookError> {
    let face = notebook.hole(hole)?.face;
    let body = HoleBody {
        face,
        number: u32::from(pick) % 3 + 1,
        x: Some(Length::from_nm(i64::from(pick))),
        y: None,
    };
    notebook.change_hole(hole, &body, over)
}

fn settle(notebook: &Notebook, hole: HoleId, asked: Asked, pick: u8) -> Done<Became> {
    match saying(asked, pick)? {
        Some(saying) => Ok(became(notebook.settle(hole, saying).map(drop))),
        None => answer(notebook, hole, asked, pick, true),
    }
}

/// Mostly what is said of holes; seldom what they are.
fn strike(notebook: &Notebook, at: u8) -> Done<Became> {
    let kept = if at < 250 {
        "('strike', 'hole', 'face', 'casting')"
    } else {
        "('strike')"
    };
    let sql = format!(
        "SELECT e.id FROM entry e JOIN said s ON s.n = e.n WHERE NOT s.struck AND e.kind NOT IN {kept} ORDER BY e.id"
    );
    let entries = super::look::column(&notebook.connection(), &sql, [])?;
    let struck = pick(&entries, at).map(|entry| notebook.strike(EntryId(entry), "wrong"));
    Ok(struck.map_or(Became::Refused, |done| became(done.map(drop))))
}

fn mark(notebook: &Notebook, hole: HoleId, at: u8, x: u8, seen: bool) -> Done<Became> {
    let Some(photo) = pick(&things(notebook, "photo_now")?, at).map(PhotoId) else {
        return Ok(Became::Refused);
    };
    let mut over = Vec::new();
    if seen {
        for id in current(notebook, hole.0, "mark")? {
            let entry = notebook.entry(id).map_err(told("a mark"))?;
            over.extend((entry.body["photo"] == json!(photo)).then_some(id));
        }
    }
    Ok(became(
        notebook
            .mark(hole, photo, f64::from(x % 60), 5.0, &over)
            .map(drop),
    ))
}

fn name(notebook: &Notebook, pick: u8) -> Done<Became> {
    let before = notebook.settings().map_err(told("settings"))?;
    let device_name = ["bench", "phone", "barn"][usize::from(pick) % 3].to_owned();
    let person = ["Ada", "Bo"][usize::from(pick) % 2].to_owned();
    let settings = Settings {
        device_name,
        person,
        ..before
    };
    Ok(became(notebook.set_settings(&settings)))
}

fn casting(notebook: &Notebook, pick: u8, seen: bool) -> Done<Became> {
    let castings = things(notebook, "casting_now")?;
    let Some(casting) = super::look::pick(&castings, pick) else {
        return Ok(Became::Refused);
    };
    let over = if seen {
        current(notebook, casting, "casting")?
    } else {
        Vec::new()
    };
    let body = CastingBody {
        name: ["pump end", "pump, drive end"][usize::from(pick) % 2].into(),
        note: None,
        metal: None,
    };
    let done = notebook.change_casting(CastingId(casting), &body, &over);
    Ok(became(done.map(drop)))
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
