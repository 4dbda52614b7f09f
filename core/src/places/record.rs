//! Bodies of the entries about places. Lengths are exact; X points right and Y up as one looks at the
//! face.

use crate::id::PhotoId;
use crate::length::Length;
use holebook_place::distances::Across;
use holebook_place::moves::{Approach, Handwheel};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fmt;

/// The most holes of a pattern, and the most height readings of one entry.
pub const MOST_PLACES: usize = 1_000;
/// The most points of an edge that was traced in a photo.
pub const MOST_EDGE_POINTS: usize = 200;
/// The most entries that a circle of missing metal rests on: two for each hole of a face, and some.
pub const MOST_RESTED_ON: usize = 4 * MOST_PLACES;
/// The most divisions of a handwheel's dial.
pub const MOST_DIVISIONS: u32 = 1_000;

/// Where the holes of a face belong.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WantedPattern {
    /// The holes, each number once.
    pub holes: Vec<PatternHole>,
    /// Where it comes from.
    pub source: PatternSource,
    /// How far each coordinate may be off, plus or minus; `None`: as exact as a drawing.
    #[serde(rename = "tolerance_mm", default)]
    pub tolerance: Option<Length>,
    /// Whether it was drawn or taken from the other side of the face: X then counts the other way.
    #[serde(default)]
    pub from_back: bool,
    /// The caliper readings that its coordinates were worked out from, if they were.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub distances: Vec<CaliperDistance>,
    /// The diameter at which the caliper's jaws touched; `None`: the readings are between centers.
    #[serde(
        rename = "jaw_diameter_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub jaw_diameter: Option<Length>,
    /// Where it was found, in free text: a drawing's number, the sister part.
    #[serde(default)]
    pub note: Option<String>,
}

/// A hole of a pattern.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct PatternHole {
    /// Its number on the face.
    pub hole: u32,
    /// To the right.
    #[serde(rename = "x_mm")]
    pub x: Length,
    /// Up.
    #[serde(rename = "y_mm")]
    pub y: Length,
}

/// Where a pattern comes from.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PatternSource {
    /// Coordinates of a drawing.
    Drawing,
    /// A line, circle, oval, or grid.
    Layout,
    /// Caliper readings between holes.
    Distances,
    /// A part that fits, measured.
    SisterPart,
    /// A gasket.
    Gasket,
}

impl PatternSource {
    /// All sources, in the order to offer them.
    pub const ALL: [PatternSource; 5] = [
        PatternSource::Drawing,
        PatternSource::Layout,
        PatternSource::Distances,
        PatternSource::SisterPart,
        PatternSource::Gasket,
    ];
}

impl fmt::Display for PatternSource {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            PatternSource::Drawing => "drawing",
            PatternSource::Layout => "layout",
            PatternSource::Distances => "caliper distances",
            PatternSource::SisterPart => "sister part",
            PatternSource::Gasket => "gasket",
        })
    }
}

/// A caliper reading between two holes.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct CaliperDistance {
    /// One hole.
    pub from: u32,
    /// The other hole.
    pub to: u32,
    /// The reading.
    #[serde(rename = "reading_mm")]
    pub reading: Length,
    /// What it was taken across.
    #[serde(default)]
    pub across: Across,
}

/// The holes that the places of a face rest on, as a person chose them.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct GoodHoles {
    /// Their numbers, each once.
    pub holes: Vec<u32>,
}

/// A point of known place in a photo. It makes the photo measurable.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct KnownPlace {
    /// Pixels to the right in the upright photo.
    pub x_px: f64,
    /// Pixels down.
    pub y_px: f64,
    /// To the right on the face.
    #[serde(rename = "x_mm")]
    pub x: Length,
    /// Up on the face.
    #[serde(rename = "y_mm")]
    pub y: Length,
    /// How far each coordinate may be off, plus or minus; `None`: not given.
    #[serde(rename = "tolerance_mm", default)]
    pub tolerance: Option<Length>,
}

/// Heights read on a face in one setup of the instrument. All entries of a face count together.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FaceHeights {
    /// The readings.
    pub points: Vec<HeightAt>,
    /// What was read.
    pub tool: HeightTool,
    /// The instrument, as people call it.
    #[serde(default)]
    pub instrument: Option<String>,
    /// How far each reading may be off, plus or minus; `None`: not given.
    #[serde(rename = "tolerance_mm", default)]
    pub tolerance: Option<Length>,
}

/// A height reading.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct HeightAt {
    /// To the right.
    #[serde(rename = "x_mm")]
    pub x: Length,
    /// Up.
    #[serde(rename = "y_mm")]
    pub y: Length,
    /// What was read: see [`HeightTool`].
    #[serde(rename = "reading_mm")]
    pub reading: Length,
}

/// What a height reading says.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HeightTool {
    /// An indicator: a high spot reads more.
    Indicator,
    /// A feeler under a straightedge: a low spot reads more.
    Feeler,
}

/// The mill at hand: its handwheels, and whether it has a digital readout.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MillSetup {
    /// What people call it.
    #[serde(default)]
    pub name: Option<String>,
    /// The handwheel of X; `None`: only the readout is used.
    #[serde(default)]
    pub x: Option<MillAxis>,
    /// The handwheel of Y.
    #[serde(default)]
    pub y: Option<MillAxis>,
    /// Whether it has a digital readout.
    #[serde(default)]
    pub readout: bool,
}

/// A handwheel.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct MillAxis {
    /// How far one turn moves the table.
    #[serde(rename = "lead_mm")]
    pub lead: Length,
    /// Divisions on the dial.
    pub divisions: u32,
    /// The side that positions are approached from.
    #[serde(default)]
    pub approach: Approach,
    /// The slack of the screw; `None`: not measured.
    #[serde(rename = "backlash_mm", default)]
    pub backlash: Option<Length>,
}

/// What an off-center amount was taken from instead of a measuring tool.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OffsetSource {
    /// The hole's mark in a photo, with the pattern of the face.
    PhotoPlane,
    /// The hole's measured place, with the pattern of the face.
    Pattern,
}

impl fmt::Display for OffsetSource {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            OffsetSource::PhotoPlane => "photo plane",
            OffsetSource::Pattern => "pattern",
        })
    }
}

/// The edge of a crater as somebody traced it in a photo.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EdgeInPhoto {
    /// The photo.
    pub photo: PhotoId,
    /// Its points in turn, pixels of the upright photo: to the right, then down, of each.
    pub edge_px: Vec<f64>,
}

impl EdgeInPhoto {
    /// Returns the edge with these points, `(to the right, down)`.
    pub fn of(photo: PhotoId, points: &[(f64, f64)]) -> Self {
        Self {
            photo,
            edge_px: points.iter().flat_map(|(x, y)| [*x, *y]).collect(),
        }
    }

    /// Returns its points, `(to the right, down)`.
    pub fn points(&self) -> Vec<(f64, f64)> {
        let pairs = self.edge_px.chunks_exact(2);
        pairs.map(|pair| (pair[0], pair[1])).collect()
    }

    /// Returns whether its points are numbers, in pairs, and not too many.
    pub fn is_valid(&self) -> bool {
        self.edge_px.len().is_multiple_of(2)
            && self.edge_px.len() <= 2 * MOST_EDGE_POINTS
            && self.edge_px.iter().all(|px| px.is_finite())
    }
}

impl MillAxis {
    /// Returns the handwheel as the arithmetic takes it.
    pub fn handwheel(&self) -> Handwheel {
        Handwheel {
            lead_mm: self.lead.mm(),
            divisions: self.divisions,
            approach: self.approach,
            backlash_mm: self.backlash.unwrap_or_default().mm(),
        }
    }
}

impl WantedPattern {
    /// Returns its holes as one looks at the face.
    pub fn seen_on_face(&self) -> impl Iterator<Item = PatternHole> + '_ {
        self.holes.iter().map(|hole| PatternHole {
            x: if self.from_back { -hole.x } else { hole.x },
            ..*hole
        })
    }

    /// Returns what is wrong with it.
    ///
    /// # Errors
    /// One sentence, if it has fewer than two holes or more than 1,000, a number twice or 0, all
    /// holes at one place, or a tolerance below zero.
    pub fn validate(&self) -> Result<(), String> {
        if self.holes.len() < 2 {
            let have = self.holes.len();
            return Err(format!("{have} holes in the pattern, but 2 are needed"));
        }
        if self.holes.len().max(self.distances.len()) > MOST_PLACES {
            return Err(format!(
                "more than {MOST_PLACES} lines in the pattern; split the job"
            ));
        }
        let mut seen = BTreeSet::new();
        for hole in &self.holes {
            if hole.hole == 0 {
                return Err("a hole of the pattern has the number 0; number from 1".to_owned());
            }
            if !seen.insert(hole.hole) {
                let number = hole.hole;
                return Err(format!("hole {number} is twice in the pattern"));
            }
        }
        let place = |hole: &PatternHole| (hole.x, hole.y);
        let first = self.holes.first().map(place);
        if self.holes.iter().all(|hole| Some(place(hole)) == first) {
            return Err(
                "the holes of the pattern are all at one place; check the coordinates".to_owned(),
            );
        }
        not_negative("tolerance of the pattern", self.tolerance)?;
        not_negative("diameter at the caliper's jaws", self.jaw_diameter)
    }
}

impl GoodHoles {
    /// Returns what is wrong with it.
    ///
    /// # Errors
    /// One sentence, if there are fewer than two holes or more than 1,000, or a number is given twice.
    pub fn validate(&self) -> Result<(), String> {
        match self.holes.len() {
            have @ 0..=1 => {
                return Err(format!("{have} good holes, but 2 are needed; tick more"));
            }
            2..=MOST_PLACES => {}
            _ => return Err(format!("more than {MOST_PLACES} good holes; tick fewer")),
        }
        let mut seen = BTreeSet::new();
        match self.holes.iter().find(|hole| !seen.insert(**hole)) {
            Some(hole) => Err(format!("hole {hole} is twice among the good holes")),
            None => Ok(()),
        }
    }
}

impl KnownPlace {
    /// Returns what is wrong with it.
    ///
    /// # Errors
    /// One sentence, if a pixel is not a number or below 0, or the tolerance is below zero.
    pub fn validate(&self) -> Result<(), String> {
        let usable = |px: f64| px.is_finite() && px >= 0.0;
        if !usable(self.x_px) || !usable(self.y_px) {
            return Err("the known point is not in the photo; press inside it".to_owned());
        }
        not_negative("tolerance of the known point", self.tolerance)
    }
}

impl FaceHeights {
    /// Returns what is wrong with it.
    ///
    /// # Errors
    /// One sentence, if there is no reading or more than 1,000, or the tolerance is below zero.
    pub fn validate(&self) -> Result<(), String> {
        match self.points.len() {
            0 => return Err("no height reading; enter one a line".to_owned()),
            1..=MOST_PLACES => {}
            _ => {
                return Err(format!(
                    "more than {MOST_PLACES} height readings at once; record them in parts"
                ));
            }
        }
        not_negative("tolerance of the readings", self.tolerance)
    }
}

impl MillSetup {
    /// Returns what is wrong with it.
    ///
    /// # Errors
    /// One sentence, if a lead is not above 0, a dial has no divisions or more than 1,000, or the
    /// backlash is below zero.
    pub fn validate(&self) -> Result<(), String> {
        for (name, axis) in [("X", self.x), ("Y", self.y)] {
            let Some(axis) = axis else { continue };
            if !axis.lead.is_positive() {
                return Err(format!(
                    "the lead of the {name} handwheel must be more than 0"
                ));
            }
            if !(1..=MOST_DIVISIONS).contains(&axis.divisions) {
                return Err(format!(
                    "the {name} dial has {} divisions; enter 1 to {MOST_DIVISIONS}",
                    axis.divisions
                ));
            }
            not_negative(&format!("backlash of {name}"), axis.backlash)?;
        }
        Ok(())
    }
}

fn not_negative(what: &str, length: Option<Length>) -> Result<(), String> {
    match length.filter(|length| *length < Length::ZERO) {
        Some(length) => Err(format!(
            "the {what} is {}; it cannot be less than 0",
            length.both()
        )),
        None => Ok(()),
    }
}
