//! Strength of the thread left.

use super::super::candidate::Candidate;
use super::*;
use crate::hole::testing::*;
use crate::insert::Insert;
use crate::strength::parent_shear_area_mm2_per_mm;

#[test]
fn counted_length_matches_the_published_area_of_plain_inserts() {
    // Overhaul manual 20-00-02, Tables 402 and 403, "plain", in2 (secondary source): the rule must
    // not promise more.
    let published = [
        ("1/4-20", 0.2371, 0.2842),
        ("5/16-18", 0.3049, 0.3588),
        ("3/8-16", 0.4299, 0.4975),
        ("7/16-14", 0.5665, 0.7172),
        ("1/2-13", 0.7175, 0.8884),
    ];
    for (size, thin, heavy) in published {
        for insert in Catalog::standard().inserts_for(&thread(size)) {
            let area = match insert.family {
                Family::KeyLockingThinWall => thin,
                Family::KeyLockingHeavyDuty => heavy,
                _ => continue,
            };
            let candidate = Candidate::of_insert(&insert);
            let (from, to) = candidate.engaged;
            let ours = candidate.area_mm2_per_mm * (to - from).mm() / 645.16;
            assert!(
                ours < area * 1.03 && ours > area * 0.80,
                "{size} {ours} {area}"
            );
        }
    }
}

#[test]
fn published_area_shrinks_with_the_thread_left() {
    // Overhaul manual 20-00-02, Table 402: 3/8 heavy duty, locking type, .3843 in2 in a sound wall;
    // class 20 iron shears at .75 of 138 MPa.
    let whole = assess(&sound());
    let published_n = 0.3843 * 645.16 * 103.5;
    close(heavy(&whole).parent_strength_n.unwrap(), published_n, 0.5);
    let hurt = assess(&with(vec![station(0.0, 20.0, 13.6, 0.0, 0.0)]));
    // The hole is 13.097 wide and the thread 14.288: 13.6 leaves .688 / 1.191 of the flank.
    let left = (14.2875 - 13.6) / (14.2875 - 13.096875);
    close(
        heavy(&hurt).parent_strength_n.unwrap(),
        published_n * left,
        0.5,
    );
}

#[test]
fn tapering_crater_leaves_more_thread() {
    let whole = with(vec![station(0.0, 12.0, 14.0, 1.2, 0.0)]);
    let mut tapered = whole.clone();
    tapered.damage.stations[0] = changing(station(0.0, 12.0, 14.0, 1.2, 0.0), 6.0, 0.0, 0.0);
    let strength = |hole: &Situation| heavy(&assess(hole)).parent_strength_n.unwrap();
    assert!(strength(&tapered) > strength(&whole));
    assert!(strength(&tapered) < strength(&sound()));
}

/// Published areas of locking inserts are .65 to .89 of the plain formula (overhaul manual 20-00-02,
/// Tables 402 and 403, secondary source), so a row without one counts the least of that.
#[test]
fn key_slots_are_taken_from_an_insert_without_a_published_area() {
    let inserts = Catalog::standard().inserts_for(&thread("3/8-16"));
    let of = |family| {
        inserts
            .iter()
            .find(|insert| insert.family == family)
            .unwrap()
    };
    let plain = |insert: &Insert| parent_shear_area_mm2_per_mm(&insert.outside);
    let extra_heavy = of(Family::KeyLockingExtraHeavyDuty);
    assert_eq!(extra_heavy.published_shear_area_mm2, None);
    let ours = Candidate::of_insert(extra_heavy).area_mm2_per_mm;
    close(ours / plain(extra_heavy), 0.65, 1e-9);
    let bushing = of(Family::Bushing);
    close(
        Candidate::of_insert(bushing).area_mm2_per_mm,
        plain(bushing),
        1e-9,
    );
}

/// Half the tensile strength counts where the iron is unknown or has a hard spot.
#[test]
fn suspect_iron_counts_at_its_floor() {
    let known = sound();
    let strength = |situation: &Situation| {
        let leave = assess(situation).swap_remove(0);
        (
            leave.parent_strength_n.unwrap(),
            leave.parent_strength_floor_n.unwrap(),
        )
    };
    let (planned, floor) = strength(&known);
    close(planned / floor, 1.5, 1e-9);
    let unknown = Situation {
        metal: Metal::default(),
        ..known.clone()
    };
    let (planned, floor) = strength(&unknown);
    close(planned, floor, 1e-9);
    let mut hard = known;
    hard.damage.hard = vec![span(25.0, 28.0).into()];
    let leave = find(&assess(&hard), Remedy::Leave, None).clone();
    close(
        leave.parent_strength_n.unwrap(),
        leave.parent_strength_floor_n.unwrap(),
        1e-9,
    );
}

/// A plug of half the thickness that its thread would need holds the bolt over what is there.
#[test]
fn parts_in_thin_metal_count_the_length_that_is_there() {
    let thin = Situation {
        through: Some(true),
        floor: None,
        depth: Some(mm(12.0)),
        ..sound()
    };
    for assessment in assess(&thin) {
        if let Some(engaged) = assessment.engaged {
            assert!(
                engaged.to <= mm(12.0),
                "{:?} {engaged:?}",
                assessment.remedy
            );
        }
    }
}
