//! Tests of the assessments, by topic, with the holes that they share.

#![allow(clippy::unwrap_used)]

mod best_remedy;
mod depths;
mod fasteners;
mod json;
mod lean;
mod missing;
mod properties;
mod specialist;
mod strength;

use super::*;
use crate::hole::damage::{Lean, Station, Tilt};
use crate::hole::testing::*;
use crate::length::Length;
use crate::strength::{Grade, Iron, Metal};

fn assess(situation: &Situation) -> Vec<Assessment> {
    super::assessments(situation, Catalog::standard())
}

/// A sound blind hole with room on all sides.
fn sound() -> Situation {
    Situation {
        bolt: Some(Grade::Sae5),
        metal: Metal::Gray(Iron::Class20),
        through: Some(false),
        depth: Some(mm(32.0)),
        floor: Some(mm(9.0)),
        nearest_edge: Some(mm(30.0)),
        nearest_hole: Some(mm(60.0)),
        face_cut: Some(mm(0.5)),
        damage_described: true,
        ..Situation::of(thread("3/8-16"))
    }
}

fn with(stations: Vec<Station>) -> Situation {
    Situation {
        damage: damage(stations),
        ..sound()
    }
}

fn find(all: &[Assessment], remedy: Remedy, family: Option<Family>) -> &Assessment {
    all.iter()
        .find(|a| a.remedy == remedy && a.family() == family)
        .unwrap()
}

fn heavy(all: &[Assessment]) -> &Assessment {
    find(
        all,
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingHeavyDuty),
    )
}

fn find_check<'a>(assessment: &'a Assessment, name: &str) -> &'a Check {
    let mut checks = assessment.checks.iter();
    checks
        .find(|check| check.check == name)
        .unwrap_or_else(|| panic!("{name}"))
}

fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} against {b}");
}

fn leaning_by(by: f64, over: f64) -> Situation {
    let mut hole = sound();
    hole.damage.lean = Some(Lean {
        tilt: Tilt::Run {
            by: mm(by),
            over: mm(over),
        },
        direction_deg: 30.0,
        offset: Length::ZERO,
        offset_direction_deg: 0.0,
        diameter: None,
    });
    hole
}
