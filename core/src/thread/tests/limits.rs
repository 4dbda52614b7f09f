//! Tests of the limits of all threads and classes.

use super::super::*;
use super::{inches, thread};

fn both_hands() -> impl Iterator<Item = Thread> {
    standard_threads().flat_map(|t| [t, t.with_hand(Hand::Left)])
}

#[test]
fn every_standard_thread_parses_from_its_designation() {
    let mut seen = std::collections::HashSet::new();
    for t in both_hands() {
        assert!(seen.insert(t.designation()), "{t} is listed twice");
        assert_eq!(thread(&t.designation()), t);
        let json = serde_json::to_string(&t).unwrap();
        assert_eq!(serde_json::from_str::<Thread>(&json).unwrap(), t);
    }
    assert!(seen.len() > 700, "{}", seen.len());
}

#[test]
fn limits_of_the_usual_class_are_in_order() {
    for t in standard_threads() {
        let (hole, screw) = (t.usual_internal(), t.usual_external());
        assert!(hole.minor_min.is_positive(), "{t}");
        assert!(hole.minor_max < hole.pitch_diameter_min, "{t}");
        assert!(hole.pitch_diameter_max < hole.major_min, "{t}");
        assert!(screw.pitch_diameter_max <= hole.pitch_diameter_min, "{t}");
        assert!(screw.pitch_diameter_max < screw.major_min, "{t}");
        assert!(
            screw.minor_max <= hole.minor_min + Length::from_nm(12_700),
            "{t}"
        );
        assert!(screw.rounded_root_max <= screw.minor_max, "{t}");
        assert!(t.intact_bore_max() >= hole.minor_max, "{t}");
        assert!(t.intact_bore_max() < hole.pitch_diameter_min, "{t}");
        assert_eq!(hole.class.is_some(), screw.class.is_some(), "{t}");
    }
}

#[test]
fn in_every_class_min_is_below_max() {
    for t in standard_threads() {
        for hole in InternalClass::ALL
            .into_iter()
            .filter_map(|c| t.internal(c).ok())
        {
            assert!(hole.minor_min < hole.minor_max, "{t} {:?}", hole.class);
            assert!(hole.pitch_diameter_min < hole.pitch_diameter_max, "{t}");
            assert!(
                hole.minor_max < hole.pitch_diameter_max,
                "{t} {:?}",
                hole.class
            );
        }
        for screw in ExternalClass::ALL
            .into_iter()
            .filter_map(|c| t.external(c).ok())
        {
            assert!(
                screw.major_min < screw.major_max && screw.major_max <= t.nominal,
                "{t}"
            );
            assert!(screw.pitch_diameter_min < screw.pitch_diameter_max, "{t}");
        }
    }
}

/// Each class with the next looser one of its system.
const LOOSER: [(InternalClass, InternalClass); 5] = [
    (InternalClass::Unified3B, InternalClass::Unified2B),
    (InternalClass::Unified2B, InternalClass::Unified1B),
    (InternalClass::Metric4H, InternalClass::Metric5H),
    (InternalClass::Metric5H, InternalClass::Metric6H),
    (InternalClass::Metric6H, InternalClass::Metric7H),
];

#[test]
fn tighter_classes_lie_within_looser_ones() {
    let mut compared = 0;
    for t in standard_threads() {
        for (close, loose) in LOOSER {
            let (Ok(close), Ok(loose)) = (t.internal(close), t.internal(loose)) else {
                continue;
            };
            assert_eq!(close.pitch_diameter_min, loose.pitch_diameter_min, "{t}");
            assert!(close.pitch_diameter_max < loose.pitch_diameter_max, "{t}");
            // 2B minor diameters are rounded to three places and 3B to four, so they may pass by
            // half a thousandth.
            let half_thou = Length::from_fraction(5, 10_000);
            assert!(close.minor_max <= loose.minor_max + half_thou, "{t}");
            compared += 1;
        }
    }
    assert!(compared > 500, "{compared}");
}

#[test]
fn class_1b_exists_only_for_unc_and_unf_from_a_quarter_inch() {
    let has = |text: &str| thread(text).internal(InternalClass::Unified1B).is_ok();
    assert!(has("1/4-20") && has("1-12 UNF"));
    assert!(
        !has("12-24") && !has("1/2-28 UNEF") && !has("1-14 UNS") && !has("M10") && !has("1/2 BSW")
    );
}

/// Machinery's Handbook 31, Tables 3 and 4 (from ASME B1.1): 1/2-28 UNEF-2A/2B, engagement nine
/// pitches.
#[test]
fn handbook_example_half_inch_28() {
    let t = thread("1/2-28 UNEF");
    assert!(
        (unified::pitch_diameter_tolerance_2a_in(0.5, 9.0 / 28.0, 28.0) - 0.003668).abs() < 5e-7
    );
    let screw = t.usual_external();
    assert_eq!(inches(screw.major_max), 0.4989);
    assert_eq!(inches(screw.major_min), 0.4924);
    assert_eq!(inches(screw.pitch_diameter_max), 0.4757);
    assert_eq!(inches(screw.pitch_diameter_min), 0.4720);
    assert_eq!(inches(screw.minor_max), 0.4602);
    assert_eq!(inches(screw.rounded_root_max), 0.4564);
    assert_eq!(inches(t.usual_internal().minor_min), 0.461);
}
