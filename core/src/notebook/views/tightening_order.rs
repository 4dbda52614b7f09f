//! The order in which the bolts of a face are tightened.

use crate::notebook::{FaceView, HoleId, PhotoView};
use holebook_place::HolePoint;
use holebook_place::tightening::order;

/// What the order goes by.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderedBy {
    /// The positions of the holes on the face.
    Positions,
    /// Their marks in a photo.
    Marks,
    /// Their numbers, since it is not known where all of them are.
    Numbers,
}

impl OrderedBy {
    /// Returns the sentence that says so.
    pub const fn sentence(self) -> &'static str {
        match self {
            OrderedBy::Positions => {
                "The order goes from the middle outward and crosses over, by the positions of the holes."
            }
            OrderedBy::Marks => {
                "The order goes from the middle outward and crosses over, by the marks in the photo; a photo taken at a \
                 slant may change it."
            }
            OrderedBy::Numbers => {
                "Where the holes are is not known, so they come by number. Do not follow that: start in the middle and \
                 cross over, or mark all holes in one photo."
            }
        }
    }
}

/// The order in which the bolts of a face are tightened.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct TighteningOrder {
    /// The holes, first to last.
    pub holes: Vec<HoleId>,
    /// What it goes by.
    pub by: OrderedBy,
}

/// Works out the order: by positions if all are known, else by the marks of one photo that shows all
/// holes, else by number.
pub fn tightening_order(face: &FaceView) -> TighteningOrder {
    let positions = face.holes.iter().map(|hole| {
        let (x, y) = hole.at?;
        Some((hole.id, x.mm(), y.mm()))
    });
    if let Some(holes) = positions
        .collect::<Option<Vec<_>>>()
        .and_then(|it| by_place(&it))
    {
        let by = OrderedBy::Positions;
        return TighteningOrder { holes, by };
    }
    let marked = photo_of_all(face).map(|photo| places_in(photo, face));
    if let Some(holes) = marked.and_then(|places| by_place(&places)) {
        let by = OrderedBy::Marks;
        return TighteningOrder { holes, by };
    }
    TighteningOrder {
        holes: face.holes.iter().map(|hole| hole.id).collect(),
        by: OrderedBy::Numbers,
    }
}

/// Returns the first photo in which every hole is marked.
pub fn photo_of_all(face: &FaceView) -> Option<&PhotoView> {
    let mut photos = face.photos.iter();
    photos.find(|photo| places_in(photo, face).len() == face.holes.len())
}

/// Returns where a hole is marked in a photo, in pixels from the top left.
pub fn marked_at(photo: &PhotoView, hole: HoleId) -> Option<(f64, f64)> {
    let mark = photo.marks.iter().find(|mark| mark.hole == hole)?;
    let at = mark.entries.0.first()?.body;
    Some((at.x_px, at.y_px))
}

/// Returns where the holes of the face are in a photo; in pixels, up.
fn places_in(photo: &PhotoView, face: &FaceView) -> Vec<(HoleId, f64, f64)> {
    let holes = face.holes.iter();
    let places = holes.filter_map(|hole| {
        let (x, y) = marked_at(photo, hole.id)?;
        Some((hole.id, x, -y))
    });
    places.collect()
}

/// Orders holes by place. Two holes may have the same number, so each goes by its index.
fn by_place(places: &[(HoleId, f64, f64)]) -> Option<Vec<HoleId>> {
    let points: Vec<HolePoint> = places
        .iter()
        .zip(0..)
        .map(|(&(_, x_mm, y_mm), hole)| HolePoint { hole, x_mm, y_mm })
        .collect();
    let ordered = order(&points).ok()?.order.into_iter();
    ordered
        .map(|index| Some(places.get(index as usize)?.0))
        .collect()
}
