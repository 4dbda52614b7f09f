//! How to tell two similar threads apart, and which threads are easily confused.

use super::{Form, Thread};
use crate::length::Length;
use serde::Serialize;

/// Numbers of pitches to measure over; the fewest that show a difference are used.
const SPANS: [i64; 4] = [5, 10, 20, 40];
/// Least difference over several pitches that a rule shows: 0.8 mm (judgment).
const VISIBLE_SPAN_MM: f64 = 0.8;
/// Least difference in diameter that a caliper shows on unworn crests: 0.1 mm (judgment).
const MEASURABLE_DIAMETER_MM: f64 = 0.1;

/// The measurement that tells two threads apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DifferenceBy {
    /// The pitch, over several threads.
    Pitch,
    /// Whether the thread is tapered.
    Taper,
    /// The angle between the flanks.
    FlankAngle,
    /// The diameter across unworn crests.
    Diameter,
}

/// How to tell two threads apart.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// The measurement that decides.
    pub by: DifferenceBy,
    /// What to measure and its value for each thread, as part of a sentence.
    pub text: String,
}

/// Returns the surest measurement that tells two threads apart; `None` if no shop measurement does.
pub fn tell_apart(a: Thread, b: Thread) -> Option<Difference> {
    by_pitch(a, b)
        .or_else(|| by_taper(a, b))
        .or_else(|| by_angle(a, b))
        .or_else(|| by_diameter(a, b))
}

fn by_pitch(a: Thread, b: Thread) -> Option<Difference> {
    let off_mm = (a.pitch_mm() - b.pitch_mm()).abs();
    let span = SPANS
        .into_iter()
        .find(|&pitches| pitches as f64 * off_mm >= VISIBLE_SPAN_MM)?;
    let over = |thread: Thread| Length::from_computed_mm(span as f64 * thread.pitch_mm()).both();
    Some(Difference {
        by: DifferenceBy::Pitch,
        text: format!(
            "the pitch: over {span} pitches ({} crests), {a} measures {} and {b} {}",
            span + 1,
            over(a),
            over(b)
        ),
    })
}

fn by_taper(a: Thread, b: Thread) -> Option<Difference> {
    let (taper, parallel) = match (a.series().is_taper(), b.series().is_taper()) {
        (true, false) => (a, b),
        (false, true) => (b, a),
        _ => return None,
    };
    Some(Difference {
        by: DifferenceBy::Taper,
        text: format!("the taper: {taper} tapers 1 in 16 on diameter, {parallel} does not"),
    })
}

fn by_angle(a: Thread, b: Thread) -> Option<Difference> {
    let angle = |thread: Thread| thread.form().angle_deg();
    (angle(a) != angle(b)).then(|| Difference {
        by: DifferenceBy::FlankAngle,
        text: format!(
            "the flank angle: {a} has {} degrees and {b} {}; hold a gauge of each against the least worn threads, with light \
             behind it",
            angle(a),
            angle(b)
        ),
    })
}

fn by_diameter(a: Thread, b: Thread) -> Option<Difference> {
    let across = |thread: Thread| thread.usual_external().major_max;
    let off = (across(a) - across(b)).abs();
    (off.mm() >= MEASURABLE_DIAMETER_MM).then(|| Difference {
        by: DifferenceBy::Diameter,
        text: format!(
            "the diameter across unworn crests: at most {} for {a} and {} for {b}",
            across(a).both(),
            across(b).both()
        ),
    })
}

/// Threads of different systems are easily confused if they differ by less than this: 6 % of the
/// diameter and 13 % of the pitch (judgment).
const LOOK_ALIKE_LIMITS: [f64; 2] = [0.06, 0.13];

/// Returns threads of other systems that are easily confused with this one, nearest first.
///
/// They are found by size and pitch: 1/2-12 BSW for 1/2-13 UNC, M10x1.5 for 3/8-16 UNC.
pub fn look_alikes(thread: Thread) -> Vec<Thread> {
    let far = |other: &Thread| {
        let diameter = relative(across_mm(thread), across_mm(*other)) / LOOK_ALIKE_LIMITS[0];
        let pitch = relative(thread.pitch_mm(), other.pitch_mm()) / LOOK_ALIKE_LIMITS[1];
        diameter.max(pitch)
    };
    let mut alike: Vec<Thread> = super::standard_threads()
        .filter(|other| is_widespread(other) && differs_in_system(thread, *other))
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

fn is_widespread(thread: &Thread) -> bool {
    thread.series().is_common() || thread.form() != Form::Sixty
}

fn differs_in_system(a: Thread, b: Thread) -> bool {
    a.series().system() != b.series().system() || (a.is_pipe() && a.series() != b.series())
}
