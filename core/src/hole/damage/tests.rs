#![allow(clippy::unwrap_used)]

use super::super::testing::{changing, damage, mm, span, station};
use super::*;

fn run(by: f64, over: f64) -> Lean {
    Lean {
        tilt: Tilt::Run {
            by: mm(by),
            over: mm(over),
        },
        direction_deg: 0.0,
        offset: Length::ZERO,
        offset_direction_deg: 0.0,
        diameter: None,
    }
}

#[test]
fn older_entries_are_still_read() {
    let text = r#"{"stations": [{"from_mm": 0.0, "to_mm": 9.0, "diameter_mm": 13.0, "offset_mm": 1.2, "direction_deg": 30.0}],
        "hard": [{"from_mm": 0.0, "to_mm": 4.0}], "broken_tool": null, "crack": false}"#;
    let read: Damage = serde_json::from_str(text).unwrap();
    let expected = Damage {
        hard: vec![span(0.0, 4.0).into()],
        ..damage(vec![station(0.0, 9.0, 13.0, 1.2, 30.0)])
    };
    assert_eq!(read, expected);
    // Fields that are not given are not written, so that older versions can read the entry.
    let written = serde_json::to_value(&read).unwrap();
    assert_eq!(
        written,
        serde_json::from_str::<serde_json::Value>(text).unwrap()
    );
}

#[test]
fn older_entries_with_errors_are_read_as_tolerances() {
    let text = r#"{"stations": [{"from_mm": 0.0, "to_mm": 9.0, "diameter_mm": 13.0,
        "diameter_error_mm": 0.3, "offset_error_mm": 0.5}],
        "hard": [{"from_mm": 1.0, "to_mm": 4.0, "error_mm": 0.5}]}"#;
    let read: Damage = serde_json::from_str(text).unwrap();
    let station = &read.stations[0];
    assert_eq!(station.diameter_tolerance, Some(mm(0.3)));
    assert_eq!(station.offset_tolerance, Some(mm(0.5)));
    assert_eq!(read.hard[0].tolerance, Some(mm(0.5)));
}

#[test]
fn lower_circle_lean_and_tolerances_round_trip() {
    let mut all = damage(vec![changing(
        station(0.0, 9.0, 13.0, 1.2, 30.0),
        9.0,
        0.4,
        50.0,
    )]);
    all.stations[0].diameter_tolerance = Some(mm(0.3));
    all.stations[0].offset_tolerance = Some(mm(0.5));
    all.hard = vec![HardZone {
        span: span(1.0, 4.0),
        tolerance: Some(mm(0.5)),
    }];
    all.lean = Some(run(1.0, 25.0));
    let text = serde_json::to_string(&all).unwrap();
    for key in [
        "to_diameter_mm",
        "to_offset_mm",
        "to_direction_deg",
        "diameter_tolerance_mm",
        "offset_tolerance_mm",
        "by_mm",
        "over_mm",
    ] {
        assert!(text.contains(key), "{key} in {text}");
    }
    assert_eq!(serde_json::from_str::<Damage>(&text).unwrap(), all);
    let degrees: Lean = serde_json::from_str(r#"{"tilt_deg": 2.5, "direction_deg": 90}"#).unwrap();
    assert_eq!(degrees.tilt, Tilt::Degrees(2.5));
    for unclear in [
        "{}",
        r#"{"by_mm": 1.0}"#,
        r#"{"by_mm": 1.0, "over_mm": 9.0, "tilt_deg": 2.0}"#,
    ] {
        let error = serde_json::from_str::<Lean>(unclear)
            .unwrap_err()
            .to_string();
        assert!(error.contains("give one of the two"), "{error}");
    }
}

#[test]
fn tapering_circle_changes_evenly_with_depth() {
    let crater = changing(station(2.0, 12.0, 13.0, 2.0, 0.0), 9.0, 2.0, 90.0);
    assert_eq!(crater.at(mm(2.0)), crater.upper());
    assert_eq!(crater.at(mm(12.0)), crater.lower());
    let half = crater.at(mm(7.0));
    // Halfway between (2, 0) and (0, 2).
    assert_eq!((half.diameter, half.offset), (mm(11.0), mm(2.0_f64.sqrt())));
    assert!((half.direction_deg - 45.0).abs() < 1e-9);
    // A clipped part has the same circle at every depth.
    let part = crater.clipped_to(span(4.0, 9.0)).unwrap();
    assert_eq!(part.span, span(4.0, 9.0));
    for depth in [4.0, 5.5, 8.9] {
        let (one, other) = (part.at(mm(depth)), crater.at(mm(depth)));
        assert!((one.offset - other.offset).abs() <= Length::from_nm(2));
        assert!((one.diameter - other.diameter).abs() <= Length::from_nm(2));
    }
    assert_eq!(crater.clipped_to(span(12.0, 20.0)), None);
}

#[test]
fn tolerances_count_at_the_worst_case() {
    let mut crater = station(0.0, 9.0, 13.0, 1.2, 0.0);
    crater.diameter_tolerance = Some(mm(0.4));
    crater.offset_tolerance = Some(mm(0.5));
    assert_eq!(crater.upper().diameter, mm(14.4));
    let zone = HardZone {
        span: span(0.2, 4.0),
        tolerance: Some(mm(0.5)),
    };
    assert_eq!(zone.reach(), span(0.0, 4.5));
}

#[test]
fn lean_gives_the_offset_by_depth() {
    let lean = run(1.0, 20.0);
    assert!((lean.tilt.degrees() - 2.862_405).abs() < 1e-6);
    assert_eq!(lean.offset_at(mm(30.0)), mm(1.5));
    // It starts 0.4 mm to the left and crosses the center.
    let back = Lean {
        offset: mm(0.4),
        offset_direction_deg: 180.0,
        ..lean
    };
    assert_eq!(back.offset_at(mm(8.0)), Length::ZERO);
    assert_eq!(back.offset_at(mm(20.0)), mm(0.6));
}

#[test]
fn invalid_damage_is_rejected_in_one_sentence() {
    let refused = |damage: Damage| {
        let message = damage.validate(Some(mm(32.0))).unwrap_err().to_string();
        assert!(!message.contains('\n'), "{message}");
        message
    };
    let one = |station: Station| refused(damage(vec![station]));
    let crater = || station(0.0, 9.0, 13.0, 1.2, 0.0);
    let below = changing(crater(), -1.0, 0.0, 0.0);
    assert!(one(below).contains("damage station 1 ends in a circle -1 mm"));
    assert!(one(changing(crater(), 9.0, 600.0, 0.0)).contains("500 mm"));
    assert!(one(changing(crater(), 9.0, 0.0, f64::NAN)).contains("direction"));
    let error = |error| Station {
        diameter_tolerance: Some(mm(error)),
        ..crater()
    };
    assert!(one(error(-0.1)).contains("a tolerance of damage station 1 is -0.1 mm"));
    let lean = |lean| {
        refused(Damage {
            lean: Some(lean),
            ..Damage::default()
        })
    };
    assert!(lean(run(0.0, 20.0)).contains("leans 0 mm"));
    assert!(lean(run(1.0, 0.0)).contains("over 0 mm"));
    assert!(lean(run(-1.0, -20.0)).contains("leans -1 mm"));
    assert!(lean(run(20.0, 20.0)).contains("at most 30 degrees"));
    let degrees = |degrees| Lean {
        tilt: Tilt::Degrees(degrees),
        ..run(1.0, 20.0)
    };
    assert!(lean(degrees(f64::NAN)).contains("leans NaN degrees"));
    assert!(lean(degrees(31.0)).contains("leans 31 degrees"));
    let wide = Lean {
        diameter: Some(mm(0.0)),
        ..run(1.0, 20.0)
    };
    assert!(lean(wide).contains("the diameter"));
    let point = damage(vec![changing(crater(), 0.0, 0.0, 0.0)]);
    assert!(point.validate(Some(mm(32.0))).is_ok());
}
