//! The hand of a thread.

use serde::{Deserialize, Serialize};

/// Right-hand or left-hand. Limits do not depend on it.
#[derive(
    holebook_shape::Shape, Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Hand {
    /// Tightens clockwise, as nearly all threads do.
    #[default]
    Right,
    /// Tightens counterclockwise; marked `LH`.
    Left,
}
