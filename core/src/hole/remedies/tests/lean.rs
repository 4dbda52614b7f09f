//! Old holes that are not square.

use super::*;

#[test]
fn bolt_in_a_kept_thread_leans_with_it() {
    // 0.3 in 30 is 0.57 degrees, 1 in 30 is 1.91, 2 in 30 is 3.81.
    let leave = |by| find(&assess(&leaning_by(by, 30.0)), Remedy::Leave, None).clone();
    assert_eq!(leave(0.3).verdict, Verdict::Fits);
    assert_eq!(leave(1.0).verdict, Verdict::Marginal);
    assert_eq!(leave(2.0).verdict, Verdict::DoesNotFit);
    let tilt = find_check(&leave(2.0), "old hole not square").clone();
    assert_eq!((tilt.unit, tilt.needs), ("deg", Some(3.0)));
    close(tilt.has.unwrap(), 3.814, 1e-3);
    let chase = find(&assess(&leaning_by(2.0, 30.0)), Remedy::Chase, None).clone();
    assert_eq!(chase.verdict, Verdict::DoesNotFit);
}

#[test]
fn drilling_on_the_true_axis_counts_the_leaning_hole_as_damage() {
    let all = assess(&leaning_by(2.0, 30.0));
    let wire = find(&all, Remedy::WireInsert, Some(Family::WireThread));
    assert!(wire.checks.iter().all(|check| check.unit != "deg"));
    // The old 3/8 hole is 9.525 mm wide and runs off by 1/15 of the depth; a drill X of 10.08 mm
    // removes it at the face but not deeper.
    let left: Vec<f64> = wire.thread_left.iter().map(|left| left.fraction).collect();
    assert_eq!(left[0], 1.0);
    assert!(
        left.windows(2).all(|pair| pair[1] <= pair[0] + 1e-9),
        "{left:?}"
    );
    assert!(left[left.len() - 1] < 0.8, "{left:?}");
    assert!(wire.effective_engagement < Some(wire.engaged.unwrap().length()));
    let sound = assess(&sound());
    let square = find(&sound, Remedy::WireInsert, Some(Family::WireThread));
    assert!(wire.parent_strength_n < square.parent_strength_n);
}
