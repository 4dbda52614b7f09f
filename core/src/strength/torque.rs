//! Tightening torque, always as a range.
//!
//! T = K D F. Torque charts assume a steel nut. In iron the preload is limited to the lesser of 3/4
//! of the bolt's proof load and half the strip load of the iron (judgment, no source). The
//! machine's manual overrides it.

use super::{Grade, StrengthError};
use crate::thread::Thread;
use serde::{Deserialize, Serialize};

/// Fraction of the proof load that a bolt is tightened to (judgment, after common practice).
const PROOF_FRACTION: f64 = 0.75;
/// Fraction of the parent metal's strip load that a preload may reach (judgment, no source).
const STRIP_FRACTION: f64 = 0.5;

/// Lubrication of a steel bolt's threads when it is tightened.
#[derive(
    holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Lubrication {
    /// Plain steel, dry.
    Dry,
    /// Machine oil.
    Oiled,
    /// Zinc plated, dry.
    Zinc,
}

/// What limits the preload.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PreloadLimit {
    /// The bolt's proof load.
    Bolt,
    /// The strip load of the parent metal.
    #[serde(alias = "iron")]
    ParentMetal,
}

/// A torque range with its preload.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Torque {
    /// Preload that must not be exceeded, in newtons.
    pub preload_cap_n: f64,
    /// What sets that limit.
    pub preload_limit: PreloadLimit,
    /// Target preload in newtons, chosen so that the upper scatter ends at the cap.
    pub preload_n: f64,
    /// Preload at the lower end of the scatter, in newtons.
    pub preload_min_n: f64,
    /// Torque for the target preload with the usual nut factor, in N·m.
    pub usual_nm_torque: f64,
    /// Torque with the least nut factor, in N·m. Do not exceed it if the state of the threads is
    /// unknown.
    pub low_nm_torque: f64,
    /// Torque with the largest nut factor, in N·m.
    pub high_nm_torque: f64,
    /// Scatter of the preload at one torque, as a fraction of its mean.
    pub scatter: f64,
}

impl Lubrication {
    /// All kinds of lubrication.
    pub const ALL: [Lubrication; 3] = [Lubrication::Dry, Lubrication::Oiled, Lubrication::Zinc];

    /// Returns the label: `plain steel, dry`, `machine oil`.
    pub const fn name(self) -> &'static str {
        match self {
            Lubrication::Dry => "plain steel, dry",
            Lubrication::Oiled => "machine oil",
            Lubrication::Zinc => "zinc plated, dry",
        }
    }

    /// Returns the least, usual and largest nut factor K.
    ///
    /// Ranges: a bolt supplier's engineering page; usual values: a trade newsletter (secondary
    /// sources).
    pub const fn nut_factors(self) -> [f64; 3] {
        match self {
            Lubrication::Dry => [0.18, 0.20, 0.27],
            Lubrication::Oiled => [0.10, 0.15, 0.26],
            Lubrication::Zinc => [0.17, 0.17, 0.35],
        }
    }

    /// Returns the scatter of the preload with a torque wrench: 35 % dry, 25 % lubricated (NSTS
    /// 08307A, NASA-STD-5020B).
    pub const fn scatter(self) -> f64 {
        match self {
            Lubrication::Oiled => 0.25,
            Lubrication::Dry | Lubrication::Zinc => 0.35,
        }
    }
}

/// Returns the torque in N·m for a preload in newtons: T = K D F.
pub fn torque_nm_torque(nut_factor: f64, thread: &Thread, preload_n: f64) -> f64 {
    nut_factor * thread.nominal().mm() * preload_n / 1000.0
}

/// Returns the torque range for a bolt whose hole strips at `strip_load_n`.
///
/// # Errors
/// If the grade does not cover the size, or the strip load is not above zero.
pub fn torque(
    thread: &Thread,
    grade: &Grade,
    strip_load_n: f64,
    lubrication: Lubrication,
) -> Result<Torque, StrengthError> {
    if strip_load_n.is_nan() || strip_load_n <= 0.0 {
        return Err(StrengthError::NotPositive {
            what: "the strip load of the metal",
        });
    }
    let bolt = PROOF_FRACTION * grade.strength(thread)?.proof_mpa * thread.stress_area_mm2();
    let metal = STRIP_FRACTION * strip_load_n;
    let (preload_cap_n, bound) = if bolt <= metal {
        (bolt, PreloadLimit::Bolt)
    } else {
        (metal, PreloadLimit::ParentMetal)
    };
    let scatter = lubrication.scatter();
    let preload_n = preload_cap_n / (1.0 + scatter);
    let [low, usual, high] = lubrication
        .nut_factors()
        .map(|k| torque_nm_torque(k, thread, preload_n));
    Ok(Torque {
        preload_cap_n,
        preload_limit: bound,
        preload_n,
        preload_min_n: preload_n * (1.0 - scatter),
        usual_nm_torque: usual,
        low_nm_torque: low,
        high_nm_torque: high,
        scatter,
    })
}
