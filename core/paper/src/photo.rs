//! The photo of a face with a numbered badge beside each hole, as the screens show it, without color.

use crate::page::{Mark, Page, Pen};
use crate::paper::{LEADING, SMALL};
use crate::text::Letters;
use holebook_core::hole::condition::Condition;
use holebook_core::notebook::{Notebook, PhotoView};
use holebook_core::photo::PhotoError;
use holebook_core::photo::badge_places::{RING_RADIUS, SMALLEST_WIDTH, badge_places};

/// Radius of a badge on paper, points, where the photo is large enough.
const BADGE: f32 = 8.2;
/// Radius of a badge's disc in the units of [`badge_places`].
const DISC: f32 = 21.0;

/// Returns the size at which a photo fits a box.
pub fn fitted(photo: &PhotoView, width: f32, height: f32) -> (f32, f32) {
    let (w, h) = (photo.width_px.max(1) as f32, photo.height_px.max(1) as f32);
    let scale = (width / w).min(height / h);
    (w * scale, h * scale)
}

/// Draws a photo without its marks.
pub fn draw_bare(
    page: &mut Page,
    notebook: &Notebook,
    photo: &PhotoView,
    (x, y): (f32, f32),
    (width, height): (f32, f32),
) {
    match read(notebook, photo) {
        Ok(jpeg) => page.marks.push(Mark::Picture {
            jpeg,
            x,
            y,
            width,
            height,
        }),
        // A photo that has not arrived yet must not keep the rest from the paper.
        Err(error) => {
            let lines = Letters::plain(&error.to_string()).wrapped(width - 12.0, SMALL);
            for (at, line) in lines.into_iter().enumerate() {
                let below = y + 6.0 + (at + 1) as f32 * SMALL * LEADING;
                page.line_of_text(x + 6.0, below, SMALL, 0, line);
            }
        }
    }
    page.rect((x, y, width, height), None, Some(Pen::new(0.5, 90)));
}

/// Draws a photo with its marks.
pub fn draw(
    page: &mut Page,
    notebook: &Notebook,
    photo: &PhotoView,
    (x, y): (f32, f32),
    (width, height): (f32, f32),
) {
    draw_bare(page, notebook, photo, (x, y), (width, height));
    let entries = photo.marks.iter().flat_map(|mark| {
        let entries = mark.entries.0.iter();
        entries.map(move |entry| (mark, (entry.body.x_px, entry.body.y_px)))
    });
    let entries: Vec<_> = entries.collect();
    let at: Vec<(f64, f64)> = entries.iter().map(|(_, at)| *at).collect();
    let places = badge_places(&at, (photo.width_px, photo.height_px));
    // Badges keep clear of each other down to the smallest width of a screen, so on a small picture
    // they are made smaller.
    let unit = (BADGE / DISC).min(width / SMALLEST_WIDTH as f32);
    let scale = width / photo.width_px.max(1) as f32;
    for ((mark, (mark_x, mark_y)), place) in entries.iter().zip(places) {
        let hole = (x + *mark_x as f32 * scale, y + *mark_y as f32 * scale);
        let badge = Badge {
            hole,
            way: (place.0 as f32 * unit, place.1 as f32 * unit),
            unit,
            number: mark.number,
            condition: mark.condition,
            conflict: mark.conflict || mark.entries.differ(),
        };
        badge.draw(page);
    }
}

fn read(notebook: &Notebook, photo: &PhotoView) -> Result<Vec<u8>, PhotoError> {
    let path = notebook.photos().view(&photo.hash)?;
    std::fs::read(&path).map_err(|error| PhotoError::storage(&path, error))
}

struct Badge {
    hole: (f32, f32),
    way: (f32, f32),
    unit: f32,
    number: u32,
    condition: Option<Condition>,
    conflict: bool,
}

impl Badge {
    fn draw(&self, page: &mut Page) {
        let (hole, (dx, dy)) = (self.hole, self.way);
        let center = (hole.0 + dx, hole.1 + dy);
        let ring = RING_RADIUS as f32 * self.unit;
        let disc = DISC * self.unit;
        let length = dx.hypot(dy).max(f32::MIN_POSITIVE);
        let from = (hole.0 + dx * ring / length, hole.1 + dy * ring / length);
        // White below black, so that both are seen on light and dark metal.
        for pen in [Pen::new(2.4, 255), Pen::new(0.9, 0)] {
            page.circle(hole, ring, None, Some(pen));
            page.line(from, center, pen);
        }
        let pen = Pen {
            dashed: self.conflict,
            ..Pen::new(if self.conflict { 1.6 } else { 0.9 }, 0)
        };
        page.circle(center, disc, Some(255), Some(Pen::new(2.4, 255)));
        page.circle(center, disc, Some(255), Some(pen));
        let size = disc * 1.15;
        let number = Letters::bold(&self.number.to_string());
        let size = size * (1.7 * disc / number.width(size)).min(1.0);
        page.text_centered(center.0, center.1 + 0.36 * size, size, 0, number);
        if let Some(condition) = self.condition {
            let at = (center.0 + disc * 0.9, center.1 + disc * 0.8);
            tag(page, at, disc * 0.52, condition);
        }
    }
}

/// Draws the letter of a condition: black on white for a hole that may hold, white on black for one
/// that needs work.
pub fn tag(page: &mut Page, center: (f32, f32), radius: f32, condition: Condition) {
    let open = matches!(condition, Condition::Sound | Condition::Unknown);
    let (fill, letter) = if open { (255, 0) } else { (0, 255) };
    if open {
        page.circle(center, radius, Some(fill), Some(Pen::new(0.7, 0)));
    } else {
        let side = radius * 1.85;
        let corner = (center.0 - side / 2.0, center.1 - side / 2.0, side, side);
        page.rect(corner, Some(fill), Some(Pen::new(0.7, 255)));
    }
    let text = Letters::bold(&condition.letter().to_string());
    let size = radius * 1.5;
    page.text_centered(center.0, center.1 + 0.36 * size, size, letter, text);
}
