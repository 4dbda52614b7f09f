//! Where holes are, as text.

use super::{length, number, optional, warnings};
use crate::table::{Side, Table, item};
use holebook_core::length::{Rounding, Unit};
use holebook_place::distances::DistanceFit;
use holebook_place::pattern::{PatternFit, WantedHole};
use holebook_place::plane::{AgreedPoint, PlaneFit};

/// What the errors mean, below a table that has them.
const STANDARD_DEVIATION: &str = "An error is the standard deviation of each coordinate: the truth lies within 2-1/2 errors 95 times in 100.";

pub(super) fn fit(fit: &PatternFit, unit: Unit) -> String {
    let mirrored = if fit.mirrored { ", mirrored" } else { "" };
    let scale = if fit.scale == 1.0 {
        String::new()
    } else {
        format!(", scale {:.5}", fit.scale)
    };
    let mut text = format!(
        "Pattern turned by {:.3} degrees{scale}{mirrored}; {} holes agree ({unit})\n\n",
        fit.angle_deg, fit.agreeing
    );
    let columns = [
        ("hole", Side::Right),
        ("X", Side::Right),
        ("Y", Side::Right),
        ("within", Side::Right),
        ("off X", Side::Right),
        ("off Y", Side::Right),
        ("off by", Side::Right),
        ("", Side::Left),
    ];
    let mut table = Table::new(&columns);
    for hole in &fit.holes {
        let state = match (hole.wandered, hole.residual_mm) {
            (true, _) => "wandered",
            (false, None) => "not found",
            (false, Some(_)) => "",
        };
        table.row([
            hole.hole.to_string(),
            number(hole.x_mm, unit),
            number(hole.y_mm, unit),
            number(hole.radius95_mm, unit),
            optional(hole.off_x_mm, unit),
            optional(hole.off_y_mm, unit),
            optional(hole.residual_mm, unit),
            state.to_owned(),
        ]);
    }
    text.push_str(&table.to_string());
    text.push_str(&format!("\n{}", item("X and Y are the predicted centers; the true one lies within the circle given 95 times in 100.")));
    text.push_str(&warnings(&fit.warnings, unit));
    text
}

pub(super) fn layout(holes: &[WantedHole], unit: Unit) -> String {
    let mut table = Table::new(&[
        ("hole", Side::Right),
        ("X", Side::Right),
        ("Y", Side::Right),
    ]);
    for hole in holes {
        table.row([
            hole.hole.to_string(),
            number(hole.x_mm, unit),
            number(hole.y_mm, unit),
        ]);
    }
    format!("{} holes ({unit})\n\n{table}", holes.len())
}

pub(super) fn distances(fit: &DistanceFit, unit: Unit) -> String {
    let mut table = Table::new(&[
        ("hole", Side::Right),
        ("X", Side::Right),
        ("Y", Side::Right),
        ("error", Side::Right),
    ]);
    for hole in &fit.holes {
        table.row([
            hole.hole.to_string(),
            number(hole.x_mm, unit),
            number(hole.y_mm, unit),
            number(hole.error_mm, unit),
        ]);
    }
    let mut text = format!(
        "Holes by distances ({unit})\n\n{table}\n{}",
        item(STANDARD_DEVIATION)
    );
    text.push_str(&item(&match fit.closure_mm {
        Some(closure) => format!(
            "{} spare readings; closure error {}",
            fit.redundancy,
            length(closure, unit, Rounding::Up)
        ),
        None => "no spare reading".to_owned(),
    }));
    if let Some(next) = &fit.best_next {
        let left = next.error_left.sqrt() * 100.0;
        text.push_str(&item(&format!(
            "the next reading that helps most: from hole {} to hole {}, about {}; it leaves {left:.0} % of the errors",
            next.from, next.to, length(next.center_mm, unit, Rounding::Nearest)
        )));
    }
    text.push_str(&warnings(&fit.warnings, unit));
    text
}

pub(super) fn plane(fit: &PlaneFit, unit: Unit) -> String {
    let mut table = Table::new(&[
        ("mark", Side::Right),
        ("X", Side::Right),
        ("Y", Side::Right),
        ("error", Side::Right),
    ]);
    for (point, mark) in fit.points.iter().zip(1..) {
        let mark: u32 = mark;
        table.row([
            mark.to_string(),
            number(point.x_mm, unit),
            number(point.y_mm, unit),
            number(point.error_mm, unit),
        ]);
    }
    let mut text = format!(
        "Marks on the face ({unit})\n\n{table}\n{}",
        item(STANDARD_DEVIATION)
    );
    text.push_str(&item(&format!(
        "the known points miss by {} on average; camera {:.0} degrees from square",
        length(fit.residual_mm, unit, Rounding::Up),
        fit.tilt_deg
    )));
    text.push_str(&warnings(&fit.warnings, unit));
    text
}

pub(super) fn photos(points: &[AgreedPoint], unit: Unit) -> String {
    let mut table = Table::new(&[
        ("hole", Side::Right),
        ("X", Side::Right),
        ("Y", Side::Right),
        ("error", Side::Right),
        ("disagree", Side::Left),
    ]);
    for point in points {
        let photos: Vec<String> = point
            .disagreeing
            .iter()
            .map(|photo| format!("photo {photo}"))
            .collect();
        table.row([
            point.hole.to_string(),
            number(point.x_mm, unit),
            number(point.y_mm, unit),
            number(point.error_mm, unit),
            photos.join(", "),
        ]);
    }
    format!(
        "Holes by all photos ({unit})\n\n{table}\n{}",
        item(STANDARD_DEVIATION)
    )
}
