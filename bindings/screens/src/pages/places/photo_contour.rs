//! The heights of a face drawn over its photo.

use crate::contour::contours;
use crate::lengths::number;
use holebook_core::length::Unit;
use holebook_core::notebook::{FaceView, PhotoView};
use holebook_core::places::{FaceState, PhotoPlane};
use holebook_place::Point;
use maud::{Markup, html};

/// The size of a sign, in parts of the photo's longer side.
const SIGN: f64 = 0.008;

/// Draws lines of equal height, and what the cut takes at each reading. Nothing of it is outside of
/// the photo.
pub fn draw(
    face: &FaceView,
    photo: &PhotoView,
    plane: &PhotoPlane,
    state: &FaceState,
    unit: Unit,
) -> Markup {
    let frame = format!("0 0 {} {}", photo.width_px, photo.height_px);
    let size = SIGN * f64::from(photo.width_px.max(photo.height_px));
    let pixel = |x_mm: f64, y_mm: f64| {
        let pixel = plane.pixel(Point::new(x_mm, y_mm))?;
        plane.shows(pixel).then_some(pixel)
    };
    let lines = contours(&state.points, &state.flatness.above_mm);
    let lines: Vec<String> = lines
        .iter()
        .map(|line| {
            let pieces = line.pieces.iter().filter_map(|(from, to)| {
                let ((x1, y1), (x2, y2)) = (pixel(from.0, from.1)?, pixel(to.0, to.1)?);
                Some(format!("M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}"))
            });
            pieces.collect()
        })
        .collect();
    let readings = state.points.iter().zip(&state.flatness.above_mm);
    let readings: Vec<((f64, f64), String)> = readings
        .filter_map(|(point, above)| Some((pixel(point.x_mm, point.y_mm)?, number(*above, unit))))
        .collect();
    html! {
        figure.photo {
            div.marked {
                img src=(format!("/photo/{}/view.jpg", photo.id)) width=(photo.width_px) height=(photo.height_px)
                    alt=(format!("{} of {}", face.name, face.casting_name));
                svg.centers viewBox=(frame) role="img" aria-label="Left to cut, on the photo; the drawing below has the same figures" {
                    @for kind in ["edge", "line"] {
                        g.(kind) {
                            @for line in &lines { path d=(line) {} }
                            @for ((x, y), _) in &readings { circle cx=(format!("{x:.1}")) cy=(format!("{y:.1}")) r=(format!("{:.1}", 0.5 * size)) {} }
                        }
                    }
                    @for ((x, y), left) in &readings {
                        text x=(format!("{:.1}", x + size)) y=(format!("{:.1}", y - size)) font-size=(format!("{:.0}", 2.6 * size)) { (left) }
                    }
                }
            }
        }
    }
}
