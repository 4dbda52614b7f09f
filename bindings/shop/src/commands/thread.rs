//! `holebook thread`: a thread's sizes and limits.

use super::look::{Look, drill_words};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item};
use holebook_core::length::{Length, Unit};
use holebook_core::thread::Written;
use holebook_core::thread::report::{ThreadReport, report_written};
use std::fmt::Display;

/// Says what is asked of a thread.
///
/// # Errors
/// No such thread, or a class that it does not have.
pub fn run(asked: &cli::Thread, look: Look) -> Result<(), Failure> {
    let written = Written::read(&asked.thread())?;
    let report = report_written(&written, asked.class.as_deref())?;
    if look.json {
        return out::json(&report);
    }
    out::say(&words(&report, look.unit_for(written.thread)))
}

fn words(report: &ThreadReport, unit: Unit) -> String {
    let (sizes, limits) = (sizes(report, unit), limits(report, unit));
    let mut words = format!("{}\n\n{sizes}\n{limits}\n", report.designation);
    for caution in &report.cautions {
        words.push_str(&item(&format!("CAUTION: {caution}")));
    }
    for note in &report.notes {
        words.push_str(&item(note));
    }
    words.push_str(&item(&format!("Source: {}.", report.source)));
    words.push_str(&item(&format!("Drill: {}.", report.tap_drill.source)));
    words
}

fn sizes(report: &ThreadReport, unit: Unit) -> Table {
    let mut table = Table::bare(&[Side::Left, Side::Left]);
    table.row(["Nominal size".into(), report.major_mm.show(unit)]);
    table.row([
        "Flank angle".into(),
        format!("{} degrees", report.flank_angle_deg),
    ]);
    let pitch = match report.threads_per_inch {
        Some(threads) => format!("{threads} threads per inch ({:.4} mm)", report.pitch_mm),
        None => format!("{} mm", report.pitch_mm),
    };
    table.row(["Pitch".into(), pitch]);
    if let Some(stress_area_mm2) = report.stress_area_mm2 {
        table.row(["Stress area".into(), area(stress_area_mm2, unit)]);
    }
    let tap = &report.tap_drill;
    let drill = drill_words(&tap.drill, unit);
    table.row([
        "Tap drill".into(),
        format!("{drill}, for {:.0} % thread", tap.thread_percent),
    ]);
    table
}

fn limits(report: &ThreadReport, unit: Unit) -> Table {
    let columns = [
        ("Limits", Side::Left),
        ("Diameter", Side::Left),
        ("least", Side::Right),
        ("most", Side::Right),
    ];
    let mut table = Table::new(&columns);
    let mut row = |of: &str, diameter: &str, least: Length, most: Length| {
        table.row([
            of.into(),
            diameter.into(),
            in_full(least, unit),
            in_full(most, unit),
        ]);
    };
    let hole = &report.internal;
    let name = of_class("Hole", hole.class);
    row(&name, "minor", hole.minor_min_mm, hole.minor_max_mm);
    row(
        &name,
        "pitch",
        hole.pitch_diameter_min_mm,
        hole.pitch_diameter_max_mm,
    );
    let screw = &report.external;
    let name = of_class("Screw", screw.class);
    row(&name, "major", screw.major_min_mm, screw.major_max_mm);
    row(
        &name,
        "pitch",
        screw.pitch_diameter_min_mm,
        screw.pitch_diameter_max_mm,
    );
    table
}

fn of_class(what: &str, class: Option<impl Display>) -> String {
    match class {
        Some(class) => format!("{what}, class {class}"),
        None => format!("{what}, basic size"),
    }
}

/// With the places that the standards state limits to.
fn in_full(limit: Length, unit: Unit) -> String {
    let places = match unit {
        Unit::Inch => 4,
        Unit::Millimetre => 3,
    };
    limit.show_places(unit, places)
}

fn area(area_mm2: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{:.4} sq in", area_mm2 / (25.4 * 25.4)),
        Unit::Millimetre => format!("{area_mm2:.1} mm²"),
    }
}
