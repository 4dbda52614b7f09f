#![allow(clippy::unwrap_used)]

use super::*;
use crate::thread::Thread;
use crate::thread::standard_threads;
use proptest::prelude::*;

#[test]
fn drills_parse_from_their_names() {
    for drill in DrillKinds::ALL.drills() {
        assert_eq!(Drill::parse(&drill.to_string()).unwrap(), drill, "{drill}");
        let json = serde_json::to_string(&drill).unwrap();
        assert_eq!(
            serde_json::from_str::<Drill>(&json).unwrap(),
            drill,
            "{drill}"
        );
    }
    assert_eq!(Drill::fraction(29).to_string(), "29/64");
    assert_eq!(Drill::fraction(68).to_string(), "1-1/16");
    assert_eq!(Drill::fraction(64).to_string(), "1 in");
    assert_eq!(Drill::metric(1020).to_string(), "10.2 mm");
    for wrong in [
        "", "29/63", "#0", "#81", "0.3 mm", "10.23 mm", "-1/4", "5 in", "nan",
    ] {
        let said = Drill::parse(wrong).unwrap_err().to_string();
        assert!(said.contains("29/64"), "{said}");
    }
    assert!(serde_json::from_str::<Drill>(r##"{"name":"#7","diameter_mm":5.2}"##).is_err());
}

/// Nominal percent and shop drills: FED-STD-H28/2B Table II.A.1, but 7/16-14 U, 9/16-18 33/64 and
/// 5/8-18 37/64 from memory.
#[test]
fn usual_inch_drills() {
    for (thread, drill) in [
        ("10-24", "#25"),
        ("10-32", "#21"),
        ("1/4-20", "#7"),
        ("1/4-28", "#3"),
        ("5/16-18", "F"),
        ("5/16-24", "I"),
        ("3/8-16", "5/16"),
        ("3/8-24", "Q"),
        ("7/16-14", "U"),
        ("7/16-20", "25/64"),
        ("1/2-13", "27/64"),
        ("1/2-20", "29/64"),
        ("9/16-12", "31/64"),
        ("9/16-18", "33/64"),
        ("5/8-11", "17/32"),
        ("5/8-18", "37/64"),
        ("3/4-10", "21/32"),
        ("3/4-16", "11/16"),
        ("7/8-9", "49/64"),
    ] {
        let found = tap_drill(&Thread::parse(thread).unwrap());
        assert_eq!(found.drill.to_string(), drill, "{thread}");
    }
}

#[test]
fn every_tap_drill_leaves_enough_thread() {
    for thread in standard_threads() {
        let found = tap_drill(&thread);
        // A taper thread is drilled for its small end.
        let percents = if thread.is_pipe() {
            70.0..140.0
        } else {
            60.0..90.0
        };
        assert!(
            percents.contains(&found.thread_percent),
            "{thread}: {found:?}"
        );
    }
}

#[test]
fn nearest_drills_of_some_kinds() {
    let quarter = Length::from_fraction(1, 4);
    assert_eq!(
        nearest_at_or_above(quarter, &DrillKinds::INCH)
            .unwrap()
            .to_string(),
        "1/4"
    );
    assert_eq!(
        nearest_at_or_below(quarter, &DrillKinds::INCH)
            .unwrap()
            .to_string(),
        "1/4"
    );
    let letters = DrillKinds::of(&[DrillKind::Letter, DrillKind::Number]);
    assert_eq!(
        nearest_at_or_above(quarter, &letters).unwrap().to_string(),
        "E"
    );
    assert_eq!(
        nearest_at_or_above(quarter, &DrillKinds::METRIC)
            .unwrap()
            .to_string(),
        "6.4 mm"
    );
    assert_eq!(
        nearest_at_or_below(quarter, &DrillKinds::METRIC)
            .unwrap()
            .to_string(),
        "6.3 mm"
    );
    let none = DrillKinds::of(&[]);
    assert_eq!(nearest(quarter, &none), None);
    assert_eq!(
        nearest_at_or_above(Length::from_nm(80_000_000), &DrillKinds::ALL),
        None
    );
    // MS51830E: hole .396 to .401 before tapping 7/16-14; the only inch drill in it is letter X.
    let (min, max) = (
        Length::from_fraction(396, 1000),
        Length::from_fraction(401, 1000),
    );
    assert_eq!(
        between(min, max, min, &DrillKinds::INCH)
            .unwrap()
            .to_string(),
        "X"
    );
}

/// FED-STD-H28/2B paragraph 30.1, by hand for 3/8-16: D1 .307 to .321, tolerance .014.
#[test]
fn hole_by_length_of_engagement() {
    let thread = Thread::parse("3/8-16").unwrap();
    let limits = thread.usual_internal();
    let hole = |diameters: f64| {
        let engagement = Length::from_inches(0.375 * diameters).unwrap();
        hole_before_tapping(&thread, &limits, engagement).map(|(a, b)| (a.inches(), b.inches()))
    };
    let close = |found: Option<(f64, f64)>, least: f64, largest: f64| {
        let (a, b) = found.unwrap();
        assert!(
            (a - least).abs() < 1e-6 && (b - largest).abs() < 1e-6,
            "{a} {b}"
        );
    };
    close(hole(0.3), 0.307, 0.314);
    close(hole(0.5), 0.3105, 0.3175);
    close(hole(1.0), 0.314, 0.321);
    close(hole(2.0), 0.3175, 0.3245);
    assert_eq!(hole(0.0), None);
    assert_eq!(hole(3.5), None);
}

#[test]
fn oversize_is_interpolated() {
    let over =
        |inches: f64| mean_oversize(Length::from_inches(inches).unwrap()).map(|l| l.inches());
    assert!((over(0.27).unwrap() - 0.0041).abs() < 1e-6);
    assert!((over(0.0625).unwrap() - 0.0015).abs() < 1e-6);
    assert!(over(0.28).unwrap() > 0.0041 && over(0.28).unwrap() < 0.0044);
    assert_eq!(over(0.03), None);
    assert_eq!(over(1.0), None);
}

#[test]
fn clearance_holes_are_larger_than_the_bolt() {
    for thread in standard_threads() {
        if let Some(hole) = clearance_diameter(&thread) {
            let play = (hole - thread.nominal()).mm();
            // 0.38 mm at No. 1, 6 mm at M64.
            assert!((0.2..6.5).contains(&play), "{thread}: {play}");
        }
    }
    assert_eq!(
        clearance_diameter(&Thread::parse("3/8-16").unwrap()),
        Some(Length::from_fraction(13, 32))
    );
}

mod choosing;
mod kinds;

proptest! {
    #[test]
    fn thread_percent_inverts_the_hole_formula(percent in 1.0_f64..100.0, index in 0_usize..60) {
        let thread = standard_threads().nth(index).unwrap();
        let p = thread.pitch_mm();
        let hole = Length::from_mm(thread.nominal().mm() - 0.012_990_38 * percent * p).unwrap();
        prop_assert!((thread_percent(&thread, hole) - percent).abs() < 1e-3);
    }

    #[test]
    fn neighbors_enclose_the_diameter(nm in 600_000_i64..31_000_000) {
        let x = Length::from_nm(nm);
        let above = nearest_at_or_above(x, &DrillKinds::ALL).unwrap().diameter;
        let below = nearest_at_or_below(x, &DrillKinds::ALL).unwrap().diameter;
        prop_assert!(below <= x && x <= above);
        let near = nearest(x, &DrillKinds::ALL).unwrap().diameter;
        prop_assert!(near == above || near == below);
    }
}
