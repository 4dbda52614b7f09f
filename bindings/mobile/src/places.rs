//! Where things are on a face: patterns, coordinates, flatness, table moves. Lengths in this module
//! are millimeters.

use crate::error::NotebookError;
use crate::guard::guard;
use crate::lend::lend;
use holebook_place::flatness::{self, Plane};
use holebook_place::moves::{self, Move};
use holebook_place::plane::{self, Mark};
use holebook_place::{Point, distances, pattern, tightening};

lend! {
    holebook_place {
        HolePoint,
        Point as FacePoint,
    }
}

lend! {
    holebook_place::pattern {
        FitWarning,
        FoundHole,
        Layout as PatternLayout,
        PatternFit,
        PredictedHole,
        Survey as PatternSurvey,
        WantedHole,
    }
}

lend! {
    holebook_place::distances {
        Across,
        CheckedDistance,
        Distance,
        DistanceFit,
        DistanceSurvey,
        DistanceWarning,
        MeasuredHole,
        NextDistance,
        PlacedHole,
    }
}

lend! {
    holebook_place::plane {
        AgreedPoint,
        KnownPoint,
        Mark as PhotoMark,
        PhotoPoint,
        PhotoSurvey,
        PlacedMark,
        PlaneFit,
        PlaneWarning,
    }
}

lend! {
    holebook_place::flatness {
        Droop,
        FaceReadings,
        Flatness,
        HeightReading,
        HoleLoss,
        Jack,
        JackTurn,
        Leveling,
        Plane as FacePlane,
        Rocking,
        TableReadings,
    }
}

lend! {
    holebook_place::moves {
        Alignment,
        Approach,
        Handwheel,
        Move as TableMove,
        MovePlan,
        Moves as TableMoves,
        WheelMove,
    }
}

lend! {
    holebook_place::tightening {
        Tightening,
    }
}

/// Makes a wanted pattern of one shape, numbered from 1.
///
/// Fails with `Invalid` for no or too many holes, or a number that is not usable.
#[uniffi::export]
pub fn pattern_holes(layout: PatternLayout) -> Result<Vec<WantedHole>, NotebookError> {
    guard("pattern_holes", || {
        layout.holes().map_err(NotebookError::invalid)
    })
}

/// Fits the wanted pattern to the holes found: where every center belongs, how surely, and which
/// holes wandered.
///
/// Fails with `Invalid` if a number is not usable or no placement agrees with enough holes.
#[uniffi::export]
pub fn fit_pattern(survey: PatternSurvey) -> Result<PatternFit, NotebookError> {
    guard("fit_pattern", || {
        pattern::fit(&survey).map_err(NotebookError::invalid)
    })
}

/// Works out coordinates from caliper distances alone, and which reading to take next.
///
/// Fails with `Invalid` if a number is not usable or a hole has too few distances.
#[uniffi::export]
pub fn holes_by_distances(survey: DistanceSurvey) -> Result<DistanceFit, NotebookError> {
    guard("holes_by_distances", || {
        distances::solve(&survey).map_err(NotebookError::invalid)
    })
}

/// Places the marks of a photo on the face by its known points.
///
/// Fails with `Invalid` if a number is not usable, or the known points do not fix the plane.
#[uniffi::export]
pub fn measure_photo(survey: PhotoSurvey) -> Result<PlaneFit, NotebookError> {
    guard("measure_photo", || {
        plane::measure(&survey).map_err(NotebookError::invalid)
    })
}

/// Combines the places that several photos give, by hole, and says where they disagree.
///
/// Fails with `Invalid` if a number is not usable, or a photo has a hole twice.
#[uniffi::export]
pub fn compare_photos(points: Vec<PhotoPoint>) -> Result<Vec<AgreedPoint>, NotebookError> {
    guard("compare_photos", || {
        plane::compare_photos(&points).map_err(NotebookError::invalid)
    })
}

/// Judges a face by height readings: flatness, the least cut that cleans it up, and what each hole
/// loses.
///
/// Fails with `Invalid` if a number is not usable, or there are fewer than three readings or all
/// lie in one line.
#[uniffi::export]
pub fn judge_face(face: FaceReadings) -> Result<Flatness, NotebookError> {
    guard("judge_face", || {
        flatness::judge(&face).map_err(NotebookError::invalid)
    })
}

/// Works out how far to turn each jack to level a face, and in what order.
///
/// Fails with `Invalid` as [`judge_face`] does, or if the jacks stand in one line.
#[uniffi::export]
pub fn level_face(points: Vec<HeightReading>, jacks: Vec<Jack>) -> Result<Leveling, NotebookError> {
    guard("level_face", || {
        flatness::level(&points, &jacks).map_err(NotebookError::invalid)
    })
}

/// Works out what the droop of a machine's table mills into a face.
///
/// Fails with `Invalid` if a number is not usable, or the face is longer than the travel.
#[uniffi::export]
pub fn table_droop(readings: TableReadings) -> Result<Droop, NotebookError> {
    guard("table_droop", || {
        flatness::table_droop(&readings).map_err(NotebookError::invalid)
    })
}

/// Lays two faces on each other: where they touch, and how much they rock. Both have readings at the
/// same places.
///
/// Fails with `Invalid` as [`judge_face`] does, or if the places differ.
#[uniffi::export]
pub fn rock_faces(
    lower: Vec<HeightReading>,
    upper: Vec<HeightReading>,
) -> Result<Rocking, NotebookError> {
    guard("rock_faces", || {
        flatness::rock(&lower, &upper).map_err(NotebookError::invalid)
    })
}

/// Works out table moves from a picked-up reference hole.
///
/// Fails with `Invalid` if a number is not usable, or a hole is not there.
#[uniffi::export]
pub fn table_moves(plan: MovePlan) -> Result<TableMoves, NotebookError> {
    guard("table_moves", || {
        moves::plan(&plan).map_err(NotebookError::invalid)
    })
}

/// Writes table moves as comma-separated values, in inches or millimeters.
///
/// Fails with `Invalid` as [`table_moves`] does.
#[uniffi::export]
pub fn table_moves_csv(plan: MovePlan, inches: bool) -> Result<String, NotebookError> {
    guard("table_moves_csv", || {
        let moves = moves::plan(&plan).map_err(NotebookError::invalid)?;
        Ok(moves::csv(&moves, inches))
    })
}

/// Writes holes as a DXF drawing with a point and a number each, in millimeters.
///
/// Fails with `Invalid` if a number is not usable, or a hole is given twice.
#[uniffi::export]
pub fn holes_dxf(holes: Vec<HolePoint>) -> Result<String, NotebookError> {
    guard("holes_dxf", || {
        moves::dxf(&holes).map_err(NotebookError::invalid)
    })
}

/// Works out the order in which to tighten a joint; the machine's manual overrides it.
///
/// Fails with `Invalid` if a number is not usable, there is no hole, or one is given twice.
#[uniffi::export]
pub fn tightening_order(holes: Vec<HolePoint>) -> Result<Tightening, NotebookError> {
    guard("tightening_order", || {
        tightening::order(&holes).map_err(NotebookError::invalid)
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn circle() -> Vec<WantedHole> {
        let layout = PatternLayout::Circle {
            center: Point::default(),
            diameter_mm: 200.0,
            count: 8,
            first_deg: 0.0,
        };
        pattern_holes(layout).unwrap()
    }

    fn points() -> Vec<HolePoint> {
        let point = |hole: &WantedHole| HolePoint {
            hole: hole.hole,
            x_mm: hole.x_mm,
            y_mm: hole.y_mm,
        };
        circle().iter().map(point).collect()
    }

    #[test]
    fn a_lost_center_is_predicted_and_the_table_moved_there() {
        let found = circle().into_iter().skip(1).map(|hole| FoundHole {
            hole: hole.hole,
            x_mm: hole.x_mm + 300.0,
            y_mm: hole.y_mm,
            error_mm: 0.1,
        });
        let fit = fit_pattern(PatternSurvey {
            found: found.collect(),
            wanted: circle(),
            ..PatternSurvey::default()
        })
        .unwrap();
        assert!((fit.holes[0].x_mm - 400.0).abs() < 1e-9 && fit.holes[0].residual_mm.is_none());
        let plan = MovePlan {
            holes: points(),
            reference: 5,
            visit: vec![1],
            alignment: Alignment::AsDrawn,
            x_wheel: None,
            y_wheel: None,
            keep_order: false,
        };
        let moves = table_moves(plan.clone()).unwrap();
        assert!((moves.moves[0].by_x_mm - 200.0).abs() < 1e-9);
        assert!(table_moves_csv(plan, false).unwrap().contains("1,200.0000"));
        assert!(holes_dxf(points()).unwrap().contains("POINT"));
        assert_eq!(tightening_order(points()).unwrap().order[..2], [1, 5]);
    }

    #[test]
    fn what_cannot_be_answered_is_invalid() {
        let refused = [
            fit_pattern(PatternSurvey::default()).err(),
            holes_by_distances(DistanceSurvey::default()).err(),
            measure_photo(PhotoSurvey::default()).err(),
            compare_photos(Vec::new()).err(),
            judge_face(FaceReadings::default()).err(),
            level_face(Vec::new(), Vec::new()).err(),
            rock_faces(Vec::new(), Vec::new()).err(),
            holes_dxf(Vec::new()).err(),
            tightening_order(Vec::new()).err(),
        ];
        for error in refused {
            assert!(
                matches!(error, Some(NotebookError::Invalid { .. })),
                "{error:?}"
            );
        }
    }
}
