#![allow(clippy::unwrap_used)]

use super::*;
use crate::hole::damage::{HardZone, Lean};
use crate::hole::record::FactEntries;
use crate::hole::testing::{
    damage as damage_of, mm, recorded, span, station, thread, wanted_thread,
};

fn inch(value: f64) -> Length {
    Length::from_inches(value).unwrap()
}

fn read(quantity: Quantity, value: Length, tolerance: Option<Length>) -> Reading {
    Reading {
        quantity,
        value,
        tolerance,
        instrument: None,
    }
}

fn for_3_8() -> Known {
    Known {
        thread: Some(thread("3/8-16")),
        ..Known::default()
    }
}

fn asked(quantity: Quantity, value: Length, known: &Known) -> Vec<String> {
    let unusual = reading(&read(quantity, value, None), known);
    unusual.iter().map(ToString::to_string).collect()
}

/// Values that a repair of a 3/8-16 hole may well have, in inches.
#[test]
fn ordinary_readings_are_not_asked_about() {
    use Quantity::*;
    let ordinary = [
        (Depth, 1.25),
        (Depth, 0.5),
        (Floor, 0.06),
        (Floor, 2.0),
        (NearestEdge, 0.375),
        (NearestHole, 1.0),
        (Bore, 0.311),
        (Bore, 0.375),
        (Bore, 0.5),
        (MatingHole, 0.397),
        (Grip, 0.0625),
        (Grip, 1.25),
        (FullThread, 0.9),
        (FullDiameter, 1.2),
        (NeighborDiameter, 0.5),
        (BoltLength, 2.25),
        (BoltThreadLength, 1.0),
    ];
    for (quantity, value) in ordinary {
        for known in [for_3_8(), Known::default()] {
            let asked = asked(quantity, inch(value), &known);
            assert_eq!(asked, [""; 0], "{quantity} {value}");
        }
    }
}

/// Slips that people make: the other unit, a lost point, the wrong field.
#[test]
fn slips_are_asked_about() {
    use Quantity::*;
    let slips = [
        (Depth, inch(48.0), "unit"),
        (Depth, inch(32.0), "unit"),
        (Depth, mm(1.25), "unit"),
        (Floor, inch(25.0), "unit"),
        (NearestEdge, inch(0.15), "break out"),
        (NearestEdge, inch(55.0), "unit"),
        (NearestHole, inch(0.3), "run into"),
        (Bore, inch(5.0), "unit"),
        (Bore, inch(0.25), "would not start"),
        (MatingHole, inch(0.36), "does not go through"),
        (MatingHole, inch(3.97), "unit"),
        (Grip, mm(1000.0), "unit"),
        (Grip, mm(0.1), "unit"),
        (FullThread, inch(22.0), "unit"),
        (BoltLength, inch(57.0), "unit"),
    ];
    for (quantity, value, word) in slips {
        let asked = asked(quantity, value, &for_3_8());
        assert_eq!(asked.len(), 1, "{quantity} {}: {asked:?}", value.both());
        assert!(asked[0].contains(word), "{asked:?}");
        assert!(asked[0].contains("check"), "says what to do: {asked:?}");
    }
    // Without a thread only what no hole has is asked about.
    assert_eq!(asked(Depth, inch(48.0), &Known::default()).len(), 1);
    assert!(asked(Bore, inch(5.0), &Known::default()).is_empty());
}

#[test]
fn a_question_names_the_value_and_the_limit() {
    let asked = asked(Quantity::Depth, inch(48.0), &for_3_8());
    assert_eq!(
        asked[0],
        format!(
            "the depth is {}; for 3/8-16 UNC, more than {} is unusual, so check the number and \
             the unit",
            inch(48.0).both(),
            inch(3.75).both()
        )
    );
}

#[test]
fn a_tolerance_may_not_use_up_its_value() {
    let with = |tolerance: f64| {
        let reading = read(Quantity::Floor, inch(0.06), Some(inch(tolerance)));
        super::reading(&reading, &for_3_8())
    };
    assert!(with(0.031).is_empty());
    let unusual = with(0.125);
    assert!(
        matches!(
            unusual[..],
            [Implausible::ToleranceAboveValue {
                subject: Subject::Tolerance(Quantity::Floor),
                ..
            }]
        ),
        "{unusual:?}"
    );
}

#[test]
fn face_cuts_thicker_than_a_joint_face_needs_are_asked_about() {
    let face_cut = |cut| face_cut(cut, &Limits::STANDARD);
    assert_eq!(face_cut(inch(0.02)), None);
    assert_eq!(face_cut(inch(0.125)), None);
    let sentence = face_cut(inch(0.2)).unwrap().to_string();
    assert!(sentence.starts_with("the face cut is"), "{sentence}");
}

#[test]
fn holes_that_are_not_measured_are_named_before_the_face_is_cut() {
    assert_eq!(facing_unmeasured(vec![]), None);
    let sentence = |holes: &[u32]| facing_unmeasured(holes.to_vec()).unwrap().to_string();
    assert!(sentence(&[3]).starts_with("hole 3 is not measured yet"));
    assert!(sentence(&[3, 5, 9]).starts_with("holes 3, 5 and 9 are not measured yet"));
}

#[test]
fn damage_stays_within_the_hole_and_near_it() {
    let known = Known {
        depth: Some(mm(32.0)),
        ..for_3_8()
    };
    let subjects = |damage: &Damage| -> Vec<Subject> {
        let unusual = super::damage(damage, &known);
        unusual.iter().map(Implausible::subject).collect()
    };
    let ordinary = damage_of(vec![
        station(0.0, 9.0, 30.0, 2.0, 0.0),
        station(9.0, 32.0, 9.4, 0.0, 0.0),
    ]);
    assert_eq!(subjects(&ordinary), []);
    let slips = Damage {
        hard: vec![HardZone {
            span: span(30.0, 40.0),
            tolerance: None,
        }],
        lean: Some(Lean {
            tilt: Tilt::Degrees(25.0),
            direction_deg: 0.0,
            offset: Length::ZERO,
            offset_direction_deg: 0.0,
            diameter: None,
        }),
        broken_tool: Some(BrokenTool {
            what: "tap".into(),
            length: Some(mm(40.0)),
            top: None,
        }),
        ..damage_of(vec![station(0.0, 33.0, 330.0, 60.0, 0.0)])
    };
    assert_eq!(
        subjects(&slips),
        [
            Subject::StationEnd(0),
            Subject::Diameter(0),
            Subject::Offset(0),
            Subject::HardEnd(0),
            Subject::Tilt,
            Subject::PieceLength,
        ]
    );
}

#[test]
fn a_thread_that_does_not_go_with_the_readings_is_asked_about_once() {
    let record = HoleRecord {
        readings: vec![
            recorded(read(Quantity::Bore, inch(0.8), None)),
            recorded(read(Quantity::Depth, inch(1.25), None)),
            recorded(read(Quantity::Floor, inch(48.0), None)),
        ],
        ..HoleRecord::default()
    };
    let unusual = wanted(&wanted_thread("3/8-16"), &record, &FaceRecord::default());
    assert_eq!(unusual.len(), 1, "{unusual:?}");
    assert_eq!(unusual[0].subject(), Subject::Reading(Quantity::Bore));
    // Changing it to another one for which that is as unusual does not ask again.
    let record = HoleRecord {
        wanted: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
        ..record
    };
    assert_eq!(
        wanted(&wanted_thread("3/8-24"), &record, &FaceRecord::default()),
        []
    );
}

#[test]
fn the_deepest_reading_with_its_tolerance_is_known() {
    let record = HoleRecord {
        wanted: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
        readings: vec![
            recorded(read(Quantity::Depth, mm(30.0), Some(mm(0.5)))),
            recorded(read(Quantity::Depth, mm(29.0), None)),
            recorded(read(Quantity::Grip, mm(40.0), None)),
        ],
        ..HoleRecord::default()
    };
    let known = Known::of(&record, &FaceRecord::default());
    assert_eq!(known.depth, Some(mm(30.5)));
    assert_eq!(known.thread, Some(thread("3/8-16")));
    assert_eq!(known.limits, Limits::STANDARD);
}

/// Each limit of what is asked about, with a value that it lets pass and a stricter limit.
#[test]
fn a_shop_changes_what_is_asked_about() {
    use Quantity::*;
    let readings = [
        ("usual_depth_diameters", 2.0, Depth, mm(30.0)),
        ("usual_depth_mm", 20.0, Floor, mm(30.0)),
        ("usual_depth_mm", 20.0, BoltLength, mm(50.0)),
        ("usual_damage_mm", 10.0, NeighborDiameter, mm(12.0)),
        ("usual_grip_diameters", 2.0, Grip, mm(25.0)),
        ("usual_grip_least_mm", 6.0, Grip, mm(5.0)),
        ("usual_distance_mm", 50.0, NearestHole, mm(60.0)),
        ("usual_bore_share", 1.0, Bore, inch(0.3)),
    ];
    let shop = |key: &str, value: f64| {
        let mut known = for_3_8();
        known.limits.set(key, value).unwrap();
        known
    };
    for (key, limit, quantity, value) in readings {
        assert_eq!(asked(quantity, value, &for_3_8()), [""; 0], "{key}");
        assert_eq!(asked(quantity, value, &shop(key, limit)).len(), 1, "{key}");
    }
    let mut wide = damage_of(vec![station(0.0, 9.0, 30.0, 2.0, 0.0)]);
    wide.lean = Some(Lean {
        tilt: Tilt::Degrees(6.0),
        direction_deg: 0.0,
        offset: Length::ZERO,
        offset_direction_deg: 0.0,
        diameter: None,
    });
    assert_eq!(damage(&wide, &for_3_8()), []);
    assert_eq!(damage(&wide, &shop("usual_damage_diameters", 3.0)).len(), 1);
    let steep = damage(&wide, &shop("usual_lean_deg", 5.0));
    assert!(steep[0].to_string().contains("more than 5 is unusual"));
    let thick = face_cut(inch(0.1), &shop("usual_face_cut_mm", 1.0).limits);
    assert!(thick.is_some());
}
