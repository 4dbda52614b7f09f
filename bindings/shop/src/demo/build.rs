//! Records the sample's scenario in a new notebook as two people on two devices would.

use super::scenario::{self, Hole, Scenario, Setup, WorkEntry};
use crate::failure::Failure;
use holebook_core::hole::condition::FirstLook;
use holebook_core::hole::face_setup::{MeasuringTools, UsualThread};
use holebook_core::hole::record::Note;
use holebook_core::length::Length;
use holebook_core::notebook::{CastingBody, FaceBody};
use holebook_core::notebook::{
    FaceId, HoleEntry, HoleId, Notebook, PhotoId, Settings, SetupChange,
};
use holebook_core::places::{
    FaceHeights, HeightAt, HeightTool, PatternHole, PatternSource, WantedPattern,
};
use holebook_core::sync::{NotebookRemote, ignore_progress, sync_with};
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// Creates the sample notebook in the new folder `folder`.
///
/// # Errors
/// If the folder cannot be written, or the scenario does not match this version.
pub fn build_sample(folder: &Path) -> Result<(), Failure> {
    let scenario = scenario::read().map_err(Failure::Json)?;
    let bench = Notebook::open(folder)?;
    name_device(&bench, "Bench computer of the sample")?;
    set_person(&bench, &scenario.photo.by)?;
    let holes = start(&bench, &scenario)?;
    let second = SecondDevice::new_from(&bench)?;
    second.record_conflicts(&scenario, &holes)?;
    for (hole, id) in scenario.holes.iter().zip(&holes) {
        record_hole(&bench, &scenario, hole, *id)?;
    }
    second.sync_back(&bench)?;
    set_person(&bench, &scenario.photo.by)
}

fn name_device(notebook: &Notebook, name: &str) -> Result<(), Failure> {
    let settings = notebook.settings()?;
    Ok(notebook.set_settings(&Settings {
        device_name: name.to_owned(),
        ..settings
    })?)
}

fn set_person(notebook: &Notebook, person: &str) -> Result<(), Failure> {
    let settings = notebook.settings()?;
    if settings.person == person {
        return Ok(());
    }
    Ok(notebook.set_settings(&Settings {
        person: person.to_owned(),
        ..settings
    })?)
}

/// Adds the casting, its face with its setup, the photo, and every hole with its mark, and with its
/// wanted thread where it differs.
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
    set_up(bench, face, &scenario.face.setup)?;
    record_places(bench, face, scenario)?;
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
        let id = bench.add_hole(face, Some(hole.number), None)?;
        for mark in marks.iter().filter(|mark| mark.number == hole.number) {
            bench.mark(id, photo, mark.x_px, mark.y_px, &[])?;
        }
        if let Some(condition) = hole.condition {
            bench.record(id, HoleEntry::Condition(FirstLook { condition }), &[])?;
        }
        if let Some(wanted) = &hole.wanted {
            bench.record(id, HoleEntry::WantedThread(wanted.clone()), &[])?;
        }
        holes.push(id);
    }
    Ok(holes)
}

/// Records what the holes have in common.
fn set_up(bench: &Notebook, face: FaceId, setup: &Setup) -> Result<(), Failure> {
    let thread = SetupChange::Thread {
        usual: UsualThread {
            wanted: setup.wanted.clone(),
        },
        replaces: Vec::new(),
    };
    let tools = SetupChange::Tools {
        in_use: MeasuringTools {
            tools: setup.tools.clone(),
        },
        replaces: Vec::new(),
    };
    bench.change_setup(face, &[thread, tools])?;
    Ok(())
}

/// An indicator that is read to .0005 in.
const HALF_A_THOU: Length = Length::from_nm(12_700);

/// Records where the holes belong, and the heights of the face.
fn record_places(bench: &Notebook, face: FaceId, scenario: &Scenario) -> Result<(), Failure> {
    let holes = scenario.holes.iter().map(|hole| PatternHole {
        hole: hole.number,
        x: hole.x,
        y: hole.y,
    });
    let pattern = WantedPattern {
        holes: holes.collect(),
        source: PatternSource::Layout,
        tolerance: None,
        from_back: false,
        distances: Vec::new(),
        jaw_diameter: None,
        note: Some(scenario.face.pattern.clone()),
    };
    bench.set_pattern(face, &pattern, &[])?;
    let points = scenario.face.flatness_points.iter().map(|at| HeightAt {
        x: at.x,
        y: at.y,
        reading: at.z,
    });
    let heights = FaceHeights {
        points: points.collect(),
        tool: HeightTool::Indicator,
        instrument: Some(scenario.face.flatness_instrument.clone()),
        tolerance: Some(HALF_A_THOU),
    };
    bench.record_heights(face, &heights)?;
    Ok(())
}

/// Adds the photo from a file, as from a camera.
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

/// Records the readings, notes, choices, and work of one hole.
fn record_hole(
    bench: &Notebook,
    scenario: &Scenario,
    hole: &Hole,
    id: HoleId,
) -> Result<(), Failure> {
    set_person(bench, hole.read_by.as_ref().unwrap_or(&scenario.photo.by))?;
    let mut entries = vec![HoleEntry::Note(Note {
        text: hole.note.clone(),
    })];
    entries.extend(hole.readings.iter().cloned().map(HoleEntry::Reading));
    entries.extend(hole.damage.clone().map(HoleEntry::Damage));
    bench.record_all(id, &entries)?;
    for done in hole.progress.chunk_by(|one, next| one.by == next.by) {
        set_person(bench, &done[0].by)?;
        let entries: Vec<HoleEntry> = done.iter().map(|done| done.work.clone().into()).collect();
        bench.record_all(id, &entries)?;
    }
    Ok(())
}

impl From<WorkEntry> for HoleEntry {
    fn from(entry: WorkEntry) -> Self {
        match entry {
            WorkEntry::Remedy(choice) => Self::Remedy(choice),
            WorkEntry::Cut(cut) => Self::Cut(cut),
            WorkEntry::TrialFit(trial_fit) => Self::TrialFit(trial_fit),
            WorkEntry::Install(install) => Self::Install(install),
            WorkEntry::StakeKeys(stake_keys) => Self::StakeKeys(stake_keys),
            WorkEntry::Check(check) => Self::Check(check),
            WorkEntry::FinalCheck(final_check) => Self::FinalCheck(final_check),
        }
    }
}

/// The second person's device, which syncs with the notebook at the bench.
struct SecondDevice {
    notebook: Notebook,
    // Dropped last, since it deletes the notebook's folder.
    _folder: TempDir,
}

impl SecondDevice {
    /// Creates a notebook and pulls everything from `bench`.
    fn new_from(bench: &Notebook) -> Result<Self, Failure> {
        let folder = temporary()?;
        let notebook = Notebook::open(&folder.path().join("notebook"))?;
        name_device(&notebook, "Second device of the sample")?;
        let device = Self {
            notebook,
            _folder: folder,
        };
        sync_with(&device.notebook, &NotebookRemote(bench), &ignore_progress)?;
        Ok(device)
    }

    /// Records the second person's conflicting answers, without the entries made at the bench
    /// meanwhile.
    fn record_conflicts(&self, scenario: &Scenario, holes: &[HoleId]) -> Result<(), Failure> {
        for (hole, id) in scenario.holes.iter().zip(holes) {
            if let Some(other) = &hole.damage_conflict {
                set_person(&self.notebook, &other.by)?;
                self.notebook
                    .record(*id, HoleEntry::Damage(other.body.clone()), &[])?;
                self.notebook.record(
                    *id,
                    HoleEntry::Note(Note {
                        text: other.why.clone(),
                    }),
                    &[],
                )?;
            }
        }
        Ok(())
    }

    /// Syncs the two notebooks again.
    fn sync_back(self, bench: &Notebook) -> Result<(), Failure> {
        sync_with(&self.notebook, &NotebookRemote(bench), &ignore_progress)?;
        Ok(())
    }
}
