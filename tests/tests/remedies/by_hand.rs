//! Holes with limits worked out by hand from thread geometry: one reading is moved across each limit.
//!
//! 3/8-16: pitch 1.5875 mm; the thread for its wire insert is .375 + 1.299 P = .4562 in (11.587 mm)
//! across (ASME B18.29 by the wire's section), drilled with X (10.0838 mm, point 3.0295 mm). Limits
//! where no source is named are judgments.

use crate::rules::checked;
use holebook_core::hole::record::Remedy;
use holebook_core::hole::remedies::{Assessment, Check, Verdict};
use holebook_core::hole::situation::{Situation, TolerancedReading};
use holebook_core::insert::Family;
use serde_json::{Value, json};

const PITCH: f64 = 1.5875;
const STI_RADIUS: f64 = 11.587223 / 2.0;

/// A stripped 3/8-16 hole, 32 mm deep, with .5 mm to come off its face.
fn hole(changes: Value) -> Situation {
    let mut hole = json!({
        "thread": "3/8-16", "bolt": {"grade": "SAE J429 grade 5"}, "iron": "ASTM A48 class 30",
        "through": false, "depth_mm": 32, "floor_mm": 10, "nearest_edge_mm": 30,
        "nearest_hole_mm": 70, "mating_hole_mm": 12.5, "grip_mm": 19.05, "face_cut_mm": 0.5,
        "damage": [{"from_mm": 0, "to_mm": 20, "diameter_mm": 9.5, "offset_mm": 0}],
    });
    for (key, value) in changes.as_object().unwrap() {
        hole[key] = value.clone();
    }
    Situation::from_json(&hole.to_string()).unwrap()
}

/// A hole that is good below 4 mm of stripped mouth.
fn stripped_mouth(changes: Value) -> Situation {
    let mut all =
        json!({"damage": [{"from_mm": 0, "to_mm": 4, "diameter_mm": 13, "offset_mm": 0}]});
    for (key, value) in changes.as_object().unwrap() {
        all[key] = value.clone();
    }
    hole(all)
}

fn find(all: &[Assessment], remedy: Remedy) -> &Assessment {
    all.iter().find(|a| a.remedy == remedy).unwrap()
}

/// The wire insert of 1-1/2 diameters.
fn wire(all: &[Assessment]) -> &Assessment {
    let is_it = |a: &&Assessment| {
        let insert = a.insert.as_ref();
        insert.is_some_and(|i| {
            i.family == Family::WireThread && (i.length.mm() - 14.2875).abs() < 1e-6
        })
    };
    all.iter().find(is_it).unwrap()
}

fn check<'a>(assessment: &'a Assessment, name: &str) -> &'a Check {
    assessment
        .checks
        .iter()
        .find(|check| check.check == name)
        .unwrap()
}

fn verdict_of_wire(changes: Value) -> Verdict {
    wire(&checked(&hole(changes))).verdict
}

fn near(one: f64, other: f64) {
    assert!((one - other).abs() < 1e-3, "{one} and {other}");
}

/// A wall of a fifth of the outside thread: 2.317 mm, so that the edge may be 8.111 mm away.
#[test]
fn the_wall_to_the_edge_decides_at_its_limit_and_at_the_worst_reading() {
    let limit = STI_RADIUS + 0.2 * 2.0 * STI_RADIUS;
    near(limit, 8.1111);
    assert_eq!(
        verdict_of_wire(json!({"nearest_edge_mm": 8.05})),
        Verdict::DoesNotFit
    );
    assert_eq!(
        verdict_of_wire(json!({"nearest_edge_mm": 8.15})),
        Verdict::Marginal
    );
    let read = json!({"nearest_edge_mm": 8.5, "errors": {"nearest_edge_mm": 0.5}});
    let all = checked(&hole(read));
    assert_eq!(wire(&all).verdict, Verdict::Unknown);
    let better = &wire(&all).sensitivities[0];
    assert_eq!(better.reading, TolerancedReading::NearestEdge);
    let read = json!({"nearest_edge_mm": 8.5, "errors": {"nearest_edge_mm": 0.3}});
    assert_eq!(verdict_of_wire(read), Verdict::Marginal);
}

/// Water or oil behind it: twice the wall, 4.635 mm.
#[test]
fn pressure_behind_a_wall_doubles_it() {
    for (edge, verdict) in [(10.4, Verdict::DoesNotFit), (10.5, Verdict::Marginal)] {
        let wet = json!({"nearest_edge_mm": edge, "pressure_behind_wall": true});
        assert_eq!(verdict_of_wire(wet), verdict, "{edge}");
        let dry = json!({"nearest_edge_mm": edge});
        assert_eq!(verdict_of_wire(dry), Verdict::Marginal, "{edge}");
    }
}

/// A void 4 mm across beside the insert: its near side is its offset less 2 mm away.
#[test]
fn the_wall_to_a_void_is_measured_from_the_outside_thread() {
    let beside = |offset: f64, tolerance: f64| {
        json!({"damage": [
            {"from_mm": 0, "to_mm": 20, "diameter_mm": 9.5, "offset_mm": 0},
            {"from_mm": 10, "to_mm": 16, "diameter_mm": 4, "offset_mm": offset, "offset_tolerance_mm": tolerance},
        ]})
    };
    let all = checked(&hole(beside(9.2, 0.0)));
    near(
        check(wire(&all), "wall to the nearest void").has.unwrap(),
        9.2 - 2.0 - STI_RADIUS,
    );
    assert_eq!(wire(&all).verdict, Verdict::DoesNotFit);
    assert!(verdict_of_wire(beside(10.5, 0.0)) <= Verdict::Marginal);
    assert_eq!(verdict_of_wire(beside(10.5, 0.8)), Verdict::Unknown);
}

/// Six pitches of iron between two outside threads: 9.525 mm.
#[test]
fn the_neighbor_counts_with_its_own_insert() {
    let apart =
        |neighbor: f64| json!({"nearest_hole_mm": 24, "nearest_hole_diameter_mm": neighbor});
    // 24 - 5.794 - 8.5 = 9.706, and 24 - 5.794 - 9 = 9.206.
    assert!(verdict_of_wire(apart(17.0)) <= Verdict::Marginal);
    assert_eq!(verdict_of_wire(apart(18.0)), Verdict::DoesNotFit);
}

/// Drilled .5 + 14.2875 + 4.5 P (1-1/2 below the face, 2 beyond the coils, 1 clear), 21.931 mm, the
/// point ends at 24.961: in a hole of 24 mm that is new metal, which wants half the drill under it.
#[test]
fn new_metal_under_the_point_wants_half_a_drill() {
    let tip = 0.5 + 14.2875 + 4.5 * PITCH + 3.0295;
    near(tip, 24.9608);
    for (floor, fits) in [(5.5, false), (6.1, true)] {
        let all = checked(&hole(json!({"depth_mm": 24, "floor_mm": floor})));
        assert_eq!(wire(&all).verdict <= Verdict::Marginal, fits, "{floor}");
    }
    // Read as 6.5 give or take a half, nobody knows.
    let read = json!({"depth_mm": 24, "floor_mm": 6.3, "errors": {"floor_mm": 0.5}});
    let all = checked(&hole(read));
    assert_eq!(wire(&all).verdict, Verdict::Unknown);
    assert_eq!(
        wire(&all).sensitivities[0].reading,
        TolerancedReading::Floor
    );
    assert_eq!(
        verdict_of_wire(json!({"depth_mm": 24, "floor_mm": null})),
        Verdict::Unknown
    );
}

/// The tip of a bolt in the old thread: a pitch above a broken tap, hard iron, or the end of full
/// thread, which without a reading is five pitches above the bottom.
#[test]
fn the_tip_ends_a_pitch_above_whatever_comes_first() {
    let most = |changes: Value| {
        let all = checked(&stripped_mouth(changes));
        find(&all, Remedy::Leave)
            .bolt_tip
            .unwrap()
            .most
            .unwrap()
            .mm()
    };
    near(most(json!({})), 32.0 - 5.0 * PITCH - 0.5 - PITCH);
    near(most(json!({"full_thread_mm": 26})), 26.0 - 0.5 - PITCH);
    near(
        most(json!({"hard": [{"from_mm": 20, "to_mm": 32}]})),
        20.0 - 0.5 - PITCH,
    );
    let tap = json!({"broken_tool": {"what": "tap", "length_mm": null, "top_mm": 20}});
    near(most(tap), 20.0 - 0.5 - PITCH);
    let read = json!({"errors": {"depth_mm": 1}});
    near(most(read), 31.0 - 5.0 * PITCH - 0.5 - PITCH);
    let full = json!({"full_diameter_mm": 29});
    near(most(full), 29.0 - 5.0 * PITCH - 0.5 - PITCH);
}

/// 14.2875 mm of good thread below 4 mm, the point and a pitch: full thread to 21.46 mm is enough for
/// a longer bolt; where it ends at 12, the hole is tapped deeper, if the floor is known.
#[test]
fn a_longer_bolt_needs_good_thread_and_tapping_deeper_the_floor() {
    let all = checked(&stripped_mouth(json!({})));
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::LongerBolt, Verdict::Fits)
    );
    let short = stripped_mouth(json!({"full_thread_mm": 12}));
    let all = checked(&short);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::TapDeeper, Verdict::Fits)
    );
    let longer = all.iter().find(|a| a.remedy == Remedy::LongerBolt);
    assert!(longer.is_none_or(|longer| longer.verdict > Verdict::Fits));
    let no_floor = stripped_mouth(json!({"full_thread_mm": 12, "depth_mm": 16, "floor_mm": null}));
    assert_eq!(
        find(&checked(&no_floor), Remedy::TapDeeper).verdict,
        Verdict::Unknown
    );
}

/// A bolt of 1-1/4 in under a grip of 19.05 mm reaches 12.7 mm and engages a pitch less, 11.1 mm, of the
/// 12.67 mm that break a grade 5 bolt (41,363 N at 3,265 N/mm of a sound hole: 46,655 N over 14.29 mm);
/// one of 1-1/2 in with 10 mm of thread has 28.1 mm of shank.
#[test]
fn the_bolt_in_hand_is_measured_against_the_hole() {
    let in_hand = |bolt: Value| {
        let bolt = json!({"bolt": bolt, "damage": []});
        find(&checked(&hole(bolt)), Remedy::Leave).clone()
    };
    let grade = "SAE J429 grade 5";
    let short = in_hand(json!({"grade": grade, "length_mm": 31.75}));
    near(
        short.effective_engagement.unwrap().mm(),
        31.75 - 19.05 - PITCH,
    );
    assert_eq!(short.verdict, Verdict::Marginal);
    let right = in_hand(json!({"grade": grade, "length_mm": 38.1, "thread_length_mm": 25.4}));
    assert_eq!(right.verdict, Verdict::Fits);
    let shank = in_hand(json!({"grade": grade, "length_mm": 38.1, "thread_length_mm": 10}));
    assert_eq!(
        check(&shank, "plain shank of the bolt in hand").passes,
        Some(false)
    );
    assert_eq!(shank.verdict, Verdict::Marginal);
    let long = in_hand(json!({"grade": grade, "length_mm": 44.45}));
    assert_eq!(
        check(&long, "room for the bolt in hand").passes,
        Some(false)
    );
}

/// What the planned cut takes off is no damage any more, and a crack is no job for a tap.
#[test]
fn the_cut_takes_damage_away_and_a_crack_goes_out() {
    let faced = stripped_mouth(json!({"face_cut_mm": 4.5}));
    let all = checked(&faced);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Leave, Verdict::Fits)
    );
    let cracked = checked(&stripped_mouth(json!({"crack": true})));
    let usable = cracked.iter().filter(|a| a.verdict != Verdict::DoesNotFit);
    assert!(usable.map(|a| a.remedy).eq([Remedy::Specialist]));
}

/// A left-hand bolt is no matter for a larger left-hand thread, and never enters a right-hand insert
/// that nothing locks.
#[test]
fn a_left_hand_bolt_stays_left_handed() {
    let all = checked(&hole(json!({"thread": "3/8-16 LH"})));
    let larger = find(&all, Remedy::LargerBolt);
    assert_eq!(larger.outside_thread.as_deref(), Some("7/16-14 UNC LH"));
    let inserts = all
        .iter()
        .filter(|a| a.insert.is_some() && a.verdict <= Verdict::Marginal);
    for insert in inserts {
        let outside = insert.insert.as_ref().unwrap();
        let locked = insert.pins.is_some() || outside.keys > 0;
        let left = insert
            .outside_thread
            .as_ref()
            .is_some_and(|name| name.ends_with("LH"));
        assert!(locked || left, "{:?}", insert.spec());
    }
}

/// A larger bolt wants its clearance hole, 11.9 mm for 7/16 (.469 in), in the mating part.
#[test]
fn a_larger_bolt_waits_for_the_mating_part() {
    let with = |mating: Value| {
        let all = checked(&hole(json!({"mating_hole_mm": mating})));
        find(&all, Remedy::LargerBolt).verdict
    };
    assert_eq!(with(json!(12.5)), Verdict::Fits);
    assert_eq!(with(json!(10.5)), Verdict::Marginal);
    assert_eq!(with(json!(null)), Verdict::Unknown);
}
