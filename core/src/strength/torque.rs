//! Tightening torque, as a range and never as one number.
//!
//! T = K D F. Torque charts assume a steel nut; in iron the preload is held to the least of three
//! quarters of the bolt's proof load and half the strip load of the iron (a judgement, no source).
//! The machine's own manual comes first.

use super::{Grade, StrengthError};
use crate::thread::Thread;
use serde::{Deserialize, Serialize};

/// Share of the proof load that a bolt is tightened to (judgement after common practice).
const PROOF_SHARE: f64 = 0.75;
/// Share of the iron's strip load that a preload may reach (judgement, no source).
const STRIP_SHARE: f64 = 0.5;

/// The state of a steel bolt's threads when it is tightened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Condition {
    /// Plain steel, dry.
    Dry,
    /// Machine oil.
    Oiled,
    /// Zinc plated, dry.
    Zinc,
}

/// What held the preload down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bound {
    /// The bolt's proof load.
    Bolt,
    /// The strip load of the iron.
    Iron,
}

/// A torque with the spread that is in it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Torque {
    /// Preload that must not be passed, in newtons.
    pub preload_cap_n: f64,
    /// What sets that cap.
    pub bound: Bound,
    /// Preload aimed at, so that the plus side of the scatter ends at the cap, in newtons.
    pub preload_n: f64,
    /// Preload at the minus side of the scatter, in newtons.
    pub preload_min_n: f64,
    /// Torque for the preload aimed at with the usual nut factor, in N m.
    pub usual_nm_torque: f64,
    /// The same with the least nut factor of the range, in N m. With unknown threads do not go
    /// above this.
    pub low_nm_torque: f64,
    /// The same with the largest nut factor of the range, in N m.
    pub high_nm_torque: f64,
    /// Scatter of the preload about its mean at one torque, as a fraction.
    pub scatter: f64,
}

impl Condition {
    /// All of them.
    pub const ALL: [Condition; 3] = [Condition::Dry, Condition::Oiled, Condition::Zinc];

    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Condition::Dry => "plain steel, dry",
            Condition::Oiled => "machine oil",
            Condition::Zinc => "zinc plated, dry",
        }
    }

    /// Least, usual and largest nut factor K.
    ///
    /// Ranges: a bolt supplier's engineering page; usual values: a trade newsletter (both secondary
    /// sources).
    pub const fn nut_factors(self) -> [f64; 3] {
        match self {
            Condition::Dry => [0.18, 0.20, 0.27],
            Condition::Oiled => [0.10, 0.15, 0.26],
            Condition::Zinc => [0.17, 0.17, 0.35],
        }
    }

    /// Scatter of the preload with a torque wrench: 35 % dry, 25 % lubricated (NSTS 08307A,
    /// NASA-STD-5020B).
    pub const fn scatter(self) -> f64 {
        match self {
            Condition::Oiled => 0.25,
            Condition::Dry | Condition::Zinc => 0.35,
        }
    }
}

/// Torque in N m for a preload in newtons: T = K D F.
pub fn torque_nm_torque(nut_factor: f64, thread: &Thread, preload_n: f64) -> f64 {
    nut_factor * thread.nominal().mm() * preload_n / 1000.0
}

/// Torque range for a bolt whose hole strips at `strip_load_n`.
///
/// # Errors
/// The grade does not cover the size, or the strip load is not above zero.
pub fn torque(
    thread: &Thread,
    grade: &Grade,
    strip_load_n: f64,
    condition: Condition,
) -> Result<Torque, StrengthError> {
    if strip_load_n.is_nan() || strip_load_n <= 0.0 {
        return Err(StrengthError::NotPositive {
            what: "the load at which the iron strips",
        });
    }
    let bolt = PROOF_SHARE * grade.strength(thread)?.proof_mpa * thread.stress_area_mm2();
    let iron = STRIP_SHARE * strip_load_n;
    let (preload_cap_n, bound) = if bolt <= iron {
        (bolt, Bound::Bolt)
    } else {
        (iron, Bound::Iron)
    };
    let scatter = condition.scatter();
    let preload_n = preload_cap_n / (1.0 + scatter);
    let [low, usual, high] = condition
        .nut_factors()
        .map(|k| torque_nm_torque(k, thread, preload_n));
    Ok(Torque {
        preload_cap_n,
        bound,
        preload_n,
        preload_min_n: preload_n * (1.0 - scatter),
        usual_nm_torque: usual,
        low_nm_torque: low,
        high_nm_torque: high,
        scatter,
    })
}
