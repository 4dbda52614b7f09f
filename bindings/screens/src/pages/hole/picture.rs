//! The hole cut out of a photo that shows it.

use super::HolePage;
use holebook_core::notebook::{HoleView, Notebook, NotebookError, PhotoView};
use maud::{Markup, html};

/// A photo that shows the hole, and where.
pub struct Picture {
    photo: PhotoView,
    x_px: f64,
    y_px: f64,
}

/// Width of the cut-out over the photo's, small and enlarged.
const SHARES: (f64, f64) = (0.14, 0.4);
/// Height over width of both.
const SHAPE: f64 = 0.5;

/// The photo with the most pixels of those that the hole is marked on; of equals, the latest.
pub fn best(notebook: &Notebook, hole: &HoleView) -> Result<Option<Picture>, NotebookError> {
    let mut best: Option<Picture> = None;
    for mark in &hole.marks {
        let Some(at) = mark.entries.0.first().map(|entry| &entry.body) else {
            continue;
        };
        let photo = notebook.photo(mark.photo)?;
        let pixels = |photo: &PhotoView| u64::from(photo.width_px) * u64::from(photo.height_px);
        if best
            .as_ref()
            .is_none_or(|other| pixels(&photo) >= pixels(&other.photo))
        {
            let (x_px, y_px) = (at.x_px, at.y_px);
            best = Some(Picture { photo, x_px, y_px });
        }
    }
    Ok(best)
}

/// The cut-out, which a tap enlarges, with a link to the whole photo; nothing without a mark.
pub fn cut_out(page: &HolePage<'_>) -> Markup {
    let Some(picture) = &page.picture else {
        return html! {};
    };
    let number = page.hole.number;
    html! {
        details.hole-picture {
            summary aria-label=(format!("Hole {number} in the photo; enlarge it")) { (picture.draw(SHARES.0)) }
            (picture.draw(SHARES.1))
            p { a.button href=(format!("/photo/{}", picture.photo.id)) { "Whole photo" } }
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
        let (gap, long) = (height * 0.3, height * 0.42);
        let cross = format!(
            "M{0:.1} {1:.1}h{long:.1}M{0:.1} {1:.1}m{2:.1} 0h{long:.1}",
            self.x_px - gap - long,
            self.y_px,
            2.0 * gap + long
        );
        html! {
            svg viewBox=(frame) aria-hidden="true" focusable="false" {
                image href=(format!("/photo/{}/view.jpg", self.photo.id)) width=(photo_width) height=(photo_height) {}
                path.backing d=(cross) {}
                path d=(cross) {}
            }
        }
    }
}
