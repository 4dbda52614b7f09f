//! The section drawing of a hole.

use crate::pages::hole::Leaf;
use maud::{Markup, html};

/// The drawing.
pub fn drawing(_leaf: &Leaf<'_>) -> Markup {
    html! {}
}
