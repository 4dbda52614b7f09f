#![allow(clippy::unwrap_used)]

use super::candidate::Candidate;
use super::*;
use crate::hole::damage::{BrokenTool, Damage, Lean, Tilt};
use crate::hole::testing::*;
use crate::length::Length;
use crate::strength::{Grade, Iron, Metal};
use proptest::prelude::*;

fn remedies(situation: &Situation) -> Vec<Assessment> {
    super::remedies(situation, Catalogue::standard())
}

/// A sound blind hole with room on all sides.
fn sound() -> Situation {
    Situation {
        bolt: Some(Grade::Sae5),
        metal: Metal::Gray(Iron::Class20),
        through: Some(false),
        depth: Some(mm(32.0)),
        floor: Some(mm(9.0)),
        nearest_edge: Some(mm(30.0)),
        nearest_hole: Some(mm(60.0)),
        face_cut: Some(mm(0.5)),
        damage_read: true,
        ..Situation::of(thread("3/8-16"))
    }
}

fn with(stations: Vec<crate::hole::damage::Station>) -> Situation {
    Situation {
        damage: damage(stations),
        ..sound()
    }
}

fn find(all: &[Assessment], remedy: Remedy, family: Option<Family>) -> &Assessment {
    all.iter()
        .find(|a| a.remedy == remedy && a.family() == family)
        .unwrap()
}

fn heavy(all: &[Assessment]) -> &Assessment {
    find(
        all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingHeavyDuty),
    )
}

fn check<'a>(assessment: &'a Assessment, name: &str) -> &'a Check {
    let mut checks = assessment.checks.iter();
    checks
        .find(|check| check.check == name)
        .unwrap_or_else(|| panic!("{name}"))
}

fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} against {b}");
}

#[test]
fn a_sound_hole_is_left_alone_though_its_iron_strips_first() {
    let all = remedies(&sound());
    let best = &all[0];
    assert_eq!((best.remedy, best.verdict), (Remedy::Leave, Verdict::Fits));
    // The limits rounded to four places move the area by less than 0.2 %.
    // FED-STD-H28/2B (2a): .8281 in2 for each inch of 3/8-16, over 1.5 D = .5625 in, at half of 20 ksi (138 MPa): 20.7 kN.
    close(
        best.parent_strength_n.unwrap(),
        0.8281 * 0.5625 * 645.16 * 69.0,
        0.002 * 20_700.0,
    );
    // By (16) a grade 5 screw in iron of 20 ksi wants 2.99 D before it breaks, so 1.5 D hold 1.5/2.99 of it.
    close(best.strength_ratio.unwrap(), 1.5 / 2.99, 0.003);
    assert!(
        best.cautions
            .iter()
            .any(|c| matches!(c, Caution::IronStripsFirst { .. }))
    );
    assert_eq!(all.last().unwrap().remedy, Remedy::Specialist);
}

#[test]
fn a_stripped_hole_takes_a_wire_thread_insert() {
    let all = remedies(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let best = &all[0];
    assert_eq!(
        (best.remedy, best.verdict),
        (Remedy::WireInsert, Verdict::Fits)
    );
    assert_eq!(best.insert.as_ref().unwrap().length, mm(19.05));
    assert_eq!(best.drill.unwrap().to_string(), "X");
    assert_eq!(find(&all, Remedy::Leave, None).verdict, Verdict::DoesNotFit);
    // Nominal length less three quarters of a pitch: 19.05 - 1.190625.
    assert_eq!(best.effective_engagement, Some(mm(17.859375)));
}

#[test]
fn a_crater_takes_the_heavy_insert_and_says_what_it_costs() {
    // The hole of the JSON promise: 13 mm wide, 9 mm deep, 4 mm of it hard, 14 mm to the edge.
    let mut hole = with(vec![station(0.0, 9.0, 13.0, 1.2, 0.0)]);
    hole.damage.hard = vec![span(0.0, 4.0).into()];
    hole.nearest_edge = Some(mm(14.0));
    let all = remedies(&hole);
    let best = heavy(&all);
    assert_eq!(&all[0], best);
    assert_eq!(best.verdict, Verdict::FitsWithCare);
    // 9/16-12: half of 14.2875 and three pitches of 25.4/12 are 13.49 mm; 1.5 outside diameters are 21.43 mm.
    let edge = check(best, "edge distance");
    assert_eq!((edge.has, edge.passes), (Some(14.0), Some(true)));
    close(edge.needs.unwrap(), 13.49375, 1e-6);
    let better = check(best, "edge distance, preferred");
    close(better.needs.unwrap(), 21.43125, 1e-6);
    assert_eq!(better.passes, Some(false));
    // Engaged from .5 + .508 + .75 P to there + 12.7 - .381 - 1.5 P, and the first 4 mm count for nothing.
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
fn depths_hold_from_both_faces() {
    let all = remedies(&sound());
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    let depths = thin.depths.unwrap();
    // .560 in full thread (MS51830E), and .010 to .030 in below the face.
    close(depths.full_thread_after_cut.inches(), 0.560, 1e-9);
    close(depths.full_thread.unwrap().mm(), 0.560 * 25.4 + 0.5, 1e-9);
    close(depths.set_after_cut.unwrap().inches(), 0.020, 1e-9);
    close(depths.set_now.unwrap().mm(), 0.508 + 0.5, 1e-9);
    // Plug tap: four pitches of chamfer and one of clearance, 1/13 in each.
    close(depths.drill_after_cut.inches(), 0.560 + 5.0 / 13.0, 1e-6);
    assert_eq!(depths.drill.unwrap(), depths.drill_after_cut + mm(0.5));
}

#[test]
fn the_counted_length_comes_out_at_the_published_area_of_plain_inserts() {
    // Overhaul manual 20-00-02, Tables 402 and 403, "plain", in2 (secondary source): the rule must not promise more.
    let published = [
        ("1/4-20", 0.2371, 0.2842),
        ("5/16-18", 0.3049, 0.3588),
        ("3/8-16", 0.4299, 0.4975),
        ("7/16-14", 0.5665, 0.7172),
        ("1/2-13", 0.7175, 0.8884),
    ];
    for (size, thin, heavy) in published {
        for insert in Catalogue::standard().inserts_for(&thread(size)) {
            let area = match insert.family {
                Family::KeyLockingThinWall => thin,
                Family::KeyLockingHeavyDuty => heavy,
                _ => continue,
            };
            let way = Candidate::of_insert(&insert);
            let ours = way.area_mm2_per_mm * (way.engaged.1 - way.engaged.0).mm() / 645.16;
            assert!(
                ours < area * 1.03 && ours > area * 0.80,
                "{size} {ours} {area}"
            );
        }
    }
}

#[test]
fn a_published_area_shrinks_with_the_wall() {
    // Overhaul manual 20-00-02, Table 402: 3/8 heavy duty, locking type, .3843 in2 in a whole wall; class 20 iron shears at 69 MPa.
    let whole = remedies(&sound());
    let published_n = 0.3843 * 645.16 * 69.0;
    close(heavy(&whole).parent_strength_n.unwrap(), published_n, 0.5);
    let hurt = remedies(&with(vec![station(0.0, 20.0, 13.6, 0.0, 0.0)]));
    // The hole is 13.097 wide and the thread 14.288: 13.6 leave .688 / 1.191 of the flank all the way down.
    let left = (14.2875 - 13.6) / (14.2875 - 13.096875);
    close(
        heavy(&hurt).parent_strength_n.unwrap(),
        published_n * left,
        0.5,
    );
}

#[test]
fn a_missing_reading_is_never_passed() {
    let stripped = with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]);
    type Forget = fn(&mut Situation);
    let without: [(&str, Forget, Lack); 6] = [
        ("edge", |s| s.nearest_edge = None, Lack::NearestEdge),
        ("spacing", |s| s.nearest_hole = None, Lack::NearestHole),
        ("depth", |s| s.depth = None, Lack::Depth),
        ("face cut", |s| s.face_cut = None, Lack::FaceCut),
        ("damage", |s| s.damage_read = false, Lack::Damage),
        (
            "floor and depth",
            |s| (s.depth, s.floor) = (None, None),
            Lack::Depth,
        ),
    ];
    for (name, remove, lack) in without {
        let mut hole = stripped.clone();
        remove(&mut hole);
        for assessment in remedies(&hole).iter().filter(|a| a.insert.is_some()) {
            assert!(
                assessment.verdict >= Verdict::NotKnown,
                "{name}: {assessment:?}"
            );
            assert!(assessment.lacks().contains(&lack), "{name}");
        }
    }
}

#[test]
fn the_floor_is_asked_for_only_where_it_is_needed() {
    let mut hole = with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]);
    (hole.floor, hole.through) = (None, None);
    let all = remedies(&hole);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::WireInsert, Verdict::Fits)
    );
    // Three diameters go deeper than the hole.
    let long = all
        .iter()
        .find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(28.575)))
        .unwrap();
    assert_eq!(long.verdict, Verdict::NotKnown);
    hole.floor = Some(mm(2.0));
    let all = remedies(&hole);
    let long = all
        .iter()
        .find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(28.575)))
        .unwrap();
    assert_eq!(
        check(long, "floor under the drill point").passes,
        Some(false)
    );
}

#[test]
fn the_drill_point_counts() {
    // 118 degrees: the point is .3004 of the diameter long. Drill X, .397 in.
    let all = remedies(&sound());
    let wire = all
        .iter()
        .find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(14.2875)))
        .unwrap();
    // 14.2875 + P + 4 P + P below the finished face (ASME B18.29 rule), .5 of face cut.
    let needs = check(wire, "within the depth that is there").needs.unwrap();
    close(
        needs,
        14.2875 + 6.0 * 1.5875 + 0.5 + 0.3004 * 0.397 * 25.4,
        0.001,
    );
}

#[test]
fn a_bottoming_tap_is_taken_where_a_plug_tap_goes_too_deep() {
    let all = remedies(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
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
fn a_crack_leaves_only_the_specialist() {
    let mut hole = sound();
    hole.damage.crack = true;
    let all = remedies(&hole);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Specialist, Verdict::Fits)
    );
    assert!(all[0].reasons()[0].contains("crack"));
    assert!(all[1..].iter().all(|a| a.verdict == Verdict::DoesNotFit));
}

#[test]
fn where_nothing_fits_the_specialist_says_why() {
    let all = remedies(&Situation {
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
fn a_broken_tap_must_come_out() {
    let mut hole = sound();
    hole.damage.broken_tool = Some(BrokenTool {
        what: "tap".into(),
        length: None,
        top: None,
    });
    let all = remedies(&hole);
    assert_eq!(find(&all, Remedy::Leave, None).verdict, Verdict::DoesNotFit);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Chase, Verdict::FitsWithCare)
    );
    assert!(all[0].cautions.contains(&Caution::BrokenPiece));
}

#[test]
fn a_hole_that_goes_through_needs_thickness_and_no_floor() {
    let thin_metal = Situation {
        through: Some(true),
        floor: None,
        depth: Some(mm(14.0)),
        ..with(vec![station(0.0, 14.0, 9.4, 0.0, 0.0)])
    };
    let all = remedies(&thin_metal);
    // Full thread of 1 D and a pitch is 11.1 mm; of 1.5 D and a pitch 15.9 mm, more than the 13.5 mm that the cut leaves.
    assert_eq!(all[0].insert.as_ref().unwrap().length, mm(9.525));
    assert_eq!(all[0].depths.unwrap().drill, Some(mm(14.0)));
    let longer = all
        .iter()
        .find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(14.2875)))
        .unwrap();
    let thick = check(longer, "thickness after the face cut");
    assert_eq!((thick.has, thick.passes), (Some(13.5), Some(false)));
}

#[test]
fn hard_metal_is_ground_away_before_a_tap_and_left_where_no_tap_goes() {
    let mut hole = sound();
    hole.damage.hard = vec![span(0.0, 6.0).into()];
    let all = remedies(&hole);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Leave, Verdict::Fits)
    );
    // A wire thread insert would have no wall behind its upper coils.
    let wire = find(&all, Remedy::WireInsert, Some(Family::WireThread));
    assert_eq!(check(wire, "thread left at the worst depth").has, Some(0.0));
    // Of a 1/2 in insert that starts to hold 2.97 mm down, a third is 4.23 mm, of which 1.2 mm lie below the hard zone.
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    let keys = check(thin, "thread left for the keys");
    let from = 0.508 + 0.5 + 0.75 * 25.4 / 13.0;
    close(
        keys.has.unwrap(),
        (from + 12.7 / 3.0 - 6.0) / (12.7 / 3.0),
        1e-6,
    );
}

#[test]
fn nothing_passes_while_nobody_said_what_comes_off_the_face() {
    let all = remedies(&Situation {
        face_cut: None,
        ..sound()
    });
    let judged = all.iter().filter(|a| a.remedy != Remedy::Specialist);
    assert!(judged.clone().all(|a| a.verdict >= Verdict::NotKnown));
    assert!(judged.clone().all(|a| a.lacks().contains(&Lack::FaceCut)));
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    assert_eq!(
        (thin.depths.unwrap().drill, thin.depths.unwrap().set_now),
        (None, None)
    );
}

#[test]
fn a_larger_bolt_waits_for_the_part_bolted_on() {
    let mut hole = with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]);
    let all = remedies(&hole);
    let larger = find(&all, Remedy::LargerBolt, None);
    assert_eq!(larger.outside_thread.as_deref(), Some("7/16-14 UNC"));
    assert_eq!(
        (larger.verdict, larger.lacks()),
        (Verdict::NotKnown, vec![Lack::MatingHole])
    );
    // It was drilled for the smaller bolt and is opened for the larger one: .4688 in (15/32), ASME B18.2.8 normal fit.
    hole.mating_hole = Some(mm(10.5));
    let all = remedies(&hole);
    let larger = find(&all, Remedy::LargerBolt, None);
    assert_eq!(larger.verdict, Verdict::FitsWithCare);
    let mating = check(larger, "hole in the part bolted on");
    close(mating.needs.unwrap(), 15.0 / 32.0 * 25.4, 1e-6);
    assert!(mating.reason().unwrap().contains("open it"));
    hole.mating_hole = Some(mm(12.0));
    assert!(find(&remedies(&hole), Remedy::LargerBolt, None).verdict <= Verdict::FitsWithCare);
}

#[test]
fn a_larger_bolt_is_one_that_can_be_bought() {
    let larger = |size: &str| {
        let all = remedies(&Situation::of(thread(size)));
        find(&all, Remedy::LargerBolt, None)
            .outside_thread
            .clone()
            .unwrap()
    };
    assert_eq!(larger("M6"), "M8x1.25");
    assert_eq!(larger("1/4-20"), "5/16-18 UNC");
}

#[test]
fn a_male_centre_on_a_small_tap_takes_depth() {
    // 5/16-18, 1.5 D of thread: 4 + 1 pitches and half a diameter for the centre (ASME B18.29 rule for taps of 3/8 in and under).
    let all = remedies(&Situation {
        thread: thread("1/4-20"),
        ..sound()
    });
    let depths = find(&all, Remedy::LargerBolt, None).depths.unwrap();
    close(
        depths.drill_after_cut.inches(),
        2.0 * 0.3125 + 5.0 / 18.0,
        1e-6,
    );
}

#[test]
fn a_countersunk_mouth_is_no_reason_to_drill() {
    // 1.5 mm of countersink, 0.5 of which comes off: a bolt that engages from a pitch below the finished face finds 1.5 D of it whole.
    let all = remedies(&with(vec![station(0.0, 1.5, 11.0, 0.0, 0.0)]));
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::Leave, Verdict::Fits)
    );
    assert_eq!(all[0].effective_engagement, Some(mm(14.2875)));
    assert_eq!(all[0].engaged.unwrap().from, mm(0.5 + 1.5875));
    let lower = Caution::ThreadStartsLower { below: mm(1.5875) };
    assert!(all[0].cautions.contains(&lower));
    // Four millimetres are more than two pitches of 1.5875: damage, and no countersink.
    let all = remedies(&with(vec![station(0.0, 4.0, 11.0, 0.0, 0.0)]));
    let leave = find(&all, Remedy::Leave, None);
    assert_eq!(
        (leave.verdict, leave.engaged.unwrap().from),
        (Verdict::DoesNotFit, mm(0.5))
    );
}

#[test]
fn a_wandered_hole_is_not_chased_and_takes_no_wire() {
    let wandered = |off| remedies(&with(vec![station(0.0, 25.0, 9.5, off, 0.0)]));
    let all = wandered(2.0);
    let chase = find(&all, Remedy::Chase, None);
    // 13/32 in is the clearance hole of 3/8 in (ASME B18.2.8): 1/64 in of play to either side.
    let off = check(chase, "old hole off the intended centre");
    close(off.needs.unwrap(), 25.4 / 64.0, 1e-6);
    assert_eq!(
        (off.passes, chase.verdict),
        (Some(false), Verdict::DoesNotFit)
    );
    // Circle of 4.75 mm, 2 mm off, against the 5.794 mm of the STI thread: cosine rule, 49.8 degrees to either side.
    let wire = find(&all, Remedy::WireInsert, Some(Family::WireThread));
    let bare = check(wire, "turn without a wall");
    close(bare.has.unwrap(), 49.8 / 180.0, 1e-3);
    assert_eq!(wire.verdict, Verdict::DoesNotFit);
    assert_eq!(all[0].family(), Some(Family::KeyLockingThinWall));
    // A little off, the wire has its wall all round.
    let all = wandered(0.3);
    assert_eq!(
        (all[0].remedy, all[0].verdict),
        (Remedy::WireInsert, Verdict::Fits)
    );
}

#[test]
fn a_crater_at_the_mouth_is_no_wandered_hole() {
    let all = remedies(&with(vec![station(0.0, 5.0, 12.0, 1.2, 0.0)]));
    let chase = find(&all, Remedy::Chase, None);
    assert!(
        chase
            .checks
            .iter()
            .all(|check| check.check != "old hole off the intended centre")
    );
}

#[test]
fn thin_metal_takes_what_is_as_long_as_it_is_thick() {
    let all = remedies(&Situation {
        through: Some(true),
        floor: None,
        depth: Some(mm(12.0)),
        face_cut: Some(mm(0.0)),
        mating_hole: Some(mm(10.5)),
        ..with(vec![station(0.0, 12.0, 9.4, 0.0, 0.0)])
    });
    let larger = find(&all, Remedy::LargerBolt, None);
    assert_eq!(larger.verdict, Verdict::FitsWithCare);
    assert_eq!(larger.depths.unwrap().full_thread, Some(mm(12.0)));
    let plug = find(&all, Remedy::ThreadedPlug, None);
    assert_eq!(plug.verdict, Verdict::FitsWithCare);
    assert_eq!(plug.depths.unwrap().full_thread_after_cut, mm(12.0));
}

#[test]
fn a_plug_never_comes_before_an_insert_that_serves() {
    let all = remedies(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let place = |remedy| all.iter().position(|a| a.remedy == remedy).unwrap();
    assert!(place(Remedy::KeyLockingInsert) < place(Remedy::ThreadedPlug));
    assert_eq!(
        find(&all, Remedy::ThreadedPlug, None).verdict,
        Verdict::FitsWithCare
    );
}

#[test]
fn a_specialist_is_told_what_came_nearest_and_what_was_not_judged() {
    let all = remedies(&Situation {
        thread: thread("M16"),
        depth: Some(mm(20.0)),
        floor: Some(mm(9.0)),
        ..with(vec![station(0.0, 20.0, 16.2, 0.0, 0.0)])
    });
    let why = all[0].reasons();
    // The shortest insert is the one that nearly had room: 16 + P + 3 P + .5 + .3004 of 16.5 against 29 mm of metal.
    let left = 29.0 - (16.0 + 4.0 * 2.0 + 0.5 + 0.3004 * 16.5);
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
fn what_is_in_the_drawer_comes_first() {
    let mut hole = with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]);
    hole.nearest_edge = Some(mm(14.0)); // all with care, so that the drawer decides
    hole.on_hand = Some(vec![
        "key-locking insert, thin wall".into(),
        "1/2-13".into(),
        "3/8-16 STI plug tap".into(),
    ]);
    let all = remedies(&hole);
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
    let all = remedies(&hole);
    let wire = all.iter().find(|a| a.remedy == Remedy::WireInsert).unwrap();
    assert_eq!(wire.not_on_hand, ["3/8-16 STI tap"]);
}

#[test]
fn a_void_beside_is_a_matter_of_the_wall() {
    let all = remedies(&with(vec![station(0.0, 20.0, 4.0, 12.0, 0.0)]));
    let thin = find(
        &all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingThinWall),
    );
    assert!(thin.thread_left.iter().all(|left| left.fraction == 1.0));
    // 10 mm to its near side, where half of 12.7 and three pitches of 25.4/13 are 12.21 mm.
    let wall = check(thin, "wall to the void beside");
    assert_eq!((wall.has, wall.passes), (Some(10.0), Some(false)));
    assert_eq!(all[0].remedy, Remedy::Leave);
}

#[test]
fn json_keeps_its_promise() {
    let answer =
        serde_json::to_value(remedies(&with(vec![station(0.0, 9.0, 13.0, 1.2, 0.0)]))).unwrap();
    for one in answer.as_array().unwrap() {
        let keys = [
            "remedy",
            "family",
            "outside_thread",
            "verdict",
            "checks",
            "thread_left",
            "effective_engagement_mm",
            "parent_strength_n",
            "bolt_strength_n",
            "strength_ratio",
            "depths_mm",
            "drill",
            "tap",
            "cautions",
        ];
        for key in keys {
            assert!(one.get(key).is_some(), "{key}");
        }
        for key in ["drill", "full_thread", "set_now", "set_after_cut"] {
            assert!(one["depths_mm"].get(key).is_some(), "{key}");
        }
        for check in one["checks"].as_array().unwrap() {
            for key in ["check", "has", "needs", "unit", "passes", "limit_from"] {
                assert!(check.get(key).is_some(), "{key}");
            }
        }
    }
    let heavy = answer
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["family"] == "key-locking insert, heavy duty")
        .unwrap();
    assert_eq!(heavy["remedy"], "key-locking-insert");
    assert_eq!(heavy["outside_thread"], "9/16-12 UNC");
    assert_eq!(heavy["verdict"], "fits with care");
    assert_eq!(heavy["drill"]["name"], "33/64");
    assert!(heavy["thread_left"][0]["fraction"].is_number());
    assert!(heavy["cautions"][0].is_string());
}

#[test]
fn every_common_thread_is_judged() {
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
        let all = remedies(&hole);
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
                    .map(|(from, long, d, e, way)| station(from, from + long, d, e, way))
                    .collect(),
                ..Damage::default()
            },
            ..sound()
        }
    })
}

/// The assessments in one fixed order, without the plug, whose size follows the damage.
fn in_order(hole: &Situation) -> Vec<Assessment> {
    let mut all = remedies(hole);
    all.retain(|a| !matches!(a.remedy, Remedy::ThreadedPlug | Remedy::Specialist));
    all.sort_by_key(|a| {
        let length = a.insert.as_ref().map(|i| i.length);
        (a.remedy, a.family(), a.outside_thread.clone(), length)
    });
    all
}

proptest! {
    #[test]
    fn more_damage_never_makes_a_remedy_better(hole in any_hole(), extra in (0.0..15.0, 0.5..15.0, 2.0..17.0, 0.0..8.0, 0.0..360.0_f64)) {
        let (from, long, diameter, offset, way) = extra;
        let mut worse = hole.clone();
        worse.damage.stations.push(station(from, from + long, diameter, offset, way));
        for (before, after) in in_order(&hole).iter().zip(in_order(&worse)) {
            // A bolt past a hurt mouth engages lower down; over the same depth there is never more.
            if after.engaged == before.engaged {
                prop_assert!(after.effective_engagement <= before.effective_engagement.map(|l| l + crate::length::Length::from_nm(1)));
            }
            // What is not known may turn out not to fit, and the other way never.
            prop_assert!(after.verdict >= before.verdict, "{:?} {} {}", after.work(), before.verdict, after.verdict);
        }
    }

    #[test]
    fn a_deeper_face_cut_never_needs_less_depth(hole in any_hole(), more in 0.0..3.0) {
        let mut deeper = hole.clone();
        deeper.face_cut = hole.face_cut.map(|cut| cut + mm(more));
        for (shallow, deep) in in_order(&hole).iter().zip(in_order(&deeper)) {
            // The same tap on both sides: a deeper cut may call for a bottoming one, which needs less.
            if let (Some(a), Some(b), true) = (shallow.depths, deep.depths, shallow.tap_chamfer == deep.tap_chamfer) {
                prop_assert!(b.drill >= a.drill && b.full_thread >= a.full_thread && b.set_now >= a.set_now);
                prop_assert_eq!(b.set_after_cut, a.set_after_cut);
            }
        }
    }

    #[test]
    fn the_first_is_the_one_to_take_and_no_unknown_is_passed(hole in any_hole()) {
        let all = remedies(&hole);
        let open = all.iter().any(|a| a.remedy != Remedy::Specialist && a.verdict != Verdict::DoesNotFit);
        prop_assert_eq!(all[0].remedy == Remedy::Specialist, !open);
        for pair in all.windows(2).filter(|pair| pair.iter().all(|a| a.remedy != Remedy::Specialist)) {
            prop_assert!(pair[0].verdict <= pair[1].verdict);
        }
        for assessment in &all {
            let unknown = assessment.checks.iter().any(|check| check.passes.is_none());
            prop_assert!(!unknown || assessment.verdict >= Verdict::NotKnown);
            prop_assert!(assessment.thread_left.iter().all(|left| (0.0..=1.0).contains(&left.fraction)));
        }
    }
}

fn leaning_by(by: f64, over: f64) -> Situation {
    let mut hole = sound();
    hole.damage.lean = Some(Lean {
        tilt: Tilt::Run {
            by: mm(by),
            over: mm(over),
        },
        direction_deg: 30.0,
        offset: Length::ZERO,
        offset_direction_deg: 0.0,
        diameter: None,
    });
    hole
}

#[test]
fn a_bolt_in_a_thread_that_is_kept_leans_with_it() {
    // 0.3 in 30 are 0.57 degrees, 1 in 30 are 1.91, 2 in 30 are 3.81.
    let leave = |by| find(&remedies(&leaning_by(by, 30.0)), Remedy::Leave, None).clone();
    assert_eq!(leave(0.3).verdict, Verdict::Fits);
    assert_eq!(leave(1.0).verdict, Verdict::FitsWithCare);
    assert_eq!(leave(2.0).verdict, Verdict::DoesNotFit);
    let tilt = check(&leave(2.0), "old hole out of square").clone();
    assert_eq!((tilt.unit, tilt.needs), ("deg", Some(3.0)));
    close(tilt.has.unwrap(), 3.814, 1e-3);
    let chase = find(&remedies(&leaning_by(2.0, 30.0)), Remedy::Chase, None).clone();
    assert_eq!(chase.verdict, Verdict::DoesNotFit);
}

#[test]
fn what_is_drilled_on_the_true_axis_counts_what_the_leaning_hole_left() {
    let all = remedies(&leaning_by(2.0, 30.0));
    let wire = find(&all, Remedy::WireInsert, Some(Family::WireThread));
    assert!(wire.checks.iter().all(|check| check.unit != "deg"));
    // The old 3/8 hole is 9.525 mm wide and runs out 1/15 of the depth; a drill X of 10.08 mm takes it at the face, and not deeper.
    let left: Vec<f64> = wire.thread_left.iter().map(|left| left.fraction).collect();
    assert_eq!(left[0], 1.0);
    assert!(
        left.windows(2).all(|pair| pair[1] <= pair[0] + 1e-9),
        "{left:?}"
    );
    assert!(left[left.len() - 1] < 0.8, "{left:?}");
    assert!(wire.effective_engagement < Some(wire.engaged.unwrap().length()));
    let sound = remedies(&sound());
    let square = find(&sound, Remedy::WireInsert, Some(Family::WireThread));
    assert!(wire.parent_strength_n < square.parent_strength_n);
}

#[test]
fn a_crater_that_tapers_leaves_more_than_one_that_does_not() {
    let whole = with(vec![station(0.0, 12.0, 14.0, 1.2, 0.0)]);
    let mut tapered = whole.clone();
    tapered.damage.stations[0] = changing(station(0.0, 12.0, 14.0, 1.2, 0.0), 6.0, 0.0, 0.0);
    let strength = |hole: &Situation| heavy(&remedies(hole)).parent_strength_n.unwrap();
    assert!(strength(&tapered) > strength(&whole));
    assert!(strength(&tapered) < strength(&sound()));
}

#[test]
fn any_crack_goes_to_a_specialist_with_the_reason() {
    let mut holes = vec![sound(), with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)])];
    holes.push(Situation {
        depth: None,
        damage_read: true,
        ..Situation::of(thread("M10"))
    });
    for mut hole in holes {
        hole.damage.crack = true;
        let all = remedies(&hole);
        let first = &all[0];
        assert_eq!(
            (first.remedy, first.verdict),
            (Remedy::Specialist, Verdict::Fits)
        );
        let others = all[1..].iter();
        assert!(others.clone().count() > 0);
        for other in others {
            assert_eq!(other.verdict, Verdict::DoesNotFit, "{:?}", other.work());
        }
        let why = first.reasons().join("\n");
        assert!(
            why.contains("no thread repair") && why.contains("interlocking pins"),
            "{why}"
        );
        assert!(first.cautions.contains(&Caution::Crack));
    }
}

fn turned(hole: &Situation, by: f64) -> Situation {
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
    fn turning_a_damage_that_tapers_and_leans_changes_no_remedy(
        by in -360.0..360.0_f64,
        wide in 9.0..16.0, narrow in 0.0..10.0, off in 0.0..3.0, way in 0.0..360.0_f64, lean in 0.2..4.0,
    ) {
        let crater = changing(station(0.0, 9.0, wide, off, way), narrow, off / 2.0, way + 40.0);
        let mut hole = leaning_by(lean, 30.0);
        hole.damage.stations = vec![crater, station(3.0, 14.0, 9.8, 0.4, 77.0)];
        let (one, other) = (remedies(&hole), remedies(&turned(&hole, by)));
        prop_assert_eq!(one.len(), other.len());
        for a in &one {
            let b = other.iter().find(|b| b.work() == a.work()).unwrap();
            prop_assert_eq!(a.verdict, b.verdict);
            let strength = |x: &Assessment| x.parent_strength_n.unwrap_or_default();
            prop_assert!((strength(a) - strength(b)).abs() <= 1e-3, "{} {}", strength(a), strength(b));
        }
    }

    #[test]
    fn a_deeper_face_cut_never_needs_less_depth_for_any_remedy(
        cut in 0.0..5.0, more in 0.0..5.0, wide in 9.0..14.0, deep in 1.0..20.0,
    ) {
        let hole = with(vec![station(0.0, deep, wide, 0.3, 0.0)]);
        let cut_by = |by: f64| remedies(&Situation { face_cut: Some(mm(by)), ..hole.clone() });
        let deeper = cut_by(cut + more);
        for a in cut_by(cut) {
            let same = deeper.iter().find(|b| b.work() == a.work());
            let depths = a.depths.zip(same.and_then(|b| b.depths));
            if let Some((before, after)) = depths {
                // The bottoming tap needs less than the plug tap; of the same kind none may need less.
                if same.unwrap().tap_chamfer == a.tap_chamfer {
                    prop_assert!(after.drill >= before.drill);
                }
                prop_assert!(after.full_thread >= before.full_thread);
                prop_assert!(after.set_now >= before.set_now);
            }
        }
    }
}

#[test]
fn a_plug_is_pinned_on_its_joint_line() {
    let hole = with(vec![station(0.0, 32.0, 15.0, 0.0, 0.0)]);
    let all = remedies(&hole);
    let plug = find(&all, Remedy::ThreadedPlug, None);
    let pins = plug.pins.unwrap();
    // 3/4-16: pitch diameter 0.7094 in (FED-STD-H28/2B, basic); a sixth of 3/4 in is 1/8 in.
    assert_eq!(plug.outside_thread.as_deref(), Some("3/4-16 UNF"));
    close(pins.circle.inches(), 0.7094, 5e-5);
    assert_eq!((pins.count, pins.drill.to_string().as_str()), (2, "1/8"));
    assert_eq!(pins.depth_after_cut, Length::from_fraction(3, 8));
    assert_eq!(pins.depth, Some(pins.depth_after_cut + mm(0.5)));
    // 0.3547 - 0.0625 - 0.1875 in.
    let wall = check(plug, "wall from a pin to the wanted thread");
    close(wall.has.unwrap() / 25.4, 0.1047, 1e-4);
    close(wall.needs.unwrap() / 25.4, 0.0625, 1e-6);
    // 30 mm less the same ring and half pin.
    let edge = check(plug, "iron from a pin to the edge");
    close(edge.has.unwrap(), 30.0 - (0.3547 + 0.0625) * 25.4, 2e-3);
    assert!(edge.passes == Some(true) && wall.passes == Some(true));
    // Near an edge they are not.
    let near = Situation {
        nearest_edge: Some(mm(12.0)),
        ..hole
    };
    let all = remedies(&near);
    let edge = check(
        find(&all, Remedy::ThreadedPlug, None),
        "iron from a pin to the edge",
    );
    assert_eq!(edge.passes, Some(false));
    assert!(
        all.iter()
            .all(|a| a.pins.is_some() == (a.remedy == Remedy::ThreadedPlug))
    );
}

#[test]
fn a_bushing_has_its_wall_and_only_a_bond() {
    let all = remedies(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let bushing = find(&all, Remedy::Bushing, Some(Family::Bushing));
    // 9/16-18: basic minor diameter 0.5024 in (FED-STD-H28/2B); less 3/8 in, halved.
    assert_eq!(bushing.outside_thread.as_deref(), Some("9/16-18 UNF"));
    let wall = check(bushing, "wall of the bushing");
    close(wall.has.unwrap() / 25.4, 0.0637, 1e-4);
    assert_eq!((wall.needs, wall.passes), (Some(1.5), Some(true)));
    let bond = check(bushing, "threads that only a bond keeps from turning");
    assert_eq!(
        (bond.passes, bushing.verdict),
        (Some(false), Verdict::FitsWithCare)
    );
    assert!(bushing.cautions.contains(&Caution::Bonded));
    let place = |remedy, family| {
        all.iter()
            .position(|a| a.remedy == remedy && a.family() == family)
    };
    let heavy = place(Remedy::KeyLockingInsert, Some(Family::KeyLockingHeavyDuty));
    assert!(heavy < place(Remedy::Bushing, Some(Family::Bushing)));
}

#[test]
fn a_stepped_stud_keeps_the_bolt_and_its_step_stays_in_the_iron() {
    let all = remedies(&with(vec![station(0.0, 32.0, 9.4, 0.0, 0.0)]));
    let stud = find(&all, Remedy::SteppedStud, None);
    assert_eq!(stud.outside_thread.as_deref(), Some("7/16-14 UNC"));
    let larger = all
        .iter()
        .find(|a| a.remedy == Remedy::LargerBolt && a.outside_thread == stud.outside_thread)
        .unwrap();
    // The smaller end breaks as the wanted bolt does: 0.0775 in2 of 120 ksi (H28/2B, SAE J429).
    close(
        stud.bolt_strength_n.unwrap(),
        0.0775 * 645.16 * 120.0 * 6.894_757,
        30.0,
    );
    assert!(stud.bolt_strength_n < larger.bolt_strength_n);
    // Its step lies one to two pitches of 1/14 in below the finished face, and its thread starts below that.
    let depths = stud.depths.unwrap();
    close(depths.set_below_min.unwrap().inches(), 1.0 / 14.0, 1e-6);
    close(depths.set_below_max.unwrap().inches(), 2.0 / 14.0, 1e-6);
    assert!(stud.engaged.unwrap().from >= mm(0.5) + depths.set_below_min.unwrap());
    assert!(depths.full_thread.unwrap() >= stud.engaged.unwrap().to);
    assert_eq!(stud.verdict, Verdict::FitsWithCare);
    assert!(
        !stud
            .checks
            .iter()
            .any(|c| c.check == "hole in the part bolted on")
    );
}

#[test]
fn more_than_one_larger_bolt_is_tried() {
    let all = remedies(&sound());
    let mut larger: Vec<_> = all
        .iter()
        .filter(|a| a.remedy == Remedy::LargerBolt)
        .filter_map(|a| a.outside_thread.clone())
        .collect();
    larger.sort();
    assert_eq!(larger, ["1/2-13 UNC", "7/16-14 UNC", "7/16-20 UNF"]);
    // Near an edge that rules out the coarse one, the finer of the same size still has room: 7/32 + 3/14 and 7/32 + 3/20 in.
    let near = Situation {
        nearest_edge: Some(Length::from_fraction(40, 100)),
        ..sound()
    };
    let all = remedies(&near);
    let passes = |thread: &str| {
        let way = all.iter().find(|a| {
            a.remedy == Remedy::LargerBolt && a.outside_thread.as_deref() == Some(thread)
        });
        check(way.unwrap(), "edge distance").passes
    };
    assert_eq!(
        (passes("7/16-14 UNC"), passes("7/16-20 UNF")),
        (Some(false), Some(true))
    );
}
