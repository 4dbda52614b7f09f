//! Threads: what a designation stands for, and between which limits the parts of it lie.
//!
//! A [`Thread`] can only be one that a standard lists (see [`standard_threads`]) or a Unified special of sane size and pitch, so
//! no number here is ever worked out for a thread that does not exist.

mod basic;
pub mod class;
mod designation;
mod error;
mod form;
mod hand;
pub mod identify;
mod iso965;
mod limits;
pub mod metric;
mod pitch;
pub mod report;
mod series;
mod standard;
mod tell;
pub mod unified;
mod written;

pub use basic::Basic;
pub use class::{ExternalClass, InternalClass};
pub use error::ThreadError;
pub use form::Form;
pub use hand::Hand;
pub use limits::{ExternalLimits, InternalLimits};
pub use pitch::{Pitch, ThreadsPerInch};
pub use series::{Series, System};
pub use standard::standard_threads;
pub use tell::{Tell, TellBy, look_alikes, tell_apart};
pub use written::{Class, OldName, Written};

pub(crate) use basic::taper_between;

use crate::length::Length;
use std::f64::consts::PI;

/// Square root of three; every 60 degree thread form is made of it.
pub(crate) const SQRT_3: f64 = 1.732_050_807_568_877_2;

/// Part of the full depth that a whole Whitworth thread keeps at the least: 70 % (judgement: the drills of BS 1157 leave 75 to
/// 87 %, and a drill cuts over its size).
const WHITWORTH_DEPTH_LEFT: f64 = 0.70;

/// A thread: its series, its size, its pitch and its hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Thread {
    series: Series,
    nominal: Length,
    pitch: Pitch,
    hand: Hand,
}

impl Thread {
    /// Reads a thread as people write it: `3/8-16`, `3/8-16 UNC LH`, `3/8 UNC`, `0.375-16`, `#10-24`,
    /// `1-1/8-12`, `M10`, `M10x1.25`, `1/2-12 BSW`, `G 1/2`, `1/2 NPT`. A tolerance class behind it is read and left aside; see
    /// [`Written::read`] for what else was written.
    ///
    /// # Errors
    /// One sentence that says what was read and, where the thread does not exist, the nearest that do.
    pub fn parse(text: &str) -> Result<Thread, ThreadError> {
        Written::read(text).map(|written| written.thread)
    }

    /// As the trade writes it: `3/8-16 UNC`, `10-24 UNC`, `M10x1.5`, `G 1/2`, `3/8-16 UNC LH`.
    pub fn designation(self) -> String {
        designation::write(self)
    }

    /// The series it belongs to.
    pub const fn series(self) -> Series {
        self.series
    }

    /// The shape of its groove.
    pub const fn form(self) -> Form {
        self.series.form()
    }

    /// Which way it is turned in.
    pub const fn hand(self) -> Hand {
        self.hand
    }

    /// The same thread turned in the given way.
    pub const fn with_hand(self, hand: Hand) -> Thread {
        Thread { hand, ..self }
    }

    /// Nominal size, which is the basic major diameter. Of a pipe thread it is what the thread measures across (G 1/2: 20.955 mm)
    /// and not what it is called; of an American one the outside diameter of the pipe.
    pub const fn nominal(self) -> Length {
        self.nominal
    }

    /// Whether it is a pipe thread: identified and drilled here, but never planned or reckoned with for strength.
    pub const fn is_pipe(self) -> bool {
        self.series.is_pipe()
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
    pub const fn threads_per_inch(self) -> Option<ThreadsPerInch> {
        match self.pitch {
            Pitch::PerInch(n) => Some(n),
            Pitch::Length(_) => None,
        }
    }

    /// Basic diameters of its form; of a taper thread those at its gauge plane.
    pub fn basic(self) -> Basic {
        basic::of(self)
    }

    /// Tensile stress area of the screw, in mm². It means nothing for a pipe thread, since a pipe is hollow.
    ///
    /// Unified: 0.7854 (D - 0.9743/n)², FED-STD-H28/2B (1991) formula (1b). Metric: 0.7854 (d - 0.9382 P)²,
    /// ISO 898-1. Whitworth: on the mean of effective and minor diameter (judgement).
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

    /// Limits of the tapped hole in one tolerance class.
    ///
    /// # Errors
    /// The thread does not have that class.
    pub fn internal(self, class: InternalClass) -> Result<InternalLimits, ThreadError> {
        self.internal_in(class)
            .ok_or_else(|| error::no_such_class(self, class.name()))
    }

    fn internal_in(self, class: InternalClass) -> Option<InternalLimits> {
        match self.series.system() {
            System::Unified => unified::internal(self, class),
            System::Metric => metric::internal(self, class),
            System::Whitworth | System::Pipe => None,
        }
    }

    /// Limits of the screw in one tolerance class.
    ///
    /// # Errors
    /// The thread does not have that class.
    pub fn external(self, class: ExternalClass) -> Result<ExternalLimits, ThreadError> {
        self.external_in(class)
            .ok_or_else(|| error::no_such_class(self, class.name()))
    }

    fn external_in(self, class: ExternalClass) -> Option<ExternalLimits> {
        match self.series.system() {
            System::Unified => unified::external(self, class),
            System::Metric => metric::external(self, class),
            System::Whitworth | System::Pipe => None,
        }
    }

    /// Limits of the tapped hole in the class that is usual for the series: 2B, or 6H for metric; the basic sizes of a Whitworth
    /// or pipe thread.
    pub fn usual_internal(self) -> InternalLimits {
        match InternalClass::usual(self.series) {
            Some(class) => self
                .internal(class)
                .expect("every thread has its usual class; a test goes through them all"),
            None => basic::internal(self),
        }
    }

    /// Limits of the screw in the class that is usual for the series: 2A, or 6g for metric; the basic sizes of a Whitworth or
    /// pipe thread.
    pub fn usual_external(self) -> ExternalLimits {
        match ExternalClass::usual(self.series) {
            Some(class) => self
                .external(class)
                .expect("every thread has its usual class; a test goes through them all"),
            None => basic::external(self),
        }
    }

    /// The widest bore that still counts as a whole tapped hole: the largest minor diameter of the usual class. No tolerance is
    /// kept for Whitworth and pipe threads; there it is the bore that leaves 70 % of the depth (judgement: the drills of BS 1157
    /// leave 75 to 87 %, and a drill cuts over its size).
    pub fn whole_bore_max(self) -> Length {
        let limits = self.usual_internal();
        if limits.class.is_some() {
            return limits.minor_max;
        }
        let given_up = 2.0 * (1.0 - WHITWORTH_DEPTH_LEFT) * self.form().depth_mm(self.pitch_mm());
        limits.minor_max + Length::computed_mm(given_up)
    }
}

#[cfg(test)]
mod tests;
