//! The numbers to work to at each step.

use super::number::{List, Number, Value};
use super::{StepKey, Work, cutting, final_check};
use crate::drill::tap_drill;
use crate::hole::record::{CheckKind, CutStep, FitCheck, Remedy};
use crate::hole::remedies::{Assessment, point_length};
use crate::hole::situation::Situation;
use crate::insert::bushing::wall_thickness;
use crate::length::{Length, Rounding};
use crate::thread::Thread;

/// Names of the numbers that are recorded if a step is done as planned.
pub(super) const DRILL_AS_IS: &str = "Drill depth to full diameter, face as is";
pub(super) const THREAD_AS_IS: &str = "Full thread depth, face as is";
pub(super) const GRIND_TO: &str = "Grind to a diameter of at least";
const TOOL_DRILL: &str = "Drill";
const TOOL_TAP: &str = "Tap";
const MATERIAL: &str = "Material";
/// Names of the tools of the steps.
pub(super) const TOOLS: [&str; 4] = [TOOL_DRILL, TOOL_TAP, cutting::TOOLS, MATERIAL];

/// Returns the numbers to work to at a step.
pub(super) fn numbers(key: StepKey, work: &Work<'_>) -> Vec<Number> {
    let (situation, assessment) = (work.situation, work.assessment);
    let mut list = List(Vec::new());
    match key {
        StepKey::Cut(step) => cut(&mut list, step, situation, assessment),
        StepKey::FaceCut => {
            list.length("Left to remove", situation.face_cut);
            list.length(
                "Removed",
                Some(work.face.removed()).filter(|removed| removed.is_positive()),
            );
        }
        StepKey::TrialFit if assessment.remedy.fit_check() == Some(FitCheck::Gauge) => {
            full_thread(&mut list, assessment);
        }
        StepKey::TrialFit | StepKey::Install => installing(&mut list, situation, assessment),
        StepKey::StakeKeys => list.push(
            "Keys",
            assessment
                .insert
                .as_ref()
                .map(|insert| Value::Count(insert.keys)),
        ),
        StepKey::Check(CheckKind::RunsInByHand) => {
            list.length("To a depth of", engaged_by_bolt(situation, assessment))
        }
        StepKey::Check(_) => {}
        StepKey::FinalCheck => final_check::numbers(&mut list, situation, assessment),
    }
    list.0
}

fn cut(list: &mut List, step: CutStep, situation: &Situation, assessment: &Assessment) {
    let depths = assessment.depths.as_ref();
    match step {
        CutStep::ClearBroken => {
            let piece = situation.damage.broken_tool.as_ref();
            list.length("Piece length", piece.and_then(|piece| piece.length));
            list.length("Top of piece below face", piece.and_then(|piece| piece.top));
        }
        CutStep::RelieveHard => {
            for zone in &situation.damage.hard {
                list.push(
                    "Hard zone, depth",
                    Some(Value::Range {
                        least: zone.span.from,
                        most: zone.span.to,
                    }),
                );
            }
            grinding(list, situation, assessment);
        }
        CutStep::Center => {
            list.length(
                "Old hole off center by",
                Some(situation.damage.off_center()).filter(|off| off.is_positive()),
            );
            cutting::numbers(list, step, situation, assessment);
        }
        CutStep::Drill => {
            list.push(TOOL_DRILL, assessment.drill.map(Value::Drill));
            let insert = assessment.insert.as_ref();
            list.push(
                "Hole before tapping",
                insert.map(|insert| Value::Range {
                    least: insert.hole_min,
                    most: insert.hole_max,
                }),
            );
            list.depth(DRILL_AS_IS, depths.and_then(|d| d.drill));
            list.depth(
                "Drill depth to full diameter, finished face",
                depths.map(|d| d.drill_after_cut),
            );
            list.depth(
                "Drill point beyond that",
                assessment.drill.map(|drill| point_length(&drill)),
            );
            cutting::numbers(list, step, situation, assessment);
        }
        CutStep::Tap => {
            list.push(TOOL_TAP, assessment.tap.clone().map(Value::Text));
            list.push(
                "Chamfer",
                assessment
                    .tap_chamfer
                    .map(|tap| Value::Text(tap.name().to_owned())),
            );
            full_thread(list, assessment);
        }
        CutStep::Countersink => {
            let countersink = assessment
                .insert
                .as_ref()
                .and_then(|insert| insert.countersink);
            list.push(
                "Diameter at the finished face",
                countersink.map(|c| Value::Range {
                    least: c.min,
                    most: c.max,
                }),
            );
            list.push(
                "Angle",
                countersink.map(|c| Value::Degrees {
                    least: c.angle_min_deg,
                    most: c.angle_max_deg,
                }),
            );
        }
        CutStep::MakeBushing => bushing(list, situation, assessment),
        CutStep::BroachSlots => list.push(
            "Slots",
            assessment
                .insert
                .as_ref()
                .map(|insert| Value::Count(insert.keys)),
        ),
        CutStep::Plug => {
            list.push("Plug", assessment.outside_thread.clone().map(Value::Text));
            // The plug is as long as the full thread is deep.
            list.depth("Plug length", depths.and_then(|d| d.full_thread));
            pinning(list, assessment);
        }
        CutStep::DrillPlug => list.push(
            TOOL_DRILL,
            Some(Value::Drill(tap_drill(&situation.thread).drill)),
        ),
        CutStep::TapPlug => list.push(
            TOOL_TAP,
            Some(Value::Text(format!(
                "{} tap",
                situation.thread.designation()
            ))),
        ),
    }
}

/// Adds how deep the full thread must reach.
fn full_thread(list: &mut List, assessment: &Assessment) {
    let depths = assessment.depths.as_ref();
    list.depth(THREAD_AS_IS, depths.and_then(|d| d.full_thread));
    list.depth(
        "Full thread depth, finished face",
        depths.map(|d| d.full_thread_after_cut),
    );
}

/// How much wider than the tap hard metal is ground out, so that the tap's crests clear it: 1/64 in
/// (judgment).
const GRINDING_CLEARANCE: Length = Length::from_fraction(1, 64);

/// Adds how wide to grind hard metal out, and what it costs in thread.
fn grinding(list: &mut List, situation: &Situation, assessment: &Assessment) {
    let across = outside_major(situation, assessment) + GRINDING_CLEARANCE;
    list.depth(GRIND_TO, Some(across));
    let hard = |engaged| situation.damage.hard_within(engaged);
    let lost = assessment.engaged.map(hard);
    list.push(
        "Thread given up",
        lost.map(|length| Value::Computed {
            length,
            rounding: Rounding::Up,
        }),
    );
}

/// Returns the basic major diameter of the thread in the casting.
fn outside_major(situation: &Situation, assessment: &Assessment) -> Length {
    if let Some(insert) = &assessment.insert {
        return insert.outside.major;
    }
    let outside = assessment.outside_thread.as_deref();
    let thread = outside.and_then(|outside| Thread::parse(outside).ok());
    thread.unwrap_or(situation.thread).nominal()
}

/// Adds what a shop-made bushing is turned to.
fn bushing(list: &mut List, situation: &Situation, assessment: &Assessment) {
    let Some(insert) = &assessment.insert else {
        return;
    };
    list.push(
        MATERIAL,
        Some(Value::Text("low-carbon steel bar".to_owned())),
    );
    let outside = insert.outside.thread.map(|thread| {
        let limits = thread.usual_external();
        (thread, limits)
    });
    list.push(
        "Outside thread",
        outside.map(|(thread, limits)| {
            let class = limits
                .class
                .map_or(String::new(), |class| format!(", class {class}"));
            Value::Text(format!("{}{class}", thread.designation()))
        }),
    );
    list.push(
        "Outside diameter",
        outside.map(|(_, limits)| Value::Range {
            least: limits.major_min,
            most: limits.major_max,
        }),
    );
    let inside = situation.thread;
    list.push("Inside thread", Some(Value::Text(inside.designation())));
    list.push("Drill for it", Some(Value::Drill(tap_drill(&inside).drill)));
    list.length("Length", Some(insert.length));
    list.push(
        "Wall between the threads",
        outside.map(|(thread, _)| Value::Computed {
            length: wall_thickness(&inside, &thread),
            rounding: Rounding::Down,
        }),
    );
    list.push(
        "Locked by",
        Some(Value::Text(
            "retaining compound; a pin as well where it runs hot or the bolt is left-hand"
                .to_owned(),
        )),
    );
}

/// Adds the pins on the joint line: count, size, place and depth.
fn pinning(list: &mut List, assessment: &Assessment) {
    let Some(pins) = &assessment.pins else {
        return;
    };
    list.push("Pins, evenly spaced", Some(Value::Count(pins.count)));
    list.push("Pin and its drill", Some(Value::Drill(pins.drill)));
    list.push(
        "Pin circle diameter",
        Some(Value::Computed {
            length: pins.circle,
            rounding: Rounding::Nearest,
        }),
    );
    list.push(
        "First pin, from the line to the nearest edge",
        Some(Value::Degrees {
            least: pins.first_deg,
            most: pins.first_deg,
        }),
    );
    list.depth("Pin depth, face as is", pins.depth);
    list.depth("Pin depth, finished face", Some(pins.depth_after_cut));
}

fn installing(list: &mut List, situation: &Situation, assessment: &Assessment) {
    let Some(depths) = &assessment.depths else {
        return;
    };
    let bushing = assessment.remedy == Remedy::Bushing;
    list.length(
        if bushing {
            "Bushing length"
        } else {
            "Insert, nominal length"
        },
        assessment.insert.as_ref().map(|insert| insert.length),
    );
    let stud = assessment.remedy == Remedy::SteppedStud;
    list.length(
        "Larger end, engaged",
        assessment
            .engaged
            .filter(|_| stud)
            .map(|engaged| engaged.length()),
    );
    let range = depths.install_below_min.zip(depths.install_below_max);
    list.push(
        if stud {
            "Step below the finished face"
        } else {
            "Top below the finished face"
        },
        range.map(|(least, most)| Value::Range { least, most }),
    );
    if situation.face_cut != Some(Length::ZERO) {
        let name = if stud {
            "Step below the face as is, if installed now"
        } else {
            "Top below the face as is, if installed now"
        };
        list.depth(name, depths.install_now);
    }
    // A bushing that the bolt would unscrew is pinned as it is installed.
    pinning(list, assessment);
}

/// Returns the thread length for the bolt: the insert's, the plug's, or else the engaged length.
fn engaged_by_bolt(situation: &Situation, assessment: &Assessment) -> Option<Length> {
    let insert = assessment.insert.as_ref().map(|insert| insert.length);
    let plug =
        (assessment.remedy == Remedy::ThreadedPlug).then(|| situation.thread.nominal() * 3 / 2);
    insert
        .or(plug)
        .or_else(|| assessment.engaged.map(|engaged| engaged.length()))
}
