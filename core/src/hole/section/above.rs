//! What is left of the thread, seen from above at the depth where least is left.

use super::major;
use crate::hole::damage::{thread_left, thread_left_by_angle};
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
use crate::length::Length;

/// The ring of the thread to cut, with what the damage leaves of it at one depth.
#[derive(Debug, Clone, PartialEq)]
pub struct FromAbove {
    /// The depth where least is left, from the face as is.
    pub depth: Length,
    /// The fraction of the flank height left there, averaged around the circumference, 0 to 1.
    pub fraction: f64,
    /// Diameter of the drill.
    pub drilled: Length,
    /// Major diameter of the thread.
    pub major: Length,
    /// Degrees counterclockwise from the picture's right, and how far from the intended center the
    /// metal starts there, mm.
    pub metal_from_mm: Vec<(f64, f64)>,
}

/// Returns the view from above; `None` if nothing is drilled or the whole thread is left.
pub fn from_above(situation: &Situation, assessment: &Assessment) -> Option<FromAbove> {
    let (drilled, major) = (assessment.drill?.diameter, major(assessment)?);
    let all = assessment.thread_left.iter();
    let least = all.min_by(|a, b| a.fraction.total_cmp(&b.fraction))?;
    if least.fraction > ALL {
        return None;
    }
    let damage = situation.damage_to_cut();
    // The lower end of a slice belongs to the next one: its own value is just above.
    let just_above = least.depth - Length::from_nm(1);
    let off = |depth: Length| (thread_left(&damage, drilled, major, depth) - least.fraction).abs();
    let depth = if off(just_above) < off(least.depth) {
        just_above
    } else {
        least.depth
    };
    let height_mm = (major - drilled).mm() / 2.0;
    let by_angle = thread_left_by_angle(&damage, drilled, major, depth);
    let starts = |(deg, left): (f64, f64)| (deg, major.mm() / 2.0 - left * height_mm);
    Some(FromAbove {
        depth: least.depth,
        fraction: least.fraction,
        drilled,
        major,
        metal_from_mm: by_angle.into_iter().map(starts).collect(),
    })
}

/// A larger fraction counts as the whole thread.
const ALL: f64 = 0.999;
