//! Which thread is this? From a caliper across a screw or a bore, and a pitch gauge if there is one.
//!
//! The answer is a list, never one thread: a caliper alone cannot tell a coarse thread from a fine
//! one, and no reading here can tell the 55 degree Whitworth form from the 60 degree ones.

use super::{Series, Thread, standard_threads};
use crate::length::{Length, LengthError, NM_PER_INCH};
use serde::{Deserialize, Serialize};

/// A reading further outside the limits than this is another thread, in millimetres.
const FURTHEST_MM: f64 = 0.5;
/// A pitch reading further off than this is another thread, in millimetres.
const FURTHEST_PITCH_MM: f64 = 0.15;
/// What a pitch gauge or a rule over ten threads can be off, in millimetres. Common practice, no source.
const PITCH_READING_MM: f64 = 0.02;
/// How many candidates are worth showing.
const MOST: usize = 8;

/// What was measured with the caliper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measured {
    /// Across the crests of a screw: its major diameter.
    Outside(Length),
    /// Across the crests of a tapped hole: its minor diameter.
    Inside(Length),
}

/// One thread that it may be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Candidate {
    /// As the trade writes it.
    pub designation: String,
    /// Its series.
    pub series: Series,
    /// How far the reading lies outside the limits of the thread; 0 within them.
    pub misfit_mm: f64,
    /// How far the pitch reading lies from the pitch; none without one.
    pub pitch_misfit_mm: Option<f64>,
    /// Whether the reading lies within the limits, and the pitch as near as a pitch gauge tells.
    pub within_limits: bool,
    /// Why to beware.
    pub note: Option<String>,
}

/// Why a reading was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum IdentifyError {
    /// No diameter or pitch that could be.
    #[error("{what} must be more than zero and less than 500 mm; measure it again")]
    Impossible {
        /// Which reading.
        what: &'static str,
    },
    /// A pitch that does not say what it counts.
    #[error(
        "`{asked}` is not a pitch; write threads per inch as 14tpi, or the distance of two threads as 1.8mm"
    )]
    UnreadablePitch {
        /// What was written.
        asked: String,
    },
    /// A pitch in millimetres that is not a length.
    #[error(transparent)]
    Length(#[from] LengthError),
}

/// Reads a pitch: `14tpi`, `14 threads per inch`, `1.8mm`.
///
/// # Errors
/// It says neither tpi nor mm, or is not a number above zero.
pub fn parse_pitch(text: &str) -> Result<Length, IdentifyError> {
    let asked = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let plain = asked.to_ascii_lowercase();
    let per_inch = plain
        .strip_suffix("tpi")
        .or_else(|| plain.strip_suffix("threads per inch"));
    let pitch = match per_inch {
        Some(count) => {
            let count: f64 = count
                .trim()
                .parse()
                .map_err(|_| IdentifyError::UnreadablePitch { asked })?;
            if !(0.5..=200.0).contains(&count) {
                return Err(IdentifyError::Impossible { what: "the pitch" });
            }
            Length::from_nm((NM_PER_INCH as f64 / count).round() as i64)
        }
        None if plain.ends_with("mm") => Length::parse(&plain, None)?,
        None => return Err(IdentifyError::UnreadablePitch { asked }),
    };
    possible(pitch, "the pitch")
}

fn possible(reading: Length, what: &'static str) -> Result<Length, IdentifyError> {
    if reading.is_positive() && reading.nm() < 500_000_000 {
        Ok(reading)
    } else {
        Err(IdentifyError::Impossible { what })
    }
}

/// Threads that a reading may belong to, best first; none when no thread kept here is near.
///
/// A screw is judged by the limits of class 2A or 6g, a hole by those of 2B or 6H.
///
/// # Errors
/// A reading that is not above zero, or is absurd.
pub fn identify(
    measured: Measured,
    pitch: Option<Length>,
) -> Result<Vec<Candidate>, IdentifyError> {
    let (Measured::Outside(diameter) | Measured::Inside(diameter)) = measured;
    possible(diameter, "the diameter")?;
    if let Some(pitch) = pitch {
        possible(pitch, "the pitch")?;
    }
    let mut found: Vec<(f64, Candidate)> = standard_threads()
        .filter_map(|thread| candidate(thread, measured, pitch))
        .collect();
    found.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    found.truncate(MOST);
    Ok(found.into_iter().map(|(_, candidate)| candidate).collect())
}

fn candidate(
    thread: Thread,
    measured: Measured,
    pitch: Option<Length>,
) -> Option<(f64, Candidate)> {
    let (reading, least, largest) = match measured {
        Measured::Outside(reading) => {
            let screw = thread.usual_external();
            (reading, screw.major_min, screw.major_max)
        }
        Measured::Inside(reading) => {
            let hole = thread.usual_internal();
            (reading, hole.minor_min, hole.minor_max)
        }
    };
    let below = (least - reading).or_zero();
    let above = (reading - largest).or_zero();
    let misfit_mm = (below + above).mm();
    let pitch_misfit_mm = pitch.map(|p| (p.mm() - thread.pitch_mm()).abs());
    if misfit_mm > FURTHEST_MM || pitch_misfit_mm.is_some_and(|misfit| misfit > FURTHEST_PITCH_MM) {
        return None;
    }
    let within_limits =
        misfit_mm == 0.0 && pitch_misfit_mm.is_none_or(|misfit| misfit <= PITCH_READING_MM);
    let candidate = Candidate {
        designation: thread.designation(),
        series: thread.series(),
        misfit_mm,
        pitch_misfit_mm,
        within_limits,
        note: note(thread, measured, below, above, pitch.is_some()),
    };
    Some((rank(thread, &candidate), candidate))
}

/// The smaller the better. A pitch tells more than a worn crest, and a shop meets common threads
/// more often.
fn rank(thread: Thread, candidate: &Candidate) -> f64 {
    let pitch = candidate.pitch_misfit_mm.unwrap_or(0.0) / 0.05;
    let uncommon = if thread.series().is_common() {
        0.0
    } else {
        0.5
    };
    candidate.misfit_mm / 0.1 + pitch + uncommon
}

fn note(
    thread: Thread,
    measured: Measured,
    below: Length,
    above: Length,
    has_pitch: bool,
) -> Option<String> {
    let mut said: Vec<String> = Vec::new();
    if !has_pitch {
        said.push("no pitch was measured, so other threads of this size fit as well".to_owned());
    }
    match measured {
        Measured::Outside(_) if below.is_positive() => {
            said.push(
                "the reading is below the least size; worn or rusted crests read small".to_owned(),
            );
        }
        Measured::Outside(_) if above.is_positive() => {
            said.push(
                "the reading is above the largest size; look for burrs, or for another thread"
                    .to_owned(),
            );
        }
        Measured::Inside(_) if above.is_positive() => {
            said.push("the bore is above the largest size; crests may be stripped or the hole overdrilled".to_owned());
        }
        Measured::Inside(_) if below.is_positive() => {
            said.push(
                "the bore is below the least size; look for burrs, or for another thread"
                    .to_owned(),
            );
        }
        _ => {}
    }
    said.extend(whitworth(thread));
    let mut note = said.join("; ");
    // One sentence: the first word begins it.
    if let Some(first) = note.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    (!note.is_empty()).then_some(note)
}

/// Whitworth threads that share diameter and pitch, or nearly, with a Unified one (BS 84).
fn whitworth(thread: Thread) -> Option<String> {
    let beware = match thread.designation().split(' ').next()? {
        size @ ("1/4-20" | "5/16-18" | "3/8-16" | "7/16-14" | "5/8-11" | "3/4-10" | "7/8-9"
        | "1-8") => {
            format!("BSW {size} has the same diameter and pitch but a 55 degree form")
        }
        "1/2-13" => "BSW 1/2 has 12 threads per inch".to_owned(),
        size @ ("3/8-20" | "1/2-16" | "9/16-16") => {
            format!("BSF {size} has the same diameter and pitch but a 55 degree form")
        }
        _ => return None,
    };
    Some(format!(
        "{beware}; check the angle with a thread gauge on an old machine"
    ))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn outside(mm: f64, pitch: Option<&str>) -> Vec<Candidate> {
        let pitch = pitch.map(|p| parse_pitch(p).unwrap());
        identify(Measured::Outside(Length::from_mm(mm).unwrap()), pitch).unwrap()
    }

    #[test]
    fn a_caliper_and_a_pitch_gauge() {
        let found = outside(11.05, Some("14tpi"));
        assert_eq!(found[0].designation, "7/16-14 UNC");
        assert!(found[0].within_limits);
        assert_eq!(found[0].misfit_mm, 0.0);
        assert!(found[0].note.as_ref().unwrap().contains("55 degree"));
        assert_eq!(outside(9.85, Some("1.5mm"))[0].designation, "M10x1.5");
        assert_eq!(outside(9.45, Some("16 tpi"))[0].designation, "3/8-16 UNC");
    }

    #[test]
    fn a_caliper_alone_says_that_it_cannot_tell() {
        let found = outside(9.45, None);
        assert!(found.iter().any(|c| c.designation == "3/8-16 UNC"));
        assert!(found.iter().any(|c| c.designation == "3/8-24 UNF"));
        assert!(found.iter().all(|c| {
            c.note
                .as_ref()
                .is_some_and(|n| n.contains("no pitch") || n.contains("No pitch"))
        }));
        assert!(found.iter().all(|c| c.pitch_misfit_mm.is_none()));
    }

    #[test]
    fn every_thread_is_found_by_its_own_middle_readings() {
        for thread in standard_threads() {
            let screw = thread.usual_external();
            let hole = thread.usual_internal();
            let pitch = Length::from_mm(thread.pitch_mm()).unwrap();
            for measured in [
                Measured::Outside((screw.major_min + screw.major_max) / 2),
                Measured::Inside((hole.minor_min + hole.minor_max) / 2),
            ] {
                let found = identify(measured, Some(pitch)).unwrap();
                let mine = found.iter().find(|c| c.designation == thread.designation());
                assert!(
                    mine.is_some_and(|c| c.within_limits),
                    "{thread} {measured:?}"
                );
            }
        }
    }

    #[test]
    fn worn_crests_are_said() {
        let found = outside(9.1, Some("16tpi"));
        assert_eq!(found[0].designation, "3/8-16 UNC");
        assert!(!found[0].within_limits);
        assert!(found[0].note.as_ref().unwrap().contains("worn"));
    }

    #[test]
    fn readings_that_cannot_be() {
        for nm in [0, -5, 600_000_000] {
            assert!(identify(Measured::Inside(Length::from_nm(nm)), None).is_err());
        }
        for text in [
            "", "14", "0tpi", "-3tpi", "nantpi", "inf tpi", "0mm", "-1mm", "tpi", "x mm",
        ] {
            assert!(parse_pitch(text).is_err(), "{text}");
        }
        assert_eq!(parse_pitch("14 tpi").unwrap().nm(), 1_814_286);
        assert!(outside(300.0, None).is_empty());
    }
}
