//! Limits of size of a thread.

use super::{ExternalClass, InternalClass};
use crate::length::Length;

/// Limits of a tapped hole.
///
/// Whitworth and pipe threads have no class here, so unless they are toleranced both limits
/// of a diameter are its basic size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InternalLimits {
    /// Tolerance class; `None` if the limits are basic sizes.
    pub class: Option<InternalClass>,
    /// Least minor diameter.
    pub minor_min: Length,
    /// Largest minor diameter.
    pub minor_max: Length,
    /// Least pitch diameter.
    pub pitch_diameter_min: Length,
    /// Largest pitch diameter.
    pub pitch_diameter_max: Length,
    /// Least major diameter: the nominal size.
    pub major_min: Length,
}

/// Limits of a screw. Without a class they are basic sizes, as in [`InternalLimits`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ExternalLimits {
    /// Tolerance class; `None` if the limits are basic sizes.
    pub class: Option<ExternalClass>,
    /// Least major diameter.
    pub major_min: Length,
    /// Largest major diameter.
    pub major_max: Length,
    /// Least pitch diameter.
    pub pitch_diameter_min: Length,
    /// Largest pitch diameter.
    pub pitch_diameter_max: Length,
    /// Largest minor diameter of a flat root.
    pub minor_max: Length,
    /// Largest minor diameter of a rounded root: UNR (ASME B1.1), or d3 of ISO metric less the
    /// allowance. For Whitworth, whose roots are always rounded, the basic minor diameter.
    pub rounded_root_max: Length,
}
