#![allow(clippy::unwrap_used)]

mod histories;
mod reopening;

use super::super::condition::{Condition, FirstLook};
use super::super::next::NextAction;
use super::super::plan::Plan;
use super::super::record::*;
use super::super::testing::*;
use super::*;
use crate::length::Length;

/// A hole and its face, with entries added in the order of the work.
#[derive(Clone, Default)]
struct Job {
    record: HoleRecord,
    face: FaceRecord,
}

impl Job {
    /// A loose 3/8-16 hole, with .5 mm to come off its face.
    fn loose() -> Job {
        let mut job = Job::default();
        job.plan_cut(0.5);
        job.record.wanted = FactEntries(vec![recorded(wanted_thread("3/8-16"))]);
        job.record.readings = vec![
            reading(Quantity::Depth, 34.0),
            reading(Quantity::Floor, 12.0),
            reading(Quantity::NearestEdge, 30.0),
            reading(Quantity::NearestHole, 60.0),
        ];
        let stripped = station(0.0, 20.0, 9.4, 0.0, 0.0);
        job.record.damage = FactEntries(vec![recorded(damage(vec![stripped]))]);
        job
    }

    /// The same, worked on with a thin-wall insert up to the trial fit.
    fn trial_fitted() -> Job {
        let mut job = Job::loose();
        job.record.choice = choice(thin_wall());
        job.cut(CutStep::Drill, 26.0);
        job.cut(CutStep::Tap, 16.0);
        job.record.trial_fits.push(trial_fit(&thin_wall(), true));
        job
    }

    /// The same, with the face cut, and the insert in and checked.
    fn checked() -> Job {
        let mut job = Job::trial_fitted();
        job.mill(0.5);
        job.install(0.5);
        job.stake_and_check();
        job
    }

    /// The same, passed.
    fn passed() -> Job {
        let mut job = Job::checked();
        job.record
            .final_checks
            .push(final_check(&thin_wall(), true));
        assert_eq!(job.stage(), Stage::Passed, "{:?}", job.status());
        job
    }

    fn plan_cut(&mut self, planned: f64) {
        let planned = mm(planned);
        self.face.planned_cut = FactEntries(vec![recorded(FaceCut::typed(planned))]);
    }

    fn mill(&mut self, removed: f64) {
        self.face.milled.push(recorded(FaceMilled {
            removed: mm(removed),
            ..FaceMilled::default()
        }));
    }

    fn cut(&mut self, step: CutStep, depth: f64) {
        let mut cut = cut(&thin_wall(), step);
        cut.body.depth = Some(mm(depth));
        self.record.cuts.push(cut);
    }

    fn install(&mut self, below: f64) {
        let mut install = install(&thin_wall(), true, None);
        install.body.below_face = Some(mm(below));
        self.record.installs.push(install);
    }

    fn stake_and_check(&mut self) {
        self.record.stake_keys.push(stake_keys(&thin_wall()));
        for kind in CheckKind::ALL {
            self.record.checks.push(check(kind, true));
        }
    }

    fn status(&self) -> HoleStatus {
        hole_status(&self.record, &self.face, Catalog::standard())
    }

    fn stage(&self) -> Stage {
        self.status().stage
    }

    /// The sentences of the open problems.
    fn problems(&self) -> Vec<String> {
        let problems = self.status().problems;
        problems.iter().map(Problem::to_string).collect()
    }
}

fn hole_status_of(record: &HoleRecord) -> HoleStatus {
    hole_status(record, &FaceRecord::default(), Catalog::standard())
}

fn stage(record: &HoleRecord) -> Stage {
    hole_status_of(record).stage
}

fn only_conflict(record: &HoleRecord) -> Conflict {
    let conflicts = hole_status_of(record).conflicts;
    assert_eq!(conflicts.len(), 1, "{conflicts:?}");
    let message = conflicts[0].to_string();
    assert!(!message.contains('\n') && message.len() > 20, "{message}");
    conflicts[0].clone()
}

#[test]
fn an_insert_goes_through_every_stage() {
    let mut job = Job::default();
    assert_eq!(job.stage(), Stage::NotMeasured);
    job.record.wanted = FactEntries(vec![recorded(wanted_thread("3/8-16"))]);
    assert_eq!(job.stage(), Stage::NotMeasured);
    job = Job::loose();
    assert_eq!(job.stage(), Stage::Measured);
    job.record.choice = choice(thin_wall());
    assert_eq!(job.stage(), Stage::Planned);
    job.cut(CutStep::Drill, 24.5);
    assert_eq!(job.stage(), Stage::Planned);
    job.cut(CutStep::Tap, 15.0);
    assert_eq!(job.stage(), Stage::Cut);
    job.record.trial_fits.push(trial_fit(&thin_wall(), true));
    assert_eq!(job.stage(), Stage::TrialFitted);
    job.mill(0.5);
    job.install(0.5);
    assert_eq!(job.stage(), Stage::Installed);
    job.stake_and_check();
    assert_eq!(job.stage(), Stage::Installed);
    job.record
        .final_checks
        .push(final_check(&thin_wall(), true));
    let status = job.status();
    assert_eq!(status.stage, Stage::Passed);
    assert_eq!((status.conflicts, status.problems), (vec![], vec![]));
}

#[test]
fn a_sound_hole_goes_from_measured_to_passed() {
    let mut job = Job::loose();
    job.record.damage = FactEntries(vec![recorded(damage(vec![]))]);
    assert_eq!(job.stage(), Stage::Measured);
    let sound = plain_spec(Remedy::Leave);
    job.record.final_checks.push(final_check(&sound, true));
    // The face is not cut yet.
    assert_eq!(job.stage(), Stage::Measured);
    assert_eq!(
        job.problems(),
        ["the final check is recorded, but the face cut is open: record it, then check again"]
    );
    job.plan_cut(0.0);
    assert_eq!(job.stage(), Stage::Passed);
    job.record.choice = choice(sound.clone());
    job.record.final_checks = vec![final_check(&sound, true)];
    assert_eq!(job.stage(), Stage::Passed);
    assert_eq!(
        Stage::path(Some(Remedy::Leave)),
        &[Stage::NotMeasured, Stage::Measured, Stage::Passed]
    );
}

fn look(condition: Condition) -> FactEntries<FirstLook> {
    FactEntries(vec![recorded(FirstLook { condition })])
}

/// A hole with a thread and a first look, and nothing else.
fn looked_at(condition: Condition) -> Job {
    let mut job = Job::default();
    job.plan_cut(0.0);
    job.record.wanted = FactEntries(vec![recorded(wanted_thread("3/8-16"))]);
    job.record.condition = look(condition);
    job
}

#[test]
fn a_first_look_measures_nothing() {
    for condition in Condition::ALL {
        let mut job = looked_at(condition);
        assert_eq!(job.stage(), Stage::NotMeasured, "{condition}");
        job.record.choice = choice(plain_spec(Remedy::Leave));
        assert_eq!(job.stage(), Stage::NotMeasured, "{condition}");
    }
}

#[test]
fn a_hole_graded_sound_is_left_and_passed_by_its_check() {
    let mut job = looked_at(Condition::Sound);
    let next = |job: &Job| Plan::of(&job.record, &job.face, Catalog::standard()).next;
    assert_eq!(next(&job), NextAction::ChooseRemedy);
    job.record.choice = choice(plain_spec(Remedy::Leave));
    let NextAction::Step { step, .. } = next(&job) else {
        panic!("{:?}", next(&job))
    };
    assert_eq!(step, StepKey::FinalCheck);
    let check = final_check(&plain_spec(Remedy::Leave), true);
    job.record.final_checks.push(check);
    assert_eq!(next(&job), NextAction::Done);
    job.record.condition = look(Condition::Loose);
    assert_eq!(job.stage(), Stage::NotMeasured);
    let said = job.problems().join("; ");
    assert!(
        said.contains("\"loose\"") && said.contains("the condition was recorded"),
        "{said}"
    );
}

#[test]
fn a_broken_piece_seen_comes_out_before_anything_is_described_or_chosen() {
    for condition in [Condition::BrokenBolt, Condition::BrokenTool] {
        let mut job = looked_at(condition);
        let plan = |job: &Job| Plan::of(&job.record, &job.face, Catalog::standard());
        let clear = StepKey::Cut(CutStep::ClearBroken);
        assert!(
            matches!(plan(&job).next, NextAction::Step { step, .. } if step == clear),
            "{:?}",
            plan(&job).next
        );
        assert_eq!(plan(&job).steps.len(), 1);
        // A description that knows of the first look counts in its place.
        let mut described = job.clone();
        described.record.damage = FactEntries(vec![recorded(damage(vec![]))]);
        assert_eq!(plan(&described).next, NextAction::ChooseRemedy);
        assert!(plan(&described).steps.is_empty());
        let spec = plain_spec(Remedy::Leave);
        job.record.cuts.push(cut(&spec, CutStep::ClearBroken));
        assert_eq!(plan(&job).next, NextAction::DescribeDamage);
        assert_eq!(
            (job.status().problems, job.status().conflicts),
            (vec![], vec![])
        );
    }
}

#[test]
fn two_first_looks_that_differ_are_a_conflict() {
    let mut job = looked_at(Condition::Sound);
    let other = FirstLook {
        condition: Condition::Crater,
    };
    job.record.condition.0.push(recorded(other));
    let Conflict::EntriesDiffer { fact, .. } = only_conflict(&job.record) else {
        panic!("{:?}", job.status())
    };
    assert_eq!(fact, Fact::Condition);
    assert_eq!(job.record.condition_in_force(), None);
}

#[test]
fn a_plug_is_installed_when_it_is_fitted() {
    let mut job = Job::loose();
    let all = crate::hole::remedies::assessments(
        &situation_of(&job.record, &job.face).unwrap(),
        Catalog::standard(),
    );
    let plug = all.iter().find(|each| each.remedy == Remedy::ThreadedPlug);
    let spec = plug.unwrap().spec();
    job.record.choice = choice(spec.clone());
    job.record.cuts.push(cut(&spec, CutStep::Tap));
    assert_eq!(job.stage(), Stage::Cut);
    job.record.cuts.push(cut(&spec, CutStep::Plug));
    assert_eq!(job.stage(), Stage::Installed);
}

#[test]
fn work_for_another_remedy_does_not_count_and_is_a_conflict() {
    let heavy = RemedySpec {
        family: Some(crate::insert::Family::KeyLockingHeavyDuty),
        outside_thread: Some("9/16-12 UNC".into()),
        ..thin_wall()
    };
    let mut record = HoleRecord {
        choice: choice(heavy),
        ..HoleRecord::default()
    };
    record.cuts.push(cut(&thin_wall(), CutStep::Tap));
    // A broken bolt that is out counts for any remedy.
    record.cuts.push(cut(&thin_wall(), CutStep::ClearBroken));
    assert_eq!(stage(&record), Stage::Planned);
    let conflict = only_conflict(&record);
    assert!(
        conflict.to_string().contains("thin wall, 1/2-13 UNC"),
        "{conflict}"
    );
    assert_eq!(conflict.entries(), [record.cuts[0].entry]);
}

#[test]
fn work_without_a_choice_is_a_conflict() {
    let mut record = HoleRecord::default();
    record.cuts.push(cut(&thin_wall(), CutStep::Tap));
    assert!(matches!(
        only_conflict(&record),
        Conflict::NoRemedyChosen { .. }
    ));
}

#[test]
fn two_different_entries_conflict_and_two_equal_ones_do_not() {
    let mut job = Job::passed();
    job.record.wanted.0.push(recorded(wanted_thread("3/8-16")));
    job.record.final_checks = vec![final_check(&thin_wall(), true)];
    assert_eq!(job.stage(), Stage::Passed);
    job.record.wanted.0.push(recorded(wanted_thread("3/8-24")));
    job.record.final_checks = vec![final_check(&thin_wall(), true)];
    assert!(matches!(
        job.status().conflicts[..],
        [Conflict::EntriesDiffer {
            fact: Fact::Wanted,
            ..
        }]
    ));
    // Nothing passes while the wanted thread is in conflict.
    assert_ne!(job.stage(), Stage::Passed);
}

#[test]
fn readings_may_differ_by_their_tolerances() {
    let mut record = HoleRecord {
        readings: vec![
            reading(Quantity::NearestEdge, 14.0),
            reading(Quantity::NearestEdge, 14.2),
        ],
        ..HoleRecord::default()
    };
    assert!(!hole_status_of(&record).has_conflict());
    record.readings.push(reading(Quantity::NearestEdge, 14.3));
    let conflict = only_conflict(&record);
    assert!(
        conflict.to_string().contains("14-14.3 mm (.551-.563 in)"),
        "{conflict}"
    );
    // Drilling deepens the hole: readings of its depth from before and after may differ.
    record.readings = vec![
        reading(Quantity::Depth, 30.0),
        reading(Quantity::Depth, 34.0),
    ];
    assert!(hole_status_of(&record).has_conflict());
    record.choice = choice(thin_wall());
    record.cuts.push(cut(&thin_wall(), CutStep::Drill));
    assert!(!hole_status_of(&record).has_conflict());
}

#[test]
fn depths_read_before_and_after_a_face_cut_agree() {
    let mut job = Job::loose();
    job.mill(0.5);
    job.record.readings.push(reading(Quantity::Depth, 33.5));
    assert!(!job.status().has_conflict());
    job.record.readings.push(reading(Quantity::Depth, 34.0));
    assert!(job.status().has_conflict());
}

#[test]
fn labels_and_json_agree() {
    let labels: Vec<String> = Stage::ALL.iter().map(Stage::to_string).collect();
    assert_eq!(
        labels,
        [
            "not measured",
            "measured",
            "planned",
            "cut",
            "trial-fitted",
            "installed",
            "passed"
        ]
    );
    for stage in Stage::ALL {
        assert_eq!(
            serde_json::to_string(&stage).unwrap(),
            format!("\"{stage}\"")
        );
    }
}
