//! The face as its height readings show it: how flat, and the least cut that cleans it up.

use super::record::{FaceHeights, HeightTool};
use crate::hole::record::{FaceRecord, Recorded};
use crate::length::{Length, Rounding, Unit};
use holebook_place::flatness::{self, FaceReadings, Flatness, HeightReading, Jack, Leveling};
use holebook_place::{HolePoint, PlaceError};

/// A face by its readings.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct FaceState {
    /// The readings, heights out of the metal: those of all entries that count, in their order.
    pub points: Vec<HeightReading>,
    /// How flat it is, and what each hole loses by the cut.
    pub flatness: Flatness,
    /// The largest tolerance of a reading that is given.
    pub tolerance: Option<Length>,
    /// The stock to remove in all that would clean it up: what was removed, and the least cut with
    /// twice the tolerance of a reading.
    pub planned: Length,
}

/// Why a face is not judged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum HeightsError {
    /// There are no readings.
    #[error("no heights of this face are recorded yet; read it on a grid")]
    None,
    /// All readings are from before a cut.
    #[error("the face was cut since its heights were read; read it again")]
    BeforeCut,
    /// The arithmetic refuses the numbers.
    #[error(transparent)]
    Place(#[from] PlaceError),
}

/// Judges a face by its height entries. Those from before a cut of the face do not count.
///
/// # Errors
/// If no reading counts, if there are fewer than three or all lie in one line, or if the heights
/// differ by as much as the face is wide.
pub fn judge(
    entries: &[Recorded<FaceHeights>],
    face: &FaceRecord,
    holes: Vec<HolePoint>,
) -> Result<FaceState, HeightsError> {
    let counts = |entry: &&Recorded<FaceHeights>| {
        let mut cuts = face.milled.iter();
        cuts.all(|cut| cut.precedes(entry))
    };
    let counting: Vec<&Recorded<FaceHeights>> = entries.iter().filter(counts).collect();
    if counting.is_empty() {
        return Err(match entries.is_empty() {
            true => HeightsError::None,
            false => HeightsError::BeforeCut,
        });
    }
    let points: Vec<HeightReading> = counting
        .iter()
        .flat_map(|entry| heights(&entry.body))
        .collect();
    let flatness = flatness::judge(&FaceReadings {
        points: points.clone(),
        holes,
    })?;
    let tolerance = counting
        .iter()
        .filter_map(|entry| entry.body.tolerance)
        .max();
    let cut = Length::from_mm(flatness.face_cut_mm).unwrap_or_default();
    let least = cut + tolerance.unwrap_or_default() * 2;
    Ok(FaceState {
        planned: face.removed() + least.round_to(Unit::Inch, Rounding::Up).max(least),
        tolerance,
        points,
        flatness,
    })
}

/// The heights of an entry, out of the metal.
fn heights(entry: &FaceHeights) -> impl Iterator<Item = HeightReading> + '_ {
    let sign = match entry.tool {
        HeightTool::Indicator => 1.0,
        HeightTool::Feeler => -1.0,
    };
    entry.points.iter().map(move |point| HeightReading {
        x_mm: point.x.mm(),
        y_mm: point.y.mm(),
        z_mm: sign * point.reading.mm(),
    })
}

/// Returns how to level the face on jacks.
///
/// # Errors
/// As for [`flatness::level`].
pub fn level(state: &FaceState, jacks: &[Jack]) -> Result<Leveling, PlaceError> {
    flatness::level(&state.points, jacks)
}
