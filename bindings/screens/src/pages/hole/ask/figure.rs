//! Small drawings of where to measure: a section through the hole, or the face from above.

use holebook_core::hole::next_question::Topic;
use holebook_core::hole::record::Quantity;
use maud::{Markup, html};

/// The drawing of what a question asks; nothing where there is nothing to measure.
pub fn figure(topic: Topic) -> Markup {
    let (words, drawing) = match topic {
        Topic::Measure(Quantity::Depth) => (
            "From the face to the bottom of the hole",
            section(BLIND, &dimension((62, 20), (62, 64)), ""),
        ),
        Topic::Measure(Quantity::Floor) => (
            "Metal under the bottom of the hole",
            section(BLIND, &dimension((62, 64), (62, 84)), ""),
        ),
        Topic::Measure(Quantity::NearestEdge) => (
            "From the intended center to the nearest edge or passage",
            above(&dimension((60, 50), (112, 50)), EDGE),
        ),
        Topic::Measure(Quantity::NearestHole) => (
            "From the intended center to the center of the nearest hole",
            above(&dimension((60, 50), (104, 50)), NEIGHBOR),
        ),
        Topic::Measure(Quantity::MatingHole) => (
            "Across the clearance hole in the part that is bolted on",
            section(MATING, &dimension((46, 11), (74, 11)), ""),
        ),
        Topic::Through => (
            "Blind: it has a bottom. Through: it opens on the far side",
            section(BLIND, "", THROUGH_BESIDE),
        ),
        Topic::FaceCut => (
            "Stock that is still to be milled off the face",
            section(BLIND, &dimension((100, 20), (100, 30)), CUT_LINE),
        ),
        _ => return html! {},
    };
    html! {
        svg.where-to-measure viewBox="0 0 120 90" role="img" aria-label=(words) { (drawing) }
    }
}

/// Iron with a blind hole.
const BLIND: &str = "M2 20H48V64H72V20H118V84H2Z";
/// Iron with a blind hole, and the mating part above.
const MATING: &str = "M2 24H48V64H72V24H118V84H2ZM2 2H46V22H2ZM74 2H118V22H74Z";
/// A through hole beside the blind one.
const THROUGH_BESIDE: &str = "M88 20V84M104 20V84";
/// The face after the cut.
const CUT_LINE: &str = "M2 30H48M72 30H118";
/// The edge of the face.
const EDGE: &str = "M112 4V86";
/// The nearest hole.
const NEIGHBOR: &str = "M92 50a12 12 0 1 0 24 0a12 12 0 1 0 -24 0";

fn section(iron: &str, dimension: &str, lines: &str) -> Markup {
    html! {
        path.iron d=(iron) {}
        @if !lines.is_empty() { path.edge d=(lines) {} }
        @if !dimension.is_empty() { path.measure d=(dimension) {} }
    }
}

fn above(dimension: &str, other: &str) -> Markup {
    html! {
        path.edge d="M44 50a16 16 0 1 0 32 0a16 16 0 1 0 -32 0M60 28V72M38 50H82" {}
        path.edge d=(other) {}
        path.measure d=(dimension) {}
    }
}

/// A line between two points with a head at both ends.
fn dimension((x0, y0): (i32, i32), (x1, y1): (i32, i32)) -> String {
    let (along, across) = (4, 3);
    let heads = if x0 == x1 {
        format!(
            "M{} {}L{x0} {y0}L{} {}M{} {}L{x1} {y1}L{} {}",
            x0 - across,
            y0 + along,
            x0 + across,
            y0 + along,
            x1 - across,
            y1 - along,
            x1 + across,
            y1 - along
        )
    } else {
        format!(
            "M{} {}L{x0} {y0}L{} {}M{} {}L{x1} {y1}L{} {}",
            x0 + along,
            y0 - across,
            x0 + along,
            y0 + across,
            x1 - along,
            y1 - across,
            x1 - along,
            y1 + across
        )
    };
    format!("M{x0} {y0}L{x1} {y1}{heads}")
}
