//! The plates over the photo. They are placed by per cent of the picture in an overlay of its size, so that they keep
//! their own size on the screen and on paper, however large the picture is shown, without style or script of their own.

use crate::plate::plate_body;
use crate::words::state;
use holebook_core::hole::record::Said;
use holebook_core::notebook::{MarkBody, MarkView, PhotoView};
use maud::{Markup, html};

/// The photo with its plates as a still picture: `source` is the picture's address or data URI. On a screen the plates
/// lead to their holes; on paper there is nowhere to go.
pub fn marked_photo(source: &str, words: &str, photo: &PhotoView, linked: bool) -> Markup {
    html! {
        div.marked {
            img src=(source) width=(photo.width_px) height=(photo.height_px) alt=(words);
            (overlay(photo, None, linked))
        }
    }
}

/// The plates of all marks. Where a hole has two marks that differ, both are there, with a broken edge.
pub fn overlay(photo: &PhotoView, id: Option<&str>, linked: bool) -> Markup {
    html! {
        svg.marks id=[id] role="group" aria-label="Marks" {
            @for mark in &photo.marks {
                @for said in &mark.answers.0 {
                    @if linked { (link(photo, mark, said)) } @else { (placed(photo, mark, said)) }
                }
            }
        }
    }
}

/// A plate that opens its hole, with what the script needs to move it: its place and the answers it would replace.
fn link(photo: &PhotoView, mark: &MarkView, said: &Said<MarkBody>) -> Markup {
    let over: Vec<String> = mark
        .answers
        .0
        .iter()
        .map(|said| said.entry.to_string())
        .collect();
    html! {
        a.mark.questioned[mark.answers.differ()] href=(format!("/hole/{}", mark.hole)) aria-label=(name(mark, said))
            data-hole=(mark.hole) data-over=(over.join(" ")) data-x=(said.body.x_px) data-y=(said.body.y_px) {
            (placed(photo, mark, said))
        }
    }
}

/// What a screen reader says of a plate.
fn name(mark: &MarkView, said: &Said<MarkBody>) -> String {
    let mut name = format!("Hole {}, {}", mark.number, state(mark.state));
    if mark.answers.differ() {
        name.push_str(&format!(", one of two marks, by {}", said.by));
    } else if mark.in_question {
        name.push_str(", in question");
    }
    name
}

fn placed(photo: &PhotoView, mark: &MarkView, said: &Said<MarkBody>) -> Markup {
    let in_question = mark.in_question || mark.answers.differ();
    html! {
        svg x=(percent(said.body.x_px, photo.width_px)) y=(percent(said.body.y_px, photo.height_px)) overflow="visible" {
            g.on-photo {
                circle.halo r="53" {}
                (plate_body(mark.number, mark.state, in_question))
            }
        }
    }
}

fn percent(pixels: f64, of: u32) -> String {
    format!("{:.4}%", 100.0 * pixels / f64::from(of))
}
