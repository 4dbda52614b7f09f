//! The report on a thread that `thread --json` prints.

mod notes;

use super::{
    Class, ExternalClass, ExternalLimits, Hand, InternalClass, InternalLimits, ParsedThread,
    Series, Thread, ThreadError, ThreadsPerInch,
};
use crate::drill::{
    Drill, DrillKinds, SizeCheck, TapDrill, between, tap_drill, tapped_hole, thread_percent,
    usual_drills,
};
use crate::insert::Catalog;
use crate::length::{Length, Unit};
use serde::Serialize;

/// A thread and its limits; lengths in millimeters.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct ThreadReport {
    /// Designation as the trade writes it.
    pub designation: String,
    /// Series.
    pub series: Series,
    /// Threads per inch; `None` for a metric thread.
    pub threads_per_inch: Option<ThreadsPerInch>,
    /// Pitch.
    pub pitch_mm: f64,
    /// Basic major diameter; of an STI hole the least one.
    #[serde(rename = "major_mm")]
    pub major: Length,
    /// The bolt's thread, where this is the STI hole for its wire thread insert.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sti_for: Option<Thread>,
    /// Limits of the tapped hole.
    pub internal: InternalReport,
    /// Limits of the screw; of an STI hole those of its bolt.
    pub external: ExternalReport,
    /// Tensile stress area of the screw; `None` for a pipe thread.
    pub stress_area_mm2: Option<f64>,
    /// Usual tap drill.
    pub tap_drill: TapDrillReport,
    /// Angle between the flanks.
    pub flank_angle_deg: u32,
    /// Right-hand or left-hand.
    pub hand: Hand,
    /// Notes, in sentences.
    pub notes: Vec<String>,
    /// Safety cautions, in sentences.
    pub cautions: Vec<&'static str>,
    /// Source of the sizes and limits.
    pub source: &'static str,
}

/// Limits of a tapped hole.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct InternalReport {
    /// Tolerance class; `None` if the limits are basic sizes.
    pub class: Option<InternalClass>,
    /// Least minor diameter.
    #[serde(rename = "minor_min_mm")]
    pub minor_min: Length,
    /// Largest minor diameter.
    #[serde(rename = "minor_max_mm")]
    pub minor_max: Length,
    /// Least pitch diameter.
    #[serde(rename = "pitch_diameter_min_mm")]
    pub pitch_diameter_min: Length,
    /// Largest pitch diameter.
    #[serde(rename = "pitch_diameter_max_mm")]
    pub pitch_diameter_max: Length,
}

/// Limits of a screw.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct ExternalReport {
    /// Tolerance class; `None` if the limits are basic sizes.
    pub class: Option<ExternalClass>,
    /// Least major diameter.
    #[serde(rename = "major_min_mm")]
    pub major_min: Length,
    /// Largest major diameter.
    #[serde(rename = "major_max_mm")]
    pub major_max: Length,
    /// Least pitch diameter.
    #[serde(rename = "pitch_diameter_min_mm")]
    pub pitch_diameter_min: Length,
    /// Largest pitch diameter.
    #[serde(rename = "pitch_diameter_max_mm")]
    pub pitch_diameter_max: Length,
}

/// The usual tap drill.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct TapDrillReport {
    /// Name and diameter.
    #[serde(flatten)]
    pub drill: Drill,
    /// Percent of full thread that it leaves, to a tenth.
    pub thread_percent: f64,
    /// Source of the choice.
    pub source: &'static str,
    /// Its diameter against the limits of the hole's minor diameter in the class shown.
    pub size_check: SizeCheck,
    /// The drill within those limits that is nearest to the usual part of a full thread, if this one
    /// is not.
    pub nearest_within: Option<Drill>,
}

impl From<InternalLimits> for InternalReport {
    fn from(limits: InternalLimits) -> InternalReport {
        InternalReport {
            class: limits.class,
            minor_min: limits.minor_min,
            minor_max: limits.minor_max,
            pitch_diameter_min: limits.pitch_diameter_min,
            pitch_diameter_max: limits.pitch_diameter_max,
        }
    }
}

impl From<ExternalLimits> for ExternalReport {
    fn from(limits: ExternalLimits) -> ExternalReport {
        ExternalReport {
            class: limits.class,
            major_min: limits.major_min,
            major_max: limits.major_max,
            pitch_diameter_min: limits.pitch_diameter_min,
            pitch_diameter_max: limits.pitch_diameter_max,
        }
    }
}

impl ThreadReport {
    /// Formats the major diameter with its label, in the reader's unit.
    pub fn size_line(&self, unit: Unit) -> (&'static str, String) {
        match self.sti_for {
            Some(_) => ("Hole major, min", self.major.show_limit(unit)),
            None => ("Nominal size", self.major.show(unit)),
        }
    }

    fn new(thread: Thread, internal: InternalLimits, external: ExternalLimits) -> ThreadReport {
        ThreadReport {
            designation: thread.designation(),
            series: thread.series(),
            threads_per_inch: thread.threads_per_inch(),
            pitch_mm: thread.pitch_mm(),
            major: match thread.is_sti() {
                true => internal.major_min,
                false => thread.nominal(),
            },
            sti_for: thread.is_sti().then(|| thread.bolt()),
            internal: internal.into(),
            external: external.into(),
            stress_area_mm2: (!thread.is_pipe()).then(|| thread.stress_area_mm2()),
            tap_drill: TapDrillReport::new(thread, internal),
            flank_angle_deg: thread.form().angle_deg(),
            hand: thread.hand(),
            notes: notes::notes(thread),
            cautions: notes::cautions(thread),
            source: notes::source(thread),
        }
    }
}

impl TapDrillReport {
    fn new(thread: Thread, internal: InternalLimits) -> TapDrillReport {
        let tap = sti_drill(thread).unwrap_or_else(|| tap_drill(&thread));
        let (least, largest) = (internal.minor_min, internal.minor_max);
        let size_check = match internal.class {
            None => SizeCheck::NoLimits,
            Some(_) if tap.drill.diameter < least => SizeCheck::TooSmall,
            Some(_) if tap.drill.diameter > largest => SizeCheck::TooLarge,
            Some(_) => SizeCheck::Within,
        };
        let outside = matches!(size_check, SizeCheck::TooSmall | SizeCheck::TooLarge);
        let aim = tapped_hole(&thread, None).aim;
        let within = |kinds| between(least, largest, aim, &kinds);
        TapDrillReport {
            drill: tap.drill,
            thread_percent: (tap.thread_percent * 10.0).round() / 10.0,
            source: tap.source,
            size_check,
            nearest_within: outside
                .then(|| within(usual_drills(&thread)).or_else(|| within(DrillKinds::ALL)))
                .flatten(),
        }
    }

    /// Says that the drill is outside the limits, and names the nearest inside, in the reader's unit;
    /// `None` if it is within them or there are none.
    pub fn warning(&self, unit: Unit) -> Option<String> {
        let side = match self.size_check {
            SizeCheck::TooSmall => "below the least",
            SizeCheck::TooLarge => "above the largest",
            SizeCheck::Within | SizeCheck::NoLimits => return None,
        };
        let instead = match self.nearest_within {
            Some(drill) => format!(
                "the nearest drill inside the limits is {}",
                drill.show(unit)
            ),
            None => "no drill is inside the limits, so ream to size".to_owned(),
        };
        Some(format!(
            "The usual tap drill {} is {side} minor diameter of the class; {instead}.",
            self.drill.show(unit)
        ))
    }
}

/// Returns the drill of the wire thread inserts that fit an STI hole; `None` for any other thread.
fn sti_drill(thread: Thread) -> Option<TapDrill> {
    let inserts = thread
        .is_sti()
        .then(|| Catalog::standard().inserts_for(&thread))?;
    let drill = inserts.first()?.drill;
    Some(TapDrill {
        drill,
        thread_percent: thread_percent(&thread, drill.diameter),
        source: "the drill of the wire thread insert: `holebook insert` shows its source",
    })
}

/// Reports on a thread in its usual classes; `class` (`3B`, `3A`, `4H`) replaces one of them.
///
/// # Errors
/// If there is no such class, or the thread does not have it.
pub fn report(thread: Thread, class: Option<&str>) -> Result<ThreadReport, ThreadError> {
    in_class(thread, class.map(Class::parse).transpose()?)
}

/// Reports on a parsed thread: in its own class, and with a note if its series was given by an
/// older name. `class` overrides the parsed one.
///
/// # Errors
/// If there is no such class, or the thread does not have it.
pub fn report_parsed(
    written: &ParsedThread,
    class: Option<&str>,
) -> Result<ThreadReport, ThreadError> {
    let input = class.map(Class::parse).transpose()?;
    let mut report = in_class(written.thread, input.or(written.class))?;
    let called = written.old_name.map(|name| name.note().to_owned());
    report.notes.splice(0..0, called);
    Ok(report)
}

fn in_class(thread: Thread, input: Option<Class>) -> Result<ThreadReport, ThreadError> {
    let internal = match input {
        Some(Class::Internal(class)) => thread.internal(class)?,
        _ => thread.usual_internal(),
    };
    let external = match input {
        Some(Class::External(class)) => thread.external(class)?,
        _ => thread.usual_external(),
    };
    Ok(ThreadReport::new(thread, internal, external))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn json_has_the_promised_keys() {
        let thread = Thread::parse("7/16-14").unwrap();
        let value = serde_json::to_value(report(thread, None).unwrap()).unwrap();
        assert_eq!(value["designation"], "7/16-14 UNC");
        assert_eq!(value["series"], "UNC");
        assert_eq!(value["threads_per_inch"], 14);
        assert!((value["pitch_mm"].as_f64().unwrap() - 1.8143).abs() < 1e-4);
        assert_eq!(value["major_mm"], 11.1125);
        assert_eq!(value["internal"]["class"], "2B");
        assert_eq!(value["external"]["class"], "2A");
        assert_eq!(value["tap_drill"]["name"], "U");
        assert_eq!(value["tap_drill"]["diameter_mm"], 9.3472);
        assert_eq!(value["tap_drill"]["thread_percent"], 74.9);
        let metric =
            serde_json::to_value(report(Thread::parse("M10").unwrap(), None).unwrap()).unwrap();
        assert_eq!(metric["internal"]["class"], "6H");
        assert_eq!(metric["external"]["class"], "6g");
        assert!(metric["threads_per_inch"].is_null());
    }

    /// 9/16-18 UNF-2B is printed .502 to .515 (FED-STD-H28/2B Table II.A.1); charts name 33/64,
    /// .5156.
    #[test]
    fn a_tap_drill_outside_the_limits_is_named_with_the_nearest_inside() {
        let of = |size: &str| {
            report(Thread::parse(size).unwrap(), None)
                .unwrap()
                .tap_drill
        };
        let drill = of("9/16-18");
        assert_eq!(drill.drill.to_string(), "33/64");
        assert_eq!(drill.size_check, SizeCheck::TooLarge);
        let inside = drill.nearest_within.unwrap().diameter.inches();
        assert!((0.502..=0.515).contains(&inside), "{inside}");
        let warning = drill.warning(Unit::Inch).unwrap();
        assert!(
            warning.contains("33/64 (.5156) is above the largest"),
            "{warning}"
        );
        assert_eq!(of("3/8-16").warning(Unit::Inch), None);
        assert_eq!(of("1/2 BSW").size_check, SizeCheck::NoLimits);
    }

    #[test]
    fn a_class_replaces_only_its_own_side() {
        let thread = Thread::parse("3/8-16").unwrap();
        let close = report(thread, Some("3B")).unwrap();
        assert_eq!(
            (
                close.internal.class.unwrap().name(),
                close.external.class.unwrap().name()
            ),
            ("3B", "2A")
        );
        let close = report(thread, Some("3a")).unwrap();
        assert_eq!(
            (
                close.internal.class.unwrap().name(),
                close.external.class.unwrap().name()
            ),
            ("2B", "3A")
        );
        assert!(
            report(thread, Some("4H"))
                .unwrap_err()
                .to_string()
                .contains("2B")
        );
        assert!(report(thread, Some("9Z")).is_err());
    }

    #[test]
    fn class_hand_and_old_name_are_reported() {
        let of = |text: &str| report_parsed(&ParsedThread::parse(text).unwrap(), None).unwrap();
        let nut = of("3/8-16 NC-3B LH");
        assert_eq!(nut.internal.class.unwrap().name(), "3B");
        assert_eq!(nut.external.class.unwrap().name(), "2A");
        assert!(nut.notes[0].contains("today UNC"), "{:?}", nut.notes);
        assert!(nut.notes.iter().any(|note| note.contains("left-hand")));
        assert_eq!(serde_json::to_value(&nut).unwrap()["hand"], "left");
        let written = ParsedThread::parse("M10-4H").unwrap();
        let input = report_parsed(&written, Some("5H")).unwrap();
        assert_eq!(input.internal.class.unwrap().name(), "5H");
    }

    #[test]
    fn a_whitworth_thread_has_no_class_and_a_pipe_no_strength() {
        let of = |text: &str| {
            serde_json::to_value(report(Thread::parse(text).unwrap(), None).unwrap()).unwrap()
        };
        let half = of("1/2 BSW");
        assert!(half["internal"]["class"].is_null() && half["external"]["class"].is_null());
        assert_eq!(
            half["internal"]["minor_min_mm"],
            half["internal"]["minor_max_mm"]
        );
        assert_eq!(half["flank_angle_deg"], 55);
        assert!(half["notes"].to_string().contains("1/2-13 UNC"));
        let pipe = of("1 NPT");
        assert_eq!(pipe["threads_per_inch"], 11.5);
        assert!(pipe["stress_area_mm2"].is_null());
        assert!(!pipe["cautions"].as_array().unwrap().is_empty());
        assert!(pipe["source"].as_str().unwrap().contains("from memory"));
    }
}
