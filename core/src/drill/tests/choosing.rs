#![allow(clippy::unwrap_used)]

use super::*;

const FRACTIONS: DrillKinds = DrillKinds::of(&[DrillKind::Fractional]);

fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap()
}

fn name(choice: Option<DrillChoice>) -> String {
    choice.unwrap().drill.to_string()
}

/// FED-STD-H28/2B Table II.A.1 has 77 % for 5/16 in 3/8-16; 21/64 is .3281, so (.375 - .3281) 16 /
/// .0129904 = 57.7 %, and .3281 lies above its .321.
#[test]
fn a_drawer_with_fractions_only() {
    let found = drill_choices(&tapped_hole(&thread("3/8-16"), None), FRACTIONS);
    assert_eq!(
        (name(found.below), name(found.above)),
        ("5/16".to_owned(), "21/64".to_owned())
    );
    let (below, above) = (found.below.unwrap(), found.above.unwrap());
    assert!((below.thread_percent.unwrap() - 77.0).abs() < 0.5);
    assert!((above.thread_percent.unwrap() - 57.7).abs() < 0.1);
    assert_eq!(
        (below.size_check, above.size_check),
        (SizeCheck::Within, SizeCheck::TooLarge)
    );
    assert_eq!(found.best().unwrap().drill, below.drill);
    // Mean oversize near 5/16 in: .0044.
    assert!((below.cuts.unwrap().inches() - 0.3169).abs() < 1e-4);
    assert!(below.cut_percent.unwrap() < below.thread_percent.unwrap());
}

#[test]
fn no_drill_in_the_drawer_is_within_the_limits() {
    // MS51830E: .396 to .401 before tapping 7/16-14 for the thin wall insert; no fraction lies
    // between.
    let (least, largest) = (
        Length::from_fraction(396, 1000),
        Length::from_fraction(401, 1000),
    );
    let wanted = HoleSpec {
        purpose: HolePurpose::Insert,
        job: "7/16-14".to_owned(),
        aim: (least + largest) / 2,
        least: Some(least),
        largest: Some(largest),
        depth: None,
        source: "MS51830E".to_owned(),
    };
    let found = drill_choices(&wanted, FRACTIONS);
    assert_eq!(
        (name(found.below), name(found.above)),
        ("25/64".to_owned(), "13/32".to_owned())
    );
    assert!(found.best().is_none());
    let letters = drill_choices(&wanted, DrillKinds::INCH);
    assert_eq!(letters.best().unwrap().drill.to_string(), "X");
    // X is .397 and cuts .4016 in the mean of the tests: over.
    assert_eq!(
        letters.best().unwrap().cut_size_check,
        Some(SizeCheck::TooLarge)
    );
}

#[test]
fn an_exact_drill_is_listed_with_its_neighbors() {
    let wanted = clearance_hole(&thread("3/8-16"), ClearanceFit::Normal).unwrap();
    let found = drill_choices(&wanted, FRACTIONS);
    assert_eq!(name(found.exact), "13/32");
    assert_eq!(
        (name(found.below), name(found.above)),
        ("25/64".to_owned(), "27/64".to_owned())
    );
    assert_eq!(found.best(), found.exact.as_ref());
    assert_eq!(found.below.unwrap().size_check, SizeCheck::TooSmall);
    assert_eq!(found.exact.unwrap().thread_percent, None);
}

#[test]
fn clearance_grows_with_the_fit_and_unlisted_sizes_have_none() {
    for thread in standard_threads() {
        let holes = ClearanceFit::ALL.map(|fit| clearance_hole(&thread, fit));
        match holes.map(|hole| hole.map(|hole| hole.aim)) {
            [Some(close), Some(normal), Some(loose)] => {
                assert!(
                    thread.nominal() < close && close < normal && normal < loose,
                    "{thread}"
                );
            }
            [None, None, None] => {}
            some => panic!("{thread}: {some:?}"),
        }
    }
    // ASME B18.2.8 has neither.
    for size in ["9/16-12", "12-24"] {
        assert!(
            clearance_hole(&thread(size), ClearanceFit::Close).is_none(),
            "{size}"
        );
    }
}

#[test]
fn holes_in_a_broken_bolt_stay_inside_its_thread() {
    for thread in standard_threads() {
        let (pilot, core) = (broken_bolt_pilot(&thread), broken_bolt_core(&thread));
        let minor = thread.usual_internal().minor_min;
        assert!(pilot.aim < minor && pilot.least < pilot.largest, "{thread}");
        assert!(core.largest.unwrap() < minor, "{thread}");
        let best = drill_choices(&core, DrillKinds::ALL).best().unwrap().drill;
        assert!(best.diameter <= core.aim, "{thread}");
    }
    // Half of 3/8 is 3/16.
    let pilot = drill_choices(&broken_bolt_pilot(&thread("3/8-16")), FRACTIONS);
    assert_eq!(name(pilot.exact), "3/16");
}

/// Paragraph 30.1: 3/8-16 over two diameters, .3175 to .3245; at 75 % the hole would be .3141.
#[test]
fn a_longer_thread_allows_a_larger_hole() {
    let long = tapped_hole(&thread("3/8-16"), Some(Length::from_inches(0.75).unwrap()));
    assert!((long.least.unwrap().inches() - 0.3175).abs() < 1e-6);
    assert!((long.largest.unwrap().inches() - 0.3245).abs() < 1e-6);
    assert_eq!(long.aim, long.least.unwrap());
    assert!(long.source.contains("30.1"));
    let usual = tapped_hole(&thread("3/8-16"), None);
    let beyond = tapped_hole(&thread("3/8-16"), Some(Length::from_inches(3.0).unwrap()));
    assert_eq!((beyond.least, beyond.largest), (usual.least, usual.largest));
    assert!(!beyond.source.contains("30.1"));
}

#[test]
fn drill_choices_in_json() {
    let found = drill_choices(&tapped_hole(&thread("3/8-16"), None), FRACTIONS);
    let json = serde_json::to_value(&found).unwrap();
    assert_eq!(json["purpose"], "tap");
    assert_eq!(json["drawer"], "fractional");
    assert_eq!(json["below"]["name"], "5/16");
    assert_eq!(json["below"]["size_check"], "within");
    assert!(json["exact"].is_null());
    assert!(json["least_mm"].as_f64().unwrap() > 7.0);
}

proptest! {
    #[test]
    fn no_drill_lies_between_the_neighbors(nm in 600_000_i64..30_000_000, bits in 1_u8..32) {
        let kinds: Vec<DrillKind> = DrillKind::ALL.into_iter().enumerate().filter(|(place, _)| bits & (1 << place) != 0).map(|(_, kind)| kind).collect();
        let drawer = DrillKinds::of(&kinds);
        let aim = Length::from_nm(nm);
        let found = drill_choices(&HoleSpec::diameter(aim), drawer);
        let below = found.below.map(|choice| choice.drill.diameter);
        let above = found.above.map(|choice| choice.drill.diameter);
        prop_assert!(below.is_none_or(|below| below < aim) && above.is_none_or(|above| above > aim));
        for drill in drawer.drills() {
            let d = drill.diameter;
            prop_assert!(below.is_some_and(|below| d <= below) || d == aim || above.is_some_and(|above| d >= above));
        }
    }
}

#[test]
fn no_drill_is_recommended_beyond_the_sizes_of_the_drawer() {
    for far in ["900 in", "0.01 mm"] {
        let diameter = crate::length::Length::parse(far, None).unwrap();
        let found = drill_choices(&HoleSpec::diameter(diameter), DrillKinds::ALL);
        assert_eq!(found.best(), None, "{far}");
        assert!(
            found
                .no_fit_advice(Unit::Inch)
                .unwrap()
                .contains("No drill near that size")
        );
        assert_eq!(found.iter().count(), 1);
    }
}

/// Charts name drills above the printed limit for some fine threads, such as 33/64 (.5156) for
/// 9/16-18 (.502 to .515, FED-STD-H28/2B Table II.A.1).
#[test]
fn where_the_usual_tap_drill_is_outside_the_limits_one_inside_is_named() {
    let (mut outside, mut named_inside) = (0, 0);
    for size in
        crate::thread::standard_threads().filter(|size| size.usual_internal().class.is_some())
    {
        let limits = size.usual_internal();
        let inside =
            |diameter: Length| limits.minor_min <= diameter && diameter <= limits.minor_max;
        let report = crate::thread::report::report(size, None).unwrap().tap_drill;
        if inside(report.drill.diameter) {
            assert_eq!(report.warning(Unit::Inch), None, "{size}");
            continue;
        }
        outside += 1;
        let warning = report.warning(Unit::Inch).unwrap();
        let Some(named) = report.nearest_within else {
            assert!(
                !DrillKinds::ALL.drills().any(|drill| inside(drill.diameter)),
                "{size}"
            );
            assert!(warning.contains("ream"), "{warning}");
            continue;
        };
        named_inside += 1;
        assert!(inside(named.diameter), "{size}: {named}");
        assert!(warning.contains(&named.to_string()), "{warning}");
        let letters = drill_choices(
            &tapped_hole(&size, None),
            DrillKinds::of(&[DrillKind::Letter]),
        );
        let best = letters.best().or(letters.nearest_within.as_ref());
        assert!(inside(best.unwrap().drill.diameter), "{size}");
    }
    assert!(
        outside > 10 && named_inside > 10,
        "{outside} {named_inside}"
    );
}
