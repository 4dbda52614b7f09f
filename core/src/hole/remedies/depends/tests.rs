#![allow(clippy::unwrap_used)]

use super::super::{Assessment, Weight, remedies as all_remedies};
use super::*;
use crate::hole::damage::{Damage, HardZone, Station};
use crate::hole::record::Remedy;
use crate::hole::testing::*;
use crate::insert::Family;
use proptest::prelude::*;

fn remedies(situation: &Situation) -> Vec<Assessment> {
    all_remedies(situation, Catalogue::standard())
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
        damage_read: true,
        ..Situation::of(thread("3/8-16"))
    }
}

/// With a reading that may be off by so much, and reads so much.
fn reading(of: DoubtfulReading, stated: f64, error: f64) -> Situation {
    let mut hole = stripped();
    hole.set_plain(of, Some(mm(stated)), mm(error));
    hole
}

fn of_length(all: &[Assessment], family: Family, length: f64) -> Assessment {
    let mut insert = all.iter().filter(|a| a.family() == Some(family));
    let found = insert.find(|a| a.insert.as_ref().is_some_and(|i| i.length == mm(length)));
    found.unwrap().clone()
}

fn thin(hole: &Situation) -> Assessment {
    of_length(&remedies(hole), Family::KeyLockingThinWall, 12.7)
}

fn needs(assessment: &Assessment, check: &str) -> f64 {
    let mut checks = assessment.checks.iter();
    checks.find(|c| c.check == check).unwrap().needs.unwrap()
}

#[test]
fn a_floor_that_may_be_too_thin_is_to_be_measured_better() {
    // How thick it must be: half a drill under the point, less what the hole's depth gives.
    let least = |hole: &Situation| {
        let all = thin(hole);
        let check = all
            .checks
            .iter()
            .find(|c| c.check == "floor under the drill point");
        let check = check.unwrap();
        hole.floor.unwrap().mm() + check.needs.unwrap() - check.has.unwrap()
    };
    // With so little, a bottoming tap after the plug tap is reckoned with.
    let least = least(&reading(DoubtfulReading::Floor, 1.0, 0.0));
    let hangs = reading(DoubtfulReading::Floor, least + 0.3, 0.5);
    let answer = thin(&hangs);
    assert_eq!(answer.verdict, Verdict::FitsWithCare);
    let [floor] = &answer.depends_on[..] else {
        panic!("{:?}", answer.depends_on);
    };
    assert_eq!(
        (floor.reading, floor.error, floor.alone),
        (DoubtfulReading::Floor, mm(0.5), true)
    );
    // Found to a 256th of half a millimetre, and on the safe side.
    let over = floor.needs.mm() - least;
    assert!((0.0..0.5 / 256.0 + 1e-6).contains(&over), "{over}");
    let failed = answer
        .checks
        .iter()
        .filter(|c| c.passes == Some(false) && c.weight == Weight::Must);
    assert!(failed.clone().count() == 1 && failed.clone().all(|check| check.passes_as_read));
    let why = answer.reasons().join("\n");
    assert!(
        why.contains("it hangs on the floor") && why.contains("measure it to within"),
        "{why}"
    );
    assert!(
        floor
            .words(Unit::Millimetre)
            .contains("may be off by 0.5 mm")
    );
    // Measured as well as that, it fits as it does with no error said at all.
    let better = reading(DoubtfulReading::Floor, least + 0.3, floor.within().mm());
    assert!(thin(&better).depends_on.is_empty());
    assert!(thin(&better).verdict <= Verdict::FitsWithCare);
    // Too thin as it reads, no better reading helps.
    let never = thin(&reading(DoubtfulReading::Floor, least - 0.1, 0.5));
    assert_eq!(
        (never.verdict, never.depends_on.len()),
        (Verdict::DoesNotFit, 0)
    );
    // And without an error said, none is reckoned with.
    let said_nothing = thin(&reading(DoubtfulReading::Floor, least + 0.3, 0.0));
    assert!(said_nothing.depends_on.is_empty());
}

#[test]
fn a_remedy_that_fits_only_as_read_stands_after_one_that_fits_at_the_worst() {
    let edge = needs(&thin(&stripped()), "edge distance");
    let hole = reading(DoubtfulReading::NearestEdge, edge + 0.1, 0.2);
    let all = remedies(&hole);
    let position = |family| all.iter().position(|a| a.family() == Some(family)).unwrap();
    let thin = thin(&hole);
    assert_eq!(thin.verdict, Verdict::FitsWithCare);
    assert_eq!(thin.depends_on[0].name, "the distance to the nearest edge");
    assert!(position(Family::WireThread) < position(Family::KeyLockingThinWall));
    let json = serde_json::to_value(&thin).unwrap();
    let hangs = &json["depends_on"][0];
    assert_eq!(hangs["reading"], "nearest-edge");
    assert_eq!(hangs["error_mm"], 0.2);
    assert_eq!(hangs["at_most"], false);
    assert!((hangs["measure_to_mm"].as_f64().unwrap() - 0.1).abs() < 0.002);
}

#[test]
fn two_readings_that_are_both_off_are_both_named() {
    let edge = needs(&thin(&stripped()), "edge distance");
    let spacing = needs(&thin(&stripped()), "hole spacing");
    let mut hole = reading(DoubtfulReading::NearestEdge, edge + 0.1, 0.2);
    hole.set_plain(
        DoubtfulReading::NearestHole,
        Some(mm(spacing + 0.1)),
        mm(0.3),
    );
    let answer = thin(&hole);
    assert_eq!(answer.verdict, Verdict::FitsWithCare);
    let named: Vec<_> = answer
        .depends_on
        .iter()
        .map(|d| (d.reading, d.alone))
        .collect();
    assert_eq!(
        named,
        [
            (DoubtfulReading::NearestEdge, false),
            (DoubtfulReading::NearestHole, false)
        ]
    );
    assert!(
        answer.depends_on[0]
            .to_string()
            .contains("other readings named here too")
    );
}

#[test]
fn readings_of_the_damage_may_be_off_too() {
    // A crater that leaves the thin-wall insert enough as read, and not if it is wider or longer.
    let crater = |error: Option<f64>, offset: Option<f64>| {
        let mut hole = stripped();
        hole.damage.stations = vec![Station {
            diameter_error: error.map(mm),
            offset_error: offset.map(mm),
            ..station(0.0, 9.0, 11.7, 0.3, 0.0)
        }];
        thin(&hole)
    };
    let as_read = crater(None, None);
    assert!(
        as_read.verdict <= Verdict::FitsWithCare,
        "{:?}",
        as_read.reasons()
    );
    let wide = crater(Some(1.0), None);
    assert_eq!(wide.verdict, Verdict::FitsWithCare, "{:?}", wide.reasons());
    assert_eq!(wide.depends_on[0].reading, DoubtfulReading::Diameter(0));
    assert!(wide.depends_on[0].needs > mm(11.7) && wide.depends_on[0].needs < mm(12.7));
    assert!(
        wide.depends_on[0].name.contains("from 0 mm"),
        "{}",
        wide.depends_on[0].name
    );
    let off = crater(None, Some(0.5));
    assert_eq!(off.depends_on[0].reading, DoubtfulReading::Offset(0));

    let mut hard = stripped();
    hard.damage.hard = vec![HardZone {
        span: span(0.0, 4.0),
        error: Some(mm(1.5)),
    }];
    let answer = thin(&hard);
    let zone = answer.depends_on.first().unwrap();
    assert_eq!(zone.reading, DoubtfulReading::HardZone(0));
    assert!(zone.needs > mm(4.0) && zone.needs < mm(5.5), "{zone}");
}

fn any_hole() -> impl Strategy<Value = Situation> {
    let place = (12.0..30.0, 3.0..20.0, 8.0..30.0, 14.0..40.0, 0.0..1.0);
    let crater = (2.0..12.0, 8.0..15.0, 0.0..3.0, -180.0..180.0_f64);
    let errors = (0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0, 0.0..1.0);
    (place, crater, errors).prop_map(|(place, crater, errors)| {
        let mut hole = Situation {
            face_cut: Some(mm(place.4)),
            ..stripped()
        };
        for (reading, stated, error) in [
            (DoubtfulReading::Depth, place.0, errors.0),
            (DoubtfulReading::Floor, place.1, errors.1),
            (DoubtfulReading::NearestEdge, place.2, errors.2),
            (DoubtfulReading::NearestHole, place.3, errors.3),
        ] {
            hole.set_plain(reading, Some(mm(stated)), mm(error));
        }
        hole.damage = Damage {
            stations: vec![Station {
                diameter_error: Some(mm(errors.4)),
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
    fn fits_means_fits_at_the_worst_of_what_the_readings_may_be_off(hole in any_hole()) {
        // At the worst: the same values, with nobody saying that they may be off.
        let mut worst = hole.clone();
        worst.errors = Default::default();
        for station in &mut worst.damage.stations {
            station.diameter += station.diameter_error.take().unwrap_or_default();
        }
        let at_worst = remedies(&worst);
        for answer in remedies(&hole) {
            let same = at_worst.iter().find(|other| other.work() == answer.work()).unwrap();
            match (answer.verdict, same.verdict) {
                (Verdict::FitsWithCare | Verdict::NotKnown, Verdict::DoesNotFit) => prop_assert!(!answer.depends_on.is_empty()),
                (ours, theirs) if answer.remedy != Remedy::Specialist => prop_assert_eq!(ours, theirs),
                _ => {}
            }
        }
    }

    #[test]
    fn each_reading_taken_as_well_as_is_asked_gives_the_better_verdict(hole in any_hole()) {
        for answer in remedies(&hole) {
            for hangs in answer.depends_on.iter().filter(|hangs| hangs.alone) {
                let better = hole.with_error(hangs.reading, hangs.within());
                let verdict = verdict_of(&better, Catalogue::standard(), &answer.work()).unwrap();
                prop_assert!(verdict <= answer.verdict, "{} {:?}", hangs, verdict);
            }
        }
    }
}
