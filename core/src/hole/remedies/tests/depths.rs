//! Depths and the tap they are for.

use super::*;
use crate::hole::testing::*;

#[test]
fn depths_are_given_from_both_faces() {
    let all = assess(&sound());
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    let depths = thin.depths.unwrap();
    // .560 in full thread (MS51830E), and .010 to .030 in below the face.
    close(depths.full_thread_after_cut.inches(), 0.560, 1e-9);
    close(depths.full_thread.unwrap().mm(), 0.560 * 25.4 + 0.5, 1e-9);
    close(depths.install_after_cut.unwrap().inches(), 0.020, 1e-9);
    close(depths.install_now.unwrap().mm(), 0.508 + 0.5, 1e-9);
    // Plug tap: four pitches of chamfer and one of clearance, 1/13 in each.
    close(depths.drill_after_cut.inches(), 0.560 + 5.0 / 13.0, 1e-6);
    assert_eq!(depths.drill.unwrap(), depths.drill_after_cut + mm(0.5));
}

#[test]
fn depth_includes_the_drill_point() {
    // 118 degrees: the point is .3004 of the diameter long. Drill X, .397 in.
    let all = assess(&sound());
    let wire = all
        .iter()
        .find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(14.2875)))
        .unwrap();
    // 14.2875 + P + 4 P + P below the finished face (ASME B18.29 rule), and .5 of face cut.
    let needs = find_check(wire, "old hole depth").needs.unwrap();
    close(
        needs,
        14.2875 + 6.0 * 1.5875 + 0.5 + 0.3004 * 0.397 * 25.4,
        0.001,
    );
}

#[test]
fn bottoming_tap_is_used_where_a_plug_tap_goes_too_deep() {
    let all = assess(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let chamfers: Vec<_> = all
        .iter()
        .filter(|a| a.remedy == Remedy::WireInsert)
        .map(|a| (a.insert.as_ref().unwrap().length, a.tap_chamfer.unwrap()))
        .collect();
    assert!(chamfers.contains(&(mm(14.2875), TapChamfer::Plug)));
    assert!(chamfers.contains(&(mm(19.05), TapChamfer::Bottoming)));
    assert!(all[0].cautions.contains(&Caution::BottomingTap));
}

#[test]
fn through_hole_needs_thickness_and_no_floor() {
    let thin_metal = Situation {
        through: Some(true),
        floor: None,
        depth: Some(mm(14.0)),
        ..with(vec![station(0.0, 14.0, 9.4, 0.0, 0.0)])
    };
    let all = assess(&thin_metal);
    // Full thread of 1 D and a pitch is 11.1 mm; of 1.5 D and a pitch 15.9 mm, more than the 13.5
    // mm that the cut leaves.
    assert_eq!(all[0].insert.as_ref().unwrap().length, mm(9.525));
    assert_eq!(all[0].depths.unwrap().drill, Some(mm(14.0)));
    let longer = all
        .iter()
        .find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(14.2875)))
        .unwrap();
    let thick = find_check(longer, "thickness after the face cut");
    assert_eq!((thick.has, thick.passes), (Some(13.5), Some(false)));
}

#[test]
fn male_center_of_a_small_tap_needs_depth() {
    // 5/16-18, 1.5 D of thread and two pitches for the bolt's point and its clearance: 4 + 1 pitches
    // and half a diameter for the center (ASME B18.29 rule for taps of 3/8 in and under), and 1/32 in
    // for cutting a bolt to length.
    let all = assess(&Situation {
        thread: thread("1/4-20"),
        ..sound()
    });
    let depths = find(&all, Remedy::LargerBolt, None).depths.unwrap();
    close(
        depths.drill_after_cut.inches(),
        2.0 * 0.3125 + 7.0 / 18.0 + 1.0 / 32.0,
        1e-6,
    );
}

#[test]
fn remedies_in_thin_metal_are_as_long_as_it_is_thick() {
    let all = assess(&Situation {
        through: Some(true),
        floor: None,
        depth: Some(mm(12.0)),
        face_cut: Some(mm(0.0)),
        mating_hole: Some(mm(10.5)),
        ..with(vec![station(0.0, 12.0, 9.4, 0.0, 0.0)])
    });
    let larger = find(&all, Remedy::LargerBolt, None);
    assert_eq!(larger.verdict, Verdict::Marginal);
    assert_eq!(larger.depths.unwrap().full_thread, Some(mm(12.0)));
    let plug = find(&all, Remedy::ThreadedPlug, None);
    assert_eq!(plug.verdict, Verdict::Marginal);
    assert_eq!(plug.depths.unwrap().full_thread_after_cut, mm(12.0));
}
