//! Bodies of entries other than those about the work on a hole, which are in
//! [`crate::hole::record`].
//!
//! They are stored as JSON in journals that are never rewritten. A new field needs a default; a
//! renamed one keeps its old name as a `serde` alias.

use super::id::{CastingId, EntryId, FaceId, HoleId, PhotoId};
use crate::length::Length;
use crate::photo::{PhotoHash, TakenAt};
use crate::strength::Metal;
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

/// A device's name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DeviceBody {
    /// Its name.
    pub name: String,
}

/// A casting's details.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CastingBody {
    /// Its name.
    pub name: String,
    /// A note in free text.
    #[serde(default)]
    pub note: Option<String>,
    /// Its metal; `None`: not known.
    #[serde(alias = "iron", default)]
    pub metal: Option<Metal>,
}

/// A machined joint face.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FaceBody {
    /// The casting it is on.
    pub casting: CastingId,
    /// Its name.
    pub name: String,
    /// A note in free text.
    #[serde(default)]
    pub note: Option<String>,
}

/// A photo of a face.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PhotoBody {
    /// The face it shows.
    pub face: FaceId,
    /// The hole that it shows alone; `None`: it shows the face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole: Option<HoleId>,
    /// The hash of its file, which names it.
    pub hash: PhotoHash,
    /// Width of the upright picture, pixels.
    pub width_px: u32,
    /// Height of the upright picture, pixels.
    pub height_px: u32,
    /// When it was taken, as the camera wrote it.
    #[serde(default)]
    pub taken_at: Option<TakenAt>,
    /// Whether metadata was removed from the file when it was imported.
    #[serde(default, alias = "location_removed")]
    pub metadata_removed: bool,
    /// The name of the imported file.
    #[serde(default)]
    pub name: Option<String>,
    /// Whether the file was cut and then ended, so that detail is missing.
    #[serde(default)]
    pub incomplete: bool,
}

/// A hole's number and its position on the face.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoleBody {
    /// The face it is in.
    pub face: FaceId,
    /// Its number on that face, from 1.
    pub number: u32,
    /// Position along the face's x axis; `None`: not measured.
    #[serde(rename = "x_mm", default)]
    pub x: Option<Length>,
    /// Position along the face's y axis; `None`: not measured.
    #[serde(rename = "y_mm", default)]
    pub y: Option<Length>,
    /// How far each coordinate may be off, plus or minus; `None`: not given.
    #[serde(
        rename = "tolerance_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub tolerance: Option<Length>,
}

impl HoleBody {
    /// Returns its position if both coordinates are known.
    pub fn at(&self) -> Option<(Length, Length)> {
        self.x.zip(self.y)
    }
}

/// The position of a hole in a photo, in pixels from the top left corner of the upright picture.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MarkBody {
    /// The photo.
    pub photo: PhotoId,
    /// Pixels to the right.
    pub x_px: f64,
    /// Pixels down.
    pub y_px: f64,
    /// The radius of the rim that it is the middle of, pixels; `None`: placed by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rim_radius_px: Option<f64>,
}

impl MarkBody {
    /// Creates a mark that was placed by hand.
    pub const fn by_hand(photo: PhotoId, x_px: f64, y_px: f64) -> Self {
        Self {
            photo,
            x_px,
            y_px,
            rim_radius_px: None,
        }
    }
}

/// A file of the shop's own inserts, whole. [`crate::insert::InsertFile`] parses it.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InsertsBody {
    /// The file's name. A new file of the same name replaces it.
    pub name: String,
    /// The file's text.
    pub text: String,
}

/// Something to do later. The time is shown and decides nothing.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReminderBody {
    /// The face it is about.
    pub face: FaceId,
    /// The hole, if it is about one.
    #[serde(default)]
    pub hole: Option<HoleId>,
    /// What to do: `sealer has cured; torque again`.
    pub text: String,
    /// When it is due; `None`: no time.
    #[serde(default)]
    pub due: Option<DateTime<FixedOffset>>,
    /// Whether it is done.
    #[serde(default)]
    pub done: bool,
}

/// An entry is struck out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StrikeOutBody {
    /// The entry.
    pub entry: EntryId,
    /// Why.
    pub reason: String,
}
