//! The main job by typed calls, and that the typed face can do whatever the screens can.
#![allow(clippy::unwrap_used)]

mod common;

use common::{Desk, Job, choose, mm, read_hole, work_through, worn};
use holebook_core::notebook::Kind;
use holebook_mobile::*;
use std::collections::BTreeSet;

fn kinds(book: &Notebook, subjects: &[Subject]) -> BTreeSet<String> {
    let lines = subjects
        .iter()
        .flat_map(|subject| book.history(subject.clone(), 1000, None).unwrap());
    lines.map(|line| line.kind).collect()
}

fn subjects(book: &Notebook, job: &Job) -> [Subject; 5] {
    [
        Subject::Casting {
            id: job.casting.clone(),
        },
        Subject::Face {
            id: job.face.clone(),
        },
        Subject::Photo {
            id: job.photo.clone(),
        },
        Subject::Hole {
            id: job.hole.clone(),
        },
        Subject::Device {
            id: book.device().unwrap(),
        },
    ]
}

#[test]
fn a_loose_hole_goes_from_the_empty_notebook_to_the_proof() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let job = read_hole(book);
    let plan = book.plan(job.hole.clone()).unwrap();
    assert_eq!((plan.next, plan.chosen), (Next::Choose, None));
    let refused = plan
        .ways
        .iter()
        .find(|way| way.verdict == Verdict::DoesNotFit);
    if let Some(way) = refused {
        let check = way.checks.iter().find(|check| check.passes == Some(false));
        let check = check.unwrap();
        assert!(check.has.is_some() && check.needs.is_some() && !check.limit_from.is_empty());
        assert!(
            way.reasons
                .iter()
                .any(|reason| Some(reason) == check.reason.as_ref())
        );
    }
    let work = choose(book, &job.hole);
    let steps = work_through(book, &job, &work);
    let of_it = [
        StepKey::DryFit,
        StepKey::FaceCut,
        StepKey::SetInsert,
        StepKey::DriveKeys,
    ];
    assert!(of_it.iter().all(|step| steps.contains(step)), "{steps:?}");
    let hole = book.hole(job.hole.clone()).unwrap();
    assert_eq!(hole.standing.state, State::Proved, "{:?}", hole.standing);
    assert!(!hole.in_question);
    assert_eq!(book.plan(job.hole).unwrap().next, Next::Nothing);
    let sheet = book.sheet(job.face, LengthUnit::Inch).unwrap();
    assert!(sheet.contains("3/8-16 UNC") && sheet.contains("proved"));
}

/// An invented card: a thin-wall insert for 3/8-16.
const CARD: &str = "unit = \"in\"\n[[insert]]\nfamily = \"key-locking insert, thin wall\"\ninternal = [\"3/8-16\"]\n\
    outside = \"1/2-13\"\nlength = 0.620\nhole = [0.452, 0.457]\nset_below = [0.01, 0.03]\nkeys = 4\nsource = \"card in the box\"\n";

#[test]
fn the_shops_own_inserts_are_offered_and_struck() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let own = || {
        let inserts = book.inserts("3/8-16".to_owned()).unwrap();
        let own = inserts
            .into_iter()
            .filter(|insert| insert.shop_file.is_some());
        own.map(|insert| insert.length).collect::<Vec<_>>()
    };
    assert!(own().is_empty());
    let name = "drawer.toml".to_owned();
    book.add_insert_file(name.clone(), CARD.to_owned()).unwrap();
    assert_eq!(own(), [parse_length(".620".to_owned(), None).unwrap()]);
    assert_eq!(book.insert_files().unwrap()[0].body.text, CARD);
    assert!(book.insert_files_not_read().unwrap().is_empty());
    let reason = "given away".to_owned();
    assert_eq!(book.remove_insert_file(name.clone(), reason).unwrap(), 1);
    assert!(own().is_empty());
    let broken = book
        .add_insert_file(name, "unit = \"ell\"".to_owned())
        .unwrap_err();
    assert!(matches!(broken, NotebookError::Unfit { .. }), "{broken:?}");
}

#[test]
fn every_kind_of_entry_that_the_core_knows_can_be_written() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let job = read_hole(book);
    let work = choose(book, &job.hole);
    work_through(book, &job, &work);
    let note = Note {
        text: "rusty".to_owned(),
    };
    let note = book.note_hole(job.hole.clone(), note).unwrap();
    book.strike(note, "not so rusty".to_owned()).unwrap();
    let card = book
        .add_insert_file("drawer.toml".to_owned(), CARD.to_owned())
        .unwrap();
    let mut written = kinds(book, &subjects(book, &job));
    written.insert(book.entry(card).unwrap().kind);
    let all: BTreeSet<String> = Kind::ALL.iter().map(Kind::to_string).collect();
    assert_eq!(written, all);
}

#[test]
fn two_answers_stand_until_a_person_settles_them() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let job = read_hole(book);
    book.damage(job.hole.clone(), worn(9.8), Vec::new())
        .unwrap();
    let hole = book.hole(job.hole.clone()).unwrap();
    assert!(hole.record.damage.differ && hole.record.damage.settled.is_none());
    let [question] = hole.standing.questions.as_slice() else {
        panic!("{:?}", hole.standing)
    };
    let fact = Fact::Damage;
    assert_eq!(question.about, QuestionAbout::SeveralAnswers { fact });
    assert_eq!(question.entries.len(), 2);
    let body = worn(9.8);
    book.settle(job.hole.clone(), Saying::Damage { body: body.clone() })
        .unwrap();
    let hole = book.hole(job.hole).unwrap();
    assert_eq!(hole.record.damage.settled, Some(body));
    assert!(hole.standing.questions.is_empty());
}

#[test]
fn photos_come_back_by_path() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let job = read_hole(book);
    let photo = book.photo(job.photo.clone()).unwrap();
    assert_eq!(photo.name.as_deref(), Some("barn.jpg"));
    assert_eq!(photo.marks.len(), 1);
    let original = book.photo_original(job.photo.clone()).unwrap();
    assert!(original.ends_with(&photo.hash));
    for file in [
        original,
        book.photo_view(job.photo.clone()).unwrap(),
        book.photo_thumbnail(job.photo.clone()).unwrap(),
    ] {
        assert!(std::fs::metadata(&file).unwrap().len() > 0, "{file}");
    }
    let mark = MarkBody {
        photo: job.photo,
        x_px: 1e9,
        y_px: 1.0,
    };
    let outside = book.mark(job.hole, mark, Vec::new()).unwrap_err();
    assert!(
        matches!(outside, NotebookError::Unfit { .. }),
        "{outside:?}"
    );
}

/// What an exchange with the shelf in a folder did, once it is over.
fn exchanged(book: &Notebook, shelf: &str) -> Result<ExchangeReport, NotebookError> {
    let path = shelf.to_owned();
    let run = book.begin_exchange(ExchangeWith::Folder { path })?;
    match run.result()?.remove(0) {
        ShelfOutcome::Done { report, .. } => Ok(report),
        failed @ ShelfOutcome::Failed { .. } => panic!("{failed:?}"),
    }
}

#[test]
fn two_notebooks_meet_over_a_folder_and_both_are_whole() {
    let (phone, bench) = (Desk::new(), Desk::new());
    let job = read_hole(&phone.notebook);
    let shelf = phone
        .dir
        .path()
        .join("shelf")
        .to_string_lossy()
        .into_owned();
    let left = exchanged(&phone.notebook, &shelf).unwrap();
    assert!(left.made_shelf && left.entries_left > 10 && left.photos_left == 1);
    let taken = exchanged(&bench.notebook, &shelf).unwrap();
    assert_eq!(taken.entries_taken, left.entries_left);
    assert_eq!(taken.photos_taken, 1);
    let there = bench.notebook.hole(job.hole.clone()).unwrap();
    assert_eq!(there.record, phone.notebook.hole(job.hole).unwrap().record);
    let report = bench.notebook.verify().unwrap();
    assert!(
        report.findings.is_empty() && report.photos == 1,
        "{report:?}"
    );
    assert!(bench.notebook.repair().unwrap().is_empty());
    let folder = bench.dir.path().join("notebook");
    let folder = folder.to_string_lossy().into_owned();
    let open = repair_notebook(folder.clone()).unwrap_err();
    assert!(
        matches!(open, NotebookError::OpenElsewhere { .. }),
        "{open}"
    );
    let list = bench.notebook.list().unwrap();
    assert_eq!(list[0].faces[0].holes.len(), 1);
}

#[test]
fn an_error_is_a_case_with_a_sentence() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let job = read_hole(book);
    let nameless = CastingBody {
        name: " ".to_owned(),
        note: None,
        metal: None,
    };
    let unknown = Wanted {
        thread: "3/8-17".to_owned(),
        bolt: None,
        through: None,
    };
    let zero = Reading {
        quantity: Quantity::Depth,
        value: mm(0.0),
        error: None,
        instrument: None,
    };
    let errors = [
        book.add_casting(nameless).err(),
        book.want(job.hole.clone(), unknown, Vec::new()).err(),
        book.read(job.hole, zero, Vec::new()).err(),
        book.hole(HoleId { id: "x".to_owned() }).err(),
        book.add_photo(job.face.clone(), "/nowhere.jpg".to_owned(), None)
            .err(),
        exchanged(book, "/nowhere/shelf").err(),
    ];
    let cases = errors.map(|error| {
        let error = error.unwrap();
        assert!(error.sentence().len() > 20 && !error.sentence().contains('\n'));
        match error {
            NotebookError::Unfit { .. } => "unfit",
            NotebookError::Unreadable { .. } => "unreadable",
            NotebookError::NoSuch { .. } => "no such",
            NotebookError::Photo { .. } => "photo",
            NotebookError::Shelf { .. } => "shelf",
            other => panic!("{other:?}"),
        }
    });
    assert_eq!(
        cases,
        ["unfit", "unreadable", "unfit", "no such", "photo", "shelf"]
    );
}
