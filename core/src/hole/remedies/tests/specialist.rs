//! The specialist and the reasons for one.

use super::*;
use crate::hole::testing::*;

#[test]
fn crack_leaves_only_the_specialist() {
    let mut hole = sound();
    hole.damage.crack = true;
    let all = assess(&hole);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Specialist, Verdict::Fits)
    );
    assert!(all[0].reasons()[0].contains("crack"));
    assert!(all[1..].iter().all(|a| a.verdict == Verdict::DoesNotFit));
}

#[test]
fn specialist_says_why_nothing_else_fits() {
    let all = assess(&Situation {
        nearest_edge: Some(mm(7.0)),
        ..with(vec![station(0.0, 32.0, 16.0, 3.0, 0.0)])
    });
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Specialist, Verdict::Fits)
    );
    let why = all[0].reasons().join("\n");
    assert!(
        why.contains("heavy duty") && why.contains("threaded plug"),
        "{why}"
    );
}

#[test]
fn specialist_lists_the_nearest_misses_and_sizes_not_assessed() {
    let all = assess(&Situation {
        thread: thread("M16"),
        depth: Some(mm(20.0)),
        floor: Some(mm(9.0)),
        ..with(vec![station(0.0, 20.0, 16.2, 0.0, 0.0)])
    });
    let why = &all[0].reasons();
    // The shortest insert misses by least: 16 + 4-1/2 P, for a bolt that engages all of its coils, +
    // .5 + .3004 of 16.5 against 29 mm of metal.
    let left = 29.0 - (16.0 + 4.5 * 2.0 + 0.5 + 0.3004 * 16.5);
    let wire = why
        .iter()
        .find(|why| why.starts_with("wire thread insert"))
        .unwrap();
    assert!(
        wire.contains(&format!("{}", (left * 100.0_f64).round() / 100.0)),
        "{wire}"
    );
    assert!(
        why.iter()
            .any(|why| why.starts_with("key-locking insert, thin wall: no size for M16x2"))
    );
    assert!(
        why.iter()
            .any(|why| why.starts_with("key-locking insert, heavy duty: no size for M16x2"))
    );
}

#[test]
fn crack_goes_to_a_specialist_with_the_reason() {
    let mut holes = vec![sound(), with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)])];
    holes.push(Situation {
        depth: None,
        damage_described: true,
        ..Situation::of(thread("M10"))
    });
    for mut hole in holes {
        hole.damage.crack = true;
        let all = assess(&hole);
        let first = &all[0];
        assert_eq!(
            (first.remedy, first.verdict),
            (Remedy::Specialist, Verdict::Fits)
        );
        let others = all[1..].iter();
        assert!(others.clone().count() > 0);
        for other in others {
            assert_eq!(other.verdict, Verdict::DoesNotFit, "{:?}", other.spec());
        }
        let why = first.reasons().join("\n");
        assert!(
            why.contains("no thread repair") && why.contains("interlocking pins"),
            "{why}"
        );
        assert!(first.cautions.contains(&Caution::Crack));
    }
}
