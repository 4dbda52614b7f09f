//! Table moves and tightening, as text.

use super::{length, number};
use crate::table::{Side, Table, item};
use holebook_core::length::{Rounding, Unit};
use holebook_place::moves::{Moves, WheelMove};
use holebook_place::tightening::Tightening;

pub(super) fn moves(moves: &Moves, unit: Unit) -> String {
    let mut text =
        format!("Table moves from the reference hole, both axes at 0 there ({unit})\n\n");
    let mut table = Table::new(&[
        ("hole", Side::Right),
        ("X", Side::Right),
        ("Y", Side::Right),
        ("move X", Side::Right),
        ("move Y", Side::Right),
        ("X turns + dial", Side::Right),
        ("Y turns + dial", Side::Right),
    ]);
    for stop in &moves.moves {
        table.row([
            stop.hole.to_string(),
            number(stop.x_mm, unit),
            number(stop.y_mm, unit),
            number(stop.by_x_mm, unit),
            number(stop.by_y_mm, unit),
            wheel(stop.x_wheel),
            wheel(stop.y_wheel),
        ]);
    }
    text.push_str(&format!("{table}\n"));
    let past = moves
        .moves
        .iter()
        .flat_map(|stop| [stop.x_wheel, stop.y_wheel])
        .flatten();
    let past = past.map(|wheel| wheel.overshoot_mm).fold(0.0, f64::max);
    if past > 0.0 {
        text.push_str(&item(&format!(
            "*: go past by {} and come back, so that the slack of the screw is on the same side every time",
            length(past, unit, Rounding::Up)
        )));
    }
    if let Some(closure) = moves.closure_mm {
        let way = if closure < 0.0 {
            "closer together"
        } else {
            "farther apart"
        };
        text.push_str(&item(&format!(
            "the two holes picked up are {} {way} than in the pattern",
            length(closure.abs(), unit, Rounding::Nearest)
        )));
    }
    text.push_str(&item(&format!(
        "the pattern is turned by {:.3} degrees on the table",
        moves.angle_deg
    )));
    text.push_str(&item("Caution: stop the spindle and raise it clear of the work before each move. Pick up a hole again after the last move: it must still read the same."));
    text
}

/// `12 + 34.5`, with a star if the position must be passed first.
fn wheel(turn: Option<WheelMove>) -> String {
    turn.map_or_else(String::new, |turn| {
        let star = if turn.overshoot_mm > 0.0 { "*" } else { "" };
        format!("{} + {:.1}{star}", turn.turns, turn.dial)
    })
}

pub(super) fn tightening(tightening: &Tightening, _: Unit) -> String {
    let order: Vec<String> = tightening.order.iter().map(u32::to_string).collect();
    let percent = |share: &f64| format!("{:.0} %", share * 100.0);
    let passes: Vec<String> = tightening.passes.iter().map(percent).collect();
    let mut text = format!("Tightening order: {}\n\n", order.join(", "));
    text.push_str(&item(&format!(
        "in passes at {} of the full torque, each through all bolts in this order",
        passes.join(", ")
    )));
    text.push_str(&item(&tightening.afterward));
    text.push_str(&item(&format!("Caution: {}", tightening.caution)));
    text
}
