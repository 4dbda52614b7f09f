//! The truth about a face, as text.

use super::{length, number};
use crate::table::{Side, Table, item};
use holebook_core::length::{Rounding, Unit};
use holebook_place::flatness::{Droop, Flatness, Leveling, Rocking};

pub(super) fn flatness(face: &Flatness, unit: Unit) -> String {
    let up = |mm| length(mm, unit, Rounding::Up);
    let mut text = format!(
        "Flatness {} (minimum zone)\n\n",
        up(face.flatness_minimum_zone_mm)
    );
    text.push_str(&item(&format!(
        "least face cut that cleans up every reading: {} from the highest spot",
        up(face.face_cut_mm)
    )));
    text.push_str(&item(&format!(
        "flatness by least squares: {}",
        up(face.flatness_least_squares_mm)
    )));
    text.push_str(&item(&format!(
        "the face rises {:.4} degrees toward X and {:.4} toward Y",
        face.tilt_x_deg, face.tilt_y_deg
    )));
    text.push_str(&item("between the readings the face may be lower; take the readings close, and cut a little more"));
    if !face.holes.is_empty() {
        let mut table = Table::new(&[
            ("hole", Side::Right),
            ("loses", Side::Right),
            ("at most", Side::Right),
        ]);
        for hole in &face.holes {
            table.row([
                hole.hole.to_string(),
                number(hole.loses_mm, unit),
                number(hole.at_most_mm, unit),
            ]);
        }
        text.push_str(&format!(
            "\nDepth that each hole loses ({unit}):\n\n{table}"
        ));
    }
    text
}

pub(super) fn leveling(leveling: &Leveling, unit: Unit) -> String {
    let mut text = format!(
        "The face is {} out of level; leveling cannot get it closer than its flatness, {}\n\n",
        length(leveling.out_of_level_mm, unit, Rounding::Up),
        length(leveling.flatness_mm, unit, Rounding::Up)
    );
    let mut table = Table::new(&[
        ("jack", Side::Right),
        ("lift", Side::Right),
        ("turns", Side::Right),
        ("", Side::Left),
    ]);
    for turn in &leveling.turns {
        let note = match (turn.carries, turn.lift_mm == 0.0) {
            (true, true) => "stays",
            (true, false) => "",
            (false, _) => "last: bring up until it just touches",
        };
        table.row([
            turn.jack.to_string(),
            number(turn.lift_mm, unit),
            format!("{:.2}", turn.turns),
            note.to_owned(),
        ]);
    }
    text.push_str(&format!("{table}\n"));
    text.push_str(&item("turn in this order, half a turn at a time and going around; read the face again, and repeat"));
    text.push_str(&item("Caution: block the casting before you put a hand under it, and keep every jack on firm ground and square to its load. The lifting gear's and the machine's manual override this."));
    text
}

pub(super) fn droop(droop: &Droop, unit: Unit) -> String {
    let nearest = |mm: f64| length(mm.abs(), unit, Rounding::Nearest);
    let shape = if droop.ends_high_mm >= 0.0 {
        "the ends of the milled face will stand above its middle"
    } else {
        "the middle of the milled face will stand above its ends"
    };
    let ends = if droop.droop_mm >= 0.0 {
        "lower"
    } else {
        "higher"
    };
    let mut text = format!("High spot of {}: {shape}\n\n", nearest(droop.ends_high_mm));
    text.push_str(&item(&format!(
        "the table's ends read {} {ends} than its middle",
        nearest(droop.droop_mm)
    )));
    text.push_str(&item(&format!(
        "end to end it rises {}; that is tilt, and a shim takes it out",
        nearest(droop.tilt_mm)
    )));
    text
}

pub(super) fn rocking(rocking: &Rocking, unit: Unit) -> String {
    let touch: Vec<String> = rocking.touch.iter().map(u32::to_string).collect();
    let verdict = if rocking.is_felt {
        format!(
            "The faces rock by {}: press at reading {}",
            length(rocking.rocks_mm, unit, Rounding::Nearest),
            rocking.rocks_at
        )
    } else {
        "The faces do not rock".to_owned()
    };
    let mut table = Table::new(&[("reading", Side::Right), ("gap", Side::Right)]);
    for (gap, at) in rocking.gaps_mm.iter().zip(1..) {
        let at: u32 = at;
        table.row([at.to_string(), number(*gap, unit)]);
    }
    format!(
        "{verdict}; they touch at readings {}\n\nGaps ({unit}):\n\n{table}",
        touch.join(", ")
    )
}
