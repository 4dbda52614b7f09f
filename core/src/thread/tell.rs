//! What tells two threads apart.

use super::{Form, Thread};
use crate::length::Length;
use serde::Serialize;

/// Over so many pitches a difference is measured; the fewest that show it are taken.
const SPANS: [i64; 4] = [5, 10, 20, 40];
/// A difference over the pitches that a rule shows: 0.8 mm (judgement).
const SPAN_SHOWS_MM: f64 = 0.8;
/// A difference of diameter that a caliper shows on unworn crests: 0.1 mm (judgement).
const DIAMETER_SHOWS_MM: f64 = 0.1;

/// The reading that tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TellBy {
    /// The pitch, over several threads.
    Pitch,
    /// Whether the thread gets wider along its length.
    Taper,
    /// The angle between the flanks.
    FlankAngle,
    /// The diameter across unworn crests.
    Diameter,
}

/// How two threads are told apart.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tell {
    /// By which reading.
    pub by: TellBy,
    /// What to measure and what it comes to for each, as a part of a sentence.
    pub words: String,
}

/// The surest reading that tells one thread from another; `None` where none that a shop takes does.
pub fn tell_apart(a: Thread, b: Thread) -> Option<Tell> {
    by_pitch(a, b)
        .or_else(|| by_taper(a, b))
        .or_else(|| by_angle(a, b))
        .or_else(|| by_diameter(a, b))
}

fn by_pitch(a: Thread, b: Thread) -> Option<Tell> {
    let off_mm = (a.pitch_mm() - b.pitch_mm()).abs();
    let span = SPANS
        .into_iter()
        .find(|&pitches| pitches as f64 * off_mm >= SPAN_SHOWS_MM)?;
    let over = |thread: Thread| Length::computed_mm(span as f64 * thread.pitch_mm()).both();
    Some(Tell {
        by: TellBy::Pitch,
        words: format!(
            "the pitch: over {span} pitches, which is {} crests, {a} measures {} and {b} {}",
            span + 1,
            over(a),
            over(b)
        ),
    })
}

fn by_taper(a: Thread, b: Thread) -> Option<Tell> {
    let (taper, parallel) = match (a.series().is_taper(), b.series().is_taper()) {
        (true, false) => (a, b),
        (false, true) => (b, a),
        _ => return None,
    };
    Some(Tell {
        by: TellBy::Taper,
        words: format!(
            "the taper: {taper} gets wider by 1 mm in 16 mm along its length, and {parallel} does not"
        ),
    })
}

fn by_angle(a: Thread, b: Thread) -> Option<Tell> {
    let angle = |thread: Thread| thread.form().angle_deg();
    (angle(a) != angle(b)).then(|| Tell {
        by: TellBy::FlankAngle,
        words: format!(
            "the flank angle: {a} has {} degrees and {b} {}; hold a gauge of each against the light, where the threads are least worn",
            angle(a),
            angle(b)
        ),
    })
}

fn by_diameter(a: Thread, b: Thread) -> Option<Tell> {
    let across = |thread: Thread| thread.usual_external().major_max;
    let off = (across(a) - across(b)).abs();
    (off.mm() >= DIAMETER_SHOWS_MM).then(|| Tell {
        by: TellBy::Diameter,
        words: format!(
            "the diameter across unworn crests: at most {} for {a} and {} for {b}",
            across(a).both(),
            across(b).both()
        ),
    })
}

/// Threads of another system that come this near by eye and rule are taken for one another: 6 % of the diameter, 13 % of the pitch
/// (judgement).
const ALIKE: [f64; 2] = [0.06, 0.13];

/// Threads of other systems that are easily taken for this one, the nearest first.
///
/// They are found from the sizes themselves: 1/2-12 BSW beside 1/2-13 UNC, M10x1.5 beside 3/8-16 UNC.
pub fn look_alikes(thread: Thread) -> Vec<Thread> {
    let far = |other: &Thread| {
        let diameter = relative(across_mm(thread), across_mm(*other)) / ALIKE[0];
        let pitch = relative(thread.pitch_mm(), other.pitch_mm()) / ALIKE[1];
        diameter.max(pitch)
    };
    let mut alike: Vec<Thread> = super::standard_threads()
        .filter(|other| is_often_met(other) && is_of_another_kind(thread, *other))
        .filter(|other| far(other) <= 1.0)
        .map(|other| other.with_hand(thread.hand()))
        .collect();
    alike.sort_by(|a, b| far(a).total_cmp(&far(b)));
    alike
}

fn across_mm(thread: Thread) -> f64 {
    thread.basic().major_mm
}

fn relative(a: f64, b: f64) -> f64 {
    2.0 * (a - b).abs() / (a + b)
}

fn is_often_met(thread: &Thread) -> bool {
    thread.series().is_common() || thread.form() != Form::Sixty
}

fn is_of_another_kind(a: Thread, b: Thread) -> bool {
    a.series().system() != b.series().system() || (a.is_pipe() && a.series() != b.series())
}
