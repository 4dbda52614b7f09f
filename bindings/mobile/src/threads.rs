//! A thread's sizes and limits, and which thread a reading may belong to.

use crate::drills::SizeCheck;
use crate::error::NotebookError;
use crate::guard::guard;
use crate::inserts::Drill;
use crate::lend::lend;
use holebook_core::length::Length;
use holebook_core::thread::identify::{self, Conclusion, Identification};
use holebook_core::thread::report;
use holebook_core::thread::{ExternalClass, InternalClass, Thread, ThreadsPerInch};

lend! {
    holebook_core::thread {
        Hand,
        Series,
    }
}

lend! {
    holebook_core::thread::report {
        ExternalReport,
        InternalReport,
        TapDrillReport,
        ThreadReport,
    }
}

lend! {
    holebook_core::thread::identify {
        Candidate as ThreadCandidate,
        MatchLevel,
        Measured,
    }
}

/// A thread's sizes and limits, in its usual classes or with `class` (`3B`, `3A`, `4H`) in place of
/// one of them.
///
/// Fails with `Unreadable` if there is no such thread or class; the sentence names the nearest
/// that exist.
#[uniffi::export(default(class = None))]
pub fn thread_report(thread: Thread, class: Option<String>) -> Result<ThreadReport, NotebookError> {
    guard("thread_report", || {
        report::report(thread, class.as_deref())
            .map_err(|error| NotebookError::unreadable("class", class.unwrap_or_default(), &error))
    })
}

/// Which threads readings may belong to.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct IdentifiedThread {
    /// Threads that it may be and threads near to them, the most plausible first.
    pub candidates: Vec<ThreadCandidate>,
    /// The conclusion, in a sentence.
    pub conclusion: String,
    /// Whether one thread kept here fits, and no other.
    pub only_match: bool,
    /// What to measure to decide between several, each as part of a sentence.
    pub deciding_checks: Vec<String>,
}

impl From<Identification> for IdentifiedThread {
    fn from(found: Identification) -> Self {
        Self {
            candidates: found.candidates,
            only_match: matches!(found.conclusion, Conclusion::OnlyMatch { .. }),
            conclusion: found.conclusion.to_string(),
            deciding_checks: match found.conclusion {
                Conclusion::SeveralMatch {
                    deciding_checks, ..
                } => deciding_checks,
                Conclusion::OnlyMatch { .. } | Conclusion::NoMatch { .. } => Vec::new(),
            },
        }
    }
}

/// Threads that readings may belong to, and what would tell them apart. `pitch` is written as the
/// gauge says it: `14tpi`, `1.8mm`, or a length over ten pitches as `18.1mm/10`.
/// `diameter_tolerance` is what the caliper may be off by; without it 0.05 mm.
///
/// Fails with `Unreadable` for another pitch, with `Invalid` for a reading that cannot be.
#[uniffi::export(default(pitch = None, diameter_tolerance = None))]
pub fn identify_thread(
    measured: Measured,
    pitch: Option<String>,
    diameter_tolerance: Option<Length>,
) -> Result<IdentifiedThread, NotebookError> {
    guard("identify_thread", || {
        let pitch = pitch.map(|text| {
            identify::parse_pitch(&text)
                .map_err(|error| NotebookError::unreadable("pitch", text, &error))
        });
        let mut readings = identify::Readings::new(measured, pitch.transpose()?);
        if let Some(tolerance) = diameter_tolerance {
            readings.diameter_tolerance = tolerance;
        }
        let found = identify::identify(&readings);
        Ok(found.map_err(NotebookError::invalid)?.into())
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn mm(mm: f64) -> Length {
        Length::from_mm(mm).unwrap()
    }

    #[test]
    fn a_thread_and_a_reading_of_it_agree() {
        let report = thread_report(Thread::parse("7/16-14").unwrap(), None).unwrap();
        assert_eq!(report.designation, "7/16-14 UNC");
        assert_eq!(report.threads_per_inch.unwrap().count(), 14.0);
        assert_eq!(report.tap_drill.drill.name.to_string(), "U");
        let found = identify_thread(Measured::Outside(mm(11.05)), Some("14tpi".to_owned()), None);
        assert_eq!(found.unwrap().candidates[0].designation, report.designation);
    }

    #[test]
    fn what_is_no_class_or_pitch_is_refused() {
        let thread = Thread::parse("3/8-16").unwrap();
        let class = thread_report(thread, Some("9Z".to_owned()));
        assert!(matches!(class, Err(NotebookError::Unreadable { what, .. }) if what == "class"));
        let pitch = identify_thread(Measured::Inside(mm(11.0)), Some("14".to_owned()), None);
        assert!(matches!(pitch, Err(NotebookError::Unreadable { what, .. }) if what == "pitch"));
    }
}
