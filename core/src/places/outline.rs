//! A crater whose edge was traced in a photo: how wide it is, and how far off center.

use super::photos::PhotoPlaces;
use super::plane::PhotoPlane;
use crate::id::EntryId;
use holebook_place::outline::{OutlineCircle, TracedEdge, circle};
use holebook_place::{PlaceError, Point};

/// Without a plane, a rim of known thread is so much of its nominal diameter wide, plus or minus: from
/// the crests of an open thread to a chamfered mouth. Judgment.
const RIM_SHARE: f64 = 0.15;
/// Two standard deviations: a tolerance is kept 19 times in 20.
const DEVIATIONS: f64 = 2.0;

/// A traced edge on the face.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct MeasuredOutline {
    /// What gave the scale.
    pub scale: OutlineScale,
    /// What the hole's intended center was taken from.
    pub center: OutlineCenter,
    /// The diameter, mm.
    pub diameter_mm: f64,
    /// Its tolerance, plus or minus, mm: two standard deviations.
    pub diameter_tolerance_mm: f64,
    /// How far its middle is from the hole's intended center, mm.
    pub offset_mm: f64,
    /// Its tolerance, plus or minus, mm.
    pub offset_tolerance_mm: f64,
    /// Which way its middle lies in the photo, degrees counterclockwise from the right.
    pub direction_deg: f64,
    /// The entries that it rests on: a station that is recorded from it names them.
    pub rests_on: Vec<EntryId>,
}

/// What gives a photo its scale.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutlineScale {
    /// The places known in it.
    Plane,
    /// The rims of holes whose thread is known; the camera is taken as square to the face.
    Thread,
}

/// What a hole's intended center was taken from.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutlineCenter {
    /// The pattern of the face.
    Pattern,
    /// The hole's mark.
    Mark,
}

/// The intended center of the hole in the photo.
pub(crate) struct IntendedCenter {
    pub x_px: f64,
    pub y_px: f64,
    /// One standard deviation; `None`: of a mark placed by hand.
    pub error_px: Option<f64>,
    pub from: OutlineCenter,
}

/// Why an outline cannot be measured, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OutlineError {
    /// Nothing gives the photo a scale.
    #[error(
        "nothing gives this photo a scale: mark four holes of known place, add four known points, or snap a mark \
         to the rim of a hole whose thread is set"
    )]
    NoScale,
    /// The hole is neither marked in the photo nor in the pattern.
    #[error(
        "this hole is not marked in the photo, and the pattern does not show its center; mark it"
    )]
    NoCenter,
    /// The arithmetic refuses the points.
    #[error(transparent)]
    Place(#[from] PlaceError),
}

/// Measures an edge through the plane of the photo.
pub(crate) fn by_plane(
    plane: &PhotoPlane,
    edge: &[(f64, f64)],
    center: &IntendedCenter,
) -> Result<MeasuredOutline, OutlineError> {
    let points = plane.pointed_at(edge)?;
    let worst = points.iter().map(|it| it.error_mm).fold(0.0, f64::max);
    let traced = TracedEdge {
        points: points
            .iter()
            .map(|it| Point::new(it.x_mm, it.y_mm))
            .collect(),
        error_mm: worst,
    };
    let found = circle(&traced)?;
    let at = plane.place(center.x_px, center.y_px);
    let at = at.ok_or(PlaceError::BeyondHorizon { mark: 1 })?;
    let middle = Point::new(found.x_mm, found.y_mm);
    let mm_a_pixel = plane.mm_a_pixel(at).unwrap_or_default();
    let error_mm = center.error_px.map_or(worst, |px| px * mm_a_pixel);
    let seen = plane.pixel(middle);
    let seen = seen.ok_or(PlaceError::BeyondHorizon { mark: 1 })?;
    Ok(measured(
        &found,
        (at, error_mm),
        (seen.0 - center.x_px, seen.1 - center.y_px),
        (OutlineScale::Plane, center.from, 0.0),
    ))
}

/// Measures an edge by the rims of holes with known threads: their radius in pixels, and the thread's
/// nominal diameter, mm.
pub(crate) fn by_rims(
    photo: &PhotoPlaces,
    rims: &[(f64, f64)],
    edge: &[(f64, f64)],
    center: &IntendedCenter,
) -> Result<MeasuredOutline, OutlineError> {
    let mut scales: Vec<f64> = rims.iter().map(|(px, mm)| mm / (2.0 * px)).collect();
    scales.sort_by(f64::total_cmp);
    let scale = *scales.get(scales.len() / 2).ok_or(OutlineError::NoScale)?;
    // Y counts down in a photo and up on a face.
    let on_face = |(px, py): (f64, f64)| Point::new(scale * px, -scale * py);
    let traced = TracedEdge {
        points: edge.iter().map(|at| on_face(*at)).collect(),
        error_mm: scale * photo.mark_error_px(),
    };
    let found = circle(&traced)?;
    let at = on_face((center.x_px, center.y_px));
    let error_mm = scale * center.error_px.unwrap_or_else(|| photo.mark_error_px());
    let toward = (found.x_mm - at.x_mm, at.y_mm - found.y_mm);
    let by = (OutlineScale::Thread, center.from, RIM_SHARE);
    Ok(measured(&found, (at, error_mm), toward, by))
}

/// `toward` is the way from the center to the middle of the circle in the photo, down positive;
/// `share` is how unsure the scale is.
fn measured(
    found: &OutlineCircle,
    (at, error_mm): (Point, f64),
    toward: (f64, f64),
    (scale, center, share): (OutlineScale, OutlineCenter, f64),
) -> MeasuredOutline {
    let offset_mm = at.distance_mm(Point::new(found.x_mm, found.y_mm));
    let offset_error = found.center_error_mm.hypot(error_mm);
    MeasuredOutline {
        scale,
        center,
        diameter_mm: found.diameter_mm,
        diameter_tolerance_mm: (DEVIATIONS * found.diameter_error_mm)
            .hypot(share * found.diameter_mm),
        offset_mm,
        offset_tolerance_mm: (DEVIATIONS * offset_error).hypot(share * offset_mm),
        direction_deg: (-toward.1).atan2(toward.0).to_degrees(),
        rests_on: Vec::new(),
    }
}
