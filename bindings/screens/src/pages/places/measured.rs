//! Where holes of the face were measured: on a machine, with a height gauge, off a plate.

use super::PlacesPage;
use crate::carrier::Request;
use crate::form::{FormError, length};
use crate::form_names::{Field, FormName};
use crate::rows::{self, Layout};
use holebook_core::length::Unit;
use holebook_core::notebook::{FaceId, Notebook};
use holebook_core::places::PatternHole;
use maud::{Markup, html};

const PLACES: &str = "Holes measured";
const TOLERANCE: &str = "Tolerance ± of each";

pub fn section(page: &PlacesPage<'_>) -> Markup {
    let form = page.context.form(FormName::HolePlaces);
    let unit = page.unit();
    let known = page.face.holes.iter().filter_map(|hole| {
        let (x, y) = hole.at?;
        Some(format!(
            "{} {} {}",
            hole.number,
            x.number(unit),
            y.number(unit)
        ))
    });
    let known: Vec<String> = known.collect();
    html! {
        details open[form.is_rejected()] {
            summary { "Holes measured on the casting" }
            p { "Picked up on the machine or measured by coordinates: these come before marks in a photo." }
            @if !known.is_empty() { p.faint { "Known: " (known.join("; ")) } }
            form method="post" action=(FormName::HolePlaces.address_of(page.face.id)) {
                div.fields {
                    (form.lines(Field::FoundHoles, PLACES, None, "one hole a line: number, X, Y"))
                    (form.length(Field::FoundTolerance, TOLERANCE, None, "how closely you measured"))
                }
                p { button { "Save places" } }
            }
        }
    }
}

/// Records the places.
pub fn save(
    notebook: &Notebook,
    face: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let rows = rows::read(request, unit, Field::FoundHoles, PLACES, Layout::HOLE)?;
    if rows.is_empty() {
        let message = "required; enter one hole a line";
        return Err(FormError::of(Field::FoundHoles, PLACES, message));
    }
    let places = rows.iter().map(|row| PatternHole {
        hole: row.hole,
        x: row.lengths[0],
        y: row.lengths[1],
    });
    let places: Vec<PatternHole> = places.collect();
    let tolerance = length(request, Field::FoundTolerance, TOLERANCE, unit)?;
    notebook
        .set_hole_places(face, &places, tolerance)
        .map_err(|error| FormError::from(error).at(Field::FoundHoles))?;
    Ok(())
}
