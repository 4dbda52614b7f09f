//! The normal course of work, and the rules at each step.

use super::*;
use crate::drill::{DrillKind, DrillKinds};
use crate::hole::record::{FaceMilled, Note};
use crate::hole::stage::Stage;
use crate::notebook::{EntryId, NotebookError, Settings};
use std::sync::Arc;

#[test]
fn a_hole_is_measured_and_found_again_after_reopening() {
    let (bench, face, holes) = Bench::with_holes(3);
    bench
        .notebook
        .record(holes[1], wanted("3/8-16"), &[])
        .unwrap();
    bench
        .notebook
        .record(holes[1], depth_of(32.0), &[])
        .unwrap();
    let before = bench.notebook.hole(holes[1]).unwrap();
    drop(bench.notebook);

    let notebook = Notebook::open(bench.dir.path()).unwrap();
    let hole = notebook.hole(holes[1]).unwrap();
    assert_eq!(hole, before);
    assert_eq!(
        (hole.number, hole.previous, hole.next),
        (2, Some(holes[0]), Some(holes[2]))
    );
    assert_eq!(hole.status.stage, Stage::Measured);
    assert_eq!(hole.casting_name, "pump end");
    let view = notebook.face(face).unwrap();
    assert_eq!(view.holes[1].thread, Some(Thread::parse("3/8-16").unwrap()));
    assert_eq!(view.holes[1].stage, Stage::Measured);
    let castings = notebook.castings().unwrap();
    assert_eq!(castings[0].faces, 1);
    assert_eq!(castings[0].holes.total(), 3);
    assert_eq!(castings[0].holes.of(Stage::Measured), 1);
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn a_fact_recorded_on_an_old_page_is_in_conflict_with_the_one_recorded_meanwhile() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let first = notebook.record(hole, wanted("3/8-16"), &[]).unwrap();
    let second = notebook.record(hole, wanted("M10"), &[first]).unwrap();
    assert!(!notebook.hole(hole).unwrap().conflict);
    let third = notebook.record(hole, wanted("1/2-13"), &[first]).unwrap();

    let view = notebook.hole(hole).unwrap();
    let active: Vec<_> = view
        .record
        .wanted
        .0
        .iter()
        .map(|entry| entry.entry)
        .collect();
    assert_eq!(active, [second, third]);
    assert!(view.conflict && view.record.wanted.differ());
    assert_eq!(
        notebook.castings().unwrap()[0].holes.conflicts,
        1,
        "the list says so too"
    );

    notebook.resolve(hole, wanted("3/8-16")).unwrap();
    let view = notebook.hole(hole).unwrap();
    assert!(!view.conflict);
    assert_eq!(view.record.wanted.0.len(), 1);
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn two_entries_with_the_same_value_are_no_conflict() {
    let (bench, _, holes) = Bench::with_holes(1);
    bench
        .notebook
        .record(holes[0], wanted("3/8-16"), &[])
        .unwrap();
    bench
        .notebook
        .record(holes[0], wanted("3/8-16 UNC"), &[])
        .unwrap();
    assert!(!bench.notebook.hole(holes[0]).unwrap().conflict);
}

#[test]
fn an_entry_that_is_struck_out_no_longer_counts_and_stays_readable() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let reading = notebook.record(hole, depth_of(320.0), &[]).unwrap();
    let strike = notebook.strike_out(reading, "slipped a digit").unwrap();
    assert!(notebook.hole(hole).unwrap().record.readings.is_empty());
    let line = notebook.entry(reading).unwrap();
    assert_eq!(line.struck_out_by.unwrap().reason, "slipped a digit");
    assert_eq!(line.body["value_mm"], 320.0);
    let history = notebook.history(hole.into(), 10, None).unwrap();
    let ids: Vec<_> = history.iter().map(|line| line.entry).collect();
    assert_eq!(ids[..2], [strike, reading]);
    let older = notebook.history(hole.into(), 10, Some(reading)).unwrap();
    assert_eq!(older.len(), 1);

    let again = notebook.strike_out(reading, "again").unwrap_err();
    assert!(matches!(again, NotebookError::Invalid(_)), "{again}");
    let strike = notebook.strike_out(strike, "no").unwrap_err();
    assert!(matches!(strike, NotebookError::Invalid(_)), "{strike}");
}

#[test]
fn striking_out_an_entry_brings_back_the_one_it_replaced_but_not_the_one_before_that() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let a = notebook.record(hole, wanted("3/8-16"), &[]).unwrap();
    let b = notebook.record(hole, wanted("M10"), &[a]).unwrap();
    let c = notebook.record(hole, wanted("1/2-13"), &[b]).unwrap();
    let active = || -> Vec<EntryId> {
        let wanted = notebook.hole(hole).unwrap().record.wanted;
        wanted.0.iter().map(|entry| entry.entry).collect()
    };
    notebook.strike_out(b, "wrong hole").unwrap();
    assert_eq!(active(), [c]);
    notebook.strike_out(c, "wrong hole too").unwrap();
    assert_eq!(active(), [a]);
}

#[test]
fn a_reading_taken_again_replaces_the_first() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let first = notebook.record(hole, depth_of(31.0), &[]).unwrap();
    let again = notebook.record(hole, depth_of(31.2), &[first]).unwrap();
    let readings = notebook.hole(hole).unwrap().record.readings;
    assert_eq!(readings.len(), 1);
    assert_eq!(readings[0].entry, again);
    assert!(notebook.entry(first).unwrap().replaced);
}

#[test]
fn a_hole_that_is_struck_out_leaves_its_face() {
    let (bench, face, holes) = Bench::with_holes(2);
    let entry = bench.notebook.hole(holes[0]).unwrap().placement.0[0].entry;
    bench
        .notebook
        .strike_out(entry, "a blemish, no hole")
        .unwrap();
    assert_eq!(bench.notebook.face(face).unwrap().holes.len(), 1);
    let gone = bench.notebook.hole(holes[0]).unwrap_err();
    assert!(
        matches!(gone, NotebookError::NoSuch { what: "hole", .. }),
        "{gone}"
    );
    let refused = bench.notebook.record(holes[0], depth_of(3.0), &[]);
    assert!(matches!(refused, Err(NotebookError::NoSuch { .. })));
}

#[test]
fn the_planned_face_cut_and_the_stock_removed_are_in_the_hole_s_view() {
    let (bench, face, holes) = Bench::with_holes(1);
    let half = Length::from_mm(0.5).unwrap();
    let first = bench.notebook.plan_face_cut(face, half, &[]).unwrap();
    bench
        .notebook
        .plan_face_cut(face, Length::ZERO, &[first])
        .unwrap();
    let milled = FaceMilled {
        removed: half,
        ..FaceMilled::default()
    };
    bench
        .notebook
        .record_face_milled(face, &milled, None)
        .unwrap();
    let hole = bench.notebook.hole(holes[0]).unwrap();
    let planned = hole.face_record.planned_cut.agreed().unwrap();
    assert_eq!(planned.planned, Length::ZERO);
    assert_eq!(hole.face_record.milled[0].body, milled);
    let list = serde_json::to_value(bench.notebook.list().unwrap()).unwrap();
    assert_eq!(list["castings"][0]["faces"][0]["face_cut_mm"], 0.0);
    assert_eq!(
        list["castings"][0]["faces"][0]["holes"][0]["stage"],
        "not measured"
    );
}

#[test]
fn invalid_input_is_refused_and_changes_nothing() {
    let (bench, face, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let before = lines(notebook);
    let mut refusals = vec![
        notebook.record(hole, depth_of(0.0), &[]).unwrap_err(),
        notebook.record(hole, depth_of(-3.0), &[]).unwrap_err(),
        notebook
            .record(hole, HoleEntry::Note(Note { text: " ".into() }), &[])
            .unwrap_err(),
        notebook
            .plan_face_cut(face, -Length::from_nm(1), &[])
            .unwrap_err(),
        notebook.add_hole(face, Some(0), None).unwrap_err(),
        notebook.strike_out(EntryId::fresh(), "gone").unwrap_err(),
        notebook
            .record(hole, depth_of(3.0), &[EntryId::fresh()])
            .unwrap_err(),
        notebook
            .mark(hole, crate::notebook::PhotoId::fresh(), 1.0, 1.0, &[])
            .unwrap_err(),
    ];
    let of_another_kind = notebook.hole(hole).unwrap().placement.0[0].entry;
    refusals.push(
        notebook
            .record(hole, depth_of(3.0), &[of_another_kind])
            .unwrap_err(),
    );
    for refusal in refusals {
        let sentence = refusal.to_string();
        assert!(sentence.contains("; "), "says what to do: {sentence}");
        assert!(!sentence.contains('\n'));
    }
    assert_eq!(lines(notebook), before);
}

#[test]
fn entries_carry_the_person_and_the_device_s_name_is_recorded() {
    let (bench, _, holes) = Bench::with_holes(1);
    let settings = Settings {
        person: "Ada".into(),
        device_name: "bench".into(),
        drill_kinds: Some(DrillKinds::of(&[DrillKind::Fractional, DrillKind::Number])),
        ..bench.notebook.settings().unwrap()
    };
    assert_eq!(bench.notebook.settings().unwrap().drill_kinds, None);
    bench.notebook.set_settings(&settings).unwrap();
    bench.notebook.set_settings(&settings).unwrap();
    let entry = bench.notebook.record(holes[0], depth_of(9.0), &[]).unwrap();
    let line = bench.notebook.entry(entry).unwrap();
    assert_eq!(line.by, "Ada");
    assert_eq!(line.device_name.as_deref(), Some("bench"));
    let recorded = lines(&bench.notebook);
    let recorded = recorded.iter().filter(|line| line.entry().kind == "device");
    assert_eq!(recorded.count(), 1, "the same name is recorded once");
    assert_eq!(bench.notebook.settings().unwrap(), settings);
}

#[test]
fn sequence_numbers_have_no_gaps_where_several_threads_and_connections_write() {
    let (bench, _, holes) = Bench::with_holes(1);
    let second = Arc::new(Notebook::open(bench.dir.path()).unwrap());
    let first = Arc::new(bench.notebook);
    let writers: Vec<_> = (0..4)
        .map(|at| {
            let notebook = Arc::clone(if at % 2 == 0 { &first } else { &second });
            let hole = holes[0];
            std::thread::spawn(move || {
                for mm in 1..=25 {
                    notebook.record(hole, depth_of(f64::from(mm)), &[]).unwrap();
                }
            })
        })
        .collect();
    writers
        .into_iter()
        .for_each(|writer| writer.join().unwrap());
    let seqs: Vec<u64> = lines(&first).iter().map(|line| line.entry().seq).collect();
    assert_eq!(seqs, (1..=103).collect::<Vec<u64>>());
    assert_eq!(second.hole(holes[0]).unwrap().record.readings.len(), 100);
    assert!(first.verify().unwrap().is_ok());
}

#[test]
fn several_readings_are_recorded_all_or_none() {
    let (bench, _, holes) = Bench::with_holes(1);
    let before = lines(&bench.notebook);
    let reading = |quantity, mm: f64| {
        HoleEntry::Reading(Reading {
            quantity,
            value: Length::from_mm(mm).unwrap(),
            tolerance: None,
            instrument: None,
        })
    };
    let wrong = [
        reading(Quantity::Depth, 30.0),
        reading(Quantity::Floor, 0.0),
    ];
    assert!(bench.notebook.record_all(holes[0], &wrong).is_err());
    assert_eq!(lines(&bench.notebook), before);
    let right = [
        reading(Quantity::Depth, 30.0),
        reading(Quantity::Floor, 9.0),
    ];
    assert_eq!(
        bench.notebook.record_all(holes[0], &right).unwrap().len(),
        2
    );
}

#[test]
fn one_entry_for_many_holes_is_recorded_for_all_or_none() {
    let (bench, _, holes) = Bench::with_holes(4);
    let notebook = &bench.notebook;
    let thread_of = |hole| {
        let wanted = notebook.hole(hole).unwrap().record.wanted;
        let entries = wanted.0.iter();
        entries
            .map(|entry| entry.body.thread.designation())
            .collect::<Vec<_>>()
    };
    let shown = notebook.record(holes[0], wanted("M10"), &[]).unwrap();
    let unseen = notebook.record(holes[1], wanted("M8"), &[]).unwrap();

    // A hole that is named twice gets one entry, and what was shown is replaced.
    let three = [holes[0], holes[1], holes[2], holes[0]];
    let new = notebook.record_for(&three, &wanted("3/8-16"), &[shown]);
    assert_eq!(new.unwrap().len(), 3);
    assert_eq!(thread_of(holes[0]), ["3/8-16 UNC"]);
    assert_eq!(thread_of(holes[1]), ["M8x1.25", "3/8-16 UNC"], "a conflict");
    assert_eq!(thread_of(holes[2]), ["3/8-16 UNC"]);
    assert!(thread_of(holes[3]).is_empty());
    assert!(notebook.verify().unwrap().is_ok());

    // An unknown hole, an entry about another hole, and an entry of another kind: nothing is kept.
    let before = lines(notebook);
    let depth = notebook.record(holes[3], depth_of(30.0), &[]).unwrap();
    let after_depth = lines(notebook);
    assert_eq!(after_depth.len(), before.len() + 1);
    let wrong = [
        (vec![holes[2], HoleId::fresh()], vec![]),
        (vec![holes[2]], vec![unseen]),
        (vec![holes[3]], vec![depth]),
        (vec![holes[3]], vec![crate::notebook::EntryId::fresh()]),
    ];
    for (holes, replaces) in wrong {
        let refused = notebook.record_for(&holes, &wanted("1/2-13"), &replaces);
        assert!(refused.is_err());
        assert_eq!(lines(notebook), after_depth);
    }
    assert!(
        notebook
            .record_for(&[], &wanted("M10"), &[])
            .unwrap()
            .is_empty()
    );
}
