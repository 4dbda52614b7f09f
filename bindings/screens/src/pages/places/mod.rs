//! Where things are on a face: its lost centers, its wanted pattern, table moves, heights, and the
//! known points of a photo.

mod good;
pub mod heights;
mod measured;
mod mill;
pub mod moves;
pub mod pattern;
mod photo_contour;
mod picture;
pub mod points;
mod result;
pub mod straight;

pub use result::{off_text, to_five};

use crate::carrier::Request;
use crate::form::{FormError, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::sentence;
use crate::notices::{Notice, with_notice};
use crate::page::Page;
use crate::pages::{FormContext, below_face};
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{EntryId, FaceId, FaceView, Notebook, NotebookError};
use holebook_core::places::Centers;
use maud::{Markup, html};

/// What the pages about centers draw from.
struct PlacesPage<'a> {
    face: FaceView,
    /// The centers, or why there are none.
    centers: Result<Centers, String>,
    context: FormContext<'a>,
}

impl<'a> PlacesPage<'a> {
    fn of(
        notebook: &Notebook,
        id: FaceId,
        context: FormContext<'a>,
    ) -> Result<Self, NotebookError> {
        let face = notebook.face(id)?;
        let centers = match notebook.centers_of(&face, None) {
            Ok(centers) => Ok(centers),
            Err(NotebookError::Invalid(why)) => Err(why),
            Err(error) => return Err(error),
        };
        Ok(Self {
            face,
            centers,
            context,
        })
    }

    fn unit(&self) -> Unit {
        self.context.unit
    }

    fn path(&self, page: &str) -> String {
        format!("/face/{}/{page}", self.face.id)
    }

    /// Why there are no centers, in the reader's unit.
    fn problem(&self) -> Option<String> {
        let why = self.centers.as_ref().err()?;
        Some(sentence(&in_unit(why, self.unit())))
    }
}

/// The centers of a face.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let page_of = PlacesPage::of(notebook, id, context)?;
    let title = "Hole centers";
    let content = html! {
        h1 { (title) }
        (context.outcome())
        (result::sections(&page_of))
        (pattern::summary(&page_of))
        (measured::section(&page_of))
        (photos(&page_of.face))
    };
    Ok(below_face::page(&page_of.face, title, context, content))
}

/// The way to the known points of each photo.
fn photos(face: &FaceView) -> Markup {
    html! {
        @if face.photos_of_face().next().is_some() {
            details {
                summary { "Known points in a photo" }
                p { "A photo with four or more points of known place gives the place of every mark. Without them, the pattern and the good holes do the same." }
                @for (index, photo) in face.photos_of_face().enumerate() {
                    p.row {
                        a.button href=(format!("/photo/{}/points", photo.id)) { "Photo " (index + 1) ": known points" }
                        a.button href=(format!("/photo/{}/straight", photo.id)) { "Photo " (index + 1) " straightened" }
                    }
                }
            }
        }
    }
}

/// The links on the face's page.
pub fn links(face: &FaceView) -> Markup {
    let lost = face.record.pattern.0.is_empty();
    html! {
        section.panel {
            h2 { "Places" }
            p { "Where each hole belongs, and how flat the face is." }
            p.row {
                a.button href=(format!("/face/{}/places", face.id)) { "Hole centers" }
                a.button href=(format!("/face/{}/heights", face.id)) { "Face heights" }
                @if lost { a.button href=(format!("/face/{}/pattern", face.id)) { "Wanted pattern" } }
            }
        }
    }
}

/// Strikes out the entry that a form names, if it is one of those that its page shows.
fn strike_out(
    notebook: &Notebook,
    shown: impl IntoIterator<Item = EntryId>,
    request: &Request,
) -> Result<(), FormError> {
    let named = request.field(Field::Entry).unwrap_or_default();
    let mut shown = shown.into_iter().filter(|entry| entry.to_string() == named);
    let entry = shown.next().ok_or_else(|| {
        FormError::new("That entry was struck out or replaced; look at the page again.")
    })?;
    notebook.strike_out(entry, required_text(request, Field::Reason, "Reason")?)?;
    Ok(())
}

/// Reads a whole number within limits.
fn whole(
    request: &Request,
    field: Field,
    label: &str,
    (least, most): (u32, u32),
) -> Result<Option<u32>, FormError> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    let number = text.parse().ok();
    let number = number.filter(|number| (least..=most).contains(number));
    number.map(Some).ok_or_else(|| {
        let message = format!("'{text}' is not a whole number from {least} to {most}");
        FormError::of(field, label, message)
    })
}

/// Records a form of these pages; returns the address of the next page.
pub fn submit(
    notebook: &Notebook,
    id: FaceId,
    form: FormName,
    request: &Request,
    unit: Unit,
) -> Result<String, FormError> {
    let path = |page: &str| format!("/face/{id}/{page}");
    Ok(match form {
        FormName::HolePlaces => {
            measured::save(notebook, id, request, unit)?;
            with_notice(&path("places"), Notice::PlacesSaved)
        }
        FormName::ChooseGood => {
            good::choose(notebook, id, request)?;
            with_notice(&path("places"), Notice::GoodSaved)
        }
        FormName::GoodByGrade => {
            good::by_grade(notebook, id)?;
            with_notice(&path("places"), Notice::GoodByGrade)
        }
        FormName::StrikeOutPattern => {
            let pattern = notebook.face(id)?.record.pattern.0;
            strike_out(notebook, pattern.iter().map(|entry| entry.entry), request)?;
            with_notice(&path("pattern"), Notice::StruckOut)
        }
        FormName::Mill => {
            mill::save(notebook, request, unit)?;
            with_notice(&path("moves"), Notice::MillSaved)
        }
        FormName::Heights => {
            heights::save(notebook, id, request, unit)?;
            with_notice(&path("heights"), Notice::HeightsSaved)
        }
        FormName::StrikeOutHeights => {
            let heights = notebook.heights(id)?;
            strike_out(notebook, heights.iter().map(|entry| entry.entry), request)?;
            with_notice(&path("heights"), Notice::StruckOut)
        }
        FormName::PlanLeastCut => {
            heights::plan_cut(notebook, id, request)?;
            with_notice(&format!("/face/{id}"), Notice::CutPlanned)
        }
        _ => {
            pattern::save(notebook, id, form, request, unit)?;
            with_notice(&path("places"), Notice::PatternSaved)
        }
    })
}
