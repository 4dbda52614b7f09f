//! The order of tightening drawn on a photo: a line from bolt to bolt, and the place of each.

use super::order::{OrderedBy, TighteningOrder, marked_photo};
use holebook_core::notebook::{FaceView, HoleId, PhotoView};
use maud::{Markup, html};

/// Radius of a place's disc, in shares of the picture's longer side.
const RADIUS: f64 = 0.024;

/// The photo; nothing if no photo has a mark on every hole.
pub fn order(order: &TighteningOrder, face: &FaceView) -> Markup {
    let photo = marked_photo(face).filter(|_| order.by != OrderedBy::Numbers);
    let Some(photo) = photo else {
        return html! {};
    };
    let places = order.holes.iter().filter_map(|hole| place(photo, *hole));
    let places: Vec<(f64, f64)> = places.collect();
    let (width, height) = (photo.width_px, photo.height_px);
    let radius = RADIUS * f64::from(width.max(height));
    let line = places.iter().map(|(x, y)| format!("{x:.0},{y:.0}"));
    let line = line.collect::<Vec<_>>().join(" ");
    html! {
        section.panel aria-labelledby="order" {
            h2 #order { "Order" }
            div.marked {
                img src=(format!("/photo/{}/view.jpg", photo.id)) width=(width) height=(height)
                    alt="The face with the order of tightening; the table below lists it";
                svg.marks.tightening viewBox=(format!("0 0 {width} {height}")) aria-hidden="true" focusable="false" {
                    polyline points=(line) {}
                    @for (index, (x, y)) in places.iter().enumerate() {
                        g transform=(format!("translate({x:.0} {y:.0}) scale({:.2})", radius / 50.0)) {
                            circle r="50" {} text y="17" { (index + 1) }
                        }
                    }
                }
            }
            p.faint { "The numbers are places in the order, not the numbers of the holes." }
        }
    }
}

fn place(photo: &PhotoView, hole: HoleId) -> Option<(f64, f64)> {
    let mark = photo.marks.iter().find(|mark| mark.hole == hole)?;
    let at = mark.entries.0.first()?.body;
    Some((at.x_px, at.y_px))
}
