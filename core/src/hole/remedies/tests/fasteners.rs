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
