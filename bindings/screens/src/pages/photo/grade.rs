//! Under the photo: what was recorded last, with its undo, and a strip of large buttons that grades a
//! hole in one tap.

use super::PhotoPage;
use crate::condition_tag::condition_icon;
use crate::form::{hidden, replaced_entries};
use crate::form_names::{Field, FormName};
use crate::labels::sentence_case;
use holebook_core::hole::condition::Condition;
use holebook_core::notebook::{
    EntryBody, EntryId, HoleId, HoleSummary, HoleView, Notebook, NotebookError,
};
use maud::{Markup, html};

/// What was recorded last.
pub struct Outcome {
    /// A sentence about it.
    pub message: String,
    /// The entries that undo strikes out; none if there is nothing to undo.
    pub undo: Vec<EntryId>,
    /// The hole that was marked.
    pub marked: Option<HoleId>,
    /// What can be done with its mark.
    pub next: Next,
}

/// What can be done with a mark that was just made.
pub enum Next {
    /// Nothing.
    Nothing,
    /// Look for the rim around it.
    Snap(HoleId),
    /// Move it to the middle of the rim that was found.
    Move {
        /// The hole.
        hole: HoleId,
        /// Pixels to the right.
        x_px: f64,
        /// Pixels down.
        y_px: f64,
        /// The rim's radius, pixels.
        radius_px: f64,
        /// The marks that this replaces.
        replaces: Vec<EntryId>,
    },
}

impl Outcome {
    /// Something that cannot be undone, such as an undo.
    pub fn told(message: String) -> Self {
        Self {
            message,
            undo: Vec::new(),
            marked: None,
            next: Next::Nothing,
        }
    }

    /// What an entry of this photo recorded, for the page that follows a plain form; `None` if it is
    /// not about this photo or its face.
    pub fn of_entry(
        notebook: &Notebook,
        page: &PhotoPage,
        entry: EntryId,
    ) -> Result<Option<Self>, NotebookError> {
        let line = notebook.entry(entry)?;
        let hole = page.hole(HoleId(line.subject));
        let (Some(hole), true) = (hole, line.is_active()) else {
            return Ok(None);
        };
        let (message, marked) = match line.entry_body() {
            Some(EntryBody::Mark(mark)) if mark.photo == page.photo.id => {
                (format!("Hole {} marked.", hole.number), Some(hole.id))
            }
            Some(EntryBody::Condition(look)) => (graded(hole, look.condition), None),
            _ => return Ok(None),
        };
        Ok(Some(Self {
            message,
            undo: vec![entry],
            next: marked.map_or(Next::Nothing, Next::Snap),
            marked,
        }))
    }
}

/// The sentence about a hole that was graded.
pub fn graded(hole: &HoleSummary, condition: Condition) -> String {
    format!("Hole {}: {condition}.", hole.number)
}

/// The strip for a hole, and what was recorded before.
pub struct Strip {
    /// What was recorded last.
    pub outcome: Option<Outcome>,
    /// The hole to grade.
    pub hole: Option<HoleView>,
    /// How many holes of the face nobody looked at.
    pub rest: usize,
}

impl Strip {
    /// The strip for a hole that was asked for or has just been marked, else for the first hole that
    /// is marked and not graded.
    pub fn of(
        notebook: &Notebook,
        page: &PhotoPage,
        outcome: Option<Outcome>,
        asked: Option<HoleId>,
    ) -> Result<Self, NotebookError> {
        let marked = outcome.as_ref().and_then(|outcome| outcome.marked);
        let hole = asked
            .filter(|asked| page.hole(*asked).is_some())
            .or(marked)
            .map(|hole| notebook.hole(hole))
            .transpose()?;
        let ungraded = page.ungraded(notebook)?;
        let on_photo = |hole: &&HoleView| page.photo.marks.iter().any(|mark| mark.hole == hole.id);
        let rest = ungraded.len();
        let next = || ungraded.iter().find(on_photo).cloned();
        Ok(Self {
            outcome,
            hole: hole.or_else(next),
            rest,
        })
    }

    /// A strip that shows nothing until a hole is marked.
    pub const fn empty() -> Self {
        Self {
            outcome: None,
            hole: None,
            rest: 0,
        }
    }

    /// The hole that is graded.
    pub fn current(&self) -> Option<HoleId> {
        self.hole.as_ref().map(|hole| hole.id)
    }

    /// The section.
    pub fn show(&self, page: &PhotoPage) -> Markup {
        html! {
            section.grade #grade aria-label="First look" {
                @if let Some(outcome) = &self.outcome { (notice(page, outcome)) }
                @if let Some(hole) = &self.hole { (buttons(page, hole)) }
                @if self.rest > 0 { (rest(page, self.rest)) }
            }
        }
    }
}

fn notice(page: &PhotoPage, outcome: &Outcome) -> Markup {
    html! {
        div.last-mark.row {
            p.grow { (outcome.message) }
            (next_form(page, &outcome.next))
            @if !outcome.undo.is_empty() {
                form method="post" action=(FormName::UndoOnPhoto.address_of(page.photo.id)) data-part="" {
                    @for entry in &outcome.undo { (hidden(Field::Entry, entry)) }
                    button { "Undo" }
                }
            }
        }
    }
}

/// A form with what can be done with the mark.
fn next_form(page: &PhotoPage, next: &Next) -> Markup {
    html! {
        @match next {
            Next::Nothing => {}
            Next::Snap(hole) => {
                form method="post" action=(FormName::SnapMark.address_of(page.photo.id)) data-part="" {
                    (hidden(Field::Hole, hole))
                    button { "Snap to the rim" }
                }
            }
            Next::Move { hole, x_px, y_px, radius_px, replaces } => {
                form method="post" action=(FormName::Mark.address_of(page.photo.id)) data-part="" {
                    (hidden(Field::Hole, hole))
                    (hidden(Field::XPixels, format!("{x_px:.2}")))
                    (hidden(Field::YPixels, format!("{y_px:.2}")))
                    (hidden(Field::RimRadius, format!("{radius_px:.2}")))
                    (replaced_entries(replaces.iter().copied()))
                    button { "Move the mark there" }
                }
            }
        }
    }
}

fn buttons(page: &PhotoPage, hole: &HoleView) -> Markup {
    let now = hole.record.condition_in_force();
    html! {
        form method="post" action=(FormName::Grade.address_of(page.photo.id)) data-part="" {
            (hidden(Field::Hole, hole.id))
            (replaced_entries(hole.record.condition.0.iter().map(|entry| entry.entry)))
            fieldset.grade-buttons {
                legend { "Hole " (hole.number) ": first look" }
                @for condition in Condition::ALL {
                    button name=(Field::Condition.name()) value=(condition.name())
                        data-letter=(condition.letter()) aria-current=[(now == Some(condition)).then_some("true")] {
                        (condition_icon(condition)) span { (sentence_case(condition.label())) }
                    }
                }
            }
        }
    }
}

fn rest(page: &PhotoPage, count: usize) -> Markup {
    html! {
        form.grade-rest method="post" action=(FormName::GradeRest.address_of(page.photo.id)) data-part="" {
            button { "All the rest are sound (" (count) ")" }
        }
    }
}
