//! The hole in its photos: one that shows it alone, or else cut out of a photo of the face.

use super::HolePage;
use crate::form_names::{Field, FormName};
use holebook_core::notebook::{HoleView, Notebook, NotebookError, PhotoView};
use maud::{Markup, html};

/// The photos that show a hole.
#[derive(Default)]
pub struct Pictures {
    /// The one to show first.
    best: Option<Picture>,
    /// Those of the hole alone, the latest first.
    alone: Vec<PhotoView>,
}

/// A photo that shows the hole, and where.
struct Picture {
    photo: PhotoView,
    x_px: f64,
    y_px: f64,
}

/// Width of the cut-out over the photo's, small and enlarged.
const OF_FACE: (f64, f64) = (0.14, 0.4);
/// The same where the photo shows the hole alone.
const ALONE: (f64, f64) = (0.6, 1.0);
/// Height over width of both.
const SHAPE: f64 = 0.5;

/// The photos of a hole: the best is the latest of it alone, or else the one with the most pixels of
/// those that the hole is marked on; of equals, the latest.
pub fn of_hole(notebook: &Notebook, hole: &HoleView) -> Result<Pictures, NotebookError> {
    let mut marked = Vec::new();
    for mark in &hole.marks {
        if let Some(at) = mark.entries.0.first().map(|entry| &entry.body) {
            let (x_px, y_px) = (at.x_px, at.y_px);
            let photo = notebook.photo(mark.photo)?;
            marked.push(Picture { photo, x_px, y_px });
        }
    }
    let is_alone = |photo: &PhotoView| photo.hole == Some(hole.id);
    let photos = marked.iter().map(|picture| &picture.photo);
    let mut alone: Vec<PhotoView> = photos.filter(|photo| is_alone(photo)).cloned().collect();
    alone.sort_by_key(|photo| std::cmp::Reverse(photo.id));
    let pixels = |photo: &PhotoView| u64::from(photo.width_px) * u64::from(photo.height_px);
    let latest = alone.first().map(|photo| photo.id);
    let best = marked.into_iter().max_by_key(|picture| {
        let photo = &picture.photo;
        (Some(photo.id) == latest, pixels(photo))
    });
    Ok(Pictures { best, alone })
}

/// The best picture, which a tap enlarges, with a link to the whole photo; nothing without a mark.
pub fn cut_out(page: &HolePage<'_>) -> Markup {
    let Some(picture) = &page.pictures.best else {
        return html! {};
    };
    let number = page.hole.number;
    let is_alone = picture.photo.hole.is_some();
    let (small, enlarged) = if is_alone { ALONE } else { OF_FACE };
    html! {
        details.hole-picture {
            summary aria-label=(format!("Hole {number} in the photo; enlarge it")) { (picture.draw(small)) }
            (picture.draw(enlarged))
            p.row {
                a.button href=(format!("/photo/{}", picture.photo.id)) { "Whole photo" }
                @if !is_alone { a.button href="#hole-photos" { "Add a photo of this hole" } }
            }
        }
    }
}

/// The photos of the hole alone, and a form to add one.
pub fn section(page: &HolePage<'_>) -> Markup {
    let wrong = page.context.was_rejected(FormName::HolePhoto);
    let number = page.hole.number;
    html! {
        h3 #hole-photos { "Photos of this hole" }
        @if !page.pictures.alone.is_empty() {
            div.hole-photos { @for (index, photo) in page.pictures.alone.iter().enumerate() {
                a href=(format!("/photo/{}", photo.id)) {
                    img src=(format!("/photo/{}/thumb.jpg", photo.id)) alt=(format!("Photo {} of hole {number} alone", index + 1)) loading="lazy";
                }
            } }
        }
        details open[wrong] {
            summary { "Add a photo of this hole" }
            form method="post" action=(page.address(FormName::HolePhoto)) enctype="multipart/form-data" {
                div.field {
                    label for="hole-photo-file" { "Photo (JPEG or PNG)" }
                    input #hole-photo-file type="file" name=(Field::Photo.name()) accept="image/jpeg,image/png" required
                        aria-invalid=[wrong.then_some("true")] aria-describedby="hole-photo-hint" autofocus[wrong];
                    small #hole-photo-hint { "Close up, with the hole in the middle." }
                }
                p { button { "Add photo of the hole" } }
            }
        }
    }
}

impl Picture {
    /// Draws a part of the photo around the hole, which shares its width.
    fn draw(&self, share: f64) -> Markup {
        let (photo_width, photo_height) = (
            f64::from(self.photo.width_px),
            f64::from(self.photo.height_px),
        );
        let width = photo_width * share;
        let height = width * SHAPE;
        let (x, y) = (self.x_px - width / 2.0, self.y_px - height / 2.0);
        let frame = format!("{x:.1} {y:.1} {width:.1} {height:.1}");
        html! {
            svg viewBox=(frame) aria-hidden="true" focusable="false" {
                image href=(format!("/photo/{}/view.jpg", self.photo.id)) width=(photo_width) height=(photo_height) {}
                @if self.photo.hole.is_none() { (self.cross(height)) }
            }
        }
    }

    /// Lines beside the hole, which shows among others.
    fn cross(&self, height: f64) -> Markup {
        let (gap, long) = (height * 0.3, height * 0.42);
        let cross = format!(
            "M{0:.1} {1:.1}h{long:.1}M{0:.1} {1:.1}m{2:.1} 0h{long:.1}",
            self.x_px - gap - long,
            self.y_px,
            2.0 * gap + long
        );
        html! { path.backing d=(cross) {} path d=(cross) {} }
    }
}
