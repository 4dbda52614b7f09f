//! The damage of a hole in words.

use super::{Text, o_clock};
use crate::hole::damage::{BrokenTool, Damage, HardZone, Lean, Station, Tilt};
use crate::length::{Length, Unit, show_range};

/// What is said of a hole without damage, and the button that records it.
pub const NO_DAMAGE: &str = "Hole and thread are good";
/// An old hole that leans.
const NOT_SQUARE: &str = "Old hole not square";

/// Returns the damage in words, a line for each part of it; none if there is no damage.
pub fn damage_lines(damage: &Damage, unit: Unit) -> Vec<Text> {
    let mut lines: Vec<Text> = Vec::new();
    lines.extend(damage.stations.iter().map(|it| station(it, unit)));
    lines.extend(damage.hard.iter().map(|it| hard(it, unit)));
    lines.extend(damage.lean.as_ref().map(|it| lean(it, unit)));
    lines.extend(damage.broken_tool.as_ref().map(|it| broken(it, unit)));
    if damage.crack {
        lines.push(Text::strong("Crack").and(" at the hole"));
    }
    lines
}

fn station(station: &Station, unit: Unit) -> Text {
    // As measured: `Station::lower` is the worst case of its tolerances.
    let lower_diameter = station.to_diameter.unwrap_or(station.diameter);
    let lower_offset = station.to_offset.unwrap_or(station.offset);
    let lower_direction_deg = station.to_direction_deg.unwrap_or(station.direction_deg);
    let range = show_range(station.span.from, station.span.to, unit);
    let mut text = Text::plain("Missing metal, ")
        .and_strong(format!("{} dia.", station.diameter.show(unit)))
        .and(format!(" at {range} deep"))
        .and(off_center(station.offset, station.direction_deg, unit));
    if station.changes() {
        text = text.and(", tapering to ");
        text = text.and(match lower_diameter.is_positive() {
            true => format!("{} dia.", lower_diameter.show(unit)),
            false => "a point".to_owned(),
        });
        text = text.and(off_center(lower_offset, lower_direction_deg, unit));
    }
    let source = station.offset_source;
    text.and(tolerance(station.diameter_tolerance, "diameter", unit))
        .and(tolerance(station.offset_tolerance, "off-center", unit))
        .and(source.map_or(String::new(), |source| format!(", by the {source}")))
}

fn hard(hard: &HardZone, unit: Unit) -> Text {
    let range = show_range(hard.span.from, hard.span.to, unit);
    Text::strong("Hard")
        .and(format!(" at {range} deep"))
        .and(tolerance(hard.tolerance, "ends", unit))
}

fn broken(broken: &BrokenTool, unit: Unit) -> Text {
    let mut text = Text::strong(format!("Broken {}", broken.what)).and(" in the hole");
    if let Some(long) = broken.length {
        text = text.and(format!(", {} long", long.show(unit)));
    }
    if let Some(top) = broken.top {
        text = text.and(format!(", top {} below face", top.show(unit)));
    }
    text
}

fn off_center(offset: Length, direction_deg: f64, unit: Unit) -> String {
    match offset.is_positive() {
        true => format!(
            ", off center {} toward {}",
            offset.show(unit),
            o_clock(direction_deg)
        ),
        false => ", on center".to_owned(),
    }
}

fn tolerance(tolerance: Option<Length>, what: &str, unit: Unit) -> String {
    tolerance.map_or(String::new(), |tolerance| {
        format!(", {what} ±{}", tolerance.show(unit))
    })
}

fn lean(lean: &Lean, unit: Unit) -> Text {
    let by = match lean.tilt {
        Tilt::Run { by, over } => format!(
            "{} over {} ({:.1}°)",
            by.show(unit),
            over.show(unit),
            lean.tilt.degrees()
        ),
        Tilt::Degrees(degrees) => format!("{degrees:.1}°"),
    };
    let mut text = Text::plain(format!("{NOT_SQUARE}: leans "))
        .and_strong(by)
        .and(format!(" toward {}", o_clock(lean.direction_deg)));
    if lean.offset.is_positive() {
        text = text.and(format!(
            ", off center at the face {} toward {}",
            lean.offset.show(unit),
            o_clock(lean.offset_direction_deg)
        ));
    }
    if let Some(diameter) = lean.diameter {
        text = text.and(format!(", {} dia.", diameter.show(unit)));
    }
    text
}
