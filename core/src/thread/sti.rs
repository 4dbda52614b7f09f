//! STI tapped holes: the holes that wire thread inserts are screwed into.
//!
//! Standards: ASME B18.29.1 (inch), B18.29.2M (metric), NASM33537, DIN 8140. The formulas follow
//! from the rhombic section of the wire, which moves the basic pitch diameter out by 0.75 H. The
//! least diameters of ASME B18.29.1, as transcribed, agree with them to .0001 in. That the metric
//! standards use them too is from memory.
//!
//! For the largest diameters of inch holes no formula is known here; they are tighter than the class
//! of the nominal thread. Source: a public transcription of ASME B18.29.1 (secondary, a single one;
//! the standard itself was not read). Without a row there, and for metric holes, the class of the
//! nominal thread is an upper bound.
//!
//! For Whitworth threads the same is derived here, without confirmation by a standard. The wire
//! fills the groove of the bolt on its inner side and that of the hole on its outer side, so at its
//! middle it is as wide as a pitch less the crest flat of the form: 7/8 P for 60 degrees (crests
//! truncated by H/8), 5/6 P for 55 degrees (H/6). Half a pitch of that is the groove at the pitch
//! line. The rest moves the hole's thread out on each side by (7/8 - 1/2) P / tan 30 = 0.649519 P,
//! or (5/6 - 1/2) P / tan 27.5 = 0.640327 P, which is the depth of the Whitworth thread itself. So
//! its tapped hole starts at the bolt's own diameter.

use super::{Form, InternalClass, InternalLimits, SQRT_3, Thread};
use crate::length::Length;

/// Part of the depth that the largest hole leaves of a Whitworth thread: 75 %, the least that the
/// drills of BS 1157 leave (judgment: the standard has no such hole).
const WHITWORTH_DEPTH_LEFT: f64 = 0.75;

/// Size, largest minor diameter after tapping, largest pitch diameter of class 2B; ten-thousandths
/// of an inch.
#[rustfmt::skip]
const INCH: [(&str, i64, i64); 30] = [
    ("4-40 UNC", 1252, 1308), ("5-40 UNC", 1373, 1438), ("6-32 UNC", 1527, 1611), ("8-32 UNC", 1781, 1872),
    ("10-24 UNC", 2080, 2203), ("12-24 UNC", 2340, 2464), ("1/4-20 UNC", 2704, 2864), ("5/16-18 UNC", 3342, 3529),
    ("3/8-16 UNC", 3987, 4203), ("7/16-14 UNC", 4639, 4890), ("1/2-13 UNC", 5273, 5554), ("9/16-12 UNC", 5918, 6225),
    ("5/8-11 UNC", 6564, 6903), ("3/4-10 UNC", 7838, 8216), ("7/8-9 UNC", 9119, 9543), ("1-8 UNC", 10421, 10890),
    ("4-48 UNF", 1229, 1279), ("6-40 UNF", 1503, 1569), ("8-36 UNF", 1771, 1849), ("10-32 UNF", 2041, 2133),
    ("1/4-28 UNF", 2646, 2765), ("5/16-24 UNF", 3288, 3433), ("3/8-24 UNF", 3910, 4059), ("7/16-20 UNF", 4561, 4744),
    ("1/2-20 UNF", 5186, 5371), ("9/16-18 UNF", 5826, 6035), ("5/8-18 UNF", 6451, 6661), ("3/4-16 UNF", 7720, 7961),
    ("7/8-14 UNF", 8994, 9274), ("1-12 UNF", 10281, 10608),
];

/// The tapped hole for a wire thread insert.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StiHole {
    /// Least minor diameter.
    pub minor_min: Length,
    /// Largest minor diameter.
    pub minor_max: Length,
    /// Basic and least pitch diameter.
    pub pitch_diameter: Length,
    /// Largest pitch diameter.
    pub pitch_diameter_max: Length,
    /// Least major diameter.
    pub major: Length,
    /// Whether the largest diameters are those of ASME B18.29.1. If not, they are upper bounds: the
    /// standard's gauges are tighter.
    pub published: bool,
}

/// Returns the STI hole for a bolt's thread, in the usual class: 2B, or 5H for metric.
pub fn sti_hole(bolt: Thread) -> StiHole {
    let hole = sti_hole_by_formula(bolt);
    match published(bolt) {
        Some((minor_max, pitch_diameter_max)) => StiHole {
            minor_max,
            pitch_diameter_max,
            published: true,
            ..hole
        },
        None => hole,
    }
}

/// Returns the STI hole whose largest diameters are within the nominal thread's tolerance. This is
/// wider than a standard's own limit, so that a shop can enter its maker's data.
pub fn sti_hole_by_formula(bolt: Thread) -> StiHole {
    match bolt.form() {
        Form::Whitworth => whitworth_hole(bolt),
        Form::Sixty | Form::AmericanPipe => sixty_hole(bolt),
    }
}

/// Returns the limits of an STI hole in a class: 2B and 3B of inch threads, 4H and 5H of metric ones.
pub(super) fn internal(bolt: Thread, class: InternalClass) -> Option<InternalLimits> {
    let has = match bolt.form() {
        Form::Whitworth | Form::AmericanPipe => false,
        Form::Sixty if bolt.series().is_metric() => {
            matches!(class, InternalClass::Metric4H | InternalClass::Metric5H)
        }
        Form::Sixty => matches!(class, InternalClass::Unified2B | InternalClass::Unified3B),
    };
    let nominal = bolt.internal(class).ok().filter(|_| has)?;
    let hole = sti_hole(bolt);
    let tolerance = nominal.pitch_diameter_max - nominal.pitch_diameter_min;
    Some(InternalLimits {
        class: Some(class),
        pitch_diameter_max: hole.pitch_diameter_max.min(hole.pitch_diameter + tolerance),
        ..limits(&hole)
    })
}

/// Returns the limits of an STI hole in the usual class; without a class for Whitworth, which has no
/// standard.
pub(super) fn usual_internal(bolt: Thread) -> InternalLimits {
    let class = match bolt.series().is_metric() {
        true => InternalClass::Metric5H,
        false => InternalClass::Unified2B,
    };
    internal(bolt, class).unwrap_or_else(|| limits(&sti_hole(bolt)))
}

fn limits(hole: &StiHole) -> InternalLimits {
    InternalLimits {
        class: None,
        minor_min: hole.minor_min,
        minor_max: hole.minor_max,
        pitch_diameter_min: hole.pitch_diameter,
        pitch_diameter_max: hole.pitch_diameter_max,
        major_min: hole.major,
    }
}

/// Returns the largest minor and pitch diameter of ASME B18.29.1, class 2B.
fn published(bolt: Thread) -> Option<(Length, Length)> {
    let size = bolt.designation();
    let row = INCH.iter().find(|(listed, _, _)| *listed == size)?;
    let length = |tenths| Length::from_fraction(tenths, 10_000);
    Some((length(row.1), length(row.2)))
}

fn whitworth_hole(bolt: Thread) -> StiHole {
    let (minor, depth_mm) = (bolt.nominal(), Form::Whitworth.depth_mm(bolt.pitch_mm()));
    let above = |share: f64| Length::from_computed_mm(minor.mm() + share * depth_mm);
    let toleranced = bolt.toleranced_internal();
    StiHole {
        minor_min: minor,
        minor_max: above(2.0 * (1.0 - WHITWORTH_DEPTH_LEFT)),
        pitch_diameter: above(1.0),
        // With the tolerance of the bolt's own thread (judgment).
        pitch_diameter_max: above(1.0)
            + (toleranced.pitch_diameter_max - toleranced.pitch_diameter_min),
        major: above(2.0),
        published: false,
    }
}

fn sixty_hole(bolt: Thread) -> StiHole {
    let close = InternalClass::Metric5H;
    let nominal = bolt
        .internal(close)
        .unwrap_or_else(|_| bolt.usual_internal());
    let (d, p) = (bolt.nominal().mm(), bolt.pitch_mm());
    let pitch_diameter = Length::from_computed_mm(d + 0.375 * SQRT_3 * p);
    let minor_min = Length::from_computed_mm(d + 0.125 * SQRT_3 * p);
    StiHole {
        minor_min,
        minor_max: minor_min + minor_tolerance(bolt, &nominal),
        pitch_diameter,
        pitch_diameter_max: pitch_diameter
            + (nominal.pitch_diameter_max - nominal.pitch_diameter_min),
        major: Length::from_computed_mm(d + 0.75 * SQRT_3 * p),
        published: false,
    }
}

/// Returns the exact tolerance, not the difference of limits that were rounded to three places.
fn minor_tolerance(bolt: Thread, nominal: &InternalLimits) -> Length {
    match bolt.threads_per_inch() {
        Some(n) => {
            let inches =
                super::unified::minor_tolerance_2b_in(bolt.nominal().inches(), f64::from(n));
            Length::from_computed_mm(inches * 25.4)
        }
        None => nominal.minor_max - nominal.minor_min,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_row_is_a_standard_thread() {
        for (size, minor, pitch_diameter) in INCH {
            let thread = Thread::parse(size).unwrap();
            assert_eq!(thread.designation(), size);
            assert!(minor < pitch_diameter && published(thread).is_some());
        }
    }

    /// ASME B18.29.1 as transcribed, 3/8-16: minor at most .3987, pitch diameter at most .4203. By the
    /// wire's section the least are .3885 and .4156.
    #[test]
    fn an_sti_designation_has_the_limits_of_its_hole() {
        let hole = Thread::parse("3/8-16 STI").unwrap();
        assert!(hole.is_sti());
        let limits = hole.usual_internal();
        let inches = |length: Length| (length.inches() * 1e4).round() / 1e4;
        assert_eq!(limits.class, Some(InternalClass::Unified2B));
        assert_eq!(
            (inches(limits.minor_min), inches(limits.minor_max)),
            (0.3885, 0.3987)
        );
        assert_eq!(inches(limits.pitch_diameter_min), 0.4156);
        assert_eq!(inches(limits.pitch_diameter_max), 0.4203);
        let close = hole.internal(InternalClass::Unified3B).unwrap();
        assert!(close.pitch_diameter_max <= limits.pitch_diameter_max);
        assert!(hole.internal(InternalClass::Metric6H).is_err());
        // B18.29.2M from memory: M10x1.5 minor 10.325 to 10.561, pitch diameter at least 10.974.
        let metric = Thread::parse("M10x1.5 STI").unwrap().usual_internal();
        let mm = |length: Length| (length.mm() * 1e3).round() / 1e3;
        assert_eq!(metric.class, Some(InternalClass::Metric5H));
        assert_eq!(
            (mm(metric.minor_min), mm(metric.minor_max)),
            (10.325, 10.561)
        );
        assert_eq!(mm(metric.pitch_diameter_min), 10.974);
    }

    #[test]
    fn sti_designations_parse_from_what_people_write() {
        for (written, designation) in [
            ("3/8-16 STI", "3/8-16 STI"),
            ("3/8-16 UNC STI", "3/8-16 STI"),
            ("3/8-16 unc-2b sti", "3/8-16 STI"),
            ("3/8-16 STI-3B", "3/8-16 STI"),
            ("STI 3/8-16", "3/8-16 STI"),
            ("M10 STI", "M10x1.5 STI"),
            ("M10x1.25 STI", "M10x1.25 STI"),
            ("1/2-12 BSW STI", "1/2-12 BSW STI"),
            ("19/64-36 UNS STI", "19/64-36 UNS STI"),
        ] {
            let thread = Thread::parse(written).unwrap();
            assert_eq!(thread.designation(), designation, "{written}");
            assert_eq!(Thread::parse(designation).unwrap(), thread);
            assert!(thread.is_sti() && !thread.bolt().is_sti());
        }
        for wrong in [
            "STI",
            "G 1/2 STI",
            "3/8-17 STI",
            "3/8 STI",
            "3/8-16 STI STI",
        ] {
            assert!(Thread::parse(wrong).is_err(), "{wrong}");
        }
    }
}
