//! The next question with its likely answers and tools.

use super::{Bench, wanted};
use crate::hole::damage::{Damage, Span, Station};
use crate::hole::next_question::Topic;
use crate::hole::record::{Quantity, Reading, WantedThread};
use crate::length::Length;
use crate::notebook::{AskedQuestion, HoleEntry, HoleId, Notebook};
use std::collections::BTreeSet;

fn mm(mm: f64) -> Length {
    Length::from_mm(mm).unwrap()
}

fn ask(notebook: &Notebook, hole: HoleId) -> Option<AskedQuestion> {
    notebook.next_question(hole, &BTreeSet::new()).unwrap()
}

fn topic(notebook: &Notebook, hole: HoleId) -> Option<Topic> {
    ask(notebook, hole).map(|asked| asked.question.topic)
}

fn stripped() -> HoleEntry {
    let span = Span {
        from: Length::ZERO,
        to: mm(20.0),
    };
    HoleEntry::Damage(Damage {
        stations: vec![Station::of(span, mm(9.4), Length::ZERO, 0.0)],
        ..Damage::default()
    })
}

fn read(quantity: Quantity, value: f64) -> HoleEntry {
    HoleEntry::Reading(Reading {
        quantity,
        value: mm(value),
        tolerance: Some(mm(0.05)),
        instrument: Some("depth micrometer".into()),
    })
}

#[test]
fn the_hole_beside_it_gives_likely_answers_and_the_tool() {
    let (bench, face, holes) = Bench::with_holes(2);
    let notebook = &bench.notebook;
    let (one, other) = (holes[0], holes[1]);
    notebook.plan_face_cut(face, Length::ZERO, &[]).unwrap();
    for entry in [wanted("3/8-16"), stripped(), read(Quantity::Depth, 34.0)] {
        notebook.record(one, entry, &[]).unwrap();
    }
    let asked = ask(notebook, other).unwrap();
    assert_eq!(asked.question.topic, Topic::Thread);
    assert_eq!(asked.likely[0].number, 1);
    assert_eq!(asked.likely[0].entry, wanted("3/8-16"));
    assert!(asked.tools.is_empty());

    // Recording the likely answers leads on to the next question.
    notebook
        .record(other, asked.likely[0].entry.clone(), &[])
        .unwrap();
    assert_eq!(topic(notebook, other), Some(Topic::Damage));
    notebook.record(other, stripped(), &[]).unwrap();
    let asked = ask(notebook, other).unwrap();
    assert_eq!(asked.question.topic, Topic::Measure(Quantity::Depth));
    assert_eq!(asked.tools[0].name, "depth micrometer");
    assert_eq!(asked.tools[0].tolerance, Some(mm(0.05)));
    let HoleEntry::Reading(likely) = &asked.likely[0].entry else {
        panic!("{:?}", asked.likely)
    };
    assert_eq!(likely.value, mm(34.0));
    // It says that nobody measured it here, and that is no tool to be offered.
    let instrument = likely.instrument.as_deref();
    assert_eq!(instrument, Some("not measured, as hole 1"));
    notebook
        .record(other, asked.likely[0].entry.clone(), &[])
        .unwrap();
    let asked = ask(notebook, other).unwrap();
    assert_eq!(asked.question.topic, Topic::Measure(Quantity::NearestEdge));
    assert_eq!(asked.tools[0].name, "6 in rule");
    assert!(
        asked
            .tools
            .iter()
            .all(|tool| !tool.name.contains("not measured"))
    );
    assert!(asked.likely.is_empty());
}

#[test]
fn an_answer_replaces_the_coarse_reading() {
    let (bench, face, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    notebook.plan_face_cut(face, Length::ZERO, &[]).unwrap();
    let HoleEntry::WantedThread(blind) = wanted("3/8-16") else {
        unreachable!()
    };
    let blind = WantedThread {
        through: Some(false),
        ..blind
    };
    for entry in [
        HoleEntry::WantedThread(blind),
        stripped(),
        read(Quantity::Depth, 34.0),
        read(Quantity::NearestHole, 60.0),
    ] {
        notebook.record(hole, entry, &[]).unwrap();
    }
    let coarse = HoleEntry::Reading(Reading {
        quantity: Quantity::NearestEdge,
        value: mm(8.6),
        tolerance: Some(mm(2.0)),
        instrument: Some("6 in rule".into()),
    });
    notebook.record(hole, coarse, &[]).unwrap();
    let asked = ask(notebook, hole).unwrap();
    assert_eq!(asked.question.topic, Topic::Measure(Quantity::NearestEdge));
    assert_eq!(asked.replaces.len(), 1);
    // The rule, which was too coarse, is no longer the likely tool.
    let measure_to = asked.question.measure_to.unwrap();
    assert!(asked.tools[0].tolerance.unwrap() <= measure_to);
    let close = read(Quantity::NearestEdge, 8.6);
    notebook.record(hole, close, &asked.replaces).unwrap();
    assert_ne!(topic(notebook, hole), Some(asked.question.topic));
    let skipped: BTreeSet<Topic> = Topic::ALL.into();
    assert_eq!(notebook.next_question(hole, &skipped).unwrap(), None);
}
