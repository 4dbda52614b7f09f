//! The hole badges on a photo.
//!
//! They are placed by percent of the picture in an overlay of its size, so they keep their own size
//! on the screen and on paper at any size of the picture, without style or script.

use crate::hole_badge::{Badge, badge_body};
use holebook_core::hole::record::Recorded;
use holebook_core::notebook::{FaceView, MarkBody, MarkView, PhotoView};
use maud::{Markup, html};

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
            (overlay(photo, face, None, linked))
        }
    }
}

/// The badges of all marks; both of them if a hole has two that conflict.
pub fn overlay(photo: &PhotoView, face: &FaceView, id: Option<&str>, linked: bool) -> Markup {
    html! {
        svg.marks id=[id] role="group" aria-label="Marks" {
            @for mark in &photo.marks {
                @for entry in &mark.entries.0 {
                    @if linked { (link(photo, face, mark, entry)) } @else { (placed(photo, face, mark, entry)) }
                }
            }
        }
    }
}

/// A badge that links to its hole, with what the script needs to move it: its position and the
/// entries that a new mark would replace.
fn link(photo: &PhotoView, face: &FaceView, mark: &MarkView, entry: &Recorded<MarkBody>) -> Markup {
    let replaces: Vec<String> = mark
        .entries
        .0
        .iter()
        .map(|entry| entry.entry.to_string())
        .collect();
    html! {
        a.mark.conflict[mark.entries.differ()] href=(format!("/hole/{}", mark.hole)) aria-label=(label(mark, entry))
            data-hole=(mark.hole) data-replaces=(replaces.join(" ")) data-x=(entry.body.x_px) data-y=(entry.body.y_px) {
            (placed(photo, face, mark, entry))
        }
    }
}

/// What a screen reader says for a badge.
fn label(mark: &MarkView, entry: &Recorded<MarkBody>) -> String {
    let mut label = format!("Hole {}, {}", mark.number, mark.stage);
    if mark.entries.differ() {
        label.push_str(&format!(", one of two marks, by {}", entry.by));
    } else if mark.conflict {
        label.push_str(", conflict");
    }
    label
}

/// The badge of a mark's hole.
pub fn badge(mark: &MarkView, face: &FaceView) -> Badge {
    let hole = face.holes.iter().find(|hole| hole.id == mark.hole);
    Badge {
        number: mark.number,
        stage: mark.stage,
        remedy: hole.and_then(|hole| hole.remedy),
        conflict: mark.conflict || mark.entries.differ(),
    }
}

fn placed(
    photo: &PhotoView,
    face: &FaceView,
    mark: &MarkView,
    entry: &Recorded<MarkBody>,
) -> Markup {
    html! {
        svg x=(percent(entry.body.x_px, photo.width_px)) y=(percent(entry.body.y_px, photo.height_px)) overflow="visible" {
            g.on-photo {
                circle.halo r="53" {}
                (badge_body(badge(mark, face)))
            }
        }
    }
}

fn percent(pixels: f64, of: u32) -> String {
    format!("{:.4}%", 100.0 * pixels / f64::from(of))
}
