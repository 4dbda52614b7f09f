//! Thread inserts: the tapped hole that each needs in the parent metal, its drill, depths and
//! countersink.
//!
//! Wire thread inserts are computed from their thread. The other families are listed in files: the
//! built-in ones, and those that a shop writes from makers' sheets. A [`Catalog`] holds both.

pub mod bushing;
mod catalog;
mod confidence;
mod family;
mod file;
mod from_row;
mod holes;
mod report;
mod shared;
mod standard;
mod wire;
mod wire_drill;

pub use catalog::{Catalog, ShopFile};
pub use confidence::Confidence;
pub use family::{Family, FamilyError, TapChamfer};
pub use file::{FileError, FileProblem, InsertFile, MAX_FILE_BYTES, MAX_ROWS};
pub use holes::holes_for;
pub use report::{InsertReport, LengthRange, report};
pub use shared::SharedInsert;

use crate::drill::{Drill, mean_oversize};
use crate::length::{Length, Rounding, Unit};
use crate::thread::{Form, Thread};
use serde::Serialize;

/// An insert of one length, and the hole it needs.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct Insert {
    /// Family.
    pub family: Family,
    /// Internal thread, for the bolt.
    pub internal: Thread,
    /// Outside thread, in the parent metal.
    pub outside: OutsideThread,
    /// Least diameter of the hole before tapping.
    #[serde(rename = "hole_min_mm")]
    pub hole_min: Length,
    /// Largest diameter of the hole before tapping.
    #[serde(rename = "hole_max_mm")]
    pub hole_max: Length,
    /// Drill for the hole.
    pub drill: Drill,
    /// Tap for the hole.
    pub tap: String,
    /// Countersink at the mouth.
    pub countersink: Option<Countersink>,
    /// Nominal length of the insert.
    #[serde(rename = "length_mm")]
    pub length: Length,
    /// Least depth of its upper end below the face.
    #[serde(rename = "set_below_min_mm")]
    pub set_below_min: Length,
    /// Largest depth of its upper end below the face.
    #[serde(rename = "set_below_max_mm")]
    pub set_below_max: Length,
    /// Least depth of full thread in the parent metal.
    #[serde(rename = "full_thread_min_mm")]
    pub full_thread_min: Length,
    /// Locking keys to stake; 0 if it has none.
    pub keys: u8,
    /// Whether it has a driving tang to break off.
    pub tang: bool,
    /// Dimensions of the installed coil of a wire thread insert.
    pub coil: Option<Coil>,
    /// Published least shear area of the outside thread in mm², locking type. The pull-out load is
    /// this area times the shear strength of the parent metal.
    pub published_shear_area_mm2: Option<f64>,
    /// Source of the numbers.
    pub source: String,
    /// Confidence in the least certain of the numbers.
    pub confidence: Confidence,
    /// The shop's own file that lists it; `None` for a built-in insert.
    pub shop_file: Option<String>,
    /// Notes, in sentences.
    pub notes: Vec<String>,
}

/// The outside thread of an insert and of its hole.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct OutsideThread {
    /// `3/8-16 STI` for a wire thread insert, `1/2-13 UNC` for others.
    pub designation: String,
    /// Pitch in millimeters.
    pub pitch_mm: f64,
    /// Least major diameter of the insert; for a wire thread insert the basic one, set by the
    /// tapped hole.
    #[serde(rename = "major_min_mm")]
    pub major_min: Length,
    /// Basic major diameter, the reference for walls and hole spacing.
    #[serde(rename = "major_mm")]
    pub major: Length,
    /// Basic pitch diameter.
    #[serde(rename = "pitch_diameter_mm")]
    pub pitch_diameter: Length,
    /// Largest pitch diameter of the tapped hole.
    #[serde(rename = "tapped_pitch_diameter_max_mm")]
    pub tapped_pitch_diameter_max: Length,
    /// Thread form.
    pub form: Form,
    /// The standard thread; `None` for the STI threads of wire thread inserts.
    pub thread: Option<Thread>,
}

impl OutsideThread {
    /// Returns the percent of thread that a hole leaves, as [`crate::drill::thread_percent`] does.
    pub fn thread_percent(&self, hole: Length) -> f64 {
        100.0 * (self.major - hole).mm() / (2.0 * self.form.full_thread_mm(self.pitch_mm))
    }
}

/// A countersink: diameter at the face and included angle.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Countersink {
    /// Least diameter.
    #[serde(rename = "min_mm")]
    pub min: Length,
    /// Largest diameter.
    #[serde(rename = "max_mm")]
    pub max: Length,
    /// Least included angle, in degrees.
    pub angle_min_deg: f64,
    /// Largest included angle, in degrees.
    pub angle_max_deg: f64,
}

/// The coil of a wire thread insert after installation.
///
/// Its free length depends on the wound diameter, which no source gives here: measure the insert.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Coil {
    /// Least installed length: nominal less 3/4 pitch (ASME B18.29 rule, secondary source).
    #[serde(rename = "set_length_min_mm")]
    pub set_length_min: Length,
    /// Largest installed length: nominal less 1/2 pitch (same source).
    #[serde(rename = "set_length_max_mm")]
    pub set_length_max: Length,
    /// Fewest installed coils: installed length over pitch.
    pub turns_min: f64,
    /// Most installed coils.
    pub turns_max: f64,
    /// Least depth of the upper end below the face without a countersink: 1/4 pitch (secondary
    /// sources).
    #[serde(rename = "plain_below_min_mm")]
    pub plain_below_min: Length,
    /// Largest depth without a countersink: 1/2 pitch (secondary sources).
    #[serde(rename = "plain_below_max_mm")]
    pub plain_below_max: Length,
}

impl Insert {
    /// Returns the least drill depth to full diameter in a blind hole: full thread, tap chamfer,
    /// one pitch of clearance, and half the nominal diameter for the male center of small taps.
    ///
    /// Rule of ASME B18.29 (secondary source; it gives the depth of Machinery's Handbook 31 p. 1746
    /// example 3), applied to key-locking inserts too. A male center is assumed up to 8 mm nominal
    /// for wire thread inserts, and for taps up to 3/8 in otherwise (TM 9-254). The drill point
    /// goes deeper.
    pub fn drill_depth_min(&self, tap: TapChamfer) -> Length {
        let pitch = Length::from_computed_mm(self.outside.pitch_mm);
        let male_center = if tap != TapChamfer::Bottoming && self.tap_has_male_center() {
            self.tap_diameter() / 2
        } else {
            Length::ZERO
        };
        self.full_thread_needed() + pitch * (tap.threads() + 1) + male_center
    }

    /// Formats the length as the trade orders it: `1-1/2 D (.469 set)` for a wire thread insert,
    /// whose nominal length follows from its diameter, and the plain length for any other.
    pub fn show_length(&self, unit: Unit) -> String {
        show_insert_length(self.family, self.internal, self.length, unit)
    }

    /// Returns the depth of full thread to plan for: the source's least, or what the insert needs
    /// to reach its depth if that is more, as for miniature key-locking inserts.
    pub fn full_thread_needed(&self) -> Length {
        match self.family {
            // Installed, it is at least half a pitch shorter than its nominal length.
            Family::WireThread => self.full_thread_min,
            _ => self.full_thread_min.max(self.length + self.set_below_max),
        }
    }

    /// Whether two entries are the same piece: family, threads and length.
    pub fn is_same_piece(&self, other: &Insert) -> bool {
        self.family == other.family
            && self.internal == other.internal
            && self.outside.designation == other.outside.designation
            && self.length == other.length
    }

    fn tap_diameter(&self) -> Length {
        match self.family {
            Family::WireThread => self.internal.nominal(),
            _ => self.outside.major,
        }
    }

    fn tap_has_male_center(&self) -> bool {
        match self.family {
            Family::WireThread => self.internal.nominal() <= Length::from_nm(8_000_000),
            _ => self.outside.major <= Length::from_fraction(3, 8),
        }
    }
}

/// Formats an insert's nominal length as [`Insert::show_length`] does.
pub fn show_insert_length(family: Family, internal: Thread, length: Length, unit: Unit) -> String {
    let half_diameters = length.nm() * 2 / internal.nominal().nm().max(1);
    if family != Family::WireThread || internal.nominal() * half_diameters / 2 != length {
        return length.show(unit);
    }
    let diameters = match (half_diameters / 2, half_diameters % 2) {
        (whole, 0) => format!("{whole}"),
        (whole, _) => format!("{whole}-1/2"),
    };
    let set = length.rounded_number(unit, Rounding::Nearest);
    format!("{diameters} D ({set} set)")
}

/// Returns a warning if the drill's mean oversize exceeds the upper limit of the hole.
fn oversize_note(drill: Drill, largest: Length) -> Option<String> {
    let cut = drill.diameter + mean_oversize(drill.diameter)?;
    (cut > largest).then(|| {
        format!(
            "A twist drill cuts oversize: {drill} averaged {} in tests in iron and steel (FED-STD-H28/2B Table II.A.1); the limit is {}. \
             Try it on scrap, or drill undersize and ream. Measure the hole before tapping.",
            cut.both_limit(),
            largest.both_limit()
        )
    })
}

#[cfg(test)]
mod tests;
