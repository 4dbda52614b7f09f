#![allow(clippy::unwrap_used)]

use super::super::record::*;
use super::super::testing::*;
use super::*;

fn stage(record: &HoleRecord) -> Stage {
    hole_status(record).stage
}

fn only_conflict(record: &HoleRecord) -> Conflict {
    let conflicts = hole_status(record).conflicts;
    assert_eq!(conflicts.len(), 1, "{conflicts:?}");
    let message = conflicts[0].to_string();
    assert!(!message.contains('\n') && message.len() > 20, "{message}");
    conflicts[0].clone()
}

#[test]
fn an_insert_goes_through_every_stage() {
    let spec = thin_wall();
    let mut record = HoleRecord::default();
    assert_eq!(stage(&record), Stage::NotMeasured);
    record.wanted = FactEntries(vec![recorded(wanted_thread("3/8-16"))]);
    assert_eq!(stage(&record), Stage::NotMeasured);
    record.readings.push(reading(Quantity::Depth, 32.0));
    assert_eq!(stage(&record), Stage::Measured);
    record.choice = choice(spec.clone());
    assert_eq!(stage(&record), Stage::Planned);
    record.cuts.push(cut(&spec, CutStep::Drill));
    assert_eq!(stage(&record), Stage::Planned);
    record.cuts.push(cut(&spec, CutStep::Tap));
    assert_eq!(stage(&record), Stage::Cut);
    record.trial_fits.push(trial_fit(&spec, true));
    assert_eq!(stage(&record), Stage::TrialFitted);
    record.installs.push(install(&spec, true, None));
    assert_eq!(stage(&record), Stage::Installed);
    record.stake_keys.push(stake_keys(&spec));
    record.final_checks.push(final_check(&spec, true));
    let status = hole_status(&record);
    assert_eq!(status.stage, Stage::Passed);
    assert!(!status.has_conflict(), "{:?}", status.conflicts);
}

#[test]
fn a_sound_hole_goes_from_measured_to_passed() {
    let mut record = HoleRecord {
        damage: FactEntries(vec![recorded(damage(vec![]))]),
        ..HoleRecord::default()
    };
    assert_eq!(stage(&record), Stage::Measured);
    let sound = plain_spec(Remedy::Leave);
    record.final_checks.push(final_check(&sound, true));
    assert_eq!(stage(&record), Stage::Passed);
    record.choice = choice(sound);
    assert_eq!(stage(&record), Stage::Passed);
    assert!(!hole_status(&record).has_conflict());
    assert_eq!(
        Stage::path(Some(Remedy::Leave)),
        &[Stage::NotMeasured, Stage::Measured, Stage::Passed]
    );
}

#[test]
fn a_plug_is_installed_when_it_is_fitted() {
    let spec = plain_spec(Remedy::ThreadedPlug);
    let mut record = HoleRecord {
        choice: choice(spec.clone()),
        ..HoleRecord::default()
    };
    record.cuts.push(cut(&spec, CutStep::Tap));
    assert_eq!(stage(&record), Stage::Cut);
    record.cuts.push(cut(&spec, CutStep::Plug));
    assert_eq!(stage(&record), Stage::Installed);
    record.final_checks.push(final_check(&spec, true));
    assert_eq!(stage(&record), Stage::Passed);
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
    let mut record = HoleRecord {
        wanted: FactEntries(vec![
            recorded(wanted_thread("3/8-16")),
            recorded(wanted_thread("3/8-16")),
        ]),
        ..HoleRecord::default()
    };
    assert!(!hole_status(&record).has_conflict());
    record.wanted.0.push(recorded(wanted_thread("3/8-24")));
    assert!(matches!(
        only_conflict(&record),
        Conflict::EntriesDiffer {
            fact: Fact::Wanted,
            ..
        }
    ));
    // Nothing passes while the wanted thread is in conflict.
    record
        .final_checks
        .push(final_check(&plain_spec(Remedy::Leave), true));
    assert_ne!(stage(&record), Stage::Passed);
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
    assert!(!hole_status(&record).has_conflict());
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
    assert!(hole_status(&record).has_conflict());
    record.choice = choice(thin_wall());
    record.cuts.push(cut(&thin_wall(), CutStep::Drill));
    assert!(!hole_status(&record).has_conflict());
}

#[test]
fn a_failed_check_beside_a_passed_one_keeps_the_hole_from_passing() {
    let spec = thin_wall();
    let mut record = HoleRecord {
        choice: choice(spec.clone()),
        ..HoleRecord::default()
    };
    record.installs.push(install(&spec, true, None));
    record.stake_keys.push(stake_keys(&spec));
    record.final_checks.push(final_check(&spec, true));
    assert_eq!(stage(&record), Stage::Passed);
    record.final_checks.push(final_check(&spec, false));
    assert_eq!(stage(&record), Stage::Installed);
    assert!(matches!(
        only_conflict(&record),
        Conflict::FinalCheckFailed { .. }
    ));
    record.final_checks.pop();
    record.checks = vec![
        check(CheckKind::StakeCheck, true),
        check(CheckKind::StakeCheck, false),
    ];
    assert_eq!(stage(&record), Stage::Installed);
    assert!(matches!(
        only_conflict(&record),
        Conflict::CheckFailed {
            check: CheckKind::StakeCheck,
            ..
        }
    ));
}

#[test]
fn installing_before_the_face_cut_needs_a_reason() {
    let spec = thin_wall();
    let mut record = HoleRecord {
        choice: choice(spec.clone()),
        ..HoleRecord::default()
    };
    record.installs.push(install(&spec, false, Some(" ")));
    assert!(matches!(
        only_conflict(&record),
        Conflict::InstalledBeforeFaceCut { .. }
    ));
    record.installs[0].body.reason = Some("the mill is away until June; set 0.9 mm below".into());
    assert!(!hole_status(&record).has_conflict());
    assert_eq!(stage(&record), Stage::Installed);
}

#[test]
fn a_final_check_without_insert_or_keys_is_a_conflict() {
    let spec = thin_wall();
    let mut record = HoleRecord {
        choice: choice(spec.clone()),
        ..HoleRecord::default()
    };
    record.final_checks.push(final_check(&spec, true));
    assert_eq!(stage(&record), Stage::Passed);
    assert!(matches!(
        only_conflict(&record),
        Conflict::PassedNotInstalled { .. }
    ));
    record.installs.push(install(&spec, true, None));
    assert!(matches!(
        only_conflict(&record),
        Conflict::PassedWithoutKeys { .. }
    ));
}

#[test]
fn the_order_of_entries_does_not_matter() {
    let spec = thin_wall();
    let mut record = HoleRecord {
        choice: choice(spec.clone()),
        ..HoleRecord::default()
    };
    record.readings = vec![
        reading(Quantity::NearestEdge, 14.0),
        reading(Quantity::NearestEdge, 15.0),
    ];
    record.cuts = vec![
        cut(&spec, CutStep::Tap),
        cut(&plain_spec(Remedy::Chase), CutStep::Tap),
    ];
    record.final_checks = vec![final_check(&spec, true), final_check(&spec, false)];
    let forward = hole_status(&record);
    record.readings.reverse();
    record.cuts.reverse();
    record.final_checks.reverse();
    let backward = hole_status(&record);
    assert_eq!(forward.stage, backward.stage);
    assert_eq!(forward.conflicts.len(), backward.conflicts.len());
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
