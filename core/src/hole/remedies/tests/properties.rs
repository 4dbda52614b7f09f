//! Properties that hold for every hole.

use super::*;
use crate::hole::damage::Damage;
use crate::hole::testing::*;
use crate::length::Length;
use proptest::prelude::*;

fn any_hole() -> impl Strategy<Value = Situation> {
    let stations = prop::collection::vec(
        (0.0..15.0, 0.5..15.0, 2.0..17.0, 0.0..8.0, 0.0..360.0_f64),
        0..4,
    );
    let room = (
        prop::option::of(8.0..40.0),
        prop::option::of(15.0..80.0),
        prop::option::of(30.0..60.0),
        prop::option::of(0.5..20.0),
    );
    (stations, room, 0.0..3.0).prop_map(|(stations, (edge, spacing, depth, floor), cut)| {
        Situation {
            nearest_edge: edge.map(mm),
            nearest_hole: spacing.map(mm),
            depth: depth.map(mm),
            floor: floor.map(mm),
            face_cut: Some(mm(cut)),
            damage: Damage {
                stations: stations
                    .into_iter()
                    .map(|(from, long, d, e, deg)| station(from, from + long, d, e, deg))
                    .collect(),
                ..Damage::default()
            },
            ..sound()
        }
    })
}

/// Assessments of both holes, by remedy, without the plug, whose size depends on the damage, and
/// remedies that only one of the holes is offered.
fn pairs(one: &Situation, other: &Situation) -> Vec<(Assessment, Assessment)> {
    let others = assess(other);
    let mut all = assess(one);
    all.retain(|a| !matches!(a.remedy, Remedy::ThreadedPlug | Remedy::Specialist));
    let pair = |a: Assessment| {
        let same = others.iter().find(|b| b.spec() == a.spec()).cloned();
        same.map(|b| (a, b))
    };
    all.into_iter().filter_map(pair).collect()
}

proptest! {
    #[test]
    fn more_damage_never_improves_a_remedy(hole in any_hole(), extra in (0.0..15.0, 0.5..15.0, 2.0..17.0, 0.0..8.0, 0.0..360.0_f64)) {
        let (from, long, diameter, offset, deg) = extra;
        let mut worse = hole.clone();
        worse.damage.stations.push(station(from, from + long, diameter, offset, deg));
        for (before, after) in pairs(&hole, &worse) {
            // A bolt past a damaged mouth engages lower; over the same depth there is never more.
            if after.engaged == before.engaged {
                prop_assert!(after.effective_engagement <= before.effective_engagement.map(|l| l + Length::from_nm(1)));
            }
            // Unknown may become "does not fit", never the other way around.
            prop_assert!(after.verdict >= before.verdict, "{:?} {} {}", after.spec(), before.verdict, after.verdict);
        }
    }

    #[test]
    fn deeper_face_cut_never_needs_less_depth(hole in any_hole(), more in 0.0..3.0) {
        let mut deeper = hole.clone();
        deeper.face_cut = hole.face_cut.map(|cut| cut + mm(more));
        for (shallow, deep) in pairs(&hole, &deeper) {
            // Only with the same tap: a deeper cut may need a bottoming tap, which goes less deep. It may
            // also leave less play for the bolt.
            if let (Some(a), Some(b), true) = (shallow.depths, deep.depths, shallow.tap_chamfer == deep.tap_chamfer) {
                let play = |depth: Option<Length>| depth.map(|depth| depth - Length::from_fraction(1, 32));
                prop_assert!(b.drill >= play(a.drill) && b.full_thread >= play(a.full_thread) && b.install_now >= a.install_now);
                prop_assert_eq!(b.install_after_cut, a.install_after_cut);
            }
        }
    }

    #[test]
    fn a_remedy_assessed_alone_has_the_numbers_that_it_has_among_all(hole in any_hole()) {
        let all = assessments(&hole, Catalog::standard());
        for among in all.iter().filter(|each| each.remedy != Remedy::Specialist) {
            let alone = assess_chosen(&hole, Catalog::standard(), &among.spec()).unwrap();
            prop_assert_eq!(alone.spec(), among.spec());
            prop_assert_eq!(alone.verdict, among.verdict, "{:?}", among.spec());
            prop_assert_eq!(alone.depths, among.depths);
            prop_assert_eq!(alone.engaged, among.engaged);
            prop_assert_eq!(alone.strength_ratio, among.strength_ratio);
        }
    }

    #[test]
    fn first_remedy_is_the_one_to_take_and_no_unknown_passes(hole in any_hole()) {
        let all = assess(&hole);
        let open = all.iter().any(|a| a.remedy != Remedy::Specialist && a.verdict != Verdict::DoesNotFit);
        prop_assert_eq!(all[0].remedy == Remedy::Specialist, !open);
        for pair in all.windows(2).filter(|pair| pair.iter().all(|a| a.remedy != Remedy::Specialist)) {
            prop_assert!(pair[0].verdict <= pair[1].verdict);
        }
        for assessment in &all {
            let unknown = assessment.checks.iter().any(|check| check.passes.is_none());
            prop_assert!(!unknown || assessment.verdict >= Verdict::Unknown);
            prop_assert!(assessment.thread_left.iter().all(|left| (0.0..=1.0).contains(&left.fraction)));
        }
    }
}

fn rotated(hole: &Situation, by: f64) -> Situation {
    let mut hole = hole.clone();
    for station in &mut hole.damage.stations {
        station.direction_deg += by;
        station.to_direction_deg = station.to_direction_deg.map(|deg| deg + by);
    }
    if let Some(lean) = &mut hole.damage.lean {
        lean.direction_deg += by;
        lean.offset_direction_deg += by;
    }
    hole
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn rotating_tapered_and_leaning_damage_changes_no_remedy(
        by in -360.0..360.0_f64,
        wide in 9.0..16.0, narrow in 0.0..10.0, off in 0.0..3.0, deg in 0.0..360.0_f64, lean in 0.2..4.0,
    ) {
        let crater = changing(station(0.0, 9.0, wide, off, deg), narrow, off / 2.0, deg + 40.0);
        let mut hole = leaning_by(lean, 30.0);
        hole.damage.stations = vec![crater, station(3.0, 14.0, 9.8, 0.4, 77.0)];
        let (one, other) = (assess(&hole), assess(&rotated(&hole, by)));
        prop_assert_eq!(one.len(), other.len());
        for a in &one {
            let b = other.iter().find(|b| b.spec() == a.spec()).unwrap();
            prop_assert_eq!(a.verdict, b.verdict);
            let strength = |x: &Assessment| x.parent_strength_n.unwrap_or_default();
            prop_assert!((strength(a) - strength(b)).abs() <= 1e-3, "{} {}", strength(a), strength(b));
        }
    }

    #[test]
    fn deeper_face_cut_never_needs_less_depth_for_any_remedy(
        cut in 0.0..5.0, more in 0.0..5.0, wide in 9.0..14.0, deep in 1.0..20.0,
    ) {
        let hole = with(vec![station(0.0, deep, wide, 0.3, 0.0)]);
        let cut_by = |by: f64| assess(&Situation { face_cut: Some(mm(by)), ..hole.clone() });
        let deeper = cut_by(cut + more);
        for a in cut_by(cut) {
            let same = deeper.iter().find(|b| b.spec() == a.spec());
            let depths = a.depths.zip(same.and_then(|b| b.depths));
            if let Some((before, after)) = depths {
                // A bottoming tap needs less than a plug tap, so only the same tap is compared; a deeper
                // cut may leave less play for the bolt.
                let play = |depth: Option<Length>| depth.map(|depth| depth - Length::from_fraction(1, 32));
                if same.unwrap().tap_chamfer == a.tap_chamfer {
                    prop_assert!(after.drill >= play(before.drill));
                }
                prop_assert!(after.full_thread >= play(before.full_thread));
                prop_assert!(after.install_now >= before.install_now);
            }
        }
    }
}
