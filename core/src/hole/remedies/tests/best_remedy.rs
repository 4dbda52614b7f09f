//! Which remedy comes first.

use super::*;
use crate::hole::damage::BrokenTool;
use crate::hole::testing::*;

#[test]
fn sound_hole_is_left_even_if_its_iron_strips_first() {
    let all = assess(&sound());
    let best = &all[0];
    assert_eq!((best.remedy, best.verdict), (Remedy::Leave, Verdict::Fits));
    // Limits rounded to four places change the area by less than 0.2 %.
    // FED-STD-H28/2B (2a): .8281 in2 per inch of 3/8-16, over 1.5 D = .5625 in, at .75 of
    // 20 ksi (138 MPa): 31.1 kN. At half, as its formula (16) implies, it could be as low as 20.7 kN.
    close(
        best.parent_strength_n.unwrap(),
        0.8281 * 0.5625 * 645.16 * 103.5,
        0.002 * 31_100.0,
    );
    close(
        best.parent_strength_floor_n.unwrap(),
        0.8281 * 0.5625 * 645.16 * 69.0,
        0.002 * 20_700.0,
    );
    // By (16) a grade 5 screw in 20 ksi iron needs 2.99 D to break, so 1.5 D holds 1.5/2.99 at half
    // the tensile strength.
    close(best.strength_ratio.unwrap(), 1.5 * 1.5 / 2.99, 0.003);
    close(best.sound_ratio.unwrap(), 1.0, 1e-9);
    assert!(
        best.cautions
            .iter()
            .any(|c| matches!(c, Caution::IronStripsFirst { .. }))
    );
    assert_eq!(all.last().unwrap().remedy, Remedy::Specialist);
}

#[test]
fn stripped_hole_takes_a_wire_thread_insert() {
    let all = assess(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let best = &all[0];
    assert_eq!(
        (best.remedy, best.verdict),
        (Remedy::WireInsert, Verdict::Fits)
    );
    assert_eq!(best.insert.as_ref().unwrap().length, mm(19.05));
    assert_eq!(best.drill.unwrap().to_string(), "X");
    assert_eq!(find(&all, Remedy::Leave, None).verdict, Verdict::DoesNotFit);
    // Nominal length less 3/4 of a pitch: 19.05 - 1.190625.
    assert_eq!(best.effective_engagement, Some(mm(17.859375)));
}

#[test]
fn crater_takes_a_longer_bolt_and_of_the_inserts_the_heavy_one() {
    // The hole of the JSON promise: 13 mm wide, 9 mm deep, 4 mm of it hard, 14 mm to the edge.
    let mut hole = with(vec![station(0.0, 9.0, 13.0, 1.2, 0.0)]);
    hole.damage.hard = vec![span(0.0, 4.0).into()];
    hole.nearest_edge = Some(mm(14.0));
    let all = assess(&hole);
    // Full thread of the old hole ends five pitches above 32 mm; two more are point and clearance.
    let longer = &all[0];
    assert_eq!(
        (longer.remedy, longer.verdict),
        (Remedy::LongerBolt, Verdict::Marginal)
    );
    assert_eq!(longer.engaged.unwrap(), span(9.0, 32.0 - 7.0 * 1.5875));
    assert_eq!(all[1].remedy, Remedy::Leave);
    let best = heavy(&all);
    let inserts: Vec<_> = all.iter().filter(|a| a.insert.is_some()).collect();
    assert_eq!(inserts[0], best);
    assert_eq!(best.verdict, Verdict::Marginal);
    // 9/16-12: 14 mm less half of 14.2875 mm; beside keys 3 mm, more than a fifth of 14.2875. 1.5
    // outside diameters are 21.43 mm.
    let edge = find_check(best, "wall to the edge");
    assert_eq!((edge.needs, edge.passes), (Some(3.0), Some(true)));
    close(edge.has.unwrap(), 6.85625, 1e-6);
    let better = find_check(best, "edge distance, preferred");
    close(better.needs.unwrap(), 21.43125, 1e-6);
    assert_eq!(better.passes, Some(false));
    // Engaged from .5 + .508 + .75 P over 12.7 - .381 - 1.5 P; the first 4 mm do not count.
    let engaged = best.engaged.unwrap();
    close(engaged.from.mm(), 2.5955, 1e-3);
    close(engaged.to.mm(), 11.7395, 1e-3);
    let left: Vec<f64> = best.thread_left.iter().map(|left| left.fraction).collect();
    let effective = left[0] * (9.0 - 4.0) + (engaged.to.mm() - 9.0);
    close(best.effective_engagement.unwrap().mm(), effective, 1e-5);
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    assert_eq!(thin.verdict, Verdict::DoesNotFit);
    assert!(
        thin.reasons()
            .iter()
            .any(|why| why.starts_with("effective engagement"))
    );
}

#[test]
fn broken_tap_must_come_out() {
    let mut hole = sound();
    hole.damage.broken_tool = Some(BrokenTool {
        what: "tap".into(),
        length: None,
        top: None,
    });
    let all = assess(&hole);
    assert_eq!(find(&all, Remedy::Leave, None).verdict, Verdict::DoesNotFit);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Chase, Verdict::Marginal)
    );
    assert!(all[0].cautions.contains(&Caution::BrokenPiece));
}

#[test]
fn hard_metal_counts_as_none_only_where_a_tap_goes() {
    let mut hole = sound();
    hole.damage.hard = vec![span(0.0, 6.0).into()];
    let all = assess(&hole);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Leave, Verdict::Fits)
    );
    // A wire thread insert would have no wall behind its upper coils.
    let wire = find(&all, Remedy::WireInsert, Some(Family::WireThread));
    assert_eq!(
        find_check(wire, "thread left at the worst depth").has,
        Some(0.0)
    );
    // A third of a 1/2 in insert that starts to engage 2.97 mm down is 4.23 mm, of which 1.2 mm is
    // below the hard zone.
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    let keys = find_check(thin, "thread left at the keys");
    let from = 0.508 + 0.5 + 0.75 * 25.4 / 13.0;
    close(
        keys.has.unwrap(),
        (from + 12.7 / 3.0 - 6.0) / (12.7 / 3.0),
        1e-6,
    );
}

#[test]
fn countersunk_mouth_needs_no_repair() {
    // 1.5 mm of countersink, 0.5 mm of which is cut off: less than a pitch, so that a stock bolt
    // still has 1.5 D of whole thread.
    let all = assess(&with(vec![station(0.0, 1.5, 11.0, 0.0, 0.0)]));
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Leave, Verdict::Fits)
    );
    assert_eq!(all[0].effective_engagement, Some(mm(14.2875)));
    assert_eq!(all[0].engaged.unwrap().from, mm(1.5));
    let lower = Caution::ThreadStartsLower { below: mm(1.0) };
    assert!(all[0].cautions.contains(&lower));
    // 4 mm is more than a pitch of 1.5875 mm: the same bolt engages less, and a longer one as much.
    let all = assess(&with(vec![station(0.0, 4.0, 11.0, 0.0, 0.0)]));
    let leave = find(&all, Remedy::Leave, None);
    assert_eq!(
        (leave.verdict, leave.engaged.unwrap()),
        (Verdict::Marginal, span(4.0, 0.5 + 1.5875 + 14.2875))
    );
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::LongerBolt, Verdict::Fits)
    );
    assert_eq!(all[0].engaged.unwrap(), span(4.0, 4.0 + 14.2875));
}

#[test]
fn off_center_hole_is_neither_chased_nor_fitted_with_a_wire_insert() {
    let wandered = |off| assess(&with(vec![station(0.0, 25.0, 9.5, off, 0.0)]));
    let all = wandered(2.0);
    let chase = find(&all, Remedy::Chase, None);
    // 13/32 in is the clearance hole of 3/8 in (ASME B18.2.8): 1/64 in of play to either side.
    let off = find_check(chase, "old hole off center");
    close(off.needs.unwrap(), 25.4 / 64.0, 1e-6);
    assert_eq!(
        (off.passes, chase.verdict),
        (Some(false), Verdict::DoesNotFit)
    );
    // Circle of 4.75 mm radius, 2 mm off, against the 5.794 mm of the STI thread: cosine rule, 49.8
    // degrees to either side.
    let wire = find(&all, Remedy::WireInsert, Some(Family::WireThread));
    let bare = find_check(wire, "unsupported arc");
    close(bare.has.unwrap(), 49.8 / 180.0, 1e-3);
    assert_eq!(wire.verdict, Verdict::DoesNotFit);
    assert_eq!(all[0].family(), Some(Family::KeyLockingThinWall));
    // Slightly off center, the wire insert has its wall all around.
    let all = wandered(0.3);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::WireInsert, Verdict::Fits)
    );
}

#[test]
fn crater_at_the_mouth_is_not_an_off_center_hole() {
    let all = assess(&with(vec![station(0.0, 5.0, 12.0, 1.2, 0.0)]));
    let chase = find(&all, Remedy::Chase, None);
    assert!(
        chase
            .checks
            .iter()
            .all(|check| check.check != "old hole off center")
    );
}

#[test]
fn plug_sorts_after_an_insert_that_fits() {
    let all = assess(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let position = |remedy| all.iter().position(|a| a.remedy == remedy).unwrap();
    assert!(position(Remedy::KeyLockingInsert) < position(Remedy::ThreadedPlug));
    assert_eq!(
        find(&all, Remedy::ThreadedPlug, None).verdict,
        Verdict::Marginal
    );
}

#[test]
fn stock_on_hand_sorts_first() {
    let mut hole = with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]);
    hole.nearest_edge = Some(mm(14.0)); // all marginal, so that the stock on hand decides
    hole.on_hand = Some(vec![
        "key-locking insert, thin wall".into(),
        "1/2-13".into(),
        "3/8-16 STI plug tap".into(),
    ]);
    let all = assess(&hole);
    assert_eq!(all[0].family(), Some(Family::KeyLockingThinWall));
    assert!(all[0].not_on_hand.is_empty());
    let wire = all.iter().find(|a| a.remedy == Remedy::WireInsert).unwrap();
    assert_eq!(wire.not_on_hand, ["wire thread insert"]);
    assert_eq!(
        heavy(&all).not_on_hand,
        ["key-locking insert, heavy duty", "9/16-12 UNC tap"]
    );
    // A tap for the bolt's own thread is not the tap for the insert.
    hole.on_hand = Some(vec!["wire thread insert".into(), "3/8-16".into()]);
    let all = assess(&hole);
    let wire = all.iter().find(|a| a.remedy == Remedy::WireInsert).unwrap();
    assert_eq!(wire.not_on_hand, ["3/8-16 STI tap"]);
}

#[test]
fn void_beside_the_hole_fails_the_wall_check_only() {
    let all = assess(&with(vec![station(0.0, 20.0, 4.0, 12.0, 0.0)]));
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    assert!(thin.thread_left.iter().all(|left| left.fraction == 1.0));
    // 10 mm to its near side, less half of 12.7 mm.
    let wall = find_check(thin, "wall to the nearest void");
    close(wall.has.unwrap(), 3.65, 1e-6);
    assert_eq!((wall.needs, wall.passes), (Some(3.0), Some(true)));
    assert_eq!(all[0].remedy, Remedy::Leave);
    // A millimeter nearer, it is too thin, and with water behind it by far.
    let mut near = with(vec![station(0.0, 20.0, 4.0, 11.0, 0.0)]);
    let thin = |hole: &Situation| {
        let all = assess(hole);
        let family = Some(Family::KeyLockingThinWall);
        find(&all, Remedy::KeyLockingInsert, family).clone()
    };
    assert_eq!(thin(&near).verdict, Verdict::DoesNotFit);
    near.damage.stations[0].offset = mm(13.0);
    assert!(thin(&near).verdict <= Verdict::Marginal);
    near.pressure = true;
    assert_eq!(thin(&near).verdict, Verdict::DoesNotFit);
    let wall = find_check(&thin(&near), "wall to the nearest void").clone();
    assert_eq!(wall.needs, Some(6.0));
    assert!(
        wall.limit_from.contains("water or oil"),
        "{}",
        wall.limit_from
    );
}

#[test]
fn every_common_thread_is_assessed() {
    for size in [
        "1/4-20", "1/4-28", "5/16-18", "7/16-20", "1/2-13", "9/16-18", "5/8-11", "3/4-10",
        "3/4-16", "M6", "M8", "M10", "M12", "M16", "M20",
    ] {
        let hole = Situation {
            thread: thread(size),
            depth: Some(mm(60.0)),
            nearest_edge: Some(mm(80.0)),
            nearest_hole: Some(mm(150.0)),
            ..sound()
        };
        let all = assess(&hole);
        assert_eq!(
            (all[0].remedy, all[0].verdict),
            (Remedy::Leave, Verdict::Fits),
            "{size}"
        );
        assert!(
            all.iter()
                .any(|a| a.remedy == Remedy::WireInsert && a.verdict == Verdict::Fits),
            "{size}"
        );
        assert!(all.iter().any(|a| a.remedy == Remedy::LargerBolt), "{size}");
    }
}
