//! What the remedies are computed from.

use crate::damage::Damage;
use crate::lend::lend;
use crate::record::Limits;
use holebook_core::length::Length;
use holebook_core::strength::{Grade, Metal};
use holebook_core::thread::Thread;

lend! {
    holebook_core::hole::situation {
        Situation,
        TolerancedReading,
        Tolerances,
    }
}
