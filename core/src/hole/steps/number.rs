//! A number to work to, and the list that collects those of a step.

use crate::cutting::Feed;
use crate::drill::Drill;
use crate::length::{Length, Rounding};

/// A number with its name.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct Number {
    /// Its label.
    pub name: &'static str,
    /// Its value.
    pub value: Value,
}

/// The value of a number at a step.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub enum Value {
    /// A length that was measured, or is stated by a standard.
    Length(Length),
    /// A computed length.
    Computed {
        /// The length.
        length: Length,
        /// The direction in which rounding it is safe.
        rounding: Rounding,
    },
    /// A length between two limits.
    Range {
        /// The least.
        least: Length,
        /// The most.
        most: Length,
    },
    /// A drill.
    Drill(Drill),
    /// An angle between two limits, degrees.
    Degrees {
        /// The least.
        least: f64,
        /// The most.
        most: f64,
    },
    /// A count.
    Count(u8),
    /// A spindle speed between two limits, revolutions per minute.
    Rpm {
        /// The least.
        least: f64,
        /// The most.
        most: f64,
    },
    /// A feed per revolution or per tooth.
    Feed(Feed),
    /// A torque, newton meters.
    TorqueNm(f64),
    /// A force, newtons.
    ForceN(f64),
    /// The name of a tool, thread or part.
    Text(String),
}

/// Collects the numbers of a step; unknown values are left out.
pub(super) struct List(pub(super) Vec<Number>);

impl List {
    pub fn push(&mut self, name: &'static str, value: Option<Value>) {
        self.0.extend(value.map(|value| Number { name, value }));
    }

    pub fn length(&mut self, name: &'static str, length: Option<Length>) {
        self.push(name, length.map(Value::Length));
    }

    /// Adds a depth that must be reached, so it is rounded up.
    pub fn depth(&mut self, name: &'static str, depth: Option<Length>) {
        self.push(
            name,
            depth.map(|depth| Value::Computed {
                length: depth,
                rounding: Rounding::Up,
            }),
        );
    }
}
