#![allow(clippy::unwrap_used)]

use super::super::{Assessment, Weight, assessments};
use super::*;
use crate::hole::damage::{Damage, HardZone, Station};
use crate::hole::record::Remedy;
use crate::hole::testing::*;
use crate::insert::Family;
use proptest::prelude::*;

fn assess(situation: &Situation) -> Vec<Assessment> {
    assessments(situation, Catalog::standard())
}

/// A blind hole with room on all sides, its thread gone.
fn stripped() -> Situation {
    Situation {
        through: Some(false),
        depth: Some(mm(20.0)),
        floor: Some(mm(20.0)),
        nearest_edge: Some(mm(30.0)),
        nearest_hole: Some(mm(60.0)),
        face_cut: Some(Length::ZERO),
        damage: damage(vec![station(0.0, 20.0, 9.4, 0.0, 0.0)]),
        damage_described: true,
        ..Situation::of(thread("3/8-16"))
    }
}

/// The stripped hole with one reading and its tolerance.
fn reading(of: TolerancedReading, stated: f64, error: f64) -> Situation {
    let mut hole = stripped();
    hole.set_reading(of, Some(mm(stated)), mm(error));
    hole
}

fn of_length(all: &[Assessment], family: Family, length: f64) -> Assessment {
    let mut insert = all.iter().filter(|a| a.family() == Some(family));
    let found = insert.find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(length)));
    found.unwrap().clone()
}

fn thin(hole: &Situation) -> Assessment {
    of_length(&assess(hole), Family::KeyLockingThinWall, 12.7)
}

/// The least reading at which a check passes, from one that it passes at by some margin.
fn least_reading(read: f64, assessment: &Assessment, check: &str) -> f64 {
    let mut checks = assessment.checks.iter();
    let check = checks.find(|c| c.check == check).unwrap();
    read - (check.has.unwrap() - check.needs.unwrap())
}

#[test]
fn uncertain_floor_must_be_measured_more_closely() {
    // Thickness needed: half a drill under the point, less what the depth of the hole gives.
    let least = |hole: &Situation| {
        let all = thin(hole);
        let check = all
            .checks
            .iter()
            .find(|c| c.check == "floor under the drill point");
        let check = check.unwrap();
        hole.floor.unwrap().mm() + check.needs.unwrap() - check.has.unwrap()
    };
    // With so thin a floor, the depths are for a bottoming tap after the plug tap.
    let least = least(&reading(TolerancedReading::Floor, 1.0, 0.0));
    let sensitivity = reading(TolerancedReading::Floor, least + 0.3, 0.5);
    let answer = thin(&sensitivity);
    assert_eq!(answer.verdict, Verdict::Unknown);
    let [floor] = &answer.sensitivities[..] else {
        panic!("{:?}", answer.sensitivities);
    };
    assert_eq!(
        (floor.reading, floor.tolerance, floor.alone),
        (TolerancedReading::Floor, mm(0.5), true)
    );
    // Found to 1/256 of half a millimeter, on the safe side.
    let over = floor.limit.mm() - least;
    assert!((0.0..0.5 / 256.0 + 1e-6).contains(&over), "{over}");
    let failed = answer
        .checks
        .iter()
        .filter(|c| c.passes == Some(false) && c.weight == Weight::Must);
    assert!(failed.clone().count() == 1 && failed.clone().all(|check| check.passes_as_read));
    let why = answer.reasons().join("\n");
    assert!(
        why.contains("depends on the floor thickness") && why.contains("measure it to within"),
        "{why}"
    );
    assert!(
        floor
            .words(Unit::Millimeter)
            .contains("with a tolerance of 0.5 mm,")
    );
    // Measured that closely, it fits as it does without a tolerance.
    let better = reading(TolerancedReading::Floor, least + 0.3, floor.margin.mm());
    assert!(thin(&better).sensitivities.is_empty());
    assert!(thin(&better).verdict <= Verdict::Marginal);
    // Too thin as read: no better reading helps.
    let never = thin(&reading(TolerancedReading::Floor, least - 0.1, 0.5));
    assert_eq!(
        (never.verdict, never.sensitivities.len()),
        (Verdict::DoesNotFit, 0)
    );
    // Without a tolerance, none counts.
    let no_tolerance = thin(&reading(TolerancedReading::Floor, least + 0.3, 0.0));
    assert!(no_tolerance.sensitivities.is_empty());
}

#[test]
fn remedy_that_fits_only_as_read_sorts_after_one_that_fits_at_the_worst_case() {
    let edge = least_reading(30.0, &thin(&stripped()), "wall to the edge");
    let hole = reading(TolerancedReading::NearestEdge, edge + 0.1, 0.2);
    let all = assess(&hole);
    let position = |family| all.iter().position(|a| a.family() == Some(family)).unwrap();
    let thin = thin(&hole);
    assert_eq!(thin.verdict, Verdict::Unknown);
    assert_eq!(thin.sensitivities[0].name, "the edge distance");
    assert!(position(Family::WireThread) < position(Family::KeyLockingThinWall));
    let json = serde_json::to_value(&thin).unwrap();
    let sensitivity = &json["sensitivities"][0];
    assert_eq!(sensitivity["reading"], "nearest-edge");
    assert_eq!(sensitivity["tolerance_mm"], 0.2);
    assert_eq!(sensitivity["at_most"], false);
    assert!((sensitivity["measure_to_mm"].as_f64().unwrap() - 0.1).abs() < 0.002);
}

#[test]
fn two_deciding_readings_are_both_named() {
    let edge = least_reading(30.0, &thin(&stripped()), "wall to the edge");
    let spacing = least_reading(60.0, &thin(&stripped()), "wall to the nearest hole");
    let mut hole = reading(TolerancedReading::NearestEdge, edge + 0.1, 0.2);
    hole.set_reading(
        TolerancedReading::NearestHole,
        Some(mm(spacing + 0.1)),
        mm(0.3),
    );
    let answer = thin(&hole);
    assert_eq!(answer.verdict, Verdict::Unknown);
    let named: Vec<_> = answer
        .sensitivities
        .iter()
        .map(|d| (d.reading, d.alone))
        .collect();
    assert_eq!(
        named,
        [
            (TolerancedReading::NearestEdge, false),
            (TolerancedReading::NearestHole, false)
        ]
    );
    assert!(
        answer.sensitivities[0]
            .to_string()
            .contains("other readings named here too")
    );
}

#[test]
fn tolerances_of_the_damage_count_too() {
    // A crater that leaves the thin-wall insert enough thread as read, but not if it is wider.
    let crater = |error: Option<f64>, offset: Option<f64>| {
        let mut hole = stripped();
        hole.damage.stations = vec![Station {
            diameter_tolerance: error.map(mm),
            offset_tolerance: offset.map(mm),
            ..station(0.0, 9.0, 11.7, 0.3, 0.0)
        }];
        thin(&hole)
    };
    let as_read = crater(None, None);
    assert!(
        as_read.verdict <= Verdict::Marginal,
        "{:?}",
        as_read.reasons()
    );
    let wide = crater(Some(1.0), None);
    assert_eq!(wide.verdict, Verdict::Unknown, "{:?}", wide.reasons());
    assert_eq!(
        wide.sensitivities[0].reading,
        TolerancedReading::Diameter(0)
    );
    assert!(wide.sensitivities[0].limit > mm(11.7) && wide.sensitivities[0].limit < mm(12.7));
    assert!(
        wide.sensitivities[0].name.contains("starts at 0 mm"),
        "{}",
        wide.sensitivities[0].name
    );
    let off = crater(None, Some(0.5));
    assert_eq!(off.sensitivities[0].reading, TolerancedReading::Offset(0));

    let mut hard = stripped();
    hard.damage.hard = vec![HardZone {
        span: span(0.0, 4.0),
        tolerance: Some(mm(1.5)),
    }];
    let answer = thin(&hard);
    let zone = answer.sensitivities.first().unwrap();
    assert_eq!(zone.reading, TolerancedReading::HardZone(0));
    assert!(zone.limit > mm(4.0) && zone.limit < mm(5.5), "{zone}");
}

fn any_hole() -> impl Strategy<Value = Situation> {
    let distances = (12.0..30.0, 3.0..20.0, 8.0..30.0, 14.0..40.0, 0.0..1.0);
    let crater = (2.0..12.0, 8.0..15.0, 0.0..3.0, -180.0..180.0_f64);
    let errors = (0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0);
    (distances, crater, errors).prop_map(|(distances, crater, errors)| {
        let mut hole = Situation {
            face_cut: Some(mm(distances.4)),
            ..stripped()
        };
        for (reading, stated, error) in [
            (TolerancedReading::Depth, distances.0, errors.0),
            (TolerancedReading::Floor, distances.1, errors.1),
            (TolerancedReading::NearestEdge, distances.2, errors.2),
            (TolerancedReading::NearestHole, distances.3, errors.3),
        ] {
            hole.set_reading(reading, Some(mm(stated)), mm(error));
        }
        hole.damage = Damage {
            stations: vec![Station {
                diameter_tolerance: Some(mm(errors.4)),
                ..station(0.0, crater.0, crater.1, crater.2, crater.3)
            }],
            ..Damage::default()
        };
        hole
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn fits_means_fits_at_the_worst_case(hole in any_hole()) {
        // The worst-case values, without tolerances.
        let mut worst = hole.clone();
        worst.tolerances = Default::default();
        for station in &mut worst.damage.stations {
            station.diameter += station.diameter_tolerance.take().unwrap_or_default();
        }
        let at_worst = assess(&worst);
        for answer in assess(&hole) {
            let same = at_worst.iter().find(|other| other.spec() == answer.spec()).unwrap();
            match (answer.verdict, same.verdict) {
                (Verdict::Unknown, Verdict::DoesNotFit) => prop_assert!(!answer.sensitivities.is_empty()),
                (ours, theirs) if answer.remedy != Remedy::Specialist => prop_assert_eq!(ours, theirs),
                _ => {}
            }
        }
    }

    #[test]
    fn measuring_as_closely_as_asked_improves_the_verdict(hole in any_hole()) {
        for answer in assess(&hole) {
            for sensitivity in answer.sensitivities.iter().filter(|sensitivity| sensitivity.alone) {
                let better = hole.with_tolerance(sensitivity.reading, sensitivity.margin);
                let verdict = verdict_of(&better, Catalog::standard(), &answer.spec()).unwrap();
                prop_assert!(verdict <= answer.verdict, "{} {:?}", sensitivity, verdict);
            }
        }
    }
}
