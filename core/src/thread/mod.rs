//! Threads: what a designation stands for, and between which limits the parts of it lie.
//!
//! A [`Thread`] can only be one that a standard lists (see [`standard_threads`]), so no number here is
//! ever worked out for a thread that does not exist.

pub mod class;
mod designation;
mod error;
pub mod identify;
pub mod metric;
pub mod report;
mod series;
mod standard;
pub mod unified;

pub use class::{ExternalClass, ExternalLimits, InternalClass, InternalLimits};
pub use error::ThreadError;
pub use series::{Pitch, Series};
pub use standard::standard_threads;

use crate::length::Length;
use std::f64::consts::PI;

/// Square root of three; every 60 degree thread form is made of it.
pub(crate) const SQRT_3: f64 = 1.732_050_807_568_877_2;

/// A thread that a standard lists: its series, its size and its pitch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Thread {
    series: Series,
    nominal: Length,
    pitch: Pitch,
}

/// Basic sizes of the thread form, from which all limits are laid off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basic {
    /// Basic pitch diameter, D - 0.64951905 P, in millimetres.
    pub pitch_diameter_mm: f64,
    /// Basic minor diameter of the hole, D - 1.08253175 P, in millimetres.
    pub minor_mm: f64,
}

impl Thread {
    /// Reads a thread as people write it: `3/8-16`, `3/8-16 UNC`, `3/8 UNC`, `0.375-16`, `#10-24`,
    /// `1-1/8-12`, `M10`, `M10x1.5`.
    ///
    /// # Errors
    /// One sentence that says what was read and, where the thread does not exist, the nearest that do.
    pub fn parse(text: &str) -> Result<Thread, ThreadError> {
        designation::parse(text)
    }

    /// As the trade writes it: `3/8-16 UNC`, `10-24 UNC`, `M10x1.5`.
    pub fn designation(self) -> String {
        designation::write(self)
    }

    /// The series it belongs to.
    pub const fn series(self) -> Series {
        self.series
    }

    /// Nominal size, which is the basic major diameter.
    pub const fn nominal(self) -> Length {
        self.nominal
    }

    /// The pitch as the series states it.
    pub const fn pitch(self) -> Pitch {
        self.pitch
    }

    /// Pitch in millimetres; for inch threads exactly 25.4 divided by the threads per inch.
    pub fn pitch_mm(self) -> f64 {
        self.pitch.mm()
    }

    /// Threads per inch; `None` for a metric thread.
    pub const fn threads_per_inch(self) -> Option<u32> {
        match self.pitch {
            Pitch::PerInch(n) => Some(n),
            Pitch::Length(_) => None,
        }
    }

    /// Basic pitch and minor diameter of the 60 degree form: Unified (ASME B1.1) and metric
    /// (ISO 68-1, ISO 724) share the formulas.
    pub fn basic(self) -> Basic {
        let (d, p) = (self.nominal.mm(), self.pitch_mm());
        Basic {
            pitch_diameter_mm: d - 3.0 * SQRT_3 / 8.0 * p,
            minor_mm: d - 5.0 * SQRT_3 / 8.0 * p,
        }
    }

    /// Tensile stress area of the screw, in mm².
    ///
    /// Inch: 0.7854 (D - 0.9743/n)², FED-STD-H28/2B (1991) formula (1b). Metric: 0.7854 (d - 0.9382 P)²,
    /// ISO 898-1.
    pub fn stress_area_mm2(self) -> f64 {
        let share = if self.series.is_metric() {
            13.0 * SQRT_3 / 24.0 // 0.938194
        } else {
            9.0 * SQRT_3 / 16.0 // 0.974279
        };
        let d = self.nominal.mm() - share * self.pitch_mm();
        PI / 4.0 * d * d
    }

    /// Limits of the tapped hole in one tolerance class.
    ///
    /// # Errors
    /// The series does not have that class.
    pub fn internal(self, class: InternalClass) -> Result<InternalLimits, ThreadError> {
        let limits = if class.is_metric() != self.series.is_metric() {
            None
        } else if self.series.is_metric() {
            metric::internal(self, class)
        } else {
            Some(unified::internal(self, class))
        };
        limits.ok_or_else(|| error::no_such_class(self, class.name()))
    }

    /// Limits of the screw in one tolerance class.
    ///
    /// # Errors
    /// The series does not have that class.
    pub fn external(self, class: ExternalClass) -> Result<ExternalLimits, ThreadError> {
        let limits = if class.is_metric() != self.series.is_metric() {
            None
        } else if self.series.is_metric() {
            metric::external(self, class)
        } else {
            Some(unified::external(self, class))
        };
        limits.ok_or_else(|| error::no_such_class(self, class.name()))
    }

    /// Limits of the tapped hole in the class that is usual for the series: 2B, or 6H for metric.
    pub fn usual_internal(self) -> InternalLimits {
        self.internal(InternalClass::usual(self.series))
            .expect("every listed thread has its usual class; a test goes through them all")
    }

    /// Limits of the screw in the class that is usual for the series: 2A, or 6g for metric.
    pub fn usual_external(self) -> ExternalLimits {
        self.external(ExternalClass::usual(self.series))
            .expect("every listed thread has its usual class; a test goes through them all")
    }
}

#[cfg(test)]
mod tests;
