//! How flat a face is, and the least cut that cleans it up.

use super::Bench;
use crate::face_map;
use crate::flatness;
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::sources;
use crate::lengths::length;
use crate::rows::{self, Layout, Row};
use holebook_core::length::{Rounding, Unit, in_unit};
use holebook_place::HolePoint;
use holebook_place::flatness::{FaceReadings, Flatness, HeightReading, judge};
use maud::{Markup, html};

const READINGS: &str = "Height readings";
const HOLES: &str = "Holes";

const READING: Layout = Layout {
    numbers: 0,
    least: 3,
    most: 3,
    sample: "X, Y, height: 4.250 1.500 -.002",
};
pub fn fields(form: &Form<'_>) -> Markup {
    html! { div.fields {
        (form.lines(Field::HeightReadings, READINGS, None, "one a line: X, Y, indicator; a high spot reads more"))
        (form.lines(Field::FaceHoles, HOLES, None, "optional, one a line: number, X, Y"))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let readings = rows::read(
        &bench.asked,
        bench.unit,
        Field::HeightReadings,
        READINGS,
        READING,
    )?;
    let holes = rows::read(
        &bench.asked,
        bench.unit,
        Field::FaceHoles,
        HOLES,
        Layout::HOLE,
    )?;
    let face = FaceReadings {
        points: readings.iter().map(reading).collect(),
        holes: holes.iter().map(hole).collect(),
    };
    let found = judge(&face).map_err(|error| {
        let message = in_unit(&error.to_string(), bench.unit);
        FormError::of(Field::HeightReadings, READINGS, message)
    })?;
    Ok(html! {
        section.panel {
            h2 { "Least face cut" }
            (figures(&found, bench.unit))
            p.caution { b { "Caution: " } (flatness::LOW_BETWEEN)
                "All hole depths shrink by the cut; check floors and edges first, and the machine's manual for how much it allows." }
            (sources([flatness::SOURCE.to_owned()]))
        }
        section.panel { h2 { "Left to cut, seen from above" } (drawing(&face, &found, bench.unit)) }
        @if !found.holes.is_empty() { section.panel { h2 { "What each hole loses" } (flatness::losses(&found, bench.unit)) } }
    })
}

fn reading(row: &Row) -> HeightReading {
    HeightReading {
        x_mm: row.mm[0],
        y_mm: row.mm[1],
        z_mm: row.mm[2],
    }
}

fn hole(row: &Row) -> HolePoint {
    HolePoint {
        hole: row.hole,
        x_mm: row.mm[0],
        y_mm: row.mm[1],
    }
}

fn figures(found: &Flatness, unit: Unit) -> Markup {
    let up = |mm| length(mm, unit, Rounding::Up);
    html! {
        p.big { (up(found.face_cut_mm)) }
        p { "From the highest spot, with the work set up parallel to the minimum zone; it cleans up every reading." }
        (flatness::figures(found, unit))
    }
}

fn drawing(face: &FaceReadings, found: &Flatness, unit: Unit) -> Markup {
    let about = format!(
        "To scale. Each figure ({unit}) is what the cut takes there. Triangle up: highest; triangle down: lowest."
    );
    face_map::draw(&flatness::spots(&face.points, found, unit), &about)
}
