//! Strength of threads: shear areas, length of engagement, bolts, parent metal and torque.
//!
//! Units are mm, mm², N and MPa (N/mm²). The formulas of FED-STD-H28/2B (1991) Tables II.B.1 and
//! II.B.2 do not depend on the unit; [`areas`] and [`engagement`] give their numbers.

pub mod areas;
pub mod bolt;
mod compare;
pub mod engagement;
mod format;
mod grade;
pub mod iso16224;
mod metal;
mod report;
mod sound_hole;
mod torque;

pub use areas::{external_shear_area_mm2_per_mm, internal_shear_area_mm2_per_mm};
pub use compare::{
    Comparison, EngagementNeeded, FailureLoad, FailureMode, Joint, ParentThread, compare,
};
pub use engagement::engagement_mm;
pub use format::{
    TorqueUnit, show_load, show_load_both, show_load_range, show_torque, show_torque_both,
    show_torque_range,
};
pub use grade::{BoltStrength, Grade};
pub use metal::{Aluminum, Ductile, Iron, Metal, MetalKind, ShearBasis, Steel, Tensile};
pub use report::{StrengthReport, strength_report};
pub use sound_hole::{manual_torque_advice, sound_engagement, sound_strength_n};
pub use torque::{Lubrication, PreloadLimit, Torque, torque, torque_nm_torque};

use crate::insert::{Insert, OutsideThread};
use crate::length::Length;
use crate::thread::{PerThread, Thread, ThreadError};
use std::sync::LazyLock;

/// One pound-force in newtons (exact by definition).
pub const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// One foot-pound of torque in newton meters (exact by definition).
pub const POUND_FOOT_NM_TORQUE: f64 = 0.3048 * POUND_FORCE_N;

/// Why a strength cannot be computed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StrengthError {
    /// The grade does not cover the size.
    #[error("{grade} does not cover {thread}, only {from} to {to}; check grade and thread")]
    SizeOutsideGrade {
        /// The grade.
        grade: String,
        /// The thread.
        thread: String,
        /// Smallest size.
        from: &'static str,
        /// Largest size.
        to: &'static str,
    },
    /// The text is not a bolt grade.
    #[error(
        "`{input}` is not a known bolt grade; write SAE J429 grade 1, 2, 5 or 8, or ISO 898-1 class 4.6, 5.8, 8.8, 10.9 or 12.9"
    )]
    UnknownGrade {
        /// What was written.
        input: String,
    },
    /// The text is not a gray iron.
    #[error(
        "`{input}` is not a known gray iron; write ASTM A48 class 20, 25, 30, 35 or 40, or unknown"
    )]
    UnknownIron {
        /// What was written.
        input: String,
    },
    /// The text is not a metal.
    #[error(
        "`{input}` is not a known metal; write ASTM A48 class 25, ASTM A536 grade 65-45-12, or kind and tensile strength such as steel of \
         60000 psi"
    )]
    UnknownMetal {
        /// What was written.
        input: String,
    },
    /// An impossible tensile strength.
    #[error("the tensile strength of `{input}` is impossible; check the number and unit")]
    InvalidTensile {
        /// What was written.
        input: String,
    },
    /// A value that is not above zero.
    #[error("{what} must be more than 0; check the reading")]
    NotPositive {
        /// Which value.
        what: &'static str,
    },
    /// A pipe thread.
    #[error("{thread} is a pipe thread; enter the thread of a bolt")]
    PipeThread {
        /// The thread.
        thread: String,
    },
    /// An STI hole.
    #[error(transparent)]
    StiHole(#[from] ThreadError),
    /// A length of engagement out of range.
    #[error(
        "the length of engagement is {}; it must be more than 0 and at most {}", engaged.both(), most.both()
    )]
    Engagement {
        /// The length given.
        engaged: Length,
        /// Largest length accepted.
        most: Length,
    },
}

/// Returns the least shear area of the parent metal around an intact outside thread, in mm² per mm
/// of engagement: formula (2a) with the least outside major and largest tapped pitch diameter.
///
/// A key-locking insert has less, since its keys cut through the thread: see
/// [`insert_shear_area_mm2_per_mm`].
pub fn parent_shear_area_mm2_per_mm(outside: &OutsideThread) -> f64 {
    internal_shear_area_mm2_per_mm(
        outside.major_min.mm(),
        outside.tapped_pitch_diameter_max.mm(),
        outside.pitch_mm,
        outside.form,
    )
}

/// Part of the plain formula's area that counts for a key-locking insert without a published area:
/// .65, the least that the published areas of locking inserts leave (No. 10; .89 at the most),
/// since the slots of its keys cut through the thread.
const KEY_SLOT_SHARE: f64 = 0.65;

/// Returns the least shear area of the parent metal around an insert, in mm² per mm engaged: as
/// [`parent_shear_area_mm2_per_mm`], less the slots of the keys.
///
/// An insert with an area published for it keeps the plain formula; there the lesser of the two
/// counts: see [`Insert::published_shear_area_mm2`].
pub fn insert_shear_area_mm2_per_mm(insert: &Insert) -> f64 {
    let plain = parent_shear_area_mm2_per_mm(&insert.outside);
    let slotted = insert.keys > 0 && insert.published_shear_area_mm2.is_none();
    if slotted {
        plain * KEY_SLOT_SHARE
    } else {
        plain
    }
}

/// Returns the least shear area of the parent metal around a bolt threaded directly into it, in mm²
/// per mm of engagement: class 2A in 2B, 6g in 6H, or the medium class of BS 84. Not for pipe
/// threads.
pub fn tapped_shear_area_mm2_per_mm(thread: &Thread) -> f64 {
    static AREAS: LazyLock<PerThread<f64>> =
        LazyLock::new(|| PerThread::new(compute_tapped_shear_area_mm2_per_mm));
    AREAS.of(thread)
}

fn compute_tapped_shear_area_mm2_per_mm(thread: &Thread) -> f64 {
    internal_shear_area_mm2_per_mm(
        thread.toleranced_external().major_min.mm(),
        thread.toleranced_internal().pitch_diameter_max.mm(),
        thread.pitch_mm(),
        thread.form(),
    )
}

/// Returns the load that strips the parent metal over a length of engagement, in newtons.
pub fn parent_strength_n(
    shear_area_mm2_per_mm: f64,
    engagement: Length,
    metal: impl Into<Metal>,
    basis: ShearBasis,
) -> f64 {
    let shear_mpa = metal.into().shear_strength_mpa(basis);
    shear_area_mm2_per_mm * engagement.clamp_at_zero().mm() * shear_mpa
}

/// Returns the load that breaks a bolt in its thread, in newtons: stress area times least tensile
/// strength.
///
/// # Errors
/// If the grade does not cover the size.
pub fn bolt_strength_n(thread: &Thread, grade: &Grade) -> Result<f64, StrengthError> {
    Ok(thread.stress_area_mm2() * grade.strength(thread)?.tensile_mpa)
}

#[cfg(test)]
mod tests;
