//! Builders for test records.

#![allow(clippy::unwrap_used)]

use super::damage::{Circle, Damage, Span, Station};
use super::kit::HoleName;
use super::record::*;
use crate::id::{CastingId, DeviceId, EntryId, FaceId, HoleId};
use crate::insert::Family;
use crate::length::Length;
use crate::thread::Thread;
use chrono::DateTime;
use std::sync::atomic::{AtomicU64, Ordering};
use uuid::Uuid;

static NEXT: AtomicU64 = AtomicU64::new(1);

pub fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

pub fn span(from: f64, to: f64) -> Span {
    Span {
        from: mm(from),
        to: mm(to),
    }
}

pub fn station(from: f64, to: f64, diameter: f64, offset: f64, direction_deg: f64) -> Station {
    Station::of(span(from, to), mm(diameter), mm(offset), direction_deg)
}

/// A station that tapers to another diameter, offset and direction at its lower end.
pub fn changing(station: Station, diameter: f64, offset: f64, direction_deg: f64) -> Station {
    station.changing_to(Circle {
        diameter: mm(diameter),
        offset: mm(offset),
        direction_deg,
    })
}

pub fn damage(stations: Vec<Station>) -> Damage {
    Damage {
        stations,
        ..Damage::default()
    }
}

/// Returns an entry of one device, after all that were made before it in the same process.
pub fn recorded<T>(body: T) -> Recorded<T> {
    Recorded {
        entry: EntryId(Uuid::now_v7()),
        device: DeviceId(Uuid::nil()),
        seq: NEXT.fetch_add(1, Ordering::Relaxed),
        seen: Vec::new(),
        corrects: None,
        by: "M. Vance".into(),
        at: DateTime::parse_from_rfc3339("2026-05-02T09:30:00+02:00").unwrap(),
        body,
    }
}

pub fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap()
}

pub fn wanted_thread(text: &str) -> WantedThread {
    WantedThread {
        thread: thread(text),
        bolt: None,
        through: Some(false),
        pressure: false,
    }
}

pub fn reading(quantity: Quantity, value: f64) -> Recorded<Reading> {
    recorded(Reading {
        quantity,
        value: mm(value),
        tolerance: Some(mm(0.1)),
        instrument: Some("depth rod".into()),
    })
}

/// The thin-wall key-locking insert for 3/8-16.
pub fn thin_wall() -> RemedySpec {
    RemedySpec {
        remedy: Remedy::KeyLockingInsert,
        family: Some(Family::KeyLockingThinWall),
        length: Some(mm(12.7)),
        outside_thread: Some("1/2-13 UNC".into()),
    }
}

pub fn plain_spec(remedy: Remedy) -> RemedySpec {
    RemedySpec {
        remedy,
        family: None,
        length: None,
        outside_thread: None,
    }
}

pub fn choice(spec: RemedySpec) -> FactEntries<Choice> {
    FactEntries(vec![recorded(Choice {
        spec,
        reason: None,
        basis: None,
    })])
}

pub fn cut(spec: &RemedySpec, step: CutStep) -> Recorded<Cut> {
    recorded(Cut {
        spec: spec.clone(),
        step,
        depth: None,
        diameter: None,
        tool: None,
        removal: None,
        reason: None,
    })
}

pub fn trial_fit(spec: &RemedySpec, fits: bool) -> Recorded<TrialFit> {
    recorded(TrialFit {
        spec: spec.clone(),
        fits,
        below_face: None,
        note: None,
    })
}

pub fn install(spec: &RemedySpec, after_face_cut: bool, reason: Option<&str>) -> Recorded<Install> {
    recorded(Install {
        spec: spec.clone(),
        below_face: Some(mm(0.5)),
        after_face_cut,
        reason: reason.map(str::to_owned),
    })
}

pub fn stake_keys(spec: &RemedySpec) -> Recorded<StakeKeys> {
    recorded(StakeKeys {
        spec: spec.clone(),
        driven: 4,
        reason: None,
    })
}

pub fn check(kind: CheckKind, passes: bool) -> Recorded<CheckResult> {
    recorded(CheckResult {
        check: kind,
        passes,
        reading: None,
        instrument: None,
        locking: false,
        reason: None,
    })
}

pub fn final_check(spec: &RemedySpec, passes: bool) -> Recorded<FinalCheck> {
    recorded(FinalCheck {
        spec: spec.clone(),
        passes,
        how: "new bolt to full depth".into(),
        torque_nm: None,
        engaged: None,
        reason: None,
    })
}

/// A face with 0.5 mm to come off.
pub fn face_to_cut() -> FaceRecord {
    let planned = mm(0.5);
    FaceRecord {
        planned_cut: FactEntries(vec![recorded(FaceCut::typed(planned))]),
        ..FaceRecord::default()
    }
}

/// A loose 3/8-16 hole, measured, with the thin-wall insert chosen.
pub fn loose_hole() -> HoleRecord {
    let worn = damage(vec![station(0.0, 20.0, 9.4, 0.0, 0.0)]);
    HoleRecord {
        wanted: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
        damage: FactEntries(vec![recorded(worn)]),
        readings: vec![
            reading(Quantity::Depth, 34.0),
            reading(Quantity::Floor, 12.0),
            reading(Quantity::NearestEdge, 30.0),
            reading(Quantity::NearestHole, 60.0),
        ],
        choice: choice(thin_wall()),
        ..HoleRecord::default()
    }
}

/// The name of a hole on a face of its own casting.
pub fn hole_name(number: u32) -> HoleName {
    HoleName {
        casting: CastingId(Uuid::from_u128(1)),
        casting_name: "pump end".into(),
        face: FaceId(Uuid::from_u128(2)),
        face_name: "cover joint".into(),
        hole: HoleId(Uuid::from_u128(100 + u128::from(number))),
        number,
    }
}
