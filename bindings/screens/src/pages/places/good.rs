//! The holes that the fit rests on: those that a person chose, else those graded sound.

use super::PlacesPage;
use crate::carrier::Request;
use crate::form::FormError;
use crate::form_names::{Field, FormName};
use holebook_core::notebook::{EntryId, FaceId, Notebook};
use holebook_core::places::GoodHoles;
use maud::{Markup, html};

const GOOD: &str = "Good holes";

/// What the fit rests on, with the way back to the grades.
pub fn section(page: &PlacesPage<'_>) -> Markup {
    let chosen = &page.face.record.good;
    let address = FormName::GoodByGrade.address_of(page.face.id);
    html! {
        @match (chosen.0.is_empty(), chosen.agreed()) {
            (true, _) => p.faint { "Ticked: graded sound and in agreement with the pattern. Where fewer than 4 are graded sound, every hole counts that is not graded off center, crater, or welded." }
            (false, Some(good)) => p { "Chosen as good: " (numbers(&good.holes)) "." }
            (false, None) => p { b { "Check: " } "Devices chose different good holes, so the grades count. Tick them again." }
        }
        @if !chosen.0.is_empty() {
            form method="post" action=(address) { p { button { "Go by the grades again" } } }
        }
    }
}

fn numbers(holes: &[u32]) -> String {
    let numbers: Vec<String> = holes.iter().map(u32::to_string).collect();
    numbers.join(", ")
}

/// Records the holes that are ticked.
pub fn choose(notebook: &Notebook, face: FaceId, request: &Request) -> Result<(), FormError> {
    let holes: Vec<u32> = request
        .fields(Field::Good)
        .map(|text| text.parse().ok())
        .collect::<Option<_>>()
        .ok_or_else(|| FormError::of(Field::Good, GOOD, "not a hole's number; look again"))?;
    let good = GoodHoles { holes };
    good.validate()
        .map_err(|message| FormError::of(Field::Good, GOOD, message))?;
    notebook.set_good_holes(face, &good)?;
    Ok(())
}

/// Strikes out the choice.
pub fn by_grade(notebook: &Notebook, face: FaceId) -> Result<(), FormError> {
    let chosen = notebook.face(face)?.record.good;
    let entries: Vec<EntryId> = chosen.0.iter().map(|entry| entry.entry).collect();
    for entry in entries {
        notebook.strike_out(entry, "by the grades again")?;
    }
    Ok(())
}
