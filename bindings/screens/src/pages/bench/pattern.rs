//! Lost centers: the wanted pattern fitted to the holes found.

use super::Bench;
use crate::clock_direction::o_clock;
use crate::face_map::{self, Shape, Spot};
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::{sentence, sources};
use crate::lengths::{limit, number};
use crate::rows::{self, Layout};
use holebook_core::length::{Unit, in_unit};
use holebook_place::pattern::{FoundHole, PatternFit, PredictedHole, Survey, WantedHole, fit};
use maud::{Markup, html};

const WANTED: &str = "Wanted pattern";
const FOUND: &str = "Holes found";
const TOLERANCE: &str = "Tolerance ± of holes found";

pub fn fields(form: &Form<'_>) -> Markup {
    html! {
        div.fields {
            (form.lines(Field::WantedPattern, WANTED, None, "one hole a line: number, X, Y, as on the drawing or gasket"))
            (form.lines(Field::FoundHoles, FOUND, None, "one good hole a line: number, X, Y, measured; leave lost ones out"))
            (form.length(Field::FoundTolerance, TOLERANCE, None, "how closely you measured each coordinate"))
        }
        (form.checkbox(Field::MayMirror, "The pattern may be turned over (seen from the back)", false))
        (form.checkbox(Field::MayScale, "Its size may differ (shrunk gasket)", false))
    }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let survey = survey(bench)?;
    let found = fit(&survey).map_err(|error| {
        let message = in_unit(&error.to_string(), bench.unit);
        FormError::of(Field::FoundHoles, FOUND, message)
    })?;
    Ok(html! {
        section.panel {
            h2 { (headline(&found)) }
            (table(&found, bench.unit))
            @for warning in &found.warnings { p { b { (sentence(&in_unit(&warning.to_string(), bench.unit))) } } }
            p.caution { b { "Caution: " } "A predicted center is no better than the holes it rests on. Scribe it, and measure it from two sound neighbors before you drill." }
            (sources([
                "Circle: holds the true center 95 times in 100, by weighted least squares".to_owned(),
                "Wandered: off by more than the tolerance explains once in 1,000 holes".to_owned(),
            ]))
        }
        section.panel { h2 { "Seen from above" } (drawing(&found)) }
    })
}

fn survey(bench: &Bench) -> Result<Survey, FormError> {
    let wanted = rows::read(
        &bench.asked,
        bench.unit,
        Field::WantedPattern,
        WANTED,
        Layout::HOLE,
    )?;
    let found = rows::read(
        &bench.asked,
        bench.unit,
        Field::FoundHoles,
        FOUND,
        Layout::HOLE,
    )?;
    let tolerance = bench.required_length(Field::FoundTolerance, TOLERANCE)?;
    let found = found.iter().map(|row| FoundHole {
        hole: row.hole,
        x_mm: row.mm[0],
        y_mm: row.mm[1],
        // A tolerance is kept 19 times in 20: two standard deviations.
        error_mm: tolerance.mm() / 2.0,
    });
    let wanted = wanted.iter().map(|row| WantedHole {
        hole: row.hole,
        x_mm: row.mm[0],
        y_mm: row.mm[1],
        error_mm: 0.0,
    });
    Ok(Survey {
        wanted: wanted.collect(),
        found: found.collect(),
        mirror: bench.asked.field(Field::MayMirror).is_some(),
        scale: bench.asked.field(Field::MayScale).is_some(),
    })
}

fn headline(found: &PatternFit) -> String {
    let wandered = found.holes.iter().filter(|hole| hole.wandered).count();
    let lost = found
        .holes
        .iter()
        .filter(|hole| hole.residual_mm.is_none())
        .count();
    format!(
        "{} agree, {wandered} wandered, {lost} predicted",
        found.agreeing
    )
}

fn table(found: &PatternFit, unit: Unit) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Centers" { table {
            thead { tr { th { "Hole" } th.number { "X" } th.number { "Y" } th.number { "Within" } th { "Off" } } }
            tbody { @for hole in &found.holes { tr {
                th scope="row" { (hole.hole) }
                td.number { (number(hole.x_mm, unit)) }
                td.number { (number(hole.y_mm, unit)) }
                td.number { (limit(hole.radius95_mm, unit)) }
                td { (state(hole, unit)) }
            } } }
        } }
        p.faint { "● agrees, ✗ wandered and which way by the clock, ○ not found. Figures (" (unit) ") are in the coordinates of the holes found. The pattern is turned by " (degrees(found.angle_deg)) " degrees"
            @if found.scale != 1.0 { ", its size times " (format!("{:.4}", found.scale)) }
            @if found.mirrored { ", and turned over" } "." }
    }
}

fn state(hole: &PredictedHole, unit: Unit) -> String {
    let off = hole.residual_mm.map(|mm| number(mm, unit));
    match (off, hole.wandered) {
        (None, _) => "○".to_owned(),
        (Some(off), false) => format!("● {off}"),
        (Some(off), true) => {
            let way = hole.direction_deg.map_or_else(String::new, o_clock);
            format!("✗ {off}, {way}")
        }
    }
}

fn drawing(found: &PatternFit) -> Markup {
    let spot = |hole: &PredictedHole| {
        let off = (
            hole.off_x_mm.unwrap_or_default(),
            hole.off_y_mm.unwrap_or_default(),
        );
        let shape = match (hole.wandered, hole.residual_mm) {
            (true, _) => Shape::Wandered {
                from_x_mm: hole.x_mm,
                from_y_mm: hole.y_mm,
            },
            (false, None) => Shape::Lost,
            (false, Some(_)) => Shape::Center,
        };
        Spot {
            x_mm: hole.x_mm + if hole.wandered { off.0 } else { 0.0 },
            y_mm: hole.y_mm + if hole.wandered { off.1 } else { 0.0 },
            shape,
            label: hole.hole.to_string(),
        }
    };
    let spots: Vec<Spot> = found.holes.iter().map(spot).collect();
    face_map::draw(
        &spots,
        "To scale. Circle: agrees. Dashed circle: predicted, not found. Square: wandered, with a line from where it belongs.",
    )
}

/// Degrees to two places, without a negative zero.
fn degrees(degrees: f64) -> String {
    let text = format!("{degrees:.2}");
    if text == "-0.00" {
        "0.00".to_owned()
    } else {
        text
    }
}
