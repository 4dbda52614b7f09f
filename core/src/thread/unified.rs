//! Limits of Unified inch threads by the formulas of ASME B1.1, as given in FED-STD-H28/2B (1991)
//! and Machinery's Handbook 31.
//!
//! Everything is in inches, since the constants of the standard are.
//!
//! Sources: basic sizes and minor diameters Machinery's Handbook 31 (read); the pitch diameter
//! tolerance and the class factors from a transcription of ASME B1.1-2003 section 5.8 (`Threads.py`
//! of the public repository `Bob-SpringMtTech/Engineering`), which reproduces the handbook's
//! examples; rounding from the handbook's notes and FED-STD-H28/2B Table II.A.1, and as it
//! reproduces printed limits (`tests/published`).

use super::class::{ExternalClass, InternalClass};
use super::limits::{ExternalLimits, InternalLimits};
use super::{SQRT_3, Series, Thread};
use crate::length::Length;

/// Returns the pitch diameter tolerance of class 2A in inches, from diameter and length of
/// engagement (both in inches) and threads per inch: 0.0015 D^(1/3) + 0.0015 LE^(1/2) + 0.015
/// P^(2/3).
pub fn pitch_diameter_tolerance_2a_in(diameter_in: f64, engagement_in: f64, per_inch: f64) -> f64 {
    0.0015 * diameter_in.cbrt() + 0.0015 * engagement_in.sqrt() + 0.015 * per_inch.powf(-2.0 / 3.0)
}

/// Returns the standard length of engagement of a series in inches: one diameter for UNC, UNF, 4-,
/// 6- and 8-UN, and 1-14 UNS, which was the fine series' one-inch size; nine pitches for UNEF, other
/// UNS and the finer constant-pitch series.
pub fn standard_engagement_in(series: Series, diameter_in: f64, per_inch: f64) -> f64 {
    let by_diameter = match series {
        Series::Unc | Series::Unf => true,
        Series::Un => per_inch <= 8.0,
        // Printed so (from memory).
        Series::Uns => diameter_in == 1.0 && per_inch == 14.0,
        _ => false,
    };
    if by_diameter {
        diameter_in
    } else {
        9.0 / per_inch
    }
}

/// Returns the minor diameter tolerance of classes 1B and 2B, in inches.
pub fn minor_tolerance_2b_in(diameter_in: f64, per_inch: f64) -> f64 {
    let p = 1.0 / per_inch;
    if diameter_in >= 0.25 {
        // The formula for fewer than four threads per inch is from memory.
        return if per_inch >= 4.0 {
            0.25 * p - 0.40 * p * p
        } else {
            0.15 * p
        };
    }
    small_minor_tolerance_in(diameter_in, p)
        .max(0.25 * p - 0.40 * p * p)
        .min(0.394 * p)
}

/// Returns the minor diameter tolerance of class 3B, in inches.
pub fn minor_tolerance_3b_in(diameter_in: f64, per_inch: f64) -> f64 {
    let p = 1.0 / per_inch;
    let least = if per_inch >= 13.0 {
        0.23 * p - 1.5 * p * p
    } else {
        0.120 * p
    };
    small_minor_tolerance_in(diameter_in, p)
        .max(least)
        .min(0.394 * p)
}

fn small_minor_tolerance_in(diameter_in: f64, p: f64) -> f64 {
    0.05 * p.powf(2.0 / 3.0) + 0.03 * p / diameter_in - 0.002
}

/// Basic sizes of a thread: inches, and ten-thousandths of an inch where the standard rounds.
struct InchSizes {
    diameter: f64,
    p: f64,
    nominal: TenThousandths,
    pitch_diameter: TenThousandths,
    minor: TenThousandths,
    /// Pitch diameter tolerance of class 2A, to six places as in the standard's example (0.003668).
    tolerance_2a: f64,
}

/// Whole ten-thousandths of an inch.
///
/// The standard's tables are reproduced if basic sizes, allowances and tolerances are each rounded
/// to four places before they are added; rounding only the sums misses about one cell in ten by
/// .0001 in.
type TenThousandths = i64;

fn inch_sizes(thread: Thread) -> InchSizes {
    // A size of more than four places starts from its four-place value in print.
    let nominal = to_ten_thousandths_even(thread.nominal().inches());
    let diameter = nominal as f64 / 10_000.0;
    let per_inch = thread
        .threads_per_inch()
        .expect("Unified threads state threads per inch")
        .count();
    let p = 1.0 / per_inch;
    let engagement = standard_engagement_in(thread.series(), diameter, per_inch);
    InchSizes {
        diameter,
        p,
        nominal,
        pitch_diameter: to_ten_thousandths(diameter - 3.0 * SQRT_3 / 8.0 * p),
        minor: to_ten_thousandths(diameter - 5.0 * SQRT_3 / 8.0 * p),
        tolerance_2a: six_places(pitch_diameter_tolerance_2a_in(
            diameter, engagement, per_inch,
        )),
    }
}

/// Whether ASME B1.1 has classes 1A and 1B for a thread: UNC and UNF of 1/4 in and up (from
/// memory).
fn has_loose_class(thread: Thread) -> bool {
    matches!(thread.series(), Series::Unc | Series::Unf)
        && thread.nominal() >= Length::from_fraction(1, 4)
}

pub(super) fn internal(thread: Thread, class: InternalClass) -> Option<InternalLimits> {
    if class.is_metric() || (class == InternalClass::Unified1B && !has_loose_class(thread)) {
        return None;
    }
    let form = inch_sizes(thread);
    let per_inch = 1.0 / form.p;
    let (factor, minor_tolerance) = match class {
        InternalClass::Unified1B => (1.95, minor_tolerance_2b_in(form.diameter, per_inch)),
        InternalClass::Unified3B => (0.975, minor_tolerance_3b_in(form.diameter, per_inch)),
        _ => (1.3, minor_tolerance_2b_in(form.diameter, per_inch)),
    };
    let minor_max = form.minor + to_ten_thousandths(minor_tolerance);
    // From No. 6 up 1B and 2B minor diameters have three places; of 3B the least has three and a
    // zero. The parts are rounded to four places and added before. So rounded they meet 219 of 220
    // printed cells that were compared.
    let three_places = form.diameter > 0.1375;
    let (minor_min, minor_max) = match (three_places, class) {
        (false, _) => (form.minor, minor_max),
        (true, InternalClass::Unified3B) => (to_three_places(form.minor), minor_max),
        (true, _) => (to_three_places(form.minor), to_three_places(minor_max)),
    };
    Some(InternalLimits {
        class: Some(class),
        minor_min: length(minor_min),
        minor_max: length(minor_max),
        pitch_diameter_min: length(form.pitch_diameter),
        pitch_diameter_max: length(
            form.pitch_diameter + to_ten_thousandths(factor * form.tolerance_2a),
        ),
        major_min: thread.nominal(),
    })
}

pub(super) fn external(thread: Thread, class: ExternalClass) -> Option<ExternalLimits> {
    if class.is_metric() || (class == ExternalClass::Unified1A && !has_loose_class(thread)) {
        return None;
    }
    let form = inch_sizes(thread);
    let (factor, major_factor, allowance) = match class {
        ExternalClass::Unified1A => (1.5, 0.090, allowance(&form)),
        ExternalClass::Unified3A => (0.75, 0.060, 0),
        _ => (1.0, 0.060, allowance(&form)),
    };
    let major_max = form.nominal - allowance;
    let pitch_diameter_max = form.pitch_diameter - allowance;
    Some(ExternalLimits {
        class: Some(class),
        major_min: length(major_max - to_ten_thousandths(major_factor * form.p.powf(2.0 / 3.0))),
        major_max: length(major_max),
        pitch_diameter_min: length(
            pitch_diameter_max - to_ten_thousandths(factor * form.tolerance_2a),
        ),
        pitch_diameter_max: length(pitch_diameter_max),
        minor_max: length(form.minor - allowance),
        // 11/12 H off each flank of the major diameter: 1.19078493 P.
        rounded_root_max: length(major_max - to_ten_thousandths(11.0 * SQRT_3 / 16.0 * form.p)),
    })
}

/// Returns the allowance of classes 1A and 2A: three tenths of the class 2A tolerance.
///
/// 5/8-11 is printed with .0016 (ASME B1.1 as republished, secondary source), where the formula
/// gives .00165.
fn allowance(form: &InchSizes) -> TenThousandths {
    if form.nominal == 6_250 && form.p == 1.0 / 11.0 {
        return 16;
    }
    to_ten_thousandths(0.3 * form.tolerance_2a)
}

fn six_places(inches: f64) -> f64 {
    (inches * 1e6).round() / 1e6
}

/// Rounds inches to ten-thousandths, halves up. The small extra term keeps halves that have no
/// exact binary fraction from rounding down.
fn to_ten_thousandths(inches: f64) -> TenThousandths {
    (inches * 10_000.0 + 0.5 + 1e-7).floor() as TenThousandths
}

/// Rounds inches to ten-thousandths, halves to even, as decimal equivalents of fractions are
/// printed: 9/32 is .2812.
fn to_ten_thousandths_even(inches: f64) -> TenThousandths {
    (inches * 10_000.0).round_ties_even() as TenThousandths
}

/// Rounds ten-thousandths to a whole thousandth, halves to even.
const fn to_three_places(tenths: TenThousandths) -> TenThousandths {
    let (whole, rest) = (tenths / 10, tenths % 10);
    let up = rest > 5 || (rest == 5 && whole % 2 == 1);
    if up { (whole + 1) * 10 } else { whole * 10 }
}

fn length(tenths: TenThousandths) -> Length {
    Length::from_fraction(tenths, 10_000)
}
