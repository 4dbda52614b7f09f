//! Missing readings.

use super::*;
use crate::hole::testing::*;

#[test]
fn missing_reading_never_passes() {
    let stripped = with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]);
    type Forget = fn(&mut Situation);
    let without: [(&str, Forget, MissingReading); 6] = [
        (
            "edge",
            |s| s.nearest_edge = None,
            MissingReading::NearestEdge,
        ),
        (
            "spacing",
            |s| s.nearest_hole = None,
            MissingReading::NearestHole,
        ),
        ("depth", |s| s.depth = None, MissingReading::Depth),
        ("face cut", |s| s.face_cut = None, MissingReading::FaceCut),
        (
            "damage",
            |s| s.damage_described = false,
            MissingReading::Damage,
        ),
        (
            "floor and depth",
            |s| (s.depth, s.floor) = (None, None),
            MissingReading::Depth,
        ),
    ];
    for (name, remove, reading) in without {
        let mut hole = stripped.clone();
        remove(&mut hole);
        for assessment in assess(&hole).iter().filter(|a| a.insert.is_some()) {
            assert!(
                assessment.verdict >= Verdict::Unknown,
                "{name}: {assessment:?}"
            );
            assert!(assessment.missing_readings.contains(&reading), "{name}");
        }
    }
}

#[test]
fn floor_is_only_needed_where_the_drill_goes_deeper_than_the_hole() {
    let mut hole = with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]);
    (hole.floor, hole.through) = (None, None);
    let all = assess(&hole);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::WireInsert, Verdict::Fits)
    );
    // Three diameters go deeper than the hole.
    let long = all
        .iter()
        .find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(28.575)))
        .unwrap();
    assert_eq!(long.verdict, Verdict::Unknown);
    hole.floor = Some(mm(2.0));
    let all = assess(&hole);
    let long = all
        .iter()
        .find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(28.575)))
        .unwrap();
    assert_eq!(
        find_check(long, "floor under the drill point").passes,
        Some(false)
    );
}

#[test]
fn nothing_fits_while_the_face_cut_is_unknown() {
    let all = assess(&Situation {
        face_cut: None,
        ..sound()
    });
    let assessed = all.iter().filter(|a| a.remedy != Remedy::Specialist);
    assert!(assessed.clone().all(|a| a.verdict >= Verdict::Unknown));
    assert!(
        assessed
            .clone()
            .all(|a| a.missing_readings.contains(&MissingReading::FaceCut))
    );
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    assert_eq!(
        (thin.depths.unwrap().drill, thin.depths.unwrap().install_now),
        (None, None)
    );
}
