//! Screw threads: designations, basic sizes, limits and identification.
//!
//! A [`Thread`] is always one that a standard lists (see [`standard_threads`]) or a Unified special
//! of plausible size and pitch, so nothing is computed for a thread that does not exist.

mod basic;
pub mod class;
mod designation;
mod distinguish;
mod error;
mod form;
mod hand;
pub mod identify;
mod iso965;
mod limits;
pub mod metric;
mod parse;
mod per_thread;
mod pitch;
pub mod report;
mod series;
mod standard;
pub mod sti;
pub mod unified;
mod whitworth;

pub use basic::BasicSizes;
pub use class::{ExternalClass, InternalClass};
pub use distinguish::{Difference, DifferenceBy, look_alikes, tell_apart};
pub use error::ThreadError;
pub use form::Form;
pub use hand::Hand;
pub use limits::{ExternalLimits, InternalLimits};
pub use parse::{Class, OldName, ParsedThread};
pub(crate) use per_thread::PerThread;
pub use pitch::{Pitch, ThreadsPerInch};
pub use series::{Series, System};
pub use standard::standard_threads;

pub(crate) use basic::taper_allowance;

use crate::length::Length;
use std::f64::consts::PI;

/// Square root of three, used throughout the 60 degree thread forms.
pub(crate) const SQRT_3: f64 = 1.732_050_807_568_877_2;

/// Least part of the full depth that counts as an intact Whitworth thread: 70 % (judgment: the
/// drills of BS 1157 leave 75 to 87 %, and a drill cuts oversize).
const WHITWORTH_DEPTH_LEFT: f64 = 0.70;

/// A thread: series, size, pitch and hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Thread {
    series: Series,
    nominal: Length,
    pitch: Pitch,
    hand: Hand,
    /// Whether it is the STI hole for a wire thread insert that takes a bolt of this thread.
    sti: bool,
}

impl Thread {
    /// Parses a thread as people write it: `3/8-16`, `3/8-16 UNC LH`, `3/8 UNC`, `.375-16`,
    /// `#10-24`, `1-1/8-12`, `M10`, `M10x1.25`, `1/2-12 BSW`, `G 1/2`, `1/2 NPT`, `3/8-16 STI`.
    ///
    /// A tolerance class after it is checked and dropped; [`ParsedThread::parse`] keeps it.
    ///
    /// # Errors
    /// If the text is not a thread, or the thread does not exist; the message names the nearest.
    pub fn parse(text: &str) -> Result<Thread, ThreadError> {
        ParsedThread::parse(text).map(|written| written.thread)
    }

    /// Formats the thread as the trade writes it: `3/8-16 UNC`, `10-24 UNC`, `M10x1.5`, `G 1/2`,
    /// `3/8-16 UNC LH`, `3/8-16 STI`.
    pub fn designation(self) -> String {
        designation::format_thread(self)
    }

    /// Returns the series.
    pub const fn series(self) -> Series {
        self.series
    }

    /// Returns the thread form.
    pub const fn form(self) -> Form {
        self.series.form()
    }

    /// Returns the hand.
    pub const fn hand(self) -> Hand {
        self.hand
    }

    /// Returns the same thread with another hand.
    pub const fn with_hand(self, hand: Hand) -> Thread {
        Thread { hand, ..self }
    }

    /// Whether it is the STI hole for a wire thread insert, which is drilled and tapped but takes no
    /// bolt itself.
    pub const fn is_sti(self) -> bool {
        self.sti
    }

    /// Returns the STI hole for a wire thread insert that takes a bolt of this thread.
    pub const fn for_wire_insert(self) -> Thread {
        Thread { sti: true, ..self }
    }

    /// Returns the thread of the bolt: the same thread, and for an STI hole the one that its insert
    /// takes.
    pub const fn bolt(self) -> Thread {
        Thread { sti: false, ..self }
    }

    /// Refuses an STI hole where a bolt's thread is needed.
    ///
    /// # Errors
    /// If it is one.
    pub fn not_sti(self) -> Result<Thread, ThreadError> {
        if self.sti {
            return Err(ThreadError::StiHole {
                thread: self,
                bolt: self.bolt(),
            });
        }
        Ok(self)
    }

    /// Whether a bolt runs in it: neither a pipe thread nor an STI hole.
    pub const fn takes_bolt(self) -> bool {
        !self.is_pipe() && !self.sti
    }

    /// Returns the nominal size, which is the basic major diameter; for an STI hole that of its bolt.
    ///
    /// For a pipe thread it is the measured diameter (G 1/2: 20.955 mm), not the size in its name;
    /// for NPT the outside diameter of the pipe.
    pub const fn nominal(self) -> Length {
        self.nominal
    }

    /// Whether it is a pipe thread, which is identified and drilled but never planned or rated for
    /// strength.
    pub const fn is_pipe(self) -> bool {
        self.series.is_pipe()
    }

    /// Returns the pitch as the series states it.
    pub const fn pitch(self) -> Pitch {
        self.pitch
    }

    /// Returns the pitch in millimeters; for inch threads exactly 25.4 divided by threads per inch.
    pub fn pitch_mm(self) -> f64 {
        self.pitch.mm()
    }

    /// Returns the threads per inch; `None` for a metric thread.
    pub const fn threads_per_inch(self) -> Option<ThreadsPerInch> {
        match self.pitch {
            Pitch::PerInch(n) => Some(n),
            Pitch::Length(_) => None,
        }
    }

    /// Returns the basic diameters; for a taper thread those at its gauge plane.
    pub fn basic(self) -> BasicSizes {
        if !self.sti {
            return basic::basic_sizes(self);
        }
        let hole = sti::sti_hole(self.bolt());
        BasicSizes {
            major_mm: hole.major.mm(),
            pitch_diameter_mm: hole.pitch_diameter.mm(),
            minor_mm: hole.minor_min.mm(),
        }
    }

    /// Returns the tensile stress area of the screw in mm²; meaningless for a (hollow) pipe thread.
    ///
    /// Unified: 0.7854 (D - 0.9743/n)², FED-STD-H28/2B (1991) formula (1b). Metric: 0.7854 (d -
    /// 0.9382 P)², ISO 898-1. Whitworth: on the mean of pitch and minor diameter (judgment).
    pub fn stress_area_mm2(self) -> f64 {
        let pitch = self.pitch_mm();
        let less = match self.series.system() {
            System::Unified => 9.0 * SQRT_3 / 16.0 * pitch, // 0.974279
            System::Metric => 13.0 * SQRT_3 / 24.0 * pitch, // 0.938194
            System::Whitworth | System::Pipe => {
                self.form().addendum_mm(pitch) + self.form().depth_mm(pitch)
            }
        };
        let d = self.nominal.mm() - less;
        PI / 4.0 * d * d
    }

    /// Returns the limits of the tapped hole in a tolerance class.
    ///
    /// # Errors
    /// If the thread does not have that class.
    pub fn internal(self, class: InternalClass) -> Result<InternalLimits, ThreadError> {
        self.internal_limits(class)
            .ok_or_else(|| error::class_not_available(self, class.name()))
    }

    fn internal_limits(self, class: InternalClass) -> Option<InternalLimits> {
        if self.sti {
            return sti::internal(self.bolt(), class);
        }
        match self.series.system() {
            System::Unified => unified::internal(self, class),
            System::Metric => metric::internal(self, class),
            System::Whitworth | System::Pipe => None,
        }
    }

    /// Returns the limits of the screw in a tolerance class; for an STI hole those of its bolt.
    ///
    /// # Errors
    /// If the thread does not have that class.
    pub fn external(self, class: ExternalClass) -> Result<ExternalLimits, ThreadError> {
        self.external_limits(class)
            .ok_or_else(|| error::class_not_available(self, class.name()))
    }

    fn external_limits(self, class: ExternalClass) -> Option<ExternalLimits> {
        let bolt = self.bolt();
        match self.series.system() {
            System::Unified => unified::external(bolt, class),
            System::Metric => metric::external(bolt, class),
            System::Whitworth | System::Pipe => None,
        }
    }

    /// Returns the limits of the tapped hole in the usual class: 2B, or 6H for metric; basic sizes
    /// for Whitworth and pipe threads. For an STI hole 2B, or 5H for metric.
    pub fn usual_internal(self) -> InternalLimits {
        if self.sti {
            return sti::usual_internal(self.bolt());
        }
        match InternalClass::usual(self.series) {
            Some(class) => self
                .internal(class)
                .expect("every thread has its usual class, as a test checks"),
            None => basic::internal(self),
        }
    }

    /// Returns the limits of the screw in the usual class: 2A, or 6g for metric; basic sizes for
    /// Whitworth and pipe threads.
    pub fn usual_external(self) -> ExternalLimits {
        match ExternalClass::usual(self.series) {
            Some(class) => self
                .external(class)
                .expect("every thread has its usual class, as a test checks"),
            None => basic::external(self.bolt()),
        }
    }

    /// Returns the limits of the tapped hole with their tolerances, from which strengths are computed:
    /// the usual class, and for Whitworth threads the medium class of BS 84. Basic sizes for pipe
    /// threads.
    pub fn toleranced_internal(self) -> InternalLimits {
        match self.series.system() {
            System::Whitworth if !self.sti => whitworth::medium_internal(self),
            _ => self.usual_internal(),
        }
    }

    /// Returns the limits of the screw with their tolerances, as [`Thread::toleranced_internal`] does
    /// those of the hole.
    pub fn toleranced_external(self) -> ExternalLimits {
        match self.series.system() {
            System::Whitworth => whitworth::medium_external(self.bolt()),
            _ => self.usual_external(),
        }
    }

    /// Returns the largest bore that still counts as an intact tapped hole: the largest minor
    /// diameter of the usual class.
    ///
    /// Whitworth and pipe threads have no tolerances here; for them it is the bore that leaves 70 %
    /// of the depth (judgment: the drills of BS 1157 leave 75 to 87 %, and a drill cuts oversize).
    pub fn intact_bore_max(self) -> Length {
        let limits = self.usual_internal();
        if limits.class.is_some() || self.sti {
            return limits.minor_max;
        }
        let given_up = 2.0 * (1.0 - WHITWORTH_DEPTH_LEFT) * self.form().depth_mm(self.pitch_mm());
        limits.minor_max + Length::from_computed_mm(given_up)
    }
}

#[cfg(test)]
mod tests;
