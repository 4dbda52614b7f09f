//! Limits of ISO metric threads from the tables of ISO 965-1.
//!
//! The tables are used, not their formulas, which miss about one cell in eight after the
//! committee's rounding.

use super::class::{ExternalClass, InternalClass};
use super::iso965::{BY_DIAMETER, BY_PITCH, ByDiameter, ByPitch};
use super::limits::{ExternalLimits, InternalLimits};
use super::{Pitch, SQRT_3, Thread};
use crate::length::{Length, NM_PER_MM};

/// Nanometers in a micrometer, the unit of the tables.
const NM_PER_UM: i64 = 1000;

/// The rows of both tables for a thread.
struct Row {
    by_pitch: &'static ByPitch,
    by_diameter: &'static ByDiameter,
}

fn row(thread: Thread) -> Option<Row> {
    let Pitch::Length(pitch) = thread.pitch() else {
        return None;
    };
    let is_pitch = |hundredths: i64| hundredths * NM_PER_MM / 100 == pitch.nm();
    let diameter = thread.nominal().nm();
    let in_range = |row: &ByDiameter| {
        row.over * NM_PER_MM / 10 < diameter && diameter <= row.up_to * NM_PER_MM / 10
    };
    Some(Row {
        by_pitch: BY_PITCH.iter().find(|row| is_pitch(row.pitch))?,
        by_diameter: BY_DIAMETER
            .iter()
            .find(|row| is_pitch(row.pitch) && in_range(row))?,
    })
}

/// Returns the tolerance of a hole's minor diameter; `None` if ISO 965-1 has none for the
/// thread.
pub fn minor_tolerance(thread: Thread, class: InternalClass) -> Option<Length> {
    non_empty_cell(row(thread)?.by_pitch.minor_4_to_7[hole_grade(class)?])
}

/// Returns the tolerance of a hole's pitch diameter; `None` if ISO 965-1 has none for the
/// thread.
pub fn pitch_diameter_tolerance(thread: Thread, class: InternalClass) -> Option<Length> {
    non_empty_cell(row(thread)?.by_diameter.hole_4_to_7[hole_grade(class)?])
}

/// Converts a table cell; `None` if it is empty.
fn non_empty_cell(micrometers: i64) -> Option<Length> {
    (micrometers > 0).then(|| um(micrometers))
}

const fn hole_grade(class: InternalClass) -> Option<usize> {
    match class {
        InternalClass::Metric4H => Some(0),
        InternalClass::Metric5H => Some(1),
        InternalClass::Metric6H => Some(2),
        InternalClass::Metric7H => Some(3),
        _ => None,
    }
}

pub(super) fn internal(thread: Thread, class: InternalClass) -> Option<InternalLimits> {
    let basic = thread.basic();
    let minor_min = whole_um(basic.minor_mm);
    let pitch_diameter_min = whole_um(basic.pitch_diameter_mm);
    Some(InternalLimits {
        class: Some(class),
        minor_min,
        minor_max: minor_min + minor_tolerance(thread, class)?,
        pitch_diameter_min,
        pitch_diameter_max: pitch_diameter_min + pitch_diameter_tolerance(thread, class)?,
        major_min: thread.nominal(),
    })
}

pub(super) fn external(thread: Thread, class: ExternalClass) -> Option<ExternalLimits> {
    let row = row(thread)?;
    let (grade, allowance) = match class {
        ExternalClass::Metric4h => (0, Length::ZERO),
        ExternalClass::Metric6h => (1, Length::ZERO),
        ExternalClass::Metric6g => (1, um(row.by_pitch.g)),
        ExternalClass::Metric6e => (1, non_empty_cell(row.by_pitch.e)?),
        _ => return None,
    };
    let basic = thread.basic();
    let major_max = thread.nominal() - allowance;
    let pitch_diameter_max = whole_um(basic.pitch_diameter_mm) - allowance;
    // d3 = D1 - H/6 = d - 1.226869 P.
    let root_mm = basic.minor_mm - SQRT_3 / 12.0 * thread.pitch_mm();
    Some(ExternalLimits {
        class: Some(class),
        major_min: major_max - um(row.by_pitch.major_4_6[grade]),
        major_max,
        pitch_diameter_min: pitch_diameter_max - um(row.by_diameter.screw_4_6[grade]),
        pitch_diameter_max,
        minor_max: whole_um(basic.minor_mm) - allowance,
        rounded_root_max: whole_um(root_mm) - allowance,
    })
}

const fn um(micrometers: i64) -> Length {
    Length::from_nm(micrometers * NM_PER_UM)
}

/// Rounds to three places of a millimeter, as ISO 724 prints basic sizes.
fn whole_um(mm: f64) -> Length {
    um((mm * 1000.0).round() as i64)
}
