//! The photo of a face with its marks: look round in it, mark the next hole, correct a mark.
//!
//! Placing marks needs the page's script; all else works without it.

mod list;
mod marks;
mod record;

pub use marks::marked_photo;
pub use record::{mark, strike};

use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::writers::Writers;
use holebook_core::notebook::{FaceView, Notebook, NotebookError, PhotoId, PhotoView};
use maud::{Markup, html};

/// The page's scripts, each with the path it is served at. The first is the one the page names.
pub const SCRIPTS: [(&str, &str); 6] = [
    ("/photo.js", include_str!("../../../assets/photo.js")),
    (
        "/photo-hand.js",
        include_str!("../../../assets/photo-hand.js"),
    ),
    (
        "/photo-keys.js",
        include_str!("../../../assets/photo-keys.js"),
    ),
    (
        "/photo-loupe.js",
        include_str!("../../../assets/photo-loupe.js"),
    ),
    (
        "/photo-record.js",
        include_str!("../../../assets/photo-record.js"),
    ),
    (
        "/photo-view.js",
        include_str!("../../../assets/photo-view.js"),
    ),
];

/// All that the parts of the page draw from.
struct Leaf {
    photo: PhotoView,
    face: FaceView,
    /// Who wrote the marks that differ.
    writers: Writers,
}

impl Leaf {
    fn of(notebook: &Notebook, id: PhotoId) -> Result<Self, NotebookError> {
        let photo = notebook.photo(id)?;
        let face = notebook.face(photo.face)?;
        let mut writers = Writers::default();
        for mark in &photo.marks {
            writers = writers.and(notebook, &mark.answers)?;
        }
        Ok(Self {
            photo,
            face,
            writers,
        })
    }

    fn path(&self) -> String {
        format!("/photo/{}", self.photo.id)
    }
}

/// The page. It begins in Mark where no hole is marked yet, or where the address asks for it.
pub fn show(
    notebook: &Notebook,
    id: PhotoId,
    marking: bool,
    desk: Desk<'_>,
) -> Result<Page, NotebookError> {
    let leaf = Leaf::of(notebook, id)?;
    let title = format!("Photo of {}", leaf.face.name);
    let marks_first = marking || leaf.photo.marks.is_empty();
    let content = html! {
        h1 { (title) }
        (desk.outcome())
        div.photo-page {
            div.marking data-width=(leaf.photo.width_px) data-height=(leaf.photo.height_px)
                data-mode=(if marks_first { "mark" } else { "look" })
                data-original=(format!("{}/original", leaf.path())) data-record=(format!("{}/mark", leaf.path())) {
                (tools(&leaf))
                p.said role="status" {}
                (stage(&leaf))
                (list::last(&leaf, None))
                noscript { p { "Placing and moving marks needs JavaScript, which is switched off here. All else works." } }
                (keys())
            }
            div {
                (list::marks(&leaf))
                (about(&leaf))
            }
        }
    };
    let way = [
        Crumb::to("Castings", "/"),
        Crumb::to(
            &leaf.face.casting_name,
            format!("/casting/{}", leaf.face.casting),
        ),
        Crumb::to(&leaf.face.name, format!("/face/{}", leaf.face.id)),
        Crumb::here("Photo"),
    ];
    Ok(page(&desk.title(&title), way, content).with_script(SCRIPTS[0].0))
}

/// The controls over the photo; they work by script, which shows them.
fn tools(leaf: &Leaf) -> Markup {
    html! {
        div.tools hidden {
            div.segments.modes role="group" aria-label="What a touch does" {
                button type="button" data-mode-button="look" { "Look" }
                button type="button" data-mode-button="mark" { "Mark" }
            }
            div.segments.zooms role="group" aria-label="Zoom" {
                button type="button" data-zoom="out" aria-label="Zoom out" { "−" }
                button type="button" data-zoom="in" aria-label="Zoom in" { "+" }
                button type="button" data-zoom="fit" aria-label="Fit the whole photo" { "Fit" }
            }
            (list::next(leaf, None))
        }
    }
}

fn stage(leaf: &Leaf) -> Markup {
    let photo = &leaf.photo;
    html! {
        div.stage role="group" aria-label=(format!("Photo of {} with its marks; Keys below says how to use it", leaf.face.name)) {
            div.marked {
                img src=(format!("{}/view.jpg", leaf.path())) width=(photo.width_px) height=(photo.height_px)
                    alt=(format!("{} of {}", leaf.face.name, leaf.face.casting_name));
                (marks::overlay(photo, Some("marks"), true))
            }
        }
    }
}

fn keys() -> Markup {
    let keys = [
        ("L, M", "Look; Mark"),
        ("+ − 0", "zoom in; zoom out; the whole photo"),
        (
            "Arrows",
            "Look: move the photo. Mark: move the crosshair by 1 pixel, with Shift by 20",
        ),
        (
            "Enter",
            "Mark: record the next hole where the crosshair stands",
        ),
        (
            "Tab",
            "to the plates, one after the other. Look: Enter opens the hole. Mark: arrows move its mark, Enter records it",
        ),
        (
            "Escape",
            "leaves what is under way as it was; then back to Look; then out of the photo",
        ),
    ];
    html! {
        details.keys {
            summary { "Keys" }
            p { "They work once the photo has the focus: click it in Mark, or Tab to it." }
            dl { @for (key, does) in keys { dt { (key) } dd { (does) } } }
            p { "With a finger or the mouse: the wheel or two fingers zoom, two taps zoom in, the middle button moves the photo. In Mark, dragging a plate corrects its mark." }
        }
    }
}

/// What is known of the picture itself.
fn about(leaf: &Leaf) -> Markup {
    let photo = &leaf.photo;
    html! {
        section.leaf {
            h2 { "This photo" }
            dl.facts {
                @if let Some(name) = &photo.name { dt { "Came as" } dd { (name) } }
                @if let Some(taken) = &photo.taken_at { dt { "Taken" } dd { (taken.local.format("%-d %b %Y, %H:%M")) " by the camera's clock" } }
                dt { "Pixels" } dd { (photo.width_px) " by " (photo.height_px) }
            }
            p { a.button href=(format!("{}/original", leaf.path())) { "Open it as it came" } }
        }
    }
}
