//! Coordinates of holes from caliper distances alone.
//!
//! The first hole given is the origin, the second lies on X to its right, and the third above that
//! line. Distances beyond those that place the holes check the others.

mod adjust;
mod build;

use crate::show::both;
use crate::{PlaceError, Point, input};
use serde::{Deserialize, Serialize, Serializer};
use std::fmt;

/// What a caliper was held across.
#[derive(
    holebook_shape::Shape, Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Across {
    /// From center to center.
    #[default]
    Centers,
    /// From far side to far side: inside jaws in both holes, or outside jaws over two studs.
    FarSides,
    /// From near side to near side: outside jaws over the metal between the holes, or inside jaws
    /// between two studs.
    NearSides,
}

/// A hole, in the order that fixes the axes.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredHole {
    /// The hole's number.
    pub hole: u32,
    /// The diameter at which the caliper's jaws touched, mm; not needed between centers.
    #[serde(default)]
    pub diameter_mm: Option<f64>,
    /// Roughly where it is, as on a sketch or a photo, in any scale, X right and Y up: decides on
    /// which side of two others it lies, if the distances do not.
    #[serde(default)]
    pub rough: Option<Point>,
}

/// A reading between two holes.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Distance {
    /// One hole.
    pub from: u32,
    /// The other hole.
    pub to: u32,
    /// The reading, mm.
    pub reading_mm: f64,
    /// What it was taken across.
    #[serde(default)]
    pub across: Across,
    /// Its standard deviation, mm; less than 0.001 counts as 0.001.
    pub error_mm: f64,
}

/// Holes and the distances between them.
#[derive(holebook_shape::Shape, Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DistanceSurvey {
    /// The holes: the first is the origin, the second lies on X, the third above it. At most 100.
    pub holes: Vec<MeasuredHole>,
    /// The readings.
    pub distances: Vec<Distance>,
}

/// Coordinates worked out from distances.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct DistanceFit {
    /// The holes, in the order given.
    pub holes: Vec<PlacedHole>,
    /// How each reading agrees, in the order given.
    pub distances: Vec<CheckedDistance>,
    /// How many readings there are beyond those that it takes.
    pub redundancy: u32,
    /// The closure error: the root mean square by which the readings miss, per spare reading, mm.
    /// None without a spare reading.
    pub closure_mm: Option<f64>,
    /// The reading that would help most, if any two holes are not measured yet.
    pub best_next: Option<NextDistance>,
    /// What to be careful about.
    pub warnings: Vec<DistanceWarning>,
}

/// A hole placed by distances.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlacedHole {
    /// The hole's number.
    pub hole: u32,
    /// Along the line from the first hole to the second, mm.
    pub x_mm: f64,
    /// Across it, mm.
    pub y_mm: f64,
    /// The standard deviation of each coordinate, with the whole figure free to lie as it fits
    /// best, mm.
    pub error_mm: f64,
}

/// A reading beside the distance of the placed holes.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CheckedDistance {
    /// One hole.
    pub from: u32,
    /// The other hole.
    pub to: u32,
    /// From center to center by the reading, mm.
    pub center_mm: f64,
    /// By how much the reading is larger than the distance of the placed holes, mm.
    pub residual_mm: f64,
    /// Whether it misses by more than its error explains (once in 1,000 readings).
    pub suspect: bool,
}

/// A reading to take next.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct NextDistance {
    /// One hole.
    pub from: u32,
    /// The other hole.
    pub to: u32,
    /// About what the caliper will read between the centers, mm.
    pub center_mm: f64,
    /// What is left of the mean square error of all holes, from 0 to 1.
    pub error_left: f64,
}

/// What to be careful about in coordinates from distances.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq)]
pub enum DistanceWarning {
    /// There is no spare reading, so a wrong one would not show.
    NotChecked,
    /// A reading disagrees with the others.
    Suspect {
        /// One hole.
        from: u32,
        /// The other hole.
        to: u32,
        /// By how much it misses, mm.
        by_mm: f64,
    },
    /// A hole would fit about as well on the other side of the line through its neighbors.
    EitherSide {
        /// The hole.
        hole: u32,
        /// The hole to measure to, to decide it.
        to: u32,
    },
}

impl fmt::Display for DistanceWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotChecked => {
                f.write_str("no reading checks the others: a wrong one would not show")
            }
            Self::Suspect { from, to, by_mm } => write!(
                f,
                "the reading from hole {from} to hole {to} misses by {}; take it again",
                both(*by_mm)
            ),
            Self::EitherSide { hole, to } => write!(
                f,
                "hole {hole} fits on either side of its neighbors; measure from it to hole {to}"
            ),
        }
    }
}

/// As its sentence.
impl Serialize for DistanceWarning {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// The most holes that are solved at once.
const MOST_HOLES: usize = 100;

/// A reading from center to center between two holes, by index.
#[derive(Clone, Copy, Debug)]
struct Edge {
    from: usize,
    to: usize,
    center_mm: f64,
    error_mm: f64,
}

/// Works out the coordinates of holes from the distances between them.
///
/// # Errors
/// If a number is not usable, a hole is given twice or not at all, there are fewer than two holes or
/// more than 100, a diameter is missing, a hole has too few distances, or three distances make no
/// triangle.
pub fn solve(survey: &DistanceSurvey) -> Result<DistanceFit, PlaceError> {
    let edges = edges(survey)?;
    let numbers: Vec<u32> = survey.holes.iter().map(|hole| hole.hole).collect();
    let rough: Vec<Option<Point>> = survey.holes.iter().map(|hole| hole.rough).collect();
    let built = build::build(&numbers, &edges, &rough)?;
    adjust::adjust(&numbers, &edges, &built)
}

fn edges(survey: &DistanceSurvey) -> Result<Vec<Edge>, PlaceError> {
    let holes = &survey.holes;
    input::count(holes.len(), 2, "holes")?;
    if holes.len() > MOST_HOLES {
        return Err(PlaceError::TooMany {
            what: "holes",
            most: MOST_HOLES as u32,
        });
    }
    input::count(survey.distances.len(), 1, "distances")?;
    for hole in holes {
        let what = || format!("the rough place of hole {}", hole.hole);
        input::point(hole.rough.unwrap_or_default(), what)?;
    }
    input::once(holes.iter().map(|hole| hole.hole), "holes")?;
    survey
        .distances
        .iter()
        .map(|distance| edge(holes, distance))
        .collect()
}

fn edge(holes: &[MeasuredHole], distance: &Distance) -> Result<Edge, PlaceError> {
    let name = || {
        format!(
            "the reading from hole {} to hole {}",
            distance.from, distance.to
        )
    };
    let index = |number: u32| {
        let found = holes.iter().position(|hole| hole.hole == number);
        found.ok_or(PlaceError::NoSuchHole {
            hole: number,
            among: "holes",
        })
    };
    let (from, to) = (index(distance.from)?, index(distance.to)?);
    if from == to {
        return Err(PlaceError::Twice {
            hole: distance.from,
            among: "ends of one distance",
        });
    }
    input::positive(distance.reading_mm, name)?;
    let radius = |at: usize| {
        let hole = holes[at];
        let what = || format!("the diameter of hole {}", hole.hole);
        input::positive(hole.diameter_mm.unwrap_or_default(), what).map(|mm| mm / 2.0)
    };
    let center_mm = match distance.across {
        Across::Centers => distance.reading_mm,
        Across::FarSides => distance.reading_mm - radius(from)? - radius(to)?,
        Across::NearSides => distance.reading_mm + radius(from)? + radius(to)?,
    };
    Ok(Edge {
        from,
        to,
        center_mm: input::positive(center_mm, || format!("{} less the radii", name()))?,
        error_mm: input::error(distance.error_mm, || format!("the error of {}", name()))?,
    })
}

#[cfg(test)]
mod tests;
