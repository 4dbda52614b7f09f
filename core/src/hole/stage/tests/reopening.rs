//! Facts that change after the work take a hole back.

use super::*;
use crate::hole::removal::Removal;

/// A planned cut of .020 in, recorded as .035 in: a thread tapped .550 in deep is .515 in now.
#[test]
fn a_deeper_face_cut_reopens_a_thread_that_is_now_too_shallow() {
    let inch = |thousandths| Length::from_fraction(thousandths, 1000);
    let mut job = Job::loose();
    let planned = inch(20);
    job.face.planned_cut = FactEntries(vec![recorded(FaceCut::typed(planned))]);
    job.record.choice = choice(thin_wall());
    job.cut(CutStep::Drill, 26.0);
    job.cut(CutStep::Tap, 14.8);
    job.record.trial_fits.push(trial_fit(&thin_wall(), true));
    assert_eq!((job.stage(), job.problems()), (Stage::TrialFitted, vec![]));
    let removed = inch(35);
    job.face.milled = vec![recorded(FaceMilled {
        removed,
        ..FaceMilled::default()
    })];
    let status = job.status();
    let [
        Problem::TooShallow {
            step,
            reached,
            needed,
            ..
        },
    ] = status.problems[..]
    else {
        panic!("{:?}", status.problems)
    };
    assert_eq!(step, StepKey::Cut(CutStep::Tap));
    assert_eq!(reached, mm(14.8) - removed);
    // What the insert needs below the finished face does not depend on the cut.
    assert_eq!(needed, inch(560));
    assert!(job.problems()[0].ends_with("deeper before installing"));
    // Tapped deeper, from the face as it is now.
    job.cut(CutStep::Tap, 14.3);
    assert_eq!((job.stage(), job.problems()), (Stage::TrialFitted, vec![]));
}

#[test]
fn a_face_cut_that_is_struck_out_counts_no_more() {
    let mut job = Job::trial_fitted();
    job.mill(5.0);
    assert!(!job.problems().is_empty());
    job.face.milled.clear();
    job.mill(0.5);
    assert_eq!(job.problems(), Vec::<String>::new());
}

#[test]
fn a_cut_that_reaches_an_insert_reopens_its_install_and_stake_check() {
    let mut job = Job::passed();
    job.mill(0.6);
    let status = job.status();
    assert_eq!(status.stage, Stage::TrialFitted);
    let steps: Vec<_> = status.problems.iter().filter_map(Problem::step).collect();
    assert_eq!(
        steps,
        [
            StepKey::Install,
            StepKey::Check(CheckKind::StakeCheck),
            StepKey::FinalCheck,
            StepKey::FinalCheck
        ]
    );
    assert!(
        job.problems()[0].starts_with("the insert stands 0.1 mm (.004 in) above the face"),
        "{:?}",
        job.problems()
    );
    // Set again and checked again, it passes again.
    job.install(0.5);
    job.stake_and_check();
    job.record
        .final_checks
        .push(final_check(&thin_wall(), true));
    assert_eq!((job.stage(), job.problems()), (Stage::Passed, vec![]));
}

#[test]
fn recorded_values_outside_their_limits_are_problems() {
    let first = |job: &Job| job.problems().into_iter().next().unwrap();
    let mut job = Job::trial_fitted();
    job.mill(0.5);
    let before = job.clone();
    job.install(-0.254);
    assert_eq!(
        first(&job),
        "the insert stands 0.25 mm (.010 in) above the face, and must be 0.25-0.76 mm \
         (.010-.030 in) below it: set it deeper and measure again"
    );
    assert_eq!(job.stage(), Stage::TrialFitted);
    job.record.installs.clear();
    job.install(1.0);
    assert!(first(&job).contains("it sits too deep"));
    job.record.installs.clear();
    job.install(0.5);
    let mut keys = stake_keys(&thin_wall());
    keys.body.driven = 2;
    job.record.stake_keys.push(keys);
    assert_eq!(
        first(&job),
        "2 of 4 keys driven: drive the rest and record all 4"
    );
    job.record.stake_keys = vec![stake_keys(&thin_wall())];
    let mut passed = check(CheckKind::StakeCheck, true);
    passed.body.reading = Some(mm(0.1));
    job.record.checks = vec![passed];
    assert!(first(&job).contains("passed with a reading of 0.1 mm"));

    // Drilled 7.6 mm of the 24.5 mm needed, then tapped deeper than that.
    let mut job = before;
    job.record.cuts.clear();
    job.record.trial_fits.clear();
    job.cut(CutStep::Drill, 7.6);
    assert!(first(&job).starts_with("drilled only 7.6 mm"));
    job.cut(CutStep::Tap, 15.0);
    let problems = job.problems().join("\n");
    assert!(problems.contains("in a hole drilled"), "{problems}");
    assert_eq!(job.stage(), Stage::Planned);
}

#[test]
fn a_torque_above_the_limit_and_a_short_engagement_are_problems() {
    let mut job = Job::checked();
    job.record.wanted.0[0].body.bolt = Some(crate::strength::Grade::Sae5);
    let mut check = final_check(&thin_wall(), true);
    check.body.torque_nm = Some(500.0);
    check.body.engaged = Some(mm(3.0));
    job.record.final_checks.push(check);
    let problems = job.problems().join("\n");
    assert!(problems.contains("the final check held"), "{problems}");
    assert!(problems.contains("engaged 3 mm"), "{problems}");
    assert_eq!(job.stage(), Stage::Installed);
}

#[test]
fn whatever_is_recorded_after_the_final_check_reopens_it() {
    let reopened = |change: fn(&mut Job), by: &str| {
        let mut job = Job::passed();
        change(&mut job);
        assert_ne!(job.stage(), Stage::Passed, "{by}");
        let problems = job.problems().join("\n");
        assert!(problems.contains(by), "{problems}");
        job.record
            .final_checks
            .push(final_check(&thin_wall(), true));
        assert_eq!(job.stage(), Stage::Passed, "{:?}", job.status());
    };
    reopened(
        |job| job.record.wanted = FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
        "the wanted thread was set after the final check",
    );
    reopened(
        |job| {
            let worse = station(0.0, 21.0, 9.4, 0.0, 0.0);
            job.record.damage = FactEntries(vec![recorded(damage(vec![worse]))]);
        },
        "the damage was described after the final check",
    );
    reopened(
        |job| job.record.choice = choice(thin_wall()),
        "the remedy was chosen after the final check",
    );
    reopened(
        |job| {
            job.record
                .readings
                .push(reading(Quantity::NearestEdge, 29.9))
        },
        "a reading of the edge distance was added after the final check",
    );
    reopened(
        |job| job.cut(CutStep::Countersink, 1.0),
        "countersinking was recorded after the final check",
    );
}

#[test]
fn another_remedy_takes_a_passed_hole_back() {
    let mut job = Job::passed();
    job.record.choice = choice(plain_spec(Remedy::Leave));
    assert_eq!(job.stage(), Stage::Measured);
}

#[test]
fn a_failed_check_is_followed_by_a_later_one() {
    let mut job = Job::checked();
    job.record.checks.push(check(CheckKind::StakeCheck, false));
    assert_eq!(
        job.problems(),
        ["a check failed (stake check): fix it and check again"]
    );
    job.record.checks.push(check(CheckKind::StakeCheck, true));
    job.record
        .final_checks
        .push(final_check(&thin_wall(), false));
    assert_eq!(job.stage(), Stage::Installed);
    job.record
        .final_checks
        .push(final_check(&thin_wall(), true));
    assert_eq!((job.stage(), job.problems()), (Stage::Passed, vec![]));
    // A failed one from another device, which knew of none of the others, counts beside them.
    let mut other = final_check(&thin_wall(), false);
    other.device = crate::id::DeviceId(uuid::Uuid::max());
    job.record.final_checks.push(other);
    assert_eq!(job.stage(), Stage::Installed);

    let mut job = Job::trial_fitted();
    job.record.trial_fits.push(trial_fit(&thin_wall(), false));
    assert_eq!(job.stage(), Stage::Cut);
    job.record.trial_fits.push(trial_fit(&thin_wall(), true));
    assert_eq!((job.stage(), job.problems()), (Stage::TrialFitted, vec![]));
}

#[test]
fn installing_before_the_face_cut_needs_a_reason() {
    let mut job = Job::trial_fitted();
    job.record.installs = vec![install(&thin_wall(), false, Some(" "))];
    job.record.installs[0].body.below_face = Some(mm(1.0));
    assert_eq!(job.stage(), Stage::TrialFitted);
    assert!(job.problems()[0].contains("before the planned face cut, without a reason"));
    job.record.installs[0].body.reason = Some("the mill is away until June".into());
    assert_eq!((job.stage(), job.problems()), (Stage::Installed, vec![]));
    job.mill(0.5);
    assert_eq!((job.stage(), job.problems()), (Stage::Installed, vec![]));
}

#[test]
fn a_final_check_waits_for_the_insert_and_its_keys() {
    let mut job = Job::trial_fitted();
    job.mill(0.5);
    job.record
        .final_checks
        .push(final_check(&thin_wall(), true));
    assert_eq!(
        job.problems(),
        [
            "the final check is recorded, but installing the insert is open: record it, then check \
             again"
        ]
    );
    job.install(0.5);
    assert!(job.problems()[0].contains("staking the keys is open"));
}

#[test]
fn a_broken_tap_that_is_out_is_measured_and_planned_anew() {
    let mut job = Job::loose();
    job.record.damage.0[0].body.broken_tool = Some(crate::hole::damage::BrokenTool {
        what: "tap".into(),
        length: Some(mm(8.0)),
        top: Some(mm(3.0)),
    });
    job.record.choice = choice(thin_wall());
    let before = situation_of(&job.record, &job.face).unwrap();
    assert!(before.damage.broken_tool.is_some());
    let mut out = cut(&thin_wall(), CutStep::ClearBroken);
    out.body.removal = Some(Removal::WeldNut);
    job.record.cuts.push(out);
    let after = situation_of(&job.record, &job.face).unwrap();
    assert_eq!(after.damage.broken_tool, None);
    assert_eq!(
        job.status().problems,
        [
            Problem::DescribedBeforeClearing {
                removal: Some(Removal::WeldNut)
            },
            Problem::ChosenBeforeClearing
        ]
    );
    assert!(job.problems()[0].contains("Heat hardens iron"));
    let worn = station(0.0, 20.0, 9.6, 0.0, 0.0);
    job.record.damage = FactEntries(vec![recorded(damage(vec![worn]))]);
    assert_eq!(job.status().problems, [Problem::ChosenBeforeClearing]);
    job.record.choice = choice(thin_wall());
    assert_eq!(job.problems(), Vec::<String>::new());
}

#[test]
fn a_reading_that_weakens_the_chosen_remedy_asks_again() {
    let mut job = Job::loose();
    job.record.choice = choice(thin_wall());
    job.record.choice.0[0].body.basis = Some(ChoiceBasis {
        verdict: Verdict::Fits,
        strength_ratio: Some(0.76),
    });
    job.record.wanted.0[0].body.bolt = Some(crate::strength::Grade::Sae8);
    let status = job.status();
    let [Problem::BasisChanged { ratio_now, .. }] = status.problems[..] else {
        panic!("{:?}", status.problems)
    };
    assert!(ratio_now.unwrap() < 0.7);
    assert!(
        job.problems()[0].contains("76 % of the bolt's strength"),
        "{:?}",
        job.problems()
    );
    job.record.choice.0[0].body.basis = Some(ChoiceBasis {
        verdict: Verdict::DoesNotFit,
        strength_ratio: ratio_now,
    });
    assert_eq!(job.problems(), Vec::<String>::new());
}

#[test]
fn a_remedy_that_does_not_fit_passes_only_with_a_reason() {
    let mut job = Job::passed();
    job.record.readings[2] = reading(Quantity::NearestEdge, 6.0);
    job.record
        .final_checks
        .push(final_check(&thin_wall(), true));
    assert_eq!(job.status().problems, [Problem::DoesNotFit]);
    assert_ne!(job.stage(), Stage::Passed);
    job.record.choice.0[0].body.reason = Some("the edge is backed by a rib".into());
    assert_eq!(job.stage(), Stage::Passed);
}

#[test]
fn a_cracked_hole_never_passes_until_it_is_sent_out() {
    let mut job = Job::passed();
    job.record.damage.0[0].body.crack = true;
    job.record.choice.0[0].body.reason = Some("it looks small".into());
    assert!(job.status().problems.contains(&Problem::Cracked));
    assert_ne!(job.stage(), Stage::Passed);
}

#[test]
fn a_hole_for_a_longer_bolt_stays_on_its_path() {
    let mut job = Job::loose();
    job.record.choice = choice(plain_spec(Remedy::LongerBolt));
    let stage = job.stage();
    assert!(
        Stage::path(Some(Remedy::LongerBolt)).contains(&stage),
        "{stage}"
    );
}
