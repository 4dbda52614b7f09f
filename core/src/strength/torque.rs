//! Tightening torque: the usual one for the bolt, the hole's limit, and what friction makes of it.
//!
//! T = K D F. Torque charts assume a steel nut. In iron the preload is limited to the lesser of 3/4
//! of the bolt's proof load and half the strip load of the iron (judgment, no source): the scatter
//! of a torque wrench stays below the load that strips it. The machine's manual overrides it.

use super::{Grade, StrengthError, show_load_both, show_torque_both};
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

/// The torque for a bolt in a hole, and the preload that friction makes of it.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Torque {
    /// Usual torque for this bolt in N·m: usual nut factor, 3/4 of the proof load. What torque
    /// charts print; the hole does not count.
    pub bolt_nm_torque: f64,
    /// Torque in N·m at which the preload reaches half the load that strips the metal; `None` if
    /// that is not below the usual torque for this bolt.
    pub hole_limit_nm_torque: Option<f64>,
    /// Torque to use in N·m: the lesser of the two.
    pub usual_nm_torque: f64,
    /// Preload to aim for, in newtons: the lesser of 3/4 of the proof load and half the load that
    /// strips the metal.
    pub preload_cap_n: f64,
    /// What sets it.
    pub preload_limit: PreloadLimit,
    /// Preload in newtons that the torque to use gives with the usual nut factor.
    pub preload_n: f64,
    /// Preload at the lower end of the scatter, in newtons.
    pub preload_min_n: f64,
    /// Preload at the upper end of the scatter, in newtons. A spread, not a limit to aim for.
    pub preload_max_n: f64,
    /// Torque that gives the same preload with the least nut factor, in N·m.
    pub low_nm_torque: f64,
    /// Torque that gives the same preload with the largest nut factor, in N·m. Not a limit: with
    /// less friction it overloads bolt and hole.
    pub high_nm_torque: f64,
    /// Scatter of the preload at one torque, as a fraction of its mean.
    pub scatter: f64,
}

impl Torque {
    /// Describes the three parts, with both units: usual torque, the hole's limit, and the clamp
    /// load that friction makes of it.
    pub fn describe(&self, lubrication: Lubrication) -> String {
        let limit = match self.hole_limit_nm_torque {
            Some(limit) => format!("this hole takes {}", show_torque_both(limit)),
            None => "this hole sets no smaller limit".to_owned(),
        };
        format!(
            "Torque, {}: {} is usual for this bolt; {limit}. Friction spreads the clamp load of one torque by {:.0}% \
             either way: {} gives {} to {}. That is a spread, not a range to choose from.",
            lubrication.name(),
            show_torque_both(self.bolt_nm_torque),
            self.scatter * 100.0,
            show_torque_both(self.usual_nm_torque),
            show_load_both(self.preload_min_n),
            show_load_both(self.preload_max_n)
        )
    }
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

    /// What is assumed unless said otherwise: it gives the lower torque, and one for dry bolts
    /// overloads oiled ones.
    pub const USUAL: Lubrication = Lubrication::Oiled;

    /// Returns its name in addresses and on the command line.
    pub const fn word(self) -> &'static str {
        match self {
            Lubrication::Dry => "dry",
            Lubrication::Oiled => "oiled",
            Lubrication::Zinc => "zinc",
        }
    }

    /// Returns the kind with a name in addresses.
    pub fn from_word(word: &str) -> Option<Lubrication> {
        Lubrication::ALL.into_iter().find(|it| it.word() == word)
    }

    /// Returns the least, usual and largest nut factor K.
    ///
    /// Ranges: a bolt supplier's engineering page (secondary source); usual values .20 dry and .15
    /// oiled: common practice, no source; zinc: a trade newsletter (secondary source).
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

/// Returns the torque for a bolt whose hole strips at `strip_load_n`.
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
    let bolt_n = PROOF_FRACTION * grade.strength(thread)?.proof_mpa * thread.stress_area_mm2();
    let metal_n = STRIP_FRACTION * strip_load_n;
    let (preload_n, preload_limit) = if bolt_n <= metal_n {
        (bolt_n, PreloadLimit::Bolt)
    } else {
        (metal_n, PreloadLimit::ParentMetal)
    };
    let [least, usual, largest] = lubrication.nut_factors();
    let of = |nut_factor, preload_n| torque_nm_torque(nut_factor, thread, preload_n);
    let scatter = lubrication.scatter();
    Ok(Torque {
        bolt_nm_torque: of(usual, bolt_n),
        hole_limit_nm_torque: (preload_limit == PreloadLimit::ParentMetal)
            .then(|| of(usual, metal_n)),
        usual_nm_torque: of(usual, preload_n),
        preload_cap_n: preload_n,
        preload_limit,
        preload_n,
        preload_min_n: preload_n * (1.0 - scatter),
        preload_max_n: preload_n * (1.0 + scatter),
        low_nm_torque: of(least, preload_n),
        high_nm_torque: of(largest, preload_n),
        scatter,
    })
}
