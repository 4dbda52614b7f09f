//! Writes the sample's scenario into a new notebook, the way people would: by what two of them say on two devices.

use super::scenario::{self, Deed, Hole, Scenario};
use crate::failure::Failure;
use holebook_core::exchange::{NotebookShelf, exchange_over, unwatched};
use holebook_core::hole::record::Note;
use holebook_core::notebook::{CastingBody, FaceBody};
use holebook_core::notebook::{FaceId, HoleId, Notebook, PhotoId, Saying, Settings};
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// Makes the sample notebook in `folder`, which is new.
///
/// # Errors
/// Where the folder cannot be written, or the scenario does not fit this version.
pub fn sample(folder: &Path) -> Result<(), Failure> {
    let scenario = scenario::read().map_err(Failure::Json)?;
    let bench = Notebook::open(folder)?;
    name_device(&bench, "Bench computer of the sample")?;
    write_as(&bench, &scenario.photo.by)?;
    let holes = start(&bench, &scenario)?;
    let second = SecondDevice::bring(&bench)?;
    second.disagree(&scenario, &holes)?;
    for (hole, id) in scenario.holes.iter().zip(&holes) {
        tell(&bench, &scenario, hole, *id)?;
    }
    second.meet(&bench)?;
    write_as(&bench, &scenario.photo.by)
}

fn name_device(notebook: &Notebook, name: &str) -> Result<(), Failure> {
    let settings = notebook.settings()?;
    Ok(notebook.set_settings(&Settings {
        device_name: name.to_owned(),
        ..settings
    })?)
}

fn write_as(notebook: &Notebook, person: &str) -> Result<(), Failure> {
    let settings = notebook.settings()?;
    if settings.person == person {
        return Ok(());
    }
    Ok(notebook.set_settings(&Settings {
        person: person.to_owned(),
        ..settings
    })?)
}

/// The casting, its face, the photo, and every hole with its mark and what it shall hold.
fn start(bench: &Notebook, scenario: &Scenario) -> Result<Vec<HoleId>, Failure> {
    let casting = bench.add_casting(&CastingBody {
        name: scenario.casting.name.clone(),
        note: Some(format!("{} {}", scenario.invented, scenario.casting.note)),
        metal: Some(scenario.casting.metal),
    })?;
    let face = bench.add_face(&FaceBody {
        casting,
        name: scenario.face.name.clone(),
        note: Some(scenario.face.flatness_note.clone()),
    })?;
    bench.plan_face_cut(face, scenario.face.planned_cut, &[])?;
    let photo = add_photo(bench, face, scenario)?;
    bench.note_face(
        face,
        &Note {
            text: scenario.photo.caption.clone(),
        },
    )?;
    let marks = scenario::marks().map_err(Failure::Json)?;
    let mut holes = Vec::new();
    for hole in &scenario.holes {
        let id = bench.add_hole(face, Some(hole.number), Some((hole.x, hole.y)))?;
        for mark in marks.iter().filter(|mark| mark.number == hole.number) {
            bench.mark(id, photo, mark.x_px, mark.y_px, &[])?;
        }
        bench.say(id, Saying::Wanted(hole.wanted.clone()), &[])?;
        holes.push(id);
    }
    Ok(holes)
}

/// Brings the picture in from a file, as from a camera.
fn add_photo(bench: &Notebook, face: FaceId, scenario: &Scenario) -> Result<PhotoId, Failure> {
    let camera = temporary()?;
    let file = camera.path().join(&scenario.photo.file);
    fs::write(&file, scenario::PHOTO).map_err(|error| Failure::file("writing", &file, &error))?;
    let (photo, _) = bench.add_photo(face, &file, Some(&scenario.photo.file))?;
    Ok(photo)
}

fn temporary() -> Result<TempDir, Failure> {
    tempfile::tempdir()
        .map_err(|error| Failure::file("making a folder in", &std::env::temp_dir(), &error))
}

/// What was read, seen, decided and done at one hole.
fn tell(bench: &Notebook, scenario: &Scenario, hole: &Hole, id: HoleId) -> Result<(), Failure> {
    write_as(bench, hole.read_by.as_ref().unwrap_or(&scenario.photo.by))?;
    let mut sayings = vec![Saying::Note(Note {
        text: hole.note.clone(),
    })];
    sayings.extend(hole.readings.iter().cloned().map(Saying::Reading));
    sayings.extend(hole.damage.clone().map(Saying::Damage));
    bench.say_all(id, &sayings)?;
    for done in hole.progress.chunk_by(|one, next| one.by == next.by) {
        write_as(bench, &done[0].by)?;
        let sayings: Vec<Saying> = done.iter().map(|done| done.what.clone().into()).collect();
        bench.say_all(id, &sayings)?;
    }
    Ok(())
}

impl From<Deed> for Saying {
    fn from(deed: Deed) -> Self {
        match deed {
            Deed::Choice(choice) => Self::Choice(choice),
            Deed::Cut(cut) => Self::Cut(cut),
            Deed::DryFit(dry_fit) => Self::DryFit(dry_fit),
            Deed::Set(set) => Self::Set(set),
            Deed::Keys(keys) => Self::Keys(keys),
            Deed::Check(check) => Self::Check(check),
            Deed::Proof(proof) => Self::Proof(proof),
        }
    }
}

/// The second person's device, for which the notebook at the bench is the shelf.
struct SecondDevice {
    notebook: Notebook,
    // Dropped last: the notebook's folder goes with it.
    _folder: TempDir,
}

impl SecondDevice {
    /// A new notebook that takes over what stands in `bench`.
    fn bring(bench: &Notebook) -> Result<Self, Failure> {
        let folder = temporary()?;
        let notebook = Notebook::open(&folder.path().join("notebook"))?;
        name_device(&notebook, "Second device of the sample")?;
        let device = Self {
            notebook,
            _folder: folder,
        };
        exchange_over(&device.notebook, &NotebookShelf(bench), &unwatched)?;
        Ok(device)
    }

    /// Says what the second person found where the two do not agree, not knowing what is said at the bench meanwhile.
    fn disagree(&self, scenario: &Scenario, holes: &[HoleId]) -> Result<(), Failure> {
        for (hole, id) in scenario.holes.iter().zip(holes) {
            if let Some(other) = &hole.damage_in_question {
                write_as(&self.notebook, &other.by)?;
                self.notebook
                    .say(*id, Saying::Damage(other.body.clone()), &[])?;
                self.notebook.say(
                    *id,
                    Saying::Note(Note {
                        text: other.why.clone(),
                    }),
                    &[],
                )?;
            }
        }
        Ok(())
    }

    /// Brings the two together again.
    fn meet(self, bench: &Notebook) -> Result<(), Failure> {
        exchange_over(&self.notebook, &NotebookShelf(bench), &unwatched)?;
        Ok(())
    }
}
