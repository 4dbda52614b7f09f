//! The centers on the photo: a cross where each lost hole belongs, with the circle that holds it 95
//! times in 100.

use super::PlacesPage;
use holebook_core::notebook::PhotoView;
use holebook_core::places::{Center, Centers, InPhoto};
use maud::{Markup, html};

/// Half the size of a cross, in parts of the photo's longer side.
const CROSS: f64 = 0.012;

pub fn section(page: &PlacesPage<'_>, centers: &Centers) -> Markup {
    let shown = page
        .face
        .photos
        .iter()
        .find(|it| Some(it.id) == centers.photo);
    let Some(photo) = shown else {
        return html! {
            p.faint { "Mark the good holes in a photo to see the centers on it." }
        };
    };
    html! {
        section.panel {
            h2 { "Where they belong" }
            (picture(page, photo, centers))
            p.faint { "Cross: where the hole belongs. Circle: holds the true center 95 times in 100. Small ring: agrees." }
        }
    }
}

fn picture(page: &PlacesPage<'_>, photo: &PhotoView, centers: &Centers) -> Markup {
    let frame = format!("0 0 {} {}", photo.width_px, photo.height_px);
    let size = CROSS * f64::from(photo.width_px.max(photo.height_px));
    html! {
        figure.photo {
            div.marked {
                img src=(format!("/photo/{}/view.jpg", photo.id)) width=(photo.width_px) height=(photo.height_px)
                    alt=(format!("{} of {}", page.face.name, page.face.casting_name));
                svg.centers viewBox=(frame) role="img" aria-label="Predicted centers on the photo" {
                    @for center in &centers.holes {
                        @if let Some(there) = center.in_photo { (sign(center, there, size)) }
                    }
                }
            }
        }
    }
}

fn sign(center: &Center, there: InPhoto, size: f64) -> Markup {
    let InPhoto {
        x_px,
        y_px,
        radius_px,
    } = there;
    html! { g data-hole=(center.number) {
        @for line in ["edge", "line"] {
            g.(line) {
                @if center.lost {
                    circle cx=(format!("{x_px:.1}")) cy=(format!("{y_px:.1}")) r=(format!("{radius_px:.1}")) {}
                    path d=(format!(
                        "M{:.1} {y_px:.1}h{:.1}M{x_px:.1} {:.1}v{:.1}",
                        x_px - size, 2.0 * size, y_px - size, 2.0 * size
                    )) {}
                } @else {
                    circle cx=(format!("{x_px:.1}")) cy=(format!("{y_px:.1}")) r=(format!("{:.1}", 0.4 * size)) {}
                }
            }
        }
        @if center.lost {
            text x=(format!("{:.1}", x_px + 1.3 * size)) y=(format!("{:.1}", y_px - 1.3 * size))
                font-size=(format!("{:.0}", 2.4 * size)) { (center.number) }
        }
    } }
}
