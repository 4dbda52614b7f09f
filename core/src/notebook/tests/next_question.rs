//! The next question with its likely answers and tools.

use super::{Bench, wanted};
use crate::hole::damage::{Damage, HardZone, Span, Station};
use crate::hole::face_setup::{MeasuringTool, MeasuringTools};
use crate::hole::next_question::Topic;
use crate::hole::record::{Quantity, Reading, WantedThread};
use crate::hole::situation::situation_of;
use crate::length::Length;
use crate::notebook::{AskedQuestion, FaceId, HoleEntry, HoleId, Notebook, SetupChange};
use crate::strength::Grade;
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

fn tool(name: &str, tolerance: f64) -> MeasuringTool {
    MeasuringTool {
        name: name.into(),
        tolerance: Some(mm(tolerance)),
    }
}

/// A blind hole with a crater that is hard at the face, on a face whose tools are known.
fn crater(notebook: &Notebook, face: FaceId, hole: HoleId, tools: &[MeasuringTool]) {
    notebook.plan_face_cut(face, Length::ZERO, &[]).unwrap();
    let tools = SetupChange::Tools {
        in_use: MeasuringTools {
            tools: tools.to_vec(),
        },
        replaces: Vec::new(),
    };
    notebook.change_setup(face, &[tools]).unwrap();
    let HoleEntry::WantedThread(blind) = wanted("3/8-16") else {
        unreachable!()
    };
    let blind = WantedThread {
        through: Some(false),
        bolt: Some(Grade::Sae5),
        ..blind
    };
    let span = |to| Span {
        from: Length::ZERO,
        to: mm(to),
    };
    let crater = Damage {
        stations: vec![Station::of(span(7.62), mm(12.7), Length::ZERO, 0.0)],
        hard: vec![HardZone::from(span(3.175))],
        ..Damage::default()
    };
    let entries = [
        HoleEntry::WantedThread(blind),
        HoleEntry::Damage(crater),
        read(Quantity::Floor, 12.7),
    ];
    for entry in entries {
        notebook.record(hole, entry, &[]).unwrap();
    }
}

#[test]
fn a_depth_that_a_rule_may_not_decide_is_asked_with_the_closest_tool_at_hand() {
    let rule = tool("6 in rule", 0.8);
    for (tools, first, closer) in [
        (vec![rule.clone()], "6 in rule", false),
        (
            vec![rule, tool("caliper", 0.025), tool("depth gauge", 0.05)],
            "depth gauge",
            true,
        ),
    ] {
        let (bench, face, holes) = Bench::with_holes(1);
        crater(&bench.notebook, face, holes[0], &tools);
        let asked = ask(&bench.notebook, holes[0]).unwrap();
        assert_eq!(asked.question.topic, Topic::Measure(Quantity::Depth));
        assert_eq!(
            (asked.tools[0].name.as_str(), asked.closer_tool),
            (first, closer)
        );
    }
}

#[test]
fn a_distance_seen_to_be_enough_counts_until_it_is_measured() {
    let (bench, face, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    crater(notebook, face, hole, &[tool("depth gauge", 0.05)]);
    for entry in [
        read(Quantity::Depth, 25.4),
        read(Quantity::NearestEdge, 40.0),
    ] {
        notebook.record(hole, entry, &[]).unwrap();
    }
    let asked = ask(notebook, hole).unwrap();
    assert_eq!(asked.question.topic, Topic::Measure(Quantity::NearestHole));
    let seen = |value: Length| {
        HoleEntry::Reading(Reading {
            quantity: Quantity::NearestHole,
            value,
            tolerance: None,
            instrument: Some(Reading::AT_LEAST.to_owned()),
        })
    };
    let enough = asked.question.enough.unwrap();
    notebook.record(hole, seen(enough), &[]).unwrap();
    assert_ne!(topic(notebook, hole), Some(asked.question.topic));
    let situation = || {
        let view = notebook.hole(hole).unwrap();
        situation_of(&view.record, &view.face_record).unwrap()
    };
    assert_eq!(situation().nearest_hole, Some(enough));

    // Measured, it is no conflict with what was seen, and the measured distance counts.
    notebook
        .record(hole, read(Quantity::NearestHole, 80.0), &[])
        .unwrap();
    assert_eq!(situation().nearest_hole, Some(mm(79.95)));
    assert!(!notebook.hole(hole).unwrap().conflict);
    // What was seen is no tool to measure with.
    let tools = ask(notebook, hole).map_or_else(Vec::new, |asked| asked.tools);
    assert!(tools.iter().all(|tool| tool.name != Reading::AT_LEAST));
}
