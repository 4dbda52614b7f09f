//! The marks on a photo: a ring around each hole, and its badge beside it on a leader line.
//!
//! They are placed by percent of the picture in an overlay of its size, so they keep their own size
//! on the screen and on paper at any size of the picture, without style or script.

use crate::hole_badge::{Badge, badge_body};
use holebook_core::hole::record::Recorded;
use holebook_core::notebook::{FaceView, HoleId, MarkBody, MarkView, PhotoView};
use holebook_core::photo::badge_places::{Offset, RING_RADIUS, badge_places};
use maud::{Markup, html};

/// Pixels of the screen per unit of the badge's drawing.
const BADGE_SCALE: f64 = 0.4;
/// Radius of what a finger hits, pixels of the screen; a hole under its edge is still marked by
/// holding there.
const TOUCH_RADIUS: f64 = 24.5;
/// Radius of the badge's disc, pixels of the screen: where its leader ends.
const DISC_RADIUS: f64 = 53.0 * BADGE_SCALE;

/// The photo with its badges as a still picture; `source` is its address or data URI. The badges
/// link to their holes if `linked`, which is of no use on paper.
pub fn marked_photo(
    source: &str,
    alt: &str,
    photo: &PhotoView,
    face: &FaceView,
    linked: bool,
) -> Markup {
    html! {
        div.marked {
            img src=(source) width=(photo.width_px) height=(photo.height_px) alt=(alt);
            (overlay(photo, face, None, linked, None))
        }
    }
}

/// A mark to draw: one of the entries of a hole's mark, and where its badge goes.
struct Drawn<'a> {
    photo: &'a PhotoView,
    face: &'a FaceView,
    mark: &'a MarkView,
    entry: &'a Recorded<MarkBody>,
    place: Offset,
}

/// All marks; both of them if a hole has two that conflict. `current` is the hole that is graded.
pub fn overlay(
    photo: &PhotoView,
    face: &FaceView,
    id: Option<&str>,
    linked: bool,
    current: Option<HoleId>,
) -> Markup {
    let marks = photo.marks.iter();
    let entries: Vec<(&MarkView, &Recorded<MarkBody>)> = marks
        .flat_map(|mark| mark.entries.0.iter().map(move |entry| (mark, entry)))
        .collect();
    let at = entries.iter();
    let at: Vec<(f64, f64)> = at.map(|(_, it)| (it.body.x_px, it.body.y_px)).collect();
    let places = badge_places(&at, (photo.width_px, photo.height_px));
    let drawn = entries.into_iter().zip(places);
    let drawn = drawn.map(|((mark, entry), place)| Drawn {
        photo,
        face,
        mark,
        entry,
        place,
    });
    html! {
        svg.marks id=[id] role="group" aria-label="Marks" {
            @for drawn in drawn {
                @if linked { (drawn.link(current)) } @else { (drawn.placed()) }
            }
        }
    }
}

/// The name of a condition for the filter; a hole that nobody looked at has one, too.
pub fn condition_name(mark: &MarkView) -> &'static str {
    mark.condition
        .map_or(NOT_GRADED, |condition| condition.name())
}

/// Stands for the condition of a hole that nobody looked at.
pub const NOT_GRADED: &str = "none";

impl Drawn<'_> {
    /// A mark that links to its hole, with what the script needs to move it: its position and the
    /// entries that a new mark would replace.
    fn link(&self, current: Option<HoleId>) -> Markup {
        let (mark, entry) = (self.mark, self.entry);
        let entries = mark.entries.0.iter();
        let replaces: Vec<String> = entries.map(|entry| entry.entry.to_string()).collect();
        html! {
            a.mark.conflict[mark.entries.differ()].current[current == Some(mark.hole)]
                href=(format!("/hole/{}", mark.hole)) aria-label=(label(mark, entry))
                data-hole=(mark.hole) data-condition=(condition_name(mark))
                data-replaces=(replaces.join(" ")) data-x=(entry.body.x_px) data-y=(entry.body.y_px) {
                (self.placed())
            }
        }
    }

    fn placed(&self) -> Markup {
        let (photo, body) = (self.photo, &self.entry.body);
        let (dx, dy) = self.place;
        let badge = format!("translate({dx:.1} {dy:.1}) scale({BADGE_SCALE})");
        html! {
            svg x=(percent(body.x_px, photo.width_px)) y=(percent(body.y_px, photo.height_px)) overflow="visible" {
                g.on-photo {
                    @for line in ["edge", "line"] {
                        path.leader.(line) d=(leader(self.place)) {}
                        circle.ring.(line) r=(RING_RADIUS) {}
                    }
                    g transform=(badge) {
                        circle.hit r=(TOUCH_RADIUS / BADGE_SCALE) {}
                        circle.halo r="53" {}
                        (badge_body(badge_of(self.mark, self.face)))
                    }
                }
            }
        }
    }
}

/// The line from the ring to the badge.
fn leader((dx, dy): Offset) -> String {
    let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
    let at = |radius: f64| (dx * radius / length, dy * radius / length);
    let ((x1, y1), (x2, y2)) = (at(RING_RADIUS), at(length - DISC_RADIUS));
    format!("M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}")
}

/// What a screen reader says for a badge.
fn label(mark: &MarkView, entry: &Recorded<MarkBody>) -> String {
    let mut label = format!("Hole {}, ", mark.number);
    if let Some(condition) = mark.condition {
        label.push_str(&format!("{condition}, "));
    }
    label.push_str(mark.stage.label());
    if mark.entries.differ() {
        label.push_str(&format!(", one of two marks, by {}", entry.by));
    } else if mark.conflict {
        label.push_str(", conflict");
    }
    label
}

/// The badge of a mark's hole.
pub fn badge_of(mark: &MarkView, face: &FaceView) -> Badge {
    let hole = face.holes.iter().find(|hole| hole.id == mark.hole);
    Badge {
        number: mark.number,
        condition: mark.condition,
        stage: mark.stage,
        remedy: hole.and_then(|hole| hole.remedy),
        conflict: mark.conflict || mark.entries.differ(),
    }
}

fn percent(pixels: f64, of: u32) -> String {
    format!("{:.4}%", 100.0 * pixels / f64::from(of))
}
