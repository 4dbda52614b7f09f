//! How much a thread holds: shear areas, length of engagement, bolts, parent metal and torque.
//!
//! Everything here is in millimetres, square millimetres, newtons and megapascals (N/mm²). The
//! formulas of FED-STD-H28/2B (1991) Tables II.B.1 and II.B.2 do not depend on the unit, and keep
//! their numbers in [`areas`] and [`engagement`].

pub mod areas;
pub mod bolt;
mod compare;
pub mod engagement;
mod grade;
mod hold;
pub mod iso16224;
mod metal;
mod torque;

pub use areas::{external_shear_area_mm2_per_mm, internal_shear_area_mm2_per_mm};
pub use compare::{Comparison, Engagements, Joint, Load, ParentThread, Part, compare};
pub use engagement::engagement_mm;
pub use grade::{BoltStrength, Grade};
pub use hold::{Hold, hold};
pub use metal::{Aluminium, Ductile, Iron, Kind, Metal, Steel, Tensile};
pub use torque::{Bound, Condition, Torque, torque, torque_nm_torque};

#[cfg(doc)]
use crate::insert::Insert;
use crate::insert::OutsideThread;
use crate::length::Length;
use crate::thread::Thread;

/// One pound-force in newtons: exact, since the pound and standard gravity are defined.
pub const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// One pound-force foot in newton metres: 0.3048 m times one pound-force, exact.
pub const POUND_FOOT_NM_TORQUE: f64 = 0.3048 * POUND_FORCE_N;

/// Why a strength could not be worked out.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StrengthError {
    /// The grade does not cover the size.
    #[error("{grade} does not cover {thread}; it runs from {from} to {to}")]
    SizeOutsideGrade {
        /// The grade.
        grade: String,
        /// The thread asked for.
        thread: String,
        /// Smallest size.
        from: &'static str,
        /// Largest size.
        to: &'static str,
    },
    /// The text is not a bolt grade.
    #[error(
        "`{asked}` is not a bolt grade kept here; write SAE J429 grade 1, 2, 5 or 8, or ISO 898-1 class 4.6, 5.8, 8.8, 10.9 or 12.9"
    )]
    UnknownGrade {
        /// What was written.
        asked: String,
    },
    /// The text is not an iron.
    #[error(
        "`{asked}` is not an iron kept here; write ASTM A48 class 20, 25, 30, 35 or 40, or unknown"
    )]
    UnknownIron {
        /// What was written.
        asked: String,
    },
    /// The text is not a metal.
    #[error(
        "`{asked}` is not a metal kept here; write ASTM A48 class 25, ASTM A536 grade 65-45-12, or its kind and tensile strength such as \
         steel of 60000 psi"
    )]
    UnknownMetal {
        /// What was written.
        asked: String,
    },
    /// A tensile strength that no such metal has.
    #[error(
        "`{asked}` has a tensile strength that no metal round a bolt has; check the number and its unit"
    )]
    AbsurdTensile {
        /// What was written.
        asked: String,
    },
    /// A length of engagement, load or factor that cannot be.
    #[error("{what} must be more than zero; check the reading")]
    NotPositive {
        /// Which value.
        what: &'static str,
    },
    /// A pipe thread.
    #[error(
        "{thread} is a pipe thread, which seals and holds no bolt; write the thread of the bolt"
    )]
    Pipe {
        /// The thread asked for.
        thread: String,
    },
    /// A length of engagement that cannot be.
    #[error(
        "a length of engagement of {engaged} cannot be; it must be more than 0 and at most {most}"
    )]
    Engagement {
        /// What was asked.
        engaged: Length,
        /// The most.
        most: Length,
    },
}

/// Least shear area of the parent metal round a whole outside thread, in mm² for each mm of
/// engagement: formula (2a) with the least outside major and the largest tapped pitch diameter.
///
/// A key-locking insert holds less over its length (0.44 of it at No. 10, 0.77 at 3/4 in): its ends
/// are chamfered and its keys cut through the thread. See [`Insert::published_shear_area_mm2`].
pub fn parent_shear_area_mm2_per_mm(outside: &OutsideThread) -> f64 {
    internal_shear_area_mm2_per_mm(
        outside.major_min.mm(),
        outside.tapped_pitch_diameter_max.mm(),
        outside.pitch_mm,
        outside.form,
    )
}

/// Least shear area of the parent metal round a bolt straight in it, in mm² for each mm of
/// engagement: class 2A in 2B, or 6g in 6H; basic sizes for Whitworth, whose tolerances are not kept. A pipe thread is never
/// reckoned with.
pub fn tapped_shear_area_mm2_per_mm(thread: &Thread) -> f64 {
    internal_shear_area_mm2_per_mm(
        thread.usual_external().major_min.mm(),
        thread.usual_internal().pitch_diameter_max.mm(),
        thread.pitch_mm(),
        thread.form(),
    )
}

/// Load that strips the parent metal over a length of engagement, in newtons.
///
/// The shear strength is a share of the metal's least tensile strength: see [`Kind::shear_share`].
pub fn parent_strength_n(
    shear_area_mm2_per_mm: f64,
    engagement: Length,
    metal: impl Into<Metal>,
) -> f64 {
    shear_area_mm2_per_mm * engagement.or_zero().mm() * metal.into().shear_strength_mpa()
}

/// Load that breaks a bolt in its thread, in newtons: stress area times least tensile strength.
///
/// # Errors
/// The grade does not cover the size.
pub fn bolt_strength_n(thread: &Thread, grade: &Grade) -> Result<f64, StrengthError> {
    Ok(thread.stress_area_mm2() * grade.strength(thread)?.tensile_mpa)
}

/// Length of engagement in the parent metal, in millimetres, at which the bolt breaks before the
/// metal strips: formula (16).
///
/// # Errors
/// The grade does not cover the size.
pub fn engagement_to_break_bolt_mm(
    thread: &Thread,
    grade: &Grade,
    metal: impl Into<Metal>,
) -> Result<f64, StrengthError> {
    let bolt = grade.strength(thread)?;
    Ok(engagement_mm(
        thread.stress_area_mm2(),
        tapped_shear_area_mm2_per_mm(thread),
        metal.into().tensile_min_mpa() / bolt.tensile_mpa,
    ))
}

#[cfg(test)]
mod tests;
