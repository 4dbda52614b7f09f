//! Handwheels: turns and divisions, and from which side to come.

use crate::{PlaceError, input};
use serde::{Deserialize, Serialize};

/// From which side every position is approached, so that the slack of the screw never counts.
#[derive(
    holebook_shape::Shape, Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Approach {
    /// Moving toward larger readings.
    #[default]
    Rising,
    /// Moving toward smaller readings.
    Falling,
}

/// A handwheel with a dial.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Handwheel {
    /// How far the table moves in one turn, mm.
    pub lead_mm: f64,
    /// Divisions on the dial.
    pub divisions: u32,
    /// The side that positions are approached from.
    #[serde(default)]
    pub approach: Approach,
    /// The slack of the screw, mm: how far the wheel turns before the table follows.
    #[serde(default)]
    pub backlash_mm: f64,
}

/// How to turn a handwheel whose dial was set to 0 at the reference hole, approached from the same
/// side.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct WheelMove {
    /// Whole turns from the reference hole; negative toward smaller readings.
    pub turns: i32,
    /// What the dial shows then, in divisions, from 0 up to those of one turn.
    pub dial: f64,
    /// Whole turns from the position before, counted as the dial passes 0; less than 0 backward.
    pub turns_from_last: i32,
    /// How far to go past the position and come back, mm, to approach from the right side; 0 if the
    /// move already ends that way.
    pub overshoot_mm: f64,
}

/// The dial is read to a tenth of a division.
const TENTHS: f64 = 10.0;
/// Past the position by at least so many times the slack.
const PAST: f64 = 2.0;

impl Handwheel {
    pub(super) fn check(&self, axis: &str) -> Result<(), PlaceError> {
        input::positive(self.lead_mm, || format!("the lead of the {axis} handwheel"))?;
        if self.divisions == 0 {
            return Err(PlaceError::NotPositive {
                what: format!("the divisions of the {axis} handwheel"),
            });
        }
        if input::length(self.backlash_mm, || format!("the backlash of {axis}"))? < 0.0 {
            return Err(PlaceError::NotPositive {
                what: format!("the backlash of {axis}"),
            });
        }
        Ok(())
    }

    /// The turn from one reading to another, mm from the reference hole.
    pub(super) fn turn(&self, from_mm: f64, to_mm: f64) -> WheelMove {
        let (turns, dial) = self.position(to_mm);
        let (before, _) = self.position(from_mm);
        let is_right_way = match self.approach {
            Approach::Rising => to_mm >= from_mm,
            Approach::Falling => to_mm <= from_mm,
        };
        let past = (PAST * self.backlash_mm).max(self.lead_mm / 2.0);
        WheelMove {
            turns,
            dial,
            turns_from_last: turns - before,
            overshoot_mm: if is_right_way { 0.0 } else { past },
        }
    }

    /// Whole turns from 0, and the dial, to a tenth of a division.
    fn position(&self, mm: f64) -> (i32, f64) {
        let tenths_a_turn = f64::from(self.divisions) * TENTHS;
        let tenths = (mm / self.lead_mm * tenths_a_turn).round();
        let turns = (tenths / tenths_a_turn).floor();
        (turns as i32, (tenths - turns * tenths_a_turn) / TENTHS)
    }
}
