//! Short ways for tests to write down what was recorded.

#![allow(clippy::unwrap_used)]

use super::damage::{Circle, Damage, Span, Station};
use super::record::*;
use crate::insert::Family;
use crate::length::Length;
use crate::thread::Thread;
use chrono::DateTime;
use uuid::Uuid;

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

/// A station that changes to another diameter, offset and direction at its lower end.
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

pub fn said<T>(body: T) -> Said<T> {
    Said {
        entry: Uuid::now_v7(),
        device: Uuid::nil(),
        by: "M. Vance".into(),
        at: DateTime::parse_from_rfc3339("2026-05-02T09:30:00+02:00").unwrap(),
        body,
    }
}

pub fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap()
}

pub fn wanted(text: &str) -> Wanted {
    Wanted {
        thread: thread(text),
        bolt: None,
        through: Some(false),
    }
}

pub fn reading(quantity: Quantity, value: f64) -> Said<Reading> {
    said(Reading {
        quantity,
        value: mm(value),
        error: Some(mm(0.1)),
        instrument: Some("depth rod".into()),
    })
}

/// The thin-wall key-locking insert for 3/8-16.
pub fn thin_wall() -> Work {
    Work {
        remedy: Remedy::KeyLockingInsert,
        family: Some(Family::KeyLockingThinWall),
        length: Some(mm(12.7)),
        outside_thread: Some("1/2-13 UNC".into()),
    }
}

pub fn plain(remedy: Remedy) -> Work {
    Work {
        remedy,
        family: None,
        length: None,
        outside_thread: None,
    }
}

pub fn choice(work: Work) -> Answers<Choice> {
    Answers(vec![said(Choice { work, reason: None })])
}

pub fn cut(work: &Work, step: CutStep) -> Said<Cut> {
    said(Cut {
        work: work.clone(),
        step,
        depth: None,
        tool: None,
        reason: None,
    })
}

pub fn dry_fit(work: &Work, fits: bool) -> Said<DryFit> {
    said(DryFit {
        work: work.clone(),
        fits,
        below_face: None,
        note: None,
    })
}

pub fn set(work: &Work, after_face_cut: bool, reason: Option<&str>) -> Said<Set> {
    said(Set {
        work: work.clone(),
        below_face: Some(mm(0.5)),
        after_face_cut,
        reason: reason.map(str::to_owned),
    })
}

pub fn keys(work: &Work) -> Said<Keys> {
    said(Keys {
        work: work.clone(),
        driven: 4,
        reason: None,
    })
}

pub fn check(kind: CheckKind, passes: bool) -> Said<Checked> {
    said(Checked {
        check: kind,
        passes,
        reading: None,
        instrument: None,
    })
}

pub fn proof(work: &Work, passes: bool) -> Said<Proof> {
    said(Proof {
        work: work.clone(),
        passes,
        how: "new bolt to full depth".into(),
        torque_nm: None,
        engaged: None,
    })
}
