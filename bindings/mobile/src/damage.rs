//! What metal is missing round the intended center of a hole, by depth.

use crate::ids::EntryId;
use crate::lend::lend;
use crate::record::{EdgeInPhoto, OffsetSource};
use holebook_core::length::Length;

lend! {
    holebook_core::hole::damage {
        BrokenTool,
        Damage,
        HardZone,
        Lean,
        Span,
        Station,
        Tilt,
    }
}
