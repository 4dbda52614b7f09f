//! Larger bolts, studs, bushings and plugs.

use super::*;
use crate::hole::testing::*;

#[test]
fn larger_bolt_needs_the_clearance_hole_in_the_mating_part() {
    let mut hole = with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]);
    let all = assess(&hole);
    let larger = find(&all, Remedy::LargerBolt, None);
    assert_eq!(larger.outside_thread.as_deref(), Some("7/16-14 UNC"));
    assert_eq!(
        (larger.verdict, &larger.missing_readings[..]),
        (Verdict::Unknown, &[MissingReading::MatingHole][..])
    );
    // Drilled for the smaller bolt and opened for the larger: .4688 in (15/32), ASME B18.2.8 normal
    // fit.
    hole.mating_hole = Some(mm(10.5));
    let all = assess(&hole);
    let larger = find(&all, Remedy::LargerBolt, None);
    assert_eq!(larger.verdict, Verdict::Marginal);
    let mating = find_check(larger, "clearance hole in mating part");
    close(mating.needs.unwrap(), 15.0 / 32.0 * 25.4, 1e-6);
    assert!(mating.reason().unwrap().contains("open it"));
    hole.mating_hole = Some(mm(12.0));
    assert!(find(&assess(&hole), Remedy::LargerBolt, None).verdict <= Verdict::Marginal);
}

#[test]
fn larger_bolt_is_a_common_size() {
    let larger = |size: &str| {
        let all = assess(&Situation::of(thread(size)));
        find(&all, Remedy::LargerBolt, None)
            .outside_thread
            .clone()
            .unwrap()
    };
    assert_eq!(larger("M6"), "M8x1.25");
    assert_eq!(larger("1/4-20"), "5/16-18 UNC");
}

#[test]
fn plug_is_pinned_on_its_joint_line() {
    let hole = with(vec![station(0.0, 32.0, 15.0, 0.0, 0.0)]);
    let all = assess(&hole);
    let plug = find(&all, Remedy::ThreadedPlug, None);
    let pins = plug.pins.unwrap();
    // 3/4-16: pitch diameter 0.7094 in (FED-STD-H28/2B, basic); a sixth of 3/4 in is 1/8 in.
    assert_eq!(plug.outside_thread.as_deref(), Some("3/4-16 UNF"));
    close(pins.circle.inches(), 0.7094, 5e-5);
    assert_eq!((pins.count, pins.drill.to_string().as_str()), (2, "1/8"));
    assert_eq!(pins.depth_after_cut, Length::from_fraction(3, 8));
    assert_eq!(pins.depth, Some(pins.depth_after_cut + mm(0.5)));
    // 0.3547 - 0.0625 - 0.1875 in.
    let wall = find_check(plug, "wall between pin and wanted thread");
    close(wall.has.unwrap() / 25.4, 0.1047, 1e-4);
    close(wall.needs.unwrap() / 25.4, 0.0625, 1e-6);
    // 30 mm less the same radius and half a pin.
    let edge = find_check(plug, "wall between pin and edge");
    close(edge.has.unwrap(), 30.0 - (0.3547 + 0.0625) * 25.4, 2e-3);
    assert!(edge.passes == Some(true) && wall.passes == Some(true));
    // Near an edge it fails.
    let near = Situation {
        nearest_edge: Some(mm(12.0)),
        ..hole
    };
    let all = assess(&near);
    let edge = find_check(
        find(&all, Remedy::ThreadedPlug, None),
        "wall between pin and edge",
    );
    assert_eq!(edge.passes, Some(false));
    assert!(
        all.iter()
            .all(|a| a.pins.is_some() == (a.remedy == Remedy::ThreadedPlug))
    );
}

#[test]
fn bushing_has_a_wall_check_and_is_held_by_adhesive_only() {
    let all = assess(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let bushing = find(&all, Remedy::Bushing, Some(Family::Bushing));
    // 9/16-18: basic minor diameter 0.5024 in (FED-STD-H28/2B); less 3/8 in, halved.
    assert_eq!(bushing.outside_thread.as_deref(), Some("9/16-18 UNF"));
    let wall = find_check(bushing, "bushing wall");
    close(wall.has.unwrap() / 25.4, 0.0637, 1e-4);
    assert_eq!((wall.needs, wall.passes), (Some(1.5), Some(true)));
    let bond = find_check(bushing, "held by adhesive only");
    assert_eq!(
        (bond.passes, bushing.verdict),
        (Some(false), Verdict::Marginal)
    );
    assert!(bushing.cautions.contains(&Caution::Bonded));
    let position = |remedy, family| {
        all.iter()
            .position(|a| a.remedy == remedy && a.family() == family)
    };
    let heavy = position(Remedy::KeyLockingInsert, Some(Family::KeyLockingHeavyDuty));
    assert!(heavy < position(Remedy::Bushing, Some(Family::Bushing)));
}

#[test]
fn stepped_stud_keeps_the_bolt_and_its_step_stays_below_the_face() {
    let all = assess(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let stud = find(&all, Remedy::SteppedStud, None);
    assert_eq!(stud.outside_thread.as_deref(), Some("7/16-14 UNC"));
    let larger = all
        .iter()
        .find(|a| a.remedy == Remedy::LargerBolt && a.outside_thread == stud.outside_thread)
        .unwrap();
    // The smaller end breaks like the wanted bolt: 0.0775 in2 at 120 ksi (H28/2B, SAE J429).
    close(
        stud.bolt_strength_n.unwrap(),
        0.0775 * 645.16 * 120.0 * 6.894_757,
        30.0,
    );
    assert!(stud.bolt_strength_n < larger.bolt_strength_n);
    // Its step is one to two pitches of 1/14 in below the finished face; its thread starts below.
    let depths = stud.depths.unwrap();
    close(depths.install_below_min.unwrap().inches(), 1.0 / 14.0, 1e-6);
    close(depths.install_below_max.unwrap().inches(), 2.0 / 14.0, 1e-6);
    assert!(stud.engaged.unwrap().from >= mm(0.5) + depths.install_below_min.unwrap());
    assert!(depths.full_thread.unwrap() >= stud.engaged.unwrap().to);
    assert_eq!(stud.verdict, Verdict::Marginal);
    assert!(
        !stud
            .checks
            .iter()
            .any(|c| c.check == "clearance hole in mating part")
    );
}

#[test]
fn several_larger_bolts_are_tried() {
    let all = assess(&sound());
    let mut larger: Vec<_> = all
        .iter()
        .filter(|a| a.remedy == Remedy::LargerBolt)
        .filter_map(|a| a.outside_thread.clone())
        .collect();
    larger.sort();
    assert_eq!(larger, ["1/2-13 UNC", "7/16-14 UNC", "7/16-20 UNF"]);
    // What counts at an edge is the metal left, so the coarse and the fine thread of one size are
    // judged alike: .40 in less half of 7/16 in.
    let near = Situation {
        nearest_edge: Some(Length::from_fraction(40, 100)),
        ..sound()
    };
    let all = assess(&near);
    let wall = |thread: &str| {
        let bolt = all.iter().find(|a| {
            a.remedy == Remedy::LargerBolt && a.outside_thread.as_deref() == Some(thread)
        });
        let wall = find_check(bolt.unwrap(), "wall to the edge");
        close(wall.has.unwrap() / 25.4, 0.40 - 7.0 / 32.0, 1e-6);
        (wall.needs, wall.passes)
    };
    assert_eq!(wall("7/16-14 UNC"), wall("7/16-20 UNF"));
    assert_eq!(wall("7/16-14 UNC").1, Some(true));
}

#[test]
fn bolt_in_hand_is_checked_against_what_the_hole_takes() {
    let with_bolt = |length: f64, thread_length: Option<f64>| Situation {
        grip: Some(mm(20.0)),
        bolt_length: Some(mm(length)),
        bolt_thread_length: thread_length.map(mm),
        ..sound()
    };
    // 20 of grip, 14.2875 engaged, a pitch of 1.5875 for the point: 35.875 mm reaches all of it.
    let all = assess(&with_bolt(36.0, Some(36.0)));
    let leave = find(&all, Remedy::Leave, None);
    assert_eq!(leave.verdict, Verdict::Fits, "{:?}", leave.reasons());
    // One of 30 mm engages 30 - 20 - 1.5875, and a longer one is offered first.
    let all = assess(&with_bolt(30.0, None));
    let leave = find(&all, Remedy::Leave, None);
    assert_eq!(leave.engaged.unwrap().length(), mm(10.0 - 1.5875));
    assert_eq!(leave.verdict, Verdict::Marginal);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::LongerBolt, Verdict::Fits)
    );
    // The old thread ends five pitches above 32 mm, .5 of which the face cut takes; the tip stays a
    // pitch above that.
    let all = assess(&with_bolt(60.0, None));
    let leave = find(&all, Remedy::Leave, None);
    let room = find_check(leave, "room for the bolt in hand");
    close(room.needs.unwrap(), 20.0 + 31.5 - 6.0 * 1.5875, 1e-6);
    assert_eq!(
        (room.passes, leave.verdict),
        (Some(false), Verdict::Marginal)
    );
    // A plain shank of 26 mm meets the thread, which starts at the face.
    let all = assess(&with_bolt(36.0, Some(10.0)));
    let leave = find(&all, Remedy::Leave, None);
    let shank = find_check(leave, "plain shank of the bolt in hand");
    assert_eq!((shank.has, shank.needs), (Some(26.0), Some(20.0)));
    assert_eq!(leave.verdict, Verdict::Marginal);
}

#[test]
fn hole_is_tapped_deeper_for_the_bolt_in_hand() {
    let hole = Situation {
        grip: Some(mm(20.0)),
        bolt_length: Some(mm(45.0)),
        depth: Some(mm(24.0)),
        floor: Some(mm(30.0)),
        ..sound()
    };
    // Full thread of the old hole ends at 24 - .5 - 5 pitches; the bolt's tip is at 25 mm.
    let all = assess(&hole);
    let deeper = find(&all, Remedy::TapDeeper, None);
    assert!(
        deeper.verdict <= Verdict::Marginal,
        "{:?}",
        deeper.reasons()
    );
    let depths = deeper.depths.unwrap();
    assert!(depths.full_thread_after_cut >= mm(25.0 + 1.5875));
    assert_eq!(
        find_check(deeper, "room for the bolt in hand").passes,
        Some(true)
    );
    assert_eq!(deeper.drill.unwrap().to_string(), "5/16");
}

#[test]
fn measured_thread_and_full_diameter_limit_the_bolt() {
    let most = |hole: &Situation| {
        let all = assess(hole);
        find(&all, Remedy::Leave, None).bolt_tip.unwrap().most
    };
    let by_depth = sound();
    assert_eq!(most(&by_depth), Some(mm(31.5 - 6.0 * 1.5875)));
    // To the full diameter, above the cone.
    let by_diameter = Situation {
        full_diameter: Some(mm(29.0)),
        ..by_depth.clone()
    };
    assert_eq!(most(&by_diameter), Some(mm(28.5 - 6.0 * 1.5875)));
    let only_diameter = Situation {
        depth: None,
        ..by_diameter
    };
    assert_eq!(most(&only_diameter), Some(mm(28.5 - 6.0 * 1.5875)));
    // To the last whole thread: only the clearance comes off.
    let by_thread = Situation {
        full_thread: Some(mm(26.0)),
        ..by_depth
    };
    assert_eq!(most(&by_thread), Some(mm(25.5 - 1.5875)));
}

#[test]
fn neighbor_with_a_larger_insert_leaves_less_wall() {
    let wall = |neighbor: Option<f64>| {
        let all = assess(&Situation {
            nearest_hole: Some(mm(24.0)),
            neighbor_diameter: neighbor.map(mm),
            ..with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)])
        });
        let wire = find(&all, Remedy::WireInsert, Some(Family::WireThread));
        let wall = find_check(wire, "wall to the nearest hole");
        (wall.has.unwrap(), wall.passes.unwrap())
    };
    // 24 mm less both halves of 3/8-16 STI, 11.588 mm; six pitches of 1.5875 are 9.525 mm.
    let (same, passes) = wall(None);
    close(same, 24.0 - 11.588, 0.01);
    assert!(passes);
    let (larger, passes) = wall(Some(18.0));
    close(larger, 24.0 - 11.588 / 2.0 - 9.0, 0.01);
    assert!(!passes);
    let (smaller, _) = wall(Some(9.525));
    assert!(smaller > same);
}

#[test]
fn bushing_of_the_other_hand_is_pinned() {
    let hole = Situation {
        thread: thread("3/8-16 LH"),
        ..with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)])
    };
    let all = assess(&hole);
    let bushing = find(&all, Remedy::Bushing, Some(Family::Bushing));
    assert!(bushing.cautions.contains(&Caution::OtherHand));
    // 9/16-18: the pitch radius of .2632 in (FED-STD-H28/2B, basic) less 3/16 leaves .0757 in, and a
    // pin of 1/16 in its own half diameter.
    let pins = bushing.pins.unwrap();
    assert_eq!(pins.drill.to_string(), "1/16");
    let plug = find(&all, Remedy::ThreadedPlug, None);
    assert!(plug.cautions.contains(&Caution::OtherHand));
    // A right-hand bolt does not turn it out.
    let all = assess(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let bushing = find(&all, Remedy::Bushing, Some(Family::Bushing));
    assert_eq!(bushing.pins, None);
    assert!(!bushing.cautions.contains(&Caution::OtherHand));
}
