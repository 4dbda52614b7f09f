//! Which way a thread is turned in.

use serde::{Deserialize, Serialize};

/// The hand of a thread. Limits do not depend on it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hand {
    /// Turned in clockwise, as nearly all threads are.
    #[default]
    Right,
    /// Turned in anticlockwise; `LH` behind the designation.
    Left,
}
