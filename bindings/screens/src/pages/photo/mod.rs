//! The photo of a face with its marks: zoom, mark the next hole and grade it, move a mark.
//!
//! Without the page's script, a hole is marked by pressing a plain picture.

pub mod find;
mod grade;
mod list;
mod marks;
mod record;
pub mod upload;

pub use marks::marked_photo;
pub use record::submit;

use crate::authors::Authors;
use crate::carrier::Request;
use crate::form_names::{Field, FormName};
use crate::labels::sentence_case;
use crate::page::{Crumb, Page};
use crate::pages::{FormContext, below_face};
use grade::{Outcome, Strip};
use holebook_core::hole::condition::Condition;
use holebook_core::notebook::{
    EntryId, FaceView, HoleId, HoleSummary, HoleView, Notebook, NotebookError, PhotoId, PhotoView,
};
use marks::NOT_GRADED;
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

    /// The hole that the photo shows alone; `None`: it shows the face.
    fn alone(&self) -> Option<&HoleSummary> {
        self.hole(self.photo.hole?)
    }

    /// What it is a photo of.
    fn title(&self) -> String {
        match self.alone() {
            Some(hole) => format!("Photo of hole {}, {}", hole.number, self.face.name),
            None => format!("Photo of {}", self.face.name),
        }
    }

    /// A hole of the photo's face.
    fn hole(&self, id: HoleId) -> Option<&HoleSummary> {
        self.face.holes.iter().find(|hole| hole.id == id)
    }

    /// The holes of the face that nobody looked at, by number. Those whose conditions are in conflict
    /// are not among them.
    fn ungraded(&self, notebook: &Notebook) -> Result<Vec<HoleView>, NotebookError> {
        let open = self
            .face
            .holes
            .iter()
            .filter(|hole| hole.condition.is_none());
        let open = open.map(|hole| notebook.hole(hole.id));
        let open: Vec<HoleView> = open.collect::<Result<_, _>>()?;
        let looked_at = |hole: &HoleView| !hole.record.condition.0.is_empty();
        Ok(open.into_iter().filter(|hole| !looked_at(hole)).collect())
    }
}

/// The page. The address may name the hole to grade, and the entry that a plain form recorded.
pub fn show(
    notebook: &Notebook,
    id: PhotoId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let asked = request.param("grade").and_then(|text| text.parse().ok());
    let done: Option<EntryId> = request.param("done").and_then(|text| text.parse().ok());
    let outcome = match done {
        Some(entry) => Outcome::of_entry(notebook, &PhotoPage::of(notebook, id)?, entry)?,
        None => None,
    };
    show_with(notebook, id, outcome, asked, context)
}

/// The page after something was recorded.
fn show_with(
    notebook: &Notebook,
    id: PhotoId,
    outcome: Option<Outcome>,
    asked: Option<HoleId>,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let page = PhotoPage::of(notebook, id)?;
    let strip = Strip::of(notebook, &page, outcome, asked)?;
    let title = page.title();
    let content = html! {
        h1 { (title) }
        (context.outcome())
        (incomplete(&page.photo))
        div.photo-page {
            div.marking data-width=(page.photo.width_px) data-height=(page.photo.height_px)
                data-original=(format!("{}/original", page.path())) data-record=(FormName::Mark.address_of(page.photo.id)) {
                (tools(&page))
                p.status role="status" {}
                (stage(&page, strip.current()))
                (strip.show(&page))
                (find_others(&page))
                noscript { (plain_marking(&page)) }
                (filter())
                (keys())
            }
            div {
                (list::marks(&page))
                (about(&page))
            }
        }
    };
    let mut crumbs = below_face::crumbs(&page.face);
    if let Some(hole) = page.alone() {
        let name = format!("Hole {}", hole.number);
        crumbs.push(Crumb::to(&name, format!("/hole/{}", hole.id)));
    }
    crumbs.push(Crumb::here("Photo"));
    Ok(Page::new(&context.title(&title), crumbs, content).with_script(SCRIPTS[0].0))
}

/// The photo on the face's page, where its holes are marked without a detour; the photo's own page has
/// the rest.
pub fn on_face(face: &FaceView, photo: &PhotoView) -> Markup {
    let page = PhotoPage {
        photo: photo.clone(),
        face: face.clone(),
        authors: Authors::default(),
    };
    let strip = Strip::empty();
    html! {
        (incomplete(photo))
        div.marking data-width=(photo.width_px) data-height=(photo.height_px)
            data-original=(format!("{}/original", page.path())) data-record=(FormName::Mark.address_of(photo.id)) {
            (stage(&page, None))
            p.status role="status" {}
            (strip.show(&page))
            (tools(&page))
        }
    }
}

/// Says that a photo's file was cut, on whatever device it was added; nothing if it was not.
pub fn incomplete(photo: &PhotoView) -> Markup {
    html! {
        @if photo.incomplete {
            p { b { "Incomplete: " } "this photo's file was cut short and detail is missing. Copy it again from the camera." }
        }
    }
}

/// Looks for the holes that are not marked yet, once there is one to compare with.
fn find_others(page: &PhotoPage) -> Markup {
    let nothing = page.photo.marks.is_empty() || page.alone().is_some();
    html! {
        p.find-others #find-others hidden[nothing] {
            a.button href=(format!("{}/find", page.path())) { "Find the other holes" }
            " "
            a.button href=(format!("/face/{}/places", page.face.id)) { "Lost centers" }
        }
    }
}

/// The controls over the photo, shown by the script that they need.
fn tools(page: &PhotoPage) -> Markup {
    html! {
        div.toolbar hidden {
            div.button-group.zooms role="group" aria-label="Zoom" {
                button type="button" data-zoom="out" aria-label="Zoom out" { "−" }
                button type="button" data-zoom="in" aria-label="Zoom in" { "+" }
                button type="button" data-zoom="fit" aria-label="Fit photo" { "Fit" }
            }
            (list::next(page, None))
        }
    }
}

/// The width at which the picture is shown in the form that needs no script, pixels of the screen:
/// wide enough to hit a hole, so the page scrolls it. The style sheet has the same.
const PLAIN_WIDTH: u32 = 1200;

/// The form that marks without the script: the browser sends where its picture was pressed.
fn plain_marking(page: &PhotoPage) -> Markup {
    let photo = &page.photo;
    html! {
        form.plain-marking method="post" action=(FormName::Mark.address_of(photo.id)) {
            p { "JavaScript is off: press a hole in the picture below to mark it." }
            div.field {
                label for="plain-hole" { "Next mark" }
                select #plain-hole name=(Field::Hole.name()) autocomplete="off" { (list::next_options(page, None)) }
            }
            div.plain-picture tabindex="0" role="group" aria-label="Photo to mark" {
                input type="image" name="at" alt="Mark the hole at the place that is pressed"
                    src=(format!("{}/view.jpg", page.path())) width=(PLAIN_WIDTH);
            }
        }
    }
}

/// Which marks are shown: by style alone.
fn filter() -> Markup {
    let choices =
        Condition::ALL.map(|condition| (condition.name(), sentence_case(condition.label())));
    let none = (NOT_GRADED, "Not graded".to_owned());
    html! {
        details.mark-filter {
            summary { "Show or hide marks" }
            div.row {
                label.choice { input #hide-badges type="checkbox" autocomplete="off"; "Hide badges" }
            }
            fieldset.row {
                legend { "Show" }
                label.choice { input type="radio" name="show" value="all" checked autocomplete="off"; "All" }
                @for (value, label) in choices.into_iter().chain([none]) {
                    label.choice { input type="radio" name="show" value=(value) autocomplete="off"; (label) }
                }
            }
        }
    }
}

fn stage(page: &PhotoPage, current: Option<HoleId>) -> Markup {
    let photo = &page.photo;
    html! {
        div.viewport role="group" aria-label=(format!("{} with its marks; see the keys below", page.title())) {
            div.marked {
                img src=(format!("{}/view.jpg", page.path())) width=(photo.width_px) height=(photo.height_px)
                    alt=(format!("{} of {}", page.face.name, page.face.casting_name));
                (marks::overlay(photo, &page.face, Some("marks"), true, current))
            }
        }
    }
}

fn keys() -> Markup {
    let keys = [
        ("+ − 0", "zoom in, zoom out, whole photo"),
        ("Arrows", "move the crosshair 1 pixel, with Shift 20"),
        ("Enter", "record the next hole at the crosshair"),
        (
            "Letter",
            "grade the hole: S, L, N, B, T, O, C, W, or ? as on the buttons",
        ),
        (
            "Tab",
            "next badge: Enter opens the hole, arrows move its mark, then Enter records it",
        ),
        ("Escape", "cancel; then leave the photo"),
    ];
    html! {
        details.keyboard-help {
            summary { "Touch, mouse, and keys" }
            dl {
                dt { "Touch" } dd { "Press and hold to mark, slide to the center, let go. Hold a marked hole to move its mark. Swipe to move the photo, two fingers to zoom." }
                dt { "Mouse" } dd { "Click to mark, or press and hold for the loupe. Drag a marked hole to move its mark, the photo to move it. The wheel zooms." }
                @for (key, does) in keys { dt { (key) } dd { (does) } }
            }
            p { "For the keys, click the photo or Tab to it first." }
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
            details {
                summary { "Wrong photo" }
                p { "Its marks go with it; its holes stay. It can be brought back at once, or later on the face's page." }
                form method="post" action=(FormName::RemovePhoto.address_of(photo.id)) {
                    button { "Remove photo" }
                }
            }
        }
    }
}
