//! Recording every step as planned, in order, leads to a passed hole.
#![allow(clippy::unwrap_used)]

use super::*;
use crate::hole::damage::{BrokenTool, Damage, HardZone};
use crate::hole::plan::Plan;
use crate::hole::record::{
    Choice, FaceCut, FaceMilled, FaceRecord, FactEntries, Quantity, RemedySpec,
};
use crate::hole::remedies::Assessment;
use crate::hole::stage::Stage;
use crate::hole::steps::Step;
use crate::hole::testing::*;
use crate::insert::Catalog;
use proptest::prelude::*;

/// A hole and its face.
#[derive(Debug, Clone)]
struct Job {
    record: HoleRecord,
    face: FaceRecord,
}

impl Job {
    fn plan(&self) -> Plan {
        Plan::of_chosen(&self.record, &self.face, Catalog::standard())
    }

    fn choose(&mut self, spec: RemedySpec) {
        self.record.choice = FactEntries(vec![recorded(Choice {
            spec,
            reason: Some("it is asked for".into()),
            basis: None,
        })]);
    }

    fn planned(
        &self,
        plan: &Plan,
        step: &Step,
        unit: Unit,
    ) -> Result<Vec<PlannedEntry>, NotAsPlanned> {
        plan.as_planned(&self.face, step.key, unit)
    }

    fn record(&mut self, entry: StepEntry) {
        let record = &mut self.record;
        match entry {
            StepEntry::Cut(body) => record.cuts.push(recorded(body)),
            StepEntry::TrialFit(body) => record.trial_fits.push(recorded(body)),
            StepEntry::Install(body) => record.installs.push(recorded(body)),
            StepEntry::StakeKeys(body) => record.stake_keys.push(recorded(body)),
            StepEntry::Check(body) => record.checks.push(recorded(body)),
            StepEntry::FinalCheck(body) => record.final_checks.push(recorded(body)),
        }
    }

    fn mill(&mut self) {
        let removed = self.face.left_to_remove().unwrap();
        self.face.milled.push(recorded(FaceMilled {
            removed,
            ..FaceMilled::default()
        }));
    }

    /// The broken piece is out, so the hole is described and its remedy chosen again.
    fn describe_again(&mut self) {
        let spec = self.record.choice.agreed().unwrap().spec.clone();
        let mut damage = self.record.damage.agreed().unwrap().clone();
        damage.broken_tool = None;
        self.record.damage = FactEntries(vec![recorded(damage)]);
        self.choose(spec);
    }

    /// Records the first open step as planned; returns it, or `None` if none is open.
    fn next(&mut self, unit: Unit) -> Option<StepKey> {
        let plan = self.plan();
        let step = plan.steps.iter().find(|step| step.done.is_none())?;
        let key = step.key;
        if step.key == StepKey::FaceCut {
            assert_eq!(self.planned(&plan, step, unit), Err(NotAsPlanned::FaceCut));
            self.mill();
            return Some(key);
        }
        let planned = self.planned(&plan, step, unit).unwrap();
        equals_what_is_shown(step, &planned, unit);
        self.record(planned[0].entry.clone());
        if step.key == StepKey::Cut(CutStep::ClearBroken) {
            self.describe_again();
        }
        Some(key)
    }
}

/// The lengths that are recorded are those that the step shows, digit by digit.
fn equals_what_is_shown(step: &Step, planned: &[PlannedEntry], unit: Unit) {
    let shown: Vec<String> = step
        .numbers
        .iter()
        .filter_map(|number| match &number.value {
            Value::Computed { length, rounding } => Some(length.rounded(unit, *rounding)),
            Value::Length(length) => Some(length.show(unit)),
            _ => None,
        })
        .collect();
    for planned in planned {
        let StepEntry::Cut(cut) = &planned.entry else {
            continue;
        };
        for length in [cut.depth, cut.diameter].into_iter().flatten() {
            let recorded = length.rounded(unit, crate::length::Rounding::Nearest);
            assert!(shown.contains(&recorded), "{recorded} in {shown:?}");
        }
    }
}

/// What a random hole is made of.
#[derive(Debug, Clone)]
struct Hole {
    thread: &'static str,
    through: bool,
    station: (f64, f64, f64),
    hard: bool,
    broken: Option<&'static str>,
    face_cut: f64,
    room: (f64, f64),
}

fn any_hole() -> impl Strategy<Value = Hole> {
    (
        prop::sample::select(vec!["3/8-16", "1/2-13", "5/16-18", "M10", "M12x1.75"]),
        any::<bool>(),
        (1.0..25.0, 0.9..1.7, 0.0..3.0),
        any::<bool>(),
        prop::sample::select(vec![None, None, Some("tap"), Some("bolt")]),
        prop::sample::select(vec![0.0, 0.508, 1.3]),
        (25.0..55.0, 6.0..30.0),
    )
        .prop_map(
            |(thread, through, station, hard, broken, face_cut, room)| Hole {
                thread,
                through,
                station,
                hard,
                broken,
                face_cut,
                room,
            },
        )
}

fn job(hole: &Hole) -> Job {
    let (to, wide, offset) = hole.station;
    let nominal = thread(hole.thread).nominal().mm();
    let mut missing = Damage {
        stations: vec![station(0.0, to, nominal * wide, offset, 40.0)],
        ..Damage::default()
    };
    if hole.hard {
        missing.hard = vec![HardZone {
            span: span(0.0, 4.0),
            tolerance: None,
        }];
    }
    missing.broken_tool = hole.broken.map(|what| BrokenTool {
        what: what.into(),
        length: Some(mm(8.0)),
        top: Some(mm(3.0)),
    });
    let mut wanted = wanted_thread(hole.thread);
    wanted.through = Some(hole.through);
    let (depth, floor) = hole.room;
    let planned = mm(hole.face_cut);
    Job {
        record: HoleRecord {
            wanted: FactEntries(vec![recorded(wanted)]),
            damage: FactEntries(vec![recorded(missing)]),
            readings: vec![
                reading(Quantity::Depth, depth),
                reading(Quantity::Floor, floor),
                reading(Quantity::NearestEdge, 40.0),
                reading(Quantity::NearestHole, 80.0),
            ],
            ..HoleRecord::default()
        },
        face: FaceRecord {
            planned_cut: FactEntries(vec![recorded(FaceCut::typed(planned))]),
            ..FaceRecord::default()
        },
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn every_step_as_planned_in_order_leads_to_passed(
        hole in any_hole(), inches in any::<bool>(),
    ) {
        let unit = if inches { Unit::Inch } else { Unit::Millimeter };
        let fresh = job(&hole);
        let all = Plan::of(&fresh.record, &fresh.face, Catalog::standard());
        for assessment in all.assessments {
            let mut job = fresh.clone();
            job.choose(assessment.spec());
            let steps = job.plan().steps.len();
            let mut done = Vec::new();
            while let Some(step) = job.next(unit) {
                done.push(step);
                // Removing a broken piece leads to new steps.
                prop_assert!(done.len() <= 2 * steps, "{:?}: {done:?}", assessment.spec());
            }
            let status = job.plan().status;
            prop_assert_eq!(&status.problems, &vec![], "{:?}", assessment.spec());
            prop_assert_eq!(status.stage, Stage::Passed, "{:?}", assessment.spec());
        }
    }

    #[test]
    fn milling_what_was_planned_changes_no_verdict(hole in any_hole()) {
        let mut job = job(&hole);
        let judged = |job: &Job| {
            let all = Plan::of(&job.record, &job.face, Catalog::standard()).assessments;
            let depth = |assessment: &Assessment| assessment.depths.and_then(|depths| depths.install_after_cut);
            all.iter().map(|each| (each.spec(), each.verdict, depth(each))).collect::<Vec<_>>()
        };
        let before = judged(&job);
        job.mill();
        prop_assert_eq!(judged(&job), before);
    }
}

fn loose() -> Job {
    let hole = Hole {
        thread: "3/8-16",
        through: false,
        station: (20.0, 1.0, 0.0),
        hard: false,
        broken: None,
        face_cut: 0.5,
        room: (34.0, 12.0),
    };
    let mut job = job(&hole);
    job.choose(thin_wall());
    job
}

fn step(job: &Job, key: StepKey) -> Result<Vec<PlannedEntry>, NotAsPlanned> {
    job.plan().as_planned(&job.face, key, Unit::Inch)
}

/// .560 in of full thread below the finished face (MS51835B), .020 in still to be milled off.
#[test]
fn a_tap_records_the_depth_from_the_face_as_is() {
    let mut job = loose();
    job.face.planned_cut = FactEntries(vec![recorded(FaceCut::typed(Length::from_fraction(
        20, 1000,
    )))]);
    let refused = step(&job, StepKey::Cut(CutStep::Tap)).unwrap_err();
    assert!(matches!(refused, NotAsPlanned::OutOfOrder(_)), "{refused}");
    assert!(job.next(Unit::Inch).is_some());
    let planned = step(&job, StepKey::Cut(CutStep::Tap)).unwrap();
    let StepEntry::Cut(cut) = &planned[0].entry else {
        panic!("{planned:?}")
    };
    assert_eq!(cut.depth, Some(Length::from_fraction(580, 1000)));
    assert!(cut.tool.as_deref().unwrap().contains("1/2-13"));
    let done = step(&job, StepKey::Cut(CutStep::Drill)).unwrap_err();
    assert_eq!(done, NotAsPlanned::Done(StepKey::Cut(CutStep::Drill)));
}

/// A wire insert takes as many taps as it has steps, the face cut among them.
#[test]
fn a_wire_insert_takes_one_tap_for_each_step() {
    let mut job = loose();
    let all = Plan::of(&job.record, &job.face, Catalog::standard());
    let wire = all
        .assessments
        .iter()
        .find(|one| one.remedy == Remedy::WireInsert);
    job.choose(wire.unwrap().spec());
    let steps: Vec<StepKey> = job.plan().steps.iter().map(|step| step.key).collect();
    let mut done = Vec::new();
    while let Some(step) = job.next(Unit::Inch) {
        done.push(step);
    }
    assert_eq!(done, steps);
    assert_eq!(job.plan().status.stage, Stage::Passed);
}

#[test]
fn nothing_is_invented_that_was_not_measured() {
    let mut job = loose();
    while job.next(Unit::Inch).is_some() {}
    let record = &job.record;
    assert!(
        record
            .installs
            .iter()
            .all(|one| one.body.below_face.is_none())
    );
    assert!(record.checks.iter().all(|one| one.body.reading.is_none()));
    let of = |one: &Recorded<FinalCheck>| (one.body.torque_nm, one.body.engaged);
    assert_eq!(of(&record.final_checks[0]), (None, None));
    assert_eq!(record.stake_keys[0].body.driven, 4);
}

#[test]
fn a_value_out_of_its_limits_is_measured_again_not_tapped_away() {
    let mut job = loose();
    while job
        .plan()
        .steps
        .iter()
        .any(|step| step.key == StepKey::Install && step.done.is_none())
    {
        assert!(job.next(Unit::Inch).is_some());
    }
    job.record.installs.clear();
    let mut proud = install(&thin_wall(), true, None);
    proud.body.below_face = Some(-mm(0.3));
    job.record.installs.push(proud);
    let refused = step(&job, StepKey::Install).unwrap_err();
    assert_eq!(refused, NotAsPlanned::Measure(StepKey::Install));
    assert!(refused.to_string().contains("; measure"), "{refused}");
}

#[test]
fn a_broken_piece_is_recorded_by_how_it_came_out() {
    let mut job = loose();
    let mut broken = job.record.damage.agreed().unwrap().clone();
    broken.broken_tool = Some(BrokenTool {
        what: "tap".into(),
        length: Some(mm(8.0)),
        top: Some(mm(3.0)),
    });
    job.record.damage = FactEntries(vec![recorded(broken)]);
    let ways = step(&job, StepKey::Cut(CutStep::ClearBroken)).unwrap();
    assert!(ways.len() > 1);
    for way in ways {
        assert!(matches!(
            way.entry,
            StepEntry::Cut(Cut {
                removal: Some(_),
                ..
            })
        ));
    }
}
