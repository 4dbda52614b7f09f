//! What is shown of a face's flatness: the figures, what each hole loses, and where the cut takes what.

use crate::face_map::{Shape, Spot};
use crate::lengths::{length, number};
use holebook_core::length::{Rounding, Unit};
use holebook_place::flatness::{Flatness, HeightReading};
use maud::{Markup, html};

/// Where the figures come from.
pub const SOURCE: &str =
    "Minimum zone: the nearest two parallel planes that hold all readings, computed exactly";
/// What is left to look out for once a cut is known.
pub const LOW_BETWEEN: &str =
    "Between readings the face may be lower: take them close, and at every low spot you see. ";

/// Flatness and tilt.
pub fn figures(found: &Flatness, unit: Unit) -> Markup {
    let up = |mm| length(mm, unit, Rounding::Up);
    html! {
        dl.facts {
            dt { "Flatness, minimum zone" } dd { (up(found.flatness_minimum_zone_mm)) }
            dt { "Flatness, least squares" } dd { (up(found.flatness_least_squares_mm)) }
            dt { "Rises toward X" } dd { (format!("{:.4} degrees", found.tilt_x_deg)) }
            dt { "Rises toward Y" } dd { (format!("{:.4} degrees", found.tilt_y_deg)) }
        }
    }
}

/// What the least cut takes from each hole.
pub fn losses(found: &Flatness, unit: Unit) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="What each hole loses" { table {
            thead { tr { th { "Hole" } th.number { "Loses about" } th.number { "At most" } } }
            tbody { @for hole in &found.holes { tr {
                th scope="row" { (hole.hole) }
                td.number { (length(hole.loses_mm, unit, Rounding::Nearest)) }
                td.number { (length(hole.at_most_mm, unit, Rounding::Up)) }
            } } }
        } }
        p.faint { "From the four nearest readings." }
    }
}

/// The readings, each with what the least cut takes there.
pub fn spots(points: &[HeightReading], found: &Flatness, unit: Unit) -> Vec<Spot> {
    let highest = found.face_cut_mm;
    let spot = |(point, above): (&HeightReading, &f64)| Spot {
        x_mm: point.x_mm,
        y_mm: point.y_mm,
        shape: match *above {
            above if above > highest * 0.999 => Shape::High,
            above if above < highest * 0.001 => Shape::Low,
            _ => Shape::Dot,
        },
        label: number(*above, unit),
    };
    points.iter().zip(&found.above_mm).map(spot).collect()
}
