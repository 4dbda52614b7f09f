//! Where photos with known points put the marked holes, how sure that is, and where photos disagree.

use super::centers::{Center, DEVIATIONS, PhotosDiffer};
use super::record::KnownPlace;
use crate::id::PhotoId;
use crate::length::Length;
use holebook_place::pattern::{CommonError, FoundHole};
use holebook_place::plane::{
    AgreedPoint, KnownPoint, Mark, PhotoPoint, PhotoSurvey, PlaneWarning, common_errors,
    compare_photos, measure,
};
use holebook_place::{PlaceError, Point};
use std::collections::{BTreeMap, BTreeSet};

/// A mark that was placed by hand is off by about this part of the photo's longer side, one standard
/// deviation: 4 pixels of 4,000 for a finger with a loupe. Judgment; nothing was measured.
const BY_HAND: f64 = 0.001;
/// A mark at the middle of a rim is off by about this part of the rim's diameter, one standard
/// deviation: 95 in 100 rims found in pictures of two renderers are within 2.448 times that, by
/// `tests/published/find.py`.
const BY_RIM: f64 = 0.04;

/// What is recorded about the places in a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoPlaces {
    /// The photo.
    pub photo: PhotoId,
    /// Its width, pixels.
    pub width_px: u32,
    /// Its height, pixels.
    pub height_px: u32,
    /// The marked holes.
    pub marks: Vec<PhotoMark>,
    /// The known points.
    pub known: Vec<KnownPlace>,
}

/// A marked hole in a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhotoMark {
    /// The hole's number.
    pub number: u32,
    /// Pixels to the right.
    pub x_px: f64,
    /// Pixels down.
    pub y_px: f64,
    /// The radius of the rim that it is the middle of, pixels; `None`: placed by hand.
    pub rim_radius_px: Option<f64>,
}

/// The places of holes that are known, by number.
#[derive(Default)]
pub(super) struct FoundPlaces {
    pub holes: Vec<FoundHole>,
    /// What the errors of the holes have in common, a row for each.
    common: Vec<CommonError>,
    pub differing: Vec<PhotosDiffer>,
    pub warnings: Vec<String>,
}

impl FoundPlaces {
    /// Takes a measured place in place of what photos say.
    pub fn replace(&mut self, hole: FoundHole) {
        self.differing.retain(|differs| differs.number != hole.hole);
        match self.holes.iter().position(|known| known.hole == hole.hole) {
            Some(at) => (self.holes[at], self.common[at]) = (hole, CommonError::new()),
            None => {
                self.holes.push(hole);
                self.common.push(CommonError::new());
            }
        }
    }

    /// The holes with these numbers, and what their errors have in common.
    pub fn of(&self, numbers: &BTreeSet<u32>) -> (Vec<FoundHole>, Vec<CommonError>) {
        let both = self.holes.iter().zip(&self.common);
        let named = both.filter(|(hole, _)| numbers.contains(&hole.hole));
        named.map(|(hole, common)| (*hole, common.clone())).unzip()
    }

    /// A hole that photos disagree about was found, though nothing tells where.
    pub fn without_disputed(&self, center: Center) -> Center {
        let mut disputed = self.differing.iter().filter(|differs| differs.left_out);
        let is_disputed = disputed.any(|differs| differs.number == center.number);
        Center {
            lost: center.lost && !(is_disputed && center.off.is_none()),
            ..center
        }
    }
}

/// A mark's place by one photo, and what it has in common with the photo's others.
struct Placed {
    point: PhotoPoint,
    common: CommonError,
}

/// The places of the holes that are marked in photos with known points. A photo that cannot be
/// measured is left out with a warning.
pub(super) fn places_by_known_points(photos: &[PhotoPlaces]) -> Result<FoundPlaces, PlaceError> {
    let mut placed: Vec<Placed> = Vec::new();
    let mut warnings = Vec::new();
    for (photo, at) in photos.iter().zip(1..) {
        if photo.known.len() < 2 || photo.marks.is_empty() {
            continue;
        }
        match photo.placed(at) {
            Ok(marks) => placed.extend(marks),
            Err(error) => warnings.push(format!("photo {at} was not used: {error}")),
        }
    }
    let points: Vec<PhotoPoint> = placed.iter().map(|placed| placed.point).collect();
    let differing = differing(&points, photos)?;
    let disputed = |hole: u32| {
        let mut differing = differing.iter().filter(|differs| differs.left_out);
        differing.any(|differs| differs.number == hole)
    };
    let agreed = agreed(&points)?;
    let agreed = agreed.iter().filter(|point| !disputed(point.hole));
    let (holes, common) = agreed
        .map(|point| (found_hole(point), common_of(point, &placed, photos.len())))
        .unzip();
    Ok(FoundPlaces {
        holes,
        common,
        differing,
        warnings,
    })
}

fn agreed(points: &[PhotoPoint]) -> Result<Vec<AgreedPoint>, PlaceError> {
    match points {
        [] => Ok(Vec::new()),
        _ => compare_photos(points),
    }
}

fn found_hole(point: &AgreedPoint) -> FoundHole {
    FoundHole {
        hole: point.hole,
        x_mm: point.x_mm,
        y_mm: point.y_mm,
        error_mm: point.error_mm,
    }
}

/// What the mean of photos has in common with the other holes: of each photo by its weight in the
/// mean, in columns of the photo's own.
fn common_of(point: &AgreedPoint, placed: &[Placed], photos: usize) -> CommonError {
    let of_hole = || {
        let same = placed.iter().filter(|it| it.point.hole == point.hole);
        same.filter(|it| !point.disagreeing.contains(&it.point.photo))
    };
    let weight = |it: &Placed| it.point.error_mm.powi(-2);
    let sum: f64 = of_hole().map(weight).sum();
    let causes = placed.iter().map(|it| it.common.len()).max().unwrap_or(0);
    let mut common = vec![(0.0, 0.0); causes * photos];
    for it in of_hole() {
        let first = (it.point.photo as usize - 1) * causes;
        let share = weight(it) / sum;
        for (to, (x, y)) in common[first..].iter_mut().zip(&it.common) {
            *to = (share * x, share * y);
        }
    }
    common
}

/// The holes that photos disagree about. Each point's photo counts from 1.
pub(super) fn differing(
    points: &[PhotoPoint],
    photos: &[PhotoPlaces],
) -> Result<Vec<PhotosDiffer>, PlaceError> {
    let mut counts: BTreeMap<u32, usize> = BTreeMap::new();
    for point in points {
        *counts.entry(point.hole).or_default() += 1;
    }
    let agreed = agreed(points)?;
    let differing = agreed.iter().filter(|point| !point.disagreeing.is_empty());
    let differs = |point: &AgreedPoint| {
        let all = counts.get(&point.hole) == Some(&point.disagreeing.len());
        let named = point.disagreeing.iter();
        let named = named.filter_map(|at| photos.get(*at as usize - 1));
        PhotosDiffer {
            number: point.hole,
            photos: named.map(|photo| photo.photo).collect(),
            by_mm: match all {
                true => apart_mm(points, point.hole),
                false => point.farthest_mm,
            },
            left_out: all,
        }
    };
    Ok(differing.map(differs).collect())
}

/// How far two photos' places of a hole are apart.
fn apart_mm(points: &[PhotoPoint], hole: u32) -> f64 {
    let same = points.iter().filter(|point| point.hole == hole);
    let at: Vec<Point> = same.map(|it| Point::new(it.x_mm, it.y_mm)).collect();
    match at.as_slice() {
        [first, .., last] => first.distance_mm(*last),
        _ => 0.0,
    }
}

impl PhotoPlaces {
    /// The error of a mark that was placed by hand, pixels.
    pub(super) fn mark_error_px(&self) -> f64 {
        (BY_HAND * f64::from(self.width_px.max(self.height_px))).max(1.0)
    }

    fn error_px(mark: &PhotoMark) -> Option<f64> {
        let radius = mark.rim_radius_px?;
        Some((BY_RIM * 2.0 * radius).max(1.0))
    }

    /// A mark as a point of known place.
    pub(super) fn known_point(&self, mark: &PhotoMark, at: Point, error_mm: f64) -> KnownPoint {
        KnownPoint {
            px: mark.x_px,
            py: mark.y_px,
            x_mm: at.x_mm,
            y_mm: at.y_mm,
            error_mm,
            error_px: Self::error_px(mark),
        }
    }

    /// The known points as the arithmetic takes them.
    pub(super) fn known_points(&self) -> Vec<KnownPoint> {
        let known = self.known.iter().map(|point| KnownPoint {
            px: point.x_px,
            py: point.y_px,
            x_mm: point.x.mm(),
            y_mm: point.y.mm(),
            error_mm: point.tolerance.unwrap_or_default().mm() / DEVIATIONS,
            error_px: None,
        });
        known.collect()
    }

    pub(super) fn all_marks(&self) -> Vec<Mark> {
        let marks = self.marks.iter().map(|mark| Mark {
            px: mark.x_px,
            py: mark.y_px,
            error_px: Self::error_px(mark),
        });
        marks.collect()
    }

    pub(super) fn survey(&self, known: Vec<KnownPoint>, marks: Vec<Mark>) -> PhotoSurvey {
        PhotoSurvey {
            known,
            marks,
            mark_error_px: Some(self.mark_error_px()),
            width_px: Some(f64::from(self.width_px)),
            height_px: Some(f64::from(self.height_px)),
        }
    }

    /// The places of the marks by the photo's known points; `at` is its number.
    fn placed(&self, at: u32) -> Result<Vec<Placed>, PlaceError> {
        let survey = self.survey(self.known_points(), self.all_marks());
        let fit = measure(&survey)?;
        let common = common_errors(&survey)?;
        let points = self.marks.iter().zip(&fit.points).zip(common);
        let points = points.map(|((mark, placed), common)| Placed {
            point: PhotoPoint {
                photo: at,
                hole: mark.number,
                x_mm: placed.x_mm,
                y_mm: placed.y_mm,
                error_mm: placed.error_mm,
            },
            common,
        });
        Ok(points.collect())
    }

    pub(super) fn contains(&self, (px, py): (f64, f64)) -> bool {
        (0.0..=f64::from(self.width_px)).contains(&px)
            && (0.0..=f64::from(self.height_px)).contains(&py)
    }

    /// A warning by hole numbers; `None` for a mark that is no concern.
    pub(super) fn warning(&self, warning: &PlaneWarning) -> Option<String> {
        match warning {
            PlaneWarning::Outside { mark, by_mm } => {
                let number = self.marks.get((*mark as usize).checked_sub(1)?)?.number;
                let by = Length::from_mm(*by_mm).ok()?.both();
                Some(format!(
                    "hole {number} is {by} outside of the holes that the photo is measured by; errors grow there"
                ))
            }
            PlaneWarning::NotChecked => Some(
                "nothing checks the 4 good holes: one at a wrong place would not show; mark a fifth"
                    .to_owned(),
            ),
            PlaneWarning::TakenAsSquare => Some(
                "with fewer than 4 good holes the camera is taken as square to the face; mark more good holes"
                    .to_owned(),
            ),
            PlaneWarning::WrongPoint { .. } => None,
            PlaneWarning::ErrorsTooSmall { factor } => Some(format!(
                "the good holes miss the pattern {factor:.1} times as much as a careful mark explains; the \
                 regions are that much larger"
            )),
            other => Some(other.to_string()),
        }
    }
}
