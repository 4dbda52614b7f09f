//! Strength of the thread left.

use super::super::candidate::Candidate;
use super::*;
use crate::hole::testing::*;

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
    // class 20 iron shears at 69 MPa.
    let whole = assess(&sound());
    let published_n = 0.3843 * 645.16 * 69.0;
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
