//! Notebooks for the tests, and the main job by typed calls. The data is invented.

use holebook_core::drill::DrillKinds;
use holebook_core::length::Length;
use holebook_core::thread::Thread;
use holebook_mobile::*;
use std::path::PathBuf;
use std::sync::Arc;
use tempfile::TempDir;

/// A phone's notebook; its folder is deleted when this is dropped.
pub struct TestPhone {
    pub notebook: Arc<Notebook>,
    pub dir: TempDir,
}

impl TestPhone {
    pub fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let at = dir.path().join("notebook").to_string_lossy().into_owned();
        Self {
            notebook: Notebook::open(at).unwrap(),
            dir,
        }
    }
}

pub fn mm(mm: f64) -> Length {
    length_from_mm(mm).unwrap()
}

/// The path of a photo by a phone.
pub fn photo() -> String {
    let photos = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/photos");
    photos.join("phone.jpg").to_string_lossy().into_owned()
}

/// What [`read_hole`] added.
pub struct Job {
    pub casting: CastingId,
    pub face: FaceId,
    pub photo: PhotoId,
    pub hole: HoleId,
}

/// Adds a casting with one face, a photo and one loose hole, measured but without a chosen remedy.
pub fn measured_hole(notebook: &Notebook) -> Job {
    notebook
        .set_settings(Settings {
            person: "Ada".to_owned(),
            device_name: "barn phone".to_owned(),
            unit: LengthUnit::Inch,
            keep_photo_gps: false,
            drill_kinds: Some(DrillKinds::of(&[DrillKind::Fractional, DrillKind::Letter])),
        })
        .unwrap();
    let casting = notebook
        .add_casting(CastingBody {
            name: "Invented pump end".to_owned(),
            note: None,
            metal: Some("ASTM A48 class 25".parse().unwrap()),
        })
        .unwrap();
    let face = FaceBody {
        casting,
        name: "Cover joint".to_owned(),
        note: None,
    };
    let face = notebook.add_face(face).unwrap();
    notebook.plan_face_cut(face, mm(0.5), Vec::new()).unwrap();
    let photo = notebook
        .add_photo(face, photo(), Some("barn.jpg".to_owned()))
        .unwrap()
        .id;
    let hole = notebook.add_hole(face, None, None).unwrap();
    let mark = MarkBody {
        photo,
        x_px: 10.0,
        y_px: 12.0,
        rim_radius_px: None,
    };
    notebook.mark(hole, mark, Vec::new()).unwrap();
    let condition = Condition::Loose;
    record(
        notebook,
        hole,
        HoleEntry::Condition(FirstLook { condition }),
    );
    let readings = [
        (Quantity::Depth, 34.0),
        (Quantity::Floor, 12.0),
        (Quantity::NearestEdge, 30.0),
        (Quantity::NearestHole, 60.0),
    ];
    let readings = readings.map(|(quantity, value)| {
        HoleEntry::Reading(Reading {
            quantity,
            value: mm(value),
            tolerance: None,
            instrument: Some("depth gauge".to_owned()),
        })
    });
    notebook.record_all(hole, readings.into()).unwrap();
    let wanted = WantedThread {
        thread: thread("3/8-16"),
        bolt: Some("SAE J429 grade 5".parse().unwrap()),
        through: Some(false),
        pressure: false,
    };
    record(notebook, hole, HoleEntry::WantedThread(wanted));
    record(notebook, hole, HoleEntry::Damage(worn(9.4)));
    Job {
        casting,
        face,
        photo,
        hole,
    }
}

pub fn thread(name: &str) -> Thread {
    Thread::parse(name).unwrap()
}

/// Records an entry that replaces none.
pub fn record(notebook: &Notebook, hole: HoleId, entry: HoleEntry) -> EntryId {
    notebook.record(hole, entry, Vec::new()).unwrap()
}

/// A hole worn to a diameter over its whole depth.
pub fn worn(diameter: f64) -> Damage {
    let span = Span {
        from: mm(0.0),
        to: mm(20.0),
    };
    Damage {
        stations: vec![Station {
            span,
            diameter: mm(diameter),
            offset: mm(0.0),
            direction_deg: 0.0,
            to_diameter: None,
            to_offset: None,
            to_direction_deg: None,
            diameter_tolerance: None,
            offset_tolerance: None,
            offset_source: None,
            rests_on: Vec::new(),
            traced: None,
        }],
        hard: Vec::new(),
        lean: None,
        broken_tool: None,
        crack: false,
    }
}

/// Chooses the first key-locking insert that fits, so that every kind of step is needed.
pub fn choose(notebook: &Notebook, hole: HoleId) -> RemedySpec {
    let remedies = notebook.plan(hole).unwrap().remedies;
    let fits = |remedy: &AssessedRemedy| {
        remedy.spec.remedy == Remedy::KeyLockingInsert
            && remedy.assessment.verdict <= Verdict::Marginal
    };
    let spec = remedies.into_iter().find(fits).unwrap().spec;
    let choice = Choice {
        spec: spec.clone(),
        reason: Some("it is in the drawer".to_owned()),
        basis: None,
    };
    record(notebook, hole, HoleEntry::Remedy(choice));
    spec
}

/// Records every step that the plan gives, until it is done; returns the steps.
pub fn finish(notebook: &Notebook, job: &Job, spec: &RemedySpec) -> Vec<StepKey> {
    let mut steps = Vec::new();
    while let NextAction::Step { step, .. } = notebook.plan(job.hole).unwrap().next {
        assert!(!steps.contains(&step), "{step:?} came twice");
        record_step(notebook, job, spec, step);
        steps.push(step);
    }
    steps
}

fn record_step(notebook: &Notebook, job: &Job, spec: &RemedySpec, step: StepKey) {
    let spec = spec.clone();
    let plan = notebook.plan(job.hole).unwrap();
    let entry = match step {
        StepKey::Cut(step) => {
            let chosen = &plan.remedies[plan.chosen.unwrap() as usize];
            let depths = chosen.assessment.depths.unwrap();
            let depth = match step {
                CutStep::Drill => depths.drill,
                CutStep::Tap => depths.full_thread,
                _ => None,
            };
            HoleEntry::Cut(Cut {
                diameter: None,
                spec,
                step,
                depth,
                tool: None,
                removal: None,
                reason: None,
            })
        }
        StepKey::TrialFit => HoleEntry::TrialFit(TrialFit {
            spec,
            fits: true,
            below_face: None,
            note: None,
        }),
        StepKey::FaceCut => {
            let milled = FaceMilled {
                removed: mm(0.5),
                instrument: Some("height gauge".to_owned()),
                ..FaceMilled::default()
            };
            notebook.record_face_milled(job.face, milled, None).unwrap();
            return;
        }
        StepKey::Install => HoleEntry::Install(Install {
            spec,
            below_face: Some(mm(0.5)),
            after_face_cut: plan.face_is_finished,
            reason: None,
        }),
        StepKey::StakeKeys => HoleEntry::StakeKeys(StakeKeys {
            spec,
            driven: 4,
            reason: None,
        }),
        StepKey::Check(check) => HoleEntry::Check(CheckResult {
            check,
            passes: true,
            reading: None,
            instrument: None,
            locking: false,
            reason: None,
        }),
        StepKey::FinalCheck => HoleEntry::FinalCheck(FinalCheck {
            spec,
            passes: true,
            how: "new bolt".to_owned(),
            torque_nm: Some(20.0),
            engaged: None,
            reason: None,
        }),
    };
    record(notebook, job.hole, entry);
}
