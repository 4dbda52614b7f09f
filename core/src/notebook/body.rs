//! Bodies of the entries that are not about a hole's work; those are in [`crate::hole::record`].
//!
//! Like those, fields may be added (with a default) and never renamed.

use super::id::{CastingId, EntryId, FaceId, PhotoId};
use crate::length::Length;
use crate::photo::{PhotoHash, TakenAt};
use crate::strength::Metal;
use serde::{Deserialize, Serialize};

/// A device's name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DeviceBody {
    /// What people call it.
    pub name: String,
}

/// A casting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CastingBody {
    /// What people call it.
    pub name: String,
    /// Free words.
    #[serde(default)]
    pub note: Option<String>,
    /// Its metal, where it is known. The key is from when only irons were known.
    #[serde(rename = "iron", default)]
    pub metal: Option<Metal>,
}

/// A machined joint face.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FaceBody {
    /// The casting it is on.
    pub casting: CastingId,
    /// What people call it.
    pub name: String,
    /// Free words.
    #[serde(default)]
    pub note: Option<String>,
}

/// A picture of a face.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PhotoBody {
    /// The face it shows.
    pub face: FaceId,
    /// The name of its file, by content.
    pub hash: PhotoHash,
    /// Width of the upright picture, pixels.
    pub width_px: u32,
    /// Height of the upright picture, pixels.
    pub height_px: u32,
    /// When the camera says it was taken, as the camera wrote it.
    #[serde(default)]
    pub taken_at: Option<TakenAt>,
    /// Whether the place where it was taken was removed from the file.
    #[serde(default)]
    pub location_removed: bool,
    /// The file's name where it came from.
    #[serde(default)]
    pub name: Option<String>,
}

/// A hole's number and place on its face.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoleBody {
    /// The face it is in.
    pub face: FaceId,
    /// Its number on that face, from 1.
    pub number: u32,
    /// Where it is, along the face's x axis; none: not measured.
    #[serde(rename = "x_mm", default)]
    pub x: Option<Length>,
    /// Where it is, along the face's y axis; none: not measured.
    #[serde(rename = "y_mm", default)]
    pub y: Option<Length>,
}

impl HoleBody {
    /// Its place, where both coordinates are known.
    pub fn at(&self) -> Option<(Length, Length)> {
        self.x.zip(self.y)
    }
}

/// Where a hole is in a photo, in pixels of the upright picture from its top left corner.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MarkBody {
    /// The photo.
    pub photo: PhotoId,
    /// Pixels to the right.
    pub x_px: f64,
    /// Pixels down.
    pub y_px: f64,
}

/// A file of the shop's own inserts, kept whole. [`crate::insert::InsertFile`] reads it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InsertsBody {
    /// What the file is called. One of the same name takes its place.
    pub name: String,
    /// What it says.
    pub text: String,
}

/// An entry is crossed out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StrikeBody {
    /// The entry.
    pub entry: EntryId,
    /// Why.
    pub reason: String,
}
