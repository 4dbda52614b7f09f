//! Thread forms: the profile of the groove and its heights.

use super::SQRT_3;
use serde::Serialize;

/// tan 27.5 degrees.
const TAN_27_5: f64 = 0.520_567_050_551_746_2;
/// Sharp height of the 55 degree form per unit of pitch, 0.960491: half the pitch over tan 27.5
/// degrees.
const WHITWORTH_SHARP: f64 = 0.5 / TAN_27_5;

/// The profile of a thread.
///
/// Heights are radial: a diameter changes by twice a height.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// 60 degrees, flat crests: Unified (ASME B1.1) and ISO metric (ISO 68-1).
    Sixty,
    /// 55 degrees, rounded crests and roots: Whitworth (BS 84) and the British pipe threads (ISO
    /// 7-1, ISO 228-1).
    Whitworth,
    /// 60 degrees, barely truncated crests: American pipe threads (ASME B1.20.1).
    AmericanPipe,
}

impl Form {
    /// Returns the angle between the flanks, in degrees.
    pub const fn angle_deg(self) -> u32 {
        match self {
            Form::Sixty | Form::AmericanPipe => 60,
            Form::Whitworth => 55,
        }
    }

    /// Returns the tangent of half the flank angle: half the width that the groove gains per unit
    /// of height.
    pub const fn tan_half_angle(self) -> f64 {
        match self {
            Form::Sixty | Form::AmericanPipe => 1.0 / SQRT_3,
            Form::Whitworth => TAN_27_5,
        }
    }

    /// Returns H, the height of the sharp triangle, in mm.
    pub fn sharp_height_mm(self, pitch_mm: f64) -> f64 {
        match self {
            Form::Sixty | Form::AmericanPipe => SQRT_3 / 2.0 * pitch_mm,
            Form::Whitworth => WHITWORTH_SHARP * pitch_mm,
        }
    }

    /// Returns the basic depth from major to minor diameter on one side, in mm: 5/8 H, or 2/3 H for
    /// Whitworth (0.640327 P). For American pipe threads 0.8 P (ASME B1.20.1, from memory).
    pub fn depth_mm(self, pitch_mm: f64) -> f64 {
        match self {
            Form::Sixty => 5.0 / 8.0 * self.sharp_height_mm(pitch_mm),
            Form::Whitworth => 2.0 / 3.0 * self.sharp_height_mm(pitch_mm),
            Form::AmericanPipe => 0.8 * pitch_mm,
        }
    }

    /// Returns the height from pitch to major diameter on one side, in mm: 3/8 H, or half the depth
    /// for Whitworth and American pipe threads.
    pub fn addendum_mm(self, pitch_mm: f64) -> f64 {
        match self {
            Form::Sixty => 3.0 / 8.0 * self.sharp_height_mm(pitch_mm),
            Form::Whitworth | Form::AmericanPipe => self.depth_mm(pitch_mm) / 2.0,
        }
    }

    /// Returns the height of 100 % thread on one side, in mm: 3/4 H for the flat 60 degree form
    /// (FED-STD-H28/2B 20.2.3), the whole depth for the others.
    pub fn full_thread_mm(self, pitch_mm: f64) -> f64 {
        match self {
            Form::Sixty => 0.75 * self.sharp_height_mm(pitch_mm),
            Form::Whitworth | Form::AmericanPipe => self.depth_mm(pitch_mm),
        }
    }
}
