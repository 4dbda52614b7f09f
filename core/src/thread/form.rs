//! Thread forms: the shape of the groove, and what follows from it.

use super::SQRT_3;
use serde::Serialize;

/// tan 27.5 degrees.
const TAN_27_5: f64 = 0.520_567_050_551_746_2;
/// Sharp height of the 55 degree form for each unit of pitch, 0.960491: half the pitch over tan 27.5 degrees.
const WHITWORTH_SHARP: f64 = 0.5 / TAN_27_5;

/// The shape of a thread's groove.
///
/// Heights are radial, so a diameter changes by twice a height.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// 60 degrees, flat crests: Unified (ASME B1.1) and ISO metric (ISO 68-1).
    Sixty,
    /// 55 degrees, rounded crests and roots: Whitworth (BS 84) and the British pipe threads (ISO 7-1, ISO 228-1).
    Whitworth,
    /// 60 degrees, barely cut at the crests: American pipe threads (ASME B1.20.1).
    AmericanPipe,
}

impl Form {
    /// Angle between the two flanks, in degrees.
    pub const fn angle_deg(self) -> u32 {
        match self {
            Form::Sixty | Form::AmericanPipe => 60,
            Form::Whitworth => 55,
        }
    }

    /// Tangent of half that angle: half the width that a groove gains for each unit of height.
    pub const fn tan_half_angle(self) -> f64 {
        match self {
            Form::Sixty | Form::AmericanPipe => 1.0 / SQRT_3,
            Form::Whitworth => TAN_27_5,
        }
    }

    /// H: height of the sharp triangle.
    pub fn sharp_height_mm(self, pitch_mm: f64) -> f64 {
        match self {
            Form::Sixty | Form::AmericanPipe => SQRT_3 / 2.0 * pitch_mm,
            Form::Whitworth => WHITWORTH_SHARP * pitch_mm,
        }
    }

    /// Basic depth, from major to minor diameter on one side: 5/8 H, or 2/3 H for Whitworth
    /// (0.640327 P). For American pipe threads 0.8 P (ASME B1.20.1, from memory).
    pub fn depth_mm(self, pitch_mm: f64) -> f64 {
        match self {
            Form::Sixty => 5.0 / 8.0 * self.sharp_height_mm(pitch_mm),
            Form::Whitworth => 2.0 / 3.0 * self.sharp_height_mm(pitch_mm),
            Form::AmericanPipe => 0.8 * pitch_mm,
        }
    }

    /// From the major diameter to the pitch diameter (of Whitworth threads the effective diameter), on one side: 3/8 H, or half
    /// the depth.
    pub fn addendum_mm(self, pitch_mm: f64) -> f64 {
        match self {
            Form::Sixty => 3.0 / 8.0 * self.sharp_height_mm(pitch_mm),
            Form::Whitworth | Form::AmericanPipe => self.depth_mm(pitch_mm) / 2.0,
        }
    }

    /// What counts as 100 % of thread, on one side: three quarters of H for the flat 60 degree form (FED-STD-H28/2B 20.2.3),
    /// the whole depth for the others.
    pub fn full_thread_mm(self, pitch_mm: f64) -> f64 {
        match self {
            Form::Sixty => 0.75 * self.sharp_height_mm(pitch_mm),
            Form::Whitworth | Form::AmericanPipe => self.depth_mm(pitch_mm),
        }
    }
}
