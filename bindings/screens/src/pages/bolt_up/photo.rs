//! The order of tightening drawn on a photo: a line from bolt to bolt, and the place of each.

use crate::pages::sheet::{self, Pictures};
use holebook_core::notebook::{
    JointPlan, Notebook, NotebookError, OrderedBy, PhotoView, marked_at, photo_of_all,
};
use maud::{Markup, html};

/// Radius of a place's disc, in shares of the picture's longer side.
const RADIUS: f64 = 0.024;

/// The photo in a panel of its own; nothing if no photo has a mark on every hole.
pub fn order(joint: &JointPlan) -> Markup {
    let Some(photo) = photo_of(joint) else {
        return html! {};
    };
    html! {
        section.panel aria-labelledby="order" {
            h2 #order { "Order" }
            (drawn(&format!("/photo/{}/view.jpg", photo.id), photo, joint))
            p.faint { "The numbers are places in the order, not the numbers of the holes." }
        }
    }
}

/// The photo on a sheet; nothing if no photo has a mark on every hole.
pub fn picture(
    notebook: &Notebook,
    joint: &JointPlan,
    pictures: Pictures,
) -> Result<Markup, NotebookError> {
    Ok(match photo_of(joint) {
        Some(photo) => drawn(
            &sheet::picture_source(notebook, photo, pictures)?,
            photo,
            joint,
        ),
        None => html! {},
    })
}

fn photo_of(joint: &JointPlan) -> Option<&PhotoView> {
    photo_of_all(&joint.face).filter(|_| joint.order.by != OrderedBy::Numbers)
}

fn drawn(source: &str, photo: &PhotoView, joint: &JointPlan) -> Markup {
    let places = joint.order.holes.iter();
    let places = places.filter_map(|hole| marked_at(photo, *hole));
    let places: Vec<(f64, f64)> = places.collect();
    let (width, height) = (photo.width_px, photo.height_px);
    let radius = RADIUS * f64::from(width.max(height));
    let line = places.iter().map(|(x, y)| format!("{x:.0},{y:.0}"));
    let line = line.collect::<Vec<_>>().join(" ");
    html! {
        div.marked {
            img src=(source) width=(width) height=(height)
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
    }
}
