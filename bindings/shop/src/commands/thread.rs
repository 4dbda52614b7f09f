//! `holebook thread`: a thread's sizes and limits.

use super::look::{Look, drill_words, rounded};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table};
use holebook_core::drill::{Drill, TapDrill, tap_drill};
use holebook_core::length::{Length, Unit};
use holebook_core::thread::{ExternalClass, ExternalLimits, InternalClass, InternalLimits, Thread};
use serde::Serialize;

/// Says what is asked of a thread.
///
/// # Errors
/// No such thread, or a class that it does not have.
pub fn run(asked: &cli::Thread, look: Look) -> Result<(), Failure> {
    let thread = Thread::parse(&asked.thread)?;
    let (mut internal, mut external) = (thread.usual_internal(), thread.usual_external());
    for class in &asked.class {
        match class.parse::<InternalClass>() {
            Ok(class) => internal = thread.internal(class)?,
            Err(_) => external = thread.external(class.parse::<ExternalClass>()?)?,
        }
    }
    let drill = tap_drill(&thread);
    if look.json {
        return out::json(&Answer::new(thread, &internal, &external, &drill));
    }
    out::say(&words(
        thread,
        &internal,
        &external,
        &drill,
        look.unit_for(thread),
    ))
}

#[derive(Serialize)]
struct Answer {
    designation: String,
    series: String,
    threads_per_inch: Option<u32>,
    pitch_mm: f64,
    #[serde(rename = "major_mm")]
    major: Length,
    internal: Internal,
    external: External,
    stress_area_mm2: f64,
    tap_drill: Tap,
}

#[derive(Serialize)]
struct Internal {
    class: InternalClass,
    #[serde(rename = "minor_min_mm")]
    minor_min: Length,
    #[serde(rename = "minor_max_mm")]
    minor_max: Length,
    #[serde(rename = "pitch_diameter_min_mm")]
    pitch_diameter_min: Length,
    #[serde(rename = "pitch_diameter_max_mm")]
    pitch_diameter_max: Length,
}

#[derive(Serialize)]
struct External {
    class: ExternalClass,
    #[serde(rename = "major_min_mm")]
    major_min: Length,
    #[serde(rename = "major_max_mm")]
    major_max: Length,
    #[serde(rename = "pitch_diameter_min_mm")]
    pitch_diameter_min: Length,
    #[serde(rename = "pitch_diameter_max_mm")]
    pitch_diameter_max: Length,
}

#[derive(Serialize)]
struct Tap {
    #[serde(flatten)]
    drill: Drill,
    thread_percent: f64,
}

impl Answer {
    fn new(
        thread: Thread,
        internal: &InternalLimits,
        external: &ExternalLimits,
        drill: &TapDrill,
    ) -> Self {
        Self {
            designation: thread.designation(),
            series: thread.series().to_string(),
            threads_per_inch: thread.threads_per_inch(),
            pitch_mm: rounded(thread.pitch_mm(), 4),
            major: thread.nominal(),
            internal: Internal {
                class: internal.class,
                minor_min: internal.minor_min,
                minor_max: internal.minor_max,
                pitch_diameter_min: internal.pitch_diameter_min,
                pitch_diameter_max: internal.pitch_diameter_max,
            },
            external: External {
                class: external.class,
                major_min: external.major_min,
                major_max: external.major_max,
                pitch_diameter_min: external.pitch_diameter_min,
                pitch_diameter_max: external.pitch_diameter_max,
            },
            stress_area_mm2: rounded(thread.stress_area_mm2(), 4),
            tap_drill: Tap {
                drill: drill.drill,
                thread_percent: rounded(drill.thread_percent, 1),
            },
        }
    }
}

fn words(
    thread: Thread,
    internal: &InternalLimits,
    external: &ExternalLimits,
    drill: &TapDrill,
    unit: Unit,
) -> String {
    let mut text = format!("{}\n\n", thread.designation());
    text.push_str(&sizes(thread, drill, unit).to_string());
    text.push('\n');
    text.push_str(&limits(internal, external, unit).to_string());
    text
}

fn sizes(thread: Thread, drill: &TapDrill, unit: Unit) -> Table {
    let mut table = Table::bare(&[Side::Left, Side::Left]);
    table.row(["Nominal size".into(), thread.nominal().show(unit)]);
    let pitch = match thread.threads_per_inch() {
        Some(threads) => format!("{threads} threads per inch ({:.4} mm)", thread.pitch_mm()),
        None => format!("{} mm", thread.pitch_mm()),
    };
    table.row(["Pitch".into(), pitch]);
    table.row(["Stress area".into(), area(thread.stress_area_mm2(), unit)]);
    let tap = format!(
        "{}, for {:.0} % thread",
        drill_words(&drill.drill, unit),
        drill.thread_percent
    );
    table.row(["Tap drill".into(), tap]);
    table
}

fn limits(internal: &InternalLimits, external: &ExternalLimits, unit: Unit) -> Table {
    let mut table = Table::new(&[
        ("Limits", Side::Left),
        ("Diameter", Side::Left),
        ("least", Side::Right),
        ("most", Side::Right),
    ]);
    let mut row = |of: String, diameter: &str, least: Length, most: Length| {
        table.row([
            of,
            diameter.into(),
            in_full(least, unit),
            in_full(most, unit),
        ]);
    };
    let hole = format!("Hole, class {}", internal.class);
    row(
        hole.clone(),
        "minor",
        internal.minor_min,
        internal.minor_max,
    );
    row(
        hole,
        "pitch",
        internal.pitch_diameter_min,
        internal.pitch_diameter_max,
    );
    let screw = format!("Screw, class {}", external.class);
    row(
        screw.clone(),
        "major",
        external.major_min,
        external.major_max,
    );
    row(
        screw,
        "pitch",
        external.pitch_diameter_min,
        external.pitch_diameter_max,
    );
    table
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
