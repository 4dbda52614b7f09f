#![allow(clippy::unwrap_used)]

use super::*;
use crate::drill::{Drawer, Drill};
use crate::insert::TapChamfer;
use proptest::prelude::*;

fn inch(text: &str) -> Length {
    Length::parse(text, None).unwrap()
}

/// 3.82 times the surface speed over the diameter, as drilling guides print the rule (secondary source).
#[test]
fn turns_as_the_rule_of_shops() {
    let half = inch("1/2");
    assert!((rpm(100.0, half) - 764.0).abs() < 0.5);
    for (ft_min, diameter) in [(30.0, "1/8"), (70.0, "25/64"), (150.0, "1-1/16")] {
        let rule = 3.82 * ft_min / inch(diameter).inches();
        assert!((rpm(ft_min, inch(diameter)) / rule - 1.0).abs() < 2e-4);
    }
}

#[test]
fn chilled_iron_is_not_tapped() {
    for material in ToolMaterial::ALL {
        let said = speeds(Purpose::Tap, material, Hardness::Chilled, inch("3/8")).unwrap_err();
        assert!(said.to_string().contains("tap"), "{said}");
    }
    for absurd in [Length::ZERO, -inch("1/4"), inch("40 in")] {
        assert!(
            speeds(
                Purpose::Drill,
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
        // What depths are reckoned with lies within what taps have.
        let threads = lead.tap.threads();
        assert!((i64::from(lead.threads_min)..=i64::from(lead.threads_max)).contains(&threads));
    }
}

#[test]
fn back_to_the_centre_with_an_end_mill_first() {
    let last = Drill::parse("X").unwrap();
    let old = OldHole {
        offset: inch("1/16"),
        diameter: Some(inch("5/16")),
    };
    let tools = pilots(&last, Some(old), &Drawer::INCH);
    let names: Vec<String> = tools.iter().map(|tool| tool.cutter.to_string()).collect();
    assert_eq!(names, ["end mill 3/8", "short drill 3/8", "drill X"]);
    assert!(
        tools[2].why.contains("still shows in the wall"),
        "{}",
        tools[2].why
    );
    let no_old = pilots(&last, None, &Drawer::INCH);
    assert!(
        !no_old
            .iter()
            .any(|tool| matches!(tool.cutter, Cutter::EndMill(_)))
    );
    let metric = pilots(&Drill::metric(1050), Some(old), &Drawer::METRIC);
    assert_eq!(metric[0].cutter.to_string(), "end mill 10 mm");
}

#[test]
fn a_hard_hole_eats_more_than_a_soft_one() {
    let of = |hardness| wear(hardness, false, false);
    for pair in Hardness::ALL.windows(2) {
        let (softer, harder) = (of(pair[0]), of(pair[1]));
        assert!(softer.drills.1 <= harder.drills.1);
    }
    let worst = wear(Hardness::Hard, true, true);
    assert!(worst.drills.1 > of(Hardness::Hard).drills.1);
    assert_eq!(worst.reasons.len(), 3);
    assert_eq!(of(Hardness::Chilled).taps, None);
}

#[test]
fn deeper_holes_are_drilled_slower() {
    assert_eq!(depth_loss(2.9), None);
    assert_eq!(depth_loss(f64::NAN), None);
    let losses: Vec<DepthLoss> = [3.0, 4.0, 5.0, 6.0, 9.0]
        .map(|d| depth_loss(d).unwrap())
        .to_vec();
    assert!(
        losses
            .windows(2)
            .all(|pair| pair[0].speed <= pair[1].speed && pair[0].feed <= pair[1].feed)
    );
}

fn any_purpose() -> impl Strategy<Value = Purpose> {
    prop::sample::select(Purpose::ALL.to_vec())
}

fn any_material() -> impl Strategy<Value = ToolMaterial> {
    prop::sample::select(ToolMaterial::ALL.to_vec())
}

proptest! {
    #[test]
    fn larger_tools_turn_no_faster(purpose in any_purpose(), material in any_material(), a in 500_000_i64..100_000_000, b in 500_000_i64..100_000_000) {
        let (small, large) = (Length::from_nm(a.min(b)), Length::from_nm(a.max(b)));
        for hardness in Hardness::ALL {
            let at = |diameter| speeds(purpose, material, hardness, diameter);
            let (Ok(small), Ok(large)) = (at(small), at(large)) else { continue };
            prop_assert!(small.rpm.0 >= large.rpm.0 && small.rpm.1 >= large.rpm.1);
            prop_assert!(small.rpm.0 <= small.rpm.1);
            if let (Some(s), Some(l)) = (small.feed, large.feed) {
                prop_assert!(s.most <= l.most && s.least <= s.most);
            }
        }
    }

    #[test]
    fn harder_iron_is_never_cut_faster(purpose in any_purpose(), material in any_material(), nm in 500_000_i64..100_000_000) {
        let diameter = Length::from_nm(nm);
        let at = |hardness| speeds(purpose, material, hardness, diameter).ok();
        for pair in Hardness::ALL.windows(2) {
            let (Some(softer), Some(harder)) = (at(pair[0]), at(pair[1])) else { continue };
            prop_assert!(harder.rpm.0 <= softer.rpm.0 && harder.rpm.1 <= softer.rpm.1);
        }
    }

    #[test]
    fn carbide_turns_no_slower(purpose in any_purpose(), nm in 500_000_i64..100_000_000) {
        for hardness in Hardness::ALL {
            let at = |material| speeds(purpose, material, hardness, Length::from_nm(nm));
            let (Ok(steel), Ok(carbide)) = (at(ToolMaterial::HighSpeedSteel), at(ToolMaterial::Carbide)) else { continue };
            prop_assert!(carbide.rpm.0 >= steel.rpm.0 && carbide.rpm.1 >= steel.rpm.1);
        }
    }

    #[test]
    fn every_pilot_is_smaller_than_the_next(sixty_fourths in 8_u16..=64, offset in 0_i64..5_000_000, bore in 3_000_000_i64..20_000_000) {
        let old = OldHole { offset: Length::from_nm(offset), diameter: Some(Length::from_nm(bore)) };
        let tools = pilots(&Drill::fraction(sixty_fourths), Some(old), &Drawer::INCH);
        prop_assert_eq!(tools.last().unwrap().cutter.diameter(), Drill::fraction(sixty_fourths).diameter);
        let (last, earlier) = tools.split_last().unwrap();
        prop_assert!(earlier.iter().all(|tool| tool.cutter.diameter() < last.cutter.diameter()));
    }
}
