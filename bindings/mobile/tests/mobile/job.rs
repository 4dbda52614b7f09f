//! The main job by typed calls.

use crate::support::{Job, TestPhone, choose, finish, measured_hole, mm, record, thread, worn};
use holebook_core::notebook::EntryKind;
use holebook_mobile::*;
use std::collections::BTreeSet;

fn kinds(notebook: &Notebook, subjects: &[Subject]) -> BTreeSet<String> {
    let lines = subjects
        .iter()
        .flat_map(|subject| notebook.history(subject.clone(), 1000, None).unwrap());
    lines.map(|line| line.kind).collect()
}

fn subjects(notebook: &Notebook, job: &Job) -> [Subject; 5] {
    [
        Subject::Casting { id: job.casting },
        Subject::Face { id: job.face },
        Subject::Photo { id: job.photo },
        Subject::Hole { id: job.hole },
        Subject::Device {
            id: notebook.device().unwrap(),
        },
    ]
}

#[test]
fn loose_hole_goes_from_an_empty_notebook_to_the_final_check() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let plan = notebook.plan(job.hole).unwrap();
    assert_eq!((plan.next, plan.chosen), (NextAction::ChooseRemedy, None));
    let mut remedies = plan.remedies.iter();
    let refused = remedies.find(|remedy| remedy.assessment.verdict == Verdict::DoesNotFit);
    if let Some(remedy) = refused {
        let mut checks = remedy.assessment.checks.iter();
        let check = checks.find(|check| check.passes == Some(false)).unwrap();
        assert!(check.has.is_some() && check.needs.is_some() && !check.limit_from.is_empty());
        let mut reasons = remedy.reasons.iter();
        assert!(reasons.any(|reason| reason.contains(check.check)));
    }
    let spec = choose(notebook, job.hole);
    let steps = finish(notebook, &job, &spec);
    let of_it = [
        StepKey::TrialFit,
        StepKey::FaceCut,
        StepKey::Install,
        StepKey::StakeKeys,
    ];
    assert!(of_it.iter().all(|step| steps.contains(step)), "{steps:?}");
    let hole = notebook.hole(job.hole).unwrap();
    assert_eq!(hole.status.stage, Stage::Passed, "{:?}", hole.status);
    assert!(!hole.conflict);
    assert_eq!(notebook.plan(job.hole).unwrap().next, NextAction::Done);
    let sheet = notebook.sheet(job.face, LengthUnit::Inch).unwrap();
    assert!(sheet.contains("3/8-16 UNC") && sheet.contains("passed"));
    for kind in [SheetKind::Work, SheetKind::Record, SheetKind::Label] {
        let unit = LengthUnit::Inch;
        let pdf = notebook.sheet_pdf(job.face, kind, PaperSize::Letter, unit);
        assert!(pdf.unwrap().starts_with(b"%PDF-"));
    }
}

#[test]
fn a_notebook_is_exported_as_files_and_a_casting_as_a_page() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let folder = phone.dir.path().join("export");
    let to = folder.to_string_lossy().into_owned();
    let exported = notebook.export_files(to.clone(), false).unwrap();
    assert_eq!((exported.holes, exported.photos), (1, 1));
    let journal = std::fs::read_to_string(folder.join("journal.jsonl")).unwrap();
    assert_eq!(journal.lines().count() as u64, exported.entries);
    let again = notebook.export_files(to.clone(), false).unwrap_err();
    let problem = BundleProblem::Exists;
    assert!(matches!(again, NotebookError::Bundle { problem: found, .. } if found == problem));
    assert_eq!(notebook.export_files(to, true).unwrap(), exported);
    let page = notebook
        .casting_file(job.casting, LengthUnit::Inch)
        .unwrap();
    assert!(page.contains("data:image/jpeg;base64,") && page.contains("As found"));
}

#[test]
fn a_hole_is_worked_off_by_tool_runs_and_a_tap_is_undone() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    choose(notebook, job.hole);
    let unit = LengthUnit::Inch;
    for _ in 0..20 {
        let runs = notebook.tool_runs(job.face, unit).unwrap();
        let run = runs.runs.iter().find(|run| !run.ready.is_empty());
        let Some(ready) = run.and_then(|run| run.ready.first()) else {
            if runs.before_face_cut.is_empty() {
                break;
            }
            let removed = mm(0.5);
            let milled = FaceMilled {
                removed,
                ..FaceMilled::default()
            };
            notebook.record_face_milled(job.face, milled, None).unwrap();
            continue;
        };
        let step = ready.step.key;
        let ways = notebook.as_planned(job.hole, step, unit).unwrap();
        assert_eq!(ways, ready.ways);
        let key = || ways[0].key.clone();
        let first = notebook.record_as_planned(job.hole, step, unit, key());
        notebook.undo(first.unwrap()).unwrap();
        let again = notebook.record_as_planned(job.hole, step, unit, key());
        again.unwrap();
    }
    let status = notebook.hole(job.hole).unwrap().status;
    assert_eq!(status.stage, Stage::Passed, "{:?}", status.problems);
    let refused = notebook.as_planned(job.hole, StepKey::FinalCheck, unit);
    assert!(matches!(refused, Err(NotebookError::Invalid { .. })));
}

/// An invented insert sheet: a thin-wall insert for 3/8-16.
const CARD: &str = "unit = \"in\"\n[[insert]]\nfamily = \"key-locking insert, thin wall\"\ninternal = [\"3/8-16\"]\n\
    outside = \"1/2-13\"\nlength = 0.620\nhole = [0.452, 0.457]\nset_below = [0.01, 0.03]\nkeys = 4\nsource = \"card in the box\"\n";

#[test]
fn the_shops_own_inserts_are_offered_until_removed() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let own = || {
        let inserts = notebook.inserts(thread("3/8-16")).unwrap();
        let own = inserts
            .into_iter()
            .filter(|insert| insert.shop_file.is_some());
        own.map(|insert| insert.length).collect::<Vec<_>>()
    };
    assert!(own().is_empty());
    let name = "drawer.toml".to_owned();
    notebook
        .add_insert_file(name.clone(), CARD.to_owned())
        .unwrap();
    assert_eq!(own(), [parse_length(".620".to_owned(), None).unwrap()]);
    assert_eq!(notebook.insert_files().unwrap()[0].body.text, CARD);
    assert!(notebook.unread_insert_files().unwrap().is_empty());
    let reason = "given away".to_owned();
    assert_eq!(
        notebook.remove_insert_file(name.clone(), reason).unwrap(),
        1
    );
    assert!(own().is_empty());
    let broken = notebook
        .add_insert_file(name, "unit = \"ell\"".to_owned())
        .unwrap_err();
    assert!(
        matches!(broken, NotebookError::Invalid { .. }),
        "{broken:?}"
    );
}

#[test]
fn every_kind_of_entry_can_be_recorded() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let spec = choose(notebook, job.hole);
    finish(notebook, &job, &spec);
    let note = Note {
        text: "rusty".to_owned(),
    };
    let note = record(notebook, job.hole, HoleEntry::Note(note));
    notebook
        .strike_out(note, "not so rusty".to_owned())
        .unwrap();
    let card = notebook
        .add_insert_file("drawer.toml".to_owned(), CARD.to_owned())
        .unwrap();
    bolt_up(notebook, &job);
    let mut written = kinds(notebook, &subjects(notebook, &job));
    written.insert(notebook.entry(card).unwrap().kind);
    written.insert(remind(notebook, &job));
    set_up(notebook, &job);
    let mill = crate::face_places::record_places(notebook, &job);
    written.insert(notebook.entry(mill).unwrap().kind);
    let places = [
        Subject::Face { id: job.face },
        Subject::Photo { id: job.photo },
    ];
    written.extend(kinds(notebook, &places));
    let limits = notebook.limits().unwrap();
    let limits = notebook.set_limits(limits).unwrap();
    written.insert(notebook.entry(limits).unwrap().kind);
    let renewed = notebook.renew_tool("29/64 drill".to_owned()).unwrap();
    written.insert(notebook.entry(renewed).unwrap().kind);
    let set = notebook.add_item_set("letters".to_owned()).unwrap();
    written.insert(notebook.entry(set[0]).unwrap().kind);
    let all: BTreeSet<String> = EntryKind::ALL.iter().map(EntryKind::to_string).collect();
    assert_eq!(written, all);
}

/// The numbers of the joint: oiled bolts take less torque than dry ones, by the nut factors .15 and
/// .20 (common practice, no source); the passes are three and six tenths of it, a tenth either way.
fn joint_numbers(notebook: &Notebook, job: &Job) {
    let of = |lubrication| notebook.joint_plan(job.face, lubrication).unwrap();
    let (oiled, dry) = (of(Lubrication::Oiled), of(Lubrication::Dry));
    let [bolt] = &oiled.bolts[..] else {
        panic!("one bolt: {oiled:?}")
    };
    assert_eq!((bolt.hole, bolt.number), (job.hole, 1));
    let full = oiled.full.unwrap();
    assert_eq!(bolt.torque.unwrap().usual_nm_torque, full.nm_torque);
    assert_eq!(full.set_by, 1);
    let ratio = dry.full.unwrap().nm_torque / full.nm_torque;
    assert!((ratio - 0.20 / 0.15).abs() < 1e-9, "{ratio}");
    let first = oiled.passes[0];
    let shares = [
        (first.least_nm_torque, 0.27),
        (first.aim_nm_torque, 0.3),
        (first.most_nm_torque, 0.33),
    ];
    for (torque, share) in shares {
        assert!((torque / full.nm_torque - share).abs() < 1e-9, "{first:?}");
    }
    for joint in [&oiled, &dry] {
        let [lubricated] = &joint.by_lubrication[..] else {
            panic!("one lubrication: {joint:?}")
        };
        let recorded = (lubricated.lubrication, &lubricated.holes[..]);
        assert_eq!(recorded, (Lubrication::Dry, &[1][..]));
    }
    // 12.5 N·m in every pass, judged as recorded and not as asked for.
    let ranges = dry.passes.iter().filter(|pass| {
        let range = pass.least_nm_torque..=pass.most_nm_torque;
        pass.pass != BoltPass::WarmUp && !range.contains(&12.5)
    });
    let outside: Vec<BoltPass> = ranges.map(|pass| pass.pass).collect();
    assert!(!outside.is_empty());
    for joint in [&oiled, &dry] {
        let judged = joint.out_of_range.iter();
        assert!(judged.clone().all(|it| it.lubrication == Lubrication::Dry));
        assert!(judged.map(|it| it.pass).eq(outside.iter().copied()));
    }
    let weakest = oiled.weakest.unwrap();
    assert_eq!(
        (weakest.hole, Some(weakest.load)),
        (1, bolt.weakest.clone())
    );
}

/// Bolts up the job's joint of one hole, which a broken tap reopens.
fn bolt_up(notebook: &Notebook, job: &Job) {
    let state = notebook.bolt_up(job.face).unwrap();
    assert_eq!(
        (state.bolted_up, state.next),
        (false, Some(BoltPass::First))
    );
    for pass in [
        BoltPass::First,
        BoltPass::Second,
        BoltPass::Full,
        BoltPass::Again,
    ] {
        let tightened = BoltTightened {
            pass,
            torque_nm: Some(12.5),
            reason: None,
            lubrication: Some(Lubrication::Dry),
        };
        record(notebook, job.hole, HoleEntry::BoltTightened(tightened));
    }
    let state = notebook.bolt_up(job.face).unwrap();
    let done = state.bolts[0].done.iter();
    assert!(
        done.clone().count() == 4
            && done
                .clone()
                .all(|it| it.lubrication == Some(Lubrication::Dry))
    );
    assert!(state.bolted_up && !state.checked_warm);
    let order = notebook.tightening_order(job.face).unwrap();
    assert_eq!(order.holes, [job.hole]);
    joint_numbers(notebook, job);

    let minutes = 45;
    record(
        notebook,
        job.hole,
        HoleEntry::TimeSpent(TimeSpent { minutes }),
    );
    assert!(notebook.bolt_up(job.face).unwrap().bolted_up);
    let tried = Try {
        way: Some(Removal::Heat),
        note: None,
    };
    record(notebook, job.hole, HoleEntry::Try(tried));
    let broke = ToolTrouble {
        tool: "plug tap".to_owned(),
        trouble: Trouble::BrokeInHole,
    };
    record(notebook, job.hole, HoleEntry::ToolTrouble(broke));
    assert!(!notebook.bolt_up(job.face).unwrap().bolted_up);
    assert_ne!(notebook.hole(job.hole).unwrap().status.stage, Stage::Passed);
}

/// Records a reminder and finishes it; returns the kind of its entry.
fn remind(notebook: &Notebook, job: &Job) -> String {
    let reminder = ReminderBody {
        face: job.face,
        hole: None,
        text: "sealer has cured".to_owned(),
        due: None,
        done: false,
    };
    let reminder = notebook.remind(reminder).unwrap();
    assert_eq!(notebook.open_reminders().unwrap()[0].entry, reminder);
    let done = notebook.finish_reminder(reminder).unwrap();
    assert!(notebook.open_reminders().unwrap().is_empty());
    notebook.entry(done).unwrap().kind
}

/// Sets what the holes of the job's face have in common.
fn set_up(notebook: &Notebook, job: &Job) {
    let wanted = notebook.hole(job.hole).unwrap().record.wanted;
    let reading = Reading {
        quantity: Quantity::Grip,
        value: mm(22.0),
        tolerance: None,
        instrument: Some("caliper".to_owned()),
    };
    let caliper = MeasuringTool {
        name: "caliper".to_owned(),
        tolerance: Some(mm(0.02)),
    };
    let replaces = Vec::new;
    let changes = vec![
        SetupChange::Thread {
            usual: UsualThread {
                wanted: wanted.agreed().unwrap().clone(),
            },
            replaces: replaces(),
        },
        SetupChange::Reading {
            usual: UsualReading { reading },
            replaces: replaces(),
        },
        SetupChange::Tools {
            in_use: MeasuringTools {
                tools: vec![caliper],
            },
            replaces: replaces(),
        },
    ];
    let new = notebook.change_setup(job.face, changes).unwrap();
    assert_eq!(new.len(), 3);
}

#[test]
fn a_second_hole_and_a_second_face_take_over_the_setup() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    set_up(notebook, &job);
    let setup = notebook.face(job.face).unwrap().record.setup;
    assert_eq!(setup.readings[0].body.quantity, Quantity::Grip);
    let second = notebook.add_hole(job.face, None, None).unwrap();
    let third = notebook.add_hole(job.face, None, None).unwrap();
    let note = HoleEntry::Note(Note {
        text: "as its neighbor".to_owned(),
    });
    let entries = vec![ReplacingEntry {
        entry: note.clone(),
        replaces: Vec::new(),
    }];
    let holes = vec![second, third];
    assert_eq!(
        notebook
            .record_for(holes.clone(), note, Vec::new())
            .unwrap()
            .len(),
        2
    );
    assert_eq!(notebook.record_all_for(holes, entries).unwrap().len(), 2);
    let inherited = notebook.plan(second).unwrap().inherited;
    assert!(inherited.thread);
    assert_eq!(inherited.readings, [Quantity::Grip]);

    let body = FaceBody {
        casting: job.casting,
        name: "other side".to_owned(),
        note: None,
    };
    let other = notebook.add_face(body).unwrap();
    let offered = notebook.faces_with_setup().unwrap();
    assert_eq!(
        offered.iter().map(|face| face.id).collect::<Vec<_>>(),
        [job.face]
    );
    assert_eq!(notebook.copy_setup(job.face, other).unwrap().len(), 3);
    assert_eq!(notebook.faces_with_setup().unwrap().len(), 2);
}

#[test]
fn two_values_are_in_conflict_until_a_person_resolves_it() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    record(notebook, job.hole, HoleEntry::Damage(worn(9.8)));
    let hole = notebook.hole(job.hole).unwrap();
    assert!(hole.record.damage.differ() && hole.record.damage.agreed().is_none());
    let [conflict] = hole.status.conflicts.as_slice() else {
        panic!("{:?}", hole.status)
    };
    let Conflict::EntriesDiffer { fact, entries } = conflict else {
        panic!("{conflict:?}")
    };
    assert_eq!((*fact, entries.len()), (Fact::Damage, 2));
    assert!(conflict_sentence(conflict.clone()).unwrap().len() > 20);
    let body = worn(9.8);
    notebook
        .resolve(job.hole, HoleEntry::Damage(body.clone()))
        .unwrap();
    let hole = notebook.hole(job.hole).unwrap();
    assert_eq!(hole.record.damage.agreed(), Some(&body));
    assert!(hole.status.conflicts.is_empty());
}

#[test]
fn photos_come_back_by_path() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let photo = notebook.photo(job.photo).unwrap();
    assert_eq!(photo.name.as_deref(), Some("barn.jpg"));
    assert_eq!(photo.marks.len(), 1);
    let original = notebook.photo_original(job.photo).unwrap();
    assert!(original.ends_with(&photo.hash.to_string()));
    for file in [
        original,
        notebook.photo_view(job.photo).unwrap(),
        notebook.photo_thumbnail(job.photo).unwrap(),
    ] {
        assert!(std::fs::metadata(&file).unwrap().len() > 0, "{file}");
    }
    let mark = MarkBody {
        photo: job.photo,
        x_px: 1e9,
        y_px: 1.0,
        rim_radius_px: None,
    };
    let outside = notebook.mark(job.hole, mark, Vec::new()).unwrap_err();
    assert!(
        matches!(outside, NotebookError::Invalid { .. }),
        "{outside:?}"
    );
}

/// Syncs with a folder, and returns the report.
fn synced(notebook: &Notebook, remote: &str) -> Result<SyncReport, NotebookError> {
    let path = remote.to_owned();
    let run = notebook.start_sync(SyncTarget::Folder { path })?;
    match run.result()?.remove(0) {
        RemoteOutcome::Done { report, .. } => Ok(report),
        failed @ RemoteOutcome::Failed { .. } => panic!("{failed:?}"),
    }
}

#[test]
fn two_notebooks_sync_by_a_folder_and_stay_valid() {
    let (phone, bench) = (TestPhone::new(), TestPhone::new());
    let job = measured_hole(&phone.notebook);
    let remote = phone
        .dir
        .path()
        .join("remote")
        .to_string_lossy()
        .into_owned();
    let left = synced(&phone.notebook, &remote).unwrap();
    assert!(left.created_remote && left.entries_pushed > 10 && left.photos_pushed == 1);
    let taken = synced(&bench.notebook, &remote).unwrap();
    assert_eq!(taken.entries_pulled, left.entries_pushed);
    assert_eq!(taken.photos_pulled, 1);
    let there = bench.notebook.hole(job.hole).unwrap();
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
fn every_error_has_a_case_and_a_sentence() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let nameless = CastingBody {
        name: " ".to_owned(),
        note: None,
        metal: None,
    };
    let zero = Reading {
        quantity: Quantity::Depth,
        value: mm(0.0),
        tolerance: None,
        instrument: None,
    };
    let nowhere = "/nowhere.jpg".to_owned();
    let errors = [
        notebook.add_casting(nameless).err(),
        notebook
            .record(job.hole, HoleEntry::Reading(zero), Vec::new())
            .err(),
        notebook.hole(HoleId::fresh()).err(),
        notebook.add_photo(job.face, nowhere, None).err(),
        synced(notebook, "/nowhere/remote").err(),
    ];
    let cases = errors.map(|error| {
        let error = error.unwrap();
        assert!(error.to_string().len() > 20 && !error.to_string().contains('\n'));
        match error {
            NotebookError::Invalid { .. } => "invalid",
            NotebookError::NoSuch { .. } => "no such",
            NotebookError::Photo { .. } => "photo",
            NotebookError::Remote { .. } => "remote",
            other => panic!("{other:?}"),
        }
    });
    assert_eq!(cases, ["invalid", "invalid", "no such", "photo", "remote"]);
}

#[test]
fn next_question_has_the_likely_answer_of_the_hole_beside_it() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    assert_eq!(notebook.next_question(job.hole, vec![]).unwrap(), None);
    let beside = notebook.add_hole(job.face, None, None).unwrap();
    let asked = notebook.next_question(beside, vec![]).unwrap().unwrap();
    assert_eq!(asked.question.topic, Topic::Thread);
    assert!(topic_sentence(Topic::Thread).unwrap().contains("bolt"));
    let likely = asked.likely[0].entry.clone();
    record(notebook, beside, likely);
    let asked = notebook.next_question(beside, vec![]).unwrap().unwrap();
    assert_eq!(asked.question.topic, Topic::Damage);
    let skipped = notebook.next_question(beside, vec![Topic::Damage]).unwrap();
    assert_eq!(skipped, None);
}
