//! The numbers of a step.

use super::{StepKey, cutting, proving};
use crate::cutting::Feed;
use crate::drill::{Drill, tap_drill};
use crate::hole::record::{CheckKind, CutStep, Remedy};
use crate::hole::remedies::{Assessment, point_length};
use crate::hole::situation::Situation;
use crate::length::Length;

/// A number with its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    /// What it is.
    pub name: &'static str,
    /// How much.
    pub value: Value,
}

/// What a number of a step can be.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A length.
    Length(Length),
    /// A length between two limits.
    Between(Length, Length),
    /// A drill, by its name.
    Drill(Drill),
    /// Degrees, between two limits.
    Degrees(f64, f64),
    /// How many.
    Count(u8),
    /// Turns a minute, between two limits.
    Turns(f64, f64),
    /// Feed by the turn or the tooth.
    Feed(Feed),
    /// Newton metres.
    NewtonMetres(f64),
    /// Newtons.
    Newtons(f64),
    /// A tool or thread by its name.
    Words(String),
}

pub(super) fn numbers(key: StepKey, situation: &Situation, assessment: &Assessment) -> Vec<Number> {
    let mut list = List(Vec::new());
    match key {
        StepKey::Cut(step) => cut(&mut list, step, situation, assessment),
        StepKey::FaceCut => {
            list.length("still to come off", situation.face_cut);
            list.length(
                "came off",
                Some(situation.milled).filter(|milled| milled.is_positive()),
            );
        }
        StepKey::DryFit | StepKey::Set => setting(&mut list, situation, assessment),
        StepKey::Keys => list.push(
            "keys",
            assessment
                .insert
                .as_ref()
                .map(|insert| Value::Count(insert.keys)),
        ),
        StepKey::Check(CheckKind::RunsIn) => {
            list.length("to a depth of", engaged_by_bolt(situation, assessment))
        }
        StepKey::Check(_) => {}
        StepKey::Prove => proving::numbers(&mut list, situation, assessment),
    }
    list.0
}

/// Collects the numbers of a step; what is not known is left out.
pub(super) struct List(Vec<Number>);

impl List {
    pub fn push(&mut self, name: &'static str, value: Option<Value>) {
        self.0.extend(value.map(|value| Number { name, value }));
    }

    pub fn length(&mut self, name: &'static str, length: Option<Length>) {
        self.push(name, length.map(Value::Length));
    }
}

fn cut(list: &mut List, step: CutStep, situation: &Situation, assessment: &Assessment) {
    let depths = assessment.depths.as_ref();
    match step {
        CutStep::ClearBroken => {
            let piece = situation.damage.broken_tool.as_ref();
            list.length("its length", piece.and_then(|piece| piece.length));
            list.length("its top below the face", piece.and_then(|piece| piece.top));
        }
        CutStep::RelieveHard => {
            for zone in &situation.damage.hard {
                list.push(
                    "hard from, to",
                    Some(Value::Between(zone.span.from, zone.span.to)),
                );
            }
        }
        CutStep::Centre => {
            list.length(
                "old hole off centre by",
                Some(situation.damage.wandered()).filter(|off| off.is_positive()),
            );
            cutting::numbers(list, step, situation, assessment);
        }
        CutStep::Drill => {
            list.push("drill", assessment.drill.map(Value::Drill));
            let insert = assessment.insert.as_ref();
            list.push(
                "hole before tapping",
                insert.map(|insert| Value::Between(insert.hole_min, insert.hole_max)),
            );
            list.length(
                "full diameter to, from today's face",
                depths.and_then(|d| d.drill),
            );
            list.length(
                "full diameter to, from the finished face",
                depths.map(|d| d.drill_after_cut),
            );
            list.length(
                "point beyond that",
                assessment.drill.map(|drill| point_length(&drill)),
            );
            cutting::numbers(list, step, situation, assessment);
        }
        CutStep::Tap => {
            list.push("tap", assessment.tap.clone().map(Value::Words));
            list.push(
                "chamfer",
                assessment
                    .tap_chamfer
                    .map(|tap| Value::Words(tap.name().to_owned())),
            );
            list.length(
                "full thread to, from today's face",
                depths.and_then(|d| d.full_thread),
            );
            list.length(
                "full thread to, from the finished face",
                depths.map(|d| d.full_thread_after_cut),
            );
        }
        CutStep::Countersink => {
            let countersink = assessment
                .insert
                .as_ref()
                .and_then(|insert| insert.countersink);
            list.push(
                "diameter at the finished face",
                countersink.map(|c| Value::Between(c.min, c.max)),
            );
            list.push(
                "angle",
                countersink.map(|c| Value::Degrees(c.angle_min_deg, c.angle_max_deg)),
            );
        }
        CutStep::Plug => {
            list.push("plug", assessment.outside_thread.clone().map(Value::Words));
            // The depth of full thread is the plug's own length.
            list.length("its length", depths.and_then(|d| d.full_thread));
            pinning(list, assessment);
        }
        CutStep::DrillPlug => list.push(
            "drill",
            Some(Value::Drill(tap_drill(&situation.thread).drill)),
        ),
        CutStep::TapPlug => list.push(
            "tap",
            Some(Value::Words(format!(
                "{} tap",
                situation.thread.designation()
            ))),
        ),
    }
}

/// The pins on the joint line: how many, how large, where and how deep.
fn pinning(list: &mut List, assessment: &Assessment) {
    let Some(pins) = &assessment.pins else {
        return;
    };
    list.push("pins, evenly spaced", Some(Value::Count(pins.count)));
    list.push("pin and its drill", Some(Value::Drill(pins.drill)));
    list.length("pin centres on a circle of", Some(pins.circle));
    list.push(
        "first pin, from the line to the nearest edge",
        Some(Value::Degrees(pins.first_deg, pins.first_deg)),
    );
    list.length("pins to, from today's face", pins.depth);
    list.length(
        "pins to, from the finished face",
        Some(pins.depth_after_cut),
    );
}

fn setting(list: &mut List, situation: &Situation, assessment: &Assessment) {
    let Some(depths) = &assessment.depths else {
        return;
    };
    list.length(
        "insert, nominal length",
        assessment.insert.as_ref().map(|insert| insert.length),
    );
    let stud = assessment.remedy == Remedy::SteppedStud;
    list.length(
        "larger end, engaged",
        assessment
            .engaged
            .filter(|_| stud)
            .map(|engaged| engaged.length()),
    );
    let range = depths.set_below_min.zip(depths.set_below_max);
    list.push(
        if stud {
            "step below the finished face"
        } else {
            "top below the finished face"
        },
        range.map(|(least, most)| Value::Between(least, most)),
    );
    if situation.face_cut != Some(Length::ZERO) {
        let name = if stud {
            "step below today's face, if set now"
        } else {
            "top below today's face, if set now"
        };
        list.length(name, depths.set_now);
    }
}

/// The insert's length, or where the thread is engaged.
fn engaged_by_bolt(situation: &Situation, assessment: &Assessment) -> Option<Length> {
    let insert = assessment.insert.as_ref().map(|insert| insert.length);
    let plug =
        (assessment.remedy == Remedy::ThreadedPlug).then(|| situation.thread.nominal() * 3 / 2);
    insert
        .or(plug)
        .or_else(|| assessment.engaged.map(|engaged| engaged.length()))
}
