#![allow(clippy::unwrap_used)]

use super::*;
use crate::drill::{Drill, DrillKinds};
use crate::insert::TapChamfer;
use crate::length::Unit;
use proptest::prelude::*;

fn inch(text: &str) -> Length {
    Length::parse(text, None).unwrap()
}

/// 3.82 times the surface speed over the diameter, as drilling guides print the rule (secondary
/// source).
#[test]
fn rpm_agrees_with_the_shop_rule() {
    let half = inch("1/2");
    assert!((rpm(100.0, half) - 764.0).abs() < 0.5);
    for (ft_min, diameter) in [(30.0, "1/8"), (70.0, "25/64"), (150.0, "1-1/16")] {
        let rule = 3.82 * ft_min / inch(diameter).inches();
        assert!((rpm(ft_min, inch(diameter)) / rule - 1.0).abs() < 2e-4);
    }
}

#[test]
fn chilled_iron_and_absurd_diameters_are_refused() {
    for material in ToolMaterial::ALL {
        let error = speeds(Operation::Tap, material, Hardness::Chilled, inch("3/8")).unwrap_err();
        assert!(error.to_string().contains("tap"), "{error}");
    }
    for absurd in [Length::ZERO, -inch("1/4"), inch("40 in")] {
        assert!(
            speeds(
                Operation::Drill,
                ToolMaterial::HighSpeedSteel,
                Hardness::Soft,
                absurd
            )
            .is_err()
        );
    }
}

/// TM 9-254 paragraph 4-27 d, at 3/8-16: 1/16 in a thread.
#[test]
fn chamfers_in_threads_and_length() {
    let [taper, plug, bottoming] = chamfer_leads(25.4 / 16.0);
    assert_eq!(
        (taper.tap, taper.shortest, taper.longest),
        (TapChamfer::Taper, inch("7/16"), inch("5/8"))
    );
    assert_eq!((plug.shortest, plug.longest), (inch("3/16"), inch("5/16")));
    assert_eq!(
        (bottoming.shortest, bottoming.longest),
        (inch("1/16"), inch("1/8"))
    );
    for lead in [taper, plug, bottoming] {
        // The chamfer used for depths lies within the range of real taps.
        let threads = lead.tap.threads();
        assert!((i64::from(lead.threads_min)..=i64::from(lead.threads_max)).contains(&threads));
    }
}

#[test]
fn an_off_center_hole_starts_with_an_end_mill() {
    let last = Drill::parse("X").unwrap();
    let old = OldHole {
        offset: inch("1/16"),
        diameter: Some(inch("5/16")),
    };
    let tools = pilot_sequence(&last, Some(old), &DrillKinds::INCH);
    let names: Vec<String> = tools.iter().map(|tool| tool.cutter.to_string()).collect();
    assert_eq!(names, ["end mill 3/8", "stub drill 3/8", "drill X"]);
    assert!(
        tools[2].why.contains("breaks into the wall"),
        "{}",
        tools[2].why
    );
    let no_old = pilot_sequence(&last, None, &DrillKinds::INCH);
    assert!(
        !no_old
            .iter()
            .any(|tool| matches!(tool.cutter, Cutter::EndMill(_)))
    );
    let metric = pilot_sequence(&Drill::metric(1050), Some(old), &DrillKinds::METRIC);
    assert_eq!(metric[0].cutter.to_string(), "end mill 10 mm");
}

#[test]
fn harder_iron_wears_out_more_tools() {
    let of = |hardness| tool_wear(hardness, false, false);
    for pair in Hardness::ALL.windows(2) {
        let (softer, harder) = (of(pair[0]), of(pair[1]));
        assert!(softer.drills.1 <= harder.drills.1);
    }
    let worst = tool_wear(Hardness::Hard, true, true);
    assert!(worst.drills.1 > of(Hardness::Hard).drills.1);
    assert_eq!(worst.reasons.len(), 3);
    assert_eq!(of(Hardness::Chilled).taps, None);
}

/// 1/2 in drill: .004 to .007 in/rev in the manual's table (secondary source).
#[test]
fn feeds_are_shown_per_revolution_and_per_tooth() {
    let shown = |operation, diameter, unit| {
        let found = speeds(
            operation,
            ToolMaterial::HighSpeedSteel,
            Hardness::Medium,
            inch(diameter),
        );
        found.unwrap().feed.unwrap().show(unit)
    };
    assert_eq!(
        shown(Operation::Drill, "1/2", Unit::Inch),
        ".004-.007 in/rev"
    );
    assert_eq!(
        shown(Operation::Drill, "1/2", Unit::Millimeter),
        "0.1-0.18 mm/rev"
    );
    assert_eq!(
        shown(Operation::EndMill, "1/4", Unit::Inch),
        ".0013-.0025 in/tooth"
    );
}

/// A tap maker's table: 30 to 40 ft/min from 150 to 300 Brinell (secondary source). Class 20 iron
/// has typically 156.
#[test]
fn ordinary_iron_is_tapped_at_thirty_to_forty() {
    for hardness in [Hardness::Soft, Hardness::Medium, Hardness::Hard] {
        let found = speeds(
            Operation::Tap,
            ToolMaterial::HighSpeedSteel,
            hardness,
            inch("3/8"),
        );
        assert_eq!(found.unwrap().surface_ft_min, (30.0, 40.0));
    }
}

/// Half the feed in hard iron: common practice, no source.
#[test]
fn hard_iron_is_drilled_with_half_the_feed() {
    let feed = |hardness| {
        let steel = ToolMaterial::HighSpeedSteel;
        let found = speeds(Operation::Drill, steel, hardness, inch("1/2")).unwrap();
        found.feed.unwrap()
    };
    for hardness in [Hardness::Hard, Hardness::Chilled] {
        assert_eq!(feed(hardness).most * 2, feed(Hardness::Soft).most);
        assert_eq!(feed(hardness).show(Unit::Inch), ".0020-.0035 in/rev");
        assert!(feed(hardness).source.contains("no source"));
    }
}

#[test]
fn deeper_holes_are_drilled_slower() {
    assert_eq!(deep_hole_reduction(2.9), None);
    assert_eq!(deep_hole_reduction(f64::NAN), None);
    let reductions: Vec<DeepHoleReduction> = [3.0, 4.0, 5.0, 6.0, 9.0]
        .map(|d| deep_hole_reduction(d).unwrap())
        .to_vec();
    assert!(
        reductions
            .windows(2)
            .all(|pair| pair[0].speed <= pair[1].speed && pair[0].feed <= pair[1].feed)
    );
}

fn any_operation() -> impl Strategy<Value = Operation> {
    prop::sample::select(Operation::ALL.to_vec())
}

fn any_material() -> impl Strategy<Value = ToolMaterial> {
    prop::sample::select(ToolMaterial::ALL.to_vec())
}

proptest! {
    #[test]
    fn larger_tools_turn_no_faster(operation in any_operation(), material in any_material(), a in 500_000_i64..100_000_000, b in 500_000_i64..100_000_000) {
        let (small, large) = (Length::from_nm(a.min(b)), Length::from_nm(a.max(b)));
        for hardness in Hardness::ALL {
            let at = |diameter| speeds(operation, material, hardness, diameter);
            let (Ok(small), Ok(large)) = (at(small), at(large)) else { continue };
            prop_assert!(small.rpm.0 >= large.rpm.0 && small.rpm.1 >= large.rpm.1);
            prop_assert!(small.rpm.0 <= small.rpm.1);
            if let (Some(s), Some(l)) = (small.feed, large.feed) {
                prop_assert!(s.most <= l.most && s.least <= s.most);
            }
        }
    }

    #[test]
    fn harder_iron_is_never_cut_faster(operation in any_operation(), material in any_material(), nm in 500_000_i64..100_000_000) {
        let diameter = Length::from_nm(nm);
        let at = |hardness| speeds(operation, material, hardness, diameter).ok();
        for pair in Hardness::ALL.windows(2) {
            let (Some(softer), Some(harder)) = (at(pair[0]), at(pair[1])) else { continue };
            prop_assert!(harder.rpm.0 <= softer.rpm.0 && harder.rpm.1 <= softer.rpm.1);
        }
    }

    #[test]
    fn carbide_turns_no_slower(operation in any_operation(), nm in 500_000_i64..100_000_000) {
        for hardness in Hardness::ALL {
            let at = |material| speeds(operation, material, hardness, Length::from_nm(nm));
            let (Ok(steel), Ok(carbide)) = (at(ToolMaterial::HighSpeedSteel), at(ToolMaterial::Carbide)) else { continue };
            prop_assert!(carbide.rpm.0 >= steel.rpm.0 && carbide.rpm.1 >= steel.rpm.1);
        }
    }

    #[test]
    fn every_pilot_is_smaller_than_the_next(sixty_fourths in 8_u16..=64, offset in 0_i64..5_000_000, bore in 3_000_000_i64..20_000_000) {
        let old = OldHole { offset: Length::from_nm(offset), diameter: Some(Length::from_nm(bore)) };
        let tools = pilot_sequence(&Drill::fraction(sixty_fourths), Some(old), &DrillKinds::INCH);
        prop_assert_eq!(tools.last().unwrap().cutter.diameter(), Drill::fraction(sixty_fourths).diameter);
        let (last, earlier) = tools.split_last().unwrap();
        prop_assert!(earlier.iter().all(|tool| tool.cutter.diameter() < last.cutter.diameter()));
    }
}
