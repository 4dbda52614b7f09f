//! The main job in typed calls, for the tests: invented data of our own.
#![allow(missing_docs, dead_code, clippy::unwrap_used)]

use holebook_mobile::*;
use std::path::PathBuf;
use std::sync::Arc;
use tempfile::TempDir;

/// A notebook in a folder that goes when it is dropped.
pub struct Desk {
    pub notebook: Arc<Notebook>,
    pub dir: TempDir,
}

impl Desk {
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

/// A photo of a phone, from the tests' own folder.
pub fn photo() -> String {
    let photos = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/photos");
    photos.join("phone.jpg").to_string_lossy().into_owned()
}

/// What the job made.
pub struct Job {
    pub casting: CastingId,
    pub face: FaceId,
    pub photo: PhotoId,
    pub hole: HoleId,
}

/// A casting with one face, a photo and one loose hole, read and judged but nothing chosen.
pub fn read_hole(book: &Notebook) -> Job {
    book.set_settings(Settings {
        person: "Ada".to_owned(),
        device_name: "barn phone".to_owned(),
        unit: LengthUnit::Inch,
        keep_location: false,
        drawer: Some(vec![DrillKind::Fractional, DrillKind::Letter]),
    })
    .unwrap();
    let casting = book
        .add_casting(CastingBody {
            name: "Invented pump end".to_owned(),
            note: None,
            metal: Some("ASTM A48 class 25".to_owned()),
        })
        .unwrap();
    let face = FaceBody {
        casting: casting.clone(),
        name: "Cover joint".to_owned(),
        note: None,
    };
    let face = book.add_face(face).unwrap();
    book.plan_face_cut(face.clone(), mm(0.5), Vec::new())
        .unwrap();
    let photo = book
        .add_photo(face.clone(), photo(), Some("barn.jpg".to_owned()))
        .unwrap()
        .photo;
    let hole = book.add_hole(face.clone(), None, None).unwrap();
    let mark = MarkBody {
        photo: photo.clone(),
        x_px: 10.0,
        y_px: 12.0,
    };
    book.mark(hole.clone(), mark, Vec::new()).unwrap();
    let readings = [
        (Quantity::Depth, 34.0),
        (Quantity::Floor, 12.0),
        (Quantity::NearestEdge, 30.0),
        (Quantity::NearestHole, 60.0),
    ];
    let readings = readings.map(|(quantity, value)| Saying::Reading {
        body: Reading {
            quantity,
            value: mm(value),
            error: None,
            instrument: Some("depth gauge".to_owned()),
        },
    });
    book.say_all(hole.clone(), readings.into()).unwrap();
    let wanted = Wanted {
        thread: "3/8-16".to_owned(),
        bolt: Some("SAE J429 grade 5".to_owned()),
        through: Some(false),
    };
    book.want(hole.clone(), wanted, Vec::new()).unwrap();
    book.damage(hole.clone(), worn(9.4), Vec::new()).unwrap();
    Job {
        casting,
        face,
        photo,
        hole,
    }
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
            diameter_error: None,
            offset_error: None,
        }],
        hard: Vec::new(),
        lean: None,
        broken_tool: None,
        crack: false,
    }
}

/// Chooses the first key-locking insert that the checks pass, so that every kind of step comes.
pub fn choose(book: &Notebook, hole: &HoleId) -> Work {
    let ways = book.plan(hole.clone()).unwrap().ways;
    let way = ways
        .into_iter()
        .find(|way| way.remedy == Remedy::KeyLockingInsert && way.verdict <= Verdict::FitsWithCare)
        .unwrap();
    let choice = Choice {
        work: way.work.clone(),
        reason: Some("it is in the drawer".to_owned()),
    };
    book.choose(hole.clone(), choice, Vec::new()).unwrap();
    way.work
}

/// Does every step that the plan says, as it says; gives the keys of the steps.
pub fn work_through(book: &Notebook, job: &Job, work: &Work) -> Vec<StepKey> {
    let mut taken = Vec::new();
    while let Next::TakeStep { step } = book.plan(job.hole.clone()).unwrap().next {
        assert!(!taken.contains(&step), "{step:?} came twice");
        take(book, job, work, step);
        taken.push(step);
    }
    taken
}

fn take(book: &Notebook, job: &Job, work: &Work, step: StepKey) {
    let (hole, work) = (job.hole.clone(), work.clone());
    let plan = book.plan(hole.clone()).unwrap();
    match step {
        StepKey::Cut { step: cut } => {
            let depths = plan.ways[plan.chosen.unwrap() as usize].depths.clone();
            let depths = depths.unwrap();
            let depth = match cut {
                CutStep::Drill => depths.drill,
                CutStep::Tap => depths.full_thread,
                _ => None,
            };
            let cut = Cut {
                work,
                step: cut,
                depth,
                tool: None,
                reason: None,
            };
            book.cut(hole, cut)
        }
        StepKey::DryFit => {
            let fit = DryFit {
                work,
                fits: true,
                below_face: None,
                note: None,
            };
            book.dry_fit(hole, fit)
        }
        StepKey::FaceCut => {
            let milled = FaceMilled {
                taken: mm(0.5),
                instrument: Some("height gauge".to_owned()),
            };
            book.record_face_milled(job.face.clone(), milled)
        }
        StepKey::SetInsert => {
            let set = InsertSet {
                work,
                below_face: Some(mm(0.5)),
                after_face_cut: plan.face_is_finished,
                reason: None,
            };
            book.set_insert(hole, set)
        }
        StepKey::DriveKeys => {
            let keys = KeysDriven {
                work,
                driven: 4,
                reason: None,
            };
            book.drive_keys(hole, keys)
        }
        StepKey::Check { check } => {
            let checked = Checked {
                check,
                passes: true,
                reading: None,
                instrument: None,
            };
            book.check(hole, checked)
        }
        StepKey::Prove => {
            let proof = Proof {
                work,
                passes: true,
                how: "new bolt".to_owned(),
                torque_nm: Some(20.0),
                engaged: None,
            };
            book.prove(hole, proof)
        }
    }
    .unwrap();
}
