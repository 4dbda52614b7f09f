//! Drill lists as files: CSV, and points as DXF.

use super::Moves;
use crate::{HolePoint, PlaceError, input};
use std::fmt::Write as _;

/// Writes the moves as comma-separated values with a heading row (RFC 4180), in millimeters, or in
/// inches if `inches`; four decimals.
#[must_use]
pub fn csv(moves: &Moves, inches: bool) -> String {
    let (unit, per_mm) = if inches {
        ("in", 1.0 / 25.4)
    } else {
        ("mm", 1.0)
    };
    let mut text = format!("hole,x_{unit},y_{unit},by_x_{unit},by_y_{unit}\r\n");
    for stop in &moves.moves {
        let values = [stop.x_mm, stop.y_mm, stop.by_x_mm, stop.by_y_mm];
        let values = values.map(|mm| fixed(mm * per_mm));
        // Writing to a text does not fail.
        let _ = write!(text, "{},{}\r\n", stop.hole, values.join(","));
    }
    text
}

/// Four decimals, and no negative zero.
fn fixed(value: f64) -> String {
    let text = format!("{value:.4}");
    if text == "-0.0000" {
        "0.0000".to_owned()
    } else {
        text
    }
}

/// Writes holes as a drawing with a point and a number each, in millimeters, in the form that all
/// drawing programs read (DXF of release 12, which needs no tables).
///
/// # Errors
/// If a number is not usable, or a hole is given twice.
pub fn dxf(holes: &[HolePoint]) -> Result<String, PlaceError> {
    input::count(holes.len(), 1, "holes")?;
    input::once(holes.iter().map(|hole| hole.hole), "holes")?;
    let mut text = String::from(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n",
    );
    for hole in holes {
        let at = input::point(hole.at(), || format!("hole {}", hole.hole))?;
        let (x, y) = (fixed(at.x_mm), fixed(at.y_mm));
        // Writing to a text does not fail.
        let _ = write!(text, "0\nPOINT\n8\nHOLES\n10\n{x}\n20\n{y}\n30\n0.0\n");
        let _ = write!(
            text,
            "0\nTEXT\n8\nNUMBERS\n10\n{x}\n20\n{y}\n30\n0.0\n40\n3.0\n1\n{}\n",
            hole.hole
        );
    }
    text.push_str("0\nENDSEC\n0\nEOF\n");
    Ok(text)
}
