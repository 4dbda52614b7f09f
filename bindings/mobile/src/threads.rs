//! What a thread's designation stands for, and which thread a reading may belong to.

use crate::border::{In, Out, record_out, words};
use crate::error::NotebookError;
use crate::guard::guard;
use crate::inserts::Drill;
use crate::length::Length;
use holebook_core::thread as core;
use holebook_core::thread::{identify, report};

words! {
    /// A family of threads that a standard lists together.
    Series = core::Series {
        /// Unified coarse.
        Unc,
        /// Unified fine.
        Unf,
        /// Unified extra fine.
        Unef,
        /// Unified, constant pitch.
        Un,
        /// Unified, special combinations of size and pitch.
        Uns,
        /// National special, the outside of some key-locking inserts.
        Ns,
        /// ISO metric, coarse pitch.
        MetricCoarse,
        /// ISO metric, fine pitch.
        MetricFine,
        /// British Standard Whitworth.
        Bsw,
        /// British Standard Fine.
        Bsf,
        /// British Standard pipe, parallel.
        BspParallel,
        /// British Standard pipe, taper.
        BspTaper,
        /// American taper pipe.
        Npt,
    }
}

words! {
    /// Which way a thread is turned in.
    Hand = core::Hand {
        /// Clockwise, as most are.
        Right,
        /// Counter-clockwise.
        Left,
    }
}

impl Out for core::ThreadsPerInch {
    type Face = f64;
    fn out(self) -> f64 {
        self.count()
    }
}

impl Out for core::InternalClass {
    type Face = String;
    fn out(self) -> String {
        self.name().to_owned()
    }
}

impl Out for core::ExternalClass {
    type Face = String;
    fn out(self) -> String {
        self.name().to_owned()
    }
}

/// Limits of a tapped hole.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TappedHoleLimits {
    /// Tolerance class; none where the limits are basic sizes.
    pub class: Option<String>,
    /// Least minor diameter.
    pub minor_min: Length,
    /// Largest minor diameter.
    pub minor_max: Length,
    /// Least pitch diameter.
    pub pitch_diameter_min: Length,
    /// Largest pitch diameter.
    pub pitch_diameter_max: Length,
}

impl Out for report::InternalReport {
    type Face = TappedHoleLimits;
    fn out(self) -> TappedHoleLimits {
        let Self {
            class,
            minor_min_mm,
            minor_max_mm,
            pitch_diameter_min_mm,
            pitch_diameter_max_mm,
        } = self;
        TappedHoleLimits {
            class: class.out(),
            minor_min: minor_min_mm.out(),
            minor_max: minor_max_mm.out(),
            pitch_diameter_min: pitch_diameter_min_mm.out(),
            pitch_diameter_max: pitch_diameter_max_mm.out(),
        }
    }
}

/// Limits of a screw.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ScrewLimits {
    /// Tolerance class; none where the limits are basic sizes.
    pub class: Option<String>,
    /// Least major diameter.
    pub major_min: Length,
    /// Largest major diameter.
    pub major_max: Length,
    /// Least pitch diameter.
    pub pitch_diameter_min: Length,
    /// Largest pitch diameter.
    pub pitch_diameter_max: Length,
}

impl Out for report::ExternalReport {
    type Face = ScrewLimits;
    fn out(self) -> ScrewLimits {
        let Self {
            class,
            major_min_mm,
            major_max_mm,
            pitch_diameter_min_mm,
            pitch_diameter_max_mm,
        } = self;
        ScrewLimits {
            class: class.out(),
            major_min: major_min_mm.out(),
            major_max: major_max_mm.out(),
            pitch_diameter_min: pitch_diameter_min_mm.out(),
            pitch_diameter_max: pitch_diameter_max_mm.out(),
        }
    }
}

record_out! {
    /// The usual drill for tapping.
    TapDrill = report::TapDrillReport {
        /// Its name and diameter.
        drill: Drill,
        /// How much of a full thread it leaves, percent.
        thread_percent: f64,
        /// Where the choice comes from.
        source: String,
    }
}

/// A thread and its limits.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ThreadReport {
    /// As the trade writes it.
    pub designation: String,
    /// Its series.
    pub series: Series,
    /// Threads per inch, in whole or half threads; none for a metric thread.
    pub threads_per_inch: Option<f64>,
    /// Pitch, millimetres.
    pub pitch_mm: f64,
    /// Basic major diameter.
    pub major: Length,
    /// Limits of the tapped hole.
    pub internal: TappedHoleLimits,
    /// Limits of the screw.
    pub external: ScrewLimits,
    /// Tensile stress area of the screw, mm2; none for a pipe thread.
    pub stress_area_mm2: Option<f64>,
    /// The usual drill.
    pub tap_drill: TapDrill,
    /// Angle between the flanks, degrees.
    pub flank_angle_deg: u32,
    /// Which way it is turned in.
    pub hand: Hand,
    /// What a person must know beside the numbers, in sentences.
    pub notes: Vec<String>,
    /// What can hurt someone, in sentences.
    pub cautions: Vec<String>,
    /// Where the sizes and limits come from.
    pub source: String,
}

impl Out for report::ThreadReport {
    type Face = ThreadReport;
    fn out(self) -> ThreadReport {
        let Self {
            designation,
            series,
            threads_per_inch,
            pitch_mm,
            major_mm,
            internal,
            external,
            stress_area_mm2,
            tap_drill,
            flank_angle_deg,
            hand,
            notes,
            cautions,
            source,
        } = self;
        ThreadReport {
            designation,
            series: series.out(),
            threads_per_inch: threads_per_inch.out(),
            pitch_mm,
            major: major_mm.out(),
            internal: internal.out(),
            external: external.out(),
            stress_area_mm2,
            tap_drill: tap_drill.out(),
            flank_angle_deg,
            hand: hand.out(),
            notes,
            cautions: cautions.out(),
            source: source.out(),
        }
    }
}

/// A thread's sizes and limits, in its usual classes or with `class` (`3B`, `3A`, `4H`) in place of one of them.
///
/// Fails with `Unreadable` where there is no such thread or class; the sentence names the nearest that exist.
#[uniffi::export(default(class = None))]
pub fn thread_report(thread: String, class: Option<String>) -> Result<ThreadReport, NotebookError> {
    guard("thread_report", || {
        let thread: core::Thread = thread.inward()?;
        let report = report::report(thread, class.as_deref());
        let told = |error| NotebookError::unreadable("class", class.unwrap_or_default(), &error);
        Ok(report.map_err(told)?.out())
    })
}

/// What was measured with the caliper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Measured {
    /// Across the crests of a screw: its major diameter.
    Outside {
        /// The reading.
        diameter: Length,
    },
    /// Across the crests of a tapped hole: its minor diameter.
    Inside {
        /// The reading.
        diameter: Length,
    },
}

impl In<identify::Measured> for Measured {
    fn inward(self) -> Result<identify::Measured, NotebookError> {
        Ok(match self {
            Self::Outside { diameter } => identify::Measured::Outside(diameter.inward()?),
            Self::Inside { diameter } => identify::Measured::Inside(diameter.inward()?),
        })
    }
}

words! {
    /// Whether readings leave a thread open.
    ThreadStanding = identify::Standing {
        /// It is the only one that the readings fit.
        Told,
        /// It is one of several that they fit.
        Possible,
        /// It is near, but outside what errors and wear explain.
        Unlikely,
    }
}

/// One thread that it may be.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ThreadCandidate {
    /// As the trade writes it.
    pub designation: String,
    /// Its series.
    pub series: Series,
    /// How far the reading lies outside the sizes of a sound thread, millimetres; 0 within them.
    pub misfit_mm: f64,
    /// How far the pitch reading lies from the pitch, millimetres; none without one.
    pub pitch_misfit_mm: Option<f64>,
    /// Whether the diameter is that of a sound thread, and the pitch as near as its reading tells.
    pub within_limits: bool,
    /// Why to beware.
    pub note: Option<String>,
    /// Whether the readings leave it open.
    pub standing: ThreadStanding,
    /// What would tell it from the first, where it is not the first.
    pub told_by: Option<String>,
}

impl Out for identify::Candidate {
    type Face = ThreadCandidate;
    fn out(self) -> ThreadCandidate {
        let Self {
            designation,
            series,
            misfit_mm,
            pitch_misfit_mm,
            within_limits,
            note,
            standing,
            told_by,
            thread: _, // the designation says it
        } = self;
        ThreadCandidate {
            designation,
            series: series.out(),
            misfit_mm,
            pitch_misfit_mm,
            within_limits,
            note,
            standing: standing.out(),
            told_by,
        }
    }
}

/// What readings come to.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ThreadIdentified {
    /// Threads that it may be and threads near to them, the most plausible first.
    pub candidates: Vec<ThreadCandidate>,
    /// What can be said, in a sentence.
    pub conclusion: String,
    /// Whether one thread kept here fits, and no other.
    pub told: bool,
    /// The readings that would tell which of several it is, each a part of a sentence.
    pub tells: Vec<String>,
}

impl Out for identify::Identified {
    type Face = ThreadIdentified;
    fn out(self) -> ThreadIdentified {
        use identify::Conclusion;
        let Self {
            candidates,
            conclusion,
        } = self;
        ThreadIdentified {
            candidates: candidates.out(),
            told: matches!(conclusion, Conclusion::Told { .. }),
            conclusion: conclusion.to_string(),
            tells: match conclusion {
                Conclusion::Several { tells, threads: _ } => tells,
                Conclusion::Told { thread: _ } | Conclusion::None { advice: _ } => Vec::new(),
            },
        }
    }
}

/// Threads that readings may belong to, and what would tell them apart. `pitch` is written as the gauge says it: `14tpi`,
/// `1.8mm`, or a length over ten pitches as `18.1mm/10`. `diameter_error` is what the caliper may be off by; without it 0.05 mm.
///
/// Fails with `Unreadable` for another pitch, with `Unfit` for a reading that cannot be.
#[uniffi::export(default(pitch = None, diameter_error = None))]
pub fn identify_thread(
    measured: Measured,
    pitch: Option<String>,
    diameter_error: Option<Length>,
) -> Result<ThreadIdentified, NotebookError> {
    guard("identify_thread", || {
        let pitch = pitch.as_deref().map(|text| {
            identify::parse_pitch(text)
                .map_err(|error| NotebookError::unreadable("pitch", text.to_owned(), &error))
        });
        let mut readings = identify::Readings::new(measured.inward()?, pitch.transpose()?);
        if let Some(error) = diameter_error {
            readings.diameter_error = error.inward()?;
        }
        let found = identify::identify(&readings);
        Ok(found.map_err(NotebookError::unfit)?.out())
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::length::parse_length;

    #[test]
    fn a_thread_and_a_reading_of_it_agree() {
        let report = thread_report("7/16-14".to_owned(), None).unwrap();
        assert_eq!(report.designation, "7/16-14 UNC");
        assert_eq!(report.threads_per_inch, Some(14.0));
        assert_eq!(report.tap_drill.drill.name, "U");
        let diameter = parse_length("11.05 mm".to_owned(), None).unwrap();
        let found = identify_thread(
            Measured::Outside { diameter },
            Some("14tpi".to_owned()),
            None,
        );
        assert_eq!(found.unwrap().candidates[0].designation, report.designation);
    }

    #[test]
    fn what_is_no_thread_class_or_pitch_is_refused() {
        let class = thread_report("3/8-16".to_owned(), Some("9Z".to_owned()));
        assert!(matches!(class, Err(NotebookError::Unreadable { what, .. }) if what == "class"));
        assert!(thread_report("3/8-17.3".to_owned(), None).is_err());
        let diameter = parse_length("11 mm".to_owned(), None).unwrap();
        let pitch = identify_thread(Measured::Inside { diameter }, Some("14".to_owned()), None);
        assert!(matches!(pitch, Err(NotebookError::Unreadable { what, .. }) if what == "pitch"));
    }
}
