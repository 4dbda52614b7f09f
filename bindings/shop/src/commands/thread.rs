//! `holebook thread`: shows a thread's sizes, limits, and tap drill.

use super::output::OutputOptions;
use super::phrases::{computed_mm, percent};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item};
use holebook_core::length::{Length, Unit, in_unit, show_area};
use holebook_core::thread::ParsedThread;
use holebook_core::thread::report::{ThreadReport, report_parsed};
use std::fmt::Display;

/// Prints a thread's sizes, limits, and tap drill.
///
/// # Errors
/// If there is no such thread, or it does not have that class.
pub fn run(args: &cli::Thread, output: OutputOptions) -> Result<(), Failure> {
    let written = ParsedThread::parse(&args.thread())?;
    let report = report_parsed(&written, args.class.as_deref())?;
    if output.json {
        return out::print_json(&report);
    }
    out::print(&thread_text(
        &report,
        output.unit_for_thread(written.thread),
    ))
}

fn thread_text(report: &ThreadReport, unit: Unit) -> String {
    let (sizes, limits) = (sizes(report, unit), limits(report, unit));
    let mut text = format!("{}\n\n{sizes}\n{limits}\n", report.designation);
    for caution in &report.cautions {
        text.push_str(&item(&format!("Caution: {}", in_unit(caution, unit))));
    }
    for note in &report.notes {
        text.push_str(&item(&in_unit(note, unit)));
    }
    if let Some(warning) = report.tap_drill.warning(unit) {
        text.push_str(&item(&warning));
    }
    text.push_str(&item(&format!("Source: {}.", report.source)));
    text.push_str(&item(&format!("Drill: {}.", report.tap_drill.source)));
    text
}

fn sizes(report: &ThreadReport, unit: Unit) -> Table {
    let mut table = Table::bare(&[Side::Left, Side::Left]);
    let (label, size) = report.size_line(unit);
    table.row([label.into(), size]);
    table.row([
        "Flank angle".into(),
        format!("{} degrees", report.flank_angle_deg),
    ]);
    let pitch = match report.threads_per_inch {
        Some(threads) => {
            let pitch = computed_mm(report.pitch_mm, |pitch| pitch.show_places(unit, 4));
            format!("{threads} threads per inch ({pitch})")
        }
        None => format!("{} mm", report.pitch_mm),
    };
    table.row(["Pitch".into(), pitch]);
    if let Some(stress_area_mm2) = report.stress_area_mm2 {
        table.row(["Stress area".into(), show_area(stress_area_mm2, unit)]);
    }
    let tap = &report.tap_drill;
    let drill = tap.drill.show(unit);
    table.row([
        "Tap drill".into(),
        format!("{drill}, for {} thread", percent(tap.thread_percent)),
    ]);
    table
}

fn limits(report: &ThreadReport, unit: Unit) -> Table {
    let columns = [
        ("Limits", Side::Left),
        ("Diameter", Side::Left),
        ("min", Side::Right),
        ("max", Side::Right),
    ];
    let mut table = Table::new(&columns);
    let mut row = |of: &str, diameter: &str, least: Length, most: Length| {
        table.row([
            of.into(),
            diameter.into(),
            least.show_limit(unit),
            most.show_limit(unit),
        ]);
    };
    let hole = &report.internal;
    let name = class_label("Hole", hole.class);
    row(&name, "minor", hole.minor_min, hole.minor_max);
    row(
        &name,
        "pitch",
        hole.pitch_diameter_min,
        hole.pitch_diameter_max,
    );
    let screw = &report.external;
    let name = class_label("Screw", screw.class);
    row(&name, "major", screw.major_min, screw.major_max);
    row(
        &name,
        "pitch",
        screw.pitch_diameter_min,
        screw.pitch_diameter_max,
    );
    table
}

fn class_label(what: &str, class: Option<impl Display>) -> String {
    match class {
        Some(class) => format!("{what}, class {class}"),
        None => format!("{what}, basic size"),
    }
}
