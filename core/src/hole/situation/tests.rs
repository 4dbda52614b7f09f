#![allow(clippy::unwrap_used)]

use super::super::damage::Station;
use super::super::record::*;
use super::super::testing::*;
use super::*;
use crate::id::DeviceId;
use uuid::Uuid;

/// The hole of the JSON promise.
const HOLE: &str = r#"{"thread": "3/8-16", "bolt": {"grade": "SAE J429 grade 5"}, "iron": "ASTM A48 class 25", "through": false,
 "depth_mm": 32.0, "floor_mm": 9.0, "nearest_edge_mm": 14.0, "nearest_hole_mm": 60.0, "face_cut_mm": 0.5,
 "damage": [{"from_mm": 0, "to_mm": 9, "diameter_mm": 13.0, "offset_mm": 1.2}], "hard": [{"from_mm": 0, "to_mm": 4.0}],
 "broken_tool": null, "on_hand": null}"#;

fn rejected(change: &str, by: &str) -> String {
    let changed = HOLE.replace(change, by);
    assert_ne!(changed, HOLE, "{change}");
    let message = Situation::from_json(&changed).unwrap_err().to_string();
    assert!(!message.contains('\n'), "{message}");
    message
}

#[test]
fn the_promised_json_is_read_and_written_back() {
    let hole = Situation::from_json(HOLE).unwrap();
    assert_eq!(hole.thread, thread("3/8-16"));
    assert_eq!(hole.depth, Some(mm(32.0)));
    assert_eq!(hole.damage.stations, [station(0.0, 9.0, 13.0, 1.2, 0.0)]);
    assert_eq!(hole.damage.hard, [span(0.0, 4.0).into()]);
    assert!(hole.damage_described && !hole.damage.crack);
    let again = Situation::from_json(&hole.to_json().unwrap()).unwrap();
    assert_eq!(again, hole);
}

#[test]
fn null_and_missing_keys_are_unknown() {
    let hole =
        Situation::from_json(r#"{"thread": "M10", "depth_mm": null, "damage": null}"#).unwrap();
    assert_eq!(hole, Situation::of(thread("M10")));
    assert_eq!(hole.blind(), None);
    let again = Situation::from_json(&hole.to_json().unwrap()).unwrap();
    assert_eq!(again, hole);
}

#[test]
fn impossible_values_are_rejected_in_one_sentence() {
    assert!(rejected("32.0", "0").contains("the depth is 0 mm"));
    assert!(rejected("32.0", "-32").contains("the depth is -32 mm"));
    assert!(rejected("32.0", "2001").contains("more than 2000 mm"));
    assert!(rejected("32.0", "1e999").contains("number"));
    assert!(rejected("14.0", "\"14\"").contains("millimeters"));
    assert!(rejected("60.0", "0").contains("nearest hole"));
    assert!(rejected("0.5", "-0.5").contains("face cut"));
    assert!(rejected("0.5", "32").contains("as deep as the hole"));
    assert!(rejected("0.5", "60").contains("more than 50 mm"));
    assert!(rejected("\"through\": false", "\"through\": true").contains("no floor"));
    assert!(rejected("\"to_mm\": 9", "\"to_mm\": 33").contains("station 1"));
    assert!(rejected("\"to_mm\": 4.0", "\"to_mm\": 33").contains("hard zone 1"));
    assert!(rejected("13.0", "0").contains("damage station 1 is 0 mm"));
    assert!(rejected("3/8-16", "3/8-17").contains("3/8-16"));
    assert!(rejected("grade 5", "grade 6").contains("grade 6"));
}

fn face(planned: f64, removed: &[f64]) -> FaceRecord {
    FaceRecord {
        planned_cut: FactEntries(vec![recorded(FaceCut::typed(mm(planned)))]),
        milled: removed
            .iter()
            .map(|t| {
                recorded(FaceMilled {
                    removed: mm(*t),
                    ..FaceMilled::default()
                })
            })
            .collect(),
        ..FaceRecord::default()
    }
}

/// The same cuts recorded on another device, which knows nothing of this one's entries.
fn elsewhere(mut face: FaceRecord) -> FaceRecord {
    for cut in &mut face.milled {
        cut.device = DeviceId(Uuid::from_u128(7));
    }
    face
}

fn hole() -> HoleRecord {
    HoleRecord {
        wanted: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
        damage: FactEntries(vec![recorded(damage(vec![station(
            0.0, 9.0, 13.0, 1.2, 0.0,
        )]))]),
        readings: vec![
            reading(Quantity::Depth, 32.0),
            reading(Quantity::NearestEdge, 14.0),
        ],
        ..HoleRecord::default()
    }
}

#[test]
fn readings_count_less_their_tolerance_and_the_least_favorable_counts() {
    let mut record = hole();
    record.readings.push(reading(Quantity::Depth, 31.5));
    let s = situation_of(&record, &face(0.5, &[])).unwrap();
    assert_eq!(s.depth, Some(mm(31.4)));
    assert_eq!(s.nearest_edge, Some(mm(13.9)));
    assert_eq!((s.floor, s.nearest_hole), (None, None));
    assert_eq!(s.face_cut, Some(mm(0.5)));
    assert_eq!(s.through, Some(false));
}

#[test]
fn a_milled_face_leaves_less_to_remove_and_less_depth() {
    let s = situation_of(&hole(), &face(0.8, &[0.3, 0.2])).unwrap();
    assert_eq!(s.face_cut, Some(mm(0.3)));
    assert_eq!(s.depth, Some(mm(31.4)));
    assert_eq!(s.milled, Length::ZERO);
    assert_eq!(s.damage.stations[0].span, span(0.0, 8.5));
    // Somebody who did not know of the station may have milled before it was read: it keeps the
    // depth that it was read to.
    let s = situation_of(&hole(), &elsewhere(face(0.8, &[0.3, 0.2]))).unwrap();
    assert_eq!(s.depth, Some(mm(31.4)));
    assert_eq!(s.milled, mm(0.5));
    assert_eq!(s.damage.stations[0].span, span(0.0, 9.0));
    let over = situation_of(&hole(), &face(0.3, &[0.5])).unwrap();
    assert_eq!(over.face_cut, Some(Length::ZERO));
    let unplanned = situation_of(&hole(), &FaceRecord::default()).unwrap();
    assert_eq!(unplanned.face_cut, None);
}

#[test]
fn damage_to_the_bottom_stays_inside_a_milled_hole() {
    let mut record = hole();
    record.damage.0[0].body.stations[0].span = span(2.0, 32.0);
    let s = situation_of(&record, &face(0.5, &[0.5])).unwrap();
    assert_eq!(s.damage.stations[0].span, span(1.5, 31.5));
    assert!(s.validate().is_ok());
}

#[test]
fn two_damage_entries_count_together() {
    let mut record = hole();
    let other = Damage {
        crack: true,
        ..damage(vec![station(5.0, 12.0, 11.0, 0.0, 0.0)])
    };
    record.damage.0.push(recorded(other));
    let s = situation_of(&record, &face(0.5, &[])).unwrap();
    assert_eq!(s.damage.stations.len(), 2);
    assert!(s.damage.crack);
}

#[test]
fn a_wide_bore_is_missing_metal_and_a_narrow_one_is_not() {
    let mut record = hole();
    record.damage = FactEntries(vec![recorded(damage(vec![]))]);
    // 3/8-16 class 2B: minor diameter at most .321 in (FED-STD-H28/2B), 8.15 mm.
    record.readings.push(reading(Quantity::Bore, 8.0));
    assert!(
        situation_of(&record, &face(0.0, &[]))
            .unwrap()
            .damage
            .is_empty()
    );
    record.readings.push(reading(Quantity::Bore, 9.2));
    let s = situation_of(&record, &face(0.0, &[])).unwrap();
    let bore = Station {
        diameter_tolerance: Some(mm(0.1)),
        ..station(0.0, 32.0, 9.2, 0.0, 0.0)
    };
    assert_eq!(s.damage.stations, [bore]);
}

#[test]
fn without_one_wanted_thread_there_is_no_situation() {
    assert_eq!(
        situation_of(&HoleRecord::default(), &face(0.0, &[])),
        Err(SituationUnavailable::NoThread)
    );
    let mut record = hole();
    record.wanted.0.push(recorded(wanted_thread("3/8-24")));
    let why = situation_of(&record, &face(0.0, &[]))
        .unwrap_err()
        .to_string();
    assert!(
        why.contains("3/8-16 UNC") && why.contains("3/8-24 UNF"),
        "{why}"
    );
    record.wanted.0[1] = recorded(WantedThread {
        through: Some(true),
        ..wanted_thread("3/8-16")
    });
    assert_eq!(
        situation_of(&record, &face(0.0, &[])).unwrap().through,
        None
    );
}

#[test]
fn impossible_readings_are_named() {
    let mut record = hole();
    record.readings.push(reading(Quantity::Floor, -2.0));
    let why = situation_of(&record, &face(0.0, &[]))
        .unwrap_err()
        .to_string();
    assert!(why.contains("the floor thickness is -2 mm"), "{why}");
    let mut record = hole();
    record.damage.0[0].body.stations[0].span = span(0.0, 40.0);
    let why = situation_of(&record, &face(0.0, &[]))
        .unwrap_err()
        .to_string();
    assert!(why.contains("40 mm"), "{why}");
}

#[test]
fn a_taper_in_a_milled_face_covers_before_and_after() {
    let mut record = hole();
    let crater = changing(station(2.0, 12.0, 13.0, 1.0, 0.0), 9.0, 0.0, 0.0);
    record.damage = FactEntries(vec![recorded(damage(vec![crater.clone()]))]);
    let s = situation_of(&record, &elsewhere(face(1.0, &[1.0]))).unwrap();
    let as_is = &s.damage.stations;
    for depth in [1.0, 1.5, 2.0, 6.0, 10.9, 11.9] {
        let here = as_is.iter().find(|s| s.span.contains(mm(depth))).unwrap();
        let circle = here.at(mm(depth));
        // Read after the cut, it is where it was read; read before, 1 mm higher.
        for read in [depth, depth + 1.0] {
            if crater.span.contains(mm(read)) {
                let was = crater.at(mm(read));
                let apart = (was.offset - circle.offset).abs() * 2 + was.diameter;
                assert!(
                    apart <= circle.diameter + Length::from_nm(4),
                    "{depth} {read}"
                );
            }
        }
    }
    // On a face that was not milled, it stays as it is.
    let s = situation_of(&record, &face(1.0, &[])).unwrap();
    assert_eq!(s.damage.stations, [crater]);
}

#[test]
fn tolerances_from_json_and_from_entries_agree() {
    let with_errors = HOLE.replace(
        "\"through\"",
        r#""errors": {"depth_mm": 0.2, "nearest_edge_mm": 0.5}, "through""#,
    );
    let hole = Situation::from_json(&with_errors).unwrap();
    assert_eq!(
        (hole.depth, hole.nearest_edge),
        (Some(mm(31.8)), Some(mm(13.5)))
    );
    assert_eq!(hole.floor, Some(mm(9.0)));
    let again = Situation::from_json(&hole.to_json().unwrap()).unwrap();
    assert_eq!(again, hole);
    assert_eq!(hole.as_read(), Situation::from_json(HOLE).unwrap());
    let less = hole.with_tolerance(TolerancedReading::Depth, mm(0.1));
    assert_eq!(
        (less.depth, less.nearest_edge),
        (Some(mm(31.9)), Some(mm(13.5)))
    );
    let changed = HOLE.replace("\"through\"", r#""errors": {"depth_mm": -0.2}, "through""#);
    let message = Situation::from_json(&changed).unwrap_err().to_string();
    assert!(
        message.contains("the tolerance of the depth is -0.2 mm"),
        "{message}"
    );

    let record = self::hole();
    let s = situation_of(&record, &face(0.5, &[])).unwrap();
    assert_eq!(s.depth, Some(mm(31.9)));
    assert_eq!(s.as_read().depth, Some(mm(32.0)));
    let stated: Vec<_> = s
        .reading_tolerances()
        .iter()
        .map(|d| (d.reading, d.stated, d.tolerance))
        .collect();
    assert_eq!(
        stated,
        [
            (TolerancedReading::Depth, mm(32.0), mm(0.1)),
            (TolerancedReading::NearestEdge, mm(14.0), mm(0.1))
        ]
    );
}

#[test]
fn damage_may_reach_the_depth_as_read() {
    let text = HOLE
        .replace("\"to_mm\": 9", "\"to_mm\": 32")
        .replace("\"through\"", r#""errors": {"depth_mm": 0.2}, "through""#);
    assert!(Situation::from_json(&text).is_ok());
}

#[test]
fn a_pipe_thread_is_rejected_in_one_sentence() {
    let text = HOLE.replace("3/8-16", "G 1/2");
    assert!(text.contains("G 1/2"));
    let message = Situation::from_json(&text).unwrap_err().to_string();
    assert!(message.contains("G 1/2 is a pipe thread"), "{message}");
    assert!(Situation::from_json(&HOLE.replace("3/8-16", "3/8-16 BSW LH")).is_ok());
}

#[test]
fn bolt_thread_depths_neighbor_pressure_and_limits_come_from_the_entries() {
    use crate::hole::limits::Limits;
    let mut record = hole();
    record.wanted.0[0].body.pressure = true;
    record.readings.extend([
        reading(Quantity::FullThread, 24.0),
        reading(Quantity::FullDiameter, 29.0),
        reading(Quantity::NeighborDiameter, 12.7),
        reading(Quantity::BoltLength, 44.0),
        reading(Quantity::BoltThreadLength, 26.0),
    ]);
    let limits = Limits {
        wall_mm: 3.0,
        ..Limits::STANDARD
    };
    let face = FaceRecord {
        limits: Some(limits.clone()),
        ..face(0.5, &[0.5])
    };
    // Each at the worst case of its tolerance of 0.1 mm; depths less the .5 mm removed.
    let s = situation_of(&record, &face).unwrap();
    assert_eq!(
        (s.full_thread, s.full_diameter),
        (Some(mm(23.4)), Some(mm(28.4)))
    );
    assert_eq!(s.neighbor_diameter, Some(mm(12.8)));
    assert_eq!(
        (s.bolt_length, s.bolt_thread_length),
        (Some(mm(44.0)), Some(mm(25.9)))
    );
    assert!(s.pressure);
    assert_eq!(s.limits(), &limits);
    let text = s.to_json().unwrap();
    let again = Situation::from_json(&text).unwrap();
    let without_limits = Situation {
        limits: None,
        damage: again.damage.clone(),
        ..s
    };
    assert_eq!(again, without_limits, "{text}");
}
