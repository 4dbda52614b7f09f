//! The order of the work, against what must hold for any work, and against every order there is.

#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

/// Steps of random holes: tools before and after the cut of their face, which some holes have.
fn any_holes() -> impl Strategy<Value = Vec<HoleWork>> {
    let hole = (
        0..3_usize,
        prop::collection::vec(0..6_usize, 0..5),
        any::<bool>(),
        prop::collection::vec(0..6_usize, 0..5),
        any::<bool>(),
        prop::option::of((0.0..100.0, 0.0..100.0)),
    );
    let hole = hole.prop_map(|(face, before, cut, after, hard, at)| {
        let tools = |tools: Vec<usize>| tools.into_iter().map(Setup::Tool);
        let cut = cut.then_some(Setup::FaceCut(face));
        HoleWork {
            face,
            number: 1,
            at,
            hard,
            steps: tools(before).chain(cut).chain(tools(after)).collect(),
        }
    });
    prop::collection::vec(hole, 0..8).prop_map(|mut holes| {
        for (hole, number) in holes.iter_mut().zip(1..) {
            hole.number = number;
        }
        holes
    })
}

/// Checks what must hold for any order.
fn check(holes: &[HoleWork], order: &[SetupRun]) {
    let mut done = vec![0; holes.len()];
    for run in order {
        assert!(!run.steps.is_empty(), "an empty run: {order:?}");
        for at in &run.steps {
            assert_eq!(at.step, done[at.hole], "a hole's steps out of order");
            assert_eq!(holes[at.hole].steps[at.step], run.setup);
            done[at.hole] += 1;
        }
        if let Setup::FaceCut(face) = run.setup {
            let cuts = order.iter().filter(|other| other.setup == run.setup);
            assert_eq!(cuts.count(), 1, "face {face} is cut twice");
            for (hole, done) in holes.iter().zip(&done) {
                let left = &hole.steps[*done..];
                assert!(
                    !left.contains(&run.setup),
                    "something belongs before the cut of {face}"
                );
            }
        }
    }
    for (hole, done) in holes.iter().zip(&done) {
        assert_eq!(*done, hole.steps.len(), "a step is missing");
    }
}

/// The fewest setups that any order has, by trying all of them; only for little work.
fn fewest(holes: &[HoleWork], done: &[usize], last: Option<Setup>) -> usize {
    let next: BTreeSet<Setup> = holes
        .iter()
        .zip(done)
        .filter_map(|(hole, done)| hole.steps.get(*done).copied())
        .collect();
    let mut best = if next.is_empty() { 0 } else { usize::MAX };
    for setup in next {
        let mut after = done.to_vec();
        if let Setup::FaceCut(_) = setup {
            let ready = holes.iter().zip(done).all(|(hole, done)| {
                let left = &hole.steps[*done..];
                left.iter()
                    .position(|one| *one == setup)
                    .is_none_or(|ahead| ahead == 0)
            });
            if !ready {
                continue;
            }
            for (hole, done) in holes.iter().zip(&mut after) {
                *done += usize::from(hole.steps.get(*done) == Some(&setup));
            }
            best = best.min(1 + fewest(holes, &after, Some(setup)));
            continue;
        }
        // One hole at a time, so that nothing is taken for granted about doing all at once.
        for index in 0..holes.len() {
            if holes[index].steps.get(done[index]) == Some(&setup) {
                let mut after = done.to_vec();
                after[index] += 1;
                let change = usize::from(last != Some(setup));
                best = best.min(change + fewest(holes, &after, Some(setup)));
            }
        }
    }
    best
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_order_keeps_to_the_rules_and_changes_no_more_tools_than_hole_by_hole(holes in any_holes()) {
        let plain = hole_by_hole(&holes);
        check(&holes, &plain);
        for hard in [HardHoles::Last, HardHoles::First] {
            let order = work_order(&holes, hard);
            check(&holes, &order);
            prop_assert!(order.len() <= plain.len(), "{order:?}");
        }
    }

    #[test]
    fn no_order_of_little_work_has_fewer_changes(holes in any_holes()) {
        let mut holes = holes;
        holes.truncate(3);
        for hole in &mut holes {
            hole.steps.truncate(3);
        }
        let order = work_order(&holes, HardHoles::Last);
        prop_assert_eq!(order.len(), fewest(&holes, &[0; 3][..holes.len()], None));
    }

    #[test]
    fn hard_holes_are_last_or_first_in_every_run(holes in any_holes()) {
        for hard in [HardHoles::Last, HardHoles::First] {
            for run in runs(&holes, &fewest_changes(&holes), hard) {
                let is_hard: Vec<bool> = run.steps.iter().map(|at| holes[at.hole].hard).collect();
                let mut sorted = is_hard.clone();
                sorted.sort_by_key(|is_hard| *is_hard == (hard == HardHoles::Last));
                prop_assert_eq!(is_hard, sorted);
            }
        }
    }
}

fn hole(face: usize, number: u32, steps: &[Setup]) -> HoleWork {
    HoleWork {
        face,
        number,
        at: None,
        hard: false,
        steps: steps.to_vec(),
    }
}

#[test]
fn two_faces_share_a_tool_before_either_is_cut() {
    let (drill, tap, install) = (Setup::Tool(0), Setup::Tool(1), Setup::Tool(2));
    let of = |face, number| hole(face, number, &[drill, tap, Setup::FaceCut(face), install]);
    let holes = [of(0, 1), of(1, 1), of(0, 2)];
    let order = work_order(&holes, HardHoles::Last);
    let setups: Vec<Setup> = order.iter().map(|run| run.setup).collect();
    let cuts = [Setup::FaceCut(0), Setup::FaceCut(1)];
    assert_eq!(setups, [drill, tap, cuts[0], cuts[1], install]);
    assert_eq!(hole_by_hole(&holes).len(), 10);
}

#[test]
fn a_hundred_holes_of_many_kinds_are_ordered() {
    let mut holes = Vec::new();
    for number in 1..=100_u32 {
        let of = |step: u32| Setup::Tool(((number * 7 + step * step * 3) % 23) as usize);
        let mut steps: Vec<Setup> = (0..6).map(of).collect();
        steps.insert(3, Setup::FaceCut(0));
        holes.push(hole(0, number, &steps));
    }
    let order = work_order(&holes, HardHoles::First);
    check(&holes, &order);
    assert!(order.len() <= hole_by_hole(&holes).len());
}
