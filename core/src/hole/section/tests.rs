#![allow(clippy::unwrap_used)]

use super::super::damage::{Damage, Lean, Tilt};
use super::super::remedies::{assessment_of, assessments};
use super::super::testing::*;
use super::*;
use crate::insert::Catalog;

fn hole() -> Situation {
    Situation {
        through: Some(false),
        depth: Some(mm(32.0)),
        floor: Some(mm(9.0)),
        face_cut: Some(mm(0.5)),
        damage_described: true,
        damage: damage(vec![station(0.0, 9.0, 13.0, 1.2, 0.0)]),
        ..Situation::of(thread("3/8-16"))
    }
}

fn of(section: &Section, kind: OutlineKind) -> Vec<&Outline> {
    section
        .outlines
        .iter()
        .filter(|outline| outline.kind == kind)
        .collect()
}

fn corners(outline: &Outline) -> Vec<(f64, f64)> {
    outline
        .points
        .iter()
        .map(|p| (p.x_mm, p.depth_mm))
        .collect()
}

#[test]
fn the_hole_and_its_damage_are_where_they_were_measured() {
    let section = section(&hole(), None);
    assert_eq!(
        corners(of(&section, OutlineKind::Damage)[0]),
        [(-5.3, 0.0), (7.7, 0.0), (7.7, 9.0), (-5.3, 9.0)]
    );
    assert_eq!(
        corners(of(&section, OutlineKind::FinishedFace)[0])[0].1,
        0.5
    );
    assert_eq!(corners(of(&section, OutlineKind::FarSide)[0])[0].1, 41.0);
    assert_eq!(section.bottom_mm, 41.0);
    assert!(of(&section, OutlineKind::Insert).is_empty());
    // Turned 90 degrees, the plane cuts the circle evenly: half the chord is sqrt(6.5^2 - 1.2^2).
    let mut turned = hole();
    turned.damage.stations[0].direction_deg = 90.0;
    let turned = super::section(&turned, None);
    let right = corners(of(&turned, OutlineKind::Damage)[0])[1].0;
    assert!((right - (6.5_f64 * 6.5 - 1.44).sqrt()).abs() < 1e-9);
}

#[test]
fn the_insert_sits_below_the_finished_face() {
    let situation = hole();
    let all = assessments(&situation, Catalog::standard());
    let thin = assessment_of(&all, &thin_wall()).unwrap();
    let section = section(&situation, Some(thin));
    let sides = of(&section, OutlineKind::Insert);
    assert_eq!(sides.len(), 2);
    // .020 in below the finished face, .5 in long, 1/2 in outside.
    let right = corners(sides[1]);
    assert!(
        (right[0].1 - (0.508 + 0.5)).abs() < 1e-9 && (right[2].1 - right[0].1 - 12.7).abs() < 1e-9
    );
    assert_eq!(right[1].0, 6.35);
    // On the right the damage (7.7) removes all thread to 9 mm; on the left (5.3) it stays inside
    // the drilled hole.
    let thread: Vec<Vec<(f64, f64)>> = of(&section, OutlineKind::Thread)
        .into_iter()
        .map(corners)
        .collect();
    assert_eq!(thread.len(), 3);
    assert!(thread.iter().any(|c| c[0] == (-6.35, 0.0)));
    assert!(thread.iter().all(|c| c[0].0 < 0.0 || c[0].1 == 9.0));
    let tip = corners(of(&section, OutlineKind::Drilled)[0])[2];
    assert!(tip.0 == 0.0 && tip.1 > thin.depths.unwrap().drill.unwrap().mm());
}

#[test]
fn everything_is_inside_the_frame_for_every_remedy() {
    let mut proud = hole();
    proud.damage.broken_tool = Some(super::super::damage::BrokenTool {
        what: "stud".into(),
        length: Some(mm(20.0)),
        top: Some(mm(-6.0)),
    });
    proud.damage.hard = vec![span(0.0, 3.0).into()];
    let bare = Situation::of(thread("M10"));
    for situation in [hole(), proud, bare] {
        for assessment in assessments(&situation, Catalog::standard()) {
            let section = section(&situation, Some(&assessment));
            for point in section.outlines.iter().flat_map(|outline| &outline.points) {
                assert!(point.x_mm.abs() <= section.half_width_mm);
                assert!(point.depth_mm >= section.top_mm && point.depth_mm <= section.bottom_mm);
            }
        }
    }
}

#[test]
fn nothing_unknown_is_drawn() {
    let section = section(&Situation::of(thread("3/8-16")), None);
    let kinds: Vec<OutlineKind> = section
        .outlines
        .iter()
        .map(|outline| outline.kind)
        .collect();
    assert_eq!(kinds, [OutlineKind::Metal, OutlineKind::FaceAsIs]);
}

#[test]
fn a_tapered_crater_and_a_leaning_hole_are_drawn_as_such() {
    let mut hole = hole();
    hole.damage.stations = vec![changing(station(0.0, 9.0, 13.0, 1.2, 0.0), 9.0, 0.0, 0.0)];
    let section = section(&hole, None);
    let points = corners(of(&section, OutlineKind::Damage)[0]);
    let at = |depth: f64| -> Vec<f64> {
        let here = points.iter().filter(|p| (p.1 - depth).abs() < 1e-9);
        here.map(|p| p.0).collect()
    };
    assert_eq!(at(0.0), [-5.3, 7.7]);
    assert_eq!(at(9.0), [4.5, -4.5]);
    // Halfway down, the circle is 11 mm wide and 0.6 off.
    assert_eq!(at(4.5), [6.1, -4.9]);

    hole.damage = Damage {
        lean: Some(Lean {
            tilt: Tilt::Run {
                by: mm(1.0),
                over: mm(20.0),
            },
            direction_deg: 180.0,
            offset: Length::ZERO,
            offset_direction_deg: 0.0,
            diameter: Some(mm(9.0)),
        }),
        ..Damage::default()
    };
    let section = super::section(&hole, None);
    let points = corners(of(&section, OutlineKind::Damage)[0]);
    // At 32 mm deep it is 1.6 mm to the left.
    assert!(points.contains(&(-4.5, 0.0)) && points.contains(&(4.5, 0.0)));
    let bottom = points.iter().filter(|p| p.1 == 32.0).map(|p| p.0);
    let (right, left) = bottom.fold((f64::MIN, f64::MAX), |(r, l), x| (x.max(r), x.min(l)));
    assert!(
        (right - 2.9).abs() < 1e-6 && (left + 6.1).abs() < 1e-6,
        "{right} {left}"
    );
}

#[test]
fn the_thread_beside_a_taper_narrows_with_it() {
    let mut hole = hole();
    hole.damage.stations = vec![changing(station(0.0, 9.0, 14.5, 0.0, 0.0), 11.0, 0.0, 0.0)];
    let all = assessments(&hole, Catalog::standard());
    let thin = assessment_of(&all, &thin_wall()).unwrap();
    let section = section(&hole, Some(thin));
    // Right side: the metal starts at the taper, never beyond the thread's major radius, 6.35 mm.
    let right = of(&section, OutlineKind::Thread);
    let right = right
        .iter()
        .flat_map(|outline| &outline.points)
        .filter(|point| point.x_mm > 0.0 && point.depth_mm <= 9.0);
    for point in right {
        let taper = (14.5 - 3.5 * point.depth_mm / 9.0) / 2.0;
        let starts = taper.clamp(11.509375 / 2.0, 6.35);
        let on = |x: f64| (point.x_mm - x).abs() < 1e-5;
        assert!(on(starts) || on(6.35), "{point:?} {starts}");
    }
}

#[test]
fn from_above_the_damaged_side_is_open() {
    let mut hole = hole();
    hole.damage.stations = vec![changing(station(0.0, 9.0, 11.5, 1.2, 90.0), 11.5, 0.0, 0.0)];
    let all = assessments(&hole, Catalog::standard());
    let thin = assessment_of(&all, &thin_wall()).unwrap();
    let above = from_above(&hole, thin).unwrap();
    // It leans back to the center with depth, so least is left where the thread starts.
    assert_eq!(above.depth, thin.engaged.unwrap().from);
    let at = |deg: f64| {
        above
            .metal_from_mm
            .iter()
            .find(|(d, _)| *d == deg)
            .unwrap()
            .1
    };
    assert!((at(270.0) - 11.509375 / 2.0).abs() < 1e-6);
    assert!((at(90.0) - 6.35).abs() < 1e-6);
    let mean = above
        .metal_from_mm
        .iter()
        .map(|(_, r)| (6.35 - r) / (6.35 - 11.509375 / 2.0));
    assert!((mean.sum::<f64>() / 180.0 - above.fraction).abs() < 0.01);
    hole.damage.stations.clear();
    let all = assessments(&hole, Catalog::standard());
    let thin = assessment_of(&all, &thin_wall()).unwrap();
    assert_eq!(from_above(&hole, thin), None);
}
