//! Identifies a thread from a caliper reading across a screw or bore, and a pitch reading if there
//! is one.
//!
//! Where more than one thread fits within tolerance and wear, all are listed with the measurement
//! that would tell them apart. Nothing is guessed.

mod conclusion;
mod fit;
mod reading;

pub use conclusion::Conclusion;
pub use reading::{
    DIAMETER_TOLERANCE, IdentifyError, Measured, PITCH_GAUGE_TOLERANCE, PitchReading, Readings,
    SPAN_TOLERANCE, parse_pitch,
};

use super::distinguish::{look_alikes, tell_apart};
use super::{Series, System, Thread, standard_threads};
use fit::{ReadingFit, fit};
use serde::Serialize;

/// A diameter further outside the limits than this is another thread, in millimeters.
const MAX_MISFIT_MM: f64 = 0.5;
/// A pitch further off than this is another thread, in millimeters.
const MAX_PITCH_MISFIT_MM: f64 = 0.15;
/// Candidates listed even if fewer are possible.
const MIN_SHOWN: usize = 8;

/// The result of an identification.
#[derive(Clone, Debug, PartialEq)]
pub struct Identification {
    /// Possible and nearby threads, most plausible first.
    pub candidates: Vec<Candidate>,
    /// What the readings show.
    pub conclusion: Conclusion,
}

/// How well the readings match a thread.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MatchLevel {
    /// The only thread that matches.
    OnlyMatch,
    /// One of several threads that match.
    Possible,
    /// Near, but outside tolerance and wear.
    Unlikely,
}

/// A thread considered for the readings.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct Candidate {
    /// Designation as the trade writes it.
    pub designation: String,
    /// Series.
    pub series: Series,
    /// How far the diameter lies outside the sizes of a sound thread; 0 if within.
    pub misfit_mm: f64,
    /// Difference between pitch reading and pitch; `None` without a reading.
    pub pitch_misfit_mm: Option<f64>,
    /// Whether the diameter is that of a sound thread and the pitch matches within tolerance.
    pub within_limits: bool,
    /// What to watch out for.
    pub note: Option<String>,
    /// How well the readings match.
    pub match_level: MatchLevel,
    /// What tells it apart from the first candidate.
    pub told_apart_by: Option<String>,
    /// The thread itself.
    #[serde(skip)]
    pub thread: Thread,
}

/// Identifies the threads that match the readings.
///
/// A screw is compared with the limits of class 2A or 6g, a hole with 2B or 6H, Whitworth and pipe
/// threads with their basic sizes and a tolerance (judgment). A worn screw reads small and a worn
/// hole large, so wear is allowed for on that side only.
///
/// # Errors
/// If a reading or tolerance is out of range.
pub fn identify(readings: &Readings) -> Result<Identification, IdentifyError> {
    readings.validate()?;
    let mut found: Vec<(Thread, ReadingFit)> = standard_threads()
        .flat_map(|thread| [Some(thread), old_american(thread)])
        .flatten()
        .map(|thread| (thread, fit(thread, readings)))
        .filter(|(_, fit)| fit.possible || is_near(fit))
        .collect();
    found.sort_by(|(_, a), (_, b)| b.possible.cmp(&a.possible).then(a.cost.total_cmp(&b.cost)));
    let possible: Vec<Thread> = found
        .iter()
        .filter(|(_, fit)| fit.possible)
        .map(|&(thread, _)| thread)
        .collect();
    found.truncate(MIN_SHOWN.max(possible.len()));
    let conclusion = conclusion::conclude(&possible, readings.pitch.is_some());
    let is_only_match = matches!(conclusion, Conclusion::OnlyMatch { .. });
    let first = found.first().map(|&(thread, _)| thread);
    let candidates = found
        .into_iter()
        .map(|(thread, fit)| Candidate {
            note: note(thread, &fit, readings, &possible),
            ..candidate(thread, &fit, readings, is_only_match, first)
        })
        .collect();
    Ok(Identification {
        candidates,
        conclusion,
    })
}

/// Returns the 60 degree thread of the size and pitch of a Whitworth thread that no Unified series
/// lists, such as 1/2-12: American makers cut some before pitches were standardized (common
/// practice, no source). Calipers and pitch gauge cannot tell the two apart.
fn old_american(thread: Thread) -> Option<Thread> {
    let same = |other: &Thread| {
        other.series().system() == System::Unified
            && other.nominal() == thread.nominal()
            && other.pitch() == thread.pitch()
    };
    let is_whitworth = thread.series().system() == System::Whitworth;
    (is_whitworth && !standard_threads().any(|other| same(&other))).then_some(Thread {
        series: Series::Uns,
        ..thread
    })
}

fn is_near(fit: &ReadingFit) -> bool {
    let misfit_mm = (fit.below + fit.above).mm();
    misfit_mm <= MAX_MISFIT_MM
        && fit
            .pitch_off_mm
            .is_none_or(|off| off <= MAX_PITCH_MISFIT_MM)
}

fn candidate(
    thread: Thread,
    fit: &ReadingFit,
    readings: &Readings,
    is_only_match: bool,
    first: Option<Thread>,
) -> Candidate {
    let pitch_fits = readings.pitch.is_none_or(|read| {
        fit.pitch_off_mm
            .is_none_or(|off| off <= read.tolerance.mm() + 1e-6)
    });
    let match_level = match (fit.possible, is_only_match) {
        (true, true) => MatchLevel::OnlyMatch,
        (true, false) => MatchLevel::Possible,
        (false, _) => MatchLevel::Unlikely,
    };
    let other = first.filter(|first| *first != thread);
    Candidate {
        designation: thread.designation(),
        series: thread.series(),
        misfit_mm: (fit.below + fit.above).mm(),
        pitch_misfit_mm: fit.pitch_off_mm,
        within_limits: fit.is_within() && pitch_fits,
        note: None,
        match_level,
        told_apart_by: other
            .and_then(|first| tell_apart(first, thread))
            .map(|difference| difference.text),
        thread,
    }
}

fn note(
    thread: Thread,
    fit: &ReadingFit,
    readings: &Readings,
    possible: &[Thread],
) -> Option<String> {
    let mut notes: Vec<String> = Vec::new();
    if readings.pitch.is_none() {
        notes.push("No pitch measured: other threads of this size fit too.".to_owned());
    }
    notes.extend(size_note(fit, readings.measured).map(str::to_owned));
    if thread.series() == Series::Uns && !standard_threads().any(|listed| listed == thread) {
        notes.push(
            "In no series today: an old American thread of 60 degrees, or a special (common practice, no source)."
                .to_owned(),
        );
    }
    if thread.is_pipe() {
        notes.push(format!(
            "The size in a pipe thread's name is not its diameter: {thread} measures {}.",
            thread.nominal().both()
        ));
    }
    // The conclusion already tells it apart from the other possible threads.
    let others = look_alikes(thread);
    if let Some(&other) = others.iter().find(|other| !possible.contains(other))
        && let Some(difference) = tell_apart(thread, other)
    {
        notes.push(format!(
            "Easily confused with {other}. To tell them apart, check {}.",
            difference.text
        ));
    }
    (!notes.is_empty()).then(|| notes.join(" "))
}

fn size_note(fit: &ReadingFit, measured: Measured) -> Option<&'static str> {
    match measured {
        Measured::Outside(_) if fit.below.is_positive() => {
            Some("Below the least size. Worn or rusted crests read small.")
        }
        Measured::Outside(_) if fit.above.is_positive() => {
            Some("Above the largest size. Look for burrs, or it is another thread.")
        }
        Measured::Inside(_) if fit.above.is_positive() => Some(
            "Bore above the largest size. Crests may be stripped or worn, or the hole was drilled oversize.",
        ),
        Measured::Inside(_) if fit.below.is_positive() => Some(
            "Bore below the least size. Look for burrs, or it is an old full-depth or another thread.",
        ),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
