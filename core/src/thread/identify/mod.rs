//! Which thread is this? From a caliper across a screw or a bore, and a pitch gauge if there is one.
//!
//! The answer says how much the readings can tell. Where more than one thread lies within what the readings may be off by, and
//! within what wear may have taken, it names them all and the reading that would tell them apart; it does not guess.

mod conclusion;
mod fit;
mod reading;

pub use conclusion::Conclusion;
pub use reading::{
    DIAMETER_ERROR, GAUGE_ERROR, IdentifyError, Measured, PitchReading, Readings, SPAN_ERROR,
    parse_pitch,
};

use super::tell::{look_alikes, tell_apart};
use super::{Series, Thread, standard_threads};
use fit::{Fit, fit};
use serde::Serialize;

/// A reading further outside the limits than this is another thread, in millimetres.
const FURTHEST_MM: f64 = 0.5;
/// A pitch reading further off than this is another thread, in millimetres.
const FURTHEST_PITCH_MM: f64 = 0.15;
/// How many candidates are worth showing, beyond those that are possible.
const MOST: usize = 8;

/// What the readings come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Identified {
    /// Threads that it may be and threads near to them, the most plausible first.
    pub candidates: Vec<Candidate>,
    /// What can be said.
    pub conclusion: Conclusion,
}

/// Whether the readings leave a thread open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// It is the only one that the readings fit.
    Told,
    /// It is one of several that they fit.
    Possible,
    /// It is near, but outside what errors and wear explain.
    Unlikely,
}

/// One thread that it may be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Candidate {
    /// As the trade writes it.
    pub designation: String,
    /// Its series.
    pub series: Series,
    /// How far the reading lies outside the sizes of a sound thread; 0 within them.
    pub misfit_mm: f64,
    /// How far the pitch reading lies from the pitch; none without one.
    pub pitch_misfit_mm: Option<f64>,
    /// Whether the diameter is that of a sound thread, and the pitch as near as its reading tells.
    pub within_limits: bool,
    /// Why to beware.
    pub note: Option<String>,
    /// Whether the readings leave it open.
    pub standing: Standing,
    /// What would tell it from the first, where it is not the first.
    pub told_by: Option<String>,
    /// The thread itself.
    #[serde(skip)]
    pub thread: Thread,
}

/// Threads that the readings may belong to.
///
/// A screw is judged by the limits of class 2A or 6g, a hole by those of 2B or 6H, Whitworth and pipe threads by their basic sizes and a
/// judged tolerance. A worn screw reads small and a worn hole large, so wear is allowed for on that side only.
///
/// # Errors
/// A reading that is not above zero, or is absurd.
pub fn identify(readings: &Readings) -> Result<Identified, IdentifyError> {
    readings.check()?;
    let mut found: Vec<(Thread, Fit)> = standard_threads()
        .map(|thread| (thread, fit(thread, readings)))
        .filter(|(_, fit)| fit.possible || is_near(fit))
        .collect();
    found.sort_by(|(_, a), (_, b)| b.possible.cmp(&a.possible).then(a.cost.total_cmp(&b.cost)));
    let possible: Vec<Thread> = found
        .iter()
        .filter(|(_, fit)| fit.possible)
        .map(|&(thread, _)| thread)
        .collect();
    found.truncate(MOST.max(possible.len()));
    let conclusion = conclusion::conclude(&possible, readings.pitch.is_some());
    let told = matches!(conclusion, Conclusion::Told { .. });
    let first = found.first().map(|&(thread, _)| thread);
    let candidates = found
        .into_iter()
        .map(|(thread, fit)| Candidate {
            note: note(thread, &fit, readings, &possible),
            ..candidate(thread, &fit, readings, told, first)
        })
        .collect();
    Ok(Identified {
        candidates,
        conclusion,
    })
}

fn is_near(fit: &Fit) -> bool {
    let misfit_mm = (fit.below + fit.above).mm();
    misfit_mm <= FURTHEST_MM && fit.pitch_off_mm.is_none_or(|off| off <= FURTHEST_PITCH_MM)
}

fn candidate(
    thread: Thread,
    fit: &Fit,
    readings: &Readings,
    told: bool,
    first: Option<Thread>,
) -> Candidate {
    let pitch_fits = readings.pitch.is_none_or(|read| {
        fit.pitch_off_mm
            .is_none_or(|off| off <= read.error.mm() + 1e-6)
    });
    let standing = match (fit.possible, told) {
        (true, true) => Standing::Told,
        (true, false) => Standing::Possible,
        (false, _) => Standing::Unlikely,
    };
    let other = first.filter(|first| *first != thread);
    Candidate {
        designation: thread.designation(),
        series: thread.series(),
        misfit_mm: (fit.below + fit.above).mm(),
        pitch_misfit_mm: fit.pitch_off_mm,
        within_limits: fit.is_within() && pitch_fits,
        note: None,
        standing,
        told_by: other
            .and_then(|first| tell_apart(first, thread))
            .map(|tell| tell.words),
        thread,
    }
}

fn note(thread: Thread, fit: &Fit, readings: &Readings, possible: &[Thread]) -> Option<String> {
    let mut said: Vec<String> = Vec::new();
    if readings.pitch.is_none() {
        said.push("No pitch was measured, so other threads of this size fit as well.".to_owned());
    }
    said.extend(size_note(fit, readings.measured).map(str::to_owned));
    if thread.is_pipe() {
        said.push(format!(
            "Pipe sizes are not what they measure: {thread} is {} across.",
            thread.nominal().both()
        ));
    }
    // What tells it from the others that are open is said with the conclusion.
    let others = look_alikes(thread);
    if let Some(&other) = others.iter().find(|other| !possible.contains(other))
        && let Some(tell) = tell_apart(thread, other)
    {
        said.push(format!(
            "Easily taken for {other}; what tells is {}.",
            tell.words
        ));
    }
    (!said.is_empty()).then(|| said.join(" "))
}

fn size_note(fit: &Fit, measured: Measured) -> Option<&'static str> {
    match measured {
        Measured::Outside(_) if fit.below.is_positive() => {
            Some("The reading is below the least size; worn or rusted crests read small.")
        }
        Measured::Outside(_) if fit.above.is_positive() => {
            Some("The reading is above the largest size; look for burrs, or for another thread.")
        }
        Measured::Inside(_) if fit.above.is_positive() => Some(
            "The bore is above the largest size; crests may be stripped or worn, or the hole drilled too large.",
        ),
        Measured::Inside(_) if fit.below.is_positive() => {
            Some("The bore is below the least size; look for burrs, or for another thread.")
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests;
