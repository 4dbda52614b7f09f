//! A photo as a map of its face: by the marked holes whose places are known, else by its known points.

use super::agree::agreeing;
use super::photo_map::PhotoMap;
use super::photos::PhotoPlaces;
use crate::id::PhotoId;
use crate::length::Length;
use holebook_place::plane::{KnownPoint, Mark, PlacedMark, PlaneWarning, measure};
use holebook_place::{HolePoint, PlaceError, Point};

/// The face is shown so far beyond the outermost known place, in parts of its size.
const MARGIN: f64 = 0.15;
/// As many points as a perspective takes.
const FULL: usize = 4;

/// A photo as a map of its face.
pub struct PhotoPlane {
    /// The photo.
    pub photo: PhotoId,
    /// What it is measured by.
    pub by: PlaneBasis,
    /// The numbers of the holes that it is measured by; none if by known points.
    pub by_holes: Vec<u32>,
    /// What to be careful about, with lengths in both units.
    pub warnings: Vec<String>,
    map: PhotoMap,
    known: Vec<KnownPoint>,
    places: PhotoPlaces,
}

/// What a photo is measured by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlaneBasis {
    /// The marked holes whose places on the face are known, so many of them.
    Holes(u32),
    /// Its own known points, so many.
    KnownPoints(u32),
}

/// A part of a face, mm.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// To the right.
    pub left_mm: f64,
    /// Up.
    pub bottom_mm: f64,
    /// To the right.
    pub right_mm: f64,
    /// Up.
    pub top_mm: f64,
}

impl Bounds {
    /// Returns its width, mm.
    pub fn width_mm(&self) -> f64 {
        self.right_mm - self.left_mm
    }

    /// Returns its height, mm.
    pub fn height_mm(&self) -> f64 {
        self.top_mm - self.bottom_mm
    }
}

/// Why a photo is no map of its face, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlaneError {
    /// Neither holes of known place nor known points.
    #[error(
        "this photo cannot be measured yet: mark four holes whose places are known by the pattern or by \
         measuring, or add four known points"
    )]
    NothingKnown,
    /// The marks fit only a face seen from the other side.
    #[error(
        "the photo fits only when the face is turned over; check the hole numbers, and which side the places \
         were taken from"
    )]
    TurnedOver,
    /// The arithmetic refuses the points.
    #[error(transparent)]
    Place(#[from] PlaceError),
}

impl PhotoPlane {
    /// Makes a photo a map. `holes` are the places on the face that its marks are fitted to.
    ///
    /// # Errors
    /// If fewer than two holes or points are known in it, or no flat face looks like that.
    pub fn of(places: PhotoPlaces, holes: &[HolePoint]) -> Result<Self, PlaneError> {
        let (numbers, by_holes) = known_holes(&places, holes);
        let by_points = places.known_points();
        let is_full = |known: &[KnownPoint]| known.len() >= FULL;
        let (by, known) = match (by_holes, by_points) {
            (holes, points) if is_full(&holes) || (!is_full(&points) && holes.len() >= 2) => {
                (PlaneBasis::Holes(holes.len() as u32), holes)
            }
            (_, points) if points.len() >= 2 => {
                (PlaneBasis::KnownPoints(points.len() as u32), points)
            }
            _ => return Err(PlaneError::NothingKnown),
        };
        let fit = measure(&places.survey(known.clone(), Vec::new()))?;
        let map = PhotoMap::fit(known.clone())?;
        if map.is_turned_over((known[0].px, known[0].py)) {
            return Err(PlaneError::TurnedOver);
        }
        Ok(Self {
            photo: places.photo,
            by,
            by_holes: match by {
                PlaneBasis::Holes(_) => numbers,
                PlaneBasis::KnownPoints(_) => Vec::new(),
            },
            warnings: fit.warnings.iter().map(warning).collect(),
            map,
            known,
            places,
        })
    }

    /// Returns the place on the face of a pixel of the photo; `None` beyond the horizon.
    pub fn place(&self, px: f64, py: f64) -> Option<Point> {
        self.map.place((px, py))
    }

    /// Returns the pixel of a place on the face; `None` if it cannot be in the photo.
    pub fn pixel(&self, at: Point) -> Option<(f64, f64)> {
        self.map.pixel(at)
    }

    /// Returns the width of the photo, pixels.
    pub(super) fn photo_width_px(&self) -> f64 {
        f64::from(self.places.width_px.max(1))
    }

    /// Returns whether a pixel is in the photo.
    pub fn shows(&self, pixel: (f64, f64)) -> bool {
        self.places.contains(pixel)
    }

    /// Returns the marked holes of the photo where it puts them, with how sure that is.
    ///
    /// # Errors
    /// If a mark lies beyond the horizon.
    pub fn holes(&self) -> Result<Vec<(u32, PlacedMark)>, PlaceError> {
        let placed = self.placed(self.places.all_marks())?;
        let numbers = self.places.marks.iter().map(|mark| mark.number);
        Ok(numbers.zip(placed).collect())
    }

    /// Returns the places of pixels that somebody pointed at, with how sure they are.
    ///
    /// # Errors
    /// If one lies beyond the horizon.
    pub fn pointed_at(&self, pixels: &[(f64, f64)]) -> Result<Vec<PlacedMark>, PlaceError> {
        let mark = |(px, py): &(f64, f64)| Mark {
            px: *px,
            py: *py,
            error_px: None,
        };
        self.placed(pixels.iter().map(mark).collect())
    }

    fn placed(&self, marks: Vec<Mark>) -> Result<Vec<PlacedMark>, PlaceError> {
        Ok(measure(&self.places.survey(self.known.clone(), marks))?.points)
    }

    /// Returns how many millimeters of the face one pixel covers at a place, at least.
    pub fn mm_a_pixel(&self, at: Point) -> Option<f64> {
        let pixels = self.map.pixels(at, 1.0)?;
        (pixels > 0.0).then(|| 1.0 / pixels)
    }

    /// Returns the part of the face with all known places, and some room around them.
    pub fn bounds(&self) -> Bounds {
        let range = |of: fn(&KnownPoint) -> f64| {
            let all = self.known.iter().map(of);
            all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), mm| {
                (low.min(mm), high.max(mm))
            })
        };
        let ((left, right), (bottom, top)) = (range(|it| it.x_mm), range(|it| it.y_mm));
        let room = MARGIN * (right - left).max(top - bottom);
        Bounds {
            left_mm: left - room,
            bottom_mm: bottom - room,
            right_mm: right + room,
            top_mm: top + room,
        }
    }
}

/// The marks of holes whose places are known, without those that do not agree with the others.
fn known_holes(photo: &PhotoPlaces, holes: &[HolePoint]) -> (Vec<u32>, Vec<KnownPoint>) {
    let known = photo.marks.iter().filter_map(|mark| {
        let hole = holes.iter().find(|hole| hole.hole == mark.number)?;
        Some((mark.number, photo.known_point(mark, hole.at(), 0.0)))
    });
    let (numbers, known): (Vec<u32>, Vec<KnownPoint>) = known.unzip();
    let kept = agreeing(&known, photo.mark_error_px());
    kept.into_iter().map(|at| (numbers[at], known[at])).unzip()
}

/// A warning, by what the photo is measured by.
fn warning(warning: &PlaneWarning) -> String {
    match warning {
        PlaneWarning::WrongPoint { by_mm, .. } => {
            let by = Length::from_mm(*by_mm).unwrap_or_default().both();
            format!(
                "one of the places that the photo is measured by misses by {by}; check the marks"
            )
        }
        other => other.to_string(),
    }
}
