//! The order in which the bolts of a face are tightened.

use crate::notebook::{FaceView, HoleId, PhotoView};
use crate::places::PatternHole;
use holebook_place::HolePoint;
use holebook_place::tightening::order;

/// What the order goes by.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderedBy {
    /// The positions of the holes on the face.
    Positions,
    /// Their places in the wanted pattern.
    Pattern,
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
            OrderedBy::Pattern => {
                "The order goes from the middle outward and crosses over, by the wanted pattern."
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

/// Works out the order: by positions or the wanted pattern if all holes have a place there, else by
/// the marks of one photo that shows all holes, else by number.
pub fn tightening_order(face: &FaceView) -> TighteningOrder {
    let ways = [
        (OrderedBy::Positions, positions(face)),
        (OrderedBy::Pattern, pattern(face)),
        (OrderedBy::Marks, marks(face)),
    ];
    let mut ways = ways
        .into_iter()
        .filter_map(|(by, places)| Some((by, by_place(&places?)?)));
    let by_number = || face.holes.iter().map(|hole| hole.id).collect();
    let (by, holes) = ways
        .next()
        .unwrap_or_else(|| (OrderedBy::Numbers, by_number()));
    TighteningOrder { holes, by }
}

/// Returns where all holes are on the face, in millimeters to the right and up: by their positions, else
/// by the wanted pattern.
pub fn places_on_face(face: &FaceView) -> Option<Vec<(HoleId, f64, f64)>> {
    positions(face).or_else(|| pattern(face))
}

fn positions(face: &FaceView) -> Option<Vec<(HoleId, f64, f64)>> {
    let holes = face.holes.iter();
    let places = holes.map(|hole| hole.at.map(|(x, y)| (hole.id, x.mm(), y.mm())));
    places.collect()
}

fn pattern(face: &FaceView) -> Option<Vec<(HoleId, f64, f64)>> {
    let pattern = face.record.pattern.agreed()?;
    let places: Vec<PatternHole> = pattern.seen_on_face().collect();
    let holes = face.holes.iter();
    let places = holes.map(|hole| {
        let mut of_number = places.iter().filter(|place| place.hole == hole.number);
        let place = of_number.next().filter(|_| !hole.shares_number)?;
        Some((hole.id, place.x.mm(), place.y.mm()))
    });
    places.collect()
}

fn marks(face: &FaceView) -> Option<Vec<(HoleId, f64, f64)>> {
    photo_of_all(face).map(|photo| places_in(photo, face))
}

/// Returns the first photo of the face in which every hole is marked; none that shows a hole alone.
pub fn photo_of_all(face: &FaceView) -> Option<&PhotoView> {
    let mut photos = face.photos_of_face();
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
