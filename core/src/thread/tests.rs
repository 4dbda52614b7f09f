#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap()
}

fn inches(length: Length) -> f64 {
    length.inches()
}

#[test]
fn ways_of_writing_one_thread() {
    let three_eighths = thread("3/8-16 UNC");
    for text in [
        "3/8-16",
        "3/8 - 16 unc",
        "0.375-16",
        ".375-16",
        "3/8 UNC",
        "3/8\"-16",
        "3/8-16 tpi",
        "3/8-16UNC",
    ] {
        assert_eq!(thread(text), three_eighths, "{text}");
    }
    for text in ["#10-24", "10-24", "No. 10-24", ".190-24 UNC"] {
        assert_eq!(thread(text).designation(), "10-24 UNC", "{text}");
    }
    for text in ["M10", "m10x1.5", "M10 x 1.5", "M10×1,5", "M10-1.5"] {
        assert_eq!(thread(text).designation(), "M10x1.5", "{text}");
    }
    assert_eq!(thread("1-1/8-12").designation(), "1-1/8-12 UNF");
    assert_eq!(thread("1 1/8-12").designation(), "1-1/8-12 UNF");
    assert_eq!(thread("1-8").designation(), "1-8 UNC");
    assert_eq!(thread("1-64").nominal(), Length::from_fraction(73, 1000));
    assert_eq!(thread("11/16-11").designation(), "11/16-11 NS");
    assert_eq!(thread(".438-14").designation(), "7/16-14 UNC");
}

#[test]
fn a_thread_that_does_not_exist_names_its_neighbours() {
    let said = Thread::parse("3/8-17").unwrap_err().to_string();
    assert!(said.contains("3/8-16 UNC, 3/8-24 UNF"), "{said}");
    let said = Thread::parse("M11").unwrap_err().to_string();
    assert!(
        said.contains("M10x1.5") && said.contains("M12x1.75"),
        "{said}"
    );
    let said = Thread::parse("M10x1.3").unwrap_err().to_string();
    assert!(said.contains("M10x1.5"), "{said}");
    let said = Thread::parse("3/8").unwrap_err().to_string();
    assert!(
        said.contains("3/8-16 UNC") && said.contains("3/8-24 UNF"),
        "{said}"
    );
    assert!(matches!(
        Thread::parse("3/8-16 LH"),
        Err(ThreadError::LeftHand { .. })
    ));
    assert!(matches!(
        Thread::parse("3/8-16 UNC-2B"),
        Err(ThreadError::ClassInDesignation { .. })
    ));
    assert!(matches!(
        Thread::parse("3/8-16 BSW"),
        Err(ThreadError::SeriesNotKept { .. })
    ));
    for text in [
        "",
        "0-0",
        "-3/8-16",
        "NaN-16",
        "3/8-0",
        "3/8--16",
        "M",
        "M0",
        "M-10",
        "M10x0",
        "x",
        "3/8-16 XYZ",
        "∞",
    ] {
        assert!(Thread::parse(text).is_err(), "{text}");
    }
}

#[test]
fn every_listed_thread_has_its_limits_and_reads_back() {
    let mut seen = std::collections::HashSet::new();
    for t in standard_threads() {
        assert!(seen.insert((t.nominal, t.pitch)), "{t} is listed twice");
        assert_eq!(thread(&t.designation()), t);
        let json = serde_json::to_string(&t).unwrap();
        assert_eq!(serde_json::from_str::<Thread>(&json).unwrap(), t);
        let (hole, screw) = (t.usual_internal(), t.usual_external());
        assert!(hole.minor_min < hole.minor_max, "{t}");
        assert!(hole.minor_max < hole.pitch_diameter_min, "{t}");
        assert!(hole.pitch_diameter_min < hole.pitch_diameter_max, "{t}");
        assert!(hole.pitch_diameter_max < t.nominal, "{t}");
        assert!(
            screw.major_min < screw.major_max && screw.major_max < t.nominal,
            "{t}"
        );
        assert!(screw.pitch_diameter_min < screw.pitch_diameter_max, "{t}");
        assert!(
            screw.pitch_diameter_max < hole.pitch_diameter_min,
            "{t}: a 2A screw must enter a 2B hole"
        );
        assert!(
            screw.minor_max < hole.minor_min + Length::from_nm(12_700),
            "{t}"
        );
        assert!(screw.rounded_root_max < screw.minor_max, "{t}");
    }
}

#[test]
fn closer_classes_lie_within_looser_ones() {
    for t in standard_threads() {
        let classes: &[InternalClass] = if t.series.is_metric() {
            &InternalClass::ALL[3..]
        } else {
            &InternalClass::ALL[..3]
        };
        let mut widths: Vec<Length> = classes
            .iter()
            .map(|&c| t.internal(c).unwrap())
            .map(|l| l.pitch_diameter_max - l.pitch_diameter_min)
            .collect();
        if !t.series.is_metric() {
            widths.reverse(); // 1B is the loose one.
        }
        assert!(widths.windows(2).all(|w| w[0] < w[1]), "{t}: {widths:?}");
        assert!(
            t.internal(if t.series.is_metric() {
                InternalClass::Unified2B
            } else {
                InternalClass::Metric6H
            })
            .is_err()
        );
    }
}

/// Machinery's Handbook 31, Tables 3 and 4 (from ASME B1.1): 1/2-28 UNEF-2A/2B, engagement nine pitches.
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

proptest! {
    #[test]
    fn no_text_makes_it_fall_over(text in "\\PC{0,30}") {
        if let Ok(t) = Thread::parse(&text) {
            prop_assert_eq!(thread(&t.designation()), t);
        }
    }

    #[test]
    fn near_designations_never_fall_over(text in "[mM#]?[0-9/.-]{1,8}[- x]?[0-9.]{0,4} ?(UNC|unf|LH|2B)?") {
        if let Ok(t) = Thread::parse(&text) {
            prop_assert_eq!(thread(&t.designation()), t);
        }
    }
}
