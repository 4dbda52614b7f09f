//! Limits of ISO metric threads from the tables of ISO 965-1.
//!
//! The tables stand here and not their formulas: after the committee's rounding the formulas miss
//! about one cell in eight. Source: BS ISO 965-1 as transcribed in `Threads.py` of the public
//! repository `Bob-SpringMtTech/Engineering`, grade 6, 5H and the pitch diameters; the minor
//! diameter tolerance of 4H is from memory and agrees with 0.63 of grade 6 rounded to the R40
//! series.

use super::class::{ExternalClass, ExternalLimits, InternalClass, InternalLimits};
use super::{Pitch, SQRT_3, Thread};
use crate::length::{Length, NM_PER_MM};

/// Nanometres in a micrometre, the unit of the tables.
const NM_PER_UM: i64 = 1000;

/// One line of the tables, in micrometres, for one pitch in one range of diameters.
struct Row {
    pitch_hundredths: i64,
    /// Over this diameter in tenths of a millimetre.
    over: i64,
    /// Up to and with this diameter.
    up_to: i64,
    allowance_g: i64,
    major_6: i64,
    minor_4h_5h_6h: [i64; 3],
    pitch_6: i64,
    pitch_4h_5h_6h: [i64; 3],
}

#[rustfmt::skip]
const ROWS: &[Row] = &[
    Row { pitch_hundredths: 80, over: 28, up_to: 56, allowance_g: 24, major_6: 150, minor_4h_5h_6h: [125, 160, 200], pitch_6: 95, pitch_4h_5h_6h: [80, 100, 125] },
    Row { pitch_hundredths: 100, over: 56, up_to: 112, allowance_g: 26, major_6: 180, minor_4h_5h_6h: [150, 190, 236], pitch_6: 112, pitch_4h_5h_6h: [95, 118, 150] },
    Row { pitch_hundredths: 125, over: 56, up_to: 112, allowance_g: 28, major_6: 212, minor_4h_5h_6h: [170, 212, 265], pitch_6: 118, pitch_4h_5h_6h: [100, 125, 160] },
    Row { pitch_hundredths: 150, over: 56, up_to: 112, allowance_g: 32, major_6: 236, minor_4h_5h_6h: [190, 236, 300], pitch_6: 132, pitch_4h_5h_6h: [112, 140, 180] },
    Row { pitch_hundredths: 175, over: 112, up_to: 224, allowance_g: 34, major_6: 265, minor_4h_5h_6h: [212, 265, 335], pitch_6: 150, pitch_4h_5h_6h: [125, 160, 200] },
    Row { pitch_hundredths: 200, over: 112, up_to: 224, allowance_g: 38, major_6: 280, minor_4h_5h_6h: [236, 300, 375], pitch_6: 160, pitch_4h_5h_6h: [132, 170, 212] },
    Row { pitch_hundredths: 250, over: 112, up_to: 224, allowance_g: 42, major_6: 335, minor_4h_5h_6h: [280, 355, 450], pitch_6: 170, pitch_4h_5h_6h: [140, 180, 224] },
];

fn row(thread: Thread) -> Option<&'static Row> {
    let Pitch::Length(pitch) = thread.pitch() else {
        return None;
    };
    let diameter = thread.nominal().nm();
    ROWS.iter().find(|row| {
        row.pitch_hundredths * NM_PER_MM / 100 == pitch.nm()
            && row.over * NM_PER_MM / 10 < diameter
            && diameter <= row.up_to * NM_PER_MM / 10
    })
}

/// Tolerance of the minor diameter of a hole; `None` where the tables kept here have no line for
/// the thread.
pub fn minor_tolerance(thread: Thread, class: InternalClass) -> Option<Length> {
    Some(um(row(thread)?.minor_4h_5h_6h[grade(class)?]))
}

/// Tolerance of the pitch diameter of a hole; `None` where the tables kept here have no line for
/// the thread.
pub fn pitch_diameter_tolerance(thread: Thread, class: InternalClass) -> Option<Length> {
    Some(um(row(thread)?.pitch_4h_5h_6h[grade(class)?]))
}

const fn grade(class: InternalClass) -> Option<usize> {
    match class {
        InternalClass::Metric4H => Some(0),
        InternalClass::Metric5H => Some(1),
        InternalClass::Metric6H => Some(2),
        _ => None,
    }
}

pub(super) fn internal(thread: Thread, class: InternalClass) -> Option<InternalLimits> {
    let basic = thread.basic();
    let minor_min = whole_um(basic.minor_mm);
    let pitch_diameter_min = whole_um(basic.pitch_diameter_mm);
    Some(InternalLimits {
        class,
        minor_min,
        minor_max: minor_min + minor_tolerance(thread, class)?,
        pitch_diameter_min,
        pitch_diameter_max: pitch_diameter_min + pitch_diameter_tolerance(thread, class)?,
        major_min: thread.nominal(),
    })
}

pub(super) fn external(thread: Thread, class: ExternalClass) -> Option<ExternalLimits> {
    let row = row(thread)?;
    let basic = thread.basic();
    let allowance = um(row.allowance_g);
    let major_max = thread.nominal() - allowance;
    let pitch_diameter_max = whole_um(basic.pitch_diameter_mm) - allowance;
    // d3 = D1 - H/6 = d - 1.226869 P.
    let root_mm = basic.minor_mm - SQRT_3 / 12.0 * thread.pitch_mm();
    Some(ExternalLimits {
        class,
        major_min: major_max - um(row.major_6),
        major_max,
        pitch_diameter_min: pitch_diameter_max - um(row.pitch_6),
        pitch_diameter_max,
        minor_max: whole_um(basic.minor_mm) - allowance,
        rounded_root_max: whole_um(root_mm) - allowance,
    })
}

const fn um(micrometres: i64) -> Length {
    Length::from_nm(micrometres * NM_PER_UM)
}

/// ISO 724 prints basic sizes to three places of a millimetre.
fn whole_um(mm: f64) -> Length {
    um((mm * 1000.0).round() as i64)
}
