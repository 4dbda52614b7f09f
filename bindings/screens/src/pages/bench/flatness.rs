//! How flat a face is, and the least cut that cleans it up.

use super::Bench;
use crate::face_map::{self, Shape, Spot};
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::sources;
use crate::lengths::{length, number};
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
const HOLE: Layout = Layout {
    numbers: 1,
    least: 2,
    most: 2,
    sample: "hole, X, Y: 7 4.250 1.500",
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
    let holes = rows::read(&bench.asked, bench.unit, Field::FaceHoles, HOLES, HOLE)?;
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
            p.caution { b { "Caution: " } "Between readings the face may be lower: take them close, and at every low spot you see. "
                "All hole depths shrink by the cut; check floors and edges first, and the machine's manual for how much it allows." }
            (sources(["Minimum zone: the nearest two parallel planes that hold all readings, computed exactly".to_owned()]))
        }
        section.panel { h2 { "Left to cut, seen from above" } (drawing(&face, &found, bench.unit)) }
        @if !found.holes.is_empty() { section.panel { h2 { "What each hole loses" } (losses(&found, bench.unit)) } }
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
        dl.facts {
            dt { "Flatness, minimum zone" } dd { (up(found.flatness_minimum_zone_mm)) }
            dt { "Flatness, least squares" } dd { (up(found.flatness_least_squares_mm)) }
            dt { "Rises toward X" } dd { (format!("{:.4} degrees", found.tilt_x_deg)) }
            dt { "Rises toward Y" } dd { (format!("{:.4} degrees", found.tilt_y_deg)) }
        }
    }
}

fn losses(found: &Flatness, unit: Unit) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="What each hole loses" { table {
            thead { tr { th { "Hole" } th.number { "Loses about" } th.number { "At most" } } }
            tbody { @for hole in &found.holes { tr {
                th scope="row" { (hole.hole) }
                td.number { (length(hole.loses_mm, unit, Rounding::Nearest)) }
                td.number { (length(hole.at_most_mm, unit, Rounding::Up)) }
            } } }
        } }
        p.faint { "From the four nearest readings." }
    }
}

fn drawing(face: &FaceReadings, found: &Flatness, unit: Unit) -> Markup {
    let highest = found.face_cut_mm;
    let spot = |(point, above): (&HeightReading, &f64)| Spot {
        x_mm: point.x_mm,
        y_mm: point.y_mm,
        shape: match *above {
            above if above > highest * 0.999 => Shape::High,
            above if above < highest * 0.001 => Shape::Low,
            _ => Shape::Dot,
        },
        label: number(*above, unit),
    };
    let spots: Vec<Spot> = face.points.iter().zip(&found.above_mm).map(spot).collect();
    let about = format!(
        "To scale. Each figure ({unit}) is what the cut takes there. Triangle up: highest; triangle down: lowest."
    );
    face_map::draw(&spots, &about)
}
