//! The photo of a face with its marks: zoom, mark the next hole, move a mark.
//!
//! Placing marks needs the page's script; everything else works without it.

mod list;
mod marks;
mod record;

pub use marks::marked_photo;
pub use record::{mark, strike_out};

use crate::authors::Authors;
use crate::form_names::FormName;
use crate::page::{Crumb, Page};
use crate::pages::FormContext;
use holebook_core::notebook::{FaceView, Notebook, NotebookError, PhotoId, PhotoView};
use maud::{Markup, html};

/// The page's scripts with their addresses. The page names the first, which loads the others.
pub const SCRIPTS: [(&str, &str); 6] = [
    ("/photo.js", include_str!("../../../assets/photo.js")),
    (
        "/photo-pointer.js",
        include_str!("../../../assets/photo-pointer.js"),
    ),
    (
        "/photo-keyboard.js",
        include_str!("../../../assets/photo-keyboard.js"),
    ),
    (
        "/photo-loupe.js",
        include_str!("../../../assets/photo-loupe.js"),
    ),
    (
        "/photo-recorder.js",
        include_str!("../../../assets/photo-recorder.js"),
    ),
    (
        "/photo-viewport.js",
        include_str!("../../../assets/photo-viewport.js"),
    ),
];

/// What all parts of the page draw from.
struct PhotoPage {
    photo: PhotoView,
    face: FaceView,
    /// Who recorded the marks that conflict.
    authors: Authors,
}

impl PhotoPage {
    fn of(notebook: &Notebook, id: PhotoId) -> Result<Self, NotebookError> {
        let photo = notebook.photo(id)?;
        let face = notebook.face(photo.face)?;
        let mut authors = Authors::default();
        for mark in &photo.marks {
            authors = authors.and(notebook, &mark.entries)?;
        }
        Ok(Self {
            photo,
            face,
            authors,
        })
    }

    fn path(&self) -> String {
        format!("/photo/{}", self.photo.id)
    }
}

/// The page. It opens in Mark if no hole is marked yet or the address asks for it.
pub fn show(
    notebook: &Notebook,
    id: PhotoId,
    marking: bool,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let page = PhotoPage::of(notebook, id)?;
    let title = format!("Photo of {}", page.face.name);
    let marks_first = marking || page.photo.marks.is_empty();
    let content = html! {
        h1 { (title) }
        (context.outcome())
        (incomplete(&page.photo))
        div.photo-page {
            div.marking data-width=(page.photo.width_px) data-height=(page.photo.height_px)
                data-mode=(if marks_first { "mark" } else { "look" })
                data-original=(format!("{}/original", page.path())) data-record=(FormName::Mark.address_of(page.photo.id)) {
                (tools(&page))
                p.status role="status" {}
                (stage(&page))
                (list::last(&page, None))
                noscript { p { "Placing and moving marks needs JavaScript, which is off. Everything else works." } }
                (keys())
            }
            div {
                (list::marks(&page))
                (about(&page))
            }
        }
    };
    let crumbs = [
        Crumb::to("Castings", "/"),
        Crumb::to(
            &page.face.casting_name,
            format!("/casting/{}", page.face.casting),
        ),
        Crumb::to(&page.face.name, format!("/face/{}", page.face.id)),
        Crumb::here("Photo"),
    ];
    Ok(Page::new(&context.title(&title), crumbs, content).with_script(SCRIPTS[0].0))
}

/// Says that a photo's file was cut, on whatever device it was added; nothing if it was not.
pub fn incomplete(photo: &PhotoView) -> Markup {
    html! {
        @if photo.incomplete {
            p { b { "Incomplete: " } "this photo's file was cut short and detail is missing. Copy it again from the camera." }
        }
    }
}

/// The controls over the photo, shown by the script that they need.
fn tools(page: &PhotoPage) -> Markup {
    html! {
        div.toolbar hidden {
            div.button-group.modes role="group" aria-label="Mode" {
                button type="button" data-mode-button="look" { "Look" }
                button type="button" data-mode-button="mark" { "Mark" }
            }
            div.button-group.zooms role="group" aria-label="Zoom" {
                button type="button" data-zoom="out" aria-label="Zoom out" { "−" }
                button type="button" data-zoom="in" aria-label="Zoom in" { "+" }
                button type="button" data-zoom="fit" aria-label="Fit photo" { "Fit" }
            }
            (list::next(page, None))
        }
    }
}

fn stage(page: &PhotoPage) -> Markup {
    let photo = &page.photo;
    html! {
        div.viewport role="group" aria-label=(format!("Photo of {} with its marks; see Keys below", page.face.name)) {
            div.marked {
                img src=(format!("{}/view.jpg", page.path())) width=(photo.width_px) height=(photo.height_px)
                    alt=(format!("{} of {}", page.face.name, page.face.casting_name));
                (marks::overlay(photo, &page.face, Some("marks"), true))
            }
        }
    }
}

fn keys() -> Markup {
    let keys = [
        ("L, M", "Look, Mark"),
        ("+ − 0", "zoom in, zoom out, whole photo"),
        (
            "Arrows",
            "Look: move the photo. Mark: move the crosshair 1 pixel, with Shift 20",
        ),
        ("Enter", "Mark: record the next hole at the crosshair"),
        (
            "Tab",
            "next badge. Look: Enter opens the hole. Mark: arrows move its mark, Enter records it",
        ),
        ("Escape", "cancel; then back to Look; then leave the photo"),
    ];
    html! {
        details.keyboard-help {
            summary { "Keys" }
            p { "Click the photo in Mark or Tab to it first." }
            dl { @for (key, does) in keys { dt { (key) } dd { (does) } } }
            p { "Touch and mouse: zoom with two fingers, a double tap or the wheel; move the photo with the middle button. In Mark, drag a badge to move its mark." }
        }
    }
}

/// About the file.
fn about(page: &PhotoPage) -> Markup {
    let photo = &page.photo;
    html! {
        section.panel {
            h2 { "This photo" }
            dl.facts {
                @if let Some(name) = &photo.name { dt { "File" } dd { (name) } }
                @if let Some(taken) = &photo.taken_at { dt { "Taken" } dd { (taken.local.format("%-d %b %Y, %H:%M")) ", camera clock" } }
                dt { "Pixels" } dd { (photo.width_px) " × " (photo.height_px) }
            }
            p { a.button href=(format!("{}/original", page.path())) { "Open original" } }
        }
    }
}
